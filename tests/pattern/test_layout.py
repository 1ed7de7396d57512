"""Pages: pieces inside the margins, fronts and backs in register, large pieces refused or split."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely.geometry import Polygon

from meshes.sheet import Fold, Sheet, cut
from preview.errors import UseError
from preview.pattern import font
from preview.pattern.drawing import Fill, PenStroke, Text
from preview.pattern.furniture import Register
from preview.pattern.layout import Options, lay_out, shown_on
from preview.pattern.machine import Run, job_of
from preview.pattern.machine_files import svg_of
from preview.pattern.marks import Show, marks
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


def test_printed_on_both_sides_the_front_shows_only_what_glue_hides():
    """No cut, fold or name is left on a finished piece, and each face tells of its own glue."""
    pattern = laid(replace(Options(), side="both"))
    for page in [p for p in pattern.pages if p.paper != "placing sheets"]:
        for placed in page.placed:
            drawn = marks(placed, shown_on(page, pattern.options))
            roles = {mark.role for mark in drawn if isinstance(mark, PenStroke)}
            words = [mark.text for mark in drawn if isinstance(mark, Text)]
            assert not [word for word in words if word.startswith("(")]
            if page.face == "front":
                assert roles <= {"hatch", "place"}
                hidden = [placed.on_page(a.polygon) for a in placed.template.glue]
                for text in [mark for mark in drawn if isinstance(mark, Text)]:
                    assert any(area.covers(shapely.Point(text.x, text.y)) for area in hidden)
            else:
                assert {"cut"} <= roles
                assert any(placed.template.title in word for word in words)


def test_without_a_grain_a_rectangle_lies_square_to_the_sheet():
    """Turned by whole quarters; what is longer than the sheet is wide, by one or three."""
    for pattern in (laid(), laid(sheets=[page_sheet(), banner(240, 60)])):
        for placed in [one for page in pattern.pages for one in page.placed]:
            if placed.template.title in ("tent", "banner"):
                assert np.allclose(np.sort(np.abs(placed.matrix), axis=1), [[0, 1], [0, 1]])


@pytest.mark.parametrize("side", ["front", "back", "both"])
def test_bars_are_printed_once_and_crosses_where_two_faces_must_meet(side):
    """Crosses lie 7 mm from both edges near each corner, at the same places on both faces."""
    pattern = laid(replace(Options(), side=side))
    for page in [p for p in pattern.pages if p.paper != "placing sheets"]:
        strokes = [mark for mark in page.furniture if isinstance(mark, PenStroke)]
        lengths = [shapely.LineString(m.points).length for m in strokes if m.role == "sign"]
        bars = sum(abs(length - 100) < 1e-9 for length in lengths)
        assert bars == (2 if side != "both" or page.face == "front" else 0)
        found = [shapely.LineString(m.points).centroid for m in strokes if m.role == "rule"]
        middles = {(round(p.x, 6), round(p.y, 6)) for p in found if min(p.x, p.y) == 7 or p.x > 202}
        corners = {(x, y) for x in (7.0, 203.0) for y in (7.0, 290.0)}
        assert (corners <= middles) == (side == "both")


def test_a_machine_fills_its_register_marks_and_nothing_else():
    options = replace(Options(), furnished=False, pages=False, register=Register())
    page = laid(options).pages[0]
    groups = re.findall(r'<g id="(.+?)" fill="(.+?)"', svg_of(job_of("x", page, Run())))
    assert {name for name, fill in groups if fill != "none"} == {"register"}
    assert len(groups) > 2


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


def parts_of(pattern):
    return [placed.template for page in pattern.pages for placed in page.placed]


def test_a_piece_in_parts_is_whole_again_when_put_together():
    pattern = laid(replace(Options(), split=True, overlap=12.0), [page_sheet(), banner(300, 170)])
    parts = sorted(parts_of(pattern), key=lambda part: part.part)
    assert [part.part for part in parts] == ["part 1 of 2", "part 2 of 2"]
    whole = banner(300, 170).outline
    assert shapely.union_all([p.outline for p in parts]).symmetric_difference(whole).area < 1e-6
    (hatched,) = [area for area in parts[0].glue if not area.lands]
    (landing,) = [area for area in parts[1].glue if area.lands]
    assert (hatched.letter, hatched.face) == (landing.letter, "front")
    assert landing.face == "back"
    common = parts[0].outline.intersection(parts[1].outline)
    for area in (hatched, landing):
        assert area.polygon.symmetric_difference(common).area < 1e-6
    assert common.area == pytest.approx(12.0 * 170.0, rel=1e-6), "12 mm all along the seam"


def test_a_piece_larger_both_ways_comes_in_parts_that_are_all_of_it():
    pattern = laid(replace(Options(), split=True), [page_sheet(), banner(300, 270)])
    parts = parts_of(pattern)
    whole = banner(300, 270).outline
    assert shapely.union_all([p.outline for p in parts]).symmetric_difference(whole).area < 1e-6
    assert 4 <= len(parts) <= 6
    lettered = {area.letter for part in parts for area in part.glue}
    assert len(lettered) == len(parts) - 1, "each seam has a letter of its own"


def folded_banner(folds):
    """A banner of 300 × 60 mm with folds from edge to edge at these places."""
    marks = [Fold(f"k{k}", (x, 0), (x, 60), 1) for k, x in enumerate(folds)]
    labels = {f"f{k}": (x + 0.5, 30) for k, x in enumerate([0, *folds])}
    facets, crossings = cut(shapely.box(0, 0, 300, 60), marks, labels)
    return Sheet("banner", "banner", CARD, CARD.front, CARD.back, facets, crossings)


@pytest.mark.parametrize("folds", [[150], [60, 100, 140, 180, 220], range(20, 300, 22)])
def test_no_seam_comes_near_a_fold_unless_it_is_one(folds):
    pattern = laid(replace(Options(), split=True), [page_sheet(), folded_banner(folds)])
    parts = parts_of(pattern)
    assert sum(len(part.folds) for part in parts) == len(folds), "each fold on one part"
    for part in parts:
        for area in part.glue:
            left, _, right, _ = area.polygon.bounds
            for x in folds:
                # Paper is doubled from 8 mm beside a fold on, or from the fold itself.
                at_fold = min(abs(left - x), abs(right - x)) < 1e-6
                assert at_fold or max(left - x, x - right) > 8 - 1e-6


def test_a_piece_without_a_place_for_a_seam_is_refused():
    sheets = [page_sheet(), folded_banner(range(10, 300, 9))]
    with pytest.raises(UseError, match=r"banner can't be parted: every line .* within 8 mm"):
        laid(replace(Options(), split=True), sheets)


def test_a_wide_v_fold_is_parted_along_its_ridge():
    """Its glue folds meet the ridge in its point: there the overlap keeps 8 mm off them."""
    outline = Polygon([(0, 0), (140, 27), (138, 100), (0, 100), (-138, 100), (-140, 27)])
    tabs = Polygon([(0, 0), (140, 27), (140, 19), (6, -6)])
    tabs = tabs.union(shapely.transform(tabs, lambda p: p * [-1, 1]))
    whole = shapely.union_all([outline, tabs], grid_size=1e-6)
    folds = [
        Fold("ridge", (0, 0), (0, 100), 1),
        Fold("left-base", (0, 0), (-140, 27), -1),
        Fold("right-base", (0, 0), (140, 27), -1),
    ]
    facets, crossings = cut(whole, folds, {"left": (-50, 50), "right": (50, 50)})
    houses = Sheet("houses", "houses", CARD, CARD.front, CARD.back, facets, crossings, uncut=whole)
    parts = parts_of(laid(replace(Options(), split=True), [page_sheet(), houses]))
    assert len(parts) == 2
    for part in parts:
        for area in part.glue:
            for fold in folds[1:]:
                line = shapely.LineString([fold.start, fold.end])
                assert line.distance(area.polygon) > 8 - 0.01


def test_a_long_piece_lies_askew_before_it_is_parted():
    pattern = laid(replace(Options(), split=True), [page_sheet(), banner(260, 20)])
    (part,) = parts_of(pattern)
    assert part.part == ""


def test_parts_keep_the_grain_of_the_piece():
    options = replace(Options(), split=True, grain="long")
    pattern = laid(options, [page_sheet(), folded_banner([100])])
    for page in pattern.pages:
        for placed in page.placed:
            along = placed.apply(np.array([[0.0, 0.0], [0.0, 1.0]]))
            assert abs((along[1] - along[0])[1]) == pytest.approx(1.0), "upright, as the fold"


def test_one_group_of_pages_for_each_paper():
    film = replace(CARD, name="film", clear=True)
    other = replace(leaf(), piece="veil", paper=film)
    sheet, joins = tent()
    pattern = laid(sheets=[page_sheet(), sheet, leaf(), other], joins=joins)
    assert [use.name for use in pattern.papers] == ["moss card", "film"]
    assert [use.cut_outs for use in pattern.papers] == [2, 1]


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


def spiky(name, long, wide):
    """A leaf with two sharp tips, over which a mitred bleed reaches far."""
    corners = [(0, 0), (long / 2, -wide / 2), (long, 0), (long / 2, wide / 2)]
    facets, crossings = cut(Polygon(corners), [], {"all": (long / 2, 0)})
    return Sheet(name, name, CARD, CARD.front, CARD.back, facets, crossings)


def test_colour_beyond_the_cut_stays_inside_the_margins():
    """But for a piece that fits no other way: it has the sheet's whole length for itself."""
    sheets = [page_sheet(), *[spiky(f"leaf-{k}", 60.0 + 7 * k, 50.0) for k in range(14)]]
    options = replace(Options(), pages=False, show=Show(colours=True, bleed=2.0))
    pattern = laid(options, sheets)
    room = shapely.box(10, 10, 200, 287).buffer(0.05)
    found = [(page, placed) for page in pattern.pages for placed in page.placed]
    fills = [m for _, p in found for m in marks(p, options.show) if isinstance(m, Fill)]
    assert len(fills) == 14
    assert all(room.covers(Polygon(fill.rings[0])) for fill in fills)
    (page,) = laid(options, [page_sheet(), *[banner(246.0, w) for w in (90, 60)]]).pages
    shapes = [Polygon(p.on_page(p.template.outline).exterior) for p in page.placed]
    assert all(room.covers(shape) for shape in shapes)
    assert shapes[0].distance(shapes[1]) >= 5.0 - 1e-6


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


def test_a_placing_sheet_says_how_high_it_begins_and_which_edge_is_the_gutter():
    sheet, joins = tent(y=40.0)
    for page, words in (
        (page_sheet(), "foot of the page"),
        (page_sheet(220, 300), "30.0 mm above"),
    ):
        pattern = laid(sheets=[page, sheet], joins=joins)
        sheets = [p for p in pattern.pages if p.paper == "placing sheets"]
        for one, side in zip(sheets, (-1, 1), strict=True):
            (placed,) = one.placed
            left, top, right, bottom = placed.on_page(placed.template.outline).bounds
            notes = [mark for mark in one.furniture if isinstance(mark, Text)]
            # Tabs reach down to 40 mm, and 10 mm are kept below them.
            (foot,) = [n for n in notes if words in n.text]
            assert 0 < bottom - foot.y < 3
            assert left < foot.x < right
            (gutter,) = [n for n in notes if "in the gutter" in n.text]
            edge = right if side < 0 else left
            assert abs(gutter.x - edge) < 5
            assert top < gutter.y < bottom


@pytest.mark.parametrize("text", ["A9", "210", "-3x40", "20x30", "nanx100", "1e3x100"])
def test_unknown_sheet_sizes_are_refused(text):
    with pytest.raises(UseError, match="no sheet size"):
        stock(text)


@pytest.mark.parametrize("size", ["A5", "A4"])
@pytest.mark.parametrize("side", ["front", "back", "both"])
def test_words_at_the_head_of_a_page_are_on_nothing_and_inside_its_margins(size, side):
    """Also where the paper's name is long, and on each part of a placing sheet."""
    sheet, joins = tent()
    wide = replace(CARD, name="white card for printing, smooth")
    sheet = replace(sheet, paper=wide)
    options = Options(stock=stock(size), side=side, show=Show(colours=side == "both"))
    made = templates([page_sheet(200, 240), sheet], joins)
    for page in lay_out("A spread with a long title", made, options).pages:
        head = [m for m in page.furniture if isinstance(m, Text) and m.y < 24.0 and not m.angle]
        boxes = []
        for text in head:
            across = font.width(text.text, text.size, text.bold)
            left = text.x - across if text.anchor == "end" else text.x
            boxes.append(shapely.box(left, text.y - 0.75 * text.size, left + across, text.y))
        assert len(boxes) > 3
        for k, one in enumerate(boxes):
            assert 10.0 - 1e-6 < one.bounds[0] < one.bounds[2] < page.stock.width - 10.0 + 1e-6
            assert all(one.distance(other) > 0.3 for other in boxes[:k]), head[k].text
