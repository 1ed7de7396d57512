"""How much of its curl paper has room for, at every opening."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from meshes.check.chord import meet
from meshes.check.facets import Facets, gather
from meshes.check.poses import Pose
from meshes.motion.result import Motion

from .roll import Rolled

# Openings at which it is looked whether there is room, radians.
STAGES = np.radians(np.arange(0.0, 181.0))
# Paper that has room is rolled up in full over so much of the opening, radians. Our choice: slow
# enough that a frame of a film is like the next one.
RAMP_RAD = float(np.radians(60.0))
# The share that has room is found to 2 to the power of minus this.
_HALVINGS = 11
# Rounds in which shares that grow too fast for their neighbours are looked at again.
_ROUNDS = 4
# Pairs of facets that are tested at once.
_CHUNK = 40_000


@dataclass(frozen=True, eq=False)
class Shares:
    """The share of each curl at the openings of a motion.

    Parameters
    ----------
    openings : shape (S,), radians, solved ones only.
    shares : shape (E, S), 0 flat to 1 as it was rolled and sprang back; never falls.
    stopped : shape (E,), the index of the opening that keeps the curl from what is missing; -1
        where nothing is missing.
    against : for each entry the id of the facet that is in the way there, or empty.
    """

    openings: np.ndarray
    shares: np.ndarray
    stopped: np.ndarray
    against: tuple[str, ...]

    def at(self, openings: np.ndarray) -> np.ndarray:
        """Shares at any openings (S,), radians; linear between those that were looked at."""
        if not len(self.openings):
            return np.zeros((len(self.shares), len(openings)))
        return np.stack([np.interp(openings, self.openings, row) for row in self.shares])


def close(paper: Rolled, motion: Motion) -> Shares:
    """The largest shares at which rolled paper stays clear of pages and other paper.

    Entries are rolled one after the other, in the order of the pieces. Each gets, at every opening,
    the largest share that has room there and at every wider opening, so that it only grows, and
    that grows no faster than in full over `RAMP_RAD`. It is nothing where the pages are shut.

    Parameters
    ----------
    motion : of the flat linkage, everything that a hand moves at rest.
    """
    keep = np.flatnonzero(motion.solved)
    openings = motion.openings[keep]
    bare = Motion(
        openings,
        motion.solved[keep],
        motion.rotations[keep],
        motion.translations[keep],
        motion.angles[keep],
        motion.gaps[keep],
    )
    room = _Room(paper, bare)
    count = len(paper.entries)
    shares = np.zeros((count, len(keep)))
    stopped, against = np.full(count, -1), [""] * count
    for entry in range(count if len(keep) else 0):
        shares[entry], stopped[entry], against[entry] = room.fill(entry, shares)
    return Shares(openings, shares, stopped, tuple(against))


class _Room:
    """The paper of a spread at all openings, with what is rolled so far."""

    def __init__(self, paper: Rolled, motion: Motion) -> None:
        self.paper, self.motion = paper, motion
        self.facets = gather(paper.linkage, (), ())

    def fill(self, entry: int, shares: np.ndarray) -> tuple[np.ndarray, int, str]:
        """Shares of an entry (S,) beside those of the others (E, S), and what stops it where."""
        openings = self.motion.openings
        rows = np.arange(len(openings))
        ramp = np.minimum(openings / RAMP_RAD, 1.0)
        tests = _Tests(self, entry, shares)
        most = ramp.copy()
        hit, other = tests.first(rows, most)
        stops = np.where(hit, other, -1)
        most[hit] = self._halved(tests, rows[hit], most[hit])
        # Flat open, paper that lies on a page is on no side of it.
        if len(rows) > 1 and openings[-1] > np.pi - 1e-9 and most[-2] < ramp[-2]:
            most[-1], stops[-1] = most[-2], stops[-2]
        found = steady(most, openings)
        for _ in range(_ROUNDS):
            hit, other = tests.first(rows, found)
            if not hit.any():
                break
            stops[hit] = other[hit]
            most = found.copy()
            most[hit] = self._halved(tests, rows[hit], found[hit])
            found = steady(most, openings)
        else:
            hit, _ = tests.first(rows, found)
            if hit.any():
                found = steady(np.where(hit, 0.0, found), openings)
        return found, *self._worst(found, stops)

    def _halved(self, tests: _Tests, rows: np.ndarray, most: np.ndarray) -> np.ndarray:
        """The largest share without a hit, below shares with one, by halving intervals."""
        low, high = np.zeros(len(rows)), most
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            hit, _ = tests.first(rows, middle)
            low, high = np.where(hit, low, middle), np.where(hit, middle, high)
        return low

    def _worst(self, found: np.ndarray, stops: np.ndarray) -> tuple[int, str]:
        """The widest opening at which other paper is in the way, and what that is."""
        held = np.flatnonzero(stops >= 0)
        if found[-1] > 1 - 1e-6 or not len(held):
            return -1, ""
        # From there on nothing but the pace of the curl is missing.
        where = int(held[-1])
        return where, self.facets.rolled[stops[where]]


def steady(most: np.ndarray, openings: np.ndarray) -> np.ndarray:
    """The largest shares below some that never fall and never grow too fast, shape (S,).

    The largest function that does not fall is the least of all that come after; of functions below
    it that grow by at most a slope, the largest is the least of lines of that slope put at each of
    its points (the lower Lipschitz envelope; E. J. McShane, Bulletin of the AMS 40, 1934).
    """
    found = np.minimum.accumulate(most[::-1])[::-1]
    line = openings / RAMP_RAD
    return np.asarray(line + np.minimum.accumulate(np.minimum(found - line, 0.0)))


class _Tests:
    """Whether an entry's paper passes through other paper, at shares of its own."""

    def __init__(self, room: _Room, entry: int, shares: np.ndarray) -> None:
        self.room, self.entry, self.shares = room, entry, shares
        facets = room.facets
        self.strips = np.flatnonzero(room.paper.entry == entry)
        self.bodies = len(room.paper.linkage.bodies) - len(room.paper.parents) + self.strips
        self.mine = np.flatnonzero(np.isin(facets.body, self.bodies))
        everything = room.paper.move(room.motion, shares, lifted=False)
        self.turns, self.shifts = everything.rotations, everything.translations
        self.low, self.high = _boxes(facets, self.turns, self.shifts, np.arange(len(facets)))
        self.apart = self._apart()
        # Paper that passes through other paper while it is flat is none of the curl's business.
        self.known: set[tuple[int, str, int]] = set()
        rows = np.arange(len(room.motion.openings))
        found, one, two = self.hits(rows, np.zeros(len(rows)))
        triples = zip(found.tolist(), one.tolist(), two.tolist(), strict=True)
        self.known = {(row, facets.rolled[a], b) for row, a, b in triples}

    def _apart(self) -> np.ndarray:
        """Which of the entry's facets are tested with which of all, shape (m, F)."""
        roll = np.unique(self.room.facets.rolled, return_inverse=True)[1]
        every = np.arange(len(roll))
        # Neither with the facet that a strip is of, nor two strips of the entry twice.
        twice = np.isin(every, self.mine)[None] & (every < self.mine[:, None])
        return np.asarray((roll[self.mine][:, None] != roll) & ~twice)

    def first(self, rows: np.ndarray, shares: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """At which of some openings there is a hit, and with which facet, both (n,)."""
        hit, other = np.zeros(len(rows), bool), np.full(len(rows), -1)
        found, _, two = self.hits(rows, shares)
        hit[found], other[found] = True, two
        return hit, other

    def hits(
        self, rows: np.ndarray, shares: np.ndarray
    ) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Which of some openings (n,) have a hit at some shares (n,), and its facets, (k,) each."""
        facets, body = self.room.facets, self.room.facets.body
        turns, shifts = self._posed(rows, shares)
        low, high = self.low[rows], self.high[rows]
        low[:, self.mine], high[:, self.mine] = _boxes(facets, turns, shifts, self.mine)
        near = np.broadcast_to(self.apart, (len(rows), *self.apart.shape)).copy()
        for axis in range(3):
            bottom, top = low[..., axis], high[..., axis]
            near &= bottom[:, self.mine][:, :, None] <= top[:, None]
            near &= bottom[:, None] <= top[:, self.mine][:, :, None]
        row, one, two = np.nonzero(near)
        one = self.mine[one]
        found = [np.zeros(0, int)]
        for start in range(0, len(row), _CHUNK):
            part = slice(start, start + _CHUNK)
            r, a, b = row[part], one[part], two[part]
            pose = Pose(turns[r, body[a]], shifts[r, body[a]]).seen_from(
                Pose(turns[r, body[b]], shifts[r, body[b]])
            )
            found.append(start + np.flatnonzero(meet(facets, a, b, pose).hit))
        hit = np.concatenate(found)
        row, one, two = row[hit], one[hit], two[hit]
        triples = zip(rows[row].tolist(), one.tolist(), two.tolist(), strict=True)
        new = [(r, facets.rolled[a], b) not in self.known for r, a, b in triples]
        return row[new], one[new], two[new]

    def _posed(self, rows: np.ndarray, shares: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """All bodies at some openings, the entry's strips at its shares."""
        paper = self.room.paper
        some = np.broadcast_to(shares, (len(paper.entries), len(rows)))
        bend, shift = paper.bends(some, lifted=False, strips=self.strips)
        parents = paper.parents[self.strips]
        turns, shifts = self.turns[rows], self.shifts[rows]
        under = turns[:, parents]
        shifts[:, self.bodies] = np.einsum("snij,snj->sni", under, shift) + shifts[:, parents]
        turns[:, self.bodies] = under @ bend
        return turns, shifts


def _boxes(
    facets: Facets, turns: np.ndarray, shifts: np.ndarray, which: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Lowest and highest corners of some facets at all openings, shapes (S, n, 3), mm."""
    body = facets.body[which]
    corners = Pose(turns[:, body], shifts[:, body]).apply(facets.frame[which])
    return corners.min(axis=2), corners.max(axis=2)
