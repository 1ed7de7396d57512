"""Which sheets pass the slits of others in the finished spread, and how wide their ends are."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from meshes.sheet import Sheet

from .poses import BuildPoses

# What lies nearer to the plane of a slit's sheet than this can be at its slit: our choice.
_IN_PLANE_MM = 1.0


@dataclass(frozen=True)
class SheetPassage:
    """A sheet that passes a hole of another in the finished spread.

    Parameters
    ----------
    through, holed : indices of the sheets.
    ends : the joins of `through` on each side of the hole's sheet.
    widths : how wide each of both ends is along the slit, mm.
    slit : length of the hole, mm.
    facet : id of the facet with the hole.
    hole : in the plane of that facet's body, mm.
    """

    through: int
    holed: int
    ends: tuple[frozenset[int], frozenset[int]]
    widths: tuple[float, float]
    slit: float
    facet: str
    hole: Polygon


class Slits:
    """Finds all passages of a spread."""

    def __init__(self, poses: BuildPoses) -> None:
        self.poses = poses

    def passages(self) -> Iterator[SheetPassage]:
        """Every sheet that passes a hole of another, at some opening."""
        holed = [name for name in self.poses.parts if self.poses.shapes[name].interiors]
        for name in holed:
            near = self._near(name)
            for number in sorted({self.poses.owner[other] for other in near}):
                if number not in (0, self.poses.owner[name]):
                    yield from self._passage(number, name)

    def _near(self, holed: str) -> list[str]:
        """Facets that come near enough to a facet to pass its holes, by balls round both."""

        def ball(name: str, shape: Polygon) -> tuple[np.ndarray, float]:
            body, _ = self.poses.parts[name]
            middle = shape.minimum_rotated_rectangle.centroid
            far = float(shape.hausdorff_distance(middle))
            at = self.poses.rotations[:, body, :, :2] @ np.array([middle.x, middle.y])
            return at + self.poses.translations[:, body], far

        holes = shapely.MultiPolygon([Polygon(ring) for ring in self.poses.shapes[holed].interiors])
        middle, reach = ball(holed, holes)
        found = []
        for name, shape in self.poses.shapes.items():
            other, far = ball(name, shape)
            if (np.linalg.norm(other - middle, axis=1) <= reach + far + _IN_PLANE_MM).any():
                found.append(name)
        return found

    def _passage(self, number: int, holed: str) -> Iterator[SheetPassage]:
        sheet = self.poses.sheets[number]
        names = [f"{sheet.piece}.{facet.name}" for facet in sheet.facets]
        holes = [Polygon(ring) for ring in self.poses.shapes[holed].interiors]
        for stage in range(len(self.poses.openings) - 1, -1, -1):
            lines = list(self._lines(sheet, names, holed, stage))
            for hole in holes if lines else ():
                for line in lines:
                    if line.intersection(hole).length > 0.5 * line.length:
                        yield self._ends(number, names, holed, line, stage)
                        return

    def _lines(
        self, sheet: Sheet, names: Sequence[str], holed: str, stage: int
    ) -> Iterator[LineString]:
        """The lines in which a sheet lies in or goes through the plane of another."""
        for crossing in sheet.crossings:
            sides = [f"{sheet.piece}.{side}" for side in (crossing.left, crossing.right)]
            body, part = self.poses.parts[sides[0]]
            ends = part.placement.apply([crossing.fold.start, crossing.fold.end])
            local = self.poses.seen_from(holed, body, np.column_stack([ends, np.zeros(2)]), stage)
            if np.abs(local[:, 2]).max() > _IN_PLANE_MM:
                continue
            over = [self.poses.side(side, self.poses.shapes[side], holed, stage) for side in sides]
            if over[0] * over[1] < 0:
                yield LineString(local[:, :2])
        for name in names:
            line = self._section(name, holed, stage)
            if line is not None:
                yield line

    def _section(self, name: str, holed: str, stage: int) -> LineString | None:
        """Where a facet goes through the plane of another, if it reaches far on both sides."""
        body, _ = self.poses.parts[name]
        if body == self.poses.parts[holed][0]:
            return None
        ring = self.poses.corners[name]
        local = self.poses.seen_from(
            holed, body, np.column_stack([ring, np.zeros(len(ring))]), stage
        )
        z = local[:, 2]
        if z.min() > -_IN_PLANE_MM or z.max() < _IN_PLANE_MM:
            return None
        at = np.flatnonzero(z[:-1] * z[1:] < 0)
        if len(at) < 2:
            return None
        share = (z[at] / (z[at] - z[at + 1]))[:, None]
        points = local[at, :2] * (1 - share) + local[at + 1, :2] * share
        return LineString(points[:2])

    def _ends(
        self, number: int, names: Sequence[str], holed: str, line: LineString, stage: int
    ) -> SheetPassage:
        (x0, y0), (x1, y1) = line.coords[0], line.coords[-1]
        along = np.array([x1 - x0, y1 - y0]) / line.length
        hole = min(
            (Polygon(ring) for ring in self.poses.shapes[holed].interiors),
            key=lambda one: one.distance(line.centroid),
        )
        reach = np.asarray(hole.exterior.coords) @ along
        ends, widths = [], []
        for sign in (1.0, -1.0):
            end = [
                n
                for n in names
                if self.poses.side(n, self.poses.shapes[n], holed, stage) * sign > 0
            ]
            ends.append(
                frozenset(
                    j
                    for j, join in enumerate(self.poses.joins)
                    for n in {join.facet, join.host} & set(names)
                    if self.poses.side(n, self.poses.area(j), holed, stage) * sign >= 0
                )
            )
            widths.append(max((self._width(n) for n in end), default=0.0))
        owner = self.poses.owner[holed]
        slit = float(np.ptp(reach))
        return SheetPassage(
            number, owner, (ends[0], ends[1]), (widths[0], widths[1]), slit, holed, hole
        )

    def _lies(self, name: str, holed: str, stage: int) -> float:
        return self.poses.side(name, self.poses.shapes[name], holed, stage)

    def _width(self, name: str) -> float:
        """The narrower extent of a facet, mm: turned, it passes a slit as long as that."""
        box = np.asarray(shapely.oriented_envelope(self.poses.shapes[name]).exterior.coords)
        sides = np.linalg.norm(np.diff(box, axis=0), axis=1)
        return float(sides.min())
