"""Table that no shadow can reach, judged by each triangle's own shadow, drawn on the table."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from preview.drawing.render.ray import open_table

TABLE = -9.0


def _shadows(triangles: np.ndarray, rays: np.ndarray) -> shapely.Geometry:
    """What parallel light along each ray leaves dark on the table: projected triangles."""
    height = triangles[:, None, :, 2:] - TABLE
    slope = (rays[:, :2] / rays[:, 2:])[None, :, None]
    flat = triangles[:, None, :, :2] - height * slope
    return shapely.union_all(
        [shapely.MultiPoint(one).convex_hull for one in flat.reshape(-1, 3, 2)]
    )


@pytest.mark.parametrize("seed", range(6))
def test_no_shadow_falls_on_open_table_and_far_from_all_it_is_open(seed):
    rng = np.random.default_rng(seed)
    middles = rng.uniform((-60, -60, TABLE), (60, 60, 90), (9, 3))
    triangles = middles[:, None] + rng.normal(0, 14, (9, 3, 3))
    triangles[..., 2] = np.maximum(triangles[..., 2], TABLE)
    rays = rng.normal((0.5, -0.6, 0.9), 0.1, (5, 3))
    rays /= np.linalg.norm(rays, axis=1, keepdims=True)
    places = rng.uniform(-260, 260, (2, 4000)).astype(np.float32)
    dark = _shadows(triangles, rays)
    corners = triangles.reshape(-1, 3).astype(np.float32)
    found = open_table.in_the_open(
        open_table.across(places), TABLE, corners, rays.astype(np.float32)
    )
    points = shapely.points(places.T)
    assert not (found & shapely.intersects(points, dark)).any()
    # Lines 45° apart hold a round shadow within 1 / cos(22.5°) of its radius.
    footprint = shapely.MultiPoint(corners[:, :2]).convex_hull
    circle = shapely.minimum_bounding_circle(dark.union(footprint))
    radius = shapely.minimum_bounding_radius(circle)
    far = shapely.distance(points, circle.centroid) > 1.09 * radius + 2
    assert far.sum() > 200
    assert found[far].all()


def test_without_paper_all_table_is_open_and_under_flat_light_none():
    along = open_table.across(np.zeros((2, 3), np.float32))
    up = np.array([[0, 0, 1]], np.float32)
    assert open_table.in_the_open(along, 0.0, np.empty((0, 3), np.float32), up).all()
    flat = np.array([[1, 0, 0]], np.float32)
    far = np.full((1, 3), 1e4, np.float32)
    assert not open_table.in_the_open(along, 0.0, far, flat).any()


@pytest.mark.parametrize("seed", range(6))
def test_a_ray_that_meets_paper_is_among_those_that_may_and_most_others_are_not(seed):
    rng = np.random.default_rng(seed)
    triangles = rng.uniform((-60, -60, TABLE), (60, 60, 50), (9, 1, 3)) + rng.normal(
        0, 9, (9, 3, 3)
    )
    triangles[..., 2] = np.maximum(triangles[..., 2], TABLE)
    rays = rng.normal((0, 0, 0.4), 0.5, (12, 3))
    rays[:, 2] = np.abs(rays[:, 2]) + 0.2
    rays /= np.linalg.norm(rays, axis=1, keepdims=True)
    places = rng.uniform(-300, 300, (2, 1500)).astype(np.float32)
    corners = triangles.reshape(-1, 3)
    found = open_table.may_meet(places, TABLE, corners.min(axis=0), corners.max(axis=0), rays)
    points = shapely.points(places.T)
    dark = np.array([shapely.intersects(points, _shadows(triangles, ray[None])) for ray in rays])
    assert dark.any()
    assert not (dark & ~found).any()
    assert found.mean() < 0.5
