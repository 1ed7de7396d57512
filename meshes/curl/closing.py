"""How much of its curl paper has room for, at every opening."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from meshes.check.chord import STRADDLE_MM, meet
from meshes.check.facets import Facets, gather
from meshes.check.poses import Pose
from meshes.motion.result import Motion

from .roll import Rolled
from .stances import Stances

# Openings at which it is looked whether there is room, radians.
STAGES = np.radians(np.arange(0.0, 181.0))
# Paper that has room is rolled up in full over so much of the opening, radians. Our choice: slow
# enough that a frame of a film is like the next one.
RAMP_RAD = float(np.radians(60.0))
# The share that has room is found to 2 to the power of minus this.
_HALVINGS = 11
# Rounds in which shares that grow too fast for their neighbours are looked at again.
_ROUNDS = 4
# Steps from flat in which it is looked whether all smaller shares have room as well.
_STEPS = 8
# Pairs of facets that are tested at once.
_CHUNK = 40_000


@dataclass(frozen=True, eq=False)
class CurlCap:
    """How far a wheel or a slide keeps a curl down, wherever it is moved to.

    Parameters
    ----------
    entry : of the curl.
    hand : name of the wheel or slide.
    openings : shape (W,), radians, of the wedge in which both are.
    places : shape (H,), how far it is moved, 0 to 1.
    most : shape (W, H), the largest share there.
    """

    entry: int
    hand: str
    openings: np.ndarray
    places: np.ndarray
    most: np.ndarray

    def at(self, openings: np.ndarray, places: np.ndarray) -> np.ndarray:
        """The largest share at openings and places of shape (S,); linear in both in between."""
        column = np.clip(np.interp(places, self.places, np.arange(len(self.places))), 0, None)
        low = np.minimum(column.astype(int), len(self.places) - 2)
        part = column - low
        row = np.interp(openings, self.openings, np.arange(len(self.openings)))
        under = np.minimum(row.astype(int), len(self.openings) - 2)
        up = row - under
        one, two = self.most[under], self.most[under + 1]
        rows = np.arange(len(openings))
        left = one[rows, low] * (1 - up) + two[rows, low] * up
        right = one[rows, low + 1] * (1 - up) + two[rows, low + 1] * up
        return np.asarray(left * (1 - part) + right * part)


@dataclass(frozen=True, eq=False)
class Shares:
    """The share of each curl at the openings of a motion.

    Parameters
    ----------
    openings : shape (S,), radians, solved ones only; of the wedge in which a curl is, if flyleaves
        part the opening.
    shares : shape (E, S), 0 flat to 1 as it was rolled and sprang back; never falls.
    stopped : shape (E,), the index of the opening that keeps the curl from what is missing; -1
        where nothing is missing.
    against : for each entry the id of the facet that is in the way there, or empty.
    wedges : for each entry the number of its wedge.
    caps : where what a hand moves leaves less room.
    """

    openings: np.ndarray
    shares: np.ndarray
    stopped: np.ndarray
    against: tuple[str, ...]
    wedges: tuple[int, ...] = ()
    caps: tuple[CurlCap, ...] = ()

    def at(self, states: Stances) -> np.ndarray:
        """Shares in any states, shape (E, S); linear between those that were looked at."""
        if not len(self.openings):
            return np.zeros((len(self.shares), states.wedges.shape[1]))
        own = self.wedges or (0,) * len(self.shares)
        found = np.stack(
            [
                np.interp(states.wedges[k], self.openings, row)
                for k, row in zip(own, self.shares, strict=True)
            ]
        )
        for cap in self.caps:
            most = cap.at(states.wedges[own[cap.entry]], states.hands[cap.hand])
            found[cap.entry] = np.minimum(found[cap.entry], most)
        return found


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
    bare = motion.rows(keep)
    openings = bare.openings
    room = CurlRoom(paper, bare)
    count = len(paper.entries)
    shares = np.zeros((count, len(keep)))
    stopped, against = np.full(count, -1), [""] * count
    for entry in range(count if len(keep) else 0):
        shares[entry], stopped[entry], against[entry] = room.fill(entry, shares)
    return Shares(openings, shares, stopped, tuple(against))


class CurlRoom:
    """The paper of a spread at all openings, with what is rolled so far."""

    def __init__(self, paper: Rolled, motion: Motion, facets: Facets | None = None) -> None:
        self.paper, self.motion = paper, motion
        self.facets = gather(paper.linkage, (), ()) if facets is None else facets

    def fill(self, entry: int, shares: np.ndarray) -> tuple[np.ndarray, int, str]:
        """Shares of an entry (S,) beside those of the others (E, S), and what stops it where."""
        openings = self.motion.openings
        rows = np.arange(len(openings))
        ramp = np.minimum(openings / RAMP_RAD, 1.0)
        tests = CurlTests(self, entry, shares)
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

    def _halved(self, tests: CurlTests, rows: np.ndarray, most: np.ndarray) -> np.ndarray:
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


class CurlTests:
    """Whether an entry's paper passes through other paper, at shares of its own.

    Parameters
    ----------
    shares : of all entries at the openings of the room, shape (E, S).
    pairs : which facets may be tested with which, shape (F, F); all if left out.
    walls : facets whose planes it must not cross anywhere, each with the side on which it lies.
    """

    def __init__(
        self,
        room: CurlRoom,
        entry: int,
        shares: np.ndarray,
        pairs: np.ndarray | None = None,
        walls: Sequence[tuple[int, float]] = (),
    ) -> None:
        self.room, self.entry, self.shares, self.walls = room, entry, shares, walls
        facets = room.facets
        self.strips = np.flatnonzero(room.paper.entry == entry)
        self.bodies = len(room.paper.linkage.bodies) - len(room.paper.parents) + self.strips
        self.mine = np.flatnonzero(np.isin(facets.body, self.bodies))
        everything = room.paper.move(room.motion, shares, lifted=False)
        self.turns, self.shifts = everything.rotations, everything.translations
        self.low, self.high = boxes(facets, self.turns, self.shifts, np.arange(len(facets)))
        self.apart = self._apart()
        if pairs is not None:
            self.apart &= pairs[self.mine]
        self.busy = np.ones(len(room.motion.openings), bool)
        if pairs is not None:
            self._leave_out_far()
        self.others = np.flatnonzero(self.apart.any(axis=0))
        # Paper that passes through other paper while it is flat is none of the curl's business.
        self.known: set[tuple[int, str, int]] = set()
        rows = np.flatnonzero(self.busy)
        found, one, two = self.hits(rows, np.zeros(len(rows)))
        triples = zip(rows[found].tolist(), one.tolist(), two.tolist(), strict=True)
        self.known = {(row, facets.rolled[a], b) for row, a, b in triples}

    def _apart(self) -> np.ndarray:
        """Which of the entry's facets are tested with which of all, shape (m, F)."""
        roll = np.unique(self.room.facets.rolled, return_inverse=True)[1]
        every = np.arange(len(roll))
        # Neither with the facet that a strip is of, nor two strips of the entry twice.
        twice = np.isin(every, self.mine)[None] & (every < self.mine[:, None])
        return np.asarray((roll[self.mine][:, None] != roll) & ~twice)

    def _leave_out_far(self) -> None:
        """Forget pairs and openings at which nothing is near at any share.

        A point of a strip is no farther from where it is while flat than twice its way to the line.
        """
        paper, strips = self.room.paper, self.room.facets.body[self.mine]
        strips = strips - (len(paper.linkage.bodies) - len(paper.parents))
        far = 2 * ((paper.place[strips] + 1) * paper.width[strips])[:, None]
        turns, shifts = self._posed(*_flat(len(self.room.motion.openings)))
        low, high = boxes(self.room.facets, turns, shifts, self.mine)
        ever = np.zeros(self.apart.shape, bool)
        for row in range(len(low)):
            bottom, top = low[row] - far, high[row] + far
            near = self.apart & (bottom[:, None] <= self.high[row]).all(axis=2)
            near &= (self.low[row] <= top[:, None]).all(axis=2)
            self.busy[row] = near.any()
            ever |= near
        self.apart = ever
        body = self.room.facets.body[self.mine]
        for wall, way in self.walls:
            side = self.room.facets.body[wall]
            height = way * over_plane(self.room.facets, self.mine, body, side, turns, shifts)
            self.busy |= (height.min(axis=2) < far[:, 0]).any(axis=1)

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
        low[:, self.mine], high[:, self.mine] = boxes(facets, turns, shifts, self.mine)
        apart = self.apart[:, self.others]
        near = np.broadcast_to(apart, (len(rows), *apart.shape)).copy()
        for axis in range(3):
            bottom, top = low[..., axis], high[..., axis]
            near &= bottom[:, self.mine][:, :, None] <= top[:, None, self.others]
            near &= bottom[:, None, self.others] <= top[:, self.mine][:, :, None]
        row, one, two = np.nonzero(near)
        one, two = self.mine[one], self.others[two]
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
        found = [np.stack([row[new], one[new], two[new]]), *self._beyond(turns, shifts)]
        row, one, two = np.concatenate(found, axis=1)
        return row, one, two

    def _beyond(self, turns: np.ndarray, shifts: np.ndarray) -> Iterator[np.ndarray]:
        """Rows, facets and walls (3, k) where a corner lies on the other side of a wall."""
        facets = self.room.facets
        body = facets.body[self.mine]
        for wall, way in self.walls:
            height = over_plane(facets, self.mine, body, facets.body[wall], turns, shifts)
            row, one = np.nonzero((way * height < -STRADDLE_MM).any(axis=2))
            yield np.stack([row, self.mine[one], np.full(len(row), wall)])

    def room_for(self, most: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """The largest shares up to some (S,) that have room together with all smaller ones.

        Returns
        -------
        The shares, and for each the facet that is in the way of more, or -1.
        """
        low, high = np.where(self.busy, 0.0, most), most.copy()
        against = np.full(len(most), -1)
        free = np.flatnonzero(self.busy & (most > 0))
        for k in range(1, _STEPS + 1):
            hit, other = self.first(free, most[free] * k / _STEPS)
            stopped = free[hit]
            high[stopped], against[stopped] = most[stopped] * k / _STEPS, other[hit]
            free = free[~hit]
            low[free] = most[free] * k / _STEPS
        rows = np.flatnonzero(against >= 0)
        for _ in range(_HALVINGS - int(np.log2(_STEPS)) if len(rows) else 0):
            middle = (low[rows] + high[rows]) / 2
            hit, _ = self.first(rows, middle)
            low[rows] = np.where(hit, low[rows], middle)
            high[rows] = np.where(hit, middle, high[rows])
        return low, against

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


def over_plane(
    facets: Facets,
    which: np.ndarray,
    body: np.ndarray,
    side: int,
    turns: np.ndarray,
    shifts: np.ndarray,
) -> np.ndarray:
    """Heights of facets' corners over the plane of a body, shape (S, n, E), mm.

    Parameters
    ----------
    which, body : the facets and the bodies that they follow, shape (n,) each.
    """
    normal = turns[:, side, :, 2]
    offset = np.einsum("snj,sj->sn", shifts[:, body] - shifts[:, side][:, None], normal)
    slope = np.einsum("snij,si->snj", turns[:, body], normal)[..., :2]
    corners = facets.tail[which, : int(facets.edges[which].max(initial=1))]
    return np.asarray(np.einsum("snj,nej->sne", slope, corners) + offset[..., None])


def _flat(count: int) -> tuple[np.ndarray, np.ndarray]:
    return np.arange(count), np.zeros(count)


def boxes(
    facets: Facets, turns: np.ndarray, shifts: np.ndarray, which: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Lowest and highest corners of some facets at all openings, shapes (S, n, 3), mm."""
    body = facets.body[which]
    corners = Pose(turns[:, body], shifts[:, body]).apply(facets.frame[which])
    return corners.min(axis=2), corners.max(axis=2)
