"""Which of two nearly parallel facets lies over the other, many pairs at once.

Judged pair by pair: the overlap by `shapely.affinity`, the heights from the plane's equation.
"""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
import shapely
from shapely import affinity

from meshes.check.facets import Facets
from meshes.check.poses import Pose, rotation_of
from meshes.check.swap import orders_of


def outline(rng: np.random.Generator) -> shapely.Polygon:
    """Any polygon, also one that is not convex, at times with a hole."""
    turns = np.sort(rng.uniform(0, 2 * np.pi, 9))
    reach = rng.uniform(4, 30, 9)
    shape = shapely.Polygon(np.column_stack([reach * np.cos(turns), reach * np.sin(turns)]))
    hole = shapely.Point(rng.uniform(-3, 3, 2)).buffer(1.5)
    return shape.buffer(0).difference(hole) if rng.random() < 0.4 else shape.buffer(0)


def judged(one: shapely.Geometry, two: shapely.Geometry, pose: Pose) -> int:
    """The order of a single pair."""
    turn, shift = pose.rotation, pose.translation
    entries = [*turn[0, :2], *turn[1, :2], *shift[:2]]
    area = affinity.affine_transform(one, entries).intersection(two)
    if area.area <= 1.0:
        return 0
    # The first facet's plane over a corner (x, y): n · ((x, y, z) - shift) = 0.
    normal = turn[:, 2]
    heights = [
        shift[2] - (normal[0] * (x - shift[0]) + normal[1] * (y - shift[1])) / normal[2]
        for x, y in shapely.get_coordinates(area)
    ]
    return int(min(heights) > 1e-3) - int(max(heights) < -1e-3)


@pytest.mark.parametrize("seed", range(4))
def test_every_pair_has_the_order_that_it_has_by_itself(seed: int) -> None:
    rng = np.random.default_rng(seed)
    polygons = tuple(outline(rng) for _ in range(12))
    # Only the outlines are asked for.
    facets = object.__new__(Facets)
    object.__setattr__(facets, "polygons", polygons)
    first, second = rng.integers(12, size=(2, 150))
    tilt = rng.normal(size=(150, 3)) * (0.02, 0.02, 1.5)
    shift = rng.normal(size=(150, 3)) * (15, 15, 0.3)
    pose = Pose(rotation_of(tilt), shift)
    found = orders_of(SimpleNamespace(facets=facets), first, second, pose)  # type: ignore[arg-type]
    expected = [
        judged(polygons[a], polygons[b], Pose(pose.rotation[k], pose.translation[k]))
        for k, (a, b) in enumerate(zip(first.tolist(), second.tolist(), strict=True))
    ]
    assert found.tolist() == expected
    assert {-1, 0, 1} == set(expected)
    for k in range(20):
        single = facets.shared(int(first[k]), int(second[k]), Pose(pose.rotation[k], shift[k]))
        entries = [*pose.rotation[k, 0, :2], *pose.rotation[k, 1, :2], *shift[k, :2]]
        moved = affinity.affine_transform(polygons[first[k]], entries)
        area = moved.intersection(polygons[second[k]]).area
        assert single.area == pytest.approx(area, abs=1e-9)
