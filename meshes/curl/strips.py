"""A rolled facet is cut into strips along its axis, so narrow that their prism is the cylinder."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from meshes.sheet import Crossing, Curl, Facet, Fold, Sheet, Vector

# Between a strip's name and its number.
MARK = "~"
# A strip turns by no more than this against the next, radians, and is no farther from the arc that
# it stands for than this, mm. Our choice: at 4 pixels a mm nobody sees it.
STEP_RAD, SAGITTA_MM = float(np.radians(9.0)), 0.03
# Scraps smaller than this, mm², are rounding.
_SCRAP_MM2 = 1e-7
# How far beside a border one looks for the paper on its two sides, mm.
_BESIDE_MM = 1e-5


@dataclass(frozen=True)
class Strips:
    """How a curled facet is cut.

    Parameters
    ----------
    width : of each strip, from border to border, mm.
    count : how many there are beyond the line.
    radius : of the paper that has sprung back, mm.
    """

    curl: Curl
    width: float
    count: int
    radius: float


def strips_of(curl: Curl, polygon: Polygon, caliper: float) -> Strips:
    """The strips of a facet of paper of a caliper, mm.

    A chord of width w is w² / 8 R from its arc in the middle (the sagitta, plane geometry).
    """
    depth = reach(curl, polygon)
    radius = curl.radius(caliper)
    widest = min(STEP_RAD * radius, float(np.sqrt(8 * radius * SAGITTA_MM)))
    count = max(int(np.ceil(depth / widest - 1e-9)), 1)
    return Strips(curl, depth / count, count, radius)


def reach(curl: Curl, polygon: Polygon) -> float:
    """How far a facet reaches beyond the line, mm; negative if all of it lies before the line."""
    origin, _, across = curl.frame
    corners = np.asarray(polygon.exterior.coords)[:, :2]
    return float(((corners - origin) @ across).max())


def band(curl: Curl, polygon: Polygon, low: float, high: float) -> Polygon:
    """Everything near a facet that lies from `low` to `high` mm beyond the line."""
    origin, along, across = curl.frame
    corners = np.asarray(polygon.exterior.coords)[:, :2] - origin
    far = 10.0 + float(np.abs(corners).max())
    low, high = max(low, -2 * far), min(high, 2 * far)
    sides = ((-far, low), (far, low), (far, high), (-far, high))
    return Polygon([origin + 2 * u * along + v * across for u, v in sides])


def parts_between(curl: Curl, polygon: Polygon, low: float, high: float) -> list[Polygon]:
    """The paper of a facet from `low` to `high` mm beyond the line."""
    found = shapely.get_parts(polygon.intersection(band(curl, polygon, low, high)))
    return [
        shapely.orient_polygons(part)
        for part in found
        if isinstance(part, Polygon) and part.area > _SCRAP_MM2
    ]


def beyond(sheet: Sheet, curl: Curl) -> Polygon:
    """All that lies beyond the line of a curl as far as its facet reaches, no paper left out."""
    return band(curl, sheet.facet(curl.facet).polygon, 0.0, np.inf)


def free_parts(sheet: Sheet, curl: Curl) -> list[Polygon]:
    """The paper of a sheet that a curl rolls, flat."""
    return parts_between(curl, sheet.facet(curl.facet).polygon, 0.0, np.inf)


# A sheet that is cut into strips, and for each curled facet its strips from the line outwards, each
# with its number and its facets.
Cut = tuple[Sheet, dict[str, list[tuple[Strips, int, list[Facet]]]]]


def cut_up(sheet: Sheet) -> Cut:
    """Cut the curled facets of a sheet into strips, as flat as before.

    Facets keep their names as far as they stay flat.
    """
    facets, crossings = [], list(sheet.crossings)
    found: dict[str, list[tuple[Strips, int, list[Facet]]]] = {}
    curls = {curl.facet: curl for curl in sheet.curls}
    for facet in sheet.facets:
        if facet.name not in curls:
            facets.append(facet)
            continue
        curl = curls[facet.name]
        strips = strips_of(curl, facet.polygon, sheet.paper.caliper)
        rows = [[replace(facet, polygon=_held(curl, facet.polygon))]]
        for k in range(strips.count):
            rows.append(_strip(strips, facet, k))
            found.setdefault(facet.name, []).append((strips, k, rows[-1]))
        facets += [each for row in rows for each in row]
        for k in range(strips.count):
            crossings += _border(strips, facet, k, rows[k], rows[k + 1])
    return replace(sheet, facets=tuple(facets), crossings=tuple(crossings), curls=()), found


def _held(curl: Curl, polygon: Polygon) -> Polygon:
    (held,) = parts_between(curl, polygon, -np.inf, 0.0)
    return held


def _strip(strips: Strips, facet: Facet, k: int) -> list[Facet]:
    low = k * strips.width
    # What rounding leaves beyond the last border belongs to it.
    high = low + strips.width if k < strips.count - 1 else np.inf
    polygons = parts_between(strips.curl, facet.polygon, low, high)
    names = [f"{facet.name}{MARK}{k + 1}"]
    if len(polygons) > 1:
        names = [f"{names[0]}-{n + 1}" for n in range(len(polygons))]
    return [Facet(name, one, facet.name) for name, one in zip(names, polygons, strict=True)]


def _border(
    strips: Strips, facet: Facet, k: int, before: Sequence[Facet], after: Sequence[Facet]
) -> Iterator[Crossing]:
    """The folds, as it were, between a strip and the one before it."""
    curl = strips.curl
    origin, along, across = curl.frame
    middle = origin + k * strips.width * across
    far = 2.0 * facet.polygon.length
    line = LineString([middle - far * along, middle + far * along])
    parts = shapely.get_parts(facet.polygon.intersection(line))
    segments = [part for part in parts if isinstance(part, LineString) and part.length > 1e-6]
    for n, part in enumerate(segments):
        ends = np.asarray(part.coords)[:, :2]
        ends = ends[np.argsort(ends @ along)][[0, -1]]
        half = ends.mean(axis=0)
        left = _at(after, half + _BESIDE_MM * across)
        right = _at(before, half - _BESIDE_MM * across)
        if left and right:
            name = f"{facet.name}{MARK}{k + 1}" + (f"-{n + 1}" if len(segments) > 1 else "")
            start, end = (_point(each) for each in ends)
            fold = Fold(name, start, end, -1 if curl.towards > 0 else 1, rest=0.0)
            yield Crossing(fold, left, right)


def _at(facets: Sequence[Facet], point: np.ndarray) -> str:
    spot = shapely.Point(point)
    return next((facet.name for facet in facets if facet.polygon.distance(spot) < 1e-9), "")


def _point(point: np.ndarray) -> Vector:
    return (float(point[0]), float(point[1]))
