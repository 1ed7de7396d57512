"""Whether carried paper comes to lie on the right side of other paper that lies flat at its place.

With the notebook flat open, what stands over a page at every other opening lies in one plane with
it: paper that then comes from above lands on top, and would get through as soon as the notebook
moves, though it met nothing on its own way.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from meshes.check.chord import STRADDLE_MM
from meshes.check.facets import Facets
from meshes.check.poses import Pose
from meshes.check.swap import SHARED_MM2

from .figures import Figures
from .moves import CourseMove, CourseTrack, OnTable, WorkTable

# Planes are one if their normals differ by no more than this sine. Our choice.
_PARALLEL_SINE = 1e-6
# Paper lies to other paper as in the finished spread if all its corners do, mm. Our choice.
_SAME_MM = 1e-4
# So far from where they lie in one plane it is looked which is above, radians; and these shares of
# its time before it lies there, from which side carried paper came. Our choice.
_NUDGE = tuple(float(np.radians(deg)) for deg in (-3.0, 3.0))
_BEFORE = (0.97, 0.94, 0.9, 0.85)


def wrong_sides(table: WorkTable, move: CourseMove) -> list[tuple[str, str, float, float]]:
    """Pairs of which the first lands on the wrong side of the second.

    Returns
    -------
    For each pair its ids, the side of a square as large as what both share, mm, and after which
    share of the move it lies there.
    """
    carried = [t for t in move.tracks if t.way is not None and not isinstance(t.seats[1], OnTable)]
    if not carried:
        return []
    end, there, opening = table.pose(move, 1.0)
    found = []
    for track in carried:
        mine = table.figures.parts_of(track.sheets)
        others = np.setdiff1d(np.flatnonzero(there), mine)
        for one, two, area in _flush(table.figures, end, mine, others):
            wanted = _solved_order(table.figures, one, two, end, opening)
            if wanted and _came(table, move, track, one, two) == -wanted:
                ids = table.figures.parts[one].id, table.figures.parts[two].id
                found.append((*ids, float(np.sqrt(area)), track.window[1]))
    return found


def _flush(
    figures: Figures, pose: Pose, mine: np.ndarray, others: np.ndarray
) -> Iterator[tuple[int, int, float]]:
    """Parts of different bodies that lie over each other in one plane, and what they share, mm²."""
    facets: Facets = figures.facets
    ones, twos = (grid.ravel() for grid in np.meshgrid(mine, others, indexing="ij"))
    normals, places = pose.rotation[:, :, 2], pose.translation
    off = np.abs(((places[ones] - places[twos]) * normals[twos]).sum(axis=1))
    sine = np.linalg.norm(np.cross(normals[ones], normals[twos]), axis=1)
    near = (
        (off < STRADDLE_MM) & (sine < _PARALLEL_SINE) & (figures.body[ones] != figures.body[twos])
    )
    ones, twos = ones[near], twos[near]
    areas = shapely.area(facets.all_shared(ones, twos, _seen(pose, ones, twos)))
    for one, two, area in zip(ones.tolist(), twos.tolist(), areas.tolist(), strict=True):
        if area > SHARED_MM2:
            yield one, two, area


def _seen(pose: Pose, ones: np.ndarray, twos: np.ndarray) -> Pose:
    first, second = (Pose(pose.rotation[k], pose.translation[k]) for k in (ones, twos))
    return first.seen_from(second)


def _height(figures: Figures, pose: Pose, one: int, two: int) -> float:
    """How high the middle of what a part has over another lies over it; 0 if nothing, mm."""
    seen = _seen(pose, np.array([one]), np.array([two]))
    area = figures.facets.all_shared(np.array([one]), np.array([two]), seen)[0]
    if area.area < SHARED_MM2:
        return 0.0
    normal, middle = seen.rotation[0, :, 2], np.asarray(area.centroid.coords[0])
    return float((normal @ seen.translation[0] - normal[:2] @ middle) / normal[2])


def _order(height: float) -> int:
    return int(height > STRADDLE_MM) - int(height < -STRADDLE_MM)


def _solved_order(figures: Figures, one: int, two: int, pose: Pose, opening: float) -> int:
    """Which of two parts is above near an opening (radians) in the finished spread; 0 for neither.

    Neither, too, if they do not lie to each other as they do there.
    """
    corners = figures.corners[one]
    here, solved = (
        _seen(each, np.array([one]), np.array([two])) for each in (pose, figures.solved(opening))
    )
    spots = [corners @ each.rotation[0][:, :2].T + each.translation[0] for each in (here, solved)]
    if np.abs(spots[0] - spots[1]).max() > _SAME_MM:
        return 0
    near = [opening + nudge for nudge in _NUDGE if 0.0 < opening + nudge < np.pi]
    orders = {_order(_height(figures, figures.solved(at), one, two)) for at in near} - {0}
    return orders.pop() if len(orders) == 1 else 0


def _came(table: WorkTable, move: CourseMove, track: CourseTrack, one: int, two: int) -> int:
    """From which side of a part a carried one came to it: 1 from above, -1 from below, or 0."""
    first, last = track.window
    for share in _BEFORE:
        pose, _, _ = table.pose(move, first + (last - first) * share)
        order = _order(_height(table.figures, pose, one, two))
        if order:
            return order
    return 0
