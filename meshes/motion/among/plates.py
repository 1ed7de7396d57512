"""Convex plates: the paper of bodies as what other paper can run into.

Facets are cut into convex pieces, because two convex pieces that do not meet always have a plane
between them. Lengths are mm.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely

from ..loops.turns import cross

# Outlines are taken to this: less than a check tells of as a clash.
_SHAPE_MM = 0.02
# Edges shorter than this have no direction.
_POINT_MM = 1e-6
# Directions nearer to parallel than this (sine) span no plane.
_PARALLEL = 1e-6
# Edges more nearly parallel than this (sine) do not tell a plane well.
_ASKEW = 0.02


@dataclass(frozen=True)
class Plates:
    """Convex pieces of the paper of some bodies.

    Parameters
    ----------
    bodies : index of each plate's body in the linkage, shape (P,).
    pieces : name of the piece that each belongs to.
    corners : in body coordinates, in order, the last one repeated where a plate has fewer than
        others, shape (P, m, 3), mm.
    """

    bodies: np.ndarray
    pieces: tuple[str, ...]
    corners: np.ndarray

    @staticmethod
    def join(parts: Iterable[tuple[int, str, np.ndarray]]) -> Plates:
        """Plates from their bodies, pieces and corners, shape (m, 2)."""
        found = list(parts)
        corners = np.zeros((len(found), max((len(rim) for _, _, rim in found), default=3), 3))
        for k, (_, _, rim) in enumerate(found):
            corners[k, : len(rim), :2] = rim
            corners[k, len(rim) :, :2] = rim[-1]
        bodies = np.array([body for body, _, _ in found], int)
        return Plates(bodies, tuple(piece for _, piece, _ in found), corners)

    @staticmethod
    def join_all(parts: Sequence[Plates]) -> Plates:
        """All plates of several sets."""
        return Plates.join(
            (int(body), piece, corners[:, :2])
            for part in parts
            for body, piece, corners in zip(part.bodies, part.pieces, part.corners, strict=True)
        )

    @cached_property
    def balls(self) -> tuple[np.ndarray, np.ndarray]:
        """Middles, shape (P, 3), and radii, shape (P,), of balls round the plates."""
        middles = (self.corners.min(axis=1) + self.corners.max(axis=1)) / 2
        return middles, np.linalg.norm(self.corners - middles[:, None], axis=2).max(axis=1)

    def placed(self, rotations: np.ndarray, translations: np.ndarray) -> np.ndarray:
        """Where the corners are, shape (..., P, m, 3), for poses of their bodies (..., P, ...)."""
        return self.corners @ np.swapaxes(rotations, -1, -2) + translations[..., None, :]


def hull_of(shape: shapely.Geometry) -> np.ndarray:
    """Corners (m, 2) of the convex hull."""
    return hulls_of([shape])[0]


def hulls_of(shapes: Sequence[shapely.Geometry]) -> list[np.ndarray]:
    """Corners (m, 2) of the convex hull of each shape."""
    hulls = shapely.simplify(shapely.convex_hull(shapes), _SHAPE_MM)
    corners, owners = shapely.get_coordinates(hulls, return_index=True)
    ends = np.searchsorted(owners, np.arange(len(hulls) + 1))
    return [corners[a : b - 1] for a, b in itertools.pairwise(ends.tolist())]


def convex_pieces(polygon: shapely.Polygon) -> list[np.ndarray]:
    """Corners (m, 2) of convex pieces that cover a polygon to 0.02 mm, holes left open.

    Triangles are joined as long as what comes of it is convex, which leaves at most four times as
    many pieces as need be (S. Hertel and K. Mehlhorn, Fast triangulation of simple polygons, 1983).
    """
    shape = polygon.simplify(_SHAPE_MM)
    hull = shape.convex_hull
    if hull.area - shape.area < 1e-9:
        return [hull_of(shape)]
    triangles = shapely.get_parts(shapely.constrained_delaunay_triangles(shape))
    rims = {k: _counterclockwise(triangle) for k, triangle in enumerate(triangles)}
    owner = {edge: k for k, rim in rims.items() for edge in _sides(rim)}
    for edge in sorted(owner, key=lambda edge: (-_length(edge), edge)):
        k, j = owner.get(edge), owner.get(edge[::-1])
        if k is None or j is None or k == j:
            continue
        joined = _joined(rims[k], rims[j], edge)
        if _is_convex(joined):
            for side in (edge, edge[::-1]):
                del owner[side]
            for side in _sides(rims.pop(j)):
                if side in owner:
                    owner[side] = k
            rims[k] = joined
    return [np.array(rim) for rim in rims.values()]


_Point = tuple[float, float]


def _counterclockwise(triangle: shapely.Polygon) -> list[_Point]:
    rim = [(float(x), float(y)) for x, y in triangle.exterior.coords[:-1]]
    return rim if triangle.exterior.is_ccw else rim[::-1]


def _sides(rim: list[_Point]) -> list[tuple[_Point, _Point]]:
    return list(zip(rim, [*rim[1:], rim[0]], strict=True))


def _length(edge: tuple[_Point, _Point]) -> float:
    (a, b), (c, d) = edge
    return float(np.hypot(c - a, d - b))


def _joined(one: list[_Point], two: list[_Point], edge: tuple[_Point, _Point]) -> list[_Point]:
    """Two rims as one, without the edge that both have, one way round and the other."""
    i, j = one.index(edge[1]), two.index(edge[0])
    return one[i:] + one[:i] + (two[j:] + two[:j])[1:-1]


def _is_convex(rim: list[_Point]) -> bool:
    edges = np.roll(rim, -1, axis=0) - rim
    after = np.roll(edges, -1, axis=0)
    return bool((edges[:, 0] * after[:, 1] - edges[:, 1] * after[:, 0]).min() > -1e-9)


@dataclass(frozen=True)
class PairStanding:
    """How pairs of convex plates stand to each other.

    Parameters
    ----------
    depths : what it takes, at most, to part plates that pass through each other, 0 for others,
        shape (...), mm.
    sides : +1 or -1 where plate one lies on one side of the plane of plate two, where two lies on
        one side of one's, and where one comes before or after two along the line in which both
        planes meet; else 0. Shape (3, ...). As long as one of these holds, neither can have passed
        through the other.
    """

    depths: np.ndarray
    sides: np.ndarray

    @staticmethod
    def of(
        one: np.ndarray,
        one_normal: np.ndarray,
        two: np.ndarray,
        two_normal: np.ndarray,
        slack: float = 0.0,
    ) -> PairStanding:
        """Compare pairs of plates.

        The line in which their planes meet runs through both over some stretch. The depth is the
        least of the slides along it that part the stretches, and of the heights of each plate on
        both sides of the other.

        Parameters
        ----------
        one, two : corners, shapes (..., m, 3) and (..., k, 3), mm.
        one_normal, two_normal : unit vectors, shape (..., 3).
        slack : by how much a plate may lie on the wrong side of a plane, mm.
        """
        line = cross(one_normal[..., None], two_normal[..., None])[..., 0]
        sine = np.sqrt((line**2).sum(axis=-1))
        line = line / np.maximum(sine, _PARALLEL)[..., None]
        over = ((one - two[..., :1, :]) @ two_normal[..., None])[..., 0]
        under = ((two - one[..., :1, :]) @ one_normal[..., None])[..., 0]
        first, last = _stretch(one, over, line)
        start, end = _stretch(two, under, line)
        ahead, behind = last - start, end - first
        reach = [over.max(axis=-1), -over.min(axis=-1), under.max(axis=-1), -under.min(axis=-1)]
        depth = np.min([ahead, behind, *reach], axis=0)
        sides = [(reach[k + 1] < slack) * 1 - (reach[k] < slack) * 1 for k in (0, 2)]
        crosses = np.isfinite(ahead) & np.isfinite(behind) & (sine > _PARALLEL)
        sides.append(crosses * ((ahead < slack) * 1 - (behind < slack) * 1))
        return PairStanding(np.where((depth > 0) & (sine > _PARALLEL), depth, 0.0), np.array(sides))


def _stretch(
    corners: np.ndarray, heights: np.ndarray, line: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Where a line runs into and out of plates that have some heights over the other's plane."""
    along = (corners @ line[..., None])[..., 0]
    after = np.concatenate([heights[..., 1:], heights[..., :1]], axis=-1)
    beyond = np.concatenate([along[..., 1:], along[..., :1]], axis=-1)
    crosses = (heights > 0) != (after > 0)
    share = heights / np.where(crosses, heights - after, 1.0)
    place = along + share * (beyond - along)
    low = np.where(crosses, place, np.inf).min(axis=-1)
    high = np.where(crosses, place, -np.inf).max(axis=-1)
    return low, high


@dataclass(frozen=True)
class Between:
    """A plane between two plates, carried along by one of them.

    Parameters
    ----------
    gap : how far apart it shows them to be, mm; negative if it cuts one of them.
    carrier : 0 or 1, the plate that carries it.
    direction : unit vector in the world, towards the other plate, shape (3,).
    edges : where it runs along an edge of each plate, the corners at which these edges start.
    """

    gap: float
    carrier: int
    direction: np.ndarray
    edges: tuple[int, int] | None = None


def partings(
    one: np.ndarray, one_normal: np.ndarray, two: np.ndarray, two_normal: np.ndarray
) -> list[Between]:
    """Planes that part two convex plates, the clearest first.

    Two convex bodies that don't meet are parted along a normal of a face of one of them, or along
    a common normal of an edge of each (the separating axis theorem, from H. Minkowski); for flat
    plates, faces are the plates themselves and the strips on which their edges stand. The plane of
    each plate is tried on both sides; of all those along edges only the clearest is given.

    Parameters
    ----------
    one, two : corners, shapes (m, 3) and (k, 3), mm.
    one_normal, two_normal : unit vectors, shape (3,).
    """
    found = [_along(one, two, sign * two_normal, 1) for sign in (1, -1)]
    found += [_along(two, one, sign * one_normal, 0) for sign in (1, -1)]
    strip = _along_edges(one, one_normal, two, two_normal)
    # Rounding must not make an edge win over the plate that it bounds.
    if strip is not None and strip.gap > max(b.gap for b in found) + _POINT_MM:
        found.append(strip)
    return sorted(found, key=lambda between: -between.gap)


def _along(corners: np.ndarray, carrier: np.ndarray, direction: np.ndarray, side: int) -> Between:
    gap = float((corners @ direction).min() - (carrier @ direction).max())
    return Between(gap, side, direction)


def _along_edges(
    one: np.ndarray, one_normal: np.ndarray, two: np.ndarray, two_normal: np.ndarray
) -> Between | None:
    """The plane along edges of both plates, or upright on an edge of one, that parts them best."""
    (first, edges), (second, others) = _edges(one), _edges(two)
    crossed = np.cross(edges[:, None], others[None]).reshape(-1, 3)
    strips = np.concatenate([crossed, np.cross(edges, one_normal), np.cross(others, two_normal)])
    sizes = np.linalg.norm(strips, axis=1)
    strips = strips / np.maximum(sizes, _PARALLEL)[:, None]
    here, there = one @ strips.T, two @ strips.T
    gaps = np.array([here.min(axis=0) - there.max(axis=0), there.min(axis=0) - here.max(axis=0)])
    gaps[:, sizes < _PARALLEL] = -np.inf
    sign, k = np.unravel_index(int(np.argmax(gaps)), gaps.shape)
    if not np.isfinite(gaps[sign, k]):
        return None
    direction = (1.0, -1.0)[sign] * strips[k]
    pair = None
    if k < len(crossed) and sizes[k] > _ASKEW:
        i, j = int(first[k // len(others)]), int(second[k % len(others)])
        nearest = (one @ direction).min() + _POINT_MM, (two @ direction).max() - _POINT_MM
        if one[i] @ direction < nearest[0] and two[j] @ direction > nearest[1]:
            pair = i, j
    return Between(float(gaps[sign, k]), 1, direction, pair)


def _edges(corners: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Corners at which the edges of a plate start, shape (e,), and their directions, (e, 3)."""
    edges = np.roll(corners, -1, axis=0) - corners
    sizes = np.linalg.norm(edges, axis=1)
    real = np.flatnonzero(sizes > _POINT_MM)
    return real, edges[real] / sizes[real, None]
