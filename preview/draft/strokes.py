"""A line of the sheet as a hand draws it: straight parts, arcs of a compass, free curves.

Curves of a sheet are many short straight edges. Edges that lie on one circle are an arc; what is
left is a free curve, told by points so near that straight lines between them miss it by less than
a pencil does.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np
import shapely
from shapely.geometry import LineString

# Corners turn by more than this; what turns less may be a curve. Our choice.
_CORNER_DEG = 25.0
# How near corners of an arc lie to its circle, and its edges may bulge, mm. Our choice.
_ON_CIRCLE_MM, _BULGE_MM = 0.03, 0.12
_LEAST_RING = 8  # our choice: a ring of fewer corners is no circle
_LEAST_EDGES, _LEAST_SWEEP_DEG = 4, 25.0  # our choice
# Radii that a school compass draws, mm. Common practice, no source.
LEAST_RADIUS_MM, MOST_RADIUS_MM = 3.0, 120.0
# Radius of the smallest circle that is told as one: a circle template has holes from 1 mm across.
# Common practice, no source.
LEAST_CIRCLE_MM = 0.5
# An edge at least this long is straight. Our choice.
_LONG_MM = 6.0
# Straight lines between the points of a free curve miss it by less, mm; rounding adds 0.07.
CHORD_MM = 0.15
# Distances along the base line at which a free curve is told if that is enough. Our choice; the
# last is the square of usual graph paper.
_EVERY_MM = (20.0, 10.0, 5.0)
_STRAIGHT_MM = 0.005


@dataclass(frozen=True, eq=False)
class StrokePart:
    """One part of a line.

    Parameters
    ----------
    points : all corners of what is straight, the ends of an arc, the points of a free curve, the
        centre of a circle, shape (n, 2), mm.
    """

    form: Literal["straight", "arc", "curve", "circle"]
    points: np.ndarray
    centre: np.ndarray | None = None
    radius: float = 0.0
    clockwise: bool = False


def parts(line: np.ndarray, chord: float = CHORD_MM, round_ones: bool = True) -> list[StrokePart]:
    """The parts of a line, shape (n, 2), mm, in order; a ring ends as it begins.

    Parameters
    ----------
    chord : by how much straight lines between the points of a free curve may miss it, mm.
    round_ones : whether arcs are looked for.
    """
    points = np.asarray(shapely.simplify(LineString(line), _STRAIGHT_MM).coords)
    closed = bool(np.allclose(points[0], points[-1]))
    if closed:
        whole = circle(points) if round_ones else None
        if whole is not None:
            centre, radius = whole
            return [StrokePart("circle", centre[None], centre, radius)]
        points = _from_corner(points)
    ends = [0, *_corners(points), len(points) - 1]
    found: list[StrokePart] = []
    for first, last in pairwise(ends):
        found += _smooth(points[first : last + 1], chord, round_ones)
    return _joined(found)


def _from_corner(ring: np.ndarray) -> np.ndarray:
    """A ring that begins at its sharpest corner."""
    bare = ring[:-1]
    turns = _turns(np.vstack([bare[-1:], bare, bare[:1]]))
    start = int(np.argmax(np.round(np.abs(turns), 6)))
    rolled = np.roll(bare, -start, axis=0)
    return np.vstack([rolled, rolled[:1]])


def _turns(points: np.ndarray) -> np.ndarray:
    """Angles by which a line turns at its inner corners, radians, left positive."""
    edges = np.diff(points, axis=0)
    angles = np.arctan2(edges[:, 1], edges[:, 0])
    turns: np.ndarray = (np.diff(angles) + np.pi) % (2 * np.pi) - np.pi
    return turns


def _corners(points: np.ndarray) -> list[int]:
    return [int(k) + 1 for k in np.flatnonzero(np.abs(_turns(points)) > np.radians(_CORNER_DEG))]


def _smooth(points: np.ndarray, chord: float, round_ones: bool) -> list[StrokePart]:
    """Parts of a line without corners."""
    found: list[StrokePart] = []
    free: list[int] = []
    k, last = 0, len(points) - 1
    while k < last:
        stop = _arc_from(points, k) if round_ones else None
        if stop is None:
            length = float(np.linalg.norm(points[k + 1] - points[k]))
            if length >= _LONG_MM or last == 1:
                found += _free(points, free, chord)
                free = []
                found.append(StrokePart("straight", points[k : k + 2]))
            else:
                free = [*free, k + 1] if free else [k, k + 1]
            k += 1
            continue
        found += _free(points, free, chord)
        free = []
        centre, radius = _through(points[k], points[(k + stop) // 2], points[stop])
        left = _turns(points[k : stop + 1]).sum() > 0
        found.append(StrokePart("arc", points[[k, stop]], centre, radius, not left))
        k = stop
    return found + _free(points, free, chord)


def _arc_from(points: np.ndarray, first: int) -> int | None:
    """The last corner of the longest arc that begins at a corner."""
    best: int | None = None
    stop, step = first + _LEAST_EDGES, 1
    while True:
        if stop < len(points) and _is_arc(points[first : stop + 1]):
            best, step = stop, 2 * step
            stop += step
        elif best is not None and step > 1:
            # Too far at once: on from the last that was one, corner by corner.
            stop, step = best + 1, 1
        else:
            break
    if best is None:
        return None
    sweep = abs(_turns(points[first : best + 1]).sum()) * (best - first) / (best - first - 1)
    return best if np.degrees(sweep) >= _LEAST_SWEEP_DEG else None


def _is_arc(points: np.ndarray) -> bool:
    turns = _turns(points)
    if not ((turns > 0).all() or (turns < 0).all()) or abs(turns.sum()) > np.radians(340):
        return False
    found = _through(points[0], points[len(points) // 2], points[-1])
    return _fits(points, *found)


def _fits(
    points: np.ndarray, centre: np.ndarray, radius: float, least: float = LEAST_RADIUS_MM
) -> bool:
    if not least <= radius <= MOST_RADIUS_MM:
        return False
    off = np.abs(np.linalg.norm(points - centre, axis=1) - radius).max()
    middles = (points[1:] + points[:-1]) / 2
    bulge = np.abs(np.linalg.norm(middles - centre, axis=1) - radius).max()
    return bool(off < _ON_CIRCLE_MM and bulge < _BULGE_MM)


def _through(one: np.ndarray, two: np.ndarray, three: np.ndarray) -> tuple[np.ndarray, float]:
    """The circle through three points; its radius is infinite if they lie on a line."""
    edges = np.array([two - one, three - one])
    if abs(np.linalg.det(edges)) < 1e-9:
        return one, np.inf
    away = np.linalg.solve(2 * edges, (edges**2).sum(axis=1))
    return one + away, float(np.linalg.norm(away))


def circle(ring: np.ndarray) -> tuple[np.ndarray, float] | None:
    """Centre, shape (2,), and radius of a ring that is a circle, mm; None if it is none."""
    third = len(ring) // 3
    if len(ring) <= _LEAST_RING or not np.allclose(ring[0], ring[-1]):
        return None
    centre, radius = _through(ring[0], ring[third], ring[2 * third])
    whole = np.isfinite(radius) and _fits(ring, centre, radius, LEAST_CIRCLE_MM)
    return (centre, radius) if whole else None


def _free(points: np.ndarray, chosen: list[int], chord: float) -> list[StrokePart]:
    if not chosen:
        return []
    line = points[chosen[0] : chosen[-1] + 1]
    if len(line) == 2:
        return [StrokePart("straight", line)]
    return [StrokePart("curve", _told(line, chord))]


def _told(line: np.ndarray, chord: float) -> np.ndarray:
    """Points that tell a free curve: at even distances along the base line, or where it bends."""
    bends = np.asarray(shapely.simplify(LineString(line), 0.8 * chord).coords)
    x = line[:, 0]
    steps = np.diff(x)
    if (steps > 1e-6).all() or (steps < -1e-6).all():
        forward = line if steps[0] > 0 else line[::-1]
        for every in _EVERY_MM:
            low, high = forward[[0, -1], 0]
            at = np.arange(np.ceil((low + 0.3 * every) / every) * every, high - 0.3 * every, every)
            inner = np.column_stack([at, np.interp(at, forward[:, 0], forward[:, 1])])
            tried = np.vstack([forward[:1], inner, forward[-1:]])
            if len(tried) <= 2 * len(bends) and _misses(tried, line) < chord:
                return tried if steps[0] > 0 else tried[::-1]
    return bends


def _misses(tried: np.ndarray, line: np.ndarray) -> float:
    dense = shapely.points(shapely.get_coordinates(shapely.segmentize(LineString(line), 0.5)))
    return float(shapely.distance(dense, LineString(tried)).max())


def _joined(found: list[StrokePart]) -> list[StrokePart]:
    """Straight parts that follow each other are one."""
    joined: list[StrokePart] = []
    for part in found:
        if joined and part.form == joined[-1].form == "straight":
            both = np.vstack([joined[-1].points, part.points[1:]])
            joined[-1] = StrokePart("straight", both)
        else:
            joined.append(part)
    return joined
