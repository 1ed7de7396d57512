"""A template at its place on a page becomes strokes, fills and texts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from . import font
from .drawing import Fill, Mark, Stroke, Text
from .glue import Face, GlueArea
from .line import Role
from .template import FoldMark, Template, fold_lines

_HATCH_MM = 1.8
_LETTER_MM, _NAME_MM, _SMALL_MM, _LEAST_MM = 5.0, 3.2, 2.1, 1.75
_DARK = 0.18
_Shape = TypeVar("_Shape", bound=BaseGeometry)


@dataclass(frozen=True)
class Show:
    """What is drawn of each template.

    Parameters
    ----------
    lines : cuts and folds.
    names : of the pieces.
    fold_names : of the folds, with their angle at full opening.
    colours : the paper's colour, `bleed` mm beyond the cut.
    other_face : glue areas on the face that is not drawn, in outline.
    """

    lines: bool = True
    names: bool = True
    fold_names: bool = False
    colours: bool = False
    bleed: float = 2.0
    other_face: bool = True


@dataclass(frozen=True)
class Placed:
    """A template on a page: a sheet point p lies at ``matrix @ p + shift``, mm, y down.

    Parameters
    ----------
    matrix : shape (2, 2); its determinant is -1 for the front and +1 for the mirrored back.
    shift : shape (2,).
    face : which face of the paper is drawn.
    window : the part of the page that is drawn, of a piece split over several pages.
    """

    template: Template
    matrix: np.ndarray
    shift: np.ndarray
    face: Face = "front"
    window: Polygon | None = None

    def apply(self, points: np.ndarray) -> np.ndarray:
        """Sheet points, shape (n, 2), to page points, mm."""
        return np.asarray(points, float) @ self.matrix.T + self.shift

    def on_page(self, shape: _Shape) -> _Shape:
        """A shape in sheet coordinates, moved to the page."""
        return shapely.transform(shape, self.apply)


def marks(placed: Placed, show: Show) -> list[Mark]:
    """All marks of a placed template, undermost first."""
    drawn = list(_areas(placed, show))
    if show.lines:
        drawn += _lines(placed)
    drawn += _letters(placed, show)
    if show.names:
        drawn += _name(placed, show)
    if show.fold_names and show.lines:
        drawn += [text for fold in placed.template.folds for text in _fold_name(placed, fold)]
    if show.colours and _is_dark(_colour(placed)):
        drawn = [_lightened(mark) for mark in drawn]
    return drawn if placed.window is None else clipped(drawn, placed.window)


def seen_sign(placed: Placed, fold: FoldMark) -> int:
    """+1 if the fold is a mountain on the face that is drawn, -1 if it is a valley."""
    return fold.sign if placed.face == "front" else -fold.sign


def rings(shape: Polygon) -> list[np.ndarray]:
    """The rings of a polygon without their closing point, outer ring first."""
    return [np.asarray(ring.coords)[:-1] for ring in (shape.exterior, *shape.interiors)]


def _colour(placed: Placed) -> str:
    sheet = placed.template.sheet
    return sheet.front if placed.face == "front" else sheet.back


def _is_dark(colour: str) -> bool:
    """Relative luminance under 0.18, where white lines show better than black ones (WCAG 2.1)."""
    from preview.colour import channels
    from preview.contrast import relative_luminance

    return float(relative_luminance(np.array(channels(colour)))) < _DARK


def _lightened(mark: Mark) -> Mark:
    if isinstance(mark, Stroke):
        return replace(mark, light=True)
    if isinstance(mark, Text):
        return replace(mark, grey=1.0)
    return mark


def _areas(placed: Placed, show: Show) -> Iterator[Mark]:
    outline = placed.on_page(placed.template.outline)
    if show.colours and not placed.template.is_page:
        grown = Polygon(outline.exterior).buffer(show.bleed, join_style="mitre", mitre_limit=2)
        yield Fill(tuple(rings(grown)), _colour(placed))
    for area in _shown(placed, show):
        shape = placed.on_page(area.polygon)
        if area.face == placed.face and not area.lands:
            yield from _hatch(_shrunk(shape, 0.7), _letter_spot(shape))
        else:
            yield from _edge_of(placed, shape)


def _shown(placed: Placed, show: Show) -> list[GlueArea]:
    areas = placed.template.glue
    return [area for area in areas if area.face == placed.face or show.other_face]


def _shrunk(shape: Polygon, by: float) -> Polygon:
    """A little smaller, so that hatching keeps off the lines around it; itself if too small."""
    inner = shape.buffer(-by, join_style="mitre")
    return shape if inner.is_empty else inner


def _hatch(shape: Polygon, letter: Point) -> Iterator[Stroke]:
    """Lines at 45° that leave room for the letter."""
    room = letter.buffer(_letter_size(shape) * 0.62)
    left, top, right, bottom = shape.bounds
    span = bottom - top
    starts = np.arange(left - span, right, _HATCH_MM * np.sqrt(2))
    lines = shapely.linestrings(
        np.stack(
            [
                np.c_[starts, np.full_like(starts, bottom)],
                np.c_[starts + span, np.full_like(starts, top)],
            ],
            axis=1,
        )
    )
    for part in shapely.get_parts(shapely.intersection(lines, shape.difference(room))):
        if isinstance(part, LineString) and part.length > 0.4:
            yield Stroke("hatch", np.asarray(part.coords))


def _edge_of(placed: Placed, shape: Polygon) -> Iterator[Stroke]:
    """The edge of an area where it does not run along a fold or a cut."""
    template = placed.template
    drawn = shapely.union_all(
        [placed.on_page(template.outline).boundary, *map(placed.on_page, fold_lines(template))]
    ).buffer(0.35)
    rest = shapely.line_merge(shapely.difference(shape.boundary, drawn))
    for part in shapely.get_parts(rest):
        if isinstance(part, LineString) and part.length > 0.5:
            yield Stroke("place", np.asarray(part.coords))


def _lines(placed: Placed) -> Iterator[Stroke]:
    for fold in placed.template.folds:
        role: Role = "mountain" if seen_sign(placed, fold) > 0 else "valley"
        yield Stroke(role, placed.apply(np.array([fold.start, fold.end])))
    outer, *holes = rings(placed.template.outline)
    for hole in holes:
        yield Stroke("slit", placed.apply(hole), closed=True)
    yield Stroke("cut", placed.apply(outer), closed=True)


def _letter_spot(shape: Polygon) -> Point:
    """The middle of area if a letter fits there, else the middle of the largest circle inside."""
    middle, radius = shape.centroid, _radius(shape)
    if shape.covers(middle) and shape.boundary.distance(middle) > 0.9 * radius:
        return middle
    return Point(shapely.maximum_inscribed_circle(shape, tolerance=0.05).coords[0])


def _radius(shape: Polygon) -> float:
    return float(shapely.maximum_inscribed_circle(shape, tolerance=0.05).length)


def _letter_size(shape: Polygon) -> float:
    return float(np.clip(1.5 * _radius(shape), _LEAST_MM, _LETTER_MM))


def _letters(placed: Placed, show: Show) -> Iterator[Text]:
    for area in _shown(placed, show):
        shape = placed.on_page(area.polygon)
        spot, size = _letter_spot(shape), _letter_size(shape)
        same = area.face == placed.face
        text = area.letter if same else f"({area.letter})"
        size = size if same else size * 0.8
        y = spot.y + size * font.CAPITAL / 2
        yield Text(spot.x, y, text, size, "middle", bold=True, grey=0.0 if same else 0.35)


def _name(placed: Placed, show: Show) -> list[Mark]:
    """The piece's number and name, as large as a free spot allows."""
    template = placed.template
    words = font.printable(template.words)
    taken = [_kept_free(placed, area) for area in _shown(placed, show)]
    fields = []
    for facet in template.sheet.facets:
        free = placed.on_page(facet.polygon)
        for shape in taken:
            free = free.difference(shape)
        fields += [p for p in shapely.get_parts(free) if isinstance(p, Polygon) and p.area > 4]
    fields.sort(key=lambda field: -field.area)
    for text in (words, words.split()[0]):
        for size in (_NAME_MM, 2.6, _SMALL_MM, _LEAST_MM):
            for field in fields[:4]:
                for angle in (0.0, _long_axis(field)):
                    found = _text_in(field, text, size, angle)
                    if found is not None:
                        return [found]
    return []


def _kept_free(placed: Placed, area: GlueArea) -> BaseGeometry:
    """Where no name may lie: on hatching, or on the letter of any other area."""
    shape = placed.on_page(area.polygon)
    if area.face == placed.face and not area.lands:
        return shape.buffer(0.3)
    return _letter_spot(shape).buffer(_letter_size(shape) * 0.8)


def _long_axis(field: Polygon) -> float:
    """Direction of the longer side of the smallest box around it, read from below or the right."""
    corners = np.asarray(field.minimum_rotated_rectangle.exterior.coords)
    sides = np.diff(corners[:3], axis=0)
    longer = sides[np.argmax(np.linalg.norm(sides, axis=1))]
    angle = float(np.arctan2(-longer[1], longer[0]))
    return (angle + np.pi / 2 - 1e-9) % np.pi - np.pi / 2 + 1e-9


def _text_in(field: Polygon, text: str, size: float, angle: float) -> Text | None:
    """The text at the middle of a field, if it fits there."""
    wide, high = font.width(text, size, bold=True) + 1.0, size * 0.95
    centre = shapely.maximum_inscribed_circle(field, tolerance=0.1).coords[0]
    frame = shapely.box(-wide / 2, -high / 2, wide / 2, high / 2)
    frame = affinity.rotate(frame, -angle, origin=(0, 0), use_radians=True)
    for at in (centre, field.centroid.coords[0]):
        if field.covers(affinity.translate(frame, *at)):
            drop = size * font.CAPITAL / 2
            x, y = at[0] + drop * np.sin(angle), at[1] + drop * np.cos(angle)
            return Text(float(x), float(y), text, size, "middle", angle, bold=True, grey=0.25)
    return None


def name_beside(shape: Polygon, name: str) -> Text | None:
    """A small name inside an area, clear of the letter at its middle; None if it does not fit."""
    free = shape.difference(_letter_spot(shape).buffer(_letter_size(shape) * 0.7))
    for field in sorted(shapely.get_parts(free), key=lambda part: -part.area)[:2]:
        for angle in (0.0, _long_axis(field)):
            text = _text_in(field, name, _SMALL_MM, angle)
            if text is not None:
                return replace(text, bold=False)
    return _text_in_halves(shape, name)


def _text_in_halves(shape: Polygon, name: str) -> Text | None:
    """The same for a long narrow area, of which the letter leaves two ends."""
    axis = _long_axis(shape)
    straight = affinity.rotate(shape, axis, origin=shape.centroid, use_radians=True)
    _, top, right, bottom = straight.bounds
    middle = shape.centroid
    half = shapely.box(middle.x + _letter_size(shape) * 0.7, top, right, bottom)
    half = affinity.rotate(half, -axis, origin=middle, use_radians=True)
    field = shape.intersection(half)
    if not isinstance(field, Polygon) or field.area < 1.0:
        return None
    text = _text_in(field, name, _SMALL_MM, axis)
    return None if text is None else replace(text, bold=False)


def _fold_name(placed: Placed, fold: FoldMark) -> Iterator[Text]:
    (x0, y0), (x1, y1) = placed.apply(np.array([fold.start, fold.end]))
    angle = float(np.arctan2(-(y1 - y0), x1 - x0))
    angle = (angle + np.pi / 2 - 1e-9) % np.pi - np.pi / 2 + 1e-9
    text = fold.name if fold.angle_deg is None else f"{fold.name} {abs(fold.angle_deg):.0f}°"
    text = font.printable(text)
    if font.width(text, _LEAST_MM) > fold.length - 2:
        return
    middle = np.array([(x0 + x1) / 2, (y0 + y1) / 2])
    across = np.array([np.sin(angle), np.cos(angle)])
    high = _LEAST_MM * font.CAPITAL
    # Above the fold, or below it where glue lies above.
    above, below = middle - 0.7 * across, middle + (0.7 + high) * across
    hatched = [
        placed.on_page(area.polygon)
        for area in placed.template.glue
        if area.face == placed.face and not area.lands
    ]
    taken = any(shape.distance(Point(above - high / 2 * across)) < 1.0 for shape in hatched)
    x, y = below if taken else above
    yield Text(float(x), float(y), text, _LEAST_MM, "middle", angle, grey=0.25)


def clipped(drawn: list[Mark], window: Polygon) -> list[Mark]:
    """What of the marks lies inside a window, in page coordinates."""
    kept: list[Mark] = []
    for mark in drawn:
        if isinstance(mark, Text):
            if window.covers(Point(mark.x, mark.y)):
                kept.append(mark)
        elif isinstance(mark, Fill):
            area = Polygon(mark.rings[0], mark.rings[1:]).intersection(window)
            for part in shapely.get_parts(area):
                if isinstance(part, Polygon):
                    kept.append(Fill(tuple(rings(part)), mark.colour))
        else:
            kept += _clipped_stroke(mark, window)
    return kept


def _clipped_stroke(mark: Stroke, window: Polygon) -> list[Stroke]:
    points = np.vstack([mark.points, mark.points[:1]]) if mark.closed else mark.points
    whole = LineString(points)
    if window.covers(whole):
        return [mark]
    parts = shapely.get_parts(shapely.line_merge(shapely.intersection(whole, window)))
    return [
        Stroke(mark.role, np.asarray(part.coords), light=mark.light)
        for part in parts
        if isinstance(part, LineString) and part.length > 1e-6
    ]
