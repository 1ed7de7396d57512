"""Whether paper leaves what it lay on to the side from which it came.

Every move is judged by itself. Where one ends with two facets in one plane, and the next takes them
apart, neither tells whether they got through each other in between: that takes the side from which
one came and the side to which it goes. Only a move that meets paper leaves it on the wrong side.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
import shapely

from meshes.check.poses import Pose
from meshes.check.swap import SHARED_MM2

from .moves import CourseMove, Ride, WorkTable

# Facets are in one plane where what they share is nowhere farther apart than the first, mm; one is
# above the other where it is so far over it somewhere, and nowhere so far under it, mm. Only those
# are looked at whose planes differ by no more than the sine. Our choice.
_FLUSH_MM, _ABOVE_MM, _SINE = 0.02, 0.04, 1e-3
# Shares of a move after which it is looked where paper goes, the nearest to its beginning first.
# Our choice.
_LOOKS = (0.03, 0.06, 0.1, 0.15, 0.3, 0.5, 0.7)


@dataclass(frozen=True, eq=False)
class Layers:
    """What lies over what in one plane between two moves.

    Parameters
    ----------
    sides : for two parts, the lower number first, whether the first came from where the normal of
        the second points (1) or from behind it (-1).
    """

    sides: Mapping[tuple[int, int], int] = field(default_factory=dict)

    def left(self, table: WorkTable, move: CourseMove) -> list[tuple[str, str, float, float]]:
        """Pairs that a move takes apart to the other side than that from which they came.

        Returns
        -------
        For each pair its ids, the side of a square as large as what they share, mm, and the share
        of the move after which it is seen.
        """
        if not self.sides:
            return []
        pairs = np.array(sorted(self.sides))
        came = np.array([self.sides[one, two] for one, two in pairs.tolist()])
        gone, seen, area = _sides(table, move, pairs, _LOOKS)
        ids = [part.id for part in table.figures.parts]
        return [
            (ids[pairs[k, 0]], ids[pairs[k, 1]], float(np.sqrt(area[k])), float(seen[k]))
            for k in np.flatnonzero((gone != _STAYED) & (gone * came < 0)).tolist()
        ]

    def after(self, table: WorkTable, move: CourseMove) -> Layers:
        """What lies over what after a move."""
        went = _went(table, move)
        found = {pair: side for pair, side in self.sides.items() if not went[list(pair)].any()}
        pose, there, _ = table.pose(move, 1.0)
        pairs = _in_one_plane(table, pose, there, went)
        came, _, _ = _sides(table, move, pairs, tuple(1.0 - share for share in _LOOKS))
        for (one, two), side in zip(pairs.tolist(), came.tolist(), strict=True):
            # What lay so all the time came there before.
            known = self.sides.get((one, two), 0) if side == _STAYED else side
            if known:
                found[one, two] = known
        return Layers(found)


# Stands for a side where two parts have not left each other's plane.
_STAYED = 2


def _went(table: WorkTable, move: CourseMove) -> np.ndarray:
    """Which parts go anywhere during a move, shape (P,)."""
    found = np.zeros(len(table.figures.parts), bool)
    turns = move.openings[0] != move.openings[1]
    for track in move.tracks:
        if not track.stays or (turns and isinstance(track.seats[1], Ride)):
            found[table.figures.parts_of(track.sheets)] = True
    return found


def _in_one_plane(table: WorkTable, pose: Pose, there: np.ndarray, went: np.ndarray) -> np.ndarray:
    """Pairs of parts of which one went and that lie over each other in one plane, shape (n, 2).

    The lower number comes first; `there` and `went` have the shape (P,).
    """
    pairs = np.argwhere(np.triu(there & there[:, None] & (went | went[:, None]), 1))
    one, two = pairs.T
    corners = [
        flat @ turn[:, :2].T + shift
        for flat, turn, shift in zip(
            table.figures.corners, pose.rotation, pose.translation, strict=True
        )
    ]
    low = np.array([own.min(axis=0) for own in corners]) - _FLUSH_MM
    high = np.array([own.max(axis=0) for own in corners]) + _FLUSH_MM
    close = ((low[one] < high[two]) & (low[two] < high[one])).all(axis=1)
    normals = pose.rotation[:, :, 2]
    close &= np.linalg.norm(np.cross(normals[one], normals[two]), axis=1) < _SINE
    pairs = pairs[close]
    lowest, highest, area = _heights(table, pose, pairs)
    return pairs[(area > SHARED_MM2) & (lowest > -_FLUSH_MM) & (highest < _FLUSH_MM)]


def _sides(
    table: WorkTable, move: CourseMove, pairs: np.ndarray, looks: tuple[float, ...]
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """On which side of the second the first part of each pair is at the first look that tells.

    Returns
    -------
    The sides, shape (n,): 0 where it goes off to beside it; the share of the move that tells, and
    the area that they then share, mm².
    """
    count = len(pairs)
    found, seen, shared = np.full(count, _STAYED), np.zeros(count), np.zeros(count)
    for look in looks:
        open_ones = np.flatnonzero(found == _STAYED)
        if not len(open_ones):
            break
        pose, _, _ = table.pose(move, look)
        low, high, area = _heights(table, pose, pairs[open_ones])
        side = np.where(high > _ABOVE_MM, 1, 0) - np.where(low < -_ABOVE_MM, 1, 0)
        apart = (area < SHARED_MM2) | (high > _ABOVE_MM) | (low < -_ABOVE_MM)
        side = np.where(area < SHARED_MM2, 0, side)
        told = open_ones[apart]
        found[told], seen[told], shared[told] = side[apart], look, area[apart]
    return found, seen, shared


def _heights(
    table: WorkTable, pose: Pose, pairs: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The least and greatest height of the first over the second where it is over it, and the area.

    Shapes (n,), mm and mm²; heights of what stands steep on the other count as nothing.
    """
    first, second = (Pose(pose.rotation[k], pose.translation[k]) for k in pairs.T)
    seen = first.seen_from(second)
    areas = table.figures.facets.all_shared(pairs[:, 0], pairs[:, 1], seen)
    points, owner = shapely.get_coordinates(areas, return_index=True)
    normal = seen.rotation[owner, :, 2]
    steep = np.abs(normal[:, 2]) < _STEEP
    over = (
        (seen.translation[owner] * normal).sum(axis=1) - (points * normal[:, :2]).sum(axis=1)
    ) / np.where(steep, 1.0, normal[:, 2])
    low, high = np.full(len(pairs), np.inf), np.full(len(pairs), -np.inf)
    np.minimum.at(low, owner, np.where(steep, 0.0, over))
    np.maximum.at(high, owner, np.where(steep, 0.0, over))
    return low, high, shapely.area(areas)


# Cosine of the angle between two facets from which on one stands on the other. Our choice.
_STEEP = 0.1
