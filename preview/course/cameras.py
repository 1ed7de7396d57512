"""The camera of a course: it keeps what moves in its picture, and never jumps."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from preview.pattern.glue import GlueArea, letter
from preview.shot.camera import Camera, frame, from_angles

from .course import BuildingCourse
from .figures import points
from .moves import CourseMove, WorkTable
from .timeline import Moment, Timeline

# Where the camera stands: of these places round the table the one that sees most of the glue, and
# how high; degrees. Our choice.
_AROUND_DEG, _ABOVE_DEG = (-80.0, -104.0, -56.0), (36.0, 44.0)
# Room about what moves, as a share of the picture and in mm, and the least that is shown, mm.
# Our choice.
_MARGINS, _ROOM_MM, _LEAST_MM = (0.07, 0.07), 14.0, 120.0
# So long the camera takes to follow (one standard deviation of its smoothing), and so much later
# than what it follows, so that a step is seen to its end; seconds. Our choice.
_FOLLOWS_S, _LATE_S = 0.5, 0.35
# When a move is looked at for what is to be in the picture. Our choice.
_LOOKS = (0.0, 0.25, 0.5, 0.75, 1.0)
# Paper that is brought comes from outside the picture, and so does what is carried from farther off
# than so many widths of a page. Our choice.
_BROUGHT, _FAR = (0.9, 1.0), 3.0


def cameras(course: BuildingCourse, line: Timeline, aspect: float) -> tuple[Camera, ...]:
    """A camera for each moment of a timeline.

    Parameters
    ----------
    aspect : width over height of the picture.
    """
    from scipy.ndimage import gaussian_filter1d

    from .scene import areas_of

    areas = areas_of(course.table)
    keys: dict[tuple[int, int], np.ndarray] = {}
    for moment in line.moments:
        where = moment.step, moment.move
        if where not in keys:
            keys[where] = _key(course, _watched(course, moment), areas, aspect)
    rows = np.array([keys[m.step, m.move] for m in line.moments])
    late = min(round(_LATE_S * line.fps), len(rows) - 1)
    rows = np.concatenate([np.repeat(rows[:1], late, axis=0), rows[: len(rows) - late]])
    width = max(_FOLLOWS_S * line.fps, 1e-6)
    smooth = gaussian_filter1d(rows, width, axis=0, mode="nearest", truncate=4.0)
    return tuple(_camera(row) for row in smooth)


def _camera(row: np.ndarray) -> Camera:
    x, y, z, azimuth, elevation, far = (float(value) for value in row)
    return from_angles((x, y, z), azimuth, elevation, float(np.exp(far)))


def _watched(course: BuildingCourse, moment: Moment) -> Moment:
    """The moment itself, or of an earlier move in its step while nothing moves, as in pressing."""
    moves = course.steps[moment.step].moves
    k = moment.move
    while k and all(t.stays for t in moves[k].tracks) and len(set(moves[k].openings)) == 1:
        k -= 1
    return Moment(moment.step, k, moment.share)


def _key(
    course: BuildingCourse, moment: Moment, areas: Sequence[GlueArea], aspect: float
) -> np.ndarray:
    """Where the camera would stand for a move: target, azimuth, elevation, log of distance."""
    step = course.steps[moment.step]
    move = step.moves[moment.move]
    seen = _seen(course.table, move)
    azimuth = np.radians(_azimuth_deg(course.table, step.moves, areas))
    elevation = np.radians(_ABOVE_DEG[move.kind in ("carry", "bring")])
    camera = frame(seen, float(azimuth), float(elevation), aspect, margins=_MARGINS)
    away = np.subtract(camera.eye, camera.target)
    # The target is brought into the middle of what is seen, so that turning does not sway it.
    middle = (seen.min(axis=0) + seen.max(axis=0)) / 2
    forward = -away / camera.distance
    depth = float((middle - camera.eye) @ forward)
    target = np.add(camera.eye, forward * depth)
    return np.array([*target, azimuth, elevation, np.log(depth)])


def _seen(table: WorkTable, move: CourseMove) -> np.ndarray:
    """What a move is about, with room around it, shape (n, 3), mm."""
    figures = table.figures
    busy = [track for track in move.tracks if not track.stays]
    mine = sorted({int(k) for track in busy for k in figures.parts_of(track.sheets) if k > 1})
    if move.openings[0] != move.openings[1] or not mine:
        wet = {k for j in move.wet for k in figures.joins[j]}
        mine = sorted(set(mine) | wet) or [0, 1]
    if move.openings[0] != move.openings[1] or move.kind in ("press", "shut", "open"):
        mine = sorted({*mine, 0, 1} if _in_notebook(move) else set(mine))
    hosts = [figures.joins[j][1] for j in move.wet if figures.joins[j][1] > 1]
    found = []
    for share in _looks(table, move):
        pose, there, _ = table.pose(move, share)
        rows = [k for k in {*mine, *hosts} if there[k]]
        found.append(points(figures, rows, pose))
    every = np.concatenate(found)
    every = np.concatenate([every, _standing_there(table, move, every)])
    low, high = every.min(axis=0), every.max(axis=0)
    middle, half = (low + high) / 2, (high - low) / 2 + _ROOM_MM
    half[:2] = np.maximum(half[:2], _LEAST_MM / 2)
    corners = np.array([[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)], float)
    box = middle + corners * half
    box[:, 2] = np.clip(box[:, 2], low[2], high[2])
    return np.concatenate([every, box])


def _looks(table: WorkTable, move: CourseMove) -> Sequence[float]:
    """When a move is looked at for what is to be in the picture, shares of its time."""
    if move.kind == "bring":
        return _BROUGHT
    carried = [track.sheets for track in move.tracks if track.way is not None]
    if not carried:
        return _LOOKS
    parts = table.figures.parts_of(frozenset().union(*carried))
    middles = [points(table.figures, parts, table.pose(move, at)[0]).mean(axis=0) for at in _LOOKS]
    away = np.linalg.norm(np.array(middles) - middles[-1], axis=1)
    return [at for at, far in zip(_LOOKS, away, strict=True) if far <= _FAR * table.book.width]


def _standing_there(table: WorkTable, move: CourseMove, every: np.ndarray) -> np.ndarray:
    """Corners of paper that stands where something moves, shape (n, 3), mm."""
    pose, there, _ = table.pose(move, 1.0)
    rows = [k for k in np.flatnonzero(there).tolist() if k > 1]
    if not rows:
        return every[:0]
    corners = points(table.figures, rows, pose)
    low, high = every.min(axis=0)[:2], every.max(axis=0)[:2]
    return corners[((corners[:, :2] >= low) & (corners[:, :2] <= high)).all(axis=1)]


def _in_notebook(move: CourseMove) -> bool:
    return move.openings[0] != move.openings[1] or all(track.stays for track in move.tracks)


def _azimuth_deg(table: WorkTable, moves: Sequence[CourseMove], areas: Sequence[GlueArea]) -> float:
    """The place from which the glue of a step is seen best, as far as it looks that way."""
    letters = {letter(j): move for move in moves for j in move.wet}
    figures = table.figures
    turns, _ = figures.in_sheets
    faces = []
    for area in areas:
        if area.letter in letters:
            k = figures.index[area.facet]
            pose, there, _ = table.pose(letters[area.letter], 0.0)
            if there[k]:
                side = 1.0 if area.face == "front" else -1.0
                faces.append(side * (pose.rotation[k] @ turns[k])[:, 2] * area.polygon.area)
    if not faces:
        return _AROUND_DEG[0]

    def shown(azimuth_deg: float) -> float:
        up, round_about = np.radians(_ABOVE_DEG[0]), np.radians(azimuth_deg)
        flat = np.cos(up)
        eye = np.array([flat * np.cos(round_about), flat * np.sin(round_about), np.sin(up)])
        return float(np.maximum(np.array(faces) @ eye, 0.0).sum())

    usual = shown(_AROUND_DEG[0])
    other = max(_AROUND_DEG, key=shown)
    return other if shown(other) > _WORTH * usual else _AROUND_DEG[0]


# By how much more glue must be seen from another place to go there. Our choice.
_WORTH = 1.25
