"""The smallest rectangle round outlines whose hull is straight but for rounding errors."""

from __future__ import annotations

import numpy as np
import pytest
from shapely.geometry import Polygon, box

from meshes.rectangle import sides_of, smallest_rectangle


def stairs(random):
    """A rectangle with more corners on one side, as the feet of stairs leave them, turned."""
    wide, high = random.uniform(1, 60, 2)
    more = np.sort(random.uniform(0, high, int(random.integers(1, 5))))[::-1]
    corners = [(0, 0), (wide, 0), (wide, high), (0, high), *((0, y) for y in more)]
    angle = random.choice([0, 1.2e-16, np.pi, np.pi / 2, random.uniform(0, 6.3)])
    c, s = np.cos(angle), np.sin(angle)
    return Polygon(np.array(corners) @ np.array([[c, s], [-s, c]])), (wide, high)


def test_more_corners_on_a_side_change_nothing():
    """GEOS gives some of these a rectangle without width, so that clashes went unseen."""
    random = np.random.default_rng(1)
    for _ in range(3000):
        polygon, (wide, high) = stairs(random)
        long, short = sides_of(polygon)
        assert long == pytest.approx(max(wide, high), abs=1e-9)
        assert short == pytest.approx(min(wide, high), abs=1e-9)


def test_every_corner_lies_in_it_and_it_is_no_larger_than_the_upright_box():
    random = np.random.default_rng(2)
    for _ in range(500):
        points = random.normal(size=(int(random.integers(3, 9)), 2)) * (30, 5)
        polygon = Polygon(points).convex_hull
        frame = Polygon(smallest_rectangle(polygon))
        assert frame.buffer(1e-9).covers(polygon)
        assert frame.area <= box(*polygon.bounds).area + 1e-9
