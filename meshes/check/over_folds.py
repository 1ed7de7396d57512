"""Paper that is glued over a fold: what is across the fold would have to go through it.

Paper without thickness only touches there, so no crossing is ever found.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from ..linkage import link
from ..sheet import Join
from .case import Case
from .finding import Finding

# Less than this is drawing error, mm. Our choice: no cutter keeps to this.
_HAIR_MM = 0.05
# Layers this near to each other, mm, are one.
_LAYER_MM = 1e-6


def over_folds(case: Case) -> list[Finding]:
    """Parts over a fold of what they are glued to, or over the foot of other paper."""
    return [*_past_hosts(case), *_over_feet(case)]


def _past_hosts(case: Case) -> list[Finding]:
    """Glued parts that reach past a fold of their host on the side to which it closes."""
    found = []
    for join in case.joins:
        over = _overhang(case, join)
        if over is None:
            continue
        amount, fold, across, line = over
        facet = case.facets.index(join.facet)
        opening = case.widest
        found.append(
            Finding(
                "makeable",
                "problem",
                "over a fold",
                case.facets.pieces[facet],
                (join.facet, across, join.host, fold),
                f"{join.facet} is glued on {join.host} and reaches {amount:z.2f} mm past fold "
                f"{fold}, where it meets paper",
                amount=amount,
                unit="mm",
                limit=0.0,
                place=case.place(
                    "line", case.world(facet, np.asarray(line.coords), opening), opening
                ),
            )
        )
    return found


def _overhang(case: Case, join: Join) -> tuple[float, str, str, LineString] | None:
    """How far a glued facet reaches past the worst fold of its host, that fold, what is past it."""
    _, host = case.linkage.place(join.host)
    polygon = case.facets.polygons[case.facets.index(join.facet)]
    worst = None
    for crossing in host.sheet.crossings:
        name = f"{host.sheet.piece}.{crossing.fold.name}"
        if host.facet.name not in (crossing.left, crossing.right) or name in case.linkage.locked:
            continue
        # A fold closes onto the printed face of its sheet if it is a valley, else onto the back.
        if crossing.fold.sign * join.side > 0 and not _goes_on(case, name, join.host):
            continue
        ends = host.placement.apply([crossing.fold.start, crossing.fold.end])
        beyond = _beyond(polygon, host.polygon, ends)
        if beyond > _HAIR_MM and (worst is None or beyond > worst[0]):
            across = crossing.right if host.facet.name == crossing.left else crossing.left
            worst = (beyond, name, f"{host.sheet.piece}.{across}", LineString(ends))
    return worst


def _goes_on(case: Case, fold: str, host: str) -> bool:
    """Whether the body across a fold has paper on both sides of it, as the page under a tab has."""
    hinge = next((h for h in case.linkage.hinges if h.name == fold), None)
    if hinge is None:
        return False
    across = 0 if hinge.facets[1] == host else 1
    origin, frame = hinge.origins[across][:2], hinge.frames[across][:2]
    middle = origin + frame[:, 0] * hinge.length / 2
    sides = [shapely.Point(middle + step * frame[:, 1]) for step in (0.5, -0.5)]
    paper = [
        case.facets.polygons[k]
        for k in np.flatnonzero(case.facets.body == hinge.bodies[across]).tolist()
    ]
    return all(any(polygon.covers(side) for polygon in paper) for side in sides)


def _beyond(polygon: Polygon, host: Polygon, ends: np.ndarray) -> float:
    """How far a polygon reaches past a fold of its host, beside the fold's own length, mm."""
    across = _outwards(host, ends)
    # A host that bends round its fold, as a liner round a cut, has paper of its own past it.
    past = _beside(polygon, ends, across).difference(host)
    # A corner that only touches the fold's end is not over it.
    if past.area < _HAIR_MM**2:
        return 0.0
    return float(((shapely.get_coordinates(past) - ends[0]) @ across).max())


def _outwards(facet: Polygon, ends: np.ndarray) -> np.ndarray:
    """The direction square to a fold in which a facet ends at it, unit vector, shape (2,)."""
    along = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
    across = np.array([-along[1], along[0]])
    # A liner goes on past the folds of what rises from it, but not right beside them.
    middle = shapely.Point(ends.mean(axis=0) + _HAIR_MM * across)
    return -across if facet.distance(middle) < _HAIR_MM / 2 else across


def _beside(polygon: Polygon, ends: np.ndarray, across: np.ndarray) -> shapely.Geometry:
    """What of a polygon lies to one side of a fold, beside the fold's own length."""
    far = polygon.length + float(np.abs(shapely.get_coordinates(polygon) - ends[0]).max())
    strip = Polygon([ends[0], ends[1], ends[1] + far * across, ends[0] + far * across])
    return polygon.intersection(strip)


@dataclass(frozen=True)
class _OverFoot:
    """Paper that lies over a glued facet and past a fold of it.

    Parameters
    ----------
    upper, lower, rising : indices of that paper, of the facet, and of what rises from the fold.
    by : how far it lies over the fold: past it, on the facet or along it, whatever is least, mm.
    line : the fold, in the coordinates of the body that the first two belong to, mm.
    """

    upper: int
    lower: int
    rising: int
    fold: str
    by: float
    line: LineString


def _over_feet(case: Case) -> list[Finding]:
    """The worst place of each two pieces at which one is glued over the foot of the other."""
    worst: dict[frozenset[str], _OverFoot] = {}
    for one in _feet(case):
        pieces = frozenset(case.facets.pieces[k] for k in (one.upper, one.lower))
        if pieces not in worst or one.by > worst[pieces].by:
            worst[pieces] = one
    return [_foot_finding(case, one) for one in worst.values()]


def _feet(case: Case) -> Iterator[_OverFoot]:
    facets = case.facets
    index = {name: k for k, name in enumerate(facets.ids)}
    glued = {(join.facet, join.host) for join in case.joins}
    for sheet in case.sheets:
        for crossing in sheet.crossings:
            fold = crossing.fold
            left, right = (
                index[f"{sheet.piece}.{name}"] for name in (crossing.left, crossing.right)
            )
            if facets.body[left] == facets.body[right]:
                continue
            for lower, rising in ((left, right), (right, left)):
                up = case.linkage.place(facets.ids[lower])[1].placement
                line = LineString(up.apply([fold.start, fold.end]))
                # What is across closes onto the printed face if it is a valley, else on the back.
                for upper in _above(case, lower, -fold.sign * up.up):
                    by = _astride(facets.polygons[upper], facets.polygons[lower], line)
                    own = (facets.ids[upper], facets.ids[lower]) in glued
                    if by > _HAIR_MM and not own:
                        name = f"{sheet.piece}.{fold.name}"
                        yield _OverFoot(upper, lower, rising, name, by, line)


def _above(case: Case, lower: int, direction: int) -> Iterator[int]:
    """Facets of the same body that lie over one on a side, along z of the body or against it."""
    facets = case.facets
    for k in np.flatnonzero(facets.body == facets.body[lower]).tolist():
        off = float(facets.height[k] - facets.height[lower])
        if off * direction > _LAYER_MM:
            yield k


def _astride(upper: Polygon, lower: Polygon, line: LineString) -> float:
    """How far a polygon lies over a fold: past it, on the facet that ends there or along it, mm."""
    along = float(line.intersection(upper).length)
    if along <= _HAIR_MM:
        return 0.0
    ends = np.asarray(line.coords)
    inwards = -_outwards(lower, ends)
    on = _beside(upper, ends, inwards).intersection(lower)
    over = ((shapely.get_coordinates(on) - ends[0]) @ inwards).max(initial=0.0)
    return min(along, float(over), _beyond(upper, lower, ends))


def _foot_finding(case: Case, one: _OverFoot) -> Finding:
    facets, opening = case.facets, case.widest
    upper, lower, rising = (facets.ids[k] for k in (one.upper, one.lower, one.rising))
    return Finding(
        "makeable",
        "problem",
        "over a fold",
        facets.pieces[one.upper],
        (upper, rising, lower, one.fold),
        f"{upper} lies on {lower} and over fold {one.fold} by {one.by:z.2f} mm, where {rising} "
        "would have to rise through it",
        _first(case, one),
        amount=one.by,
        unit="mm",
        limit=0.0,
        place=case.place(
            "line", case.world(one.upper, np.asarray(one.line.coords), opening), opening
        ),
    )


def _first(case: Case, one: _OverFoot) -> str:
    """That the other order of both pieces in the file helps, if it does: what is first is lower."""
    late, early = (case.facets.pieces[k] for k in (one.upper, one.lower))
    mine = [join for join in case.joins if _piece(join) == late]
    rest = [join for join in case.joins if _piece(join) != late]
    at = next((k for k, join in enumerate(rest) if _piece(join) == early), None)
    if late == early or at is None:
        return ""
    linkage = case.linkage
    joins = [*rest[:at], *mine, *rest[at:]]
    relaid = link(case.sheets, joins, linkage.obstacles, linkage.drives)
    other = replace(case, joins=joins, linkage=relaid)
    pieces = other.facets.pieces
    if any({pieces[k.upper], pieces[k.lower]} == {late, early} for k in _feet(other)):
        return ""
    return f"put the table of {late} before that of {early}, so that it is glued first"


def _piece(join: Join) -> str:
    return join.facet.partition(".")[0]
