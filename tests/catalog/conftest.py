"""A folder of generated designs, sound and broken in different ways."""

from __future__ import annotations

import pytest

from tests.spreads import MEADOW

# What makes a design broken, and a word of the line that tells.
BROKEN = {
    "empty": (lambda text: "", "empty"),
    "no-toml": (lambda text: text + "\n[[[", "TOML"),
    "binary": (lambda text: "\x00\x01\x02", "TOML"),
    "unknown-kind": (lambda text: text.replace('"v-fold"', '"w-fold"', 1), "kind"),
    "unknown-key": (lambda text: text.replace("base = 20", "bass = 20", 1), "bass"),
    "negative": (lambda text: text.replace("base = 20", "base = -20", 1), "base"),
    "not-finite": (lambda text: text.replace("base = 20", "base = nan", 1), "base"),
    "absurd": (lambda text: text.replace("base = 20", "base = 1e9", 1), "base"),
    "no-host": (lambda text: text.replace('on = "gutter"', 'on = "gutters"', 1), "gutters"),
    "bad-colour": (lambda text: text.replace('"#d9603b"', '"red-ish"', 1), "front"),
}


def sound(number: int) -> str:
    """A design with numbers of its own."""
    text = MEADOW.replace("Meadow", f"design {number}")
    return text.replace("tall = 74", f"tall = {60 + number % 20}").replace(
        'page = "A5"', f'page = "{("A5", "B5", "A4")[number % 3]}"'
    )


@pytest.fixture
def shop(tmp_path):
    """Make a folder with some sound designs and the first few broken ones."""

    def make(good: int, bad: int = 0):
        folder = tmp_path / "shop"
        for number in range(good):
            path = folder / f"month-{number % 3}" / f"design-{number:03d}.toml"
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(sound(number))
        for name in list(BROKEN)[:bad]:
            spoil, _ = BROKEN[name]
            (folder / f"{name}.toml").write_text(spoil(sound(0)))
        return folder

    return make
