"""Plans of the closed spread as SVG: outlines against the page, and the height map."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

import numpy as np
import shapely

from meshes.check.case import Case
from meshes.check.finding import Finding
from meshes.check.limits import Limits
from meshes.check.thickness import height_map

from .marks import marks

# Around the page, mm, so that what sticks out has room.
_AROUND = 14.0
# From thin to thick: light paper to deep ink, even steps of lightness.
_RAMP = ("#f3ecd9", "#e7cfa4", "#d9a873", "#c07f52", "#965a45", "#643f3c", "#352a2d")


def closed_plan(case: Case, limits: Limits, finding: Finding) -> str:
    """The closed spread seen from its side, with what sticks out drawn in."""
    opening = float(case.poses.openings[0])
    shapes = []
    for facet in range(len(case.facets)):
        if case.facets.is_page(facet):
            continue
        mine = case.facets.pieces[facet] == finding.piece
        flat = case.corners(facet, opening)[:, [2, 1]]
        shapes.append(f'<polygon class="{"mine" if mine else "other"}" points="{_points(flat)}"/>')
    place = finding.place
    mark = ""
    if place is not None:
        spots = [(z, -y) for _, y, z in place.points]
        mark = marks(place, spots, 0.3)
    reach = np.concatenate([case.corners(k, opening)[:, [2, 1]] for k in range(len(case.facets))])
    return _framed(case, _page(case, limits) + "".join(shapes) + mark, reach)


def height_plan(case: Case, limits: Limits) -> str:
    """The height map of the closed spread, its peak marked, with a scale in mm."""
    fields = height_map(case)
    heights = np.array([field.height for field in fields])
    low, high = float(heights.min()), float(heights.max())
    shapes = []
    for field in sorted(fields, key=lambda field: field.height):
        colour = ramp((field.height - low) / (high - low) if high > low else 0.0)
        rings = [field.shape.exterior, *field.shape.interiors]
        path = " ".join(f"M {_points(np.asarray(ring.coords))} Z" for ring in rings)
        shapes.append(
            f'<path fill="{colour}" fill-rule="evenodd" d="{path}">'
            f"<title>{field.height:z.2f} mm, {len(field.facets)} layers</title></path>"
        )
    peak = max(fields, key=lambda field: (round(field.height, 9), field.shape.area))
    spot = peak.shape.representative_point()
    shapes.append(
        f'<circle class="ring" cx="{spot.x:z.1f}" cy="{-spot.y:z.1f}" r="5"/>'
        f'<text class="label" x="{spot.x + 7:z.1f}" y="{-spot.y + 1.5:z.1f}">{high:z.2f} mm</text>'
    )
    reach = shapely.get_coordinates([field.shape for field in fields])
    return _framed(case, "".join(shapes) + _page(case, limits) + _scale(case, low, high), reach)


def ramp(share: float) -> str:
    """The colour at a share 0…1 of the scale, ``#rrggbb``."""
    at = min(max(share, 0.0), 1.0) * (len(_RAMP) - 1)
    k = min(int(at), len(_RAMP) - 2)
    one, two = (np.array([int(c[i : i + 2], 16) for i in (1, 3, 5)]) for c in _RAMP[k : k + 2])
    mixed = np.round(one + (two - one) * (at - k)).astype(int)
    return "#" + "".join(f"{value:02x}" for value in mixed)


def _scale(case: Case, low: float, high: float) -> str:
    """A bar of colours under the page."""
    width, _ = case.size
    steps, bar = 24, width * 0.6
    left, top = width * 0.2, 4.0
    cells = "".join(
        f'<rect x="{left + bar * k / steps:z.2f}" y="{top}" width="{bar / steps + 0.1:z.2f}" '
        f'height="3" fill="{ramp((k + 0.5) / steps)}"/>'
        for k in range(steps)
    )
    return (
        f'{cells}<text class="label end" x="{left - 2:z.1f}" y="{top + 3.2}">{low:z.2f} mm</text>'
        f'<text class="label" x="{left + bar + 2:z.1f}" y="{top + 3.2}">{high:z.2f} mm</text>'
    )


def _page(case: Case, limits: Limits) -> str:
    width, height = case.size
    margin = case.margin if limits.margin is None else limits.margin
    inner = (
        f'<path class="margin" d="M 0 {-margin:z.2f} H {width - margin:z.2f} '
        f'V {-(height - margin):z.2f} H 0"/>'
    )
    return (
        f'<rect class="page" x="0" y="{-height:z.2f}" width="{width:z.2f}" height="{height:z.2f}"/>'
        f"{inner if margin else ''}"
        f'<line class="spine" x1="0" y1="0" x2="0" y2="{-height:z.2f}"/>'
        f'<text class="label" x="2" y="{-height - 2:z.1f}">{escape("gutter")}</text>'
        f'<text class="label end" x="{width:z.1f}" y="{-height - 2:z.1f}">fore-edge</text>'
    )


def _points(points: np.ndarray | Sequence[Sequence[float]]) -> str:
    return " ".join(f"{x:z.2f},{-y:z.2f}" for x, y in points)


def _framed(case: Case, content: str, reach: np.ndarray) -> str:
    """An SVG that shows the page and everything that passes it."""
    width, height = case.size
    left = min(0.0, float(reach[:, 0].min())) - _AROUND
    right = max(width, float(reach[:, 0].max())) + _AROUND
    bottom = min(0.0, float(reach[:, 1].min())) - _AROUND
    top = max(height, float(reach[:, 1].max())) + _AROUND
    return (
        f'<svg class="plan" viewBox="{left:.1f} {-top:.1f} {right - left:.1f} {top - bottom:.1f}" '
        f'role="img" xmlns="http://www.w3.org/2000/svg">{content}</svg>'
    )
