"""A piece larger than the sheet, in parts that are glued together before anything else.

A piece is parted along straight lines, either along a fold that crosses it from edge to edge or
across paper where no fold is near. The part before the line goes on beyond it by the overlap; the
other part is laid on this strip, printed side up, and ends at the line. Both carry the same letter.
Parts are again parted until all of them fit.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from meshes.rectangle import smallest_rectangle
from meshes.sheet import Facet, Sheet

from .glue import GlueArea
from .rolls import clipped_to
from .template import FoldMark, Template, fold_lines

# Nearer to a fold a doubled edge would hinder it. Source: the makers who asked for it.
KEEP_MM = 8.0
# A part this narrow is no help, and lines are tried at this distance from each other. Our choice.
_LEAST_MM, _STEP_MM = 15.0, 5.0
# Where no part fits at once parts must shrink to the first share, else to the second. Our choice.
_SHRINK, _LEAST_LESS = 0.75, 0.95
# Share of a seam that must be held by an overlap. Our choice.
_LEAST_HELD = 0.6
# A strip of paper narrower than this tears under the knife. Common practice, no source.
_NARROW_MM = 1.0
# Rounding that is no loss, mm and mm². Our choice.
_HAIR_MM = 1e-3

Fits = Callable[[Polygon, float | None], bool]


class CannotPart(ValueError):
    """No line parts a piece as it must be parted; the text says why."""


@dataclass(frozen=True)
class _Cut:
    """A parted piece: `before` goes on by the overlap, the strip, on which `after` is laid."""

    before: Polygon
    after: Polygon
    strip: Polygon


def parted(
    template: Template, fits: Fits, overlap: float, letters: Iterator[str]
) -> list[Template]:
    """The parts of a template, from the first that is laid down to the last.

    Parameters
    ----------
    fits : whether an outline fits on the sheet whose longest fold has this direction, radians.
    overlap : mm.
    letters : names for the overlaps.

    Raises
    ------
    CannotPart
        If no line keeps clear of the folds and gives a part that fits.
    """
    waiting, done = [replace(template, along=template.lengthwise)], []
    while waiting:
        part = waiting.pop()
        if fits(part.outline, part.along):
            done.append(part)
            continue
        cut = _best(part, fits, overlap)
        if cut is None:
            raise CannotPart(
                f"{template.title} can't be parted: every line across it comes within "
                f"{KEEP_MM:g} mm of a fold, or leaves parts too large for the sheet"
            )
        before, after = _both(part, cut, next(letters))
        # The part before the line is put down first, so it comes first in the list.
        waiting += [after, before]
    return [replace(part, part=f"part {k} of {len(done)}") for k, part in enumerate(done, 1)]


def _best(template: Template, fits: Fits, overlap: float) -> _Cut | None:
    """The line that leaves the largest part that fits; else the one that halves best.

    Lines that leave hair-thin spikes only where all others do.
    """
    best, most = None, (-1, False, -1.0)
    for line in _lines(template):
        for cut in _cuts_along(template, line, overlap):
            both = (cut.before, cut.after)
            fitting = [shape.area for shape in both if fits(shape, template.along)]
            most_left = _LEAST_LESS if fitting else _SHRINK
            if max(shape.area for shape in both) > most_left * template.outline.area:
                continue
            large = max(fitting, default=min(cut.before.area, cut.after.area))
            clean = all(_thin(shape) <= _thin(template.outline) + _HAIR_MM for shape in both)
            rank = (len(fitting), clean, large)
            if rank > most:
                best, most = cut, rank
    return best


def _thin(outline: Polygon) -> float:
    """Area of what is narrower than a knife follows, mm²: spikes beside a seam."""
    wide = outline.buffer(-_NARROW_MM / 2, join_style="mitre")
    wide = wide.buffer(_NARROW_MM / 2 + _HAIR_MM, join_style="mitre", mitre_limit=20)
    return float(outline.difference(wide).area)


def _lines(template: Template) -> Iterator[LineString]:
    """Lines across a piece worth trying: along its folds, and parallel to the box around it."""
    for fold in template.folds:
        start, end = np.array(fold.start), np.array(fold.end)
        step = (end - start) / fold.length * template.outline.length
        yield LineString([start - step, end + step])
    corners = smallest_rectangle(template.outline)
    side = corners[1] - corners[0]
    middle = template.outline.centroid
    for turn in {0.0, round(float(np.arctan2(side[1], side[0])), 9)}:
        straight = affinity.rotate(template.outline, -turn, origin=middle, use_radians=True)
        left, bottom, right, top = straight.bounds
        found = [
            LineString([(x, bottom - 1), (x, top + 1)])
            for x in np.arange(left + _LEAST_MM, right - _LEAST_MM, _STEP_MM)
        ]
        found += [
            LineString([(left - 1, y), (right + 1, y)])
            for y in np.arange(bottom + _LEAST_MM, top - _LEAST_MM, _STEP_MM)
        ]
        for line in found:
            yield affinity.rotate(line, turn, origin=middle, use_radians=True)


def _cuts_along(template: Template, line: LineString, overlap: float) -> Iterator[_Cut]:
    """Both ways to part a piece along a line, if it is a sound one."""
    outline = template.outline
    seam = line.intersection(outline)
    if not isinstance(seam, LineString) or seam.length < _HAIR_MM:
        return
    halves = _halves(outline, line)
    if len(halves) != 2:
        return
    folds = np.array(fold_lines(template), dtype=object)
    beneath = shapely.covers(seam.buffer(_HAIR_MM), folds) if len(folds) else np.zeros(0, bool)
    on_folds = shapely.union_all(folds[beneath]).buffer(_HAIR_MM)
    at_fold = seam.difference(on_folds).length < _HAIR_MM
    near = shapely.union_all(folds[~beneath] if at_fold else folds)
    if not at_fold and near.distance(seam) < KEEP_MM:
        return
    for before, after in (halves, halves[::-1]):
        strip = _strip(seam, after, near if at_fold else Polygon(), overlap)
        if strip is None or near.distance(strip) < KEEP_MM - _HAIR_MM:
            continue
        grown = shapely.union_all([before, strip], grid_size=0)
        if isinstance(grown, Polygon) and _edge_free(template, strip):
            yield _Cut(grown, after, strip)


def _strip(seam: LineString, after: Polygon, near: BaseGeometry, overlap: float) -> Polygon | None:
    """Where paper is doubled beyond a seam; clear of folds that meet the seam, if any do."""
    reach = seam.buffer(overlap, cap_style="flat").intersection(after)
    if not near.is_empty:
        reach = reach.difference(near.buffer(KEEP_MM))
    strips = [p for p in shapely.get_parts(reach) if isinstance(p, Polygon)]
    strip = max(strips, key=lambda p: p.area, default=Polygon())
    held = strip.buffer(_HAIR_MM).intersection(seam).length
    if strip.interiors or min(strip.area / overlap, held) < _LEAST_HELD * seam.length:
        return None
    return strip


def _halves(outline: Polygon, line: LineString) -> list[Polygon]:
    """The two sides of a line, if each is one piece."""
    edges = shapely.union_all([outline.boundary, line.intersection(outline)])
    found = shapely.get_parts(shapely.polygonize(shapely.get_parts(edges).tolist()))
    return [
        shapely.orient_polygons(part)
        for part in found
        if part.area > 1.0 and outline.contains(part.representative_point())
    ]


def _edge_free(template: Template, strip: Polygon) -> bool:
    """Whether nothing lies loosely or turns about a pin where paper would be doubled."""
    loose: list[BaseGeometry] = [*template.laid, *map(shapely.Point, template.pivots)]
    return all(shape.distance(strip) > KEEP_MM for shape in loose)


def _both(template: Template, cut: _Cut, letter: str) -> tuple[Template, Template]:
    """Both parts; what the overlap hides is left out on both."""
    first = _part(template, cut.before, front=cut.strip, back=None)
    second = _part(template, cut.after, front=None, back=cut.strip)
    name = f"{template.sheet.piece}.{template.sheet.facets[0].name}"
    glue = GlueArea(letter, name, name, cut.strip, "front", False)
    lands = replace(glue, face="back", lands=True)
    return (
        replace(first, glue=(*first.glue, glue)),
        replace(second, glue=(*second.glue, lands)),
    )


def _part(
    template: Template, outline: Polygon, front: Polygon | None, back: Polygon | None
) -> Template:
    """What of a template lies on an outline.

    Parameters
    ----------
    front, back : what is hidden there of each face.
    """
    sheet = template.sheet
    facets = []
    for facet in sheet.facets:
        # A straight line parts facets into one piece each unless they are bent; all are kept.
        for k, shape in enumerate(_polygons(facet.polygon.intersection(outline))):
            facets.append(Facet(facet.name if not k else f"{facet.name}-{k + 1}", shape))
    folds = tuple(f for f in template.folds if _inside(f, outline))
    kept = {fold.name for fold in folds}
    own = Sheet(
        sheet.name,
        sheet.piece,
        sheet.paper,
        sheet.front,
        sheet.back,
        tuple(facets),
        tuple(c for c in sheet.crossings if c.fold.name in kept),
        sheet.art,
        outline,
    )
    hidden = {"front": front, "back": back}
    glue = [
        replace(area, polygon=shape)
        for area in template.glue
        for shape in _polygons(_less(area.polygon.intersection(outline), hidden[area.face]))
    ]
    labels = {f.name: f.polygon.representative_point().coords[0] for f in facets}
    return replace(
        template,
        sheet=own,
        outline=outline,
        folds=folds,
        glue=tuple(glue),
        labels={name: (float(at[0]), float(at[1])) for name, at in labels.items()},
        rolls=tuple(one for mark in template.rolls for one in clipped_to(mark, outline)),
        pivots=tuple(p for p in template.pivots if outline.contains(shapely.Point(p))),
        laid=tuple(s for shape in template.laid for s in _polygons(shape.intersection(outline))),
    )


def _inside(fold: FoldMark, outline: Polygon) -> bool:
    middle = LineString([fold.start, fold.end]).interpolate(0.5, normalized=True)
    return bool(outline.contains(middle) and outline.boundary.distance(middle) > _HAIR_MM)


def _less(shape: BaseGeometry, hidden: Polygon | None) -> BaseGeometry:
    return shape if hidden is None else shape.difference(hidden)


def _polygons(shape: BaseGeometry) -> list[Polygon]:
    return [p for p in shapely.get_parts(shape) if isinstance(p, Polygon) and p.area > _HAIR_MM]
