"""A sheet with strips of some of its facets cut away, beside folds of others that shut over it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import shapely
from shapely.geometry import LineString, Polygon

from meshes.sheet import Crossing, Sheet, sound

from .reshape import LEAST_LEFT, CannotMove

_LEAST_FOLD_MM = 2.0  # our choice: what is left of a fold must hold
_CRUMB_MM2 = 1e-6  # our choice: rounding


def trimmed(sheet: Sheet, strips: Mapping[str, Sequence[Polygon]]) -> Sheet:
    """Cut strips away.

    Parameters
    ----------
    strips : for facets by name, in the coordinates of the sheet, mm.

    Raises
    ------
    CannotMove
        If a fold would be cut through, a facet would fall apart or get a hole, or too little of it
        would be left.
    """
    facets = []
    for facet in sheet.facets:
        called = facet.name if len(sheet.facets) > 1 else "it"
        left = facet.polygon.difference(shapely.union_all(list(strips.get(facet.name, ()))))
        parts = [p for p in shapely.get_parts(left) if p.area > _CRUMB_MM2]
        if len(parts) > 1:
            raise CannotMove(f"{called} would fall into pieces")
        if parts and len(parts[0].interiors) != len(facet.polygon.interiors):
            raise CannotMove(
                f"a hole would be cut into {called}, or one of its own would be opened"
            )
        if not parts or parts[0].area < LEAST_LEFT * facet.polygon.area:
            raise CannotMove(f"too little of {called} would be left")
        shape = parts[0] if facet.name in strips else facet.polygon
        facets.append(replace(facet, polygon=shapely.orient_polygons(shape)))
    crossings = tuple(_shortened(crossing, strips) for crossing in sheet.crossings)
    bare = replace(sheet, facets=tuple(facets), crossings=crossings, uncut=None)
    try:
        return replace(bare, uncut=sound(bare.outline))
    except ValueError as error:
        raise CannotMove(str(error)) from None


def _shortened(crossing: Crossing, strips: Mapping[str, Sequence[Polygon]]) -> Crossing:
    """A fold as far as both of its facets still reach."""
    cut = [*strips.get(crossing.left, ()), *strips.get(crossing.right, ())]
    fold = crossing.fold
    line = LineString([fold.start, fold.end])
    left = line.difference(shapely.union_all(cut)) if cut else line
    if left.equals(line):
        return crossing
    if not isinstance(left, LineString) or left.length < _LEAST_FOLD_MM:
        raise CannotMove("its own fold lies in that one")
    start, end = ((float(x), float(y)) for x, y in left.coords)
    return replace(crossing, fold=replace(fold, start=start, end=end))
