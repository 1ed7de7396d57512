"""Drafting steps as pictures for a video: one PNG for each step, with its sentences beside it."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np

from preview.drawing import lettering
from preview.pattern import font
from preview.pattern.drawing import Mark, PenStroke, Text, line
from preview.pattern.line import INKS, dashes

from .figure import FigureLook
from .ground import PictureBox
from .pages import check_words, sentences
from .sheets import DraftSheet

if TYPE_CHECKING:
    from PIL import Image

# Width and height of a picture, mm as they are laid out, and pixels for each mm: 1920 × 1080, the
# usual size of a video. Our choice; lines are drawn finer and made smaller, for smooth edges.
WIDE_MM, HIGH_MM, _PIXELS, _FINE = 320.0, 180.0, 6, 2
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
        words = f"{sheet.wanted} {check_words(sheet)}"
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
    from PIL import Image

    size = (round(WIDE_MM * _PIXELS), round(HIGH_MM * _PIXELS))
    image = Image.new("RGB", (_FINE * size[0], _FINE * size[1]), _GROUND)
    for mark in marks:
        if isinstance(mark, PenStroke):
            _stroke(image, mark)
        elif isinstance(mark, Text):
            _text(image, mark)
    data = io.BytesIO()
    image.resize(size, Image.Resampling.LANCZOS).save(data, "PNG", optimize=False)
    return data.getvalue()


def _grey(value: float) -> tuple[int, int, int]:
    level = round(230 * value)
    return level, level, level


def _stroke(image: Image.Image, mark: PenStroke) -> None:
    from PIL import ImageDraw

    draw = ImageDraw.Draw(image)
    ink, scale = INKS[mark.role], _PIXELS * _FINE
    points = np.vstack([mark.points, mark.points[:1]]) if mark.closed else mark.points
    if ink.filled:
        draw.polygon([tuple(p) for p in points * scale], fill=_grey(ink.grey))
        return
    width = max(1, round(_HEAVIER * ink.width * scale))
    for part in _dashed(points, dashes(mark.role, mark.length)):
        places = [(float(x), float(y)) for x, y in part * scale]
        draw.line(places, fill=_grey(ink.grey), width=width, joint="curve")


def _dashed(points: np.ndarray, pattern: Sequence[float]) -> Iterator[np.ndarray]:
    """The dashes of a line, each of shape (n, 2); itself if it has none."""
    if not pattern:
        yield points
        return
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    far = np.concatenate([[0.0], np.cumsum(steps)])
    at, k = 0.0, 0
    while at < far[-1] - 1e-6:
        end = min(at + pattern[k % len(pattern)], far[-1])
        if k % 2 == 0:
            inner = far[(far > at) & (far < end)]
            along = np.concatenate([[at], inner, [end]])
            yield np.column_stack([np.interp(along, far, points[:, axis]) for axis in (0, 1)])
        at, k = end, k + 1


def _text(image: Image.Image, mark: Text) -> None:
    from PIL import Image, ImageDraw

    scale = _PIXELS * _FINE
    face = lettering.face(mark.size * scale, mark.bold)
    before = {"start": 0.0, "middle": 0.5, "end": 1.0}[mark.anchor]
    wide = font.width(mark.text, mark.size, mark.bold) * scale
    if not mark.angle:
        place = (mark.x * scale - before * wide, mark.y * scale)
        ImageDraw.Draw(image).text(place, mark.text, _grey(mark.grey), face, anchor="ls")
        return
    # Turned about its anchor, which lies in the middle of a layer of its own.
    half = int(wide + 2 * mark.size * scale)
    layer = Image.new("L", (2 * half, 2 * half), 0)
    ImageDraw.Draw(layer).text((half - before * wide, half), mark.text, 255, face, anchor="ls")
    turned = layer.rotate(np.degrees(mark.angle), Image.Resampling.BICUBIC)
    corner = (round(mark.x * scale) - half, round(mark.y * scale) - half)
    image.paste(Image.new("RGB", turned.size, _grey(mark.grey)), corner, turned)
