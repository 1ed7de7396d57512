"""Free paper among other paper: led again, with fences, where it would pass through something.

The side on which paper lies is the one on which it lay at the stage before: between two stages it
does not jump through other paper. Determined paper stands in the way and does not give; free paper
that touches is led together, so that all of it gives way. Lengths are mm and angles radians.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ..free.contact import Contacts
from ..free.course import Course, Snap
from ..free.rest import ClosureAt, Rest, Springs
from ..free.roam import JAM_RAD, SNAP_RAD, Roamer
from ..loops.blocks import Block
from ..loops.closure import BlockPose, Closure
from ..loops.march import Blocked, Stop
from .crossing import TOUCH_MM, Crossings
from .fence import Fence, FencedContacts, PlatePairs

# A fence that is better than the one paper leans on by this moves on, mm.
_BETTER_MM = 1e-6
_ROUNDS = 40
# Steps of the opening as small as this are the last before a block is given up, radians.
_LAST_RAD = 2 * JAM_RAD
# Starts from bent paper that are followed, and how many pieces are bent each its own way.
_MOST_BENT, _MOST_MEMBERS = 6, 3
# Pairs of plates for which other fences are tried; a fine outline is cut into many plates.
_MOST_CHOICES = 8
# Poses whose folds are nearer to each other than this are one, radians.
_SAME_RAD = 1e-3
# What may be spent on all free paper of one design, see `effort`. Our choice (measured: 5 to 10 s
# on one core, for 20 or 40 folds).
MOST_WORK = 4_400_000
# What a pose costs besides what is solved for its folds, in the same unit (measured).
_EACH = 2_000
# What starts clear, sought from the resting pose towards either end of the range, as shares.
_BENDS = (0.15, 0.3, 0.45, 0.6, 0.75, 0.9, 1.0)


@dataclass(frozen=True)
class Stance:
    """A block at rest at one opening, clear of all paper.

    Parameters
    ----------
    fences : by pair of plates, as they stand best in this pose.
    leaning : pairs whose fences carry it.
    """

    opening: float
    rest: Rest
    pose: BlockPose
    contacts: Contacts
    fences: Mapping[int, Fence]
    leaning: frozenset[int]


@dataclass(frozen=True)
class _Way:
    """Stages that a block gets to from one start, by index, and where it ends."""

    start: int
    stances: Mapping[int, Stance]
    stops: tuple[Stop, ...]
    blocked: tuple[Blocked, ...]


@dataclass(frozen=True)
class _Held:
    """A pose at rest within some fences."""

    rest: Rest
    contacts: FencedContacts
    fences: dict[int, Fence]


class FencedRoamer(Roamer):
    """Leads a free block through its stages again, so that it passes through no paper.

    Parameters
    ----------
    free : the course of the block if other paper were not there.
    pairs : of plates that may meet.
    looked : stages at which that has been looked at, shape (L,), ascending.
    crossings : at these stages.
    members : folds of each piece of paper in the block that could go by itself, (local indices).
    work : what may be spent, see `MOST_WORK`.
    """

    def __init__(
        self,
        free: Course,
        rings: list[np.ndarray],
        openings: np.ndarray,
        closure_at: ClosureAt,
        pairs: PlatePairs,
        looked: np.ndarray,
        crossings: Crossings,
        members: Sequence[np.ndarray] = (),
        work: float = MOST_WORK,
    ) -> None:
        super().__init__(free.block, openings, closure_at, free.contacts, rings)
        self.free = free
        self.pairs = pairs
        self.bare = free.contacts
        self.looked = looked
        self.crossings = crossings
        self.members = members
        self.stances: dict[int, Stance] = {}
        self.blocked: list[Blocked] = []
        # Slits and the like: paper that is made to pass through other paper.
        self.let_through: set[int] = set()
        # Poses that were brought to rest, or tried to be.
        self.tried = 0
        self.most = work / effort(self.block)

    @property
    def given_up(self) -> bool:
        """Whether no more poses are brought to rest."""
        return self.tried >= self.most

    def lead(self) -> Course | None:
        """The course among other paper; None if it is clear of it nowhere.

        Where the free course is clear on both sides of an obstacle, paper may start on either; the
        way that gets through is taken, and where the first of the others ends is told. If none
        does, or following it was given up, the free course stays, so that pictures and a check show
        what is in the way.
        """
        ways: list[_Way] = []
        for start in self._starts():
            self.stances, self.stops, self.blocked = {start[0]: start[1]}, [], []
            self._wander([k for k in self.looked.tolist()[::-1] if k <= start[0]], -1)
            self._wander([k for k in self.looked.tolist() if k >= start[0]], 1)
            ways.append(_Way(start[0], self.stances, tuple(self.stops), tuple(self.blocked)))
            if not self.blocked or self.given_up:
                break
        if self.given_up:
            return self._unknown(ways)
        if not ways:
            return None
        best = max(ways, key=lambda way: (not way.blocked, len(way.stances)))
        if best.blocked:
            return replace(self.free, blocked=best.blocked)
        others = (end for way in ways if way is not best for end in way.blocked)
        course = self._finish(best, [replace(end, passed=True) for end in others][:1])
        return self._unknown(ways) if self.given_up else course

    def _unknown(self, ways: Sequence[_Way]) -> Course:
        """The free course, with the place where following the last way was given up."""
        ends = [end for way in ways[-1:] for end in way.blocked]
        if not ends:
            middle = int(np.argmin(np.abs(self.openings - self.block.start)))
            self.blocked = []
            self._halt(self._bare_stance(middle), self.looked.tolist())
            ends = self.blocked
        return replace(self.free, blocked=(replace(ends[-1], given_up=True),))

    def _finish(self, way: _Way, beyond: Sequence[Blocked]) -> Course:
        """Bring all stages to rest along a way."""
        self.stances = dict(way.stances)
        flat = self.flat
        nodes = sorted(self.stances)
        self._fill_in(nodes, np.flatnonzero(~flat).tolist(), way)
        self.rests = {k: stance.rest for k, stance in self.stances.items()}
        angles = np.full_like(self.free.angles, np.nan)
        for k, rest in self.rests.items():
            angles[k] = rest.angles
        proud = [self._flatten(k, angles, nodes) for k in np.flatnonzero(flat).tolist()]
        return replace(
            self.free,
            contacts=self.bare,
            angles=angles,
            stops=(*way.stops, *(stop for stop in proud if stop is not None)),
            snaps=tuple(self._snaps(angles)),
            blocked=tuple(beyond),
            leans=True,
        )

    def _starts(self) -> Iterator[tuple[int, Stance]]:
        """Where to set out: clear of all paper and as near as can be to the usual start."""
        middle = int(self.looked[np.argmin(np.abs(self.openings[self.looked] - self.block.start))])
        clear = self.looked[self.crossings.clear]
        nearest = clear[np.argsort(np.abs(clear - middle), kind="stable")]
        below, above = (nearest[nearest <= middle][:1], nearest[nearest > middle][:1])
        for start in sorted([*below, *above], key=lambda k: abs(int(k) - middle)):
            yield int(start), self._bare_stance(int(start))
            if start == middle:
                return
        for found in self._bent(middle)[: _MOST_BENT if len(self.members) > 1 else 1]:
            yield middle, found

    def _bare_stance(self, k: int) -> Stance:
        """The pose of the free course at a stage."""
        opening = float(self.openings[k])
        walk = self.free.walk
        rest = walk.rests.get(opening) or walk.between[opening]
        closure = self.closure_at(opening)
        assert closure is not None
        return Stance(opening, rest, closure.at(rest.angles), self.bare, {}, frozenset())

    def _bent(self, start: int) -> list[Stance]:
        """Where no resting pose is clear, start from one that other springs would give.

        Towards either end of the folds' ranges the nearest clear pose is sought, and paper slides
        back from there as far as it gets. Of paper that touches, some may be bent one way and some
        the other. Lowest first.
        """
        opening = float(self.openings[start])
        closure = self.closure_at(opening)
        assert closure is not None
        found: list[Stance] = []
        for ends in self._bends():
            for share in _BENDS:
                rest = self.block.rest + share * (ends - self.block.rest)
                if self.given_up:
                    return []
                bent = Springs(replace(self.block, rest=rest), closure, self.bare)
                self.tried += 1
                pose = bent.settle(self.free.angles[start])
                if pose is None:
                    continue
                placed = closure.at(pose.angles)
                if self.pairs.depths(placed).max(initial=0.0) > TOUCH_MM:
                    continue
                first = Stance(opening, pose, placed, self.bare, {}, frozenset())
                stance = self.advance(opening, first)
                if stance is not None and not any(_same(stance, other) for other in found):
                    found.append(stance)
                break
        return sorted(found, key=lambda stance: stance.rest.energy)

    def _bends(self) -> Iterator[np.ndarray]:
        """Where fold angles may be bent to, shape (n,), radians."""
        low, high = self.block.topology.bounds
        ways = 3 if 1 < len(self.members) <= _MOST_MEMBERS else 2
        yield from (low, high)
        for way in itertools.product(range(ways), repeat=len(self.members)) if ways > 2 else ():
            if len(set(way)) > 1:
                bent = self.block.rest.copy()
                for folds, where in zip(self.members, way, strict=True):
                    bent[folds] = (bent, low, high)[where][folds]
                yield bent

    def _wander(self, path: list[int], way: int) -> None:
        """Follow stages from one that is clear, as far as the block gets; opening is way +1."""
        for k, (last, here) in enumerate(itertools.pairwise(path)):
            if self._stays_free(last, here):
                self.stances[here] = self._bare_stance(here)
                continue
            opening, ahead = float(self.openings[here]), self._ahead(path[: k + 1], here)
            stance = self.advance(opening, self.stances[last], ahead)
            if stance is None:
                stance = self._creep(opening, self.stances[last])
            if stance.opening != opening:
                self._halt(stance, path[k + 1 :])
                return
            self.stances[here] = stance
        # Stops are found to within a fraction of a degree, and a course may end on a stage.
        end = way * self.openings[path[-1]] - JAM_RAD
        self.stops += [stop for stop in self.free.stops if way * stop.opening > end]

    def _stays_free(self, last: int, here: int) -> bool:
        """Whether a block that goes as if nothing else were there can go on so."""
        one, two = (int(np.searchsorted(self.looked, k)) for k in (last, here))
        same = self._is_bare(last)
        return bool(same and self.crossings.clear[two] and self.crossings.kept[min(one, two)])

    def _is_bare(self, k: int) -> bool:
        """Whether the block is where it would be if nothing else were there."""
        return not self.stances[k].fences

    def _is_kept(self, near: list[int]) -> bool:
        """Whether the free course passes through nothing between two stages that were looked at."""
        rows = np.searchsorted(self.looked, sorted(near))
        return bool(self.crossings.clear[rows].all() and self.crossings.kept[rows[:-1]].all())

    def _ahead(self, past: list[int], here: int) -> np.ndarray | None:
        """Where the fold angles would be if they went on as between the last two stages."""
        if len(past) < 2:
            return None
        last, before = self.stances[past[-1]], self.stances[past[-2]]
        if last.leaning != before.leaning:
            return None
        share = (self.openings[here] - last.opening) / (last.opening - before.opening)
        return last.rest.angles + share * (last.rest.angles - before.rest.angles)

    def _fill_in(self, nodes: list[int], wanted: list[int], way: _Way) -> None:
        """Bring stages between those of the way, and next to its ends, to rest."""
        ends = [stop.opening for stop in way.stops]
        low = max([0.0, *(end for end in ends if end <= self.openings[nodes[0]])])
        high = min([np.pi, *(end for end in ends if end >= self.openings[nodes[-1]])])
        for k in wanted:
            inside = low <= self.openings[k] <= high and np.isfinite(self.free.angles[k]).all()
            if k in self.stances or not inside:
                continue
            place = int(np.searchsorted(nodes, k))
            near = [nodes[j] for j in (place - 1, place) if 0 <= j < len(nodes)]
            # As on the way, paper comes from where it started.
            near.sort(key=lambda node: abs(node - way.start))
            if all(self._is_bare(node) for node in near) and self._is_kept(near):
                self.stances[k] = self._bare_stance(k)
                continue
            stance = self._within(k, near)
            if stance is not None:
                self.stances[k] = stance

    def _within(self, k: int, near: list[int]) -> Stance | None:
        """A stage next to stages of the way."""
        guess = None
        if len(near) == 2:
            one, two = (self.stances[node] for node in near)
            share = (self.openings[k] - one.opening) / (two.opening - one.opening)
            guess = (1 - share) * one.rest.angles + share * two.rest.angles
        opening = float(self.openings[k])
        for node in near:
            found = self.advance(opening, self.stances[node], guess)
            found = found or self._creep(opening, self.stances[node])
            if found.opening == opening:
                return found
        return None

    def _creep(self, opening: float, stance: Stance) -> Stance:
        """Go on towards an opening in small steps, as far as the block gets.

        Past a place that asked for small steps they grow again, or they would take for ever.
        """
        most = step = (opening - stance.opening) / 2
        while abs(step) > JAM_RAD / 2 and stance.opening != opening:
            last = abs(opening - stance.opening) <= abs(step)
            found = self.advance(opening if last else stance.opening + step, stance)
            if found is None:
                step /= 2
            else:
                stance = found
                step = min(2 * step, most, key=abs)
        return stance

    def _halt(self, stance: Stance, past: list[int]) -> None:
        """Tell what stops the block in the last pose before the stages that it does not reach."""
        closure, pairs = self.closure_at(float(self.openings[past[0]])), sorted(stance.leaning)
        if closure is not None:
            pairs = pairs or self._met(stance.pose, closure.at(stance.rest.angles), {})
        depths = [self.pairs.depths(self._bare_stance(k).pose) for k in past]
        deepest = np.max(depths, axis=0)
        if not pairs:
            pairs = [int(np.argmax(deepest))]
        beyond = self.crossings.clear[np.isin(self.looked, past)].any()
        hinge, piece = self._named(pairs[0])
        closing = bool(self.openings[past[0]] < stance.opening)
        gap = float(deepest.max())
        self.blocked.append(Blocked(stance.opening, hinge, piece, gap, closing, bool(beyond)))

    def _named(self, pair: int) -> tuple[int, str]:
        """The fold that a pair of plates hinders, and the piece that hinders it."""
        body = int(self.pairs.bodies[0, pair])
        fold = next(k for k, sides in enumerate(self.block.topology.sides) if body in sides)
        return self.block.hinges[fold], self.pairs.pieces(pair)[1]

    def _flatten(self, k: int, angles: np.ndarray, nodes: list[int]) -> Stop | None:
        """Take a flat stage as the limit of those next to it, past the fences if need be."""
        last = min(self.stances, key=lambda node: abs(self.openings[node] - self.openings[k]))
        stop = None
        for contacts in (self.stances[last].contacts, self.bare):
            self.contacts = contacts
            stop = self._limit(k, angles, nodes)
            if stop is None:
                break
        return stop

    def _narrow(self, a: int, b: int) -> Snap | None:
        low, high = self.stances[a], self.stances[b]
        while high.opening - low.opening > SNAP_RAD:
            middle = self.advance((low.opening + high.opening) / 2, low)
            if middle is None:
                return None
            moved = np.abs(middle.rest.angles - low.rest.angles).max()
            if moved > np.abs(middle.rest.angles - high.rest.angles).max():
                high = middle
            else:
                low = middle
        snap = self.snap(low.rest.angles, high.rest.angles, high.opening)
        left = low.leaning - high.leaning
        if snap is None or not left:
            return snap
        return replace(snap, past=self.pairs.pieces(min(left))[1])

    def advance(
        self, opening: float, last: Stance, guess: np.ndarray | None = None
    ) -> Stance | None:
        """Come to rest at an opening, without passing through paper on the way from a stance."""
        closure = self.closure_at(opening)
        if closure is None:
            return None
        starts = [last.rest.angles] if guess is None else [guess, last.rest.angles]
        # A fence that nothing leans on may stand in the way; if it is needed, it comes back.
        fences = {pair: last.fences[pair] for pair in last.leaning}
        held = self._rest_within(closure, fences, starts)
        if held is None:
            held = self._otherwise(closure, last, fences, sorted(last.leaning), starts)
        if held is None and abs(opening - last.opening) < _LAST_RAD:
            held = self._softly(closure, fences, starts[-1])
        for _ in range(_ROUNDS):
            if held is None:
                return None
            pose = closure.at(held.rest.angles)
            met = self._met(last.pose, pose, held.fences)
            if met:
                fences = {
                    pair: self.pairs.part(pair, last.pose)[0]
                    if pair not in held.fences
                    else replace(held.fences[pair], edges=None)
                    for pair in met
                }
                held = self._otherwise(closure, last, held.fences | fences, met, starts)
                continue
            leaning = held.contacts.pressed(held.rest.pressing)
            best = {pair: self.pairs.part(pair, pose) for pair in held.fences}
            fences = held.fences | {pair: fence for pair, (fence, _) in best.items()}
            if not any(best[pair][1] > _BETTER_MM for pair in leaning):
                kept = {pair: held.fences[pair] for pair in leaning}
                return Stance(opening, held.rest, pose, held.contacts, fences | kept, leaning)
            starts = [held.rest.angles]
            held = self._rest_within(closure, fences, starts)
        return None

    def _rest_within(
        self, closure: Closure, fences: dict[int, Fence], starts: Sequence[np.ndarray]
    ) -> _Held | None:
        """Come to rest within fences, next to the first of some poses from which that is found."""
        contacts = FencedContacts.of(self.bare, self.pairs, list(fences.values()))
        springs = Springs(self.block, closure, contacts)
        for start in starts:
            if self.given_up:
                break
            self.tried += 1
            found = springs.settle(start)
            if found is not None:
                return _Held(found, contacts, fences)
        return None

    def _softly(
        self, closure: Closure, fences: dict[int, Fence], start: np.ndarray
    ) -> _Held | None:
        if self.given_up:
            return None
        contacts = FencedContacts.of(self.bare, self.pairs, list(fences.values()))
        self.tried += 1
        found = self._rescue(Springs(self.block, closure, contacts), start)
        return _Held(found, contacts, fences) if found is not None else None

    def _otherwise(
        self,
        closure: Closure,
        last: Stance,
        fences: dict[int, Fence],
        pairs: Sequence[int],
        starts: Sequence[np.ndarray],
    ) -> _Held | None:
        """Come to rest within the best of the fences that some pairs leave to choose from.

        Two plates that touch corner to edge are parted by many planes. Paper gives way to the side
        that is the easiest.
        """
        found = [self._rest_within(closure, fences, starts)] if len(pairs) != 1 else []
        for pair in pairs[:_MOST_CHOICES]:
            for fence in self.pairs.choices(pair, last.pose):
                found.append(self._rest_within(closure, fences | {pair: fence}, starts))
        held = [one for one in found if one is not None]
        return min(held, key=lambda one: one.rest.energy, default=None)

    def _met(self, before: BlockPose, after: BlockPose, fences: Mapping[int, Fence]) -> list[int]:
        """Pairs that run into each other on the way from one pose to another.

        Only a plane that is carried along keeps plates apart for certain; one that runs along edges
        does so as long as it is these edges that are next to each other.
        """
        near = self.pairs.near(before, after)
        here, there = (self.pairs.standing(pose, near) for pose in (before, after))
        deep = there.depths > TOUCH_MM
        kept = ((here.sides == there.sides) & (here.sides != 0)).any(axis=0)
        loose = np.flatnonzero(~kept & ~deep)
        if len(loose):
            deep[loose] = self.pairs.meet(before, after, near[loose])
        sure = {pair for pair, fence in fences.items() if fence.edges is None} | self.let_through
        return [pair for pair in near[deep].tolist() if pair not in sure]


def effort(block: Block) -> int:
    """What it takes to bring a pose of a block to rest: the cube of its folds is what counts."""
    return _EACH + len(block.hinges) ** 3


def _same(one: Stance, two: Stance) -> bool:
    return bool(np.abs(one.rest.angles - two.rest.angles).max() < _SAME_RAD)
