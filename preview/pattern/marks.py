"""A template at its place on a page becomes strokes, fills and texts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
import shapely
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from meshes.sheet import WHITE, Paper, Sheet
from preview.roles import role

from . import font
from .artwork import boxes, lettered, pictures, with_bleed
from .drawing import Fill, Mark, PenStroke, PrintedImage, Text
from .folds import Line, area_of, names, rings_of_care, signs
from .glue import Face
from .lettering import LEAST_MM, Letter, letters, name_on, side_names, text_box
from .rolls import areas_of, lettering, strokes
from .template import FoldMark, Template, fold_lines

_HATCH_MM = 1.8  # our choice
_DARK = 0.18  # our choice
_UNDER_MM = 0.6  # our choice
_Shape = TypeVar("_Shape", bound=BaseGeometry)


@dataclass(frozen=True)
class Show:
    """What is drawn of each template.

    Parameters
    ----------
    lines : cuts and folds.
    names : of the pieces, their sides and their folds.
    clean : only what the finished piece hides is drawn, and a little inside of its edge.
    colours, art : the paper's colour, and what is printed on it, `bleed` mm beyond the cut.
    other_face : glue areas on the face that is not drawn, in outline.
    """

    lines: bool = True
    names: bool = True
    clean: bool = False
    colours: bool = False
    art: bool = True
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
    set_letters = letters_of(placed, show)
    folds = [_line_of(placed, fold) for fold in placed.template.folds]
    outline = placed.on_page(placed.template.outline)
    printed = _printed(placed, show)
    rolls = [] if show.clean else _rolls(placed)
    tents = signs(folds, outline, [*_taken(set_letters), *printed]) if show.lines else []
    circles = rings_of_care(folds) if show.lines and not show.clean else []
    name = _called(placed, show, set_letters, [*tents, *circles])
    drawn = list(_areas(placed, show, set_letters, [text_box(text) for text in name]))
    drawn += [] if show.clean else list(_moving(placed))
    if show.lines:
        drawn += [line.stroke for line in folds] + tents + list(_lines(placed))
        drawn += [stroke for ends, way, _ in rolls for stroke in strokes(ends, way)]
        drawn += circles
    drawn += [*[letter.mark() for letter in set_letters if not letter.beside], *name]
    if show.names:
        taken = [
            *_taken(set_letters),
            *map(area_of, [*tents, *circles]),
            *map(text_box, name),
            *printed,
        ]
        seen = boxes(placed) if show.art else []
        sides = side_names(set_letters, len(placed.template.sheet.facets) > 1, taken, seen)
        taken += [*map(text_box, sides), *seen]
        drawn += [*sides, *(names(folds, outline, taken) if show.lines else [])]
        taken += [text_box(text) for text in drawn if isinstance(text, Text)]
        drawn += lettering(rolls, outline, taken) if show.lines else []
    if show.colours and not placed.template.is_page:
        dark = is_dark(_colour(placed.template.sheet, placed.face))
        drawn = [_on_colour(mark, dark) for mark in drawn]
    return drawn if placed.window is None else clipped(drawn, placed.window)


def seen_sign(placed: Placed, fold: FoldMark) -> int:
    """+1 if the fold is a mountain on the face that is drawn, -1 if it is a valley."""
    return fold.sign if placed.face == "front" else -fold.sign


def rings(shape: Polygon) -> list[np.ndarray]:
    """The rings of a polygon without their closing point, outer ring first."""
    return [np.asarray(ring.coords)[:-1] for ring in (shape.exterior, *shape.interiors)]


def inked(sheet: Sheet, face: Face) -> bool:
    """Whether a face is printed in a colour: white paper stays bare, and kraft in its own."""
    bare = _colour(sheet.paper, face) if sheet.paper.has_own_colour else WHITE
    return _colour(sheet, face) != bare


def _colour(paper: Sheet | Paper, face: Face) -> str:
    return paper.front if face == "front" else paper.back


def is_dark(colour: str) -> bool:
    """Relative luminance under 0.18, where white lines show better than black ones (WCAG 2.1)."""
    from preview.drawing.colour import channels
    from preview.drawing.contrast import relative_luminance

    return float(relative_luminance(np.array(channels(colour)))) < _DARK


def _on_colour(mark: Mark, dark: bool) -> Mark:
    """White on dark paper; on the rest black, since grey would be lost on a colour."""
    if isinstance(mark, PenStroke):
        return replace(mark, light=dark)
    if isinstance(mark, Text):
        return replace(mark, grey=1.0 if dark else 0.0)
    return mark


def letters_of(placed: Placed, show: Show) -> list[Letter]:
    """The letters of the areas that are shown."""
    areas = [a for a in placed.template.glue if a.face == placed.face or show.other_face]
    shapes = [(area, placed.on_page(area.polygon)) for area in areas]
    return letters(shapes, placed.face, _printed(placed, show))


def _printed(placed: Placed, show: Show) -> list[Polygon]:
    """Lettering that is printed on the face that is drawn."""
    return lettered(placed) if show.art else []


def _taken(set_letters: Sequence[Letter]) -> list[BaseGeometry]:
    """Hatched areas, and the room of letters."""
    return [e.shape.buffer(0.3) if e.hatched else e.room for e in set_letters]


def _line_of(placed: Placed, fold: FoldMark) -> Line:
    """A fold on the page, with its name and, where it is known, its angle at full opening."""
    degrees = "" if fold.angle_deg is None else f" {abs(fold.angle_deg):.0f}°"
    ends = placed.apply(np.array([fold.start, fold.end]))
    least = "" if fold.forgives is None else f"±{fold.forgives:.2f}"
    return Line(ends, seen_sign(placed, fold) > 0, role(fold.name) + degrees, least)


def _rolls(placed: Placed) -> list[tuple[np.ndarray, np.ndarray, tuple[str, ...]]]:
    """Ends of each line from which on paper is rolled, the way to that paper, and its words."""
    found = []
    for mark in placed.template.rolls:
        along = np.subtract(mark.end, mark.start) / np.hypot(*np.subtract(mark.end, mark.start))
        across = placed.matrix @ np.array([-along[1], along[0]])
        found.append((placed.apply(np.array([mark.start, mark.end])), across, mark.words))
    return found


def _called(
    placed: Placed, show: Show, set_letters: Sequence[Letter], tents: Sequence[PenStroke]
) -> list[Text]:
    """The piece's number and name; beside it what finds no room on it, letters included."""
    inside = None
    beside = [letter.text for letter in set_letters if letter.beside]
    if show.names and not placed.template.is_page:
        inside = _name(placed, show, set_letters, tents)
        if inside is None:
            beside.insert(0, font.printable(placed.template.words).split()[0])
    return [*([inside] if inside else []), *([_beside(placed, beside)] if beside else [])]


def _beside(placed: Placed, words: Sequence[str]) -> Text:
    """Small words below the middle of the piece's lowest edge, in its colour's bleed or off it."""
    outline = placed.on_page(placed.template.outline)
    left, _, right, bottom = outline.bounds
    edge = outline.intersection(shapely.box(left, bottom - _UNDER_MM, right, bottom))
    lowest = max(shapely.get_parts(edge), key=lambda part: float(part.area))
    below = bottom + LEAST_MM * font.CAPITAL + 0.6
    text = "  ".join(words)
    return Text(lowest.centroid.x, below, text, LEAST_MM, "middle", bold=True, grey=0.25)


def _name(
    placed: Placed, show: Show, set_letters: Sequence[Letter], tents: Sequence[PenStroke]
) -> Text | None:
    """The piece's number and name, clear of hatching, letters and signs where there is room.

    Else hatching makes room; what is printed never does.
    """
    template = placed.template
    words = font.printable(template.words)
    least = [*map(area_of, tents), *(letter.room for letter in set_letters)]
    least += boxes(placed) if show.art else []
    least += [Point(placed.apply(np.array([p]))[0]).buffer(3.2) for p in template.pivots]
    least += [area for ends, way, _ in _rolls(placed) for area in areas_of(ends, way)]
    fields = [placed.on_page(facet.polygon) for facet in template.sheet.facets]
    edges = [e.shape.boundary.buffer(0.5) for e in set_letters if not e.hatched]
    most = [*least, *_taken(set_letters)]
    for taken in ([*most, *edges], most, least):
        found = name_on(fields, words, taken)
        if found is not None:
            return found
    return None


def _areas(
    placed: Placed, show: Show, set_letters: Sequence[Letter], names: Sequence[Polygon]
) -> Iterator[Mark]:
    """Colours, art, and the glue areas; hatching leaves room for letters and names."""
    outline = placed.on_page(placed.template.outline)
    if show.colours and not placed.template.is_page:
        for part in shapely.get_parts(with_bleed(outline, show.bleed)):
            if inked(placed.template.sheet, placed.face):
                yield Fill(tuple(rings(part)), _colour(placed.template.sheet, placed.face))
    if show.art:
        yield from pictures(placed, show.bleed)
    drawn = _drawn(placed)
    for letter in set_letters:
        if letter.hatched:
            room = shapely.union_all([letter.room, *(name.buffer(0.5) for name in names)])
            yield from _hatch(_shrunk(letter.shape, 0.7), room)
        else:
            shape = _shrunk(letter.shape, _UNDER_MM) if show.clean else letter.shape
            yield from _edge_of(shape, drawn)


def _moving(placed: Placed) -> Iterator[Mark]:
    """Outlines of what lies there loosely, and crosses in circles where a fastener goes through."""
    for shape in placed.template.laid:
        yield from _edge_of(placed.on_page(shape), _drawn(placed))
    for pivot in placed.template.pivots:
        x, y = placed.apply(np.array([pivot]))[0]
        turn = np.linspace(0, 2 * np.pi, 25)[:-1]
        yield PenStroke("sign", np.c_[x + 1.5 * np.cos(turn), y + 1.5 * np.sin(turn)], closed=True)
        for step in ((2.5, 0.0), (0.0, 2.5)):
            yield PenStroke("sign", np.array([[x, y], [x, y]]) + np.outer([-1, 1], step))


def _shrunk(shape: Polygon, by: float) -> Polygon:
    """A little smaller, so that hatching keeps off the lines around it; itself if too small."""
    inner = shape.buffer(-by, join_style="mitre")
    return shape if inner.is_empty else inner


def _hatch(shape: Polygon, room: BaseGeometry) -> Iterator[PenStroke]:
    """Lines at 45° that leave room for the letter."""
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
            yield PenStroke("hatch", np.asarray(part.coords))


def _drawn(placed: Placed) -> BaseGeometry:
    """Where a fold or a cut is drawn on the page, and just beside it."""
    template = placed.template
    lines = [template.outline.boundary, *fold_lines(template)]
    return shapely.union_all([placed.on_page(line) for line in lines]).buffer(0.5)


def _edge_of(shape: Polygon, drawn: BaseGeometry) -> Iterator[PenStroke]:
    """The edge of an area where nothing is drawn yet."""
    rest = shapely.line_merge(shapely.difference(shape.boundary, drawn))
    for part in shapely.get_parts(rest):
        if isinstance(part, LineString) and part.length > 0.5:
            yield PenStroke("place", np.asarray(part.coords))


def _lines(placed: Placed) -> Iterator[PenStroke]:
    outer, *holes = rings(placed.template.outline)
    for hole in holes:
        yield PenStroke("slit", placed.apply(hole), closed=True)
    yield PenStroke("cut", placed.apply(outer), closed=True)


def clipped(drawn: list[Mark], window: Polygon) -> list[Mark]:
    """What of the marks lies inside a window, in page coordinates."""
    kept: list[Mark] = []
    for mark in drawn:
        if isinstance(mark, PrintedImage):
            kept.append(mark)
        elif isinstance(mark, Text):
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


def _clipped_stroke(mark: PenStroke, window: Polygon) -> list[PenStroke]:
    points = np.vstack([mark.points, mark.points[:1]]) if mark.closed else mark.points
    whole = LineString(points)
    if window.covers(whole):
        return [mark]
    parts = shapely.get_parts(shapely.line_merge(shapely.intersection(whole, window)))
    return [
        PenStroke(mark.role, np.asarray(part.coords), light=mark.light)
        for part in parts
        if isinstance(part, LineString) and part.length > 1e-6
    ]
