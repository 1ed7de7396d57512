"""Curled paper of a piece, as a design file gives it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fnmatch import fnmatchcase
from typing import Annotated, Literal

import numpy as np
import shapely
from pydantic import BaseModel, ConfigDict, Field

from meshes.curl.strips import free_parts, parts_between, reach
from meshes.errors import DesignError, Mistake
from meshes.measure import Shift, mm, number
from meshes.sheet import Built, Curl, Facet, Join, Placement, Sheet, Vector

Point = Annotated[tuple[Shift, Shift], Field()]

# A pencil is about 7 mm thick (from memory).
_PENCIL_MM = 7.0
# Card that is bent round less than so many of its thicknesses breaks into creases instead: its
# outer face would be stretched by a tenth. From memory: paper bears a few percent, and yields more.
_LEAST_CALIPERS = 10.0
# A roll that goes on for longer meets itself, radians. Our choice: a little less than all round.
_MOST_TURN = float(np.radians(330.0))
# What is rolled beyond the line is at least so deep, mm. Our choice.
_LEAST_MM = 0.5
# Overlaps smaller than this are rounding, mm². Our choice.
_TOUCH_MM2 = 1e-3


class CurlSpec(BaseModel):
    """Paper that is rolled over a pencil or a rod and springs back in part.

    Beyond a line the paper of a facet becomes part of a cylinder whose axis runs along that line;
    lengths on the paper stay as they are. What is rolled must be free: no fold, hole or slit lies
    beyond the line, and nothing is glued on it; paper that is itself glued on something is glued
    only as far as the line. Shut pages press it flat. As they open it curls, evenly, as far as it
    has room, also while a hand moves it or other paper past it.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    facet: str = Field(
        description="facet that is rolled; `*` stands for any letters, as in `petal*`"
    )
    beyond: Annotated[float, mm()] | None = Field(
        None, description="distance of the line from the facet's only fold, to which it is parallel"
    )
    line: tuple[Point, Point] | None = Field(
        None,
        description="two points of the line instead, in the coordinates of the sheet; what lies "
        "left of it is rolled, as one looks along it at the printed side",
    )
    over: Annotated[float, mm(1, 500)] = Field(
        _PENCIL_MM,
        description="diameter of what it is rolled over; a pencil has 7 mm (from memory)",
    )
    towards: Literal["front", "back"] = Field(
        "front", description="rolled towards the printed side, or away from it"
    )
    kept: Annotated[float, number(0.05, 1)] = Field(
        0.6,
        description="share of the curvature that stays once the paper has sprung back (our choice; "
        "try it on a scrap)",
    )


def roll(built: Built, specs: Sequence[CurlSpec]) -> Built:
    """The sheets with their curls.

    Raises
    ------
    DesignError
        With a line for each entry that can't be had.
    """
    mistakes: list[Mistake] = []
    curls: dict[tuple[str, str], Curl] = {}
    for k, spec in enumerate(specs, 1):
        try:
            for sheet, facet in _facets(built, spec):
                if (sheet.name, facet.name) in curls:
                    raise _Wrong("facet", "is rolled by another entry already", facet.name)
                curls[sheet.name, facet.name] = _curl(sheet, facet, spec, k)
        except _Wrong as wrong:
            key = f"curl.{k}.{wrong.key}"
            mistakes.append(
                Mistake("", wrong.problem, "", key, wrong.found, wrong.allowed, wrong.advice)
            )
    if mistakes:
        raise DesignError(mistakes)
    sheets = tuple(
        replace(s, curls=tuple(curl for (name, _), curl in curls.items() if name == s.name))
        for s in built.sheets
    )
    return replace(built, sheets=sheets)


@dataclass
class _Wrong(Exception):
    """Why an entry can't be had."""

    key: str
    problem: str
    found: str = ""
    allowed: str = ""
    advice: str = ""


def _facets(built: Built, spec: CurlSpec) -> list[tuple[Sheet, Facet]]:
    every = [(sheet, facet) for sheet in built.sheets for facet in sheet.facets]
    found = [(s, f) for s, f in every if fnmatchcase(f.name, spec.facet)]
    if not found:
        names = ", ".join(f.name for _, f in every)
        raise _Wrong("facet", "there is no such facet", repr(spec.facet), names[:200])
    return found


def _curl(sheet: Sheet, facet: Facet, spec: CurlSpec, k: int) -> Curl:
    start, end = _line(sheet, facet, spec)
    curl = Curl(
        facet.name, start, end, spec.over, spec.kept, 1 if spec.towards == "front" else -1, k
    )
    key = "beyond" if spec.line is None else "line"
    least = _LEAST_CALIPERS * sheet.paper.caliper
    if spec.over < least:
        raise _Wrong(
            "over",
            f"creases {sheet.paper.name} of {sheet.paper.caliper:.2f} mm instead of curling it",
            f"{spec.over:g} mm",
            f"{least:.1f} mm or more",
        )
    depth = reach(curl, facet.polygon)
    if depth < _LEAST_MM:
        allowed = f"a line at least {_LEAST_MM:g} mm before the edge of {facet.name}"
        raise _Wrong(key, f"no paper of {facet.name} lies beyond the line", allowed=allowed)
    held = parts_between(curl, facet.polygon, -np.inf, 0.0)
    if len(held) != 1:
        what = "parts the paper before it" if held else "leaves no paper before it"
        raise _Wrong(key, f"the line {what}", facet.name, advice="move the line")
    turn = depth / curl.radius(sheet.paper.caliper)
    if turn > _MOST_TURN:
        raise _Wrong(
            "over",
            f"would roll {facet.name} into itself, by {np.degrees(turn):.0f}°",
            f"{spec.over:g} mm",
            f"{_widest(depth, spec.kept, sheet.paper.caliper):.1f} mm or more",
            "or begin the line farther out",
        )
    _check_free(sheet, facet, curl, key)
    return curl


def _widest(depth: float, kept: float, caliper: float) -> float:
    """The least diameter over which so much paper does not meet itself, rounded up, mm."""
    least = 2 * depth * kept / _MOST_TURN - caliper
    return float(np.ceil(10 * least) / 10)


def _line(sheet: Sheet, facet: Facet, spec: CurlSpec) -> tuple[Vector, Vector]:
    if (spec.line is None) == (spec.beyond is None):
        what = "is missing" if spec.line is None else "can't stand beside `line`"
        raise _Wrong("beyond", what, advice="give either `beyond` or `line`")
    if spec.line is not None:
        start, end = spec.line
        if np.hypot(end[0] - start[0], end[1] - start[1]) < _LEAST_MM:
            raise _Wrong("line", "both points are the same", advice="give two places")
        return start, end
    own = [c for c in sheet.crossings if facet.name in (c.left, c.right)]
    if len(own) != 1:
        raise _Wrong(
            "beyond",
            f"{facet.name} has {len(own) or 'no'} folds, so it is not clear from which",
            advice="give `line`, two points",
        )
    fold = own[0].fold
    ends = np.array([fold.start, fold.end], float)
    if own[0].left != facet.name:
        ends = ends[::-1]
    along = (ends[1] - ends[0]) / fold.length
    a, b = ends + float(spec.beyond or 0.0) * np.array([-along[1], along[0]])
    return (float(a[0]), float(a[1])), (float(b[0]), float(b[1]))


def _check_free(sheet: Sheet, facet: Facet, curl: Curl, key: str) -> None:
    """Complain of a fold, a hole or a slit beyond the line."""
    origin, _, across = curl.frame
    swap = "swap the two points" if key == "line" else ""
    for crossing in sheet.crossings:
        if facet.name in (crossing.left, crossing.right):
            fold = crossing.fold
            ends = np.array([fold.start, fold.end], float)
            if ((ends - origin) @ across).max() > 1e-6:
                raise _Wrong(
                    key,
                    f"the fold {fold.name} lies beyond the line",
                    facet.name,
                    advice=f"move the line farther out{', or ' + swap if swap else ''}",
                )
    for ring in facet.polygon.interiors:
        if ((np.asarray(ring.coords)[:, :2] - origin) @ across).max() > 1e-6:
            raise _Wrong(
                key, "a hole or slit lies beyond the line", facet.name, advice="move the line"
            )


def complaints(sheets: Sequence[Sheet], joins: Sequence[Join]) -> Iterator[Mistake]:
    """What holds curled paper down: glue on it, or other paper on the side to which it curls.

    Parameters
    ----------
    sheets : of the whole spread, with the pages.
    """
    facets = {f"{s.piece}.{f.name}": (s, f) for s in sheets for f in s.facets}
    for sheet in sheets:
        for curl in sheet.curls:
            own = f"{sheet.piece}.{curl.facet}"
            free = shapely.union_all(free_parts(sheet, curl))
            for join in joins:
                problem = _held(own, curl, free, join, facets)
                if problem:
                    key = f"curl.{curl.number}"
                    yield Mistake(
                        "", problem, sheet.piece, key, advice="move the line, or curl other paper"
                    )


def _held(
    own: str,
    curl: Curl,
    free: shapely.Geometry,
    join: Join,
    facets: Mapping[str, tuple[Sheet, Facet]],
) -> str:
    if own == join.host and own != join.facet:
        on = join.placement.polygon(facets[join.facet][1].polygon)
        if _overlap(on, free):
            return f"{join.facet} is glued on {own} beyond the line"
    if own == join.facet and own != join.host:
        placement: Placement = join.placement
        under = placement.inverse().polygon(facets[join.host][1].polygon)
        # The host lies on the side to which the facet's own glue looks.
        host_side = -join.side * placement.up
        if _overlap(under, free) and host_side == curl.towards:
            return f"{own} lies on {join.host} and would curl into it"
    return ""


def _overlap(shape: shapely.Geometry, free: shapely.Geometry) -> bool:
    return bool(shapely.intersection(shape, free).area > _TOUCH_MM2)
