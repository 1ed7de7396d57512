"""The guide as PDF: a cover with what one needs, then the steps, two in a row."""

from __future__ import annotations

import io
import math
from typing import TYPE_CHECKING

import numpy as np

from preview.pattern import font
from preview.pattern.drawing import Mark, Text
from preview.pattern.furniture import SPOT_MM, colour_spot
from preview.pattern.opening_page import wrapped
from preview.pattern.pdf import add_marks, new_document
from preview.pattern.stock import Stock

from .plan import CAUTIONS, TOOLS, Guide, GuideStep

if TYPE_CHECKING:
    from fpdf import FPDF

_MARGIN, _GAP = 17.0, 11.0
# Between rows of steps, and kept free for the foot of the page, mm.
_BETWEEN, _FOOT = 6.0, 13.0
_TITLE, _HEAD, _TEXT, _LEAD = 9.0, 4.0, 3.1, 4.5
_JPEG = {"quality": 88, "subsampling": 0}


def write_guide(guide: Guide, stock: Stock) -> bytes:
    """The PDF of a guide on sheets of a size."""
    pdf = new_document(guide.title, "Building guide")
    _cover(pdf, guide, stock)
    for steps in _pages(guide, stock):
        _steps_page(pdf, guide, steps, stock)
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
    tall = _image(pdf, guide.cover, _MARGIN, _MARGIN, wide)
    y = _MARGIN + tall + 15.0
    marks: list[Mark] = [Text(_MARGIN, y, font.printable(guide.title), _TITLE, bold=True)]
    sub = f"{guide.pieces} pieces, {len(guide.steps)} steps, {guide.time}"
    marks.append(Text(_MARGIN, y + 7.0, sub, 3.9, grey=0.3))
    y += 19.0
    column = (wide - _GAP) / 2
    right = _MARGIN + column + _GAP
    _needs(marks, _MARGIN, y, column, guide)
    low = _column(marks, right, y, column, "Tools", list(TOOLS))
    _column(marks, right, low + 5.0, column, "Take care", list(CAUTIONS))
    add_marks(pdf, marks)


def _needs(marks: list[Mark], x: float, y: float, width: float, guide: Guide) -> None:
    """The shopping list, with a spot for each colour of paper."""
    marks.append(Text(x, y, "You need", _HEAD, bold=True))
    y += 6.2
    for item in guide.materials:
        for row in wrapped(font.printable(f"{item.name}: {item.detail}"), _TEXT, width):
            marks.append(Text(x, y, row, _TEXT, grey=0.12))
            y += _LEAD
        across = max(1, int(width / (SPOT_MM + 1.2)))
        for k, colour in enumerate(item.colours):
            at = x + (k % across) * (SPOT_MM + 1.2)
            marks += colour_spot(at, y + (k // across) * (SPOT_MM + 1.2), colour)
        y += math.ceil(len(item.colours) / across) * (SPOT_MM + 1.2) + 2.2


def _column(
    marks: list[Mark], x: float, y: float, width: float, heading: str, items: list[str]
) -> float:
    """A heading and a list; where it ends."""
    marks.append(Text(x, y, heading, _HEAD, bold=True))
    y += 6.2
    for item in items:
        for row in wrapped(font.printable(item), _TEXT, width):
            marks.append(Text(x, y, row, _TEXT, grey=0.12))
            y += _LEAD
        y += 1.2
    return y


def _steps_page(pdf: FPDF, guide: Guide, steps: tuple[GuideStep, ...], stock: Stock) -> None:
    last = steps[-1].number
    foot = f"Steps {steps[0].number} to {last} of {len(guide.steps)}"
    _page(pdf, stock, guide.title, foot if len(steps) > 1 else f"Step {last} of {len(guide.steps)}")
    column, y = _column_width(stock), _MARGIN
    for pair in _pairs(steps):
        for k, step in enumerate(pair):
            _step(pdf, step, _MARGIN + k * (column + _GAP), y, column)
        y += max(_height(step, column) for step in pair) + _BETWEEN


def _pages(guide: Guide, stock: Stock) -> list[tuple[GuideStep, ...]]:
    """Steps of each page: as many rows of two as fit."""
    pages: list[tuple[GuideStep, ...]] = []
    room = 0.0
    for pair in _pairs(guide.steps):
        tall = max(_height(step, _column_width(stock)) for step in pair)
        if not pages or tall > room:
            pages.append(())
            room = stock.height - _MARGIN - _FOOT
        pages[-1] += pair
        room -= tall + _BETWEEN
    return pages


def _pairs(steps: tuple[GuideStep, ...]) -> list[tuple[GuideStep, ...]]:
    return [steps[k : k + 2] for k in range(0, len(steps), 2)]


def _column_width(stock: Stock) -> float:
    return (stock.width - 2 * _MARGIN - _GAP) / 2


def _height(step: GuideStep, width: float) -> float:
    """How much room a step takes below its upper edge, mm; laid out as in `_step`."""
    indent = font.width(str(step.number), 6.4, bold=True) + 2.6
    titles = len(wrapped(font.printable(step.words.title), _HEAD, width - indent))
    rows = [len(wrapped(font.printable(said), _TEXT, width)) for said in step.words.sentences]
    tall = width * step.picture.shape[0] / step.picture.shape[1]
    return float(tall + 7.5 + 5.0 * titles + 0.6 + sum(_LEAD * n + 0.8 for n in rows) - _LEAD)


def _step(pdf: FPDF, step: GuideStep, x: float, y: float, width: float) -> None:
    tall = _image(pdf, step.picture, x, y, width)
    y += tall + 7.5
    number = str(step.number)
    indent = font.width(number, 6.4, bold=True) + 2.6
    marks: list[Mark] = [Text(x, y, number, 6.4, bold=True)]
    for row in wrapped(font.printable(step.words.title), _HEAD, width - indent):
        marks.append(Text(x + indent, y, row, _HEAD, bold=True))
        y += 5.0
    y += 0.6
    for sentence in step.words.sentences:
        for row in wrapped(font.printable(sentence), _TEXT, width):
            marks.append(Text(x, y, row, _TEXT, grey=0.12))
            y += _LEAD
        y += 0.8
    add_marks(pdf, marks)
