"""All contacts of facets over a whole motion, at stages and between them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .chord import STRADDLE_MM, Meetings, chords, extremes, height_span, meet, reach_of
from .facets import Facets
from .poses import Pose, Poses

# Corners of a pair move no farther than this against each other from one test to the next, mm.
STEP_MM = 1.0
# The same where a quick look is enough. Our choice.
QUICK_MM = 4.0
# Ends of a contact are found to this, radians.
END_RAD = float(np.radians(0.005))
# Near flat everything happens at once: looked at as well, radians from 0 and from pi.
_NEAR_FLAT = np.radians([0.1, 0.3, 0.6])
# Openings of a run at which the push is evaluated, and again around the worst.
_EVALUATED = 12
_AROUND = 7
_ROUNDS = 6
# Steps for which pairs are first sorted out together.
_TOGETHER = 12
# Pairs handled at once: what stays in the processor's cache.
_CHUNK = 10_000
# Tests made at once: few enough that their poses take little room. Our choice.
_TESTED = 50_000
# Openings nearer than this are the same, and squares of sines.
_SAME_RAD = 1e-9
_SAME_SINE = 1e-9
# Where a pair may meet between two openings, so many more are tested between them, in so many
# rounds: from 1 mm to less than a hundredth.
_INNER, _CLOSER = 7, 3


@dataclass(frozen=True)
class Contact:
    """A stretch of openings over which two facets pass through each other.

    Parameters
    ----------
    first, second : facet indices.
    start, end : openings, radians.
    """

    first: int
    second: int
    start: float
    end: float


class FacetPairs:
    """Pairs of facets at any opening: relative poses and tests.

    Parameters
    ----------
    facets, poses : of one spread.

    Attributes
    ----------
    looks : how many pairs at an opening have been looked at so far: a measure of the work done that
        is the same on every computer.
    """

    def __init__(self, facets: Facets, poses: Poses) -> None:
        self.facets = facets
        self.poses = poses
        self.looks = 0

    def pose(self, first: np.ndarray, second: np.ndarray, openings: np.ndarray) -> Pose:
        """The first facet's body seen from the second's, each pair at its own opening."""
        self.looks += len(openings)
        one, two = self.facets.body[first], self.facets.body[second]
        # Bodies have many facets, and most openings are those of the grid: each is worked out once.
        count = self.poses.rotations.shape[1]
        at, which = np.unique(openings, return_inverse=True)
        unique, rows = np.unique((which * count + one) * count + two, return_inverse=True)
        which, both = np.divmod(unique, count**2)
        one, two = np.divmod(both, count)
        pose = self.poses.at(at[which], one).seen_from(self.poses.at(at[which], two))
        return Pose(pose.rotation[rows], pose.translation[rows])

    def meet(self, first: np.ndarray, second: np.ndarray, openings: np.ndarray) -> Meetings:
        """Test pairs, each at its own opening (radians)."""
        return meet(self.facets, first, second, self.pose(first, second, openings))

    def pushes(self, contact: Contact, openings: np.ndarray) -> np.ndarray:
        """Smallest push that frees two facets at openings (radians), mm; 0 where they are clear.

        For other than convex facets it is worked out only where it can still be the largest of all,
        and given as 0 elsewhere.
        """
        one, two = np.full(len(openings), contact.first), np.full(len(openings), contact.second)
        pose = self.pose(one, two, openings)
        pushes = meet(self.facets, one, two, pose).bound
        if self.facets.simple[contact.first] and self.facets.simple[contact.second]:
            return pushes
        bounds, pushes = pushes, np.zeros_like(pushes)
        for k in np.argsort(-bounds):
            if bounds[k] <= pushes.max():
                break
            single = Pose(pose.rotation[k], pose.translation[k])
            found = chords(self.facets, contact.first, contact.second, single)
            pushes[k] = max((chord.push for chord in found), default=0.0)
        return pushes


def grid_of(poses: Poses) -> np.ndarray:
    """The openings of the stages, with a few more near flat, radians."""
    openings = poses.openings
    extra = np.concatenate([_NEAR_FLAT, np.pi - _NEAR_FLAT])
    step = np.searchsorted(openings, extra, side="right") - 1
    known = (step >= 0) & (step < len(openings) - 1)
    known[known] = poses.joined[step[known]]
    return np.unique(np.concatenate([openings, extra[known]]))


@dataclass(frozen=True)
class Near:
    """Pairs of facets whose boxes meet in one step of a grid of openings.

    Parameters
    ----------
    grid : openings, shape (T,), radians.
    step : shape (k,), the step begins at ``grid[step]``.
    bodies : all bodies at all openings of the grid, shape (T, B).
    body : shape (F,), the body of each facet.
    first, second : shape (k,), facets of different bodies, not both pages.
    """

    grid: np.ndarray
    bodies: Pose
    body: np.ndarray
    step: np.ndarray
    first: np.ndarray
    second: np.ndarray

    def at(self, rows: np.ndarray | slice, later: int) -> Pose:
        """Some pairs at the start (0) or end (1) of their step, the first seen from the second."""
        step, turns, shifts = self.step[rows] + later, self.bodies.rotation, self.bodies.translation
        one, two = self.body[self.first[rows]], self.body[self.second[rows]]
        return Pose(turns[step, one], shifts[step, one]).seen_from(
            Pose(turns[step, two], shifts[step, two])
        )

    def nearly_parallel(self, sine: float) -> np.ndarray:
        """Rows of pairs whose planes differ by less than this at both ends of their step, (m,)."""
        normals, rows = self.bodies.rotation[..., 2], np.arange(len(self.step))
        one, two = self.body[self.first], self.body[self.second]
        for later in (0, 1):
            step = self.step[rows] + later
            cosine = np.einsum("nk,nk->n", normals[step, one[rows]], normals[step, two[rows]])
            rows = rows[cosine**2 > 1 - sine**2 - _SAME_SINE]
        return rows


@dataclass(frozen=True)
class Samples:
    """Tests of pairs at openings, sorted by pair and opening, none twice.

    Parameters
    ----------
    first, second : shape (n,), facet indices.
    openings : shape (n,), radians.
    depth : shape (n,), see :class:`Meetings`, mm.
    """

    first: np.ndarray
    second: np.ndarray
    openings: np.ndarray
    depth: np.ndarray

    def of_pairs(self, wanted: np.ndarray, count: int) -> np.ndarray:
        """Which samples are of some pairs, numbers as of :meth:`numbers`, ascending; shape (n,)."""
        own = self.numbers(count)
        place = np.minimum(np.searchsorted(wanted, own), max(len(wanted) - 1, 0))
        return wanted[place] == own if len(wanted) else np.zeros(len(own), bool)

    def numbers(self, count: int) -> np.ndarray:
        """A number for the pair of each sample, of `count` facets, shape (n,)."""
        return self.first * count + self.second

    def take(self, rows: np.ndarray) -> Samples:
        """Some of them, in order."""
        return Samples(self.first[rows], self.second[rows], self.openings[rows], self.depth[rows])

    @classmethod
    def of(
        cls, pairs: FacetPairs, first: np.ndarray, second: np.ndarray, openings: np.ndarray
    ) -> Samples:
        """Test pairs at openings in any order."""
        rows = _sorted(first, second, openings)
        first, second, openings = first[rows], second[rows], openings[rows]
        return cls(first, second, openings, _depths(pairs, first, second, openings))

    def joined(self, more: Samples) -> Samples:
        """These samples and more of them."""
        columns = [
            np.append(getattr(self, name), getattr(more, name))
            for name in ("first", "second", "openings", "depth")
        ]
        rows = _sorted(*columns[:3])
        return Samples(*(column[rows] for column in columns))

    def follows(self, longest: float) -> np.ndarray:
        """Whether each sample but the first is the next one of the same pair, shape (n - 1,)."""
        return (
            (self.first[1:] == self.first[:-1])
            & (self.second[1:] == self.second[:-1])
            & (np.diff(self.openings) <= longest)
        )


def _sorted(first: np.ndarray, second: np.ndarray, openings: np.ndarray) -> np.ndarray:
    """Rows in order of pair and opening, equal ones left out."""
    pair = first * (int(second.max(initial=0)) + 1) + second
    order = np.arange(len(pair))
    # Most often they are in order already.
    if not _ascending(pair, openings).all():
        order = np.lexsort((openings, pair))
        pair, openings = pair[order], openings[order]
    return order[np.append(np.ones(min(len(pair), 1), bool), _ascending(pair, openings))]


def _ascending(pair: np.ndarray, openings: np.ndarray) -> np.ndarray:
    """Whether each row but the first is of a later pair or a later opening, shape (n - 1,)."""
    more = np.diff(pair)
    found: np.ndarray = (more > 0) | ((more == 0) & (np.diff(openings) > _SAME_RAD))
    return found


def sweep(pairs: FacetPairs, near: Near, quick: bool = False) -> list[Contact]:
    """Every contact of facets that come near each other.

    Parameters
    ----------
    quick : look farther apart, and no closer where they come closest: of what meets only for a
        short way it may not tell.
    """
    samples = _samples(pairs, near, QUICK_MM if quick else STEP_MM)
    if not len(samples.first):
        return []
    longest = 1.001 * float(np.diff(near.grid).max())
    count, found = len(pairs.facets), list[Contact]()
    for k in range(0 if quick else _CLOSER):
        more = _closest(samples, longest, STEP_MM / (_INNER + 1) ** k)
        if not more[0].size:
            break
        # Of the other pairs all is known: what is asked next is only less.
        closer = Samples.of(pairs, *more)
        again = samples.of_pairs(np.unique(closer.numbers(count)), count)
        found += _runs(pairs, samples.take(np.flatnonzero(~again)), longest)
        samples = samples.take(np.flatnonzero(again)).joined(closer)
    found += _runs(pairs, samples, longest)
    return sorted(found, key=lambda one: (one.first, one.second, one.start))


def near_pairs(
    facets: Facets,
    poses: Poses,
    moving: Sequence[int] | None = None,
    known: np.ndarray | None = None,
) -> Near:
    """All pairs of facets of different bodies that come near each other, step by step.

    Parameters
    ----------
    moving : if given, only pairs of which one is in one of these bodies and the other is not.
    known : which facets need not be paired with each other, shape (F,).
    """
    if len(poses.openings) < 2:
        empty = np.zeros(0, int)
        return Near(poses.openings, poses.stages, facets.body, empty, empty, empty)
    grid = grid_of(poses)
    bodies = _everywhere(poses, grid)
    corners = Pose(bodies.rotation[:, facets.body], bodies.translation[:, facets.body]).apply(
        facets.frame
    )
    low, high = corners.min(axis=2), corners.max(axis=2)
    joined = poses.joined[np.searchsorted(poses.openings, grid[:-1], side="right") - 1]
    page = np.array([facets.is_page(k) for k in range(len(facets))])
    apart = np.triu(facets.body[:, None] != facets.body, 1) & ~(page[:, None] & page)
    roll = np.unique(facets.rolled, return_inverse=True)[1]
    apart &= roll[:, None] != roll
    if moving is not None:
        moves = np.isin(facets.body, moving)
        apart &= moves[:, None] != moves
    if known is not None:
        apart &= ~(known[:, None] & known)
    # A corner may bulge out of the box of its two ends by a fraction of the way between them.
    moved = np.maximum(np.abs(np.diff(low, axis=0)), np.abs(np.diff(high, axis=0)))
    bulge = 0.1 * moved.max(axis=(1, 2), initial=0.0) + STRADDLE_MM
    bottom = np.minimum(low[:-1], low[1:]) - bulge[:, None, None]
    top = np.maximum(high[:-1], high[1:]) + bulge[:, None, None]
    found = []
    # Most pairs are far apart for many steps, so all are looked at once for some steps together.
    for steps in np.array_split(np.flatnonzero(joined), range(_TOGETHER, len(joined), _TOGETHER)):
        if not len(steps):
            continue
        ones, twos = _close(bottom[steps].min(axis=0), top[steps].max(axis=0), apart)
        meet = np.ones((len(steps), len(ones)), bool)
        for axis in range(3):
            lows, highs = bottom[steps, :, axis], top[steps, :, axis]
            meet &= (lows[:, ones] <= highs[:, twos]) & (lows[:, twos] <= highs[:, ones])
        row, pair = np.nonzero(meet)
        found.append((steps[row], ones[pair], twos[pair]))
    empty = np.zeros((3, 0), int)
    step, one, two = np.concatenate([empty, *(np.stack(row) for row in found)], axis=1)
    return Near(grid, bodies, facets.body, step.astype(int), one.astype(int), two.astype(int))


def _close(bottom: np.ndarray, top: np.ndarray, apart: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Pairs, of those that count, shape (F, F), whose boxes (F, 3) meet, in order."""
    close = apart.copy()
    for axis in range(3):
        under = bottom[:, None, axis] <= top[None, :, axis]
        close &= under & under.T
    first, second = np.nonzero(close)
    return first, second


def _everywhere(poses: Poses, grid: np.ndarray) -> Pose:
    """All bodies at all openings of the grid, arrays of shape (T, B, 3, 3) and (T, B, 3)."""
    count = poses.rotations.shape[1]
    flat = poses.at(np.repeat(grid, count), np.tile(np.arange(count), len(grid)))
    return Pose(
        flat.rotation.reshape(len(grid), count, 3, 3),
        flat.translation.reshape(len(grid), count, 3),
    )


def _samples(pairs: FacetPairs, near: Near, step_mm: float) -> Samples:
    """Each pair at openings so close that nothing of `step_mm` slips through."""
    facets, grid = pairs.facets, near.grid
    order = np.argsort((near.first * len(facets) + near.second) * len(grid) + near.step)
    kept = [
        _in_step(facets, near, order[start : start + _CHUNK], step_mm)
        for start in range(0, len(order), _CHUNK)
    ]
    if not kept:
        none = np.zeros(0, int)
        return Samples(none, none, np.zeros(0), np.zeros(0))
    rows, counts, reach = (np.concatenate(column) for column in zip(*kept, strict=True))
    first, second, step = (column[rows] for column in (near.first, near.second, near.step))
    # The end of one step is the start of the next.
    goes_on = (np.diff(first) == 0) & (np.diff(second) == 0) & (np.diff(step) == 1)
    number = counts + np.append(~goes_on, True)[: len(rows)]
    which = np.repeat(np.arange(len(rows)), number)
    nth = np.arange(len(which)) - np.repeat(np.cumsum(number) - number, number)
    last = nth == counts[which]
    between = (nth > 0) & ~last
    share = nth / counts[which]
    at = grid[step[which]] * (1 - share) + grid[step[which] + 1] * share
    first, second = first[which], second[which]
    depth = np.where(last, reach[which, 1], reach[which, 0])
    pairs.looks += int((~between).sum())
    # Of those at an opening of the grid most are parted by the rectangles round them.
    for later in (0, 1):
        there = np.flatnonzero((depth > STRADDLE_MM) & ~between & (last == later))
        for some in _chunks(there):
            pose = near.at(rows[which[some]], later)
            depth[some] = meet(facets, first[some], second[some], pose).depth
    depth[between] = _depths(pairs, first[between], second[between], at[between])
    return Samples(first, second, at, depth)


def _depths(
    pairs: FacetPairs, first: np.ndarray, second: np.ndarray, openings: np.ndarray
) -> np.ndarray:
    """Depths of pairs, each at its own opening, shape (n,), mm."""
    depth = np.zeros(len(first))
    for some in _chunks(np.arange(len(first))):
        depth[some] = pairs.meet(first[some], second[some], openings[some]).depth
    return depth


def _chunks(rows: np.ndarray) -> list[np.ndarray]:
    return [rows[start : start + _TESTED] for start in range(0, len(rows), _TESTED)]


def _in_step(
    facets: Facets, near: Near, rows: np.ndarray, step_mm: float
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Rows of pairs that may meet in their step, in how many parts to look, and their reach.

    Parameters
    ----------
    rows : sorted by pair and step.

    Returns
    -------
    Shapes (m,), (m,) and (m, 2): the reach of the rectangles at the start and the end, mm.
    """
    first, second, step = near.first[rows], near.second[rows], near.step[rows]
    goes_on = (np.diff(first) == 0) & (np.diff(second) == 0) & (np.diff(step) == 1)
    ends = np.flatnonzero(np.append(~goes_on, True))
    count = len(rows)
    # The end of one step is the start of the next.
    after = np.append(np.arange(1, count), count)
    after[ends] = count + np.arange(len(ends))
    one, two = np.append(first, first[ends]), np.append(second, second[ends])
    start, end = near.at(rows, 0), near.at(rows[ends], 1)
    pose = Pose(
        np.concatenate([start.rotation, end.rotation]),
        np.concatenate([start.translation, end.translation]),
    )
    back = np.swapaxes(pose.rotation, 1, 2)
    there = Pose(back, -(back @ pose.translation[:, :, None])[:, :, 0])
    corners = pose.apply(facets.frame[one]), there.apply(facets.frame[two])
    way = np.maximum(*(_farthest(here[after] - here[:count]) for here in corners))
    spans = [height_span(here[..., 2]) for here in corners]
    may = np.ones(count, bool)
    for low, high in spans:
        may &= np.maximum(high[:count], high[after]) + 0.25 * way > STRADDLE_MM
        may &= np.minimum(low[:count], low[after]) - 0.25 * way < -STRADDLE_MM
    reach = reach_of(*spans)
    parts = np.maximum(np.ceil(way[may] / step_mm).astype(int), 1)
    both = np.stack([reach[:count][may], reach[after][may]], axis=1)
    return rows[may], parts, both


def _farthest(moved: np.ndarray) -> np.ndarray:
    """The longest of the ways (n, E, 3) of some points, shape (n,)."""
    return np.sqrt(extremes(np.einsum("nkj,nkj->nk", moved, moved))[1])


def _closest(
    samples: Samples, longest: float, travel: float
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """More openings between neighbouring ones where a pair may meet though it does at neither.

    The depth changes no faster than the pair moves, so between two samples it stays below the mean
    of both and half of the way between them. That way is judged by how the depth changes here and
    next to here, and where that is not known, by `travel` (mm), the most it can be.
    """
    follows, depth = samples.follows(longest), samples.depth
    change = np.where(follows, np.abs(np.diff(depth)), travel)
    before, after = np.append(travel, change[:-1]), np.append(change[1:], travel)
    way = np.maximum(change, np.maximum(before, after))
    clear = np.maximum(depth[:-1], depth[1:]) <= STRADDLE_MM
    may = (depth[:-1] + depth[1:] + way) / 2 > STRADDLE_MM
    rows = np.flatnonzero(follows & clear & may & (way > STRADDLE_MM))
    low, high = samples.openings[rows], samples.openings[rows + 1]
    inner = low[:, None] + (high - low)[:, None] * np.linspace(0, 1, _INNER + 2)[1:-1]
    return (
        np.repeat(samples.first[rows], _INNER),
        np.repeat(samples.second[rows], _INNER),
        inner.ravel(),
    )


def _runs(pairs: FacetPairs, samples: Samples, longest: float) -> list[Contact]:
    """Join neighbouring hits of one pair and bisect both ends of each run."""
    first, second, openings = samples.first, samples.second, samples.openings
    hit, follows = samples.depth > STRADDLE_MM, samples.follows(longest)
    new, last = np.append(True, ~follows), np.append(~follows, True)
    begins = np.flatnonzero(hit & (new | ~np.append(False, hit[:-1])))
    ends = np.flatnonzero(hit & (last | ~np.append(hit[1:], False)))
    if not begins.size:
        return []
    one, two = first[begins], second[begins]
    clear_before = openings[np.where(new[begins], begins, begins - 1)]
    clear_after = openings[np.where(last[ends], ends, ends + 1)]
    start = _bisect(pairs, one, two, clear_before, openings[begins])
    stop = _bisect(pairs, one, two, clear_after, openings[ends])
    return [
        Contact(int(a), int(b), float(s), float(e))
        for a, b, s, e in zip(one, two, start, stop, strict=True)
    ]


def _bisect(
    pairs: FacetPairs, first: np.ndarray, second: np.ndarray, clear: np.ndarray, met: np.ndarray
) -> np.ndarray:
    """The opening where each pair starts to meet, between a clear and a met one."""
    clear, met = clear.copy(), met.copy()
    while np.abs(met - clear).max(initial=0.0) > END_RAD:
        middle = (clear + met) / 2
        hit = pairs.meet(first, second, middle).hit
        met = np.where(hit, middle, met)
        clear = np.where(hit, clear, middle)
    return met


def worst(pairs: FacetPairs, contact: Contact) -> tuple[float, float, np.ndarray]:
    """Deepest push of a contact.

    Returns
    -------
    The push (mm), its opening (radians), and all openings at which it was evaluated.
    """
    return worst_of(pairs, [contact])[0]


def worst_of(
    pairs: FacetPairs, contacts: Sequence[Contact]
) -> list[tuple[float, float, np.ndarray]]:
    """The same of many contacts at once."""
    tried = [np.linspace(one.start, one.end, _EVALUATED) for one in contacts]
    pushes = _pushes(pairs, contacts, tried)
    going = list(range(len(contacts)))
    for _ in range(_ROUNDS):
        inner = {k: _around(tried[k], pushes[k]) for k in going}
        going = [k for k in going if inner[k].size]
        more = _pushes(pairs, [contacts[k] for k in going], [inner[k] for k in going])
        for k, found in zip(going, more, strict=True):
            both = np.append(tried[k], inner[k])
            order = np.argsort(both, kind="stable")
            tried[k], pushes[k] = both[order], np.append(pushes[k], found)[order]
    best = [int(np.argmax(row)) for row in pushes]
    return [
        (float(row[k]), float(at[k]), at) for row, at, k in zip(pushes, tried, best, strict=True)
    ]


def _around(tried: np.ndarray, pushes: np.ndarray) -> np.ndarray:
    """Openings beside the worst one, none if they are near enough already; shape (k,), radians."""
    best = int(np.argmax(pushes))
    low, high = tried[max(best - 1, 0)], tried[min(best + 1, len(tried) - 1)]
    return np.linspace(low, high, _AROUND)[1:-1] if high - low >= END_RAD else np.zeros(0)


def _pushes(
    pairs: FacetPairs, contacts: Sequence[Contact], openings: Sequence[np.ndarray]
) -> list[np.ndarray]:
    """Pushes of each contact at its openings, see :meth:`FacetPairs.pushes`."""
    facets, found = pairs.facets, [np.zeros(0)] * len(contacts)
    plain = [k for k, c in enumerate(contacts) if facets.simple[[c.first, c.second]].all()]
    for k in set(range(len(contacts))).difference(plain):
        found[k] = pairs.pushes(contacts[k], openings[k])
    if plain:
        counts = [len(openings[k]) for k in plain]
        first = np.repeat([contacts[k].first for k in plain], counts)
        second = np.repeat([contacts[k].second for k in plain], counts)
        at = np.concatenate([openings[k] for k in plain])
        bounds = [
            pairs.meet(first[some], second[some], at[some]).bound
            for some in _chunks(np.arange(len(at)))
        ]
        split = np.split(np.concatenate(bounds), np.cumsum(counts)[:-1])
        for k, row in zip(plain, split, strict=True):
            found[k] = row
    return found
