"""The guide as PDF: a cover with what one needs, then the steps, two in a row."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from preview.pattern import font
from preview.pattern.drawing import Fill, Mark, PenStroke, Text, moved
from preview.pattern.folds import sample_sign
from preview.pattern.furniture import SPOT_MM, colour_spot
from preview.pattern.pdf import add_marks, new_document
from preview.pattern.stock import Stock

from .arrows import INK as ARROW
from .cautions import CAUTIONS, TOOLS
from .flat import GLUE
from .legend import LEGEND, Sign
from .letters import INK
from .plan import Guide, GuideStep

if TYPE_CHECKING:
    from fpdf import FPDF

_MARGIN, _GAP = 17.0, 11.0
# Between rows of steps, and kept free for the foot of the page, mm.
_BETWEEN, _FOOT = 6.0, 17.0
# Pictures get smaller, to this share, if another row fits on the page then; what is left over goes
# between the rows, up to so much, mm. Our choice.
_SMALLEST, _MOST_MORE = 0.78, 14.0
_TITLE, _HEAD, _TEXT, _LEAD = 9.0, 4.0, 3.1, 4.5
_JPEG = {"quality": 88, "subsampling": 0}


def write_guide(guide: Guide, stock: Stock) -> bytes:
    """The PDF of a guide on sheets of a size."""
    pdf = new_document(guide.title, "Building guide")
    _cover(pdf, guide, stock)
    for sheet in _pages(guide, stock):
        _steps_page(pdf, guide, sheet, stock)
    return bytes(pdf.output())


def jpeg(picture: np.ndarray) -> bytes:
    """A picture as JPEG, the same bytes every time."""
    from PIL import Image

    data = io.BytesIO()
    Image.fromarray(picture).save(data, "JPEG", **_JPEG)
    return data.getvalue()


def _image(pdf: FPDF, picture: np.ndarray, x: float, y: float, width: float) -> float:
    """Place a picture; its height in mm."""
    pdf.image(io.BytesIO(jpeg(picture)), x=x, y=y, w=width)
    return float(width * picture.shape[0] / picture.shape[1])


def _page(pdf: FPDF, stock: Stock, title: str, foot: str) -> None:
    pdf.add_page(format=(stock.width, stock.height))
    base = stock.height - 9.0
    marks: list[Mark] = [
        Text(_MARGIN, base, font.printable(title), 2.6, grey=0.45),
        Text(stock.width - _MARGIN, base, foot, 2.6, "end", grey=0.45),
    ]
    add_marks(pdf, marks)


def _cover(pdf: FPDF, guide: Guide, stock: Stock) -> None:
    _page(pdf, stock, guide.title, "Building guide")
    wide = stock.width - 2 * _MARGIN
    column = (wide - _GAP) / 2
    text, low = _needed(guide, column)
    # The picture takes what the text leaves, cut to it above and below.
    room = stock.height - _MARGIN - _FOOT - low - 34.0
    picture = _cropped(guide.cover, max(room, 0.25 * wide) / wide)
    tall = _image(pdf, picture, _MARGIN, _MARGIN, wide)
    y = _MARGIN + tall + 15.0
    marks: list[Mark] = [Text(_MARGIN, y, font.printable(guide.title), _TITLE, bold=True)]
    sub = f"{guide.cut_outs} cut-outs, {len(guide.steps)} steps, {guide.time}"
    marks.append(Text(_MARGIN, y + 7.0, sub, 3.9, grey=0.3))
    shift = np.array([_MARGIN, y + 19.0])
    add_marks(pdf, marks + moved(text, lambda points: np.asarray(points + shift)))


def _cropped(picture: np.ndarray, most: float) -> np.ndarray:
    """The middle of a picture, no higher than `most` times its width."""
    rows, columns = picture.shape[:2]
    keep = min(rows, round(most * columns))
    return picture[(rows - keep) // 2 :][:keep]


def _needed(guide: Guide, column: float) -> tuple[list[Mark], float]:
    """What one needs and has to know, in two columns from (0, 0) on, and how far down they go."""
    marks: list[Mark] = []
    right = column + _GAP
    left_low = _needs(marks, 0.0, 0.0, column, guide) + 5.0
    low = _column(marks, right, 0.0, column, "Tools", list(TOOLS)) + 5.0
    low = _column(marks, right, low, column, "Take care", list(CAUTIONS)) + 5.0
    if left_low < low:
        left_low = _legend(marks, 0.0, left_low, column)
    else:
        low = _legend(marks, right, low, column)
    return marks, max(left_low, low) - _LEAD


def _legend(marks: list[Mark], x: float, y: float, width: float) -> float:
    """What the pictures say, each with the sign that says it; where it ends."""
    marks.append(Text(x, y, "The pictures", _HEAD, bold=True))
    y += 6.2
    for sign, said in LEGEND:
        marks += _sign(sign, x, y)
        for row in font.wrapped(said, _TEXT, width - _SIGN_MM):
            marks.append(Text(x + _SIGN_MM, y, row, _TEXT, grey=0.12))
            y += _LEAD
        y += 0.8
    return y


# Width of the column of signs, mm. Our choice.
_SIGN_MM = 11.0


def _sign(sign: Sign, x: float, base: float) -> list[Mark]:
    """A sign of the legend before a text whose baseline is at `base`."""
    middle = base - 1.05
    if sign == "letter":
        turn = np.linspace(0, 2 * np.pi, 33)[:-1]
        disc = np.c_[x + 2.2 + 1.7 * np.cos(turn), middle + 1.7 * np.sin(turn)]
        white = Text(x + 2.2, base - 0.2, "A", 2.5, "middle", bold=True, grey=1.0)
        return [Fill((disc,), INK), white]
    if sign == "glue" or sign == "arrow":
        shape = _PLACE if sign == "glue" else _ARROW
        colour = "#{:02x}{:02x}{:02x}".format(*(GLUE if sign == "glue" else ARROW))
        return [Fill((np.add(shape, (x, middle)),), colour)]
    fold = np.array([[x, middle + 0.8], [x + 9.0, middle + 0.8]])
    return [PenStroke(sign, fold), sample_sign(sign == "mountain", x + 4.5, middle + 0.8)]


# A coloured place and an arrow, from their left ends, mm.
_PLACE = [(0.0, -1.3), (7.0, -1.3), (6.2, 1.3), (0.8, 1.3)]
_ARROW = [(0, -0.4), (5, -0.4), (5, -1.3), (8, 0), (5, 1.3), (5, 0.4), (0, 0.4)]


def _needs(marks: list[Mark], x: float, y: float, width: float, guide: Guide) -> float:
    """The shopping list, with a spot for each colour of paper; where it ends."""
    marks.append(Text(x, y, "You need", _HEAD, bold=True))
    y += 6.2
    for item in guide.materials:
        for row in font.wrapped(font.printable(f"{item.name}: {item.detail}"), _TEXT, width):
            marks.append(Text(x, y, row, _TEXT, grey=0.12))
            y += _LEAD
        across = max(1, int(width / (SPOT_MM + 1.2)))
        for k, colour in enumerate(item.colours):
            at = x + (k % across) * (SPOT_MM + 1.2)
            marks += colour_spot(at, y + (k // across) * (SPOT_MM + 1.2), colour)
        y += math.ceil(len(item.colours) / across) * (SPOT_MM + 1.2) + 2.2
    return y


def _column(
    marks: list[Mark], x: float, y: float, width: float, heading: str, items: list[str]
) -> float:
    """A heading and a list; where it ends."""
    marks.append(Text(x, y, heading, _HEAD, bold=True))
    y += 6.2
    for item in items:
        for row in font.wrapped(font.printable(item), _TEXT, width):
            marks.append(Text(x, y, row, _TEXT, grey=0.12))
            y += _LEAD
        y += 1.2
    return y


@dataclass(frozen=True)
class _GuideSheet:
    """Rows of a page: `scale` of their pictures, and the room between rows, mm."""

    rows: tuple[tuple[GuideStep, ...], ...]
    scale: float
    between: float


def _steps_page(pdf: FPDF, guide: Guide, sheet: _GuideSheet, stock: Stock) -> None:
    steps = [step for row in sheet.rows for step in row]
    last = steps[-1].number
    foot = f"Steps {steps[0].number} to {last} of {len(guide.steps)}"
    _page(pdf, stock, guide.title, foot if len(steps) > 1 else f"Step {last} of {len(guide.steps)}")
    column, y = _column_width(stock), _MARGIN
    for row in sheet.rows:
        for k, step in enumerate(row):
            _step(pdf, step, _MARGIN + k * (column + _GAP), y, column, sheet.scale)
        y += _row_height(row, column, sheet.scale) + sheet.between


def _pages(guide: Guide, stock: Stock) -> list[_GuideSheet]:
    """Steps of each page: as many rows of two as fit with pictures not much smaller."""
    rows = _pairs(guide.steps)
    room, column = stock.height - _MARGIN - _FOOT, _column_width(stock)

    def needs(part: Sequence[tuple[GuideStep, ...]], scale: float) -> float:
        return sum(_row_height(row, column, scale) for row in part) + _BETWEEN * (len(part) - 1)

    pages = []
    while rows:
        count = 1
        while count < len(rows) and needs(rows[: count + 1], _SMALLEST) <= room:
            count += 1
        mine, rows = rows[:count], rows[count:]
        scales = np.arange(1.0, _SMALLEST, -0.01)
        scale = next((float(s) for s in scales if needs(mine, s) <= room), _SMALLEST)
        spare = (room - needs(mine, scale)) / max(count - 1, 1)
        pages.append(
            _GuideSheet(tuple(mine), scale, _BETWEEN + float(np.clip(spare, 0.0, _MOST_MORE)))
        )
    return pages


def _row_height(row: Sequence[GuideStep], width: float, scale: float) -> float:
    return max(_height(step, width, scale) for step in row)


def _pairs(steps: tuple[GuideStep, ...]) -> list[tuple[GuideStep, ...]]:
    return [steps[k : k + 2] for k in range(0, len(steps), 2)]


def _column_width(stock: Stock) -> float:
    return (stock.width - 2 * _MARGIN - _GAP) / 2


def _height(step: GuideStep, width: float, scale: float) -> float:
    """How much room a step takes below its upper edge, mm; laid out as in `_step`."""
    indent = font.width(str(step.number), 6.4, bold=True) + 2.6
    titles = len(font.wrapped(font.printable(step.words.title), _HEAD, width - indent, bold=True))
    rows = [len(font.wrapped(font.printable(said), _TEXT, width)) for said in step.words.sentences]
    tall = scale * width * step.picture.shape[0] / step.picture.shape[1]
    return float(tall + 7.5 + 5.0 * titles + 0.6 + sum(_LEAD * n + 0.8 for n in rows) - _LEAD)


def _step(pdf: FPDF, step: GuideStep, x: float, y: float, width: float, scale: float) -> None:
    tall = _image(pdf, step.picture, x, y, scale * width)
    y += tall + 7.5
    number = str(step.number)
    indent = font.width(number, 6.4, bold=True) + 2.6
    marks: list[Mark] = [Text(x, y, number, 6.4, bold=True)]
    for row in font.wrapped(font.printable(step.words.title), _HEAD, width - indent, bold=True):
        marks.append(Text(x + indent, y, row, _HEAD, bold=True))
        y += 5.0
    y += 0.6
    for sentence in step.words.sentences:
        for row in font.wrapped(font.printable(sentence), _TEXT, width):
            marks.append(Text(x, y, row, _TEXT, grey=0.12))
            y += _LEAD
        y += 0.8
    add_marks(pdf, marks)
