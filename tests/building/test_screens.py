"""Ways that meet facets, beside one equation a way and facet: where a plane and a line meet."""

import numpy as np
import pytest
import shapely
from scipy.spatial.transform import Rotation

from meshes.building import screens
from meshes.building.screens import BuildFacets, Screens


@pytest.fixture
def random():
    return np.random.default_rng(11)


def facets(random, count):
    rims = [random.normal(0, 1, (random.integers(3, 9), 2)) for _ in range(count)]
    shapes = {f"f{k}": shapely.MultiPoint(8 * rim).convex_hull for k, rim in enumerate(rims)}
    shapes["f0"] = shapes["f0"].difference(shapely.Point(0, 0).buffer(1.5))
    turns = Rotation.random(count, rng=random).as_matrix()
    return shapes, Screens(
        BuildFacets.of(range(count), shapes), turns, random.normal(0, 6, (count, 3))
    )


def meets(shape, turn, shift, start, way):
    u, v, t = np.linalg.solve(np.column_stack([turn[:, :2], -way]), start - shift)
    return t if shape.contains(shapely.Point(u, v)) else np.nan


@pytest.mark.parametrize("at_once", [3, 128])
def test_ways_meet_what_a_line_through_a_plane_meets(random, monkeypatch, at_once):
    monkeypatch.setattr(screens, "_AT_ONCE", at_once)
    shapes, there = facets(random, 7)
    starts, ways = random.normal(0, 8, (12, 3)), random.normal(0, 1, (9, 3))
    far = np.array(
        [
            [
                [
                    meets(*facet, start, way)
                    for facet in zip(shapes.values(), there.rotations, there.shifts, strict=True)
                ]
                for start in starts
            ]
            for way in ways
        ]
    )
    for least, most in ((0.0, np.inf), (0.0, 4.0), (3.0, np.inf)):
        expected = ((far > least) & (far < most)).any(axis=2)
        assert expected.any()
        assert not expected.all()
        assert np.array_equal(there.meet(starts, ways, least, most), expected)


def test_only_what_lies_over_a_plane_is_kept(random):
    shapes, there = facets(random, 40)
    foot, up = random.normal(0, 4, 3), np.array([0.6, 0.0, 0.8])
    kept = []
    for k, shape in enumerate(shapes.values()):
        corners = shapely.get_coordinates(shape)
        rim = np.column_stack([corners, np.zeros(len(corners))])
        if ((rim @ there.rotations[k].T + there.shifts[k] - foot) @ up).max() > 0:
            kept.append(k)
    assert 0 < len(kept) < 40
    assert there.over(foot, up).facets.bodies.tolist() == kept
