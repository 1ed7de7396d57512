"""Parallel facets that change sides without ever crossing: both cannot be paper."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from .chord import STRADDLE_MM
from .poses import Pose
from .sweep import END_RAD, FacetPairs, Near

# Planes nearer to parallel than this are compared by height.
_PARALLEL_SINE = float(np.sin(np.radians(3.0)))
# Facets that share less than this have no order, mm².
_SHARED_MM2 = 1.0
# Pairs handled at once: what stays in the processor's cache.
_CHUNK = 10_000


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


def swaps(pairs: FacetPairs, near: Near) -> list[Swap]:
    """Every change of sides within one step."""
    found = []
    # The end of one step is the start of the next.
    known: dict[tuple[int, int, int], int] = {}
    for start in range(0, len(near.step), _CHUNK):
        rows = slice(start, start + _CHUNK)
        first, second, step = near.first[rows], near.second[rows], near.step[rows]
        before, after = near.ends(rows)
        for row in np.flatnonzero(_may_change(pairs, first, second, before, after)).tolist():
            pair, at = (int(first[row]), int(second[row])), int(step[row])
            orders = []
            for k, pose in ((at, before), (at + 1, after)):
                if (*pair, k) not in known:
                    one = Pose(pose.rotation[row], pose.translation[row])
                    known[*pair, k] = order_of(pairs, *pair, one)
                orders.append(known[*pair, k])
                if not orders[0]:
                    break
            if len(orders) == 2 and orders[0] * orders[1] == -1:
                low, high = float(near.grid[at]), float(near.grid[at + 1])
                found.append(_located(pairs, pair, orders[1], low, high))
    return found


def _may_change(
    pairs: FacetPairs, first: np.ndarray, second: np.ndarray, before: Pose, after: Pose
) -> np.ndarray:
    """Whether two facets are nearly parallel at both poses and not clearly on the same side."""
    may = np.ones(len(first), bool)
    for pose in (before, after):
        may &= np.linalg.norm(pose.rotation[:, :2, 2], axis=1) < _PARALLEL_SINE
    rows = np.flatnonzero(may)
    extremes = []
    for pose in (before, after):
        part = Pose(pose.rotation[rows], pose.translation[rows])
        extremes.append(_shared_heights(pairs, first[rows], second[rows], part))
    (low_0, high_0), (low_1, high_1) = extremes
    up = (low_0 < -STRADDLE_MM) & (high_1 > STRADDLE_MM)
    down = (high_0 > STRADDLE_MM) & (low_1 < -STRADDLE_MM)
    may[rows] = up | down
    return may


def _shared_heights(
    pairs: FacetPairs, first: np.ndarray, second: np.ndarray, pose: Pose
) -> tuple[np.ndarray, np.ndarray]:
    """Least and greatest height of the first facet over what the boxes round both share, mm.

    Zero where they share too little to have an order.
    """
    here = pose.apply(pairs.facets.frame[first])[:, :, :2]
    there = pairs.facets.frame[second]
    low = np.maximum(here.min(axis=1), there.min(axis=1))
    high = np.minimum(here.max(axis=1), there.max(axis=1))
    sides = np.maximum(high - low, 0.0)
    shared = sides[:, 0] * sides[:, 1] > _SHARED_MM2
    normal = pose.rotation[:, :, 2]
    slope = -normal[:, :2] / normal[:, 2:]
    middle = np.einsum("nk,nk->n", normal, pose.translation) / normal[:, 2]
    middle += np.einsum("nk,nk->n", slope, low + high) / 2
    reach = np.einsum("nk,nk->n", np.abs(slope), sides) / 2
    return np.where(shared, middle - reach, 0.0), np.where(shared, middle + reach, 0.0)


def _located(pairs: FacetPairs, pair: tuple[int, int], after: int, low: float, high: float) -> Swap:
    """The opening at which the order becomes `after`, by bisection."""
    while high - low > END_RAD:
        middle = (low + high) / 2
        low, high = (low, middle) if _order_at(pairs, pair, middle) == after else (middle, high)
    return Swap(*pair, high, pairs.facets.shared(*pair, _pose_at(pairs, pair, high)))


def _pose_at(pairs: FacetPairs, pair: tuple[int, int], opening: float) -> Pose:
    pose = pairs.pose(np.array(pair[:1]), np.array(pair[1:]), np.array([opening]))
    return Pose(pose.rotation[0], pose.translation[0])


def _order_at(pairs: FacetPairs, pair: tuple[int, int], opening: float) -> int:
    return order_of(pairs, *pair, _pose_at(pairs, pair, opening))


def order_of(pairs: FacetPairs, first: int, second: int, pose: Pose) -> int:
    """+1 if the first facet lies over the second wherever they overlap, -1 under it, or 0."""
    area = pairs.facets.shared(first, second, pose)
    if area.area <= _SHARED_MM2:
        return 0
    points = shapely.get_coordinates(area)
    normal = pose.rotation[:, 2]
    height = (normal @ pose.translation - points @ normal[:2]) / normal[2]
    if height.min() > STRADDLE_MM:
        return 1
    return -1 if height.max() < -STRADDLE_MM else 0
