"""A piece larger than the sheet, on several sheets that overlap."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from .drawing import Mark, PenStroke, Text
from .furniture import PrintArea
from .lettering import text_box
from .line import Role
from .marks import Placed, Show, letters_of
from .template import Template

# How far words keep off lines. Our choice.
_SIZE_MM, _BESIDE_MM = 2.4, 0.4  # our choice


@dataclass(frozen=True)
class Tile:
    """One sheet of a split piece: what is drawn there, and the marks to put it together."""

    title: str
    placed: Placed
    marks: tuple[Mark, ...]


def split(template: Template, frame: PrintArea, overlap: float) -> list[Tile]:
    """Tiles of a template, row by row from the top left, each as large as the room allows.

    Neighbouring tiles both show the overlap, and are cut off at its end. A dotted line on each
    marks the seam: the next sheet is laid on up to this line.
    """
    outline = shapely.transform(template.outline, lambda p: p * [1.0, -1.0])
    turn = _better_turn(outline, frame, overlap)
    c, s = math.cos(turn), math.sin(turn)
    rotation = np.array([[c, -s], [s, c]])
    left, top, right, bottom = shapely.transform(outline, lambda p: p @ rotation.T).bounds
    columns, lines = _counts(right - left, bottom - top, frame, overlap)
    tiles = []
    for row in range(lines):
        for column in range(columns):
            at = np.array([frame.left, frame.top])
            at = at - [left, top]
            at = at - [column * (frame.width - overlap), row * (frame.height - overlap)]
            window = shapely.box(
                frame.left, frame.top, frame.left + frame.width, frame.top + frame.height
            )
            placed = Placed(template, rotation @ np.diag([1.0, -1.0]), at, "front", window)
            shown = placed.on_page(template.outline)
            if not shown.intersects(window):
                continue
            name = f"{template.title}, part {row * columns + column + 1} of {lines * columns}"
            seams = _seams(frame, overlap, shown, drawn_on(placed), row, column, lines, columns)
            tiles.append(Tile(name, placed, seams))
    return tiles


def _counts(width: float, height: float, frame: PrintArea, overlap: float) -> tuple[int, int]:
    """Columns and rows of tiles."""
    columns = max(1, math.ceil((width - overlap) / (frame.width - overlap) - 1e-9))
    lines = max(1, math.ceil((height - overlap) / (frame.height - overlap) - 1e-9))
    return columns, lines


def _better_turn(outline: Polygon, frame: PrintArea, overlap: float) -> float:
    """No turn or a quarter turn, whichever needs fewer tiles."""
    left, top, right, bottom = outline.bounds
    straight = math.prod(_counts(right - left, bottom - top, frame, overlap))
    turned = math.prod(_counts(bottom - top, right - left, frame, overlap))
    return 0.0 if straight <= turned else math.pi / 2


def _seams(
    frame: PrintArea,
    overlap: float,
    shown: Polygon,
    taken: BaseGeometry,
    row: int,
    column: int,
    lines: int,
    columns: int,
) -> tuple[Mark, ...]:
    """Where this part is cut off, and dotted lines that the edges of its neighbours meet.

    Parameters
    ----------
    shown : the whole piece where it lies for this part; lines end at its edges.
    taken : what words should keep off.
    """
    left, top = frame.left, frame.top
    right, bottom = left + frame.width, top + frame.height

    def upright(x: float) -> LineString:
        return LineString([(x, top), (x, bottom)])

    def level(y: float) -> LineString:
        return LineString([(left, y), (right, y)])

    marks: list[Mark] = []
    for other, edge, seam in (
        ((row, column - 1), upright(left), upright(left + overlap)),
        ((row, column + 1), upright(right), upright(right - overlap)),
        ((row - 1, column), level(top), level(top + overlap)),
        ((row + 1, column), level(bottom), level(bottom - overlap)),
    ):
        if 0 <= other[0] < lines and 0 <= other[1] < columns:
            words = f"part {other[0] * columns + other[1] + 1} meets this line"
            marks += _on_piece("cut", edge, shown)
            marks += [*_on_piece("trim", seam, shown), *_said_along(words, seam, shown, taken)]
    return tuple(marks)


def _on_piece(role: Role, way: LineString, shown: Polygon) -> list[PenStroke]:
    """What of a line lies on the piece."""
    parts = shapely.get_parts(way.intersection(shown))
    return [
        PenStroke(role, np.asarray(part.coords)) for part in parts if isinstance(part, LineString)
    ]


def _said_along(words: str, way: LineString, shown: Polygon, taken: BaseGeometry) -> list[Text]:
    """Words just beside what of a line lies on the piece, where they are clear."""
    seen = way.intersection(shown)
    if not isinstance(seen, LineString) or seen.is_empty:
        return []
    upright = way.coords[0][0] == way.coords[1][0]
    tried = []
    for share in (0.5, 0.35, 0.65, 0.2, 0.8, 0.12, 0.88, 0.42, 0.58, 0.27, 0.73):
        at = seen.interpolate(share, normalized=True)
        if upright:
            tried.append(Text(at.x - 0.8, at.y, words, _SIZE_MM, "middle", np.pi / 2))
        else:
            tried.append(Text(at.x, at.y - 0.8, words, _SIZE_MM, "middle"))
    return [clearest(tried, taken)]


def drawn_on(placed: Placed) -> BaseGeometry:
    """Edges of places, their letters, and just beside them."""
    edges = [placed.on_page(area.polygon).boundary for area in placed.template.glue]
    rooms = [letter.room for letter in letters_of(placed, Show())]
    return shapely.union_all([*edges, *rooms]).buffer(_BESIDE_MM)


def clearest(tried: Sequence[Text], taken: BaseGeometry) -> Text:
    """The first text that is clear of what is drawn, else that which covers least of it."""
    covered = []
    for text in tried:
        covered.append(taken.intersection(text_box(text)).area)
        if covered[-1] < 1e-9:
            return text
    return tried[int(np.argmin(covered))]
