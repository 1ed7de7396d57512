"""Glue areas: where each join lands on both of its facets, and the letter that pairs them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import shapely
from shapely import affinity
from shapely.geometry import Point, Polygon

from meshes.building.step import kept_flat
from meshes.curl.strips import beyond
from meshes.sheet import Drive, Facet, Join, Sheet

Face = Literal["front", "back"]
# Play of a part that a hand moves. Our choice.
_ROOM_MM = 0.4
# Glue on less than this holds nothing. Our choice.
_LEAST_MM2 = 1.0
# I and O are too near to 1 and 0 to be letters of a pattern.
_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"


@dataclass(frozen=True)
class GlueArea:
    """One side of a join.

    Parameters
    ----------
    letter : the same on both sides.
    facet : id ``piece.facet`` that it lies on.
    other : id of the facet that it is glued to.
    polygon : in the coordinates of the facet's sheet, mm; corner k of one side of a join meets
        corner k of the other.
    face : which face of the paper.
    lands : True where the glued facet lands, False on the facet that carries the glue.
    """

    letter: str
    facet: str
    other: str
    polygon: Polygon
    face: Face
    lands: bool


def letter(number: int) -> str:
    """A, B, … Z, AA, AB … without I and O, from 0 on."""
    text = ""
    number += 1
    while number:
        number, digit = divmod(number - 1, len(_LETTERS))
        text = _LETTERS[digit] + text
    return text


def glue_areas(
    sheets: Sequence[Sheet], joins: Sequence[Join], drives: Sequence[Drive] = ()
) -> tuple[GlueArea, ...]:
    """Both sides of every join, lettered in the order of the joins.

    A join of two neighbours in the place they have on their own sheet takes no glue; it says that
    the fold between them stays flat. Where a facet overhangs its host only the part that meets it
    counts; over something that a hand moves there is no glue, and none on paper that is rolled. A
    join whose facets do not meet at all keeps the whole facet, so that it is seen.
    """
    facets = {f"{sheet.piece}.{facet.name}": facet for sheet in sheets for facet in sheet.facets}
    rolled = {f"{s.piece}.{c.facet}": beyond(s, c) for s in sheets for c in s.curls}
    areas: list[GlueArea] = []
    flat = kept_flat(sheets, joins)
    for number, join in enumerate(joins):
        if number in flat:
            continue
        free = [_swept(d, facets) for d in drives if d.join.host == join.host and join.lift > 0]
        # Paper that will be rolled is glued as far as the line only.
        if join.facet in rolled:
            free.append(join.placement.polygon(rolled[join.facet]))
        areas += _both_sides(letter(number), join, facets[join.facet], facets[join.host], free)
    return tuple(areas)


def _swept(drive: Drive, facets: Mapping[str, Facet]) -> Polygon:
    """The room that a moved part needs on its host, mm."""
    shape = facets[drive.join.facet].polygon
    if drive.kind == "turn":
        x, y = drive.axis
        shape = Point(x, y).buffer(shape.hausdorff_distance(Point(x, y)), quad_segs=32)
    elif drive.kind == "slide":
        x, y = (drive.reach * part for part in drive.axis)
        shape = shape.union(affinity.translate(shape, x, y)).convex_hull
    return drive.join.placement.polygon(shape).buffer(_ROOM_MM)


def _both_sides(
    name: str, join: Join, facet: Facet, host: Facet, free: Sequence[Polygon]
) -> list[GlueArea]:
    landed = join.placement.polygon(facet.polygon)
    common = shapely.intersection(landed, host.polygon).difference(shapely.union_all(free))
    parts = [p for p in shapely.get_parts(common) if isinstance(p, Polygon) and p.area > 1e-6]
    # Slivers beside a larger part hold nothing.
    parts = [p for p in parts if p.area >= min(_LEAST_MM2, max(q.area for q in parts))]
    back = join.placement.inverse()
    host_face: Face = "front" if join.side == 1 else "back"
    # Laid face up on the side one looks at, a facet touches with its back.
    facet_face: Face = "back" if join.placement.up * join.side == 1 else "front"
    areas = []
    for part in parts or [landed]:
        areas += [
            GlueArea(name, join.facet, join.host, back.polygon(part), facet_face, False),
            GlueArea(name, join.host, join.facet, part, host_face, True),
        ]
    return areas
