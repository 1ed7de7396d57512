"""``foldstage new --kind``: each kind passes the strict check on pages of several sizes."""

from __future__ import annotations

import pytest

from meshes.pieces import KINDS
from preview import starter
from preview.cli import ExitCode

# Sources: ISO 216 for A5 and A6; 8.5 × 11 in.
SIZES = {"A5": (148, 210), "A6": (105, 148), "letter": (215.9, 279.4)}
BY_DAY = [("scene", "A5"), ("tower", "A5"), ("arm", "A6"), ("flat", "letter")]
EVERY = [
    pytest.param(kind, page, marks=() if (kind, page) in BY_DAY else pytest.mark.night)
    for kind in starter.kinds()
    for page in SIZES
]


@pytest.mark.parametrize(("kind", "page"), EVERY)
def test_it_passes_the_strict_check_and_is_cut_from_a4(kind, page, call, tmp_path):
    from meshes import spread

    assert call("new", "mine", "--kind", kind, "--page", page).code == ExitCode.DONE
    settings = spread.read(tmp_path / "mine.toml").design.spread
    assert (settings.width, settings.height) == pytest.approx(SIZES[page])
    outcome = call("check", "mine.toml", "--strict")
    assert (outcome.code, outcome.out.splitlines()[-1]) == (ExitCode.DONE, "Ready to cut")
    # A page of letter size is no smaller than a sheet of A4, and a leaf is as large as the page.
    whole = (kind, page) != ("flyleaf", "letter")
    split = () if whole else ("--split",)
    printed = call("pattern", "mine.toml", "--page", "A4", "-o", "mine.pdf", *split)
    assert printed.code == ExitCode.DONE


def test_there_is_every_kind_of_piece():
    known = set(starter.kinds())
    assert {"flower", "tower", "scene"} <= known
    assert set(KINDS) <= known
