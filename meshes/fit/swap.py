"""Parallel facets that change sides without ever crossing: both cannot be paper."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from .chord import STRADDLE_MM, frame_heights
from .facets import Facets
from .poses import Pose, Poses
from .sweep import END_RAD, Pairs, near_pairs

# Planes nearer to parallel than this are compared by height.
_PARALLEL_SINE = float(np.sin(np.radians(3.0)))
# Facets that share less than this have no order, mm².
_SHARED_MM2 = 1.0


@dataclass(frozen=True)
class Swap:
    """Two facets that change sides.

    Parameters
    ----------
    first, second : facet indices.
    opening : where they coincide, radians.
    area : the overlap there in the plane of the second facet's body, mm.
    """

    first: int
    second: int
    opening: float
    area: shapely.Geometry


def swaps(facets: Facets, poses: Poses) -> list[Swap]:
    """Every change of sides between two neighbouring stages."""
    if len(poses.openings) < 2:
        return []
    pairs = Pairs(facets, poses)
    steps, first, second = near_pairs(facets, poses, poses.openings)
    keep = ~np.array([facets.body[a] == facets.body[b] for a, b in zip(first, second, strict=True)])
    steps, first, second = steps[keep], first[keep], second[keep]
    changes = _changes(pairs, poses.openings[steps], poses.openings[steps + 1], first, second)
    found = []
    for row in np.flatnonzero(changes):
        pair = int(first[row]), int(second[row])
        low, high = poses.openings[steps[row]], poses.openings[steps[row] + 1]
        swap = _swap_between(pairs, *pair, float(low), float(high))
        if swap is not None:
            found.append(swap)
    return found


def _changes(
    pairs: Pairs, low: np.ndarray, high: np.ndarray, first: np.ndarray, second: np.ndarray
) -> np.ndarray:
    """Whether two facets, nearly parallel at both openings, may have changed sides between."""
    size = 100_000
    out = np.zeros(len(first), bool)
    for start in range(0, len(first), size):
        rows = slice(start, start + size)
        one, two = first[rows], second[rows]
        before, after = pairs.pose(one, two, low[rows]), pairs.pose(one, two, high[rows])
        flat = np.ones(len(one), bool)
        middles = []
        for pose in (before, after):
            flat &= np.linalg.norm(pose.rotation[:, :2, 2], axis=1) < _PARALLEL_SINE
            lift, _ = frame_heights(pairs.facets, one, two, pose)
            middles.append((lift.max(axis=1), lift.min(axis=1)))
        up = (middles[0][1] < -STRADDLE_MM) & (middles[1][0] > STRADDLE_MM)
        down = (middles[0][0] > STRADDLE_MM) & (middles[1][1] < -STRADDLE_MM)
        out[rows] = flat & (up | down)
    return out


def _swap_between(pairs: Pairs, first: int, second: int, low: float, high: float) -> Swap | None:
    before, after = (_order(pairs, first, second, at) for at in (low, high))
    if before * after != -1:
        return None
    while high - low > END_RAD:
        middle = (low + high) / 2
        order = _order(pairs, first, second, middle)
        if order == after:
            high = middle
        else:
            low = middle
    area, _ = _overlap(pairs, first, second, high)
    return Swap(first, second, high, area)


def _overlap(
    pairs: Pairs, first: int, second: int, opening: float
) -> tuple[shapely.Geometry, Pose]:
    one, two = np.array([first]), np.array([second])
    pose = pairs.pose(one, two, np.array([opening]))
    pose = Pose(pose.rotation[0], pose.translation[0])

    def over(points: np.ndarray) -> np.ndarray:
        return points @ pose.rotation[:2, :2].T + pose.translation[:2]

    shadow = shapely.transform(pairs.facets.polygons[first], over)
    return shadow.buffer(0).intersection(pairs.facets.polygons[second]), pose


def _order(pairs: Pairs, first: int, second: int, opening: float) -> int:
    """+1 if the first facet lies over the second's face wherever they overlap, -1 under, or 0."""
    area, pose = _overlap(pairs, first, second, opening)
    if area.area <= _SHARED_MM2:
        return 0
    points = shapely.get_coordinates(area)
    normal = pose.rotation[:, 2]
    height = (normal @ pose.translation - points @ normal[:2]) / normal[2]
    if height.min() > STRADDLE_MM:
        return 1
    return -1 if height.max() < -STRADDLE_MM else 0
