"""The building course as the page plays it: key poses of what moves, and where all else lies.

A move tells for all paper that does not go with the notebook where it is when the move begins, and
for what moves the turns and shifts that take it on from there. Paper that moves as one has them
once. What goes with the notebook is posed by the motion that the page has already.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from scipy.spatial.transform import Rotation

from meshes.building import proved
from meshes.check.poses import Pose
from meshes.errors import DesignError
from meshes.linkage import Linkage
from meshes.spread import Spread
from preview.course.course import BuildingCourse, CourseStep
from preview.course.figures import points
from preview.course.kept import course_on_table
from preview.course.moves import CourseMove, Ride, WorkTable
from preview.course.proof import moving_parts
from preview.course.state import WITH_NOTEBOOK

Json = dict[str, Any]

# Key poses of a move, more where several things move one after the other or the notebook shuts.
# Our choice.
_KEYS, _MORE, _MOST = 9, 3, 33
# What differs by less than this moves as one; radians and mm. Our choice.
_ALIKE_RAD, _ALIKE_MM = 1e-4, 0.02
# Decimals of unit quaternions and of lengths in mm.
_TURN, _PLACE = 4, 2


def numbered(linkage: Linkage) -> dict[str, int]:
    """The number by which the page knows each facet."""
    parts = [part for body in linkage.bodies for part in body.parts]
    return {part.id: k for k, part in enumerate(parts)}


def course_steps(found: BuildingCourse) -> list[Json]:
    """Steps with ``advice``, ``box`` (what to look at, low and high corner, mm) and ``moves``.

    Each says how the notebook is ``lying`` too: as in the film of the same course.
    """
    return [
        {
            "advice": step.advice,
            "box": _box(found.table, step),
            "lying": found.table.lying,
            "moves": [_move(found.table, move) for move in step.moves],
        }
        for step in found.steps
    ]


def built(spread: Spread) -> list[Json] | None:
    """The course of a spread, or None where hands can't put it together."""
    try:
        return course_steps(course_on_table(spread, proved(spread)))
    except DesignError:
        return None


def _box(table: WorkTable, step: CourseStep) -> list[float]:
    """What is there at the end of each move of a step, and while the notebook is turned, mm."""
    found = []
    for move in step.moves:
        # Half way a page that is turned over the other stands highest.
        for share in (0.5, 1.0) if move.openings[0] != move.openings[1] else (1.0,):
            pose, there, _ = table.pose(move, share)
            found.append(points(table.figures, np.flatnonzero(there), pose))
    every = np.concatenate(found)
    return np.round([*every.min(axis=0), *every.max(axis=0)], 0).tolist()


def _move(table: WorkTable, move: CourseMove) -> Json:
    figures = table.figures
    names = numbered(figures.linkage)
    busy = sum(not track.stays for track in move.tracks)
    turns = move.openings[0] != move.openings[1]
    count = min(_KEYS + _MORE * max(busy - 1, 0), _MOST) if busy else (17 if turns else 2)
    # Half way there is a key, where the ease of the hand is steepest.
    count = (max(count, 17) if turns else count) | 1 if busy or turns else count
    posed = [table.pose(move, float(share))[0] for share in np.linspace(0.0, 1.0, count)]
    openings = [move.opening(float(share)) for share in np.linspace(0.0, 1.0, count)]
    moving = moving_parts(figures, move).tolist()
    book = sorted(
        k
        for track in move.tracks
        if isinstance(track.seats[1], Ride) and track.forms == (WITH_NOTEBOOK, WITH_NOTEBOOK)
        for k in track.sheets
        if track.way is None
    )
    bent = [
        sorted(track.sheets)
        for track in move.tracks
        if track.way is None and 0 in track.sheets and track.forms != (WITH_NOTEBOOK,) * 2
    ]
    book += [k for sheets in bent for k in sheets]
    there = {int(k) for k in figures.parts_of(move.sheets)}
    out = sorted(there - {int(k) for k in figures.parts_of(book)} | set(moving))
    return {
        "weight": move.weight,
        "openings": np.round(np.degrees(openings), 2).tolist(),
        "book": sorted(book),
        "out": [[names[figures.parts[k].id], *_seven(posed[0], k)] for k in out],
        "go": _clusters(table, names, posed, moving),
    }


def _seven(pose: Pose, part: int) -> list[float]:
    """A pose as quaternion x, y, z, w and place, mm."""
    turn = Rotation.from_matrix(pose.rotation[part]).as_quat()
    return [*np.round(turn, _TURN + 1).tolist(), *np.round(pose.translation[part], _PLACE).tolist()]


def _clusters(
    table: WorkTable, names: dict[str, int], posed: list[Pose], moving: list[int]
) -> list[Json]:
    """What moves, in groups that move as one: parts, a point of them, its turns and shifts."""
    groups: list[tuple[list[int], np.ndarray, np.ndarray]] = []
    for part in moving:
        turns = np.array([p.rotation[part] @ posed[0].rotation[part].T for p in posed])
        shifts = np.array([p.translation[part] for p in posed])
        shifts = shifts - np.einsum("kij,j->ki", turns, shifts[0])
        for parts, other, place in groups:
            if (
                np.abs(other - turns).max() < _ALIKE_RAD
                and np.abs(place - shifts).max() < _ALIKE_MM
            ):
                parts.append(part)
                break
        else:
            groups.append(([part], turns, shifts))
    found = []
    for parts, turns, shifts in groups:
        middle = points(table.figures, parts, posed[0]).mean(axis=0)
        way = np.einsum("kij,j->ki", turns, middle) + shifts - middle
        spins = Rotation.from_matrix(turns).as_quat()
        keys = np.hstack([np.round(spins, _TURN), np.round(way, _PLACE)])
        found.append(
            {
                "parts": [names[table.figures.parts[k].id] for k in parts],
                "middle": np.round(middle, _PLACE).tolist(),
                "keys": keys.tolist(),
            }
        )
    return found
