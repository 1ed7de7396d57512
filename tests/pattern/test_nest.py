"""Nested pieces keep their distance, stay on the sheet and need less paper than plain rows."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import Polygon, box

from preview.pattern.nest import Blank, TooLarge, nest, rows

QUARTERS = tuple(k * np.pi / 2 for k in range(4))
# Pieces may lie this far over the edge of the room, so that exact fits fit.
SLACK = 0.021


def ell(size: float) -> Polygon:
    return Polygon(
        [(0, 0), (size, 0), (size, size / 3), (size / 3, size / 3), (size / 3, size), (0, size)]
    )


def placed(nesting, shapes):
    return [spot.place(shape) for spot, shape in zip(nesting.spots, shapes, strict=True)]


def check_sound(nesting, shapes, width, height, gap):
    moved = placed(nesting, shapes)
    for shape in moved:
        left, top, right, bottom = shape.bounds
        assert min(left, top) >= -SLACK
        assert right <= width + SLACK
        assert bottom <= height + SLACK
    for (a, spot_a), (b, spot_b) in itertools.combinations(
        zip(moved, nesting.spots, strict=True), 2
    ):
        if spot_a.sheet == spot_b.sheet:
            assert a.distance(b) >= gap - 1e-6


@given(
    st.lists(
        st.tuples(st.floats(5, 60), st.floats(5, 60), st.floats(0, 3.1), st.booleans()),
        min_size=1,
        max_size=9,
    ),
    st.floats(0.5, 8),
)
@settings(max_examples=25, derandomize=True, deadline=None)
def test_any_pieces_keep_their_distance_and_stay_on_the_sheet(kinds, gap):
    shapes = []
    for wide, high, turn, is_ell in kinds:
        shape = ell(wide) if is_ell else box(0, 0, wide, high)
        shapes.append(affinity.rotate(shape, turn, origin=(0, 0), use_radians=True))
    nesting = nest([Blank(s, QUARTERS) for s in shapes], 120.5, 160.25, gap)
    in_rows = rows(shapes, 120.5, 160.25, gap)
    for found in (nesting, in_rows):
        check_sound(found, shapes, 120.5, 160.25, gap)
        # Whole sheets, and the last one as far as it is used.
        last = [
            s.bounds[3]
            for s, spot in zip(placed(found, shapes), found.spots, strict=True)
            if spot.sheet == found.sheets - 1
        ]
        paper = 120.5 * (160.25 * (found.sheets - 1) + max(last))
        assert found.waste == pytest.approx(1 - sum(s.area for s in shapes) / paper)
    # Rows run from left to right and down the sheet; a piece that still fits starts none.
    for (a, one), (b, two) in itertools.pairwise(
        zip(placed(in_rows, shapes), in_rows.spots, strict=True)
    ):
        wide = b.bounds[2] - b.bounds[0]
        if a.bounds[2] + gap + wide < 120.5 - 1e-6 and one.sheet == two.sheet:
            assert b.bounds[0] == pytest.approx(a.bounds[2] + gap)
            assert b.bounds[1] == pytest.approx(a.bounds[1])
        else:
            assert b.bounds[0] == pytest.approx(0)


def test_a_piece_as_large_as_the_sheet_fits():
    shapes = [box(3, 7, 3 + 186.9, 7 + 231.4)]
    nesting = nest([Blank(shapes[0], (0.0,))], 186.9, 231.4, 4.0)
    check_sound(nesting, shapes, 186.9, 231.4, 4.0)


def test_a_piece_larger_than_the_sheet_is_named():
    with pytest.raises(TooLarge, match=r"piece 1 needs 191\.0 × 20\.0 mm") as caught:
        nest([Blank(ell(20), QUARTERS), Blank(box(0, 0, 191, 20), (0.0,))], 186.9, 231.4, 4.0)
    assert caught.value.item == 1


def test_only_allowed_turns_are_used():
    shapes = [box(0, 0, 40, 9) for _ in range(6)]
    nesting = nest([Blank(s, (0.3, 0.3 + np.pi)) for s in shapes], 100, 100, 3)
    assert {round(spot.turn % np.pi, 9) for spot in nesting.spots} == {0.3}


def test_two_ells_share_the_place_of_one_box():
    shapes = [ell(60), ell(60)]
    blanks = [Blank(s, QUARTERS) for s in shapes]
    assert nest(blanks, 90, 200, 2).length < 85
    assert rows(shapes, 90, 200, 2).length > 120


def test_nesting_needs_less_paper_than_rows_for_leaves():
    t = np.linspace(0, 1, 30)
    half = 12 * np.sin(np.pi * t)
    leaf = Polygon(np.vstack([np.c_[80 * t, half], np.c_[80 * t, -half][::-1][1:-1]]))
    shapes = [affinity.rotate(leaf, 35 * k) for k in range(14)]
    turns = [tuple(np.radians(-35 * k) + q for q in QUARTERS) for k in range(14)]
    nested = nest([Blank(s, t) for s, t in zip(shapes, turns, strict=True)], 181, 249, 4)
    plain = rows(shapes, 181, 249, 4)
    assert nested.waste < 0.7 * plain.waste


def test_waste_is_what_is_left_of_the_used_strip():
    nesting = rows([box(0, 0, 50, 50), box(0, 0, 50, 50)], 110, 200, 10)
    assert nesting.length == 50
    assert nesting.waste == pytest.approx(1 - 5000 / (110 * 50))


def test_rows_that_end_exactly_at_the_foot_of_the_sheet_are_on_it():
    nesting = rows([box(0, 0, 50, 100), box(0, 0, 50, 100)], 60, 210, 10)
    assert (nesting.sheets, nesting.length) == (1, 210)


def test_the_same_pieces_are_always_nested_alike():
    blanks = [Blank(ell(20 + 3 * k), QUARTERS) for k in range(8)]
    assert nest(blanks, 100, 120, 3) == nest(blanks, 100, 120, 3)


def test_no_pieces_need_no_paper():
    assert nest([], 100, 100, 3).sheets == 0
