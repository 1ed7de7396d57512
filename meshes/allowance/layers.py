"""Which facets lie off the plane that the design gives them, and by how much.

The design has no thickness, so a sheet round another has the size of the other. Three things are
told by geometry alone, whatever the kind of a piece:

- a sheet is glued on another along both sides of a fold that they share: it is wrapped round it;
- a sheet is glued to itself, as a box by its flap or a lid by its tab: it is closed;
- two sheets without glue between them lie on each other at two corners or more when the spread is
  open: one is in the other, as a box in a box.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from meshes.building.step import kept_flat
from meshes.linkage import Linkage
from meshes.sheet import Crossing, Fold, Join, Sheet

from .planes import Plane

Why = Literal["round", "inside", "closed", "loop", "slit", "shut"]
# Folds that coincide in the design do so by formula: our choice, far above rounding.
NEAR_MM = 1e-3
_PARALLEL = 1e-6  # our choice


@dataclass(frozen=True)
class RaisedFacet:
    """A facet off its plane.

    Parameters
    ----------
    offset : mm, along the normal of its printed face.
    why : what it is for.
    other : piece that it goes round or into, its own if it is closed on itself.
    loose : no glue holds it there.
    """

    offset: float
    why: Why
    other: str
    loose: bool = False


def glued(
    sheets: Sequence[Sheet],
    joins: Sequence[Join],
    linkage: Linkage,
    nested: Mapping[str, RaisedFacet],
) -> dict[str, RaisedFacet]:
    """Facets that glue holds off their plane, by id, and those of `nested`."""
    owner = {f"{s.piece}.{f.name}": s for s in sheets for f in s.facets}
    flat = kept_flat(sheets, joins)
    real = [j for k, j in enumerate(joins) if k not in flat and j.lift == 0]
    parts = {part.id: part for body in linkage.bodies for part in body.parts}
    why: dict[str, tuple[Join, Why]] = {}
    for join in real:
        if owner[join.facet] is owner[join.host] and _closes(owner[join.facet], join):
            why[join.facet] = (join, "closed")
    for sheet in sheets:
        for join in _wrapping(sheet, real, owner):
            why.setdefault(join.facet, (join, "round"))
    found: dict[str, RaisedFacet] = {}

    def of(facet: str, above: tuple[str, ...] = ()) -> float:
        if facet in found:
            return found[facet].offset
        if facet not in why or facet in above:
            return nested[facet].offset if facet in nested else 0.0
        join, reason = why[facet]
        own, host = parts[facet], parts[join.host]
        step = (own.height - host.height) * own.placement.up
        below = of(join.host, (*above, facet)) * own.placement.up * host.placement.up
        found[facet] = RaisedFacet(step + below, reason, owner[join.host].piece)
        return found[facet].offset

    for facet in why:
        of(facet)
    return {**nested, **found}


def lying(
    sheets: Sequence[Sheet], layers: Mapping[str, RaisedFacet], where: Mapping[str, Plane]
) -> dict[str, RaisedFacet]:
    """Facets without glue beside wrapped ones that lie on what these are wrapped round."""
    found, by_piece = dict(layers), _facets_by_piece(sheets)
    waiting = [name for name, layer in layers.items() if layer.why == "round"]
    while waiting:
        name = waiting.pop()
        piece, _, own = name.partition(".")
        sheet = next(s for s in sheets if s.piece == piece and own in {f.name for f in s.facets})
        for crossing in _folds_of(sheet, own):
            beyond = crossing.right if crossing.left == own else crossing.left
            other = f"{piece}.{beyond}"
            if other not in found and any(
                against(where[other], where[host]) for host in by_piece[found[name].other]
            ):
                found[other] = replace(found[name], loose=True)
                waiting.append(other)
    return found


def _facets_by_piece(sheets: Sequence[Sheet]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for sheet in sheets:
        names = (f"{sheet.piece}.{facet.name}" for facet in sheet.facets)
        found.setdefault(sheet.piece, []).extend(names)
    return found


def against(one: Plane, two: Plane) -> bool:
    """Whether two facets lie in one plane and over each other."""
    if 1 - abs(one.normal @ two.normal) > _PARALLEL:
        return False
    laid = one.local(two.world(np.asarray(two.shape.exterior.coords)))
    if np.abs(laid[:, 2]).max() > NEAR_MM:
        return False
    return bool(shapely.make_valid(Polygon(laid[:, :2])).intersection(one.shape).area > 1.0)


def _closes(sheet: Sheet, join: Join) -> bool:
    """Whether a join closes a tube: what hangs on its facet is a strip, not the wedge of a cone."""
    name = join.facet.partition(".")[2]
    for closing in _folds_of(sheet, name):
        beyond = closing.right if closing.left == name else closing.left
        for other in _folds_of(sheet, beyond):
            turn = abs(np.sin(2 * (_direction(closing.fold) - _direction(other.fold))))
            if turn > _PARALLEL:
                return False
    return True


def _wrapping(sheet: Sheet, joins: Sequence[Join], owner: Mapping[str, Sheet]) -> Iterator[Join]:
    """Joins on both sides of a fold, to both sides of the same fold of another sheet."""
    glue: dict[str, list[Join]] = {}
    for join in joins:
        if owner[join.facet] is sheet and owner[join.host] is not sheet:
            glue.setdefault(join.facet, []).append(join)
    for crossing in sheet.crossings:
        left, right = (f"{sheet.piece}.{side}" for side in (crossing.left, crossing.right))
        for one in glue.get(left, ()):
            for two in glue.get(right, ()):
                if owner[one.host] is owner[two.host] and _same_fold(
                    crossing.fold, one, two, owner[one.host]
                ):
                    yield from (one, two)


def _same_fold(fold: Fold, one: Join, two: Join, host: Sheet) -> bool:
    ends = one.placement.apply([fold.start, fold.end])
    hosts = {one.host.partition(".")[2], two.host.partition(".")[2]}
    for crossing in host.crossings:
        line = LineString([crossing.fold.start, crossing.fold.end])
        if {crossing.left, crossing.right} == hosts and on_line(ends, line):
            return line.intersection(LineString(ends).buffer(NEAR_MM)).length > NEAR_MM
    return False


def on_line(points: np.ndarray, line: LineString) -> bool:
    """Whether points, shape (n, 2), lie on the straight line through a segment."""
    start, end = np.asarray(line.coords)
    along = (end - start) / np.linalg.norm(end - start)
    off = (points - start) @ np.array([-along[1], along[0]])
    return bool(np.abs(off).max() < NEAR_MM)


def _folds_of(sheet: Sheet, facet: str) -> list[Crossing]:
    return [c for c in sheet.crossings if facet in (c.left, c.right)]


def _direction(fold: Fold) -> float:
    return float(np.arctan2(fold.end[1] - fold.start[1], fold.end[0] - fold.start[0]))
