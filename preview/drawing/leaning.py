"""Glued paper that a wall leans over: drawn shorter, so that it does not peep out before it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from shapely import Polygon

from meshes.linkage import Part
from meshes.sheet import Vector

# Glued paper is drawn over what it is glued on, but its folds lie in the plane below, so that a tab
# would peep out in front of a wall that leans over it. It is drawn shorter then, by at most this.
MOST_RETREAT_MM = 1.5
RETREAT_STEP_MM = 0.05


@dataclass(frozen=True, eq=False)
class Leaning:
    """F folds of raised parts.

    Parameters
    ----------
    polygons : outlines of all parts, each in its own plane.
    folds : their ends in the plane of the part.
    part, other : numbers of the raised part and of that beyond the fold, shape (F,).
    inward : from the fold into the part, in its plane, unit, shape (F, 3).
    height : of the part over the plane of its folds, mm; above its front more than 0, shape (F,).
    """

    polygons: tuple[Polygon, ...]
    folds: tuple[tuple[Vector, Vector], ...]
    part: np.ndarray
    other: np.ndarray
    inward: np.ndarray
    height: np.ndarray

    @staticmethod
    def of(parts: tuple[Part, ...]) -> Leaning:
        """The folds of raised parts."""
        numbers = {part.id: k for k, part in enumerate(parts)}
        folds, pairs, inward, height = [], [], [], []
        for k, part in enumerate(parts):
            for crossing in part.sheet.crossings if part.height else ():
                if part.facet.name not in (crossing.left, crossing.right):
                    continue
                is_left = part.facet.name == crossing.left
                beyond = crossing.right if is_left else crossing.left
                fold = crossing.fold
                x, y = np.subtract(fold.end, fold.start) / fold.length
                folds.append((fold.start, fold.end))
                pairs.append((k, numbers[f"{part.sheet.piece}.{beyond}"]))
                inward.append((-y, x, 0.0) if is_left else (y, -x, 0.0))
                height.append(part.height * part.placement.up)
        raised, beside = np.array(pairs, int).reshape(-1, 2).T
        return Leaning(
            tuple(part.facet.polygon for part in parts),
            tuple(folds),
            raised,
            beside,
            np.array(inward).reshape(-1, 3),
            np.array(height),
        )

    def retreats(self, turns: np.ndarray) -> np.ndarray:
        """How far each part would reach through its neighbour beyond a fold, mm, shape (F,).

        Parameters
        ----------
        turns : rotations of all parts into the scene, shape (P, 3, 3).
        """
        here = turns[self.part]
        inward = np.einsum("fij,fj->fi", here, self.inward)
        beyond = np.einsum("fij,fj->fi", turns[self.other], -self.inward)
        # The part is raised towards one of its sides; only a wall on that side can lean over it.
        up = (beyond * here[:, :, 2]).sum(axis=1) * np.sign(self.height)
        lean = (inward * beyond).sum(axis=1)
        reach = np.abs(self.height) * lean / np.maximum(up, 0.02) + 0.02
        steps = np.ceil(np.minimum(reach, MOST_RETREAT_MM) / RETREAT_STEP_MM)
        return np.where((lean > 0.02) & (up > 0.02), steps * RETREAT_STEP_MM, 0.0)

    def outlines(self, turns: np.ndarray) -> dict[int, Polygon]:
        """Parts, by number, drawn back from folds beyond which the paper leans over them.

        Parameters
        ----------
        turns : as of :meth:`retreats`.
        """
        found: dict[int, Polygon] = {}
        retreats = self.retreats(turns)
        for k in np.flatnonzero(retreats):
            part = int(self.part[k])
            outline = found.get(part, self.polygons[part])
            found[part] = _drawn_back(outline, self.folds[k], float(retreats[k]))
        return found


@lru_cache(maxsize=16384)
def _drawn_back(polygon: Polygon, fold: tuple[Vector, Vector], retreat: float) -> Polygon:
    (ax, ay), (bx, by) = fold
    share = retreat / math.hypot(bx - ax, by - ay)
    x, y = (bx - ax) * share, (by - ay) * share
    # A strip as far beyond the ends of the fold as to its sides.
    beyond = [(ax - x, ay - y), (bx + x, by + y)]
    left, right = [(a - y, b + x) for a, b in beyond], [(a + y, b - x) for a, b in beyond]
    rest = shapely.difference(polygon, shapely.polygons([*left, *right[::-1]]))
    parts = shapely.get_parts(rest)
    areas = shapely.area(parts)
    return parts[areas.argmax()] if len(parts) and areas.max() > 0 else polygon
