"""A guide and the pattern that it goes with: the same paper, as many sheets, as many parts."""

from __future__ import annotations

import re

import pytest

from meshes import spread
from preview.cli.guide import _say_how_to_print
from preview.errors import UseError
from preview.guide.plan import compose
from preview.guide.sheets import printed_on
from preview.pattern.layout import Options, lay_out
from preview.pattern.stock import stock
from preview.pattern.template import templates

DESIGN = """
title = "Long ridge"
[spread]
page = "A3"
[pieces.ridge]
kind = "tent"
on = "gutter"
at = 30
distance = 40
panel = 55
width = {width}
"""


@pytest.fixture(scope="module")
def read(tmp_path_factory):
    def read(width):
        file = tmp_path_factory.mktemp("sheets") / "ridge.toml"
        file.write_text(DESIGN.format(width=width))
        return spread.read(file)

    return read


@pytest.mark.parametrize(
    ("width", "asked", "counted"),
    [(120, "A4", "A4"), (120, "A3", "A3"), (300, "A4", "A3"), (300, "A5", "A3")],
)
def test_a_guide_counts_on_its_own_paper_or_the_next_that_takes_all_pieces(
    read, width, asked, counted
):
    """A tent's folds run all along it, so it can be parted along them only."""
    found = read(width)
    pattern = printed_on(found, stock(asked))
    assert pattern.options.stock.name == counted
    # The same options given to the pattern make the same sheets.
    made = templates(found.sheets, found.joins, None, found.linkage.drives)
    same = lay_out(found.design.title, made, Options(stock=stock(counted), split=True))
    assert [len(page.placed) for page in same.pages] == [len(page.placed) for page in pattern.pages]
    need = compose(found, pattern, [], None, []).materials
    assert [one.name for one in need[:2]] == ["notebook", "printed pattern"]
    assert need[1].detail.startswith(f"on {counted};")
    sheets = sum(use.sheets for use in pattern.papers)
    (said,) = re.findall(rf"(\d+) sheets? of {counted}", " ".join(item.detail for item in need))
    assert int(said) == sheets


def test_a_piece_for_which_no_sheet_is_large_enough_is_named(read, monkeypatch):
    monkeypatch.setattr("preview.guide.sheets.SIZES", ("A4",))
    with pytest.raises(UseError, match=r"ridge can't be parted: .*try --page A3"):
        printed_on(read(300), stock("A4"))


class Ear:
    """A terminal that keeps what is said."""

    def __init__(self):
        self.heard = []

    def say(self, text):
        self.heard.append(text)


def test_what_the_pattern_must_be_told_is_said(read):
    ear = Ear()
    _say_how_to_print(printed_on(read(300), stock("A4")), stock("A4"), ear)
    assert ear.heard == [
        "a piece is too large for A4; the guide counts on A3",
        "the guide goes with: foldstage pattern … --page A3",
    ]
    ear = Ear()
    _say_how_to_print(printed_on(read(120), stock("A4")), stock("A4"), ear)
    assert ear.heard == []
