"""Slips in the TOML itself: the line, the place in it, and a line that can be put in its stead."""

from __future__ import annotations

import tomllib

import pytest

from meshes import spread
from meshes.errors import DesignError

# What is written, what should stand there, and what is said of it.
SLIPS = {
    "at = 10,5": ("at = 10.5", "a comma for a decimal point"),
    "outline = { shape = 'leaf', width = 5,5 }": (
        "outline = { shape = 'leaf', width = 5.5 }",
        "a comma for a decimal point",
    ),
    "paper = “card”": ('paper = "card"', "curly quotes"),
    "paper = „card“": ('paper = "card"', "curly quotes"),
    "front = #5a8f69": ('front = "#5a8f69"', "a colour without quotes"),
    "at: 100": ("at = 100", "a colon"),
    "page angle = 45": ("page_angle = 45", "a blank in a key"),
    "[pieces.my leaf]": ("[pieces.my-leaf]", "a blank in a name"),
    "paper = card": ('paper = "card"', "text without quotes"),
    'paper = "card': ('paper = "card"', "a quote that is never closed"),
}


def line_of(file, text):
    file.write_text(text, encoding="utf-8")
    with pytest.raises(DesignError) as caught:
        spread.read(file)
    (line,) = str(caught.value).splitlines()
    return line


@pytest.mark.parametrize("wrong", SLIPS)
@pytest.mark.parametrize("after", ["", "\n[pieces.moss]\nkind = 'flat'\n"])
def test_a_slip_is_told_with_its_line_its_place_and_its_cure(wrong, after, tmp_path):
    right, said = SLIPS[wrong]
    line = line_of(tmp_path / "design.toml", f"[pieces.fern]\nkind = 'v-fold'\n{wrong}{after}")
    assert "line 3" in line
    assert said in line
    assert line.endswith(f"try: {right}")
    assert "▸" in line
    tomllib.loads(f"[pieces.fern]\nkind = 'v-fold'\n{right}{after}")


@pytest.mark.parametrize(
    ("text", "own", "before"),
    [
        ("[pieces.fern]\nat = 1\n[pieces.fern]\nat = 2\n", "[pieces.fern]", "line 1"),
        ("[pieces.fern]\nat = 1\nbase = 3\nat = 2\n", "at would", "line 2"),
    ],
)
def test_a_name_given_twice_names_both_lines(text, own, before, tmp_path):
    line = line_of(tmp_path / "design.toml", text)
    assert own in line
    assert before in line


def test_a_line_without_a_known_cure_is_shown_and_no_cure_made_up(tmp_path):
    line = line_of(tmp_path / "design.toml", "[pieces.fern]\nat = = 3\n")
    assert "line 2" in line
    assert "found at = ▸= 3" in line
    assert "try" not in line
