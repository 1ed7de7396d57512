"""Pages: pieces inside the margins, fronts and backs in register, large pieces refused or split."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely.geometry import Polygon

from meshes.sheet import Sheet, cut
from preview.errors import UseError
from preview.pattern.layout import Options, lay_out
from preview.pattern.marks import Show
from preview.pattern.stock import Stock, stock
from preview.pattern.template import templates

from .specimens import CARD, leaf, page_sheet, spread, tent


def laid(options=None, sheets=None, joins=None):
    if sheets is None:
        sheets, joins = spread()
    return lay_out("Hedge", templates(sheets, joins or ()), options or Options())


def banner(wide=300.0, high=60.0):
    facets, crossings = cut(shapely.box(0, 0, wide, high), [], {"all": (1, 1)})
    return Sheet("banner", "banner", CARD, CARD.front, CARD.back, facets, crossings)


def test_all_pieces_lie_inside_the_margin():
    pattern = laid(replace(Options(), margin=12.0))
    room = shapely.box(12, 12, 210 - 12, 297 - 12)
    for page in pattern.pages:
        for placed in page.placed:
            assert room.covers(placed.on_page(placed.template.outline))


def test_front_and_back_of_a_sheet_lie_on_each_other():
    for flip, turn in (
        ("long", lambda p: [210, 0] + p * [-1, 1]),
        ("short", lambda p: [0, 297] + p * [1, -1]),
    ):
        pattern = laid(replace(Options(), side="both", flip=flip))
        front, back = pattern.pages[:2]
        assert (front.face, back.face) == ("front", "back")
        for a, b in zip(front.placed, back.placed, strict=True):
            corners = np.asarray(a.template.outline.exterior.coords)
            assert np.abs(turn(a.apply(corners)) - b.apply(corners)).max() < 1e-9


def test_a_back_is_mirrored():
    (page, *_) = laid(replace(Options(), side="back")).pages
    assert page.face == "back"
    assert all(np.linalg.det(placed.matrix) > 0 for placed in page.placed)
    (page, *_) = laid().pages
    assert all(np.linalg.det(placed.matrix) < 0 for placed in page.placed)


@pytest.mark.parametrize(("grain", "axis"), [("long", 1), ("short", 0)])
def test_the_longest_fold_runs_with_the_grain(grain, axis):
    sheets, joins = spread()
    pattern = laid(replace(Options(), grain=grain), sheets, joins)
    for placed in pattern.pages[0].placed:
        fold = max(placed.template.folds, key=lambda f: f.length)
        ends = placed.apply(np.array([fold.start, fold.end]))
        along = np.abs(ends[1] - ends[0]) / fold.length
        assert along[axis] == pytest.approx(1.0, abs=1e-9)


def test_a_piece_larger_than_the_sheet_is_refused_with_what_to_try():
    with pytest.raises(UseError, match=r"banner is 300\.0 × 60\.0 mm .* on A4 .*--page A3"):
        laid(sheets=[page_sheet(), banner()])


def test_a_split_piece_is_whole_again_when_put_together():
    pattern = laid(replace(Options(), split=True, overlap=12.0), [page_sheet(), banner(300, 270)])
    tiles = [placed for page in pattern.pages for placed in page.placed]
    assert len(tiles) > 1
    parts = []
    for placed in tiles:
        shown = placed.on_page(placed.template.outline).intersection(placed.window)
        back = np.linalg.inv(placed.matrix)
        parts.append(shapely.transform(shown, lambda p, m=back, s=placed.shift: (p - s) @ m.T))
    outline = tiles[0].template.outline
    assert shapely.union_all(parts).symmetric_difference(outline).area < 1e-6
    assert sum(part.area for part in parts) > outline.area * 1.05
    for a, b in itertools.pairwise(parts):
        if a.intersects(b) and a.intersection(b).area > 0:
            left, bottom, right, top = a.intersection(b).bounds
            assert min(right - left, top - bottom) == pytest.approx(12.0, abs=1e-6)


def test_one_group_of_pages_for_each_paper():
    film = replace(CARD, name="film", clear=True)
    other = replace(leaf(), piece="veil", paper=film)
    sheet, joins = tent()
    pattern = laid(sheets=[page_sheet(), sheet, leaf(), other], joins=joins)
    assert [use.name for use in pattern.papers] == ["moss card", "film"]
    assert [use.pieces for use in pattern.papers] == [2, 1]


def test_pieces_of_one_paper_in_two_colours_are_not_mixed():
    rose = replace(leaf("rose"), front="#cc8899")
    pattern = laid(sheets=[page_sheet(), leaf(), rose])
    assert [use.name for use in pattern.papers] == ["moss card #5f7f4b", "moss card #cc8899"]


def test_colour_beyond_the_cut_never_reaches_a_neighbour():
    sheets = [page_sheet(), *[leaf(f"leaf-{k}") for k in range(12)]]
    pattern = laid(replace(Options(), gap=1.0, show=Show(colours=True, bleed=3.0)), sheets)
    shapes = [Polygon(p.on_page(p.template.outline).exterior) for p in pattern.pages[0].placed]
    for k, shape in enumerate(shapes):
        assert all(shape.distance(other) >= 6.99 for other in shapes[:k])


def test_a_scaling_printer_gets_less_room():
    pattern = laid(replace(Options(), scale=(0.9, 0.9)))
    middle = np.array([105.0, 148.5])
    for placed in pattern.pages[0].placed:
        file = (
            middle
            + (placed.apply(np.asarray(placed.template.outline.exterior.coords)) - middle) / 0.9
        )
        assert file.min() > 0
        assert (file < [210, 297]).all()


def test_too_small_a_sheet_is_refused():
    with pytest.raises(UseError, match="too little for the 100 mm check bars"):
        laid(replace(Options(), stock=Stock("small", 120, 120)))


def test_a_page_too_wide_for_the_sheet_is_shown_near_its_tabs():
    sheet, joins = tent()
    pattern = laid(sheets=[page_sheet(220, 300), sheet], joins=joins)
    sheets = [page for page in pattern.pages if page.paper == "placing sheets"]
    assert len(sheets) == 2
    (placed,) = sheets[0].placed
    left, _, right, _ = placed.template.outline.bounds
    assert right == pytest.approx(0.0)
    assert left < -38


@pytest.mark.parametrize("text", ["A9", "210", "-3x40", "20x30", "nanx100", "1e3x100"])
def test_unknown_sheet_sizes_are_refused(text):
    with pytest.raises(UseError, match="no sheet size"):
        stock(text)
