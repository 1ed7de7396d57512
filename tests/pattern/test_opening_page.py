"""The first page explains what the pattern has, all of it and nothing else, and is easy to read."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity

from meshes import spread as reader
from meshes.sheet import WHITE, Paper
from preview.pattern import font
from preview.pattern.drawing import Fill, Text
from preview.pattern.layout import Options, lay_out, shown_on
from preview.pattern.marks import Show, inked, marks
from preview.pattern.opening_page import opening_pages
from preview.pattern.template import templates

from .specimens import leaf, page_sheet, spread, tent
from .test_layout import banner

# Every pattern's own.
USUAL = {"Cut", "Valley fold", "Mountain fold", "Glue", "Place", "On the back", "Names"}
WHEEL = """
title = "wheel"
[pieces.wheel]
kind = "wheel"
on = "page.right"
x = 80
y = 100
radius = 30
"""


def small(options):
    sheets, joins = spread()
    return lay_out("Hedge", templates(sheets, joins), options)


def large(options):
    return lay_out("Banner", templates([page_sheet(), banner()], ()), options)


def wide(options):
    """Tabs at all corners of a page of A2."""
    one, joins = tent("low", foot=240.0, y=10.0)
    two, more = tent("high", foot=240.0, y=500.0)
    return lay_out("Wide", templates([page_sheet(420, 594), one, two], (*joins, *more)), options)


@pytest.fixture
def wheel(tmp_path):
    file = tmp_path / "wheel.toml"
    file.write_text(WHEEL)
    found = reader.read(file)
    return templates(found.sheets, found.joins, None, found.linkage.drives)


@pytest.fixture
def turned(wheel):
    return lambda options: lay_out("W", wheel, options)


PLAIN = Options()
CASES = {
    "plain": (small, PLAIN, set(), set()),
    "names off": (small, replace(PLAIN, show=Show(names=False)), set(), {"Names"}),
    "marks on the back": (small, Options(side="back"), {"On the printed side"}, {"On the back"}),
    "both sides": (small, Options(side="both"), set(), {"On the back"}),
    "grain": (small, Options(grain="long"), {"Grain"}, set()),
    "parts": (large, Options(split=True), {"Parts"}, set()),
    "seam": (wide, PLAIN, {"Seam"}, {"On the back"}),
    "wheel": ("turned", PLAIN, {"Fastener", "No glue"}, {"On the back"}),
}
# What stands among the steps before printing, and when.
STEPS = {
    "turned over the long edge": lambda options: options.side == "both",
    "marks come onto its back": lambda options: options.side == "back",
    "makes up for a printer scale": lambda options: options.scale != (1.0, 1.0),
}


def texts(pattern):
    return [[mark for mark in page if isinstance(mark, Text)] for page in opening_pages(pattern)]


@pytest.mark.parametrize("name", CASES)
def test_every_sign_of_the_pattern_is_explained_and_no_other(name, request):
    make, options, more, less = CASES[name]
    pattern = (request.getfixturevalue(make) if isinstance(make, str) else make)(options)
    pages = texts(pattern)
    known = USUAL | set().union(*(row[2] for row in CASES.values()))
    said = [text.text for page in pages for text in page if text.text in known and text.bold]
    assert sorted(said) == sorted(USUAL - less | more)
    words = " ".join(text.text for page in pages for text in page)
    for step, when in STEPS.items():
        assert (step in words) == when(options)
    assert f"Waste in all {100 * pattern.waste:.0f} %" in words
    assert "Blades cut fingers" in words
    for page in pages:
        check_legible(page, options)


@pytest.mark.parametrize("side", ["front", "back", "both"])
def test_the_key_on_a_page_tells_of_brackets_where_there_are_any(side):
    pattern = small(Options(side=side))
    told = 0
    for page in pattern.pages:
        words = [mark.text for mark in page.furniture if isinstance(mark, Text)]
        show = shown_on(page, pattern.options)
        drawn = [mark for placed in page.placed for mark in marks(placed, show)]
        any_there = any(m.text.startswith("(") for m in drawn if isinstance(m, Text))
        assert any("(A) on the other side" in text for text in words) == any_there
        assert any("put glue here" in text for text in words)
        told += any_there
    assert (told > 0) == (side != "both")


def box_of(text):
    """What capitals of a text cover; page mm, y down, angles counter-clockwise."""
    wide = font.width(text.text, text.size, text.bold)
    before = {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor] * wide
    frame = shapely.box(-before, -0.66 * text.size, wide - before, 0)
    frame = affinity.rotate(frame, -text.angle, origin=(0, 0), use_radians=True)
    return affinity.translate(frame, text.x, text.y)


def check_legible(page, options):
    """No text runs over another or into the margin."""
    boxes = [box_of(text) for text in page]
    for shape in boxes:
        left, top, right, bottom = shape.bounds
        assert min(left, top) >= options.margin - 1e-6
        assert right <= options.stock.width - options.margin + 1e-6
        assert bottom <= options.stock.height - options.margin + 1e-6
    for one, other in itertools.combinations(boxes, 2):
        assert one.intersection(other).area < 0.05


def test_a_scale_is_told_with_its_figures():
    words = " ".join(t.text for page in texts(small(Options(scale=(0.989, 1.0)))) for t in page)
    assert "a printer scale of 0.989 × 1" in words


@pytest.mark.parametrize(("colour", "side", "warned"), [
    ("#101820", "front", True),
    ("#101820", "back", False),
    ("#e8e4d8", "front", False),
])  # fmt: skip
def test_black_on_dark_paper_is_warned_of(colour, side, warned):
    sheets = [
        page_sheet(),
        replace(leaf(), front=colour, paper=replace(leaf().paper, front=colour)),
    ]
    pattern = lay_out("x", templates(sheets, ()), Options(side=side))
    words = " ".join(text.text for page in texts(pattern) for text in page)
    assert ("Black lines do not show" in words) == warned


def test_a_wheel_has_its_hole_in_the_disc_and_in_the_page_where_it_lies(wheel):
    """On the right page at (80, 100), as the design says; the disc itself has it in its middle."""
    disc, page = wheel
    assert (disc.title, disc.is_page, page.is_page) == ("wheel", False, True)
    assert (disc.pivots, disc.laid) == (((0.0, 0.0),), ())
    assert page.pivots == (pytest.approx((80, 100)),)
    (round_,) = page.laid
    assert round_.bounds == pytest.approx((50, 70, 110, 130), abs=0.1)


@given(
    st.lists(st.text("abcdefg", min_size=1, max_size=9), min_size=1, max_size=30),
    st.floats(8, 60),
    st.booleans(),
)
@settings(max_examples=40, derandomize=True, deadline=None)
def test_lines_are_filled_one_after_the_other(words, width, bold):
    """First fit: as few lines as can be, since a line takes all words that it has room for."""
    rows = font.wrapped(" ".join(words), 3.0, width, bold)
    assert " ".join(rows).split() == words
    for row, following in itertools.pairwise([*rows, ""]):
        assert font.width(row, 3.0, bold) <= width or " " not in row
        if following:
            assert font.width(f"{row} {following.split()[0]}", 3.0, bold) > width


def said_on(pattern):
    return " ".join(m.text for page in opening_pages(pattern) for m in page if isinstance(m, Text))


def test_who_was_handed_the_file_is_told_of_the_printer_and_of_no_program():
    """Once a buyer read of options and of waste."""
    bought = said_on(small(Options(handed_on=True)))
    assert "the printer's settings" in bought
    assert "--" not in bought
    assert "waste" not in bought.lower()
    assert "--printer-scale" in said_on(small(Options()))


def test_how_large_the_notebook_must_be_is_said():
    # Source: ISO 216, A5.
    assert "pages of 148 × 210 mm" in said_on(small(Options()))


@pytest.mark.parametrize(
    ("own", "front", "made", "printed"),
    [
        ("#eef4f6", "#eef4f6", {"clear": True}, False),
        ("#eef4f6", "#c04040", {"clear": True}, True),
        (WHITE, WHITE, {}, False),
        ("#c04040", "#c04040", {}, True),
        ("#b98f62", "#b98f62", {"finish": "kraft"}, False),
        ("#b98f62", "#c04040", {"finish": "kraft"}, True),
        ("#d9a441", "#d9a441", {"finish": "metallic"}, False),
    ],
)
def test_what_is_bought_in_its_colour_is_not_printed_in_it(own, front, made, printed):
    """Once film was to be printed in the grey of pictures, and kraft to be bought white."""
    paper = Paper("x", 100.0, 0.1, own, own, **made)
    sheet = replace(leaf(), paper=paper, front=front, back=own)
    assert inked(sheet, "front") == printed
    pieces = templates([page_sheet(), sheet], ())
    pattern = lay_out("x", pieces, Options(side="both", show=Show(colours=True)))
    (use,) = pattern.papers
    assert use.printed == ((front,) if printed else ())
    assert use.white == (not made)
    shown = pattern.options.show
    fills = [m for m in marks(pattern.pages[0].placed[0], shown) if isinstance(m, Fill)]
    assert bool(fills) == printed
