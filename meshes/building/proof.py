"""Whether hands can carry out a building order: the paper is put together again, step by step.

Nothing here knows how the order was found. At each step the paper that is there is taken as it
hangs together by folds and glue. Paper on a fold that nothing else holds can be swung out of the
way, so only what hangs in the same closed chains as a glue area can hide it; that is looked at in
the poses it takes while the notebook moves. A way for the hand is a straight one on which a finger
meets nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Literal

import numpy as np
import shapely

from meshes.linkage import Linkage
from meshes.motion.result import Motion
from meshes.sheet import Join, Sheet

from .chains import chains
from .points import samples
from .poses import BuildPoses
from .screens import BuildFacets, Screens
from .slits import SheetPassage, Slits
from .step import FINGER_MM, Step, kept_flat

Reason = Literal[
    "missing", "twice", "apart", "covered", "hidden", "not threaded", "stuck", "unpressed"
]

# Glue that is covered less than this is glued all the same: common practice, no source.
_TOUCH_MM2 = 1.0
# Poses flatter than this tell nothing: all paper lies on all other.
_OPEN_ENOUGH = float(np.radians(15.0))
# A share of the glue that must be seen on one straight way.
_SEEN = 0.6
# Ways are looked at from straight on to nearly along the paper, all round.
_TILTS_DEG, _ROUND = (0.0, 30.0, 55.0, 75.0), 8
_START_MM = 0.3
# So far a finger, or what stands in for one, is thin at its tip: common practice, no source. It is
# looked at in so many places round its way.
_TIP_MM, _AROUND = 8.0, 8
# A flat layer's slit is this much larger than what passes it, at least (as cut, without play).
_PLAY_MM = 0.05
# So many states of the glue are remembered: our choice.
_STATES = 4
_IN_PLANE_MM = 1.0


@dataclass(frozen=True)
class Fault:
    """A step that hands can't do.

    Parameters
    ----------
    step : index of the step.
    reason : ``missing`` (paper that is not made yet, or glue that never comes), ``twice`` (glued
        before), ``apart`` (it and its place do not meet), ``covered`` (paper is glued over the
        place already), ``hidden`` (no way for a hand to it), ``not threaded`` (never passed
        through its slit), ``stuck`` (the end that has to pass a slit is glued already, or too
        wide), ``unpressed`` (can neither be pinched nor folded flat).
    sheets : indices of the sheets concerned, what is worked on first.
    join : the glue, -1 where there is none.
    """

    step: int
    reason: Reason
    sheets: tuple[int, ...]
    join: int = -1


@dataclass
class _Bench:
    """What is made, glued and threaded so far."""

    made: set[int] = field(default_factory=lambda: {0})
    glued: set[int] = field(default_factory=set)
    threaded: set[tuple[int, int]] = field(default_factory=set)
    laid: set[int] = field(default_factory=set)


def faults(
    steps: Sequence[Step],
    sheets: Sequence[Sheet],
    joins: Sequence[Join],
    linkage: Linkage,
    motion: Motion,
) -> tuple[Fault, ...]:
    """All steps of an order that can't be done, in their order; none if all of them can.

    Parameters
    ----------
    motion : of the finished spread, from closed to open.
    """
    return tuple(Proof(sheets, joins, linkage, motion).faults(steps))


class Proof(BuildPoses):
    """A spread, asked whether it can be put together in an order."""

    def __init__(
        self, sheets: Sequence[Sheet], joins: Sequence[Join], linkage: Linkage, motion: Motion
    ) -> None:
        super().__init__(sheets, joins, linkage, motion)
        self.kept_flat = kept_flat(sheets, joins)
        # The last states that were asked for, and their closed chains: most are asked several
        # times, and what a step leads to is where the next one begins.
        self._states: dict[frozenset[int], dict[str, str]] = {}
        self._chains: list[tuple[dict[str, str], dict[str, int]]] = []
        self._ways: dict[tuple[str, int, float, bool, frozenset[tuple[str, str]]], bool] = {}
        self.passages = list(Slits(self).passages())
        self._facets = BuildFacets.of([body for body, _ in self.parts.values()], self.shapes)
        self._number = {name: k for k, name in enumerate(self.parts)}

    def faults(self, steps: Sequence[Step]) -> Iterator[Fault]:
        """The steps that can't be done."""
        bench = _Bench()
        for number, step in enumerate(steps):
            if step.action in ("make", "stick"):
                bench.made |= set(step.sheets)
            yield from self._absent(number, step, bench)
            if step.action == "thread":
                yield from self._thread(number, step, bench)
            if step.action == "lay":
                bench.laid |= set(step.sheets)
            for batch in self.batches(step):
                yield from self._glue(number, batch, bench)
                bench.glued |= set(batch)
        yield from self._left_over(len(steps) - 1, bench)

    def with_slips(self, steps: Sequence[Step]) -> tuple[Step, ...]:
        """The steps of a proved order, those marked in which a side is slipped to its place."""
        found: list[Step] = []
        glued: set[int] = set()
        for step in steps:
            slips = step.action == "press" and any(self.slips(j, glued) for j in step.joins)
            found.append(replace(step, slips=slips))
            glued |= set(step.joins)
        return tuple(found)

    @staticmethod
    def batches(step: Step) -> list[tuple[int, ...]]:
        """Joins of a step that are glued at the same time: flat pieces go on one by one."""
        return [(j,) for j in step.joins] if step.action == "stick" else [step.joins]

    def _absent(self, number: int, step: Step, bench: _Bench) -> Iterator[Fault]:
        used = set(step.sheets) | {self.owner[self.joins[j].host] for j in step.joins}
        away = sorted(used - bench.made)
        if away:
            yield Fault(number, "missing", tuple(away))

    def _left_over(self, last: int, bench: _Bench) -> Iterator[Fault]:
        for j in sorted(set(range(len(self.joins))) - bench.glued - self.kept_flat):
            yield Fault(last, "missing", (self.owner[self.joins[j].facet],), j)
        for found in self.passages:
            if (found.through, found.holed) not in bench.threaded:
                yield Fault(last, "not threaded", (found.through, found.holed))
        for drive in self.linkage.drives:
            if self.owner[drive.join.facet] not in bench.laid:
                yield Fault(last, "missing", (self.owner[drive.join.facet],))

    # Glue.

    def _glue(self, number: int, batch: Sequence[int], bench: _Bench) -> Iterator[Fault]:
        for j in batch:
            facet, host = self.owner[self.joins[j].facet], self.owner[self.joins[j].host]
            if j in bench.glued:
                yield Fault(number, "twice", (facet,), j)
            if not self._meet(j):
                yield Fault(number, "apart", (facet, host), j)
                continue
            over = self._over(j, bench.glued)
            if over:
                yield Fault(number, "covered", (facet, *sorted(over)), j)
            elif not self.reaches(j, bench.glued):
                yield Fault(number, "hidden", (facet, host), j)
            elif not self._presses(j, bench.glued):
                yield Fault(number, "unpressed", (facet, host), j)

    def _meet(self, join: int) -> bool:
        """Whether there is any area that glue can hold."""
        glue = self.joins[join]
        laid = glue.placement.polygon(self.parts[glue.facet][1].facet.polygon)
        return bool(laid.intersection(self.parts[glue.host][1].facet.polygon).area > 0)

    def _over(self, join: int, glued: Iterable[int]) -> set[int]:
        """Sheets that are glued to the host over the place, so that it would have to slip under."""
        facet, host = self.joins[join].facet, self.joins[join].host
        groups = self._groups(glued)
        there = [name for name, group in groups.items() if group == groups[host]]
        mine = [name for name, group in groups.items() if group == groups[facet]]
        if groups[host] == groups[facet]:
            return set()
        direction = self._direction(join)
        found = set()
        for other in there:
            height = self.parts[other][1].height
            for name in mine:
                lower = (height - self.parts[name][1].height) * direction > 1e-6
                above_host = (height - self.parts[host][1].height) * direction > 1e-6
                if (
                    lower
                    and above_host
                    and shapely.intersection(self.shapes[other], self.shapes[name]).area
                    > _TOUCH_MM2
                ):
                    found.add(self.owner[other])
        return found

    def _groups(self, glued: Iterable[int]) -> dict[str, str]:
        """For each facet the first of those that glue holds on it."""
        state = frozenset(glued)
        if state not in self._states:
            # Nearly always it is one of the last states with one join more.
            older = (known for known in reversed(self._states) if known < state)
            before = next(older, frozenset[int]())
            groups = self._together(state - before, self._states.get(before))
            if len(self._states) == _STATES:
                del self._states[next(iter(self._states))]
            self._states[state] = groups
        return self._states[state]

    def _together(self, glued: Iterable[int], before: dict[str, str] | None) -> dict[str, str]:
        """The groups with some more joins glued than before."""
        parent = dict(before) if before else {name: name for name in self.parts}

        def root(name: str) -> str:
            while parent[name] != name:
                parent[name] = parent[parent[name]]
                name = parent[name]
            return name

        for j in glued:
            parent[root(self.joins[j].facet)] = root(self.joins[j].host)
        return {name: root(name) for name in parent}

    def _direction(self, join: int) -> float:
        """+1 if the facet lies over its host along z of their body, else -1."""
        return float(self.joins[join].side * self.parts[self.joins[join].host][1].placement.up)

    def reaches(self, join: int, glued: Iterable[int]) -> bool:
        """Whether a hand gets at both faces of a join in a state, to glue one and lay it on.

        A side of something that hangs on its place already and folds flat with it need only be
        slipped there: the notebook is closed on it and presses (common practice, no source).
        """
        groups = self._groups(glued)
        direction = self._direction(join)
        if not self._open(self.joins[join].facet, join, -direction, groups):
            return False
        host = self.joins[join].host
        return self._open(host, join, direction, groups) or self.slips(join, glued)

    def slips(self, join: int, glued: Iterable[int]) -> bool:
        """Whether a side can be slipped to its place where a finger can't, and be folded flat."""
        groups = self._groups(glued)
        direction, host = self._direction(join), self.joins[join].host
        return (
            not self._open(host, join, direction, groups)
            and self._open(host, join, direction, groups, wide=False)
            and self._hang(self.joins[join].facet, host, groups)
            and self._folds_flat(join, glued)
        )

    def _hang(self, one: str, two: str, groups: dict[str, str]) -> bool:
        """Whether two facets hang together by glue and folds."""
        around: dict[str, set[str]] = {}
        for left, right in self.creases:
            around.setdefault(groups[left], set()).add(groups[right])
            around.setdefault(groups[right], set()).add(groups[left])
        found, queue = {groups[one]}, [groups[one]]
        while queue:
            new = around.get(queue.pop(), set()) - found
            found |= new
            queue += new
        return groups[two] in found

    def _open(
        self, facet: str, join: int, direction: float, groups: dict[str, str], wide: bool = True
    ) -> bool:
        """Whether there is a straight way to the area of a join from one side of a facet.

        Parameters
        ----------
        wide : for a finger; else for paper.
        """
        # A side that is slipped to its place is asked for several times in the same state.
        asked = (facet, join, direction, wide, frozenset(groups.items()))
        if asked not in self._ways:
            self._ways[asked] = self._look(facet, join, direction, groups, wide)
        return self._ways[asked]

    def _look(
        self, facet: str, join: int, direction: float, groups: dict[str, str], wide: bool
    ) -> bool:
        area = self.area(join)
        body, part = self.parts[facet]
        # Paper that lies on the host under the place takes the glue in its stead.
        on_it = groups.items() if facet == self.joins[join].facet else ()
        for name, group in on_it:
            if group == groups[facet] and name != facet:
                over = (self.parts[name][1].height - part.height) * direction > 1e-6
                if over and self.shapes[name].intersection(area).area > (1 - _SEEN) * area.area:
                    return False
        near = self._chained(facet, groups)
        blocking = [name for name in near if self.parts[name][0] != body]
        if not blocking:
            return True
        points = samples(area)
        stages = [k for k, at in enumerate(self.openings) if at >= _OPEN_ENOUGH]
        seen = partial(self._seen, points, body, direction, blocking, wide)
        return any(seen(k) for k in reversed(stages))

    def _chained(self, facet: str, groups: dict[str, str]) -> list[str]:
        """Facets that can't be swung away from a facet: those in the same closed chains."""
        found = self._in_chains(groups)
        return [name for name in groups if found[name] == found[facet]]

    def _in_chains(self, groups: dict[str, str]) -> dict[str, int]:
        """For each facet the number of its closed chain."""
        for known, found in self._chains:
            if known is groups:
                return found
        nodes = sorted(set(groups.values()))
        number = {name: k for k, name in enumerate(nodes)}
        edges = [(number[groups[left]], number[groups[right]]) for left, right in self.creases]
        chain = chains(len(nodes), edges)
        found = {name: chain[number[group]] for name, group in groups.items()}
        self._chains = [(groups, found), *self._chains[: _STATES - 1]]
        return found

    def _seen(
        self,
        points: np.ndarray,
        body: int,
        direction: float,
        blocking: list[str],
        wide: bool,
        stage: int,
    ) -> bool:
        rotation, shift = self.rotations[stage, body], self.translations[stage, body]
        starts = points @ rotation[:, :2].T + shift + rotation[:, 2] * direction * _START_MM
        ways = _ways() * (1.0, 1.0, direction) @ rotation.T
        screens = self._screens(blocking, stage).over(shift, rotation[:, 2] * direction)
        free = ~screens.meet(starts, ways, 0.0)
        if not (free.mean(axis=1) >= _SEEN).any():
            return False
        if not wide:
            return True
        for k in np.flatnonzero(free.mean(axis=1) >= _SEEN):
            mine = starts[free[k]]
            beside = _beside(ways[k])
            around = (mine[:, None] + beside).reshape(-1, 3)
            # Nothing goes through a finger where its tip ends, and nothing into its sides.
            tips = mine + ways[k] * _TIP_MM
            room = ~screens.meet(tips, beside, 0.0, 1.0).T
            met = screens.meet(around, ways[k : k + 1], _TIP_MM)
            room &= ~met.reshape(-1, _AROUND)
            clear = room.all(axis=1)
            if clear.sum() >= _SEEN * len(starts):
                return True
        return False

    def _screens(self, names: list[str], stage: int) -> Screens:
        """Some facets as they stand at a stage."""
        facets = self._facets.take(np.array([self._number[name] for name in names]))
        bodies = facets.bodies
        return Screens(facets, self.rotations[stage, bodies], self.translations[stage, bodies])

    def _presses(self, join: int, glued: Iterable[int]) -> bool:
        """Whether both can be pressed together: folded flat, or between finger and thumb."""
        if self._folds_flat(join, glued):
            return True
        direction = self._direction(join)
        before = self._groups(glued)
        return self._open(self.joins[join].facet, join, direction, before) and self._open(
            self.joins[join].host, join, -direction, before
        )

    def _folds_flat(self, join: int, glued: Iterable[int]) -> bool:
        """Whether all that a join will hold in closed chains with it lies flat when it is shut."""
        after = self._groups({*glued, join})
        chain = self._in_chains(after)
        held = [name for name in after if chain[name] == chain[self.joins[join].facet]]
        flat = int(np.argmin(self.openings))
        normals = np.array([self.rotations[flat, self.parts[name][0]][:, 2] for name in held])
        return bool(np.abs(np.abs(normals @ normals[0]) - 1.0).max() < 1e-3)

    # Slits.

    def _thread(self, number: int, step: Step, bench: _Bench) -> Iterator[Fault]:
        for sheet in step.sheets:
            mine = [
                found
                for found in self.passages
                if found.through == sheet and self.sheets[found.holed].piece == step.host
            ]
            for found in mine:
                if found.holed not in bench.made:
                    yield Fault(number, "missing", (found.holed,))
                elif not any(self._loose(found, end, bench.glued) for end in (0, 1)):
                    yield Fault(number, "stuck", (sheet, found.holed))
                bench.threaded.add((sheet, found.holed))

    def _loose(self, found: SheetPassage, end: int, glued: Iterable[int]) -> bool:
        """Whether an end is free and slips through."""
        held = found.ends[end] & set(glued)
        return not held and found.widths[end] <= found.slit + _PLAY_MM


def _ways() -> np.ndarray:
    """Directions away from a face, z up, shape (n, 3)."""
    found = [(0.0, 0.0, 1.0)]
    for tilt in np.radians(_TILTS_DEG[1:]):
        for turn in np.arange(_ROUND) * 2 * np.pi / _ROUND:
            c, s = np.cos(turn), np.sin(turn)
            found.append((np.sin(tilt) * c, np.sin(tilt) * s, np.cos(tilt)))
    return np.array(found)


def _beside(way: np.ndarray) -> np.ndarray:
    """Offsets round a direction, half as far as a finger is thick, shape (n, 3), mm."""
    across = np.cross(way, np.eye(3)[int(np.argmin(np.abs(way)))])
    across /= np.linalg.norm(across)
    turns = np.arange(_AROUND) * 2 * np.pi / _AROUND
    round_it = np.outer(np.cos(turns), across) + np.outer(np.sin(turns), np.cross(way, across))
    return np.asarray(round_it * FINGER_MM / 2)
