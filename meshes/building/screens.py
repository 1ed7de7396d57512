"""BuildFacets at one opening, and which straight ways meet any of them: all are asked at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields

import numpy as np
import shapely

# So many facets are asked at once, so that memory stays small however many there are: our choice.
_AT_ONCE = 128
_LEAST_MM = 1e-6


@dataclass(frozen=True)
class BuildFacets:
    """F facets in the planes of their bodies.

    Parameters
    ----------
    bodies : numbers of their bodies, shape (F,).
    shapes : their outlines, shape (F,).
    corners : of their convex hulls, the last one repeated where there are fewer than k, shape
        (F, k, 2), mm.
    low, high : ends of these along both axes, shape (F, 2), mm.
    """

    bodies: np.ndarray
    shapes: np.ndarray
    corners: np.ndarray
    low: np.ndarray
    high: np.ndarray

    @staticmethod
    def of(bodies: Sequence[int], shapes: Mapping[str, shapely.Polygon]) -> BuildFacets:
        """BuildFacets by name, with the bodies that they are on."""
        rims = [shapely.get_coordinates(shape.convex_hull) for shape in shapes.values()]
        corners = np.empty((len(rims), max(map(len, rims), default=1), 2))
        for row, rim in zip(corners, rims, strict=True):
            row[: len(rim)], row[len(rim) :] = rim, rim[-1]
        outlines, ends = np.array(list(shapes.values()), object), (corners.min(1), corners.max(1))
        return BuildFacets(np.array(bodies, int), outlines, corners, *ends)

    def take(self, rows: np.ndarray) -> BuildFacets:
        """Some of them."""
        return BuildFacets(*(getattr(self, field.name)[rows] for field in fields(self)))


@dataclass(frozen=True)
class Screens:
    """Some facets at one opening.

    Parameters
    ----------
    rotations, shifts : where their bodies are, shapes (F, 3, 3) and (F, 3), mm.
    """

    facets: BuildFacets
    rotations: np.ndarray
    shifts: np.ndarray

    def over(self, foot: np.ndarray, up: np.ndarray) -> Screens:
        """Those of which any part lies above a plane through a point, both of shape (3,)."""
        slopes = self.rotations[:, :, :2].swapaxes(1, 2) @ up
        heights = (self.facets.corners * slopes[:, None]).sum(axis=2).max(axis=1)
        rows = np.flatnonzero(heights + (self.shifts - foot) @ up > 0.0)
        return Screens(self.facets.take(rows), self.rotations[rows], self.shifts[rows])

    def meet(
        self, starts: np.ndarray, ways: np.ndarray, least: float, most: float = np.inf
    ) -> np.ndarray:
        """Which ways meet a facet between `least` and `most` lengths away, shape (w, n).

        Parameters
        ----------
        starts, ways : shapes (n, 3), mm, and (w, 3); from each start each way is gone.
        """
        met = np.zeros((len(ways), len(starts)), bool)
        for first in range(0, len(self.shifts), _AT_ONCE):
            met |= self._meet(slice(first, first + _AT_ONCE), starts, ways, (least, most))
        return met

    def _meet(
        self, rows: slice, starts: np.ndarray, ways: np.ndarray, reach: tuple[float, float]
    ) -> np.ndarray:
        turns = self.rotations[rows]
        local = ((starts - self.shifts[rows, None]) @ turns).swapaxes(1, 2)[:, :, None]
        along = (ways @ turns).swapaxes(1, 2)[..., None]
        low, high = (end[rows, :, None, None] for end in (self.facets.low, self.facets.high))
        # Along the facet a way meets its plane nowhere, or everywhere; neither counts.
        with np.errstate(divide="ignore", invalid="ignore"):
            t = -local[:, 2] / along[:, 2]
            x, y = (local[:, k] + t * along[:, k] for k in (0, 1))
        inside = (t > max(reach[0], _LEAST_MM)) & (t < reach[1])
        inside &= (x >= low[:, 0]) & (x <= high[:, 0]) & (y >= low[:, 1]) & (y <= high[:, 1])
        which, way, start = np.nonzero(inside)
        hit = shapely.contains_xy(self.facets.shapes[rows][which], x[inside], y[inside])
        met = np.zeros((len(ways), len(starts)), bool)
        met[way[hit], start[hit]] = True
        return met
