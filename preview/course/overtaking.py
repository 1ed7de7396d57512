"""Whether pieces that are carried at the same time get through each other on the way.

They lie flat in the air and are quick: two may come to lie over each other, and change their order,
between two poses at which the check of the whole move looks.
"""

from __future__ import annotations

from itertools import combinations

import numpy as np

from .figures import points
from .moves import CourseMove, CourseTrack, WorkTable

# Between two looks a piece goes about so far, mm; at most so many looks. Our choice.
_APART_MM, _MOST = 5.0, 400


def overtaking(
    table: WorkTable, move: CourseMove, within: tuple[float, float] = (0.0, 1.0)
) -> list[tuple[str, str, float, float]]:
    """Pairs of carried pieces of which the upper becomes the lower while they overlap.

    Only the boxes round them are looked at: some that just miss each other may be told too.

    Returns
    -------
    For each pair the ids of a facet of each, the side of a square as large as what they share, mm,
    and after which share of the move.
    """
    carried = [track for track in move.tracks if track.way is not None]
    if len(carried) < 2:
        return []
    looks = np.linspace(*within, _looks(table, move, carried))
    boxes = [_boxes(table, move, track, looks) for track in carried]
    found = []
    for (one, box), (two, other) in combinations(zip(carried, boxes, strict=True), 2):
        if max(one.window[0], two.window[0]) >= min(one.window[1], two.window[1]) - 1e-9:
            continue  # one rests while the other is in the air: the check of the move sees that
        low, high = np.maximum(box[0], other[0]), np.minimum(box[1], other[1])
        over = (low[:, :2] < high[:, :2]).all(axis=1)
        order = (box[0][:, 2] > other[1][:, 2]).astype(int) - (box[1][:, 2] < other[0][:, 2])
        at = _changed(order, over)
        if at is not None:
            ids = _name(table, one), _name(table, two)
            shared = float(np.prod(np.maximum(high[at, :2] - low[at, :2], 0.0)))
            found.append((*ids, float(np.sqrt(shared)), float(looks[at])))
    return found


def _name(table: WorkTable, track: CourseTrack) -> str:
    return table.figures.parts[table.figures.parts_of(track.sheets)[0]].id


def _changed(order: np.ndarray, over: np.ndarray) -> int | None:
    """The look at which an order is another than when it was last clear, both overlapping since."""
    last, together = 0, False
    for k, here in enumerate(order.tolist()):
        together = together or bool(over[k])
        if here and here == -last and together:
            return k
        if here:
            last, together = here, bool(over[k])
    return None


def _looks(table: WorkTable, move: CourseMove, carried: list[CourseTrack]) -> int:
    """How many looks it takes so that none goes far between two of them."""
    most = 0.0
    for track in carried:
        assert track.way is not None
        first, last = (
            table.seated(track, form, seat, opening, move.glued[0]).translation
            for form, seat, opening in zip(track.forms, track.seats, move.openings, strict=True)
        )
        part = table.figures.parts_of(track.sheets)[0]
        gone = float(np.linalg.norm(last[part] - first[part])) + track.way.reach + track.way.height
        most = max(most, gone / (track.window[1] - track.window[0]))
    return int(np.clip(most / _APART_MM, 33, _MOST))


def _boxes(
    table: WorkTable, move: CourseMove, track: CourseTrack, looks: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Low and high corner of the box round a track's paper at each look, shape (n, 3) each, mm."""
    parts = table.figures.parts_of(track.sheets)
    low, high = np.empty((len(looks), 3)), np.empty((len(looks), 3))
    first, last = track.window
    before = None
    for k, share in enumerate(looks.tolist()):
        inner = min(max(share, first), last)
        if inner != before:
            pose = table.tracked(move, track, inner, move.opening(share))
            corners = points(table.figures, parts, pose)
            low[k], high[k] = corners.min(axis=0), corners.max(axis=0)
            before = inner
        else:
            low[k], high[k] = low[k - 1], high[k - 1]
    return low, high
