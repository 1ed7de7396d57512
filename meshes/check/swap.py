"""Parallel facets that change sides without ever crossing: both cannot be paper."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from .chord import STRADDLE_MM, extremes, meet
from .poses import Pose
from .sweep import END_RAD, FacetPairs, Near

# Planes nearer to parallel than this are compared by height.
_PARALLEL_SINE = float(np.sin(np.radians(3.0)))
# Facets that share less than this have no order, mm².
SHARED_MM2 = 1.0
# Less than the height that counts, seen square to either of two planes that are nearly parallel.
_SOME_MM = 0.9 * STRADDLE_MM
# Pairs handled at once: what stays in the processor's cache.
_CHUNK = 10_000
# A pair that lies in one plane has no order, but keeps the one that it had: the side of such pairs.
_FLUSH = 2
# What a pair may do in a step: come to lie in one plane from below or above, leave it to there,
# or stay in it.
_FROM_BELOW, _FROM_ABOVE, _TO_BELOW, _TO_ABOVE, _STAYS = 1, 2, 4, 8, 16


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
    """Every change of sides: within one step, or by pairs that lie in one plane in between."""
    found = []
    # The end of one step is the start of the next.
    known: dict[tuple[int, int, int], int] = {}
    flush = np.zeros(len(near.step), np.int8)
    parallel = near.nearly_parallel(_PARALLEL_SINE)
    parallel = parallel[_on_both_sides(pairs, near, parallel)]
    for start in range(0, len(parallel), _CHUNK):
        chunk = parallel[start : start + _CHUNK]
        ends = near.at(chunk, 0), near.at(chunk, 1)
        may, flush[chunk] = _may_change(pairs, near.first[chunk], near.second[chunk], *ends)
        rows = np.flatnonzero(may)
        rows = rows[_may_swap(pairs, near.first[chunk[rows]], near.second[chunk[rows]], ends, rows)]
        for later, pose in enumerate(ends):
            keys = list(zip(*_columns(near, chunk[rows], later), strict=True))
            _find_orders(pairs, known, keys, _some(pose, rows))
            # Where they have no order at the start of a step, they change none in it.
            rows = rows[[abs(known[key]) == 1 for key in keys]]
        befores, afters = (zip(*_columns(near, chunk[rows], k), strict=True) for k in (0, 1))
        for before, after in zip(befores, afters, strict=True):
            if known[before] * known[after] == -1:
                *pair, at = before
                low, high = float(near.grid[at]), float(near.grid[at + 1])
                found.append(_located(pairs, (pair[0], pair[1]), known[after], low, high))
    return found + _after_rests(pairs, near, flush, known)


def _on_both_sides(pairs: FacetPairs, near: Near, rows: np.ndarray) -> np.ndarray:
    """Which rows are of bodies that may lie over each other at some place and under at another.

    Bodies have many facets, so this is quickly asked, of the hulls of all that they have. Those
    that do not have no facets that change sides, and none that come to rest on the other side.
    Shape (n,).
    """
    one, two = near.body[near.first[rows]], near.body[near.second[rows]]
    hulls = pairs.facets.hulls
    count = len(hulls)
    asked = [((near.step[rows] + later) * count + one) * count + two for later in (0, 1)]
    place, both = np.divmod(np.unique(np.concatenate(asked)), count**2)
    first, second = np.divmod(both, count)
    turns, shifts = near.bodies.rotation, near.bodies.translation
    pose = Pose(turns[place, first], shifts[place, first]).seen_from(
        Pose(turns[place, second], shifts[place, second])
    )
    normal = pose.rotation[:, :, 2]
    lift = (hulls[first] @ pose.rotation[:, 2, :2, None])[..., 0] + pose.translation[:, 2:]
    sink = (hulls[second] @ normal[:, :2, None])[..., 0]
    sink -= np.einsum("nk,nk->n", normal, pose.translation)[:, None]
    # Above as the second one sees it, whichever way the first one looks.
    sink *= np.sign(normal[:, 2:])
    under, over = np.zeros(count**2, bool), np.zeros(count**2, bool)
    under[both[(lift.min(axis=1) < -_SOME_MM) & (sink.max(axis=1) > _SOME_MM)]] = True
    over[both[(lift.max(axis=1) > _SOME_MM) & (sink.min(axis=1) < -_SOME_MM)]] = True
    found: np.ndarray = (under & over)[one * count + two]
    return found


def _after_rests(
    pairs: FacetPairs, near: Near, flush: np.ndarray, known: dict[tuple[int, int, int], int]
) -> list[Swap]:
    """Changes of sides by pairs that lie in one plane at some places of the grid in between."""
    rows = np.flatnonzero(flush)
    rows = rows[np.lexsort((near.step[rows], near.second[rows], near.first[rows]))]
    rows = rows[_through(near, rows, flush[rows])]
    rows = rows[_resting(pairs, near, rows, known)]
    if not len(rows):
        return []
    keys = [list(zip(*_columns(near, rows, k), strict=True)) for k in (0, 1)]
    for later, ends in enumerate(keys):
        _find_orders(pairs, known, ends, near.at(rows, later))
    found = []
    last, since, rested, previous = 0, 0, False, None
    for before, after in zip(*keys, strict=True):
        *pair, at = before
        if before != previous:
            last, since, rested = known[before], at, False
        here, previous = known[after], after
        if here == _FLUSH:
            rested = True
            continue
        if rested and here * last == -1:
            low, high = float(near.grid[since]), float(near.grid[at + 1])
            found.append(_located(pairs, (pair[0], pair[1]), here, low, high))
        last, since, rested = here, at + 1, False
    return found


def _through(near: Near, rows: np.ndarray, flush: np.ndarray) -> np.ndarray:
    """Which rows are of pairs that may come to rest from one side and leave to the other later.

    Returns
    -------
    Shape (n,).
    """
    pair = np.stack([near.first[rows], near.second[rows]], axis=1)
    _, which = np.unique(pair, axis=0, return_inverse=True)
    which, count = which.ravel(), len(rows)
    through = np.zeros(count, bool)
    for comes, leaves in ((_FROM_BELOW, _TO_ABOVE), (_FROM_ABOVE, _TO_BELOW)):
        first, last = np.full(count, len(near.grid)), np.full(count, -1)
        come, leave = (np.flatnonzero(flush & bit) for bit in (comes, leaves))
        np.minimum.at(first, which[come], near.step[rows[come]])
        np.maximum.at(last, which[leave], near.step[rows[leave]])
        through |= (first < last)[which]
    return through


def _resting(
    pairs: FacetPairs, near: Near, rows: np.ndarray, known: dict[tuple[int, int, int], int]
) -> np.ndarray:
    """Which rows are of pairs that lie in one plane at the end of one of them, shape (n,)."""
    first, second, pose = near.first[rows], near.second[rows], near.at(rows, 1)
    may = _side_somewhere(pairs, first, second, pose) == 0
    may[may] = _frames_meet(pairs, first[may], second[may], _some(pose, may))
    keys = list(zip(*_columns(near, rows[may], 1), strict=True))
    _find_orders(pairs, known, keys, _some(pose, may))
    number = first * len(pairs.facets) + second
    flush = np.array([known[key] == _FLUSH for key in keys], bool)
    return np.isin(number, number[may][flush])


def _some(pose: Pose, rows: np.ndarray) -> Pose:
    return Pose(pose.rotation[rows], pose.translation[rows])


def _frames_meet(
    pairs: FacetPairs, first: np.ndarray, second: np.ndarray, pose: Pose
) -> np.ndarray:
    """Whether the shadow of the rectangle round the first facet meets that round the second, (n,).

    Two convex shapes are apart if they are so across one of their sides.
    """
    one, two = pose.apply(pairs.facets.frame[first])[:, :, :2], pairs.facets.frame[second]
    together = np.ones(len(first), bool)
    for shape in (one, two):
        for side in (shape[:, 1] - shape[:, 0], shape[:, 2] - shape[:, 1]):
            across = np.stack([-side[:, 1], side[:, 0]], axis=1)[:, :, None]
            (low, high), (lower, higher) = (
                extremes((each @ across)[:, :, 0]) for each in (one, two)
            )
            together &= (low <= higher) & (lower <= high)
    return together


def _columns(near: Near, rows: np.ndarray, later: int) -> tuple[list[int], ...]:
    """Facets and place in the grid of some rows, at the start or the end of the step."""
    first, second, step = (column[rows] for column in (near.first, near.second, near.step))
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
    orders = _sides(pairs, first, second, _some(pose, np.array(fresh)))
    known.update(zip([keys[row] for row in fresh], orders.tolist(), strict=True))


def _may_change(
    pairs: FacetPairs, first: np.ndarray, second: np.ndarray, before: Pose, after: Pose
) -> tuple[np.ndarray, np.ndarray]:
    """Which pairs are nearly parallel at both poses and not clearly on the same side.

    Returns
    -------
    Whether they may change sides, shape (n,), and how they may come to lie in one plane or leave
    it, shape (n,), 0 where they do not.
    """
    may = np.ones(len(first), bool)
    for pose in (before, after):
        may &= np.linalg.norm(pose.rotation[:, :2, 2], axis=1) < _PARALLEL_SINE
    rows = np.flatnonzero(may)
    below, above, at = [], [], []
    for pose in (before, after):
        part = _some(pose, rows)
        shared, low, high = _shared_heights(pairs, first[rows], second[rows], part)
        below.append(shared & (low < -STRADDLE_MM))
        above.append(shared & (high > STRADDLE_MM))
        at.append(shared & (low <= STRADDLE_MM) & (high >= -STRADDLE_MM))
    may[rows] = (below[0] & above[1]) | (above[0] & below[1])
    flush = np.zeros(len(first), np.int8)
    flush[rows] = (
        (at[1] & below[0]) * _FROM_BELOW
        + (at[1] & above[0]) * _FROM_ABOVE
        + (at[0] & below[1]) * _TO_BELOW
        + (at[0] & above[1]) * _TO_ABOVE
        + (at[0] & at[1]) * _STAYS
    )
    return may, flush


def _may_swap(
    pairs: FacetPairs,
    first: np.ndarray,
    second: np.ndarray,
    ends: Sequence[Pose],
    rows: np.ndarray,
) -> np.ndarray:
    """Which pairs may have opposite orders at both ends, shape (n,): quickly asked.

    Facets that share nothing or pass through each other have no order; and where one of them is
    known to lie over the other at some place that they share, it is not under it.

    Parameters
    ----------
    rows : shape (n,), where the pairs stand in the poses.
    """
    clear, sides = np.arange(len(first)), np.ones(len(first), int)
    for pose in ends:
        here = _some(pose, rows[clear])
        shares = _frames_meet(pairs, first[clear], second[clear], here)
        clear, here = clear[shares], _some(here, shares)
        apart = ~meet(pairs.facets, first[clear], second[clear], here).hit
        clear, here = clear[apart], _some(here, apart)
        sides[clear] *= _side_somewhere(pairs, first[clear], second[clear], here)
    may = np.zeros(len(first), bool)
    may[clear] = sides[clear] != 1
    return may


def _side_somewhere(
    pairs: FacetPairs, first: np.ndarray, second: np.ndarray, pose: Pose
) -> np.ndarray:
    """+1 where the first facet lies over the second at some place, -1 where it lies under it.

    Only one place of each is looked at, and 0 stands where that tells nothing; shape (n,).
    """
    outlines, inner = pairs.facets.outlines, pairs.facets.inner
    normal, turn = pose.rotation[:, :, 2], pose.rotation[:, :, :2]
    above = (turn @ inner[first][:, :, None])[:, :, 0] + pose.translation
    below = inner[second]
    height = np.einsum("nk,nk->n", normal, pose.translation)
    height = (height - np.einsum("nk,nk->n", normal[:, :2], below)) / normal[:, 2]
    there = np.column_stack([below, height]) - pose.translation
    back = (there[:, None] @ turn)[:, 0]
    inside = (
        shapely.contains_xy(outlines[second], above[:, 0], above[:, 1]),
        shapely.contains_xy(outlines[first], back[:, 0], back[:, 1]),
    )
    sides = np.zeros(len(first), int)
    for within, over in zip(inside, (above[:, 2], height), strict=True):
        sides[within & (over > STRADDLE_MM)] = 1
        sides[within & (over < -STRADDLE_MM)] = -1
    return sides


def _shared_heights(
    pairs: FacetPairs, first: np.ndarray, second: np.ndarray, pose: Pose
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """How high the first facet lies over what the boxes round both share.

    Returns
    -------
    Whether that is enough for an order, and the least and the greatest height, mm.
    """
    here = pose.apply(pairs.facets.frame[first])
    there = pairs.facets.frame[second]
    (least, most), (lower, higher) = extremes(here[:, :, :2]), extremes(there)
    low, high = np.maximum(least, lower), np.minimum(most, higher)
    sides = np.maximum(high - low, 0.0)
    shared = sides[:, 0] * sides[:, 1] > SHARED_MM2
    normal = pose.rotation[:, :, 2]
    slope = -normal[:, :2] / normal[:, 2:]
    middle = np.einsum("nk,nk->n", normal, pose.translation) / normal[:, 2]
    middle += np.einsum("nk,nk->n", slope, low + high) / 2
    reach = np.einsum("nk,nk->n", np.abs(slope), sides) / 2
    # Nor is it lower or higher than at the corners of the first one's box.
    bottom, top = extremes(here[:, :, 2])
    return shared, np.maximum(middle - reach, bottom), np.minimum(middle + reach, top)


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

    Facets in one plane have no order.

    Parameters
    ----------
    first, second : shape (n,), facet indices.
    pose : of the first facet's body in the frame of the second's, n of them.
    """
    sides = _sides(pairs, first, second, pose)
    return np.where(sides == _FLUSH, 0, sides)


def _sides(pairs: FacetPairs, first: np.ndarray, second: np.ndarray, pose: Pose) -> np.ndarray:
    """The same, but `_FLUSH` for facets that overlap in one plane."""
    areas = pairs.facets.all_shared(first, second, pose)
    rows = np.flatnonzero(shapely.area(areas) > SHARED_MM2)
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
    orders[rows[(low >= -STRADDLE_MM) & (high <= STRADDLE_MM)]] = _FLUSH
    return orders
