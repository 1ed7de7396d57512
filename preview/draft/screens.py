"""Drafting steps as pictures for a video: one PNG for each step, with its sentences beside it."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator, Sequence

from preview.pattern import font, raster
from preview.pattern.drawing import Mark, Text, line
from preview.pattern.raster import Screen

from .figure import FigureLook
from .ground import PictureBox
from .pages import LETTERS, check_words, sentences
from .sheets import DraftSheet

# Width and height of a picture, mm as they are laid out, and pixels for each mm: 1920 × 1080, the
# usual size of a video. Our choice.
WIDE_MM, HIGH_MM, _PIXELS = 320.0, 180.0, 6
_LEFT_MM, _COLUMN_MM = 212.0, 92.0  # our choice: the picture, and the words beside it
_TEXT, _LEAD = 5.0, 7.0  # our choice
# Lines are seen from farther than on paper. Our choice.
_HEAVIER = 2.0
_GROUND = "#fbfaf7"  # our choice
# A screen has no scale: pictures fill it, but squares of a grid stay alike. Our choice.
_SCALES = (
    12.0,
    8.0,
    6.0,
    5.0,
    4.0,
    3.0,
    2.5,
    2.0,
    1.5,
    1.2,
    1.0,
    0.8,
    0.6,
    0.5,
    0.4,
    0.3,
    0.2,
    0.1,
)


def screens(sheets: Sequence[DraftSheet]) -> Iterator[tuple[str, bytes]]:
    """Name and PNG of each step of each sheet, and of the finished piece."""
    for sheet in sheets:
        name = re.sub(r"[^a-z0-9]+", "-", sheet.title.lower()).strip("-") or "piece"
        steps = len(sheet.drawing.plan.steps)
        for number in range(steps + 1):
            data = painted(screen(sheet, number))
            yield f"{sheet.number:02d}-{name}-{number + 1:02d}.png", data


def screen(sheet: DraftSheet, number: int) -> list[Mark]:
    """The marks of a step's picture, mm; after the last step comes the finished piece."""
    steps = sheet.drawing.plan.steps
    box = PictureBox(8.0, 22.0, _LEFT_MM - 8.0, HIGH_MM - 30.0)
    look = FigureLook(value=4.2, name=4.2, track=8.0, scales=_SCALES)
    right = _LEFT_MM + 8.0
    if number < len(steps):
        figure = sheet.drawing.step(number, box, look)
        title = f"{number + 1}  {steps[number].title}"
        said = [row for rows in sentences(steps[number], _COLUMN_MM, _TEXT) for row in rows]
    else:
        figure = sheet.drawing.finished(box, look, sheet.sides, sheet.places)
        title = "Finished"
        letters = f" {LETTERS}" if sheet.places else ""
        words = f"{sheet.wanted} {check_words(sheet)}{letters}"
        said = font.wrapped(font.printable(words), _TEXT, _COLUMN_MM)
    marks: list[Mark] = [
        Text(8.0, 14.0, font.printable(f"{sheet.number}  {sheet.title}"), 8.0, bold=True),
        Text(right, 14.0, title, 7.0, bold=True),
        line("rule", (8.0, 18.0), (WIDE_MM - 8.0, 18.0)),
        *figure.marks,
    ]
    for k, row in enumerate(said):
        marks.append(Text(right, 28.0 + k * _LEAD, row, _TEXT, grey=0.1))
    return marks


def painted(marks: Sequence[Mark]) -> bytes:
    """Marks of a picture as PNG."""
    screen = Screen((WIDE_MM, HIGH_MM), _PIXELS, _GROUND, _HEAVIER)
    data = io.BytesIO()
    raster.painted(marks, screen).save(data, "PNG", optimize=False)
    return data.getvalue()
