"""What is drawn of a piece: line roles by face, glue letters in pairs, names that fit."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely.geometry import Polygon

from meshes.sheet import Fold, Join, Placement, Sheet, cut
from preview.pattern.drawing import Fill, PenStroke, Text
from preview.pattern.glue import glue_areas, letter
from preview.pattern.layout import Options, lay_out
from preview.pattern.lettering import text_box
from preview.pattern.line import dashes
from preview.pattern.marks import Placed, Show, marks
from preview.pattern.template import templates
from preview.roles import role

from .specimens import CARD, leaf, page_sheet, spread, tent


def front_and_back(template):
    front = Placed(template, np.diag([1.0, -1.0]), np.array([50.0, 80.0]))
    back = Placed(template, np.diag([-1.0, -1.0]), np.array([150.0, 80.0]), "back")
    return front, back


def roles(placed, show=None):
    found = marks(placed, show or Show())
    return [m.role for m in found if isinstance(m, PenStroke)]


def test_mountains_seen_from_the_back_are_valleys():
    sheet, joins = tent()
    front, back = front_and_back(templates([page_sheet(), sheet], joins)[0])
    assert roles(front).count("mountain") == 3
    assert roles(front).count("valley") == 0
    assert roles(back).count("mountain") == 0
    assert roles(back).count("valley") == 3


def test_a_window_is_a_slit_and_is_drawn_before_the_outline():
    drawn = roles(front_and_back(templates([leaf()], [])[0])[0])
    assert drawn.index("slit") < drawn.index("cut")
    assert drawn.count("cut") == 1


def test_both_sides_of_a_join_have_the_same_letter_and_matching_corners():
    sheets, joins = spread()
    areas = glue_areas(sheets, joins)
    for number, join in enumerate(joins):
        tab, place = [a for a in areas if a.letter == letter(number)]
        assert (tab.lands, place.lands) == (False, True)
        assert (tab.facet, place.facet) == (join.facet, join.host)
        moved = join.placement.apply(np.asarray(tab.polygon.exterior.coords))
        assert np.abs(moved - np.asarray(place.polygon.exterior.coords)).max() < 1e-9


def test_the_face_that_touches_carries_the_glue():
    sheets, _ = spread()
    up = Join("leaf.upper", "tent.left", Placement(0, (-42, 20)))
    assert [a.face for a in glue_areas(sheets, [up])] == ["back", "front"]
    down = Join("leaf.upper", "tent.left", Placement(0, (-10, 20), True))
    assert [a.face for a in glue_areas(sheets, [down])] == ["front", "front"]
    behind = Join("leaf.upper", "tent.left", Placement(0, (-42, 20)), -1)
    assert [a.face for a in glue_areas(sheets, [behind])] == ["front", "back"]


def test_only_glue_on_the_seen_face_is_hatched():
    sheet, joins = tent()
    front, back = front_and_back(templates([page_sheet(), sheet], joins)[0])
    assert "hatch" in roles(front)
    assert "hatch" not in roles(back)
    letters = [m.text for m in marks(back, Show()) if isinstance(m, Text)]
    assert {"(A)", "(B)"} <= set(letters)
    assert "place" not in roles(back, Show(other_face=False))


def test_hatching_stays_inside_its_area():
    sheet, joins = tent()
    template = templates([page_sheet(), sheet], joins)[0]
    front, _ = front_and_back(template)
    area = shapely.union_all([front.on_page(a.polygon) for a in template.glue])
    for mark in marks(front, Show()):
        if isinstance(mark, PenStroke) and mark.role == "hatch":
            assert area.buffer(1e-6).covers(shapely.LineString(mark.points))


def test_hatching_fills_its_area_with_lines_1_8_mm_apart():
    """No round spot wider than the gap between two lines stays bare, but for the letter's room."""
    sheet, joins = tent(wide=60.0)
    template = templates([page_sheet(), sheet], joins)[0]
    front, _ = front_and_back(template)
    drawn = [m for m in marks(front, Show(names=False)) if isinstance(m, PenStroke)]
    hatched = shapely.union_all([shapely.LineString(m.points) for m in drawn if m.role == "hatch"])
    for way in (np.diff(m.points, axis=0)[0] for m in drawn if m.role == "hatch"):
        assert abs(way[0] + way[1]) < 1e-9
    letters = [text_box(m) for m in marks(front, Show(names=False)) if isinstance(m, Text)]
    for area in (front.on_page(a.polygon) for a in template.glue if a.face == "front"):
        # Lines 1.8 mm apart leave 0.9 mm to either side, and 0.7 mm are kept from the edge.
        bare = area.buffer(-0.71).difference(hatched.buffer(0.91))
        spots = bare.difference(shapely.union_all(letters).buffer(2.5))
        assert spots.buffer(-0.45).is_empty
        assert hatched.intersection(area).distance(area.exterior) == pytest.approx(0.7, abs=0.01)
        gap = hatched.buffer(0.85)
        assert area.buffer(-2).difference(gap).area > 5


@pytest.mark.parametrize("turn", [0.0, 0.4, 2.2])
def test_the_name_of_a_fold_runs_along_it_if_it_is_no_longer(turn):
    c, s = np.cos(turn), np.sin(turn)
    for wide in (50.0, 5.0):
        sheet, joins = tent(wide=wide)
        template = templates([page_sheet(), sheet], joins)[0]
        matrix = np.array([[c, -s], [s, c]]) @ np.diag([-1.0, -1.0])
        placed = Placed(template, matrix, np.array([150.0, 80.0]), "back")
        drawn = [m for m in marks(placed, Show()) if isinstance(m, Text)]
        for fold in template.folds:
            named = [m for m in drawn if m.text == role(fold.name)]
            assert len(named) == (wide > 10)
            for text in named:
                ends = placed.apply(np.array([fold.start, fold.end]))
                line = shapely.LineString(ends)
                way = (ends[1] - ends[0]) / line.length
                # On the page y runs down, angles are counter-clockwise.
                assert abs(way @ (np.sin(text.angle), np.cos(text.angle))) < 1e-6
                box = text_box(text)
                assert line.distance(box) < 2.0
                along = (np.asarray(box.exterior.coords) - ends[0]) @ way
                assert 0 < along.min() < along.max() < line.length


def test_names_lie_on_their_piece():
    sheets, joins = spread()
    for template in templates(sheets, joins)[:2]:
        placed, _ = front_and_back(template)
        names = [
            m for m in marks(placed, Show()) if isinstance(m, Text) and template.title in m.text
        ]
        assert len(names) == 1
        outline = placed.on_page(template.outline)
        assert outline.covers(shapely.Point(names[0].x, names[0].y))


def test_a_piece_too_small_for_its_name_carries_its_number():
    small = leaf("a-very-long-name-indeed", 24.0, 9.0)
    (template,) = templates([small], [])
    placed, _ = front_and_back(template)
    assert [m.text for m in marks(placed, Show()) if isinstance(m, Text) and m.bold] == ["1"]


def test_a_piece_too_small_for_its_number_has_it_beside_it():
    (template,) = templates([leaf("dot", 3.0, 1.2)], [])
    placed, _ = front_and_back(template)
    (number,) = [m for m in marks(placed, Show()) if isinstance(m, Text) and m.bold]
    assert number.text == "1"
    assert text_box(number).disjoint(placed.on_page(template.outline))


def test_two_neighbours_kept_flat_take_no_glue():
    sheet, joins = tent()
    flat = Join("tent.left", "tent.tab-left", Placement())
    found = glue_areas([page_sheet(), sheet], (flat, *joins))
    assert [area.letter for area in found] == ["B", "B", "C", "C"]


def test_hatching_makes_room_for_the_number():
    sheets, joins = spread()
    whole = Join("leaf.upper", "tent.left", Placement(0.3, (-42.0, 20.0), True))
    other = Join("leaf.lower", "tent.left", Placement(0.3, (-42.0, 20.0), True))
    template = templates(sheets, (*joins[:2], whole, other))[1]
    placed, _ = front_and_back(template)
    drawn = marks(placed, Show())
    (number,) = [m for m in drawn if isinstance(m, Text) and m.text.startswith("2")]
    for mark in drawn:
        if isinstance(mark, PenStroke) and mark.role == "hatch":
            assert text_box(number).disjoint(shapely.LineString(mark.points))


def test_only_a_sheet_of_several_facets_has_the_names_of_its_facets_in_it():
    sheets, joins = spread()
    facets, crossings = cut(shapely.box(0, 0, 30, 25), [], {"whole": (1, 1)})
    card = Sheet("card", "card", CARD, CARD.front, CARD.back, facets, crossings)
    stuck = Join("card.whole", "tent.right", Placement(0.0, (5.0, 10.0), True))
    made = {t.title: t for t in templates((*sheets, card), (*joins, stuck))}
    said = {}
    for name in ("tent", "card"):
        # On the other side of the glue, where words stand.
        _, placed = front_and_back(made[name])
        said[name] = " ".join(m.text for m in marks(placed, Show()) if isinstance(m, Text))
    assert "half of the foot" in said["tent"]
    assert "whole" not in said["card"]


def test_what_is_on_the_other_side_is_said_to_be_there():
    sheets, joins = spread()
    template = templates(sheets, joins)[0]
    front, back = front_and_back(template)
    said = {}
    for placed in (front, back):
        said[placed.face] = [m.text for m in marks(placed, Show()) if isinstance(m, Text)]
    assert said["back"].count("on the printed side") == 2
    assert "leaf" in said["back"]
    assert not any("on the" in words for words in said["front"])


def test_bleed_reaches_beyond_the_cut_on_all_sides():
    (template,) = templates([leaf()], [])
    placed, _ = front_and_back(template)
    (fill,) = [m for m in marks(placed, Show(colours=True, bleed=2.0)) if isinstance(m, Fill)]
    outline = Polygon(placed.on_page(template.outline).exterior)
    gap = outline.exterior.distance(Polygon(fill.rings[0]).exterior)
    assert gap == pytest.approx(2.0, abs=1e-6)
    assert fill.colour == "#5f7f4b"


def test_letters_skip_the_ones_that_look_like_figures():
    names = [letter(k) for k in range(60)]
    assert names[:9] == list("ABCDEFGHJ")
    assert names[24:26] == ["AA", "AB"]
    assert len(set(names)) == 60
    assert not any("I" in name or "O" in name for name in names)


@pytest.mark.parametrize("role", ["valley", "mountain"])
@pytest.mark.parametrize("length", [3.0, 11.7, 40.0, 187.3])
def test_a_dashed_fold_begins_and_ends_with_a_whole_dash(role, length):
    pattern = dashes(role, length)
    repeats = (length - pattern[0]) / sum(pattern)
    assert repeats == pytest.approx(round(repeats), abs=1e-9)
    assert round(repeats) >= 1


def test_valley_and_mountain_differ_by_pattern():
    assert len(dashes("valley", 50)) == 2
    assert len(dashes("mountain", 50)) == 4
    assert dashes("cut", 50) == ()


def test_guides_are_made_only_for_pages_on_which_something_lands():
    sheet, joins = tent()
    made = templates([page_sheet(), sheet], joins[:1])
    assert [t.title for t in made] == ["tent", "left page"]
    pattern = lay_out("x", made, Options())
    assert [page.paper for page in pattern.pages] == ["moss card", "placing sheets"]


def test_letters_of_areas_that_lie_on_each_other_stand_apart():
    from preview.pattern.lettering import letters

    sheets, joins = spread()
    base = next(a for a in glue_areas(sheets, joins) if a.facet == "page.left")
    other = replace(base, letter="QQ", face="back", polygon=base.polygon.buffer(2))
    third = replace(base, letter="R", polygon=base.polygon.buffer(-1))
    found = letters([(a, a.polygon) for a in (base, other, third)], "front")
    for k, one in enumerate(found):
        assert one.shape.covers(one.centre)
        assert all(one.room.disjoint(two.room) for two in found[:k])


def test_two_letters_fit_into_their_area_where_one_would_fill_it():
    from preview.pattern.lettering import letters

    sheets, joins = spread()
    area = replace(glue_areas(sheets, joins)[0], letter="WW")
    disc = shapely.Point(0, 0).buffer(3.0)
    (found,) = letters([(area, disc)], area.face)
    assert disc.buffer(0.35).covers(found.room)


@pytest.mark.parametrize("wide", [2.0, 6.0, 9.0, 24.0])
@pytest.mark.parametrize("turn", [0.0, 0.7, 1.6])
def test_the_name_of_a_fold_never_crosses_a_cut(wide, turn):
    spike = Polygon([(0, -wide / 2), (30, 0), (0, wide / 2)])
    facets, crossings = cut(
        spike, [Fold("rib", (0, 0), (30, 0), 1)], {"upper": (1, 0.3), "lower": (1, -0.3)}
    )
    sheet = Sheet("spike", "spike", CARD, CARD.front, CARD.back, facets, crossings)
    (template,) = templates([sheet], [])
    c, s = np.cos(turn), np.sin(turn)
    matrix = np.array([[c, -s], [s, c]]) @ np.diag([1.0, -1.0])
    placed = Placed(template, matrix, np.array([100.0, 120.0]))
    outline = placed.on_page(template.outline)
    (fold,) = template.folds
    named = [m for m in marks(placed, Show()) if isinstance(m, Text) and m.text == role(fold.name)]
    for text in named:
        assert outline.covers(text_box(text).buffer(0.2))
    assert len(named) == (wide > 4), "where there is room"
