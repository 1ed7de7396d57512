"""How thick the closed spread is, and where."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely.geometry import Polygon

from .case import Case, case_of
from .finding import Finding
from .limits import Limits
from .poses import Pose

if TYPE_CHECKING:
    from ..spread import Spread

# Corners are snapped to this grid, so that edges on edges become one. Our choice.
_SNAP_MM = 1e-3
_SLIVER_MM2 = 1e-4  # our choice
# Sums of calipers in another order differ by less.
_ROUNDING_MM = 1e-9
# At this opening the layers have parted, but lie over the places where they come to rest.
_ORDER_AT = float(np.radians(2.0))
# A thickness counts if it lies under a connected area of this size, that of a pencil's blunt end (a
# circle of 3.6 mm). A board or a finger presses smaller tips flat. Our choice.
FELT_MM2 = 10.0
# Common practice, no source: thicker, a bound notebook no longer shuts.
_DEFAULT_THICKEST_MM = 3.0


@dataclass(frozen=True)
class Field:
    """A part of the closed spread with the same layers everywhere.

    Parameters
    ----------
    shape : in (distance from gutter, y), mm.
    facets : indices of the facets that lie there.
    height : sum of their calipers, mm: a lower bound, since air and creases add to it.
    """

    shape: Polygon
    facets: tuple[int, ...]
    height: float


def height_map(case: Case) -> list[Field]:
    """The closed spread cut into fields of equal layers, exact up to the snapping of corners."""
    opening = float(case.poses.openings[0])
    outlines = _closed_outlines(case, opening)
    lines = shapely.unary_union(shapely.boundary(outlines))
    cells = shapely.get_parts(shapely.polygonize(shapely.get_parts(lines)))
    cells = cells[shapely.area(cells) > _SLIVER_MM2]
    points = shapely.get_coordinates(shapely.point_on_surface(cells))
    covers = np.array(
        [shapely.contains_xy(outline, points[:, 0], points[:, 1]) for outline in outlines]
    )
    heights = case.facets.caliper @ covers
    return [
        Field(cell, tuple(np.flatnonzero(cover).tolist()), float(height))
        for cell, cover, height in zip(cells, covers.T, heights, strict=True)
        if cover.any()
    ]


def _closed_outlines(case: Case, opening: float) -> np.ndarray:
    """The facets in the closed spread, snapped to the grid, shape (F,)."""
    shapes = np.array(case.facets.polygons, object)
    points, owner = shapely.get_coordinates(shapes, return_index=True)
    pose, body = case.bodies_at(opening), case.facets.body[owner]
    flat = (points[:, None] @ np.swapaxes(pose.rotation[body][:, :, :2], 1, 2))[:, 0]
    shapely.set_coordinates(shapes, (flat + pose.translation[body])[:, [2, 1]])
    snapped: np.ndarray = shapely.make_valid(shapely.set_precision(shapes, _SNAP_MM))
    return snapped


def layers_at(case: Case, field: Field) -> list[str]:
    """Ids of the facets in a field from the left page to the right page."""
    closed, ajar = float(case.poses.openings[0]), _ORDER_AT
    point = field.shape.representative_point()
    place = np.array([0.0, point.y, point.x])
    sides = []
    for facet in field.facets:
        body = case.facets.body[facet : facet + 1]
        rest = case.poses.at(np.array([closed]), body)
        own = (place - rest.translation[0]) @ rest.rotation[0]
        sides.append(float(case.world(facet, own[None, :2], ajar)[0, 0]))
    order = np.argsort(sides, kind="stable")
    return [case.facets.ids[field.facets[k]] for k in order]


def highest(fields: Sequence[Field]) -> list[Field]:
    """The highest fields that can be felt: those of at least `FELT_MM2` together, in one piece.

    Those among them that are higher still, but too small by themselves, are part of that piece.
    """
    for height in sorted({round(field.height, 9) for field in fields}, reverse=True):
        high = [field for field in fields if field.height > height - 1e-8]
        pieces = shapely.get_parts(shapely.unary_union([field.shape for field in high]))
        largest = max(pieces, key=lambda piece: float(piece.area))
        if largest.area >= FELT_MM2:
            return [f for f in high if largest.contains(f.shape.representative_point())]
    return []


def peak(subject: Case | Spread) -> float:
    """The closed thickness where it is highest and can be felt, mm; 0 if it does not close."""
    case = subject if isinstance(subject, Case) else case_of(subject)
    fields = highest(height_map(case)) if case.closes else []
    return min((field.height for field in fields), default=0.0)


def thickness(case: Case, limits: Limits) -> tuple[list[Finding], dict[str, object]]:
    """Peak of the height map against the limit.

    Returns
    -------
    A warning if it is too thick, and the peak, its layers, area and place, and the mean.
    """
    if not case.closes:
        return [], {}
    fields = height_map(case)
    top = highest(fields)
    if not top:
        return [], {}
    felt = min(field.height for field in top)
    level = [field for field in top if field.height < felt + 1e-8]
    largest = max(level, key=lambda field: field.shape.area)
    place = largest.shape.representative_point()
    width, height = case.size
    mean = sum(field.height * field.shape.area for field in fields) / (width * height)
    measures: dict[str, object] = {
        "peak_mm": round(felt, 4),
        "layers": len(largest.facets),
        "peak_area_mm2": round(sum(field.shape.area for field in top), 2),
        "peak_at_gutter_mm": round(place.x, 2),
        "peak_at_foot_mm": round(place.y, 2),
        "mean_mm": round(mean, 4),
    }
    if case.poses.openings[-1] >= _ORDER_AT:
        measures["stack"] = layers_at(case, largest)
    limit = allowed(case, limits)
    findings = [_thick(case, largest, felt, limit)] if felt > limit + 1e-9 else []
    return findings, measures


def allowed(case: Case, limits: Limits) -> float:
    """How thick the closed spread may be, mm."""
    return limits.thickest or case.thickest or _DEFAULT_THICKEST_MM


def thickest(case: Case) -> float:
    """A thickness that the closed spread nowhere exceeds, mm, quickly found.

    It is that of the rectangles along the page's edges round all facets; where they lie on each
    other most, one of them begins in either direction. 0 if the spread does not close.
    """
    if not case.closes:
        return 0.0
    opening = float(case.poses.openings[0])
    pose, body = case.bodies_at(opening), case.facets.body
    corners = Pose(pose.rotation[body], pose.translation[body]).apply(case.facets.tail)[..., 1:]
    low, high = corners.min(axis=1) - _SNAP_MM, corners.max(axis=1) + _SNAP_MM
    starts = [(low[:, k] <= low[:, None, k]) & (low[:, None, k] <= high[:, k]) for k in range(2)]
    layers = (starts[0] * case.facets.caliper) @ starts[1].T.astype(float)
    return float(layers.max()) + _ROUNDING_MM


def _thick(case: Case, field: Field, peak: float, limit: float) -> Finding:
    pieces = dict.fromkeys(case.facets.pieces[k] for k in field.facets)
    counts = {name: sum(case.facets.pieces[k] == name for k in field.facets) for name in pieces}
    most = max((name for name in counts if name in case.pieces), key=lambda name: counts[name])
    outline = np.asarray(field.shape.exterior.coords)
    corners = np.column_stack([np.zeros(len(outline)), outline[:, 1], outline[:, 0]])
    middle = field.shape.representative_point()
    return Finding(
        "thickness",
        "warning",
        "too thick",
        most,
        tuple(case.facets.ids[k] for k in field.facets),
        f"{len(field.facets)} layers add up to {peak:z.2f} mm, {middle.y:z.0f} mm from the foot "
        f"and {middle.x:z.0f} mm from the gutter",
        amount=peak,
        unit="mm",
        limit=limit,
        worst_deg=0.0,
        place=case.place("area", corners, float(case.poses.openings[0])),
    )
