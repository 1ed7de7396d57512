"""What a drafting sheet must show of a sheet: cut and fold lines, as plain lines."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from preview.pattern.template import Template

from .plan import LineKind

# A slit narrower than this is drawn as one line. Our choice, less than a drawn line may miss.
HAIR_MM = 0.2
# What runs along an edge for longer than this lies on it; less may only cross it. Our choice.
_ALONG_MM = 2.0
KINDS: tuple[LineKind, ...] = ("cut", "valley", "mountain")


@dataclass(frozen=True)
class Linework:
    """Lines of one sheet, mm; each is a geometry of lines, perhaps empty.

    Parameters
    ----------
    holes : where paper fasteners go through, shape (n, 2).
    """

    cut: BaseGeometry
    valley: BaseGeometry
    mountain: BaseGeometry
    holes: np.ndarray

    def __iter__(self) -> Iterator[tuple[LineKind, BaseGeometry]]:
        return iter([("cut", self.cut), ("valley", self.valley), ("mountain", self.mountain)])

    def moved(self, matrix: np.ndarray, shift: np.ndarray) -> Linework:
        """Points p moved to ``matrix @ p + shift``."""

        def move(points: np.ndarray) -> np.ndarray:
            return np.asarray(points @ matrix.T + shift)

        cut, valley, mountain = (shapely.transform(shape, move) for _, shape in self)
        return Linework(cut, valley, mountain, move(self.holes) if len(self.holes) else self.holes)

    def within(self, area: Polygon, hair: float) -> Linework:
        """What of it lies in an area, and whole what runs along its edge within a hair, mm."""
        cut, valley, mountain = (_within(shape, area, hair) for _, shape in self)
        near = shapely.distance(area, shapely.points(self.holes)) if len(self.holes) else []
        return Linework(cut, valley, mountain, self.holes[np.asarray(near) <= hair])

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top, mm."""
        left, bottom, right, top = shapely.union_all([shape for _, shape in self]).bounds
        return float(left), float(bottom), float(right), float(top)


def linework(template: Template) -> Linework:
    """The lines of a template in the coordinates of its sheet."""
    outline = template.outline
    cuts = [LineString(outline.exterior.coords)]
    cuts += [_slit(Polygon(ring)) for ring in outline.interiors]
    folds: dict[int, list[LineString]] = {1: [], -1: []}
    for fold in template.folds:
        folds[fold.sign].append(LineString([fold.start, fold.end]))
    holes = np.array(template.pivots, float).reshape(-1, 2)
    return Linework(
        shapely.MultiLineString(cuts),
        shapely.MultiLineString(folds[-1]),
        shapely.MultiLineString(folds[1]),
        holes,
    )


def _slit(hole: Polygon) -> LineString:
    """The ring of a window; of what is as narrow as a hair its middle."""
    corners = np.asarray(shapely.minimum_rotated_rectangle(hole).exterior.coords)
    one, two = np.linalg.norm(np.diff(corners[:3], axis=0), axis=1)
    if min(one, two) > HAIR_MM:
        return LineString(hole.exterior.coords)
    ends = corners[[0, 1]] if one < two else corners[[1, 2]]
    over = corners[[3, 2]] if one < two else corners[[0, 3]]
    return LineString([ends.mean(axis=0), over.mean(axis=0)])


def _within(shape: BaseGeometry, area: Polygon, hair: float) -> BaseGeometry:
    """Lines inside an area; those along its edge are not cut up by rounding."""
    beside = _lines(shape.intersection(area.boundary.buffer(hair)))
    along = [part for part in shapely.get_parts(beside) if part.length > _ALONG_MM]
    if not along:
        return _lines(shape.intersection(area))
    rest = shape.difference(shapely.union_all(along).buffer(1e-4)).intersection(area)
    return shapely.MultiLineString([*along, *shapely.get_parts(_lines(rest))])


def _lines(shape: BaseGeometry) -> BaseGeometry:
    """Only the lines of a geometry, joined where they meet end to end."""
    parts = shapely.get_parts(shape).tolist()
    lines = [part for part in parts if isinstance(part, LineString) and part.length > 1e-6]
    return shapely.line_merge(shapely.MultiLineString(lines))


def chains(shape: BaseGeometry) -> list[np.ndarray]:
    """The lines of a geometry, each of shape (n, 2), mm; rings end as they begin."""
    found = [np.asarray(part.coords) for part in shapely.get_parts(shape)]
    return [points for points in found if len(points) > 1]
