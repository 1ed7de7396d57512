"""Drafting sheets as PDF: what is needed, then for each piece a picture of each step."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from preview.errors import UseError
from preview.pattern import font
from preview.pattern.drawing import Mark, Text, line, moved
from preview.pattern.folds import sample_sign
from preview.pattern.furniture import SPOT_MM, colour_spot, sample
from preview.pattern.pdf import add_page, finished, new_document
from preview.pattern.stock import Stock
from preview.pattern.tags import Tags
from preview.roles import counted

from .figure import FINISHED_PADS, FigureLook
from .ground import SCALES, PictureBox, scale_for, scale_words
from .plan import DraftStep, Point, written
from .proof import WITHIN_MM
from .sheets import DraftSheet

# Margins of a page, room between pictures, mm. Our choice.
MARGIN_MM, _BETWEEN_MM = 12.0, 6.0
# Room between pieces on a page. Our choice.
_APART_MM = 14.0
# Heights of a picture in half the width and in all of it. Our choice.
_HIGH_MM, _BROAD_HIGH_MM = 66.0, 120.0
_LEAST_MM = (140.0, 195.0)  # of a page, width and height; our choice
_TITLE, _HEAD, _TEXT, _LEAD, _SMALL = 8.5, 3.9, 2.8, 3.9, 2.5  # our choice
TOOLS = (
    "A sharp pencil and an eraser, a ruler with millimetres, a set square for right angles, a "
    "protractor, a compass, a template for small circles. For the curves a steady hand: 5 mm "
    "graph paper helps."
)
HOW = (
    "All dimensions are millimetres. Every piece begins with a base line from A to B. Lay the "
    "ruler on it with 0 at A: along is read on it. Then lay the set square on the base line and "
    "measure up from it, or down. Points have numbers; what is told of a point holds whatever was "
    "drawn before, so a slip stays where it is.",
    "Pictures show what is new in black and what was there in grey. Where points lie close, a "
    "picture is an excerpt on squares of 5 mm.",
    "A line called smooth goes through its points without corners; straight lines between them "
    "are near enough.",
)
CAUTION = (
    "Blades cut fingers as easily as paper: cut away from yourself on a cutting mat, and follow "
    "the maker's instructions for knife, compass and glue. Small parts and sharp points are not "
    "for small children."
)


def write_drafts(title: str, sheets: Sequence[DraftSheet], stock: Stock) -> bytes:
    """The PDF of all drafting sheets of a design.

    Raises
    ------
    UseError
        If the page is too small for a picture and its sentences.
    """
    if stock.width < _LEAST_MM[0] or stock.height < _LEAST_MM[1]:
        raise UseError(
            f"sheet {stock.name} is too small for drafting sheets; allowed: at least "
            f"{_LEAST_MM[0]:g} × {_LEAST_MM[1]:g} mm; try --page A5"
        )
    pages = [*_cover(title, sheets, stock), *_together([_piece(s, stock) for s in sheets])]
    tags = Tags()
    pdf = new_document(title, "Drafting sheets")
    for number, marks in enumerate(pages, 1):
        words = f"{font.printable(title)}, drafting sheets, page {number} of {len(pages)}"
        foot = Text(stock.width - MARGIN_MM, stock.height - 7.0, words, _SMALL, "end", grey=0.4)
        add_page(pdf, tags, stock, marks, [foot])
    return finished(bytes(pdf.output()), tags, {})


@dataclass
class _Flow:
    """Pages that fill up from above.

    Parameters
    ----------
    y : where the next thing begins, mm.
    """

    stock: Stock
    pages: list[list[Mark]] = field(default_factory=list)
    y: float = 0.0

    @property
    def width(self) -> float:
        """Between the margins, mm."""
        return self.stock.width - 2 * MARGIN_MM

    def room(self, high: float) -> list[Mark]:
        """The page on which something as high as that goes; a new one if there is no room."""
        if not self.pages or self.y + high > self.stock.height - MARGIN_MM:
            self.pages.append([])
            self.y = MARGIN_MM
        return self.pages[-1]

    def say(self, words: str, size: float = _TEXT, bold: bool = False, grey: float = 0.12) -> None:
        """A paragraph over the whole width."""
        for row in font.wrapped(font.printable(words), size, self.width, bold):
            lead = size * _LEAD / _TEXT
            marks = self.room(lead)
            marks.append(Text(MARGIN_MM, self.y + 0.75 * lead, row, size, bold=bold, grey=grey))
            self.y += lead


def _cover(title: str, sheets: Sequence[DraftSheet], stock: Stock) -> list[list[Mark]]:
    flow = _Flow(stock)
    flow.say(title, _TITLE, bold=True)
    count = sum(len(sheet.numbers) for sheet in sheets)
    flow.say(
        f"Drafting sheets: {counted(len(sheets), 'different piece')} for "
        f"{counted(count, 'cut-out')}, to be drawn by hand",
        _HEAD,
        grey=0.3,
    )
    flow.y += 4.0
    for heading, rows in (("You need", (TOOLS,)), ("How to draw", HOW), ("Take care", (CAUTION,))):
        flow.y += 3.0
        flow.say(heading, _HEAD, bold=True)
        for words in rows:
            flow.y += 0.8
            flow.say(words)
    flow.y += 3.0
    flow.say("Lines", _HEAD, bold=True)
    for kind, words in (
        ("cut", "Cut line"),
        ("valley", "Valley fold, with an open V: fold towards you"),
        ("mountain", "Mountain fold, with a black tent: fold away from you"),
        ("dimension", "Dimension: arrowheads at what is measured; 0 is the small circle at A"),
        ("axis", "Axis: what is mirrored or repeated"),
    ):
        marks = flow.room(6.0)
        marks.append(sample(kind, MARGIN_MM, flow.y + 3.0, 30.0))  # type: ignore[arg-type]
        if kind in ("valley", "mountain"):
            marks.append(sample_sign(kind == "mountain", MARGIN_MM + 15.0, flow.y + 3.0))
        marks.append(Text(MARGIN_MM + 36.0, flow.y + 3.8, words, _TEXT, grey=0.12))
        flow.y += 5.6
    flow.y += 3.0
    flow.say("Pieces", _HEAD, bold=True)
    for sheet in sheets:
        flow.say(f"{sheet.number}  {sheet.title}: {_numbers(sheet)}")
    flow.y += 3.0
    flow.say(
        "Each sheet was proved before it was printed: a drawing made from nothing but its rounded "
        f"dimensions lies within {WITHIN_MM:g} mm of the piece.",
        _SMALL,
        grey=0.35,
    )
    return flow.pages


def _numbers(sheet: DraftSheet) -> str:
    """The pieces of the guide that a sheet is for, as long as that is short."""
    shown = ", ".join(str(number) for number in sheet.numbers[:14])
    more = " …" if len(sheet.numbers) > 14 else ""
    return f"{counted(len(sheet.numbers), 'cut-out')}, in pattern and guide {shown}{more}"


def _together(pieces: Sequence[_Flow]) -> Iterator[list[Mark]]:
    """Pages of all pieces in order; a small piece goes under the one before if there is room."""
    page: list[Mark] = []
    end = np.inf
    for flow in pieces:
        first, *more = flow.pages
        down = end + _APART_MM - MARGIN_MM
        if more or down + flow.y > flow.stock.height - MARGIN_MM:
            if page:
                yield page
            yield from flow.pages[:-1]
            page, end = flow.pages[-1], flow.y
        else:
            rule = end + _APART_MM / 2
            ruled = line("rule", (MARGIN_MM, rule), (MARGIN_MM + flow.width, rule))
            page, end = [*page, ruled, *_shifted(first, 0.0, down)], down + flow.y
    if page:
        yield page


def _piece(sheet: DraftSheet, stock: Stock) -> _Flow:
    """The pages of one piece."""
    flow = _Flow(stock)
    flow.say(f"{sheet.number}  {sheet.title}", 5.6, bold=True)
    flow.say(sheet.wanted)
    _colours(sheet.colours, flow)
    flow.y += 2.0
    for row in _rows(sheet, flow.width):
        high = max(cell.high for cell in row)
        marks = flow.room(high)
        for column, cell in enumerate(row):
            x = MARGIN_MM + column * (flow.width + _BETWEEN_MM) / 2
            marks += _shifted(cell.marks, x, flow.y)
        flow.y += high + _BETWEEN_MM
    _finished(sheet, flow)
    return flow


def _colours(colours: Sequence[str], flow: _Flow) -> None:
    """The colours of the paper, as spots after the words that ask for it."""
    apart = SPOT_MM + 1.2
    across = max(1, int(flow.width / apart))
    for k, colour in enumerate(colours):
        if k % across == 0:
            marks = flow.room(apart + 1.0)
            flow.y += apart
        marks += colour_spot(MARGIN_MM + k % across * apart, flow.y - 0.4, colour)


def _rows(sheet: DraftSheet, width: float) -> Iterator[list[_Cell]]:
    """Steps two in a row; one over the whole width where that shows it at a larger scale."""
    half = (width - _BETWEEN_MM) / 2
    row: list[_Cell] = []
    for number in range(len(sheet.drawing.plan.steps)):
        cell, broad = _cell(sheet, number, half, _HIGH_MM), None
        if cell.scale < 1:
            broad = _cell(sheet, number, width, _BROAD_HIGH_MM, SCALES[2:])
        if broad is not None and broad.scale > cell.scale:
            yield from ([row] if row else [])
            yield [broad]
            row = []
            continue
        row.append(cell)
        if len(row) == 2:
            yield row
            row = []
    if row:
        yield row


@dataclass(frozen=True)
class _Cell:
    """A step from (0, 0) on: its title, its picture, its sentences, and how high it is, mm."""

    marks: list[Mark]
    high: float
    scale: float


def _shifted(marks: Sequence[Mark], x: float, y: float) -> list[Mark]:
    return moved(marks, lambda points: np.asarray(points + np.array([x, y])))


def _cell(
    sheet: DraftSheet,
    number: int,
    wide: float,
    high: float,
    scales: tuple[float, ...] = SCALES,
) -> _Cell:
    step = sheet.drawing.plan.steps[number]
    figure = sheet.drawing.step(number, PictureBox(0.0, 0.0, wide, high), FigureLook(scales=scales))
    top, bottom = figure.extent
    marks: list[Mark] = [
        Text(0.0, 3.2, f"{number + 1}  {step.title}", 3.2, bold=True),
        Text(wide, 3.2, f"scale {scale_words(figure.scale)}", _SMALL, "end", grey=0.35),
        line("rule", (0.0, 4.6), (wide, 4.6)),
        *_shifted(figure.marks, 0.0, 7.0 - top),
    ]
    y = 7.0 + bottom - top + 5.0
    for rows in sentences(step, wide, _TEXT):
        for column, words in enumerate(rows):
            marks.append(Text(column * wide / 2, y, words, _TEXT, grey=0.12))
        y += _LEAD
    return _Cell(marks, y - 1.0, figure.scale)


def sentences(step: DraftStep, wide: float, size: float) -> Iterator[tuple[str, ...]]:
    """The rows of a step's sentences: points two in a row where they fit, others wrapped."""
    points = [op.told for op in step.operations if isinstance(op, Point)]
    two = all(font.width(words, size) < wide / 2 - 1.5 for words in points)
    for k in range(0, len(points), 2 if two else 1):
        yield tuple(points[k : k + (2 if two else 1)])
    for op in step.operations:
        if not isinstance(op, Point):
            yield from ((row,) for row in font.wrapped(op.told, size, wide))


def _finished(sheet: DraftSheet, flow: _Flow) -> None:
    """The finished piece at true scale, on a page of its own if it needs that."""
    wide, high = sheet.size
    pads = FINISHED_PADS
    head = 5.0 + 2 * _LEAD
    tall = min(high + pads.top + pads.bottom, flow.stock.height - 2 * MARGIN_MM - head)
    scale = min(1.0, scale_for((wide, high), PictureBox(0, 0, flow.width, tall), pads))
    tall = scale * high + pads.top + pads.bottom
    marks = flow.room(tall + head)
    box = PictureBox(MARGIN_MM, flow.y + 5.0, flow.width, tall)
    figure = sheet.drawing.finished(box, FigureLook(scales=(scale,)), sheet.sides, sheet.places)
    marks += [
        Text(MARGIN_MM, flow.y + 3.2, "Finished", 3.2, bold=True),
        Text(
            flow.stock.width - MARGIN_MM,
            flow.y + 3.2,
            f"scale {scale_words(scale)}",
            _SMALL,
            "end",
            grey=0.35,
        ),
        line("rule", (MARGIN_MM, flow.y + 4.6), (flow.stock.width - MARGIN_MM, flow.y + 4.6)),
        *figure.marks,
    ]
    flow.y += 5.0 + tall
    flow.say(check_words(sheet))


def check_words(sheet: DraftSheet) -> str:
    """What to measure in the end, and what the letters mean."""
    wide, high = sheet.size
    words = f"Check: {written(wide)} mm along A–B and {written(high)} mm square to it over all."
    if sheet.places:
        words += (
            " Letters are those of the guide: glue, or where something lands; in brackets on the "
            "back."
        )
    return words
