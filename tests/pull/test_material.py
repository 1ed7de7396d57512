"""A point of the paper stays in its place on a facet that changes its shape."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity

from meshes.pull.material import mean_value_weights, moved

STAR = shapely.Polygon([(0, 0), (4, 1), (9, 0), (6, 3), (8, 8), (4, 5), (1, 9), (2, 4)])
NO_MARKS = np.zeros((0, 2)), np.zeros((0, 2))

calm = settings(max_examples=30, deadline=None, derandomize=True, database=None)


@calm
@given(x=st.floats(0, 9), y=st.floats(0, 9))
def test_weights_add_up_to_one_and_give_the_point_back(x, y):
    """Both are properties that M. S. Floater proves: partition of unity, linear precision."""
    ring = np.asarray(STAR.exterior.coords)[:-1]
    weights = mean_value_weights(ring, np.array([[x, y]]))
    assert weights.sum() == pytest.approx(1)
    assert weights @ ring == pytest.approx(np.array([[x, y]]), abs=1e-6)


@calm
@given(
    x=st.floats(0.1, 8.9),
    y=st.floats(0.1, 8.9),
    stretch=st.tuples(st.floats(0.5, 2), st.floats(0.5, 2)),
    shift=st.tuples(st.floats(-9, 9), st.floats(-9, 9)),
    start=st.integers(0, 7),
)
def test_a_facet_that_is_stretched_and_shifted_takes_its_points_along(x, y, stretch, shift, start):
    new = affinity.affine_transform(STAR, [stretch[0], 0, 0, stretch[1], *shift])
    ring = np.roll(np.asarray(new.exterior.coords)[:-1], start, axis=0)
    found = moved(STAR, shapely.Polygon(ring), np.array([[x, y]]), NO_MARKS)
    assert found == pytest.approx(
        np.array([[x * stretch[0] + shift[0], y * stretch[1] + shift[1]]])
    )


@pytest.mark.parametrize("by", [-40, -15, 15, 40])
def test_a_facet_that_is_turned_takes_its_points_along(by):
    new = affinity.rotate(STAR, by, origin=(0, 0))
    point = np.array([[3.0, 3.0]])
    there = affinity.rotate(shapely.Point(3, 3), by, origin=(0, 0))
    assert moved(STAR, new, point, NO_MARKS) == pytest.approx(np.array([[there.x, there.y]]))


def test_corners_and_edges_keep_their_points():
    """The tip stays the tip, and the middle of an edge its middle."""
    square = shapely.box(0, 0, 10, 10)
    tall = shapely.box(0, 0, 10, 16)
    found = moved(square, tall, np.array([[10.0, 10.0], [5.0, 10.0], [0.0, 5.0]]), NO_MARKS)
    assert found == pytest.approx(np.array([[10, 16], [5, 16], [0, 8]]))


@pytest.mark.parametrize("marked", [True, False])
def test_an_outline_with_more_corners_keeps_the_ends_of_its_folds(marked):
    """The tip of a leaf whose curve is cut finer as it grows, with and without its ridge."""

    def leaf(length, count):
        side = np.linspace(0, 1, count)
        width = 9 * np.sin(np.pi * side) ** 0.8
        right = np.column_stack([width, length * side])
        return shapely.Polygon([*right, *(right[-2:0:-1] * [-1, 1])])

    ends = np.array([[0.0, 0.0], [0.0, 40.0]])
    marks = (ends, ends * [1, 1.5]) if marked else NO_MARKS
    found = moved(leaf(40, 21), leaf(60, 34), np.array([[0.0, 40.0], [0.0, 20.0]]), marks)
    assert found[0] == pytest.approx([0, 60], abs=1e-6)
    assert found[1] == pytest.approx([0, 30], abs=0.2)
