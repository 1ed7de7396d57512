"""A piece larger than the sheet, on several sheets that overlap."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Polygon

from .drawing import Mark, Text, line
from .furniture import PrintArea
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

    Neighbouring tiles both show the overlap. A dotted line on each marks the seam: the next sheet
    is laid on up to this line.
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
            if not placed.on_page(template.outline).intersects(window):
                continue
            name = f"{template.title}, part {row * columns + column + 1} of {lines * columns}"
            tiles.append(Tile(name, placed, _seams(frame, overlap, row, column, lines, columns)))
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
    frame: PrintArea, overlap: float, row: int, column: int, lines: int, columns: int
) -> tuple[Mark, ...]:
    """Dotted lines where the neighbouring parts begin and end."""
    left, top = frame.left, frame.top
    right, bottom = left + frame.width, top + frame.height
    marks: list[Mark] = []

    def part(r: int, c: int) -> int:
        return r * columns + c + 1

    for near, other, x in (
        (column > 0, column - 1, left + overlap),
        (column < columns - 1, column + 1, right - overlap),
    ):
        if near:
            words = f"part {part(row, other)} meets this line"
            marks.append(line("trim", (x, top), (x, bottom)))
            marks.append(Text(x - 0.8, (top + bottom) / 2, words, _SIZE_MM, "middle", np.pi / 2))
    for near, other, y in (
        (row > 0, row - 1, top + overlap),
        (row < lines - 1, row + 1, bottom - overlap),
    ):
        if near:
            words = f"part {part(other, column)} meets this line"
            marks.append(line("trim", (left, y), (right, y)))
            marks.append(Text((left + right) / 2, y - 0.8, words, _SIZE_MM, "middle"))
    return tuple(marks)
