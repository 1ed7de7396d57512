"""How much of its curl paper has room for in a spread with parts that a hand moves.

Flyleaves part the opening into wedges. What is in one stays on its side of each flyleaf's whole
plane, curled or not, so that curled paper meets paper of its own wedge only, wherever the flyleaves
are: its share follows from how far its own wedge is open. Wheels and slides change who stands
beside whom: for each that does there is a cap over the wedge's opening and the hand's way.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import product
from typing import Protocol

import numpy as np

from meshes.check.chord import STRADDLE_MM
from meshes.check.facets import gather
from meshes.drive import Wedges, put
from meshes.linkage import Linkage
from meshes.motion.result import Motion
from meshes.sheet import Drive

from .closing import RAMP_RAD, CurlCap, CurlRoom, CurlTests, Shares, over_plane, steady
from .roll import Rolled
from .stances import Sides, stances

# A cap is looked for at every so many degrees of the opening, and at so many places of the way or
# one every so many mm of it, whichever are more. Our choice.
_EVERY, _PLACES, _STEP_MM = 2, 31, 2.0
_MOST_PLACES = 91
# A hand lets a curl go in full over so much of a slide's way, mm; a wheel takes `RAMP_RAD`. Our
# choice.
_RAMP_MM = 30.0
# Places of a second hand, whose worst counts. Our choice.
_SECOND_PLACES = 31
# Poses of bodies that are looked at together: some 100 MB.
_AT_ONCE = 400_000
# Shares that differ by less are the same.
_SAME = 1e-6


class Solve(Protocol):
    """As ``Spread.solve``."""

    def __call__(
        self, openings: np.ndarray, driven: Mapping[str, float | np.ndarray] | None = None
    ) -> Motion:
        """The motion over openings, radians."""


def close_moved(paper: Rolled, linkage: Linkage, solve: Solve) -> Shares:
    """The largest shares at which rolled paper stays clear, whatever a hand moves anywhere.

    As :func:`meshes.curl.closing.close`, but a share also has to have room together with all
    smaller ones, so that less than it is never too much.

    Parameters
    ----------
    linkage : without the strips.
    """
    sides = Sides(linkage)
    closing = _Closing(paper, linkage, sides, solve)
    return closing.all()


class _Closing:
    """The wedges of a spread one after the other."""

    def __init__(self, paper: Rolled, linkage: Linkage, sides: Sides, solve: Solve) -> None:
        self.paper, self.linkage, self.sides = paper, linkage, sides
        ups = np.sign(paper.frames[:, 2, 2])
        self.wedge_of = [
            sides.wedge(int(paper.parents[j]), float(ups[j]))
            for j in (int(np.argmax(paper.entry == e)) for e in range(len(paper.entries)))
        ]
        self.openings, self.motions = _opened(linkage, sides.count, solve)
        self.drives = {d.name: d for d in linkage.drives if d.kind != "flyleaf"}
        count = len(paper.entries)
        self.shares = np.zeros((count, len(self.openings)))
        self.stopped, self.against = np.full(count, -1), [""] * count
        self.caps: list[CurlCap] = []
        self.facets = gather(paper.linkage, (), ())
        self.inside = [self._inside(k) for k in range(sides.count)]
        strays = {k: self._stray(k) for k in range(sides.count)} if sides.count > 1 else {}
        self.strays = {k: name for k, name in strays.items() if name}

    def all(self) -> Shares:
        """Fill one entry after the other."""
        for entry in range(len(self.paper.entries)):
            self._fill(entry)
        return Shares(
            self.openings,
            self.shares,
            self.stopped,
            tuple(self.against),
            tuple(self.wedge_of),
            tuple(self.caps),
        )

    def _fill(self, entry: int) -> None:
        k = self.wedge_of[entry]
        stray = next((name for other, name in self.strays.items() if other != k), "")
        if stray or not len(self.openings):
            # Paper of another wedge does not stay there, so nothing keeps the two apart.
            self.stopped[entry], self.against[entry] = len(self.openings) - 1, stray
            return
        motion = self.motions[k]
        base = self._tests(entry, motion, frozenset())
        ramp = np.minimum(self.openings / RAMP_RAD, 1.0)
        most, against = base.room_for(ramp[motion_rows(self.openings, motion)])
        full = np.interp(self.openings, motion.openings, most)
        self.shares[entry] = steady(full, self.openings)
        held = np.flatnonzero(against >= 0)
        if self.shares[entry, -1] < 1 - _SAME and len(held):
            self.stopped[entry] = int(np.searchsorted(self.openings, motion.openings[held[-1]]))
            self.against[entry] = self.facets.rolled[against[held[-1]]]
        for hands in self._groups(entry):
            cap = self._cap(entry, hands)
            if cap is not None:
                self.caps.append(cap)

    def _tests(self, entry: int, motion: Motion, hands: frozenset[str]) -> CurlTests:
        k = self.wedge_of[entry]
        states = stances(self.linkage, motion)
        strips = self.paper.parents[self.paper.entry == entry].tolist()
        walls = [(self._page(body), way) for body, way in self.sides.leaves[k]]
        if hands not in {self.sides.hands(body) for body in strips}:
            walls = []  # none of them is moved against a page
        room = CurlRoom(self.paper, motion, self.facets)
        return CurlTests(room, entry, self._so_far().at(states), self._pairs(entry, hands), walls)

    def _so_far(self) -> Shares:
        shares = Shares(self.openings, self.shares, self.stopped, tuple(self.against))
        return replace(shares, wedges=tuple(self.wedge_of), caps=tuple(self.caps))

    def _page(self, body: int) -> int:
        """The facet of a flyleaf's page, or the first of another body."""
        return int(np.argmax(self.facets.body == body))

    def _inside(self, k: int) -> np.ndarray:
        """Which facets are in a wedge or at its sides, shape (F,)."""
        flat = len(self.linkage.bodies)
        near = set(self.sides.sides[k : k + 2])
        found = []
        for body in self.facets.body.tolist():
            if body < flat:
                found.append(body in near or self.sides.wedge(body, 1.0) == k)
            else:
                found.append(self.wedge_of[int(self.paper.entry[body - flat])] == k)
        return np.array(found)

    def _pairs(self, entry: int, hands: frozenset[str]) -> np.ndarray:
        """Facets of its wedge of which just these hands change how they stand, shape (F, F)."""
        number, table = self._between(entry)
        same = np.array([[one == hands for one in row] for row in table])
        inside = self.inside[self.wedge_of[entry]]
        return np.asarray(same[number[:, None], number[None]] & inside[None] & inside[:, None])

    def _groups(self, entry: int) -> list[frozenset[str]]:
        """Sets of hands that change how an entry's paper stands to other paper of its wedge."""
        number, table = self._between(entry)
        strips = len(self.linkage.bodies) + np.flatnonzero(self.paper.entry == entry)
        mine = np.unique(number[np.isin(self.facets.body, strips)])
        others = np.unique(number[self.inside[self.wedge_of[entry]]])
        found = {table[a][b] for a in mine for b in others}
        return sorted(found - {frozenset()}, key=sorted)

    def _between(self, entry: int) -> tuple[np.ndarray, list[list[frozenset[str]]]]:
        """For each facet a number, and for two numbers the hands that change how they stand.

        That is who carries only one of them, and who keeps the curl of the second one down.
        """
        flat = len(self.linkage.bodies)
        kinds: dict[tuple[frozenset[str], frozenset[str]], int] = {}
        numbers = []
        for body in self.facets.body.tolist():
            strip = body - flat
            own = self.sides.hands(body if strip < 0 else int(self.paper.parents[strip]))
            of = -1 if strip < 0 else int(self.paper.entry[strip])
            held = frozenset(c.hand for c in self.caps if c.entry == of != entry)
            numbers.append(kinds.setdefault((own, held), len(kinds)))
        table = [[(one ^ two) | held for two, held in kinds] for one, _ in kinds]
        return np.array(numbers), table

    def _cap(self, entry: int, hands: frozenset[str]) -> CurlCap | None:
        """The cap that one hand sets, or two of which the second may be anywhere."""
        first, *others = sorted(hands)
        k = self.wedge_of[entry]
        rest = _every_other(self.motions[k])
        rows = len(rest.openings)
        drive = self.drives[first]
        places = self._places(drive)
        limit = np.tile(np.interp(rest.openings, self.openings, self.shares[entry]), len(places))
        most = limit.copy()
        seconds = [np.linspace(0.0, 1.0, _SECOND_PLACES) for _ in others]
        size = max(1, _AT_ONCE // (rows * len(self.paper.linkage.bodies)))
        for second in product(*seconds):
            motion = rest
            for name, place in zip(others, second, strict=True):
                motion, _ = put(self.linkage, motion, name, np.full(rows, place))
            for start in range(0, len(places), size):
                some = places[start : start + size]
                put_there = [put(self.linkage, motion, first, np.full(rows, p))[0] for p in some]
                tests = self._tests(entry, _stacked(put_there), hands)
                if not len(tests.others) and not tests.walls:
                    continue
                part = slice(start * rows, (start + len(some)) * rows)
                most[part] = tests.room_for(most[part])[0]
        free = most >= limit - _SAME
        if free.all():
            return None
        caps = np.where(free, 1.0, most).reshape(len(places), rows).T
        return CurlCap(
            entry, first, rest.openings, places, _eased(caps, rest.openings, drive, places)
        )

    def _places(self, drive: Drive) -> np.ndarray:
        """Places on the way of a wheel or slide, as far as each looks another way."""
        way = abs(drive.reach)
        body, _ = self.linkage.place(drive.join.facet)
        last = 1.0
        if drive.kind == "turn":
            corners = np.concatenate(
                [np.asarray(p.polygon.exterior.coords) for p in self.linkage.bodies[body].parts]
            )
            last = min(1.0, 2 * np.pi / way)
            way = min(way, 2 * np.pi) * float(np.linalg.norm(np.ptp(corners, axis=0))) / 2
        count = min(max(_PLACES, int(np.ceil(way / _STEP_MM)) + 1), _MOST_PLACES)
        return np.linspace(0.0, last, count)

    def _stray(self, k: int) -> str:
        """Flat paper of a wedge that does not stay on its side of a flyleaf, or nothing."""
        motion, flat = self.motions[k], len(self.linkage.bodies)
        every = np.flatnonzero(self.inside[k])
        own = every[~np.isin(self.facets.body[every], self.sides.sides)]
        # Curled paper counts where it is flat; curled, it has walls of its own.
        body = np.array(
            [b if b < flat else self.paper.parents[b - flat] for b in self.facets.body[own]], int
        )
        hands = [self.sides.hands(one) for one in body.tolist()]
        looks = [(motion, np.ones(len(own), bool))]
        for name in self.drives:
            moved = np.array([name in one for one in hands], bool)
            if moved.any():
                rest = _every_other(motion)
                at = np.ones(len(rest.openings))
                for place in np.linspace(0.0, 1.0, _PLACES):
                    looks.append((put(self.linkage, rest, name, place * at)[0], moved))
        for state, some in looks if len(own) else ():
            for page, way in self.sides.leaves[k]:
                height = way * over_plane(
                    self.facets, own[some], body[some], page, state.rotations, state.translations
                )
                out = (height < -STRADDLE_MM).any(axis=(0, 2))
                if out.any():
                    return self.facets.rolled[int(own[some][np.argmax(out)])]
        return ""


def motion_rows(openings: np.ndarray, motion: Motion) -> np.ndarray:
    """Where the openings of a motion stand among others."""
    return np.searchsorted(openings, motion.openings - _SAME)


def _opened(linkage: Linkage, count: int, solve: Solve) -> tuple[np.ndarray, list[Motion]]:
    """Openings of a wedge, and for each wedge the motion in which it alone opens by them.

    The others are as good as shut. What is not solved is left out.
    """
    degrees = np.concatenate([[0.0], np.arange(float(count), 181.0)])
    openings = np.radians(np.arange(float(len(degrees))))
    leaves = [leaf.name for leaf in Wedges(linkage).flyleaves]
    motions = []
    for k in range(count):
        at = {name: 0.0 if n < k else 1.0 for n, name in enumerate(leaves)}
        motion = solve(np.radians(degrees), at)
        motions.append(replace(motion, openings=openings).rows(np.flatnonzero(motion.solved)))
    reached = max((motion.openings[-1] for motion in motions if len(motion.openings)), default=-1)
    return openings[openings <= reached + _SAME], motions


def _every_other(motion: Motion) -> Motion:
    """One of `_EVERY` openings of a motion, the last one among them, ascending."""
    return motion.rows(np.arange(len(motion.openings))[::-_EVERY][::-1])


def _stacked(motions: list[Motion]) -> Motion:
    def every(name: str) -> np.ndarray:
        return np.concatenate([getattr(motion, name) for motion in motions])

    return Motion(
        every("openings"),
        every("solved"),
        every("rotations"),
        every("translations"),
        every("angles"),
        every("gaps"),
    )


def _eased(caps: np.ndarray, openings: np.ndarray, drive: Drive, places: np.ndarray) -> np.ndarray:
    """Caps (W, H) that hold between the places and openings looked at, and change evenly.

    A value is the least of those round it, so that what lies between two of them linearly is no
    more than either was found to be; then as in :func:`meshes.curl.closing.steady`, over the way of
    the hand in both directions.
    """
    turns = drive.kind == "turn"
    round_and_round = turns and abs(drive.reach) * places[-1] > 2 * np.pi - _SAME
    if round_and_round:
        count = caps.shape[1] - 1
        caps = np.concatenate([caps[:, :-1], caps[:, :-1], caps], axis=1)
    for axis in (0, 1):
        padded = np.pad(caps, [(1, 1) if a == axis else (0, 0) for a in (0, 1)], mode="edge")
        ends = [np.take(padded, np.arange(n, n + caps.shape[axis]), axis) for n in range(3)]
        caps = np.minimum.reduce(ends)
    step = (places[1] - places[0]) * abs(drive.reach) / (RAMP_RAD if turns else _RAMP_MM)
    line = step * np.arange(caps.shape[1])
    up = line + np.minimum.accumulate(caps - line, axis=1)
    down = np.minimum.accumulate((caps + line)[:, ::-1], axis=1)[:, ::-1] - line
    caps = np.minimum(up, down)
    if round_and_round:
        caps = caps[:, count : 2 * count + 1]
    return np.stack([steady(column, openings) for column in caps.T], axis=1)
