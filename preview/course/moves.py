"""Moves of a building course: what lies where before and after, and how it gets there."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

import numpy as np

from meshes.check.poses import Pose, rotation_of, vector_of
from preview.drawing.book import Book
from preview.drawing.lying import AtRest, Lying
from preview.shot.schedule import eased

from .figures import Figures, Form, points

MoveKind = Literal[
    "bring", "fold", "ready", "open", "carry", "straighten", "swing", "shut", "press"
]
# Paper rests this far over the table, and loose paper over the page; mm. Our choice.
RESTING_MM = 0.3
# The parts of a carried path between which the paper is turned as it will lie, and how far along it
# layers begin to lie on each other as they will. Our choice.
_TURNED, _SUNK = (0.12, 0.85), 0.7


@dataclass(frozen=True, eq=False)
class OnTable:
    """Paper that rests on the table.

    Parameters
    ----------
    turn : from the frame of the motion, shape (3, 3).
    centre : of the box round it as seen from above, mm.
    rise : how far it is held over the table, mm.
    """

    turn: np.ndarray
    centre: tuple[float, float]
    rise: float = 0.0


@dataclass(frozen=True, eq=False)
class HeldSeat:
    """Paper at a fixed place: from the frame of the motion, shapes (3, 3) and (3,), mm."""

    turn: np.ndarray
    shift: np.ndarray


@dataclass(frozen=True)
class Ride:
    """Paper in the notebook that goes along with a body of the solved spread."""

    body: int


Seat = OnTable | Ride | HeldSeat


@dataclass(frozen=True, eq=False)
class Way:
    """How paper is carried: lifted off, over, and along a straight line to its place.

    Parameters
    ----------
    side : from which it comes to its place, unit vector, shape (3,).
    reach : how long that line is, mm.
    height : how high it is lifted on the way to it, mm.
    """

    side: np.ndarray
    reach: float
    height: float


@dataclass(frozen=True, eq=False)
class CourseTrack:
    """What one group of paper does during a move.

    Parameters
    ----------
    sheets : their numbers.
    forms, seats : before and after.
    way : if it is carried from one seat to the other.
    window : the part of the move in which it does.
    over : how much higher than it must be paper is held that is handled over the table, mm.
    """

    sheets: frozenset[int]
    forms: tuple[Form, Form]
    seats: tuple[Seat, Seat]
    way: Way | None = None
    window: tuple[float, float] = (0.0, 1.0)
    over: float = 0.0

    @staticmethod
    def still(sheets: frozenset[int], form: Form, seat: Seat) -> CourseTrack:
        """Paper that does nothing."""
        return CourseTrack(sheets, (form, form), (seat, seat))

    @property
    def stays(self) -> bool:
        """Whether it does nothing but to ride with the notebook."""
        return (
            self.way is None and self.forms[0] == self.forms[1] and self.seats[0] == self.seats[1]
        )

    @property
    def handled(self) -> bool:
        """Whether two hands fold or turn it over the table."""
        on_table = all(isinstance(seat, OnTable) for seat in self.seats)
        return on_table and self.way is None and not self.stays


@dataclass(frozen=True, eq=False)
class CourseMove:
    """One motion of a step.

    Parameters
    ----------
    openings : of the notebook before and after, radians.
    tracks : of all paper that is there.
    glued : joins that hold before it, and after it.
    wet : joins whose glue is seen meanwhile.
    weight : its share of the time of the step, beside the others.
    """

    kind: MoveKind
    openings: tuple[float, float]
    tracks: tuple[CourseTrack, ...]
    glued: tuple[frozenset[int], frozenset[int]]
    wet: tuple[int, ...] = ()
    weight: float = 1.0

    def opening(self, share: float) -> float:
        """Of the notebook after a share of the time, radians."""
        first, last = self.openings
        return first + (last - first) * float(eased(np.array(share)))

    @property
    def sheets(self) -> frozenset[int]:
        """All that are there."""
        return frozenset().union(*(track.sheets for track in self.tracks))


@dataclass(frozen=True, eq=False)
class WorkTable:
    """The notebook on its table, and how paper is placed on both.

    Parameters
    ----------
    figures : of the spread that is built.
    lying : which half of the notebook lies on the table.
    """

    figures: Figures
    book: Book
    lying: Lying = "both"

    @property
    def top(self) -> float:
        """Height of the table, mm."""
        return -self.book.depth

    def seated(
        self,
        track: CourseTrack,
        form: Form,
        seat: Seat,
        opening: float,
        glued: frozenset[int],
    ) -> Pose:
        """Where the parts of a track are, as they rest or ride; other rows mean nothing.

        The opening of the notebook is in radians, places are in mm.
        """
        # What rests lies as it does however far the notebook is open.
        return self._seated(
            track.sheets, form, seat, opening if isinstance(seat, Ride) else 0.0, glued
        )

    @lru_cache(maxsize=512)  # noqa: B019, a course has one table and ends with it
    def _seated(
        self,
        sheets: frozenset[int],
        form: Form,
        seat: Seat,
        opening: float,
        glued: frozenset[int],
    ) -> Pose:
        if isinstance(seat, Ride):
            return self._riding(sheets, form, seat, opening, glued)
        pose = self.figures.formed(form, sheets, glued)
        if isinstance(seat, HeldSeat):
            return Pose(seat.turn @ pose.rotation, pose.translation @ seat.turn.T + seat.shift)
        return self.rested(sheets, pose, seat)

    def rested(self, sheets: frozenset[int], pose: Pose, seat: OnTable) -> Pose:
        """Parts as they are, set down on the table."""
        turned = Pose(seat.turn @ pose.rotation, pose.translation @ seat.turn.T)
        corners = points(self.figures, self.figures.parts_of(sheets), turned)
        low, high = corners.min(axis=0), corners.max(axis=0)
        middle = (low + high) / 2
        floor = self.top + RESTING_MM + seat.rise
        shift = np.array([*seat.centre, floor]) - [middle[0], middle[1], low[2]]
        return Pose(turned.rotation, turned.translation + shift)

    def _riding(
        self,
        sheets: frozenset[int],
        form: Form,
        seat: Ride,
        opening: float,
        glued: frozenset[int],
    ) -> Pose:
        """In the notebook; it is squeezed where the notebook is nearer to shut than its form."""
        rest = AtRest.of(self.book, opening, self.lying)
        own = replace(form, opening=min(form.opening, opening))
        pose = self.figures.formed(own, sheets, glued)
        if own.opening == opening:
            return Pose(*rest.poses(pose.rotation, pose.translation))
        part = int(np.flatnonzero(self.figures.body == seat.body)[0])
        here, there = self.figures.solved(opening), self.figures.solved(own.opening)
        turn = here.rotation[part] @ there.rotation[part].T
        shift = here.translation[part] - turn @ there.translation[part]
        return Pose(*rest.poses(turn @ pose.rotation, pose.translation @ turn.T + shift))

    def pose(self, move: CourseMove, share: float) -> tuple[Pose, np.ndarray, float]:
        """All parts after a share of the time of a move.

        Returns
        -------
        Their poses (hidden ones far away), which of them are there, shape (P,), and how far the
        notebook is open, radians.
        """
        opening = move.opening(share)
        count = len(self.figures.parts)
        rotation = np.tile(np.eye(3), (count, 1, 1))
        translation = np.full((count, 3), _AWAY_MM)
        there = np.zeros(count, bool)
        for track in move.tracks:
            parts = self.figures.parts_of(track.sheets)
            pose = self.tracked(move, track, share, opening)
            rotation[parts], translation[parts] = pose.rotation[parts], pose.translation[parts]
            there[parts] = True
        return Pose(rotation, translation), there, opening

    def tracked(self, move: CourseMove, track: CourseTrack, share: float, opening: float) -> Pose:
        """Where the parts of a track are after a share of the time of its move."""
        first, last = track.window
        inner = float(np.clip((share - first) / (last - first), 0.0, 1.0))
        done = float(eased(np.array(inner)))
        glued = move.glued[0]
        if track.way is not None:
            return self._carried(track, done, move.openings, glued)
        if track.handled:
            return self._handled(track, inner, glued)
        form = track.forms[0].between(track.forms[1], done)
        return self.seated(track, form, track.seats[1], opening, glued)

    def _handled(self, track: CourseTrack, inner: float, glued: frozenset[int]) -> Pose:
        """In two hands over the table, from one rest to another; first up and last down again."""
        rises = 0.0
        if track.over:
            rises = track.over * float(eased(np.clip(min(inner, 1 - inner) / _UPWARDS, 0.0, 1.0)))
            inner = float(np.clip((inner - _UPWARDS) / (1 - 2 * _UPWARDS), 0.0, 1.0))
        done = float(eased(np.array(inner)))
        form = track.forms[0].between(track.forms[1], done)
        grip = self._grip(track, glued)
        pose = self._gripped(grip, form, track, done, inner, grip.lift, glued)
        return Pose(pose.rotation, pose.translation + np.array([0.0, 0.0, rises]))

    def _gripped(
        self,
        grip: TableGrip,
        form: Form,
        track: CourseTrack,
        done: float,
        inner: float,
        lift: float,
        glued: frozenset[int],
    ) -> Pose:
        pose = self.figures.formed(form, track.sheets, glued)
        turn = grip.turn @ rotation_of(grip.whole * done)
        spot = pose.rotation[grip.part][:, :2] @ grip.point + pose.translation[grip.part]
        place = grip.places[0] + (grip.places[1] - grip.places[0]) * done
        place[2] += lift * 4 * inner * (1 - inner)
        return Pose(turn @ pose.rotation, (pose.translation - spot) @ turn.T + place)

    @lru_cache(maxsize=256)  # noqa: B019, a course has one table and ends with it
    def _grip(self, track: CourseTrack, glued: frozenset[int]) -> TableGrip:
        """How paper is turned and lifted: just so far that it never dips into the table."""
        before, after = track.seats
        assert isinstance(before, OnTable)
        assert isinstance(after, OnTable)
        parts = self.figures.parts_of(track.sheets)
        part = max(parts.tolist(), key=lambda k: self.figures.parts[k].facet.polygon.area)
        point = self.figures.corners[part].mean(axis=0)
        places = []
        for form, seat in zip(track.forms, (before, after), strict=True):
            pose = self.rested(track.sheets, self.figures.formed(form, track.sheets, glued), seat)
            places.append(pose.rotation[part][:, :2] @ point + pose.translation[part])
        whole = vector_of(before.turn.T @ after.turn)
        grip = TableGrip(part, point, before.turn, whole, (places[0], places[1]), 0.0)
        lift = 0.0
        for inner in _GRIPPED:
            done = float(eased(np.array(inner)))
            form = track.forms[0].between(track.forms[1], done)
            pose = self._gripped(grip, form, track, done, float(inner), 0.0, glued)
            low = float(points(self.figures, parts, pose)[:, 2].min())
            lift = max(lift, (self.top + RESTING_MM - low) / (4 * inner * (1 - inner)))
        return replace(grip, lift=lift and _MORE * lift + RESTING_MM)

    @lru_cache(maxsize=256)  # noqa: B019
    def _haul(
        self, track: CourseTrack, openings: tuple[float, float], glued: frozenset[int]
    ) -> Haul:
        assert track.way is not None
        start, end = (
            self.seated(track, form, seat, opening, glued)
            for form, seat, opening in zip(track.forms, track.seats, openings, strict=True)
        )
        parts = self.figures.parts_of(track.sheets)
        a = points(self.figures, parts, start).mean(axis=0)
        b = points(self.figures, parts, end).mean(axis=0)
        first = int(parts[0])
        whole = vector_of(start.rotation[first].T @ end.rotation[first])
        own = Pose(start.rotation[parts], start.translation[parts] - a)
        return Haul(parts, own, start.rotation[first], whole, Curve.of(track.way, a, b))

    @lru_cache(maxsize=256)  # noqa: B019
    def _carried(
        self,
        track: CourseTrack,
        done: float,
        openings: tuple[float, float],
        glued: frozenset[int],
    ) -> Pose:
        """On the way from one seat to the other; paper does not change its form meanwhile."""
        haul = self._haul(track, openings, glued)
        span = _TURNED[1] * haul.curve.split
        share = float(eased(np.clip((done - _TURNED[0]) / (span - _TURNED[0]), 0.0, 1.0)))
        turn = haul.frame @ rotation_of(haul.whole * share) @ haul.frame.T
        count = len(self.figures.parts)
        rotation, translation = np.zeros((count, 3, 3)), np.zeros((count, 3))
        rotation[haul.parts] = turn @ haul.start.rotation
        translation[haul.parts] = haul.start.translation @ turn.T + haul.curve.at(done)
        return Pose(rotation, translation)

    def sunk(self, move: CourseMove, share: float) -> np.ndarray:
        """How far each part is drawn off the place that it has among glued layers, shape (P,), mm.

        Heights of layers count from what they are glued to in the end; what is not glued yet lies
        in the plane of its own sheet.
        """
        before, after = (_drops(self.figures, glued) for glued in move.glued)
        done = float(np.clip((share - _SUNK) / (1 - _SUNK), 0.0, 1.0))
        return before + (after - before) * done


# Hidden paper is so far away that nothing meets it, mm.
_AWAY_MM = 1e5


def _drops(figures: Figures, glued: frozenset[int]) -> np.ndarray:
    """The height of the facet at the root of each stack that is glued so far, shape (P,), mm."""
    on = {figures.joins[j][0]: figures.joins[j][1] for j in sorted(glued, reverse=True)}
    drops = np.zeros(len(figures.parts))
    driven = {figures.index[d.join.facet] for d in figures.linkage.drives}
    for k in range(len(drops)):
        root, seen = k, {k}
        while root in on and on[root] not in seen:
            root = on[root]
            seen.add(root)
        drops[k] = 0.0 if root in driven else figures.parts[root].height
    return drops


# Points of a curve by which its length is measured. Our choice.
_MEASURED = 33


@dataclass(frozen=True, eq=False)
class Curve:
    """The way of the middle of carried paper.

    A cubic Bézier curve (P. Bézier, Numerical Control, 1972) leads up and over to where the
    straight line to the place begins, in whose direction it ends.

    Parameters
    ----------
    control : of the curve, shape (4, 3), mm.
    end : of the way, shape (3,), mm.
    lengths : along the curve at even parameters, shape (n,), mm.
    split : after which share of the whole way the straight line begins.
    """

    control: np.ndarray
    end: np.ndarray
    lengths: np.ndarray
    split: float

    @staticmethod
    def of(way: Way, start: np.ndarray, end: np.ndarray) -> Curve:
        """The curve of a way between two points, mm."""
        elbow = end + way.side * way.reach
        up = np.array([0.0, 0.0, way.height])
        over = elbow + way.side * 0.5 * way.reach
        over[2] += max(0.0, way.height - elbow[2]) / 2
        control = np.array([start, start + up, over, elbow])
        curve = _weights(np.linspace(0.0, 1.0, _MEASURED)) @ control
        steps = np.linalg.norm(np.diff(curve, axis=0), axis=1)
        lengths = np.concatenate([[0.0], np.cumsum(steps)])
        split = float(lengths[-1] / max(lengths[-1] + way.reach, 1e-9))
        return Curve(control, end, lengths, split)

    def at(self, done: float) -> np.ndarray:
        """The place after a share of the whole way, shape (3,), mm."""
        if done >= self.split:
            left = (1.0 - done) / max(1.0 - self.split, 1e-9)
            return np.asarray(self.end + (self.control[3] - self.end) * left)
        share = done / self.split * self.lengths[-1]
        t = np.interp(share, self.lengths, np.linspace(0.0, 1.0, _MEASURED))
        return np.asarray(_weights(np.array([t]))[0] @ self.control)


def _weights(t: np.ndarray) -> np.ndarray:
    t = t[:, None]
    return np.hstack([(1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3])


# The part of a move that it takes to lift paper over what stands on the table, and again to set it
# down. Our choice.
_UPWARDS = 0.25
# Shares of a move at which it is looked at how far paper must be lifted. Our choice.
_GRIPPED = np.linspace(0.05, 0.95, 19)
# Between these looks it may need a little more. Our choice.
_MORE = 1.1


@dataclass(frozen=True, eq=False)
class TableGrip:
    """How paper is held over the table while it is folded or turned.

    Parameters
    ----------
    part, point : the part that is held, and where, in the coordinates of its body, mm.
    turn, whole : of the paper before, shape (3, 3), and how it is turned, a rotation vector.
    places : of the point before and after, shape (3,) each, mm.
    lift : how much higher it is held half way, mm.
    """

    part: int
    point: np.ndarray
    turn: np.ndarray
    whole: np.ndarray
    places: tuple[np.ndarray, np.ndarray]
    lift: float


@dataclass(frozen=True, eq=False)
class Haul:
    """What carrying a group of paper takes: its pose before, and how it is turned and moved.

    Parameters
    ----------
    parts : numbers of its parts, shape (n,).
    start : how they lie before, seen from the middle of the paper.
    frame, whole : rotation of one part, and the whole turn in it as a rotation vector, radians.
    """

    parts: np.ndarray
    start: Pose
    frame: np.ndarray
    whole: np.ndarray
    curve: Curve


def windows(count: int, overlap: float = 0.7) -> list[tuple[float, float]]:
    """Parts of a move in which things do the same one after the other.

    Parameters
    ----------
    overlap : how much of the time of one is shared with the next, 0 to 1.
    """
    if count == 1:
        return [(0.0, 1.0)]
    length = 1.0 / (1 + (count - 1) * (1 - overlap))
    starts = np.arange(count) * length * (1 - overlap)
    return [(float(a), min(1.0, float(a + length))) for a in starts]
