"""Sheets in each other without glue between them, as a box in a box or under its lid."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import shapely
from shapely.geometry import Polygon

from meshes.sheet import Crossing, Sheet

from .layers import RaisedFacet
from .planes import Plane

# Room on each side of what slips into something else: common practice, no source.
PLAY_MM = 0.2
# Corners of a tube are folds between these angles: our choice.
CORNER_DEG = (45.0, 135.0)
_PARALLEL = 1e-4  # our choice
_COMMON_MM2 = 1.0  # our choice


def nested(
    sheets: Sequence[Sheet], where: dict[str, Plane], inward: dict[str, float]
) -> dict[str, RaisedFacet]:
    """Facets of inner sheets, by id, and how far they must lie inside of their planes.

    Where neither is inside of the other, the one that the design has first is.

    Parameters
    ----------
    inward : how far closing flaps and tabs lie off their planes, by facet.
    """
    corners = {k: list(_corners(sheet, where)) for k, sheet in enumerate(sheets) if k}
    found: dict[str, RaisedFacet] = {}
    for a, b in combinations([k for k, own in corners.items() if len(own) >= 2], 2):
        pairs = list(_pairs(sheets[a], sheets[b], corners[a], corners[b], where))
        gaps = [gap for pair in pairs for gap in pair.gaps]
        faces = {pair.faces for pair in pairs}
        if len(pairs) < 2 or len(faces) > 1 or (min(gaps) < -1e-6 and max(gaps) > 1e-6):
            continue
        ((mine, other),) = faces
        if min(gaps) > -1e-6:
            _go_in(found, sheets[a], sheets[b], mine, where, inward)
        else:
            _go_in(found, sheets[b], sheets[a], other, where, inward)
    return found


def _go_in(
    found: dict[str, RaisedFacet],
    inner: Sheet,
    outer: Sheet,
    outside: int,
    where: dict[str, Plane],
    inward: dict[str, float],
) -> None:
    """Add how far the walls of an inner sheet must lie inside of their planes.

    Parameters
    ----------
    outside : +1 if the printed face of the inner sheet looks outside.
    """
    need = (inner.paper.caliper + outer.paper.caliper) / 2 + PLAY_MM
    short: dict[str, float] = {}
    for mine in (f"{inner.piece}.{facet.name}" for facet in inner.facets):
        for other in (f"{outer.piece}.{facet.name}" for facet in outer.facets):
            gap = _gap(where[mine], where[other], need)
            if gap is not None:
                far = need + abs(inward.get(other, 0.0)) - abs(gap)
                short[mine] = max(far, short.get(mine, 0.0))
    # All alike, as far as the worst needs: opposite walls stay equal, so that it shuts flat.
    most = max(short.values(), default=0.0)
    for mine in short if most > 0 else ():
        if mine not in found or most > abs(found[mine].offset):
            found[mine] = RaisedFacet(-outside * most, "inside", outer.piece, loose=True)


def _corners(sheet: Sheet, where: dict[str, Plane]) -> Iterator[Crossing]:
    for crossing in sheet.crossings:
        one, two = (where[f"{sheet.piece}.{side}"] for side in (crossing.left, crossing.right))
        angle = np.degrees(np.arccos(np.clip(one.normal @ two.normal, -1, 1)))
        if CORNER_DEG[0] <= angle <= CORNER_DEG[1]:
            yield crossing


@dataclass(frozen=True)
class _Pair:
    """Two corners whose walls lie on each other.

    Parameters
    ----------
    faces : of both sheets, +1 if the printed face looks out of the corner, else -1.
    gaps : how far the walls of the second lie outside of those of the first, mm.
    """

    faces: tuple[int, int]
    gaps: tuple[float, float]


def _pairs(
    a: Sheet,
    b: Sheet,
    mine: Sequence[Crossing],
    others: Sequence[Crossing],
    where: dict[str, Plane],
) -> Iterator[_Pair]:
    reach = (a.paper.caliper + b.paper.caliper) / 2 + PLAY_MM
    for one in mine:
        walls = [where[f"{a.piece}.{side}"] for side in (one.left, one.right)]
        for two in others:
            for sides in ((two.left, two.right), (two.right, two.left)):
                gaps = [
                    _gap(wall, where[f"{b.piece}.{side}"], reach)
                    for wall, side in zip(walls, sides, strict=True)
                ]
                first, second = gaps
                if first is not None and second is not None:
                    out = one.fold.sign
                    yield _Pair((out, two.fold.sign), (first * out, second * out))


def _gap(first: Plane, second: Plane, reach: float) -> float | None:
    """How far a facet that lies against another is off it on its printed side, mm."""
    if first.body == second.body or 1 - abs(first.normal @ second.normal) > _PARALLEL:
        return None
    laid = first.local(second.world(np.asarray(second.shape.exterior.coords)))
    gap = float(laid[:, 2].mean()) * first.up
    if abs(gap) >= reach:
        return None
    common = shapely.make_valid(Polygon(laid[:, :2])).intersection(first.shape)
    return gap if common.area > _COMMON_MM2 else None
