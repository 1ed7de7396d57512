"""Narrow places of an outline: strips and bridges that tear."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import shapely
from shapely.geometry import Polygon

from ..rectangle import sides_of

# How finely widths are measured, mm. Our choice.
_FINE_MM = 1e-3
# Every corner leaves a little when an outline is opened by a disc; only longer remains are strips.
# Our choice.
_SHORTEST_WIDTHS = 1.5
# A strip fills this share of the box round it, a pointed tip about half. Our choice.
_STRIP_SHARE = 0.62
# A tab that tapers to a point fills half of its box. Our choice.
_TAPERED_SHARE = 0.45


@dataclass(frozen=True)
class Narrow:
    """A narrow place.

    Parameters
    ----------
    kind : ``bridge`` between two wider parts, or ``strip`` with a free end.
    width : at its narrowest, mm.
    shape : the narrow part, in the coordinates of the outline, mm.
    place : a point of it, mm.
    """

    kind: Literal["bridge", "strip"]
    width: float
    shape: Polygon
    place: tuple[float, float]


def width_of(shape: Polygon) -> float:
    """Diameter of the largest circle inside a shape, mm: how wide it is at its widest."""
    if shape.is_empty or shape.area == 0:
        return 0.0
    return 2 * float(shapely.maximum_inscribed_circle(shape, _FINE_MM).length)


# The same area is asked for by several questions.
@lru_cache(maxsize=1024)
def glue_width(area: Polygon) -> float:
    """Width of an area of glue, mm: the short side of the box round it.

    A tab tapers, so no circle of its depth need fit in it. An area that fills less of its box than
    a pointed tab does is taken for as wide as its largest circle.
    """
    long, short = sides_of(area)
    if long == 0.0 or area.area < _TAPERED_SHARE * long * short:
        return width_of(area)
    return short


def narrow_places(outline: Polygon, width: float) -> list[Narrow]:
    """Parts of an outline that a disc of that diameter (mm) cannot reach, tips left out.

    Opening an outline by a disc takes away what is narrower than the disc: tips of petals, which
    are meant, strips, and bridges. A bridge touches what is left at two places or more; a strip
    touches it at one and, unlike a tip, does not taper.
    """
    radius = width / 2 - _FINE_MM
    wide = outline.buffer(-radius, quad_segs=16).buffer(radius * 1.001, quad_segs=16)
    found = []
    parts = [
        part
        for part in shapely.get_parts(outline.difference(wide))
        if part.geom_type == "Polygon" and part.area >= 0.01 * width**2
    ]
    reached = wide.buffer(_FINE_MM) if parts else wide
    for part in parts:
        contact = part.boundary.intersection(reached)
        count = len(shapely.get_parts(shapely.line_merge(contact))) if not contact.is_empty else 0
        long, short = sides_of(part)
        if count >= 2 and short > 0:
            found.append(_narrow("bridge", width_of(part), part))
        elif long > _SHORTEST_WIDTHS * width and part.area > _STRIP_SHARE * long * short:
            found.append(_narrow("strip", width_of(part), part))
    return found


def _narrow(kind: Literal["bridge", "strip"], width: float, part: Polygon) -> Narrow:
    point = part.representative_point()
    return Narrow(kind, width, part, (float(point.x), float(point.y)))
