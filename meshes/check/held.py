"""Whether glue holds what a hand should turn or pull."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Point, Polygon

from ..sheet import Drive, Join
from .case import Case
from .finding import Finding, Place

# A wheel is looked at in so many places on its way. Our choice.
_PLACES = 49
# Areas of glue smaller than this are where two parts only touch, mm².
_TOUCH_MM2 = 1.0
# A way that meets a fold over less than this only touches it, mm. Our choice.
_TOUCH_MM = 0.05
_MOVES = {"turn": "turns", "slide": "slides"}


def held(case: Case) -> list[Finding]:
    """Glue in the way of a wheel or slide and its art, and art that catches under loops."""
    moved = [drive for drive in case.linkage.drives if drive.kind != "flyleaf"]
    found = [_held(case, drive, *glued) for drive in moved for glued in _glued(case, drive)]
    return found + [one for drive in moved if drive.kind == "slide" for one in _caught(case, drive)]


def way_of(case: Case, drive: Drive, facet: int | None = None) -> Polygon:
    """All places of a part on its way, in the coordinates of its host's body, mm.

    Parameters
    ----------
    facet : of the same body, art on the wheel or slide; else the wheel or slide itself.
    """
    _, moving = case.linkage.place(drive.join.facet)
    _, host = case.linkage.place(drive.join.host)
    shape = Polygon(moving.facet.polygon.exterior)
    if facet is not None:
        shape = moving.placement.inverse().polygon(case.facets.polygons[facet])
    if drive.kind == "slide":
        way = _slid(shape, drive.reach * np.asarray(drive.axis))
    else:
        turns = np.degrees(drive.reach) * np.linspace(0, 1, _PLACES)
        way = shapely.union_all(
            [affinity.rotate(shape, k, origin=Point(drive.axis)) for k in turns]
        )
    return host.placement.after(drive.join.placement).polygon(way)


def _slid(shape: Polygon, way: np.ndarray) -> Polygon:
    """What a polygon covers on a straight way: both ends of it, and what each edge sweeps."""
    edges = np.concatenate([np.asarray(ring.coords) for ring in (shape.exterior, *shape.interiors)])
    sides = [Polygon([a, b, b + way, a + way]) for a, b in pairwise(edges)]
    swept = shapely.union_all([shape, affinity.translate(shape, *way), *_valid(sides)])
    assert isinstance(swept, Polygon)
    return swept


def _valid(sides: Sequence[Polygon]) -> list[Polygon]:
    """Without the edges that run along the way."""
    return [side for side in sides if side.area > 0]


def _riding(case: Case, drive: Drive) -> list[int]:
    """The facets of what moves, the wheel or slide itself first."""
    own = case.facets.index(drive.join.facet)
    body = case.facets.body[own]
    return [own, *(k for k in np.flatnonzero(case.facets.body == body).tolist() if k != own)]


def _glued(case: Case, drive: Drive) -> Iterator[tuple[Join, int, float]]:
    """Joins on the same paper over which a part passes, that part, and the area, mm²."""
    ground, _ = case.linkage.place(drive.join.host)
    riding = _riding(case, drive)
    ways = {k: way_of(case, drive, None if k == riding[0] else k) for k in riding}
    facets = case.facets
    for join in case.joins:
        facet = facets.index(join.facet)
        if facets.body[facet] != ground or _on_own_cover(case, join, drive):
            continue
        glue = facets.polygons[facet].intersection(facets.polygons[facets.index(join.host)])
        if facets.pieces[facet] == drive.name:
            # A loop or cover is glued only beside what moves under it.
            glue = glue.difference(ways[riding[0]])
        under = facets.pieces[facet] != drive.name and _lies_under(case, join, drive)
        areas = {
            k: 0.0 if under and _clears(case, facet, way) else float(glue.intersection(way).area)
            for k, way in ways.items()
        }
        worst = next((k for k, area in areas.items() if area > _TOUCH_MM2), None)
        if worst is not None:
            yield join, worst, areas[worst]


def _caught(case: Case, drive: Drive) -> Iterator[Finding]:
    """Art on a slide that passes under its loops: they leave room for the strip alone."""
    facets, (strip, *art) = case.facets, _riding(case, drive)
    loops = [
        facets.index(join.facet)
        for join in case.joins
        if join.facet.partition(".")[0] == drive.name and join.facet != drive.join.facet
    ]
    for k in art:
        if drive.join.side * (facets.height[k] - facets.height[strip]) <= 0:
            continue
        way = way_of(case, drive, k)
        over = {loop: float(way.intersection(facets.polygons[loop]).area) for loop in loops}
        under = max(over, key=lambda loop: over[loop], default=None)
        if under is None or over[under] <= _TOUCH_MM2:
            continue
        yield Finding(
            "moves",
            "warning",
            "catches",
            facets.pieces[k],
            (facets.ids[k], facets.ids[under]),
            f"{facets.ids[k]} passes under {facets.ids[under]} when {drive.name} is pulled, and "
            "its edge may catch there",
            place=_where(case, k),
        )


def _lies_under(case: Case, join: Join, drive: Drive) -> bool:
    """Whether what a join sticks down lies below what moves, which can slide over it."""
    _, glued = case.linkage.place(join.facet)
    _, moving = case.linkage.place(drive.join.facet)
    side = drive.join.side
    return bool(side * glued.height < side * moving.height)


def _clears(case: Case, facet: int, way: Polygon) -> bool:
    """Whether nothing stands up from a glued facet's folds on the way over it."""
    folds = case.facets.anchors[facet].folds
    return all(fold.intersection(way).length <= _TOUCH_MM for fold in folds)


def _on_own_cover(case: Case, join: Join, drive: Drive) -> bool:
    """Whether a join sticks art on the part's own cover or straps, which it moves under."""
    hosts = {join.facet: join.host for join in case.joins}
    facets, host = case.facets, join.host
    while host in hosts and facets.pieces[facets.index(host)] != drive.name:
        host = hosts[host]
    return facets.pieces[facets.index(host)] == drive.name


def _held(case: Case, drive: Drive, join: Join, moving: int, area: float) -> Finding:
    facets = case.facets
    rider = facets.ids[moving]
    on_it = rider != drive.join.facet
    own = join.facet.partition(".")[0] == drive.name
    piece = facets.pieces[moving] if own else join.facet.partition(".")[0]
    what = f"{rider}, on {drive.name}," if on_it else drive.name
    return Finding(
        "moves",
        "problem",
        "glued fast",
        piece,
        (join.facet, rider),
        f"{join.facet} is glued over {area:z.0f} mm² of the way on which {what} "
        f"{_MOVES[drive.kind]}",
        amount=area,
        unit="",
        place=_where(case, facets.index(join.facet)),
    )


def _where(case: Case, facet: int) -> Place | None:
    """A facet as it stands at the widest opening; None if the spread cannot be folded at all."""
    if not len(case.poses.openings):
        return None
    return case.place("area", case.corners(facet, case.widest), case.widest)
