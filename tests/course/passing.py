"""Which sheets pass through each other on the way of a course, judged by points of paper alone.

No judgement here comes from ``meshes.check`` nor from ``preview.course.proof``: every facet is
strewn with points, and each is followed in the coordinates of every other from pose to pose. Paper
has passed through if a point that was clearly on one side of a facet is clearly on the other later
and was over the facet all the time between (the intermediate value theorem: it was then in it).
Sheets that cross at an angle and sheets that lie in one plane when they do are both found so.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely

from meshes.check.poses import Pose
from preview.course.course import BuildingCourse
from preview.course.moves import CourseMove

# Points are strewn this far apart, mm; poses are looked at for every so many mm of a move, at least
# and at most so many. Our choice.
_APART_MM, _STEP_MM, _FEWEST, _MOST = 6.0, 8.0, 20, 100
# A point is clearly on a side from this distance on; the rim of a facet counts as beside it; mm.
CLEAR_MM, _RIM_MM = 0.08, 0.6
# Boxes this far apart are not looked at: farther than two points go between two looks, mm.
_NEAR_MM = 12.0


# Where two facets lie to each other within this as the solved spread has them, they do as it does;
# sines and mm.
_SAME = 1e-6, 1e-4


@dataclass(frozen=True)
class Passed:
    """A facet whose points went through another facet.

    Parameters
    ----------
    share : of the move, after which they were through.
    as_solved : whether the two then lay to each other as in the finished spread, open as far: it is
        the design that takes them through each other, whoever builds it.
    """

    points: str
    facet: str
    share: float
    as_solved: bool


def steps_through(course: BuildingCourse) -> dict[int, list[Passed]]:
    """What each step of a course, by its number, takes through what; only those that do."""
    judge = CourseJudge(course)
    found = {}
    for step in course.steps:
        met = [one for move in step.moves for one in judge.passed(move)]
        if met:
            found[step.number] = met
    return found


class CourseJudge:
    """Follows all paper of a course, move by move.

    Attributes
    ----------
    side : on which side of each facet (row) each point (column) was last clearly seen; 0 for none.
    last : where it was at the last look, in the coordinates of the facet, mm.
    known : whether the points of a facet (second) have been looked at from a facet (first).
    """

    def __init__(self, course: BuildingCourse) -> None:
        self.table = course.table
        figures = course.table.figures
        self.ids = [part.id for part in figures.parts]
        polygons = [part.polygon for part in figures.parts]
        self.rims = [np.asarray(polygon.exterior.coords) for polygon in polygons]
        self.inner = np.array([polygon.buffer(-_RIM_MM) for polygon in polygons])
        shapely.prepare(self.inner)
        strewn = [_strewn(polygon) for polygon in polygons]
        self.flat = np.concatenate(strewn)
        self.owner = np.repeat(np.arange(len(strewn)), [len(points) for points in strewn])
        ends = np.cumsum([0, *(len(points) for points in strewn)])
        self.slices = [slice(a, b) for a, b in pairwise(ends)]
        shape = len(polygons), len(self.flat)
        self.side, self.last = np.zeros(shape, np.int8), np.zeros((*shape, 3), np.float32)
        self.known = np.zeros((len(polygons), len(polygons)), bool)
        self.spots = np.full((len(self.flat), 3), np.nan)

    def passed(self, move: CourseMove) -> list[Passed]:
        """Each facet that a move takes through another, once for each pair."""
        found: dict[tuple[int, int], Passed] = {}
        for share in self._shares(move):
            pose, there, opening = self.table.pose(move, float(share))
            turn, shift = pose.rotation, pose.translation
            spots = np.einsum("nij,nj->ni", turn[self.owner][:, :, :2], self.flat)
            spots += shift[self.owner]
            went = np.array([not np.array_equal(spots[s], self.spots[s]) for s in self.slices])
            self.spots = spots
            near = self._near(spots, there)
            self.known &= near
            pairs = np.argwhere(near & (went[:, None] | went | ~self.known))
            for facet, points in self._through(pairs, spots, turn, shift):
                names = self.ids[points], self.ids[facet]
                solved = self._as_solved(pose, opening, facet, points)
                found.setdefault((facet, points), Passed(*names, float(share), solved))
        return list(found.values())

    def _as_solved(self, pose: Pose, opening: float, one: int, two: int) -> bool:
        """Whether two facets lie to each other as in the solved spread; the opening in radians."""
        solved = self.table.figures.solved(opening)
        here, there = (
            (turns[one].T @ turns[two], (shifts[two] - shifts[one]) @ turns[one])
            for turns, shifts in (
                (pose.rotation, pose.translation),
                (solved.rotation, solved.translation),
            )
        )
        off = [np.abs(a - b).max() for a, b in zip(here, there, strict=True)]
        return bool(off[0] < _SAME[0] and off[1] < _SAME[1])

    def _near(self, spots: np.ndarray, there: np.ndarray) -> np.ndarray:
        """Facets close to each other, shape (P, P)."""
        low = np.array([spots[s].min(axis=0) for s in self.slices])
        high = np.array([spots[s].max(axis=0) for s in self.slices])
        near = (low[:, None] <= high + _NEAR_MM).all(axis=2)
        near &= near.T & there & there[:, None]
        np.fill_diagonal(near, False)
        return near

    def _through(
        self, pairs: np.ndarray, spots: np.ndarray, turn: np.ndarray, shift: np.ndarray
    ) -> set[tuple[int, int]]:
        """Pairs of which a point is on the other side since the last look; notes where each is."""
        if not len(pairs):
            return set()
        columns = np.concatenate([np.r_[self.slices[b]] for _, b in pairs])
        rows = np.repeat(
            pairs[:, 0], [self.slices[b].stop - self.slices[b].start for _, b in pairs]
        )
        local = np.einsum("ni,nij->nj", spots[columns] - shift[rows], turn[rows])
        now = np.where(np.abs(local[:, 2]) > CLEAR_MM, np.sign(local[:, 2]), 0).astype(np.int8)
        fresh = ~self.known[rows, self.owner[columns]]
        before = np.where(fresh, 0, self.side[rows, columns])
        last = self.last[rows, columns]
        side = np.where(now == 0, before, now)
        looked = np.flatnonzero((before != 0) & (before != now))
        over = self._over(rows[looked], local[looked])
        over &= self._over(rows[looked], last[looked])
        # Beside the facet there is no side of it on which to be, and from there paper that nearly
        # touches it comes to be on either.
        side[looked[~over & (now[looked] == 0)]] = 0
        crossed = looked[over & (now[looked] != 0)]
        self.side[rows, columns], self.last[rows, columns] = side, local
        self.known[pairs[:, 0], pairs[:, 1]] = True
        return {(int(rows[k]), int(self.owner[columns[k]])) for k in crossed}

    def _over(self, facets: np.ndarray, local: np.ndarray) -> np.ndarray:
        return np.asarray(shapely.contains_xy(self.inner[facets], local[:, 0], local[:, 1]))

    def _shares(self, move: CourseMove) -> np.ndarray:
        """Moments of a move between which no point goes far."""
        looks = np.linspace(0.0, 1.0, _FEWEST)
        gone = np.zeros(len(looks))
        last: dict[int, np.ndarray] = {}
        for row, share in enumerate(looks):
            pose, there, _ = self.table.pose(move, float(share))
            for k in np.flatnonzero(there).tolist():
                here = self.rims[k] @ pose.rotation[k][:, :2].T + pose.translation[k]
                if k in last:
                    gone[row] = max(gone[row], np.linalg.norm(here - last[k], axis=1).max())
                last[k] = here
        along = np.cumsum(np.maximum(gone, 1e-9))
        count = int(np.clip(along[-1] / _STEP_MM, _FEWEST, _MOST))
        return np.interp(np.linspace(along[0], along[-1], count), along, looks)


def _strewn(polygon: shapely.Polygon) -> np.ndarray:
    """Points in a facet and along its outline, shape (n, 2), mm."""
    x0, y0, x1, y1 = polygon.bounds
    grid = np.stack(
        np.meshgrid(np.arange(x0, x1, _APART_MM), np.arange(y0, y1, _APART_MM)), axis=-1
    ).reshape(-1, 2)
    inside = grid[shapely.contains_xy(polygon, grid[:, 0], grid[:, 1])]
    rim = shapely.get_coordinates(shapely.segmentize(polygon.exterior, _APART_MM))
    return np.concatenate([inside, rim])
