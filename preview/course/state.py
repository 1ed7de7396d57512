"""What lies where between two moves, and the move from one such state to the next."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from .figures import Form
from .moves import CourseMove, CourseTrack, MoveKind, Ride, Seat

# A form that is always as the notebook is open.
WITH_NOTEBOOK = Form(float(np.pi))


@dataclass(frozen=True, eq=False)
class PaperGroup:
    """Paper that hangs together: its form, and where it is."""

    sheets: frozenset[int]
    form: Form
    seat: Seat

    @property
    def in_notebook(self) -> bool:
        """Whether it lies on a page or on what stands there."""
        return isinstance(self.seat, Ride)


@dataclass(frozen=True, eq=False)
class CourseState:
    """All paper that is there.

    Parameters
    ----------
    opening : of the notebook, radians.
    groups : the first holds the pages, and all that moves with them as solved.
    glued : numbers of the joins that hold.
    """

    opening: float
    groups: tuple[PaperGroup, ...]
    glued: frozenset[int]

    @staticmethod
    def empty() -> CourseState:
        """The notebook, open."""
        pages = PaperGroup(frozenset([0]), WITH_NOTEBOOK, Ride(0))
        return CourseState(float(np.pi), (pages,), frozenset())

    def group(self, sheet: int) -> PaperGroup:
        """The group of a sheet; KeyError if the sheet is not there yet."""
        for group in self.groups:
            if sheet in group.sheets:
                return group
        raise KeyError(sheet)

    def move(
        self,
        kind: MoveKind,
        tracks: Sequence[CourseTrack] = (),
        opening: float | None = None,
        glue: Iterable[int] = (),
        wet: Iterable[int] = (),
        weight: float = 1.0,
    ) -> CourseMove:
        """A move in which some groups do something and all others stay.

        Parameters
        ----------
        tracks : of these groups, or of paper that comes.
        opening : of the notebook afterwards, radians; else as it is.
        glue : joins that hold afterwards.
        """
        busy = frozenset().union(*(track.sheets for track in tracks))
        rest = [
            CourseTrack.still(group.sheets, group.form, group.seat)
            for group in self.groups
            if not group.sheets & busy
        ]
        return CourseMove(
            kind,
            (self.opening, self.opening if opening is None else opening),
            (*rest, *tracks),
            (self.glued, self.glued | frozenset(glue)),
            tuple(wet),
            weight,
        )

    def after(self, move: CourseMove) -> CourseState:
        """The state after a move."""
        groups = [PaperGroup(t.sheets, t.forms[1], t.seats[1]) for t in move.tracks]
        pages_first = sorted(groups, key=lambda group: 0 not in group.sheets)
        return CourseState(move.openings[1], tuple(pages_first), move.glued[1])

    def joined(self, groups: Iterable[PaperGroup], form: Form, seat: Seat) -> CourseState:
        """The state in which some groups have become one."""
        mine = list(groups)
        sheets = frozenset().union(*(group.sheets for group in mine))
        rest = [group for group in self.groups if not group.sheets & sheets]
        one = PaperGroup(sheets, form, seat)
        pages_first = sorted([*rest, one], key=lambda group: 0 not in group.sheets)
        return replace(self, groups=tuple(pages_first))
