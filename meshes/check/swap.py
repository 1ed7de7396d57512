"""Parallel facets that change sides without ever crossing: both cannot be paper."""

from __future__ import annotations

from collections.abc import Sequence
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
        chunk = slice(start, start + _CHUNK)
        ends = near.ends(chunk)
        rows = np.flatnonzero(_may_change(pairs, near.first[chunk], near.second[chunk], *ends))
        for later, pose in enumerate(ends):
            keys = list(zip(*_columns(near, chunk, rows, later), strict=True))
            _find_orders(pairs, known, keys, Pose(pose.rotation[rows], pose.translation[rows]))
            # Where they have no order at the start of a step, they change none in it.
            rows = rows[[known[key] != 0 for key in keys]]
        befores, afters = (zip(*_columns(near, chunk, rows, k), strict=True) for k in (0, 1))
        for before, after in zip(befores, afters, strict=True):
            if known[before] * known[after] == -1:
                *pair, at = before
                low, high = float(near.grid[at]), float(near.grid[at + 1])
                found.append(_located(pairs, (pair[0], pair[1]), known[after], low, high))
    return found


def _columns(near: Near, chunk: slice, rows: np.ndarray, later: int) -> tuple[list[int], ...]:
    """Facets and place in the grid of some rows of a chunk, at the start or the end of the step."""
    first, second, step = (column[chunk][rows] for column in (near.first, near.second, near.step))
    return first.tolist(), second.tolist(), (step + later).tolist()


def _find_orders(
    pairs: FacetPairs,
    known: dict[tuple[int, int, int], int],
    keys: Sequence[tuple[int, int, int]],
    pose: Pose,
) -> None:
    """Add the orders of pairs at places in the grid, so far as they are not known."""
    fresh = [row for row, key in enumerate(keys) if key not in known]
    if not fresh:
        return
    first, second, _ = np.array([keys[row] for row in fresh]).T
    orders = orders_of(pairs, first, second, Pose(pose.rotation[fresh], pose.translation[fresh]))
    known.update(zip([keys[row] for row in fresh], orders.tolist(), strict=True))


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
    first, second = np.array(pair[:1]), np.array(pair[1:])
    pose = pairs.pose(first, second, np.array([opening]))
    return int(orders_of(pairs, first, second, pose)[0])


def orders_of(pairs: FacetPairs, first: np.ndarray, second: np.ndarray, pose: Pose) -> np.ndarray:
    """+1 if the first facet lies over the second wherever they overlap, -1 under it, or 0.

    Parameters
    ----------
    first, second : shape (n,), facet indices.
    pose : of the first facet's body in the frame of the second's, n of them.
    """
    areas = pairs.facets.all_shared(first, second, pose)
    rows = np.flatnonzero(shapely.area(areas) > _SHARED_MM2)
    points, owner = shapely.get_coordinates(areas[rows], return_index=True)
    normal, place = pose.rotation[rows, :, 2], pose.translation[rows]
    height = np.einsum("nk,nk->n", normal, place)[owner]
    height -= np.einsum("nk,nk->n", points, normal[owner, :2])
    height /= normal[owner, 2]
    low, high = np.full(len(rows), np.inf), np.full(len(rows), -np.inf)
    np.minimum.at(low, owner, height)
    np.maximum.at(high, owner, height)
    orders = np.zeros(len(first), int)
    orders[rows] = (low > STRADDLE_MM).astype(int) - (high < -STRADDLE_MM)
    return orders
