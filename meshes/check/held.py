"""Whether glue holds what a hand should turn or pull."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Point, Polygon

from ..linkage import swept
from ..sheet import Drive, Join
from .case import Case
from .finding import Finding

# A wheel is looked at in so many places on its way. Our choice.
_PLACES = 49
# Areas of glue smaller than this are where two parts only touch, mm².
_TOUCH_MM2 = 1.0
_MOVES = {"turn": "turns", "slide": "slides"}


def held(case: Case) -> list[Finding]:
    """Glue that lies in the way of a wheel or a slide."""
    moved = (drive for drive in case.linkage.drives if drive.kind != "flyleaf")
    return [_held(case, drive, join, area) for drive in moved for join, area in _glued(case, drive)]


def way_of(case: Case, drive: Drive) -> Polygon:
    """All places of a wheel or a slide on its way, in the coordinates of its host's body, mm."""
    _, moving = case.linkage.place(drive.join.facet)
    _, host = case.linkage.place(drive.join.host)
    way = swept(drive, Polygon(moving.facet.polygon.exterior))
    if drive.kind == "turn":
        turns = np.degrees(drive.reach) * np.linspace(0, 1, _PLACES)
        way = shapely.union_all([affinity.rotate(way, k, origin=Point(drive.axis)) for k in turns])
    return host.placement.after(drive.join.placement).polygon(way)


def _glued(case: Case, drive: Drive) -> Iterator[tuple[Join, float]]:
    """Joins of other pieces on the same paper that the part passes over, with their areas, mm²."""
    ground, _ = case.linkage.place(drive.join.host)
    way = way_of(case, drive)
    facets = case.facets
    for join in case.joins:
        facet = facets.index(join.facet)
        if facets.body[facet] != ground or facets.pieces[facet] == drive.name:
            continue
        if _lies_under(case, join, drive) or _on_own_cover(case, join, drive):
            continue
        glue = facets.polygons[facet].intersection(facets.polygons[facets.index(join.host)])
        area = float(glue.intersection(way).area)
        if area > _TOUCH_MM2:
            yield join, area


def _lies_under(case: Case, join: Join, drive: Drive) -> bool:
    """Whether a join only sticks flat art down below what moves."""
    _, art = case.linkage.place(join.facet)
    _, moving = case.linkage.place(drive.join.facet)
    side = drive.join.side
    return not art.sheet.crossings and side * art.height < side * moving.height


def _on_own_cover(case: Case, join: Join, drive: Drive) -> bool:
    """Whether a join sticks art on the part's own cover or straps, which it moves under."""
    hosts = {join.facet: join.host for join in case.joins}
    facets, host = case.facets, join.host
    while host in hosts and facets.pieces[facets.index(host)] != drive.name:
        host = hosts[host]
    return facets.pieces[facets.index(host)] == drive.name


def _held(case: Case, drive: Drive, join: Join, area: float) -> Finding:
    piece = join.facet.partition(".")[0]
    facet, opening = case.facets.index(join.facet), float(case.poses.openings[-1])
    return Finding(
        "moves",
        "problem",
        "glued fast",
        piece,
        (join.facet, drive.join.facet),
        f"{join.facet} is glued over {area:z.0f} mm² of the way on which {drive.name} "
        f"{_MOVES[drive.kind]}",
        f"move {piece} out of its way, or glue it on {drive.join.facet}",
        amount=area,
        unit="",
        place=case.place("area", case.corners(facet, opening), opening),
    )
