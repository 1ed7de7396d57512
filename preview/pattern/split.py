"""A piece larger than the sheet, on several sheets that overlap."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from .drawing import Mark, PenStroke, Text
from .furniture import PrintArea
from .line import Role
from .marks import Placed
from .template import Template

_SIZE_MM = 2.4  # our choice


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
            seams = _seams(frame, overlap, shown, row, column, lines, columns)
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
    row: int,
    column: int,
    lines: int,
    columns: int,
) -> tuple[Mark, ...]:
    """Where this part is cut off, and dotted lines that the edges of its neighbours meet.

    Parameters
    ----------
    shown : the whole piece where it lies for this part; lines end at its edges.
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
            marks += [*_on_piece("trim", seam, shown), *_said_along(words, seam, shown)]
    return tuple(marks)


def _on_piece(role: Role, way: LineString, shown: Polygon) -> list[PenStroke]:
    """What of a line lies on the piece."""
    parts = shapely.get_parts(way.intersection(shown))
    return [
        PenStroke(role, np.asarray(part.coords)) for part in parts if isinstance(part, LineString)
    ]


def _said_along(words: str, way: LineString, shown: Polygon) -> list[Text]:
    """Words just beside the middle of what of a line lies on the piece."""
    seen = way.intersection(shown)
    if seen.is_empty:
        return []
    x, y = seen.centroid.x, seen.centroid.y
    (x0, _), (x1, _) = way.coords
    if x0 == x1:
        return [Text(x - 0.8, y, words, _SIZE_MM, "middle", np.pi / 2)]
    return [Text(x, y - 0.8, words, _SIZE_MM, "middle")]
