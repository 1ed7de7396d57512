"""Symmetries of a sheet's lines: what is drawn once and mirrored, or repeated about a centre."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from .linework import Linework

# Lines that lie this near to their images are symmetric, mm; a third of what rounding to a tenth
# moves. Our choice.
_SAME_MM = 0.03
_MOST_FOLD = 24  # our choice: more than this no one divides by hand
_MOST_TRIED = 16  # our choice
_MOST_LOOKED_AT = 10  # our choice
_WIDE_MM = 1e4


@dataclass(frozen=True)
class Symmetry:
    """Where lines repeat.

    Parameters
    ----------
    centre : shape (2,), mm; on the axis.
    axis : direction of a line that they are mirrored about, radians; if they are not, of the first
        of their repeats.
    mirrored : whether they are.
    count : how often they are repeated about the centre; 1 if they are not.
    """

    centre: np.ndarray
    axis: float
    mirrored: bool
    count: int

    @property
    def domain(self) -> Polygon:
        """What has to be drawn, in coordinates in which the axis is x and the centre the origin."""
        if self.count == 1:
            return shapely.box(-_WIDE_MM, 0.0, _WIDE_MM, _WIDE_MM)
        turn = 2 * np.pi / self.count / (2 if self.mirrored else 1)
        far = _WIDE_MM * np.column_stack([np.cos([0, turn / 2, turn]), np.sin([0, turn / 2, turn])])
        return Polygon([(0.0, 0.0), *map(tuple, far)])


def find(lines: Linework) -> Symmetry | None:
    """The symmetry that leaves least to draw; None if there is none."""
    middle = shapely.MultiPoint(_corners(lines)).convex_hull.centroid
    hull = shapely.convex_hull(lines.cut)
    for centre in {(hull.centroid.x, hull.centroid.y), (middle.x, middle.y)}:
        found = _about(lines, np.array(centre))
        if found is not None:
            return found
    return None


def _about(lines: Linework, centre: np.ndarray) -> Symmetry | None:
    origin = lines.moved(np.eye(2), -centre)
    far = _directions(origin)
    axes = [axis for axis in far if _kept(origin, _mirror(axis))]
    count = next(
        (n for n in range(_MOST_FOLD, 2, -1) if _may(far, n) and _kept(origin, _turn(n))), 1
    )
    if axes:
        # Of a star one through a tip; else the one that stands most upright on the sheet, which
        # is how a maker looks at it.
        tips = [_reach(origin, axis) if count > 1 else 0.0 for axis in axes]
        far = [axis for axis, tip in zip(axes, tips, strict=True) if tip > max(tips) - _SAME_MM]
        axis = max(far, key=lambda a: (round(abs(np.sin(a)), 6), np.sin(a)))
        return Symmetry(centre, axis, True, count)
    return Symmetry(centre, far[0], False, count) if count > 1 else None


def _corners(lines: Linework) -> np.ndarray:
    return shapely.get_coordinates([shape for _, shape in lines])


def _directions(lines: Linework) -> list[float]:
    """Directions from the centre in which an axis may lie.

    These lead to the farthest corners, to the nearest ones, and between them.
    """
    corners = shapely.get_coordinates(lines.cut)
    far = np.linalg.norm(corners, axis=1)
    found: list[float] = []
    for chosen in (far > far.max() - _SAME_MM, far < far.min() + _SAME_MM):
        turns = np.unique(np.round(np.arctan2(*corners[chosen][:_MOST_TRIED].T[::-1]), 9))
        found += [float(turn) for turn in turns]
        found += [float((turns[0] + turn) / 2) for turn in turns[1:]]
        found += [float((turns[0] + turn) / 2 + np.pi / 2) for turn in turns[1:]]
    _, ways = np.linalg.eigh(np.cov(shapely.get_coordinates(shapely.segmentize(lines.cut, 1.0)).T))
    found += [float(np.arctan2(way[1], way[0])) for way in ways.T]
    return list(dict.fromkeys(round(turn, 9) for turn in found))


def _reach(lines: Linework, axis: float) -> float:
    """How far a line from the centre goes until it meets the farthest cut, mm."""
    way = _WIDE_MM * np.array([np.cos(axis), np.sin(axis)])
    met = shapely.LineString([(0.0, 0.0), way]).intersection(lines.cut.buffer(1e-6))
    return float(np.linalg.norm(shapely.get_coordinates(met), axis=1).max(initial=0.0))


def _may(directions: list[float], count: int) -> bool:
    """Whether two of the directions lie a whole number of repeats apart."""
    step = 2 * np.pi / count
    turns = np.array(directions) - directions[0]
    return bool((np.abs((turns + step / 2) % step - step / 2) < 0.01).sum() > 1)


def _mirror(axis: float) -> np.ndarray:
    c, s = np.cos(2 * axis), np.sin(2 * axis)
    return np.array([[c, s], [s, -c]])


def _turn(count: int) -> np.ndarray:
    c, s = np.cos(2 * np.pi / count), np.sin(2 * np.pi / count)
    return np.array([[c, -s], [s, c]])


def _kept(lines: Linework, matrix: np.ndarray) -> bool:
    """Whether lines moved by a matrix about the origin lie on themselves."""
    # Most do not, and a few corners tell.
    corners = shapely.get_coordinates(lines.cut)
    few = corners[:: max(1, len(corners) // _MOST_LOOKED_AT)] @ matrix.T
    shapely.prepare(lines.cut)
    if not shapely.dwithin(lines.cut, shapely.points(few), _SAME_MM).all():
        return False
    return same(lines, lines.moved(matrix, np.zeros(2)))


def same(lines: Linework, moved: Linework) -> bool:
    """Whether two sheets have the same lines, kind by kind, and the same holes."""
    for (_, one), (_, other) in zip(lines, moved, strict=True):
        if one.is_empty != other.is_empty:
            return False
        if not one.is_empty and not (_on(other, one) and _on(one, other)):
            return False
    if len(lines.holes) != len(moved.holes):
        return False
    if len(lines.holes):
        apart = np.linalg.norm(lines.holes[:, None] - moved.holes[None], axis=2)
        return bool(apart.min(axis=1).max() < _SAME_MM)
    return True


def _on(moved: BaseGeometry, shape: BaseGeometry) -> bool:
    points = shapely.points(shapely.get_coordinates(shapely.segmentize(moved, 5.0)))
    shapely.prepare(shape)
    return bool(shapely.dwithin(shape, points, _SAME_MM).all())


def framed(lines: Linework, symmetry: Symmetry) -> tuple[Linework, np.ndarray, np.ndarray]:
    """What has to be drawn, with the axis along x, and how points of the sheet come there.

    Lines are cut out where the domain ends. Returned are the lines, and matrix and shift of points;
    the centre is the origin if they are repeated, else A lies where the first line begins.
    """
    c, s = np.cos(symmetry.axis), np.sin(symmetry.axis)
    matrix = np.array([[c, s], [-s, c]])
    shift = -matrix @ symmetry.centre
    whole = lines.moved(matrix, shift)
    if symmetry.count == 1:
        start = np.array([-whole.bounds[0], 0.0])
        whole, shift = whole.moved(np.eye(2), start), shift + start
    return whole.within(symmetry.domain, _SAME_MM), matrix, shift
