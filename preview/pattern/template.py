"""What has to be drawn of one sheet: its cuts, folds and glue areas, in its own millimetres."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from shapely.geometry import LineString, Polygon

from meshes.sheet import Drive, Join, Sheet, Vector
from preview.roles import plain, sheet_role

from .glue import GlueArea, glue_areas
from .rolls import RollMark, roll_marks

PAGE = "page"
# Facets meet at their folds up to rounding; shapes are put together on this grid. Our choice.
_GRID_MM = 1e-5


@dataclass(frozen=True)
class FoldMark:
    """One fold: `sign` +1 mountain, -1 valley, as seen from the printed face.

    Parameters
    ----------
    angle_deg : at full opening, if it is known.
    rest : rest angle, radians.
    stiffness : relative to an ordinary fold.
    forgives : mm by which it may lie off its place, where a hand must take care.
    """

    name: str
    start: Vector
    end: Vector
    sign: int
    angle_deg: float | None
    rest: float
    stiffness: float
    forgives: float | None = None

    @property
    def length(self) -> float:
        """Length in mm."""
        return float(np.hypot(self.end[0] - self.start[0], self.end[1] - self.start[1]))


@dataclass(frozen=True)
class Template:
    """One sheet as it is drawn, y up, mm.

    Parameters
    ----------
    number : of the template in its pattern, from 1.
    outline : its holes are slits and windows.
    labels : a point inside each facet.
    pivots : where a paper fastener goes through.
    laid : outlines of parts that lie there without glue.
    is_page : a page of the notebook: nothing to cut out, but a placing sheet for where tabs land.
    several : its piece has further sheets.
    part : which part of a piece larger than the sheet, as in ``part 1 of 2``.
    along : direction of the whole piece's longest fold, radians, for a part of it.
    rolls : lines from which on it is rolled.
    """

    number: int
    sheet: Sheet
    outline: Polygon
    folds: tuple[FoldMark, ...]
    glue: tuple[GlueArea, ...]
    labels: Mapping[str, Vector]
    is_page: bool = False
    pivots: tuple[Vector, ...] = ()
    laid: tuple[Polygon, ...] = ()
    several: bool = False
    part: str = ""
    along: float | None = None
    rolls: tuple[RollMark, ...] = ()

    @property
    def words(self) -> str:
        """What is written on it: its number comes first, for spots too small for its name."""
        if self.is_page:
            return self.title
        return f"{self.number}  {self.title}" + (f", {self.part}" if self.part else "")

    @property
    def lengthwise(self) -> float | None:
        """Direction of the longest fold, radians; None without folds."""
        if self.along is not None or not self.folds:
            return self.along
        longest = max(self.folds, key=lambda fold: fold.length)
        (x0, y0), (x1, y1) = longest.start, longest.end
        return math.atan2(y1 - y0, x1 - x0)

    @property
    def title(self) -> str:
        """What a person calls it, as the guide does."""
        if self.is_page:
            return f"{self.sheet.facets[0].name} page"
        piece = plain(self.sheet.piece)
        return f"{piece}: {sheet_role(self.sheet)}" if self.several else piece


def templates(
    sheets: Sequence[Sheet],
    joins: Sequence[Join],
    angles_deg: Mapping[str, float] | None = None,
    drives: Sequence[Drive] = (),
    care: Mapping[str, float] | None = None,
) -> tuple[Template, ...]:
    """Templates of all sheets; the two pages last, and only those on which something lands.

    Parameters
    ----------
    angles_deg : ``piece.fold`` to its angle at full opening, degrees, for labels.
    drives : parts that a hand moves; they lie on their hosts without glue.
    care : ``piece.fold`` to what it forgives, mm, where a hand must take care.
    """
    areas = glue_areas(sheets, joins, drives)
    made: list[Template] = []
    count = Counter(sheet.piece for sheet in sheets)
    for sheet in [s for s in sheets if s.piece != PAGE]:
        piece = _template(len(made) + 1, sheet, areas, angles_deg or {}, care or {})
        piece = replace(piece, several=count[sheet.piece] > 1)
        made.append(_with_drives(piece, drives, sheets))
    for sheet in [s for s in sheets if s.piece == PAGE]:
        for half in _halves(sheet):
            page = _template(len(made) + 1, half, areas, {}, {}, is_page=True)
            page = _with_drives(page, drives, sheets)
            if page.glue or page.outline.interiors or page.laid:
                made.append(page)
    return tuple(made)


def _with_drives(template: Template, drives: Sequence[Drive], sheets: Sequence[Sheet]) -> Template:
    """The template with fastener holes, and with what lies on it without glue."""
    facets = {f"{s.piece}.{f.name}": f.polygon for s in sheets for f in s.facets}
    own = {f"{template.sheet.piece}.{facet.name}" for facet in template.sheet.facets}
    pivots: list[Vector] = []
    laid: list[Polygon] = []
    for drive in drives:
        move = drive.join.placement
        if drive.kind == "turn" and drive.join.facet in own:
            pivots.append(drive.axis)
        if drive.join.host not in own or drive.kind == "flyleaf":
            continue
        laid.append(move.polygon(facets[drive.join.facet]))
        if drive.kind == "turn":
            x, y = move.apply(np.asarray(drive.axis))
            pivots.append((float(x), float(y)))
    return replace(template, pivots=tuple(pivots), laid=tuple(laid))


def _halves(sheet: Sheet) -> list[Sheet]:
    """The pages one by one: a spread is often too wide for a sheet of paper."""
    return [
        Sheet(
            sheet.name,
            sheet.piece,
            sheet.paper,
            sheet.front,
            sheet.back,
            (facet,),
            uncut=facet.polygon,
        )
        for facet in sheet.facets
    ]


def _template(
    number: int,
    sheet: Sheet,
    areas: Sequence[GlueArea],
    angles_deg: Mapping[str, float],
    care: Mapping[str, float],
    is_page: bool = False,
) -> Template:
    own = {f"{sheet.piece}.{facet.name}" for facet in sheet.facets}
    folds = [
        FoldMark(
            crossing.fold.name,
            crossing.fold.start,
            crossing.fold.end,
            crossing.fold.sign,
            angles_deg.get(f"{sheet.piece}.{crossing.fold.name}"),
            crossing.fold.rest,
            crossing.fold.stiffness,
            care.get(f"{sheet.piece}.{crossing.fold.name}"),
        )
        for crossing in sheet.crossings
    ]
    labels = {}
    for facet in sheet.facets:
        inside = facet.polygon.representative_point()
        labels[facet.name] = (float(inside.x), float(inside.y))
    return Template(
        number,
        sheet,
        sheet.outline,
        tuple(folds),
        tuple(area for area in areas if area.facet in own),
        labels,
        is_page,
        rolls=roll_marks(sheet),
    )


def fold_lines(template: Template) -> list[LineString]:
    """Its folds as lines."""
    return [LineString([fold.start, fold.end]) for fold in template.folds]
