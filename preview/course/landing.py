"""Where paper comes to lie that is glued to other paper."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from meshes.building import Step
from meshes.check.poses import Pose

from .bench import LOOSE, CourseBench
from .figures import points
from .moves import RESTING_MM, CourseTrack, OnTable, Ride, Seat
from .state import CourseState, PaperGroup

# Flat paper is at most so many times as wide as half open. Our choice.
_WIDER = 1.5


def size_of(bench: CourseBench, sheets: Sequence[int] | frozenset[int]) -> float:
    """The largest extent of some sheets as they hang together, mm."""
    corners = points(bench.figures, bench.figures.parts_of(sheets), bench.figures.solved(LOOSE))
    return float(np.ptp(corners, axis=0).max())


def glued_pose(
    bench: CourseBench,
    state: CourseState,
    host: PaperGroup,
    sheets: Sequence[int],
    glue: Sequence[int],
) -> Pose:
    """All parts of a host as it lies, and of what will be glued to it."""
    whole_group = frozenset([*host.sheets, *sheets])
    track = CourseTrack.still(whole_group, host.form, host.seat)
    glued = state.glued | frozenset(glue)
    if isinstance(host.seat, Ride):
        return bench.table.seated(track, host.form, host.seat, state.opening, glued)
    # The host stays where it is, however far what comes to it stands out.
    alone = CourseTrack.still(host.sheets, host.form, host.seat)
    there = bench.table.seated(alone, host.form, host.seat, state.opening, state.glued)
    free = bench.figures.formed(host.form, host.sheets, state.glued)
    part = int(bench.figures.parts_of(host.sheets)[0])
    turn = there.rotation[part] @ free.rotation[part].T
    shift = there.translation[part] - turn @ free.translation[part]
    pose = bench.figures.formed(host.form, whole_group, glued)
    return Pose(turn @ pose.rotation, pose.translation @ turn.T + shift)


def from_beside(
    bench: CourseBench, state: CourseState, size: float, step: Step
) -> tuple[np.ndarray, float] | None:
    """From where paper comes that is slipped in under a flyleaf, and how far straight, mm.

    It comes from beside the notebook: from above it would go through the leaf, and as both lie flat
    nobody would see that at its end. None if there is no leaf over its place.

    Parameters
    ----------
    size : of the paper half open, mm.
    """
    cover = bench.covered(step)
    if cover is None:
        return None
    k = bench.figures.index[cover.page]
    track = CourseTrack.still(state.groups[0].sheets, state.groups[0].form, Ride(0))
    pages = bench.table.seated(track, track.forms[0], Ride(0), state.opening, state.glued)
    return pages.rotation[k][:, 0] * (1 if k else -1), bench.table.book.width + _WIDER * size


def still_seat(bench: CourseBench, host: PaperGroup, mine: PaperGroup) -> Seat:
    """The seat in which a host and what has come to it stay as they are."""
    if isinstance(host.seat, Ride):
        return host.seat
    assert isinstance(host.seat, OnTable)
    pose = glued_pose(bench, bench.state, host, sorted(mine.sheets), ())
    parts = bench.figures.parts_of(host.sheets | mine.sheets)
    corners = points(bench.figures, parts, pose)
    low, high = corners.min(axis=0), corners.max(axis=0)
    x, y = ((low + high) / 2)[:2]
    rise = float(low[2]) - bench.table.top - RESTING_MM
    return OnTable(host.seat.turn, (float(x), float(y)), rise)
