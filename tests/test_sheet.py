"""Placements compose like rigid moves, and an outline is cut into the facets its folds bound."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon, box

from meshes.sheet import Fold, Placement, cut, sound

angles = st.floats(-np.pi, np.pi)
shifts = st.tuples(st.floats(-100, 100), st.floats(-100, 100))
placements = st.builds(Placement, angles, shifts, st.booleans())
CORNERS = np.array([[0.0, 0.0], [40.0, 0.0], [30.0, 25.0]])


@settings(deadline=None, derandomize=True, max_examples=60)
@given(placements, placements)
def test_placing_after_another_is_the_same_as_placing_twice(first, second):
    both = second.after(first)
    assert np.allclose(both.apply(CORNERS), second.apply(first.apply(CORNERS)), atol=1e-9)
    assert both.up == first.up * second.up


@settings(deadline=None, derandomize=True, max_examples=60)
@given(placements)
def test_the_inverse_puts_every_point_back(placement):
    there = placement.apply(CORNERS)
    assert np.allclose(placement.inverse().apply(there), CORNERS, atol=1e-9)


@settings(deadline=None, derandomize=True, max_examples=60)
@given(placements)
def test_a_placement_keeps_lengths_and_turns_the_paper_over_only_when_flipped(placement):
    there = placement.apply(CORNERS)
    before = np.linalg.norm(np.diff(CORNERS, axis=0), axis=1)
    assert np.allclose(np.linalg.norm(np.diff(there, axis=0), axis=1), before)
    assert np.linalg.det(placement.matrix) == pytest.approx(placement.up)


def test_a_spread_is_cut_at_its_gutter_into_two_pages():
    gutter = Fold("gutter", (0, 0), (0, 210), -1)
    facets, crossings = cut(
        box(-148, 0, 148, 210), [gutter], {"left": (-10, 10), "right": (10, 10)}
    )
    assert [facet.name for facet in facets] == ["left", "right"]
    assert [facet.polygon.area for facet in facets] == pytest.approx([148 * 210] * 2)
    assert (crossings[0].left, crossings[0].right) == ("left", "right")


def test_folds_that_meet_inside_a_disc_part_it_into_sectors():
    circle = Point(0, 0).buffer(40, 60)
    names = [f"sector-{k}" for k in range(6)]
    directions = [np.array([np.cos(a), np.sin(a)]) for a in np.radians(np.arange(6) * 60.0)]
    rim = [40 * d for d in directions]
    folds = [Fold(f"fold-{k}", (0, 0), (p[0], p[1]), -1) for k, p in enumerate(rim)]
    middles = np.radians(np.arange(6) * 60.0 + 30)
    labels = {n: (20 * np.cos(m), 20 * np.sin(m)) for n, m in zip(names, middles, strict=True)}
    facets, crossings = cut(circle, folds, labels)
    assert [facet.name for facet in facets] == names
    assert [facet.polygon.area for facet in facets] == pytest.approx([circle.area / 6] * 6)
    assert [(c.left, c.right) for c in crossings] == [(names[k], names[k - 1]) for k in range(6)]


def test_a_slit_stays_open_in_the_facet_that_has_it():
    slit = box(10, 10, 12, 30)
    facets, _ = cut(box(0, 0, 60, 40).difference(slit), [], {"leaf": (40, 20)})
    assert facets[0].polygon.area == pytest.approx(2400 - 40)
    assert len(facets[0].polygon.interiors) == 1


@pytest.mark.parametrize(
    ("outline", "fold", "reason"),
    [
        (Polygon([(0, 0), (40, 40), (40, 0), (0, 40)]), Fold("a", (0, 1), (1, 1), 1), "not simple"),
        (box(0, 0, 40, 40), Fold("a", (20, 0), (20, 60), 1), "fold a leaves its sheet"),
        (box(0, 0, 40, 40), Fold("a", (20, 5), (20, 40), 1), "does not run from edge to edge"),
        (box(0, 0, 40, 40), Fold("a", (20, 5), (20, 5), 1), "fold a has no length"),
        (box(0, 0, 40, 40), Fold("a", (0, 0), (0, 40), 1), "no paper on one of its sides"),
    ],
)
def test_what_cannot_be_folded_is_refused_with_its_reason(outline, fold, reason):
    with pytest.raises(ValueError, match=reason):
        cut(outline, [fold], {})


def test_two_labels_in_one_facet_are_refused():
    with pytest.raises(ValueError, match="facet b is not parted"):
        cut(box(0, 0, 40, 40), [], {"a": (10, 10), "b": (30, 30)})


@pytest.mark.parametrize("apart", [0.0, 1e-29, 1e-15, 1e-11])
def test_corners_that_coincide_but_for_rounding_are_one(apart):
    """An edge between them has no direction, so what a knife follows is the rest of the outline."""
    corners = [(0, 0), (40, 0), (40, 30), (40 + apart, 30 + apart), (0, 30), (apart, 2 * apart)]
    with np.errstate(all="raise"):
        found = sound(Polygon(corners))
    assert len(found.exterior.coords) == 5
    assert found.area == pytest.approx(1200, abs=1e-9)


@pytest.mark.parametrize("turn_deg", range(0, 90, 3))
def test_a_fold_that_goes_on_as_an_edge_parts_the_sheet_at_any_angle(turn_deg):
    """The foot of a leaf: the tab ends, the leaf's edge runs on along the same line."""
    turn = np.radians(turn_deg)
    matrix = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])

    def turned(points):
        return [tuple(p) for p in np.array(points, float) @ matrix.T]

    outline = Polygon(turned([(0, 0), (4, -8), (22, -8), (26, 0), (33, 0), (30, 40), (0, 60)]))
    (start, end) = turned([(0, 0), (26, 0)])
    inside = dict(zip(("tab", "panel"), turned([(13, -4), (13, 20)]), strict=True))
    facets, _ = cut(outline, [Fold("foot", start, end, -1)], inside)
    assert {f.name: round(f.polygon.area, 3) for f in facets} == {"tab": 176.0, "panel": 1560.0}
