"""Whether the glue holds: areas wide enough, and tabs that lie on what they are glued to."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely.geometry import Polygon

from ..sheet import Join
from .case import Case
from .facets import parts_shared
from .finding import Finding
from .limits import Limits
from .narrow import glue_width

# Flat art with this share of glue is stuck down as a whole. Our choice.
_WHOLLY = 0.98
# Less than this is drawing error, mm. Our choice: no cutter keeps to this.
_HAIR_MM = 0.05
# A tab should lie on its host by this share; below the second, it holds half of its fold at most.
# Our choice.
_ON_HOST, _HALF = 0.75, 0.5
# Where two sheets meet in several places, an area narrower than this is better left dry, mm. Our
# choice: as wide as the bead of a fine glue nozzle.
_SLIVER_MM = 2.0


def glue(case: Case, limits: Limits) -> list[Finding]:
    """Narrow areas of glue, tabs that hang over their host, and slivers beside wider areas."""
    areas = [_areas(case, join) for join in case.joins]
    return [*_narrow(case, areas, limits), *_half_off(case, areas), *_slivers(case, areas)]


def narrowest_glue(case: Case) -> float | None:
    """Width of the best area of glue of the join that has the narrowest, mm; None without glue.

    Flat art that is wholly stuck down does not count.
    """
    areas = [(join, _areas(case, join)) for join in case.joins]
    widths = [
        max(glue_width(area) for area in some)
        for join, some in areas
        if some and not _lies_flat(case, join, some)
    ]
    return min(widths, default=None)


def _areas(case: Case, join: Join) -> tuple[Polygon, ...]:
    """Where a join's two facets meet, in body coordinates, mm."""
    facets = case.facets
    one, two = facets.index(join.facet), facets.index(join.host)
    parts = parts_shared(facets.polygons[one], facets.polygons[two])
    return tuple(part for part in parts if part.geom_type == "Polygon")


def _narrow(case: Case, areas_of: Sequence[Sequence[Polygon]], limits: Limits) -> list[Finding]:
    """The narrowest area of glue of each piece that has one too narrow."""
    narrow: dict[str, list[tuple[float, Join]]] = {}
    for join, areas in zip(case.joins, areas_of, strict=True):
        if _lies_flat(case, join, areas):
            continue
        width = max((glue_width(area) for area in areas), default=0.0)
        if width < limits.glue_width - _HAIR_MM:
            piece = case.facets.pieces[case.facets.index(join.facet)]
            narrow.setdefault(piece, []).append((width, join))
    return [_narrow_glue(case, piece, rows, limits) for piece, rows in narrow.items()]


def _lies_flat(case: Case, join: Join, areas: Sequence[Polygon]) -> bool:
    """Whether a join only sticks a small piece of flat art down, so that nothing pulls at it."""
    _, part = case.linkage.place(join.facet)
    glued = sum(area.area for area in areas)
    return not part.sheet.crossings and glued > _WHOLLY * part.facet.polygon.area


def _narrow_glue(case: Case, piece: str, rows: list[tuple[float, Join]], limits: Limits) -> Finding:
    width, join = min(rows, key=lambda row: row[0])
    facet = case.facets.index(join.facet)
    held = f"only {width:z.1f} mm wide" if width else f"empty: {_apart(case, join)}"
    more = f" (and {len(rows) - 1} more of {piece})" if len(rows) > 1 else ""
    return Finding(
        "makeable",
        "warning" if width else "problem",
        "narrow glue",
        piece,
        tuple(dict.fromkeys(name for _, j in rows for name in (j.facet, j.host))),
        f"the area of glue between {join.facet} and {join.host} is {held}{more}",
        amount=width,
        unit="mm",
        limit=limits.glue_width,
        place=case.place("area", case.corners(facet, case.widest), case.widest),
    )


def _apart(case: Case, join: Join) -> str:
    """That the two do not meet, and where the host lies on its sheet, for whoever gave x and y."""
    host = case.linkage.place(join.host)[1].facet.polygon
    left, low, right, high = host.bounds
    return (
        f"the two do not meet; on its sheet {join.host} lies at x {left:z.1f} to {right:z.1f} mm "
        f"and y {low:z.1f} to {high:z.1f} mm"
    )


def _half_off(case: Case, areas_of: Sequence[Sequence[Polygon]]) -> list[Finding]:
    """Tabs of which too little lies on their host; those that miss it are told as narrow glue."""
    found = []
    for join, areas in zip(case.joins, areas_of, strict=True):
        if not areas or not _is_tab(case, join):
            continue
        facet = case.facets.index(join.facet)
        share = sum(area.area for area in areas) / case.facets.polygons[facet].area
        if share >= _ON_HOST:
            continue
        found.append(
            Finding(
                "makeable",
                "warning" if share >= _HALF else "problem",
                "half off",
                case.facets.pieces[facet],
                (join.facet, join.host),
                f"only {100 * share:z.0f} % of tab {join.facet} lies on {join.host}, the rest "
                "hangs over its edge",
                amount=100 * share,
                unit="percent",
                limit=100 * _ON_HOST,
                place=case.place("area", case.corners(facet, case.widest), case.widest),
            )
        )
    return found


def _is_tab(case: Case, join: Join) -> bool:
    """Whether a facet hangs on one fold of a larger one, so that it is there for its glue alone."""
    _, part = case.linkage.place(join.facet)
    folds = [
        crossing
        for crossing in part.sheet.crossings
        if part.facet.name in (crossing.left, crossing.right)
    ]
    if len(folds) != 1:
        return False
    other = folds[0].left if folds[0].right == part.facet.name else folds[0].right
    across = next(facet for facet in part.sheet.facets if facet.name == other)
    return bool(part.facet.polygon.area < across.polygon.area)


def _slivers(case: Case, areas_of: Sequence[Sequence[Polygon]]) -> list[Finding]:
    """Areas of glue too narrow to be worth it, beside a wider one of the same two facets."""
    found = []
    for join, areas in zip(case.joins, areas_of, strict=True):
        if len(areas) < 2:
            continue
        widths = {k: glue_width(area) for k, area in enumerate(areas)}
        narrowest = min(widths, key=lambda k: widths[k])
        if widths[narrowest] >= _SLIVER_MM:
            continue
        facet, area = case.facets.index(join.facet), areas[narrowest]
        corners = case.world(facet, shapely.get_coordinates(area.exterior), case.widest)
        count = sum(width < _SLIVER_MM for width in widths.values())
        found.append(
            Finding(
                "makeable",
                "note",
                "glue sliver",
                case.facets.pieces[facet],
                (join.facet, join.host),
                f"{join.facet} and {join.host} also meet in a sliver {widths[narrowest]:z.1f} mm "
                f"wide ({area.area:z.2f} mm²)"
                + (f" and {count - 1} more" if count > 1 else "")
                + ", better left dry",
                amount=widths[narrowest],
                unit="mm",
                limit=_SLIVER_MM,
                place=case.place("area", corners, case.widest),
            )
        )
    return found
