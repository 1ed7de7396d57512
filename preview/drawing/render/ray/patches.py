"""Surfaces become patches: flat triangles that share a normal, a colour and a side to look at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import NamedTuple

import numpy as np
import shapely

from preview.drawing.colour import linear, linears
from preview.drawing.scene import Surface

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
    corners : of all triangles, shape (V, 3), float32, mm; they may share them.
    faces : which three of these belong to each triangle, shape (T, 3).
    patch_of : shape (T,), which patch a triangle belongs to.
    surface_of : shape (P,), which surface a patch belongs to.
    normals : shape (P, 3), unit, towards the side that is seen, float32.
    albedo, behind : shape (P, 3), linear colours of that side and of the other, float32.
    translucency : shape (P,).
    front : shape (P,), whether the surface's front is seen.
    """

    corners: np.ndarray
    faces: np.ndarray
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

    @cached_property
    def triangles(self) -> np.ndarray:
        """Corners of each triangle, shape (T, 3, 3), float32, mm."""
        return self.corners[self.faces]


class Mesh(NamedTuple):
    """Triangles in a plane: corners (v, 2), mm, and which three of them each has, (t, 3)."""

    corners: np.ndarray
    faces: np.ndarray


# Outlines that are kept as meshes, with what they were made of; all are forgotten when there are
# so many. Our choice.
MOST_KEPT = 4096
_kept: dict[tuple[int, float], tuple[shapely.Polygon, Mesh]] = {}
TRIANGLE, QUADRANGLE = np.array([[0, 1, 2]]), np.array([[0, 1, 2], [0, 2, 3]])


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
    meshes = thin_meshes([surface.polygon for surface in surfaces], tolerance)
    many = np.arange(len(surfaces))
    owner = np.repeat(many, [len(mesh.corners) for mesh in meshes])
    patch_of = np.repeat(many, [len(mesh.faces) for mesh in meshes])
    first = np.searchsorted(owner, many)
    turns = np.array([surface.rotation for surface in surfaces]).reshape(-1, 3, 3)
    normals = turns[:, :, 2]
    middles = np.array([surface.translation for surface in surfaces]).reshape(-1, 3)
    places = middles - _let_down(surfaces)[:, None] * normals
    flat = np.concatenate([np.empty((0, 2)), *(mesh.corners for mesh in meshes)])
    faces = np.concatenate([np.empty((0, 3), int), *(mesh.faces for mesh in meshes)])
    corners = np.einsum("nij,nj->ni", turns[owner, :, :2], flat) + places[owner]
    front = ((eye - middles) * normals).sum(axis=1) >= 0
    fronts = linears(tuple(surface.front for surface in surfaces))
    backs = linears(tuple(surface.back for surface in surfaces))
    side = front[:, None]
    return _patches(
        corners,
        faces + first[patch_of, None],
        patch_of,
        many,
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


def thin_meshes(polygons: Sequence[shapely.Polygon], tolerance: float) -> list[Mesh]:
    """Triangles of thinned outlines."""
    kept = [_kept.get((id(polygon), tolerance)) for polygon in polygons]
    found = [None if one is None else one[1] for one in kept]
    # The many faces of a bent cover and of its pages are others in every frame.
    left = [k for k, mesh in enumerate(found) if mesh is None]
    for k, mesh in zip(left, _few_corners([polygons[k] for k in left]), strict=True):
        found[k] = mesh
    left = [k for k in left if found[k] is None]
    if not left:
        return [mesh for mesh in found if mesh is not None]
    new = _meshes(np.array([polygons[k] for k in left]), tolerance)
    if len(_kept) + len(new) > MOST_KEPT:
        _kept.clear()
    for k, mesh in zip(left, new, strict=True):
        # The outline is kept as well, so that no other takes its place.
        _kept[id(polygons[k]), tolerance] = polygons[k], mesh
        found[k] = mesh
    return [mesh for mesh in found if mesh is not None]


def _meshes(polygons: np.ndarray, tolerance: float) -> list[Mesh]:
    """Triangles of thinned outlines, in one go; equal corners are one."""
    simple = shapely.simplify(polygons, tolerance)
    is_good = shapely.is_valid(simple) & ~shapely.is_empty(simple)
    cut = shapely.constrained_delaunay_triangles(np.where(is_good, simple, polygons))
    triangles, owner = shapely.get_parts(cut, return_index=True)
    points = shapely.get_coordinates(triangles).reshape(-1, 4, 2)[:, :3].reshape(-1, 2)
    row = np.column_stack([np.repeat(owner, 3), points])
    order = np.lexsort(row.T[::-1])
    is_new = np.append(True, (np.diff(row[order], axis=0) != 0).any(axis=1))[: len(row)]
    number = np.empty(len(row), int)
    number[order] = np.cumsum(is_new) - 1
    row, faces = row[order[is_new]], number.reshape(-1, 3)
    many = np.arange(len(polygons) + 1)
    first, start = np.searchsorted(row[:, 0], many), np.searchsorted(owner, many)
    return [
        Mesh(row[first[k] : first[k + 1], 1:], faces[start[k] : start[k + 1]] - first[k])
        for k in range(len(polygons))
    ]


def _few_corners(polygons: Sequence[shapely.Polygon]) -> list[Mesh | None]:
    """Meshes of triangles and of convex quadrangles; None for what is neither."""
    found: list[Mesh | None] = [None] * len(polygons)
    points, owner = shapely.get_coordinates(polygons, return_index=True)
    # A ring ends where it began.
    counts = np.bincount(owner, minlength=len(polygons)) - 1
    first = np.searchsorted(owner, np.arange(len(polygons)))
    for k in np.flatnonzero(counts == 3).tolist():
        found[k] = Mesh(points[first[k] : first[k] + 3], TRIANGLE)
    four = np.flatnonzero(counts == 4)
    corners = points[first[four, None] + np.arange(4)]
    is_convex = _is_convex(corners)
    for k, own in zip(four[is_convex].tolist(), corners[is_convex], strict=True):
        found[k] = Mesh(own, QUADRANGLE)
    return found


def _is_convex(corners: np.ndarray) -> np.ndarray:
    """Which quadrangles (m, 4, 2) are convex, bool, shape (m,)."""
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = corners.transpose(1, 2, 0)
    # Both diagonals must have a corner on each side.
    one = (cx - ax) * (by - ay) - (cy - ay) * (bx - ax)
    two = (cx - ax) * (dy - ay) - (cy - ay) * (dx - ax)
    three = (dx - bx) * (ay - by) - (dy - by) * (ax - bx)
    four = (dx - bx) * (cy - by) - (dy - by) * (cx - bx)
    return np.asarray((one * two < 0) & (three * four < 0))


def slabs(surfaces: Sequence[Surface], tolerance: float = 0.02) -> Patches:
    """Sheets of paper with their thickness: a front, a back and a rim along every edge."""
    rows = [_Slab.of(surface, tolerance) for surface in surfaces]
    counts = np.concatenate([np.empty(0, int), *(row.counts for row in rows)])
    sides = [len(row.counts) for row in rows]
    owner = np.repeat(np.arange(len(rows)), sides)

    def stacked(name: str, *shape: int) -> np.ndarray:
        return np.concatenate([np.empty((0, *shape)), *(getattr(row, name) for row in rows)])

    corners = stacked("triangles", 3, 3).reshape(-1, 3)
    return _patches(
        corners,
        np.arange(len(corners)).reshape(-1, 3),
        np.repeat(np.arange(len(counts)), counts),
        owner,
        stacked("normals", 3),
        stacked("albedo", 3),
        stacked("behind", 3),
        stacked("translucency"),
        stacked("front").astype(bool),
    )


@dataclass(frozen=True, eq=False)
class _Slab:
    """The patches of one surface: front, back and a strip of rim for every edge.

    Parameters
    ----------
    counts : triangles of each patch.
    """

    triangles: np.ndarray
    counts: np.ndarray
    normals: np.ndarray
    albedo: np.ndarray
    behind: np.ndarray
    translucency: np.ndarray
    front: np.ndarray

    @classmethod
    def of(cls, surface: Surface, tolerance: float) -> _Slab:
        """The slab of a surface; what is solid has a front only."""
        outline = thinned(surface.polygon, tolerance)
        front, back = linear(surface.front), linear(surface.back)
        flat, normal = triangulate(outline), surface.normal
        is_solid = surface.material in SOLID
        half = 0.0 if is_solid else max(surface.thickness, THINNEST_MM) / 2
        local = surface.rotation[:, :2]
        middle = flat @ local.T + surface.translation
        tau = surface.translucency
        if is_solid:
            return cls(
                middle,
                np.array([len(flat)]),
                normal[None],
                front[None],
                back[None],
                np.array([tau]),
                np.array([True]),
            )
        corners, outward = _rims(outline, half)
        rims = corners @ surface.rotation.T + surface.translation
        inside = linear(surface.core) if surface.core else (front + back) / 2
        edge = np.tile(RIM_SHADE * inside, (len(outward), 1))
        return cls(
            np.concatenate([middle + half * normal, middle[:, ::-1] - half * normal, rims]),
            np.array([len(flat), len(flat), *(2 for _ in outward)]),
            np.concatenate([[normal, -normal], outward @ surface.rotation.T]),
            np.concatenate([[front, back], edge]),
            np.concatenate([[back, front], edge]),
            np.array([tau, tau, *(0.0 for _ in outward)]),
            np.array([True, False, *(True for _ in outward)]),
        )


def _patches(
    corners: np.ndarray,
    faces: np.ndarray,
    patch_of: np.ndarray,
    surface_of: np.ndarray,
    normals: np.ndarray,
    albedo: np.ndarray,
    behind: np.ndarray,
    tau: np.ndarray,
    front: np.ndarray,
) -> Patches:
    return Patches(
        corners.astype(np.float32),
        faces.astype(np.int32),
        patch_of,
        surface_of,
        normals.astype(np.float32),
        albedo.astype(np.float32),
        behind.astype(np.float32),
        tau.astype(np.float32),
        front,
    )


def _rims(outline: shapely.Polygon, half: float) -> tuple[np.ndarray, np.ndarray]:
    """The strips along the cut edges, two triangles each, and the outward normals of the edges.

    Returns
    -------
    Shapes (2 e, 3, 3) and (e, 3).
    """
    oriented = shapely.orient_polygons(outline)
    rings = [np.asarray(ring.coords)[:, :2] for ring in (oriented.exterior, *oriented.interiors)]
    a = np.concatenate([ring[:-1] for ring in rings])
    b = np.concatenate([ring[1:] for ring in rings])
    length = np.hypot(*(b - a).T)
    a, b, length = a[length > 0], b[length > 0], length[length > 0]
    low_a, low_b, top_a, top_b = (
        np.column_stack([end, np.full(len(end), height)])
        for height in (-half, half)
        for end in (a, b)
    )
    strips = np.stack([low_a, low_b, top_b, low_a, top_b, top_a], axis=1)
    along = (b - a) / length[:, None]
    outward = np.column_stack([along[:, 1], -along[:, 0], np.zeros(len(along))])
    return strips.reshape(-1, 3, 3), outward
