"""Ways to carry paper to its place, tried one after the other until one meets nothing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from .figures import points
from .moves import CourseMove, WorkTable
from .proof import Meeting, meetings

# How far from its place paper comes straight to it, as a share of its size, and within these; how
# much higher than everything it is lifted; mm. Our choice.
_REACH, _REACH_MM, _OVER_MM = 0.8, (30.0, 110.0), 25.0
# A cubic curve goes about so far towards the height of its second point. Our choice.
_OF_HEIGHT = 0.7
# Looks at the straight part, before the whole way is looked at. Our choice.
_QUICK = 7
_UP = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True, eq=False)
class Judged:
    """Moves that were tried, and what they meet: nothing, if they are free."""

    moves: tuple[CourseMove, ...]
    met: tuple[Meeting, ...]

    @property
    def push(self) -> float:
        """Of the deepest meeting, mm; 0 if there is none."""
        return max((one.push for one in self.met), default=0.0)


def sides(normal: np.ndarray, turn: np.ndarray) -> Iterator[np.ndarray]:
    """Sides from which paper may come, unit vectors: first those from which it is easiest seen.

    Parameters
    ----------
    normal : where the place looks that it is glued to, shape (3,).
    turn : of the notebook, if one half of it lies, shape (3, 3). The sides that there would be if
        both halves were tilted are turned with it and come last.
    """
    found: list[np.ndarray] = []
    for side in (*_all_sides(normal), *(turn @ one for one in _all_sides(turn.T @ normal))):
        if not any(side @ other > _ALIKE for other in found):
            found.append(side)
    yield from found


# Sides that differ by less than this (cosine) are one. Our choice.
_ALIKE = 0.97


def _all_sides(normal: np.ndarray) -> Iterator[np.ndarray]:
    level = [np.array(v, float) for v in ((0, -1, 0), (1, 0, 0), (-1, 0, 0), (0, 1, 0))]
    yield normal
    if normal @ _UP > -0.5:
        yield _unit(normal + _UP)
        yield _UP
    for flat in level:
        if normal @ flat > -0.5:
            yield _unit(normal + flat)
    for flat in level:
        yield _unit(_UP + flat)
    for flat in level:
        yield _unit(_UP + 2 * flat)
    yield from level


def _unit(vector: np.ndarray) -> np.ndarray:
    found: np.ndarray = vector / max(float(np.linalg.norm(vector)), 1e-9)
    return found


def heights(table: WorkTable, move: CourseMove, size: float) -> tuple[float, float]:
    """How high paper of a size is lifted: a little, or clear of all that stands, mm."""
    pose, there, _ = table.pose(move, 0.0)
    tops = points(table.figures, np.flatnonzero(there), pose)[:, 2] - table.top
    top = float(tops.max())
    return 0.5 * top + _OVER_MM, (top + size / 2 + 2 * _OVER_MM) / _OF_HEIGHT


def reach(size: float) -> float:
    """How long the straight end of a way is for paper of a size, mm."""
    return float(np.clip(_REACH * size, *_REACH_MM))


def straight(table: WorkTable, move: CourseMove) -> Judged:
    """What a carrying move meets on the last, straight part of its way."""
    met = meetings(table, move, (0.7, 1.0), _QUICK, among=False, quick=True)
    return Judged((move,), tuple(met))


def roughly(table: WorkTable, moves: Sequence[CourseMove]) -> Judged:
    """What the paper of some moves meets beside itself, as far as a quick look tells."""
    met = [one for move in moves for one in meetings(table, move, among=False, quick=True)]
    return Judged(tuple(moves), tuple(met))


def lands(table: WorkTable, move: CourseMove) -> Judged:
    """What a carrying move meets at its very end."""
    return Judged((move,), tuple(meetings(table, move, (0.999, 1.0), 2, among=False, quick=True)))


def whole(table: WorkTable, moves: Sequence[CourseMove]) -> Judged:
    """What some moves meet."""
    met = [one for move in moves for one in meetings(table, move, among=_bends(move))]
    return Judged(tuple(moves), tuple(met))


def held_up(table: WorkTable, moves: Sequence[CourseMove]) -> tuple[CourseMove, ...]:
    """The same moves; what is folded or turned on the table is held over all that stands there."""
    found = []
    for move in moves:
        over = heights(table, move, 0.0)[1]
        tracks = [replace(track, over=over) if track.handled else track for track in move.tracks]
        found.append(replace(move, tracks=tuple(tracks)))
    return tuple(found)


def gentlest(tries: Iterable[Judged]) -> Judged:
    """The first of several tries that meets nothing, else the first that meets least deep."""
    found: Judged | None = None
    for judged in tries:
        if not judged.met:
            return judged
        if found is None or judged.push < found.push:
            found = judged
    assert found is not None
    return found


def _bends(move: CourseMove) -> bool:
    """Whether paper changes its form, so that it could meet itself, or several papers move."""
    busy = [track for track in move.tracks if not track.stays]
    return len(busy) > 1 or any(track.forms[0] != track.forms[1] for track in busy)
