"""Free blocks over the opening: at every stage in turn they come to rest next to the last pose."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from ..loops.blocks import Block, Misfit, worst_fold
from ..loops.closure import Closure
from ..loops.march import Stop, pin
from ..loops.newton import interpolation, newton
from .contact import Contacts
from .course import Branch, Course, Snap, Walk
from .polish import ITERATIONS, Held, curves_up, held_at, onward, polish
from .rest import ROUGHLY, ClosureAt, Rest, Springs
from .stops import find_stop, forced

# The flat states are extrapolated from the three stages next to them. These lie so near because
# closure is singular there: an error of the guess counts by its root.
_LAST_DEG = (0.05, 0.1, 0.15)
# Between the last of them and the flat state there is nothing to walk from.
_FLAT_RAD = float(np.radians(_LAST_DEG[0])) * (1 - 1e-9)
# So near to a flat state nothing jams that has not jammed before.
_NEAR_FLAT_RAD = float(np.radians(0.4))
# Stages that are walked in turn; those between are found from them.
_WALK_DEG = (0.05, 0.25, 1.0, 3.0, *range(5, 176, 5), 177.0, 179.0, 179.75, 179.95)
_STAGES_DEG = sorted({*_WALK_DEG, *_LAST_DEG, *(180 - last for last in _LAST_DEG)})
JAM_RAD = float(np.radians(0.005))
# A fold that turns faster than this, radians per radian, may have snapped.
_FAST = 8.0
# Of many sudden moves of one block of paper, so many of the fastest are looked into. Our choice.
_MOST_NARROWED = 4
SNAP_RAD = float(np.radians(0.01))
_NUDGE_RAD = 0.1
# Poses nearer to each other than this are one.
_SAME_RAD = 1e-3
_SHUT_MM = 0.01
# Singular values that vanish in a flat state are still this large in floating point.
_FLAT_CUT = 1e-4
_MOST_NODES = 6
# A resting pose farther than this from where it was expected may be another one.
_GLIDE_RAD = 0.05
# A guess good enough for that needs no more steps to rest.
_GLIDE_STEPS = 5
# Stages from which the next ones are predicted, and how many of these at once.
_HISTORY, _AHEAD = 5, 8
# At least so many after a try that gained less, since what stops one mostly stops the next as well.
# Our choice; measured: of 8, 4, 3 and 2 on five designs, 3 and 2 are quickest.
_FEW = 3
_PINS = (2e-2, 5e-3, 1e-4, 0.0)


def walked() -> np.ndarray:
    """Openings that are walked in turn, shape (G,), radians."""
    return np.radians(np.array(_WALK_DEG, float))


def stages() -> np.ndarray:
    """Openings that every free block needs besides those asked for, shape (G,), radians."""
    return np.radians(np.array(_STAGES_DEG))


def _run(held: list[Held], place: int) -> list[int]:
    """Up to six neighbours of a gap in the walk, all held as its nearer side is."""
    low, high = place - 1, place
    if held[low] != held[high]:
        return [low, high]
    near = [low, high]
    while len(near) < _MOST_NODES:
        more = [j for j in (near[0] - 1, near[-1] + 1) if 0 <= j < len(held)]
        more = [j for j in more if held[j] == held[low]]
        if not more:
            break
        near = sorted([*near, min(more, key=lambda j: abs(2 * j - low - high))])
    return near


@dataclass(frozen=True)
class _Guess:
    """About where a stage rests, shape (n,), radians, and multipliers there, as of :class:`Rest`.

    These are of use only where the stage is held as the rests were that they come from.
    """

    angles: np.ndarray
    multipliers: np.ndarray | None = None


class Roamer:
    """Leads one free block through its stages.

    Parameters
    ----------
    openings : shape (S,), ascending, radians; holds those of :func:`stages` and the block's start.
    closure_at : see ClosureAt.
    rings : local indices of the folds of every closed ring of facets.
    brief : look for a pose to begin with only where most blocks have one, and past a stop for none.
    """

    def __init__(
        self,
        block: Block,
        openings: np.ndarray,
        closure_at: ClosureAt,
        contacts: Contacts,
        rings: list[np.ndarray],
        brief: bool = False,
    ) -> None:
        self.brief = brief
        self.block = block
        self.openings = openings
        self.closure_at = closure_at
        self.rings = rings
        self.contacts = contacts
        self.rests: dict[int, Rest] = {}
        # Those that need no refining.
        self.exact: set[int] = set()
        self.stops: list[Stop] = []
        self.branches: list[Branch] = []

    @property
    def flat(self) -> np.ndarray:
        """Which openings are flat states, shape (S,)."""
        return (self.openings < _FLAT_RAD) | (self.openings > np.pi - _FLAT_RAD)

    def run(self, known: Walk | None = None) -> Course | Misfit:
        """The whole course, or how far the block is from coming to rest at any start.

        Parameters
        ----------
        known : of an earlier course among the same hosts, perhaps at other openings.
        """
        flat = self.flat
        walk = known if known is not None else self._lead(flat)
        if walk is None:
            return self._misfit()
        index = {opening: k for k, opening in enumerate(self.openings.tolist())}
        nodes = sorted(index[opening] for opening in walk.rests)
        for opening, rest in (*walk.rests.items(), *walk.between.items()):
            if opening in index:
                self.rests[index[opening]] = rest
        self._fill(nodes, np.flatnonzero(~flat).tolist())
        self._approach(nodes, walk.stops)
        angles = np.full((len(self.openings), len(self.block.hinges)), np.nan)
        for k, found in self.rests.items():
            angles[k] = found.angles
        proud = [self._limit(k, angles, nodes) for k in np.flatnonzero(flat).tolist()]
        everything = {float(self.openings[k]): rest for k, rest in self.rests.items()}
        more = {opening: r for opening, r in everything.items() if opening not in walk.rests}
        walk = replace(walk, between={**walk.between, **more})
        stops = (*walk.stops, *(stop for stop in proud if stop is not None))
        snaps = tuple(self._snaps(angles))
        return Course(self.block, self.contacts, angles, walk, stops, snaps, self._leans())

    def _lead(self, flat: np.ndarray) -> Walk | None:
        """Visit the stages that every course visits; None if the block rests at no start."""
        start = self._begin()
        if start is None:
            return None
        path = [int(np.argmin(np.abs(self.openings - stage))) for stage in np.radians(_WALK_DEG)]
        path = sorted({start, *path}.difference(np.flatnonzero(flat).tolist()))
        middle = path.index(start)
        self._walk(path[middle::-1], [])
        self._walk(path[middle:], [k for k in path[:middle] if k in self.rests])
        self._refine()
        rests = {float(self.openings[k]): self.rests[k] for k in sorted(self.rests)}
        return Walk(rests, {}, tuple(self.stops), tuple(self.branches))

    def _refine(self) -> None:
        """Bring the poses of the walk as near to rest as floating point allows.

        What is left of the way there depends on where the paper came from.
        """
        before = {k: rest for k, rest in self.rests.items() if k not in self.exact}
        alike: dict[Held, list[int]] = {}
        for k, rest in before.items():
            alike.setdefault(held_at(self.block, rest.angles, rest.pressing), []).append(k)
        for held, group in alike.items():
            self._polish(held, {k: _Guess(before[k].angles) for k in group})
        for k, rest in before.items():
            moved = np.abs(self.rests[k].angles - rest.angles).max()
            if not 0 < moved < _SAME_RAD:
                springs = self._springs(self.openings[k])
                found = springs.settle(rest.angles) if springs is not None else None
                self.rests[k] = found if found is not None else rest

    def _begin(self) -> int | None:
        """The first stage at which the block comes to rest."""
        openings = (self.block.start, *np.radians([90.0, 150.0, 60.0, 30.0]))
        # Elsewhere the usual seeds do sooner than random ones here.
        ways = list(itertools.product((False, True), openings))
        for random, opening in ways[:2] if self.brief else ways:
            start = int(np.argmin(np.abs(self.openings - opening)))
            springs = self._springs(self.openings[start])
            rest = springs.start(self.rings, random) if springs is not None else None
            if rest is not None:
                self.rests[start] = rest
                return start
        return None

    def _misfit(self) -> Misfit:
        springs = self._springs(self.block.start)
        assert springs is not None
        start = self.block.angles if self.block.angles is not None else self.block.rest
        pose, gap = forced(springs, start)
        return Misfit(self.block.start, worst_fold(self.block, pose.residual, start)[0], gap)

    def _springs(self, opening: float) -> Springs | None:
        closure = self.closure_at(opening)
        return Springs(self.block, closure, self.contacts) if closure is not None else None

    def _fill(self, nodes: list[int], wanted: list[int]) -> None:
        """Bring stages between those of the walk to rest, as many as possible at once."""
        held = [held_at(self.block, self.rests[k].angles, self.rests[k].pressing) for k in nodes]
        left: dict[int, _Guess] = {}
        lower: dict[Held, list[int]] = {}
        upper: dict[Held, list[int]] = {}
        # Stages among as many nodes that are held alike are foretold at once.
        among: dict[tuple[Held, Held, int], list[tuple[int, list[int]]]] = {}
        places = np.searchsorted(nodes, wanted).tolist()
        runs: dict[int, list[int]] = {}
        for k, place in zip(wanted, places, strict=True):
            if k not in self.rests and 0 < place < len(nodes):
                near = runs.get(place) or runs.setdefault(place, _run(held, place))
                key = held[place - 1], held[place], len(near)
                among.setdefault(key, []).append((k, [nodes[j] for j in near]))
        for (low, high, _), some in among.items():
            group = [k for k, _ in some]
            guesses = self._between(group, np.array([near for _, near in some]))
            left.update(zip(group, guesses, strict=True))
            lower.setdefault(low, []).extend(group)
            upper.setdefault(high, []).extend(group)
        for alike in (lower, upper):
            for what, group in alike.items():
                self._polish(what, {k: left[k] for k in group if k in left})
                left = {k: guess for k, guess in left.items() if k not in self.rests}
        for k, guess in sorted(left.items()):
            springs = self._springs(self.openings[k])
            if springs is not None:
                place = int(np.searchsorted(nodes, k))
                ends = [self.rests[nodes[j]].angles for j in (place - 1, place)]
                self._settle_at(k, springs, [guess.angles, *ends])

    def _settle_at(self, k: int, springs: Springs, starts: list[np.ndarray]) -> None:
        """Bring one stage to rest from the first of the starts that leads there.

        Where the energy is so level that its last digits decide, rest is found roughly only, and
        then polished.
        """
        for start in starts:
            rest = springs.settle(start)
            if rest is not None:
                self.rests[k] = rest
                return
        for start in starts:
            rest = springs.settle(start, ROUGHLY)
            if rest is not None:
                self.rests[k] = rest
                self._polish(
                    held_at(self.block, rest.angles, rest.pressing), {k: _Guess(rest.angles)}
                )
                return
        rest = self._rescue(springs, starts[0])
        if rest is not None:
            self.rests[k] = rest

    def _between(self, stages: list[int], nodes: np.ndarray) -> list[_Guess]:
        """What some stages are about, on the curves through those at the nodes.

        Parameters
        ----------
        nodes : the same for all stages, shape (k,), or those of each, shape (S, k).
        """
        weights = interpolation(self.openings[nodes], self.openings[stages])[:, None]
        rests = [self.rests[node] for node in nodes.ravel().tolist()]

        def mixed(values: list[np.ndarray]) -> np.ndarray:
            return (weights @ np.array(values).reshape(*nodes.shape, -1))[:, 0]

        angles = mixed([rest.angles for rest in rests])
        known = [rest.multipliers for rest in rests if rest.multipliers is not None]
        if len(known) < len(rests) or len({len(one) for one in known}) > 1:
            return [_Guess(row) for row in angles]
        return [_Guess(*rows) for rows in zip(angles, mixed(known), strict=True)]

    def _polish(
        self,
        held: Held,
        guesses: Mapping[int, _Guess],
        iterations: int = ITERATIONS,
        reach: float = np.inf,
    ) -> dict[int, float]:
        """Bring stages to rest at once that the same rows hold, as far as they do.

        Returns
        -------
        How far each of them gets from its guess, radians.
        """
        closures = {k: self.closure_at(self.openings[k]) for k in guesses}
        batch = [(k, closure) for k, closure in closures.items() if closure is not None]
        if not batch:
            return dict.fromkeys(guesses, np.inf)
        some = [guesses[k] for k, _ in batch]
        first = np.array([guess.angles for guess in some])
        known = [guess.multipliers for guess in some if guess.multipliers is not None]
        count = 6 * len(self.block.topology.chords) + len(held.rows) + len(held.folds)
        whole = len(known) == len(some) and all(len(one) == count for one in known)
        angles, good, multipliers = polish(
            self.block,
            self.contacts,
            Closure.stack([closure for _, closure in batch]),
            first,
            held,
            iterations,
            reach,
            np.array(known) if whole else None,
        )
        stiffness = self.block.relative
        energies = 0.5 * (angles - self.block.rest) ** 2 @ stiffness
        rows = np.array(held.rows, int)
        for row in np.flatnonzero(good).tolist():
            rest = Rest(angles[row], float(energies[row]), rows, multipliers[row])
            self.rests[batch[row][0]] = rest
        moved = np.abs(angles - first).max(axis=1, initial=0.0).tolist()
        ways = dict(zip((k for k, _ in batch), moved, strict=True))
        return {k: ways.get(k, np.inf) for k in guesses}

    def _walk(self, path: list[int], behind: list[int]) -> None:
        """Follow stages from one that is at rest, as far as the block gets.

        Parameters
        ----------
        behind : stages at rest that lie on the other side of the first one, the next one last.
        """
        k, count = 1, _AHEAD
        while k < len(path):
            past = [*behind, *path[:k]][-_HISTORY:]
            gained, again = self._glide(past, path[k : k + count])
            k, count = k + gained, min(max(_FEW, 2 * gained), _AHEAD)
            if again:
                continue
            past, last, here = [*behind, *path[:k]][-_HISTORY:], path[k - 1], path[k]
            springs = self._springs(self.openings[here])
            if springs is None:
                return
            rest = self._follow(springs, here, past)
            if rest is None:
                if min(self.openings[here], np.pi - self.openings[here]) > _NEAR_FLAT_RAD:
                    self._stop(last, here, path[-1])
                return
            self.rests[here] = rest
            k += 1

    def _glide(self, past: list[int], ahead: list[int]) -> tuple[int, bool]:
        """Come to rest at some stages ahead at once, held as at those before.

        That is quick where nothing new touches and each pose is about where it was expected.

        Returns
        -------
        How many of the stages are reached, and whether it is worth another try from there: not
        where something else holds the next one.
        """
        held = [held_at(self.block, self.rests[k].angles, self.rests[k].pressing) for k in past]
        nodes = [k for k, what in zip(past, held, strict=True) if what == held[-1]]
        if len(nodes) > 1:
            some = self._between(ahead, np.array(nodes))
        else:
            some = self._onward(nodes[0], ahead)
        if not some:
            return 0, False
        moved = self._polish_ahead(held[-1], past[-1], dict(zip(ahead, some, strict=True)))
        reached = 0
        for here in ahead:
            if here not in self.rests or moved[here] > _GLIDE_RAD:
                break
            reached += 1
        again = reached == len(ahead) or (reached > 0 and moved[ahead[reached]] > _GLIDE_RAD)
        # Least curvature falls steadily towards a saddle, so the last one tells for all.
        while reached and not self._is_low(ahead[reached - 1]):
            reached -= 1
            again = False
        for here in ahead[reached:]:
            self.rests.pop(here, None)
        self.exact.update(ahead[:reached])
        return reached, again

    def _polish_ahead(self, held: Held, last: int, guesses: dict[int, _Guess]) -> dict[int, float]:
        """Bring stages ahead to rest, and the last one as near to rest as they; see `_polish`."""
        rest = self.rests[last]
        if last not in self.exact:
            guesses = {last: _Guess(rest.angles), **guesses}
        moved = self._polish(held, guesses, _GLIDE_STEPS, _GLIDE_RAD)
        if last in guesses and self.rests[last] is not rest:
            if moved[last] < _SAME_RAD:
                self.exact.add(last)
            else:
                self.rests[last] = rest
        return moved

    def _onward(self, node: int, ahead: list[int]) -> list[_Guess]:
        """What some stages are about, straight on from one at rest; nothing if its hosts stop."""
        closure, rest = self.closure_at(self.openings[ahead[0]]), self.rests[node]
        if closure is None:
            return []
        step = onward(self.block, self.contacts, Closure.stack([closure]), rest)
        way = self.openings[ahead] - self.openings[node]
        return [_Guess(rest.angles + share * step) for share in way / way[0]]

    def _is_low(self, k: int) -> bool:
        springs, rest = self._springs(self.openings[k]), self.rests[k]
        if springs is None:
            return False
        pose = springs.closure.at(rest.angles)
        return curves_up(self.block, self.contacts, pose, rest) or springs.is_low(rest)

    def _follow(self, springs: Springs, here: int, past: list[int]) -> Rest | None:
        """Come to rest next to the poses at the stages before, the last one last."""
        now = self.rests[past[-1]].angles
        held = [held_at(self.block, self.rests[k].angles, self.rests[k].pressing) for k in past]
        alike = [k for k, what in zip(past, held, strict=True) if what == held[-1]]
        for nodes in dict.fromkeys((tuple(alike), tuple(past[-2:]))):
            if len(nodes) > 1:
                guess = self._between([here], np.array(nodes))[0]
                found = springs.settle(guess.angles, ROUGHLY, leave=True)
                if found is not None:
                    return found
        found = springs.settle(now, ROUGHLY, leave=True)
        return found if found is not None else self._rescue(springs, now, leave=True)

    @staticmethod
    def _rescue(springs: Springs, angles: np.ndarray, leave: bool = False) -> Rest | None:
        """Soften the paper and let it come to rest again.

        A symmetric piece may be pressed where only a lopsided pose gives way, hence the nudge.
        """
        nudge = _NUDGE_RAD * np.linspace(-1, 1, len(angles))
        low, high = springs.block.topology.bounds
        for start in (angles, np.clip(angles + nudge, low, high)):
            found = springs.settle(springs.soften(start, (1.0, 0.1, 0.0)), leave=leave)
            if found is not None:
                return found
        return None

    def _stop(self, last: int, here: int, end: int) -> None:
        """Find where between two stages the block stops, and what keeps it from the end."""
        good, bad = self.openings[last], self.openings[here]
        rest = self.rests[last]
        while abs(bad - good) > JAM_RAD:
            middle = (good + bad) / 2
            springs = self._springs(middle)
            found = None
            if springs is not None:
                found = springs.settle(rest.angles) or self._rescue(springs, rest.angles)
            if found is None:
                bad = middle
            else:
                good, rest = middle, found
        springs = self._springs(self.openings[here])
        if springs is None:
            return
        other = None if self.brief else springs.start(self.rings)
        if other is not None:
            apart = np.abs(other.angles - rest.angles)
            fold = int(np.argmax(apart))
            opening = float(self.openings[here])
            self.branches.append(Branch(opening, self.block.hinges[fold], float(apart[fold])))
        beyond = self._springs(self.openings[end]) or springs
        ends = float(good), bool(bad < good)
        self.stops.append(find_stop(beyond, self.contacts, self.closure_at, rest, ends))

    def _approach(self, nodes: list[int], stops: tuple[Stop, ...]) -> None:
        """Bring stages past the ends of the walk to rest, as far as the block or its hosts get."""
        opened, first, last = self.openings, nodes[0], nodes[-1]
        ends = [stop.opening for stop in stops]
        low = max([_NEAR_FLAT_RAD, *(end for end in ends if end <= opened[first])])
        high = min([np.pi - _NEAR_FLAT_RAD, *(end for end in ends if end >= opened[last])])
        below = np.flatnonzero((opened > low) & (opened < opened[first]))[::-1]
        above = np.flatnonzero((opened < high) & (opened > opened[last]))
        for node, beyond in ((first, below), (last, above)):
            rest = self.rests[node]
            for k in beyond.tolist():
                springs = self._springs(opened[k])
                if springs is None:
                    break
                found = self.rests.get(k) or springs.settle(rest.angles)
                found = found or self._rescue(springs, rest.angles)
                if found is not None:
                    self.rests[k] = rest = found

    def _limit(self, k: int, angles: np.ndarray, walked: list[int]) -> Stop | None:
        """Take a flat stage as the limit of those next to it; where that fails, the paper stops."""
        opening, closed = self.openings[k], self.openings[k] < 1
        last = [180 - degrees if not closed else degrees for degrees in _LAST_DEG]
        fixed = [int(np.argmin(np.abs(self.openings - stage))) for stage in np.radians(last)]
        nodes = [node for node in fixed if node in self.rests] or walked
        nodes = sorted(nodes, key=lambda node: abs(self.openings[node] - opening))[:3]
        springs = self._springs(opening)
        if springs is None or abs(self.openings[nodes[0]] - opening) > _NEAR_FLAT_RAD:
            return None
        guess = interpolation(self.openings[nodes], np.array(opening)) @ angles[nodes]
        low, high = self.block.topology.bounds
        kept = self.rests[nodes[0]].pressing + 2 * len(low)
        for reach in _PINS:
            start = np.clip(pin(self.block, guess, reach), low, high)
            if closed:
                found = self._shut(springs, start, float(opening))
            else:
                found = self._open(springs, start, kept)
            if found is not None:
                angles[k] = found
                return None
        return Stop(float(self.openings[nodes[0]]), self.block.hinges[0], 0.0, "proud", closed)

    def _shut(self, springs: Springs, start: np.ndarray, opening: float) -> np.ndarray | None:
        """Closed, all paper must lie between the pages. Both sides of a row coincide."""
        closure = springs.closure
        if len(self.block.topology.chords):
            batch = Closure.stack([closure])
            found, gaps = newton(batch, start[None], cut=_FLAT_CUT, limit=0.05)
            if gaps[0] > 1e-9:
                return None
            start = found[0]
        low, high = self.block.topology.bounds
        inside = np.all((start >= low - 1e-6) & (start <= high + 1e-6))
        points = self.contacts.vertices(closure.at(start))
        room = _SHUT_MM + np.abs(points[:, 2]) * np.tan(opening / 2)
        pressed = len(self.contacts.vertex) > 0
        return start if inside and ((np.abs(points[:, 0]) < room).all() or not pressed) else None

    def _open(self, springs: Springs, start: np.ndarray, kept: np.ndarray) -> np.ndarray | None:
        for rows in (kept, None):
            pose = springs.restore(start, rows, _FLAT_CUT)
            if pose is not None and np.abs(pose.angles - start).max() < 0.1:
                return pose.angles
        return None

    def _leans(self) -> bool:
        known = self.block.topology.known
        hosts = {body for pair in self.block.topology.sides for body in pair if body < known}
        planes = {
            int(self.contacts.planes[self.contacts.plane[row]])
            for rest in self.rests.values()
            for row in rest.pressing
        }
        return any(plane < known and plane not in hosts for plane in planes)

    def _snaps(self, angles: np.ndarray) -> list[Snap]:
        """Moves that stay as large when the step is cut down to a hundredth of a degree."""
        rows = np.array(sorted(self.rests))
        moved = np.abs(np.diff(angles[rows], axis=0)).max(axis=1, initial=0.0)
        speed = moved / np.diff(self.openings[rows])
        fastest = np.argsort(-speed, kind="stable")[:_MOST_NARROWED]
        narrowed = [
            self._narrow(int(rows[k]), int(rows[k + 1]))
            for k in sorted(fastest.tolist())
            if speed[k] > _FAST
        ]
        return [snap for snap in narrowed if snap is not None]

    def _narrow(self, a: int, b: int) -> Snap | None:
        low, high = self.openings[a], self.openings[b]
        first, last = self.rests[a].angles, self.rests[b].angles
        while high - low > SNAP_RAD:
            middle = (low + high) / 2
            springs = self._springs(middle)
            found = springs.settle(first) if springs is not None else None
            if found is None:
                return None
            if np.abs(found.angles - first).max() > np.abs(found.angles - last).max():
                high, last = middle, found.angles
            else:
                low, first = middle, found.angles
        return self.snap(first, last, float(high))

    def snap(self, first: np.ndarray, last: np.ndarray, opening: float) -> Snap | None:
        """The sudden move between two poses, shape (n,), hardly apart in opening; None if small."""
        jump = np.abs(last - first)
        if jump.max() < _FAST * SNAP_RAD * 4:
            return None
        fold = int(np.argmax(jump))
        return Snap(opening, self.block.hinges[fold], float(jump[fold]))
