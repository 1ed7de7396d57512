"""The course with the notebook lying as in films; whoever shows one asks here first.

Planning takes longest of all that foldstage does, and a film, a pack and the page show the same
course: it is kept beside the motions in the user's cache, under a digest of all that decides it,
the program included, so that who asks second has it at once.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from contextlib import AbstractContextManager, nullcontext, suppress
from typing import Any

import numpy as np

from meshes import cache
from meshes.building import Step
from meshes.check.case import STAGES
from meshes.motion.asked import asked
from meshes.program import made_by
from meshes.spread import Spread
from preview.drawing.lying import LyingWish
from preview.drawing.scene import book_of
from preview.guide.words import told
from preview.shot.asked import lying_for

from .course import BuildingCourse, CourseStep, course_of
from .figures import Bend, Figures, Form
from .moves import CourseMove, CourseTrack, HeldSeat, OnTable, Ride, Seat, Way, WorkTable
from .proof import Meeting

Planning = Callable[[], AbstractContextManager[Callable[[], None]]]


def course_on_table(
    spread: Spread,
    steps: Sequence[Step],
    wish: LyingWish | None = None,
    last: int | None = None,
    planning: Planning = lambda: nullcontext(lambda: None),
) -> BuildingCourse:
    """The course of some proved steps with the notebook lying as in films; the page plays the same.

    Where the thicker half lies and a step then finds no way on which paper meets nothing, both
    halves are tilted instead if fewer steps fail so.

    Parameters
    ----------
    wish : how it lies; None for what the design says, else with the thicker half on the table.
    last : number of the step to end with, from 1.
    planning : entered for each time that a course is planned; gives what is called after each step.
    """
    lying = wish or lying_for(None, spread.design.shots, "thicker")
    if last is not None and last < len(steps):
        return _planned(spread, steps, lying, last, planning)
    kept = _KeptCourse(spread, steps, lying)
    found = kept.get()
    if found is None:
        found = _planned(spread, steps, lying, None, planning)
        kept.put(found)
    return found


def _planned(
    spread: Spread,
    steps: Sequence[Step],
    lying: LyingWish,
    last: int | None,
    planning: Planning,
) -> BuildingCourse:
    with planning() as advance:
        first = course_of(spread, steps, advance, last, lying)
    if lying != "thicker" or not _bent(first):
        return first
    with planning() as advance:
        tilted = course_of(spread, steps, advance, last, "both", _bent(first) - 1)
    return tilted if _bent(tilted) < _bent(first) else first


def _bent(course: BuildingCourse) -> int:
    """In how many steps paper has to be bent."""
    return sum(bool(step.met) for step in course.steps)


class _KeptCourse:
    """The place of a course on the shelf of its spread, if that has one."""

    def __init__(self, spread: Spread, steps: Sequence[Step], wish: LyingWish) -> None:
        self._spread, self._steps, self._name = spread, steps, ""
        if spread.shelf is None:
            return
        sheets = [
            (
                sheet.piece,
                sheet.name,
                sheet.paper.caliper,
                [(facet.name, facet.polygon) for facet in sheet.facets],
                sheet.crossings,
            )
            for sheet in spread.sheets
        ]
        self._name = cache.fingerprint(
            "course",
            made_by(),
            asked(spread.linkage, STAGES),
            sheets,
            spread.joins,
            tuple(steps),
            book_of(spread),
            wish,
        )

    def get(self) -> BuildingCourse | None:
        shelf = self._spread.shelf
        entry = shelf.get(self._name) if shelf else None
        return None if entry is None else self._read(cache.unpack(entry)[1])

    def put(self, course: BuildingCourse) -> None:
        if self._spread.shelf is None:
            return
        # A full or read-only disk costs the next command some time, and this one nothing.
        with suppress(OSError):
            self._spread.shelf.put(self._name, cache.pack({}, _written(course)))

    def _read(self, about: Any) -> BuildingCourse:
        """A course from what was written: JSON gives every number back to the last bit."""
        spread, steps = self._spread, self._steps
        table = WorkTable(Figures.of(spread), book_of(spread), about["lying"])
        texts = told(steps, spread.sheets, spread.joins)
        rows = zip(steps, texts, _moves(about), about["steps"], strict=True)
        return BuildingCourse(
            table,
            tuple(
                CourseStep(
                    number,
                    step,
                    words,
                    moves,
                    tuple(Meeting(*one) for one in row["met"]),
                    row["under"],
                )
                for number, (step, words, moves, row) in enumerate(rows, 1)
            ),
        )


class _Pool:
    """Values that many tracks share, each told once; tracks name them by number.

    Which paper stays is told by whether it has the same seat before and after, not an equal one.
    """

    def __init__(self, tell: Callable[[Any], Any], same: Callable[[Any], Hashable]) -> None:
        self._tell, self._same = tell, same
        self._numbers: dict[Hashable, int] = {}
        self._held: list[Any] = []  # so that no other thing gets the same id
        self.rows: list[Any] = []

    def number(self, thing: Any) -> int:
        """Of a value."""
        key = self._same(thing)
        if key not in self._numbers:
            self._numbers[key] = len(self.rows)
            self.rows.append(self._tell(thing))
            self._held.append(thing)
        return self._numbers[key]


def _written(course: BuildingCourse) -> Any:
    """A course as JSON: what all tracks name, and the steps."""
    sheets = _Pool(sorted, lambda own: own)
    forms = _Pool(_form_row, lambda form: form)
    seats = _Pool(_seat_row, lambda seat: seat if isinstance(seat, Ride) else id(seat))

    def track_row(track: CourseTrack) -> Any:
        return [
            sheets.number(track.sheets),
            [forms.number(form) for form in track.forms],
            [seats.number(seat) for seat in track.seats],
            track.way and [track.way.side.tolist(), track.way.reach, track.way.height],
            track.window,
            track.over,
        ]

    def move_row(move: CourseMove) -> Any:
        return [
            move.kind,
            move.openings,
            [track_row(track) for track in move.tracks],
            [sorted(glued) for glued in move.glued],
            move.wet,
            move.weight,
        ]

    steps = [
        {
            "moves": [move_row(move) for move in step.moves],
            "met": [[one.first, one.second, one.push, one.share] for one in step.met],
            "under": step.under,
        }
        for step in course.steps
    ]
    pools = {"sheets": sheets.rows, "forms": forms.rows, "seats": seats.rows}
    return {"lying": course.table.lying, **pools, "steps": steps}


def _form_row(form: Form) -> Any:
    return [form.opening, [[bend.fold, bend.share, bend.more] for bend in form.bends]]


def _seat_row(seat: Seat) -> Any:
    if isinstance(seat, Ride):
        return ["ride", seat.body]
    if isinstance(seat, HeldSeat):
        return ["held", seat.turn.tolist(), seat.shift.tolist()]
    return ["table", seat.turn.tolist(), seat.centre, seat.rise]


def _moves(about: Any) -> list[tuple[CourseMove, ...]]:
    """The moves of each step."""
    sheets = [frozenset(own) for own in about["sheets"]]
    forms = [Form(at, tuple(Bend(*bend) for bend in bends)) for at, bends in about["forms"]]
    seats = [_seat(*row) for row in about["seats"]]

    def track(own: int, shapes: Any, places: Any, way: Any, window: Any, over: Any) -> CourseTrack:
        return CourseTrack(
            sheets[own],
            (forms[shapes[0]], forms[shapes[1]]),
            (seats[places[0]], seats[places[1]]),
            way and Way(np.array(way[0]), *way[1:]),
            tuple(window),
            over,
        )

    def move(
        kind: Any, openings: Any, tracks: Any, glued: Any, wet: Any, weight: Any
    ) -> CourseMove:
        before, after = map(frozenset, glued)
        told = tuple(track(*one) for one in tracks)
        return CourseMove(kind, tuple(openings), told, (before, after), tuple(wet), weight)

    return [tuple(move(*one) for one in row["moves"]) for row in about["steps"]]


def _seat(kind: str, *row: Any) -> Seat:
    if kind == "ride":
        return Ride(*row)
    if kind == "held":
        return HeldSeat(*map(np.array, row))
    turn, centre, rise = row
    return OnTable(np.array(turn), tuple(centre), rise)
