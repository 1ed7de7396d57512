"""Surfaces become patches: flat triangles that share a normal, a colour and a side to look at."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np
import shapely

from preview.drawing.colour import linear
from preview.drawing.scene import Surface
from preview.same import Same

# The cut edge of a sheet is darker than its faces: it is rough, and half in its own shade.
RIM_SHADE = 0.80
# Of its height over what it is glued on, a sheet without thickness keeps this share: just enough
# for layers of card to stay in front of each other.
KEPT_LIFT = 0.2
# Paper drawn thinner than this would show both its sides at once.
THINNEST_MM = 0.05
SOLID = ("page", "cover", "block")


@dataclass(frozen=True, eq=False)
class Patches:
    """P flat patches made of T triangles.

    Parameters
    ----------
    triangles : shape (T, 3, 3), float32, mm.
    patch_of : shape (T,), which patch a triangle belongs to.
    surface_of : shape (P,), which surface a patch belongs to.
    normals : shape (P, 3), unit, towards the side that is seen, float32.
    albedo, behind : shape (P, 3), linear colours of that side and of the other, float32.
    translucency : shape (P,).
    front : shape (P,), whether the surface's front is seen.
    """

    triangles: np.ndarray
    patch_of: np.ndarray
    surface_of: np.ndarray
    normals: np.ndarray
    albedo: np.ndarray
    behind: np.ndarray
    translucency: np.ndarray
    front: np.ndarray

    @property
    def count(self) -> int:
        """How many patches there are."""
        return len(self.normals)


@lru_cache(maxsize=4096)
def triangulate(polygon: shapely.Polygon) -> np.ndarray:
    """Constrained Delaunay triangles of a polygon with holes, shape (t, 3, 2), mm."""
    parts = shapely.get_parts(shapely.constrained_delaunay_triangles(polygon))
    return shapely.get_coordinates(parts).reshape(-1, 4, 2)[:, :3]


@lru_cache(maxsize=4096)
def thinned(polygon: shapely.Polygon, tolerance: float) -> shapely.Polygon:
    """The polygon without the points of its curves that a picture can't show."""
    simple = polygon.simplify(tolerance)
    return simple if simple.is_valid and not simple.is_empty else polygon


def sheets(surfaces: Sequence[Surface], eye: np.ndarray, tolerance: float) -> Patches:
    """One thin patch for each surface, showing the side that the eye sees.

    A pinhole camera sees only one side of a plane, so one patch is enough for one camera.
    """
    flats = [_thin_triangles(Same(surface.polygon), tolerance) for surface in surfaces]
    counts = [len(flat) for flat in flats]
    owner = np.repeat(np.arange(len(surfaces)), counts)
    turns = np.array([surface.rotation for surface in surfaces]).reshape(-1, 3, 3)
    normals = turns[:, :, 2]
    middles = np.array([surface.translation for surface in surfaces]).reshape(-1, 3)
    places = middles - _let_down(surfaces)[:, None] * normals
    flat = np.concatenate([np.empty((0, 3, 2)), *flats])
    triangles = np.einsum("nij,nkj->nki", turns[owner, :, :2], flat) + places[owner, None]
    front = ((eye - middles) * normals).sum(axis=1) >= 0
    fronts = np.array([linear(surface.front) for surface in surfaces]).reshape(-1, 3)
    backs = np.array([linear(surface.back) for surface in surfaces]).reshape(-1, 3)
    side = front[:, None]
    return _patches(
        triangles,
        owner,
        np.arange(len(surfaces)),
        np.where(side, normals, -normals),
        np.where(side, fronts, backs),
        np.where(side, backs, fronts),
        np.array([surface.translucency for surface in surfaces]),
        front,
    )


def _let_down(surfaces: Sequence[Surface]) -> np.ndarray:
    """How far thin sheets are let down onto what they are glued on, shape (P,), mm.

    Without its thickness a sheet would float by half of it, and the dark gap under its edge, far
    thinner than a pixel, would show as a row of dots.
    """
    return (1 - KEPT_LIFT) * np.array([surface.lift for surface in surfaces])


@lru_cache(maxsize=4096)
def _thin_triangles(polygon: Same[shapely.Polygon], tolerance: float) -> np.ndarray:
    """Triangles of a thinned outline, shape (t, 3, 2), mm."""
    return triangulate(thinned(polygon.value, tolerance))


def slabs(surfaces: Sequence[Surface], tolerance: float = 0.02) -> Patches:
    """Sheets of paper with their thickness: a front, a back and a rim along every edge."""
    rows: list[tuple[np.ndarray, int, np.ndarray, np.ndarray, np.ndarray, float, bool]] = []
    for k, surface in enumerate(surfaces):
        outline = thinned(surface.polygon, tolerance)
        front, back = linear(surface.front), linear(surface.back)
        place = _placer(surface)
        is_solid = surface.material in SOLID
        half = 0.0 if is_solid else max(surface.thickness, THINNEST_MM) / 2
        flat, normal = triangulate(outline), surface.normal
        rows.append((place(flat, half), k, normal, front, back, surface.translucency, True))
        if is_solid:
            continue
        turned = place(flat[:, ::-1], -half)
        rows.append((turned, k, -normal, back, front, surface.translucency, False))
        edge = RIM_SHADE * (front + back) / 2
        for corners, outward in _rims(outline, half):
            world = surface.rotation @ outward
            rows.append((place(corners), k, world, edge, edge, 0.0, True))
    triangles, surface_of, normals, albedo, behind, tau, front_seen = zip(*rows, strict=True)
    counts = [len(part) for part in triangles]
    return _patches(
        np.concatenate(triangles),
        np.repeat(np.arange(len(rows)), counts),
        np.array(surface_of),
        np.array(normals),
        np.array(albedo),
        np.array(behind),
        np.array(tau),
        np.array(front_seen),
    )


def _patches(
    triangles: np.ndarray,
    patch_of: np.ndarray,
    surface_of: np.ndarray,
    normals: np.ndarray,
    albedo: np.ndarray,
    behind: np.ndarray,
    tau: np.ndarray,
    front: np.ndarray,
) -> Patches:
    return Patches(
        np.ascontiguousarray(triangles, dtype=np.float32),
        patch_of,
        surface_of,
        normals.astype(np.float32),
        albedo.astype(np.float32),
        behind.astype(np.float32),
        tau.astype(np.float32),
        front,
    )


def _placer(surface: Surface) -> Callable[..., np.ndarray]:
    def place(points: np.ndarray, height: float = 0.0) -> np.ndarray:
        """Points of shape (..., 2) at one height, or of shape (..., 3), into the scene."""
        local = surface.rotation[:, : points.shape[-1]]
        return points @ local.T + surface.translation + height * surface.normal

    return place


def _rims(outline: shapely.Polygon, half: float) -> list[tuple[np.ndarray, np.ndarray]]:
    """The strips along the cut edges: two triangles and the outward normal of each segment."""
    oriented = shapely.orient_polygons(outline)
    strips = []
    for ring in (oriented.exterior, *oriented.interiors):
        points = np.asarray(ring.coords)[:, :2]
        for a, b in pairwise(points):
            length = float(np.hypot(*(b - a)))
            if length == 0:
                continue
            low_a, low_b = np.append(a, -half), np.append(b, -half)
            top_a, top_b = np.append(a, half), np.append(b, half)
            outward = np.array([b[1] - a[1], a[0] - b[0], 0.0]) / length
            strips.append((np.array([[low_a, low_b, top_b], [low_a, top_b, top_a]]), outward))
    return strips
