"""Drafting sheets as PDF: what is needed, then for each piece a picture of each step."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from preview.errors import UseError
from preview.pattern import font
from preview.pattern.drawing import Mark, Text, line
from preview.pattern.folds import sample_sign
from preview.pattern.furniture import SPOT_MM, colour_spot, sample
from preview.pattern.pdf import add_page, finished, new_document
from preview.pattern.stock import Stock
from preview.pattern.tags import Tags
from preview.roles import counted

from .columns import ColumnArea, ColumnPages, PageBlock, shifted
from .figure import FINISHED_PADS, Figure, FigureLook
from .ground import SCALES, PictureBox, scale_words
from .plan import BaseLine, DraftStep, Point, written
from .proof import WITHIN_MM
from .sheets import DraftSheet

# Margins of a page, room between pictures, mm. Our choice.
MARGIN_MM, _BETWEEN_MM = 12.0, 6.0
# Room above a piece, mm. Our choice.
_APART_MM = 11.0
# Heights of a picture in a column and over both, mm. Our choice.
_HIGH_MM, _BROAD_HIGH_MM = 66.0, 120.0
# Height of a finished piece, and the least scale good enough for it in a column. Our choice.
_FINISHED_HIGH_MM, _FINISHED_SCALE = 90.0, 0.5
_LEAST_MM = (140.0, 195.0)  # of a page, width and height; our choice
_TITLE, _HEAD, _TEXT, _LEAD, _SMALL = 8.5, 3.9, 2.8, 3.9, 2.5  # our choice
TOOLS = (
    "A sharp pencil and an eraser, a ruler with millimetres, a set square for right angles, a "
    "protractor, a compass, a template for small circles. For the curves a steady hand: 5 mm "
    "graph paper helps."
)
LETTERS = "Letters are those of the guide: glue, or where something lands; in brackets on the back."
HOW = (
    "All dimensions are millimetres. Every piece begins with a base line from A to B. Lay the "
    "ruler on it with 0 at A: along is read on it. Then lay the set square on the base line and "
    "measure up from it, or down. Points have numbers; what is told of a point holds whatever was "
    "drawn before, so a slip stays where it is.",
    "Pictures show what is new in black and what was there in grey. Where points lie close, a "
    "picture is an excerpt on squares of 5 mm.",
    "A line called smooth goes through its points without corners; straight lines between them "
    "are near enough.",
    f"The last picture of a piece shows it finished. {LETTERS}",
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
    pages = [*_cover(title, sheets, stock), *_pieces(sheets, stock)]
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


def _pieces(sheets: Sequence[DraftSheet], stock: Stock) -> list[list[Mark]]:
    """Pages of all pieces, one after the other."""
    column = (stock.width - 2 * MARGIN_MM - _BETWEEN_MM) / 2
    high = stock.height - 2 * MARGIN_MM
    columns = ColumnPages(ColumnArea(MARGIN_MM, MARGIN_MM, column, _BETWEEN_MM, high))
    for sheet in sheets:
        for block in _piece(sheet, columns.area):
            columns.add(block)
    return columns.finish()


def _piece(sheet: DraftSheet, area: ColumnArea) -> Iterator[PageBlock]:
    """The blocks of one piece: its name with its first step, the other steps, what it becomes."""
    steps = [_step(sheet, number, area) for number in range(len(sheet.drawing.plan.steps))]
    head = _head(sheet, area.column)
    first = steps[0]
    under = shifted(first.marks, 0.0, head.high + first.gap)
    high = head.high + first.gap + first.high
    yield PageBlock([*head.marks, *under], high, head.gap, first.is_broad)
    yield from steps[1:]
    yield finished_piece(sheet, area)


def _head(sheet: DraftSheet, wide: float) -> PageBlock:
    """Name of a piece, how many are cut of it, and the colours of the paper."""
    marks: list[Mark] = []
    y = 0.0
    for words, size, bold in (
        (f"{sheet.number}  {sheet.title}", 5.6, True),
        (sheet.wanted, _TEXT, False),
    ):
        rows, high = _paragraph(words, size, wide, y, bold)
        marks += rows
        y += high
    apart = SPOT_MM + 1.2
    across = max(1, int(wide / apart))
    for k, colour in enumerate(sheet.colours):
        marks += colour_spot(k % across * apart, y + apart * (1 + k // across) - 0.4, colour)
    y += apart * -(-len(sheet.colours) // across)
    return PageBlock(marks, y, _APART_MM)


def _paragraph(
    words: str, size: float, wide: float, y: float, bold: bool = False
) -> tuple[list[Mark], float]:
    """Wrapped words from the left edge on, and their height, mm."""
    lead = size * _LEAD / _TEXT
    rows = font.wrapped(font.printable(words), size, wide, bold)
    marks: list[Mark] = [
        Text(0.0, y + (k + 0.75) * lead, row, size, bold=bold, grey=0.12)
        for k, row in enumerate(rows)
    ]
    return marks, len(rows) * lead


def _step(sheet: DraftSheet, number: int, area: ColumnArea) -> PageBlock:
    """A step in a column; over both where that shows points that it places at a larger scale."""
    block, scale = _drawn(sheet, number, area.column, _HIGH_MM, SCALES)
    operations = sheet.drawing.plan.steps[number].operations
    if scale >= 1 or isinstance(operations[0], BaseLine):
        return block
    if any(isinstance(op, Point) for op in operations):
        broad, larger = _drawn(sheet, number, area.width, _BROAD_HIGH_MM, SCALES[2:])
        return replace(broad, is_broad=True) if larger > scale else block
    if scale < _FINISHED_SCALE:
        block, _ = _drawn(sheet, number, area.column, _FINISHED_HIGH_MM, SCALES[2:])
    return block


def _drawn(
    sheet: DraftSheet, number: int, wide: float, high: float, scales: tuple[float, ...]
) -> tuple[PageBlock, float]:
    """A step with its title, picture and sentences; and its scale."""
    step = sheet.drawing.plan.steps[number]
    figure = sheet.drawing.step(number, PictureBox(0.0, 0.0, wide, high), FigureLook(scales=scales))
    marks, y = _under_title(f"{number + 1}  {step.title}", figure, wide)
    for rows in sentences(step, wide, _TEXT):
        for column, words in enumerate(rows):
            marks.append(Text(column * wide / 2, y, words, _TEXT, grey=0.12))
        y += _LEAD
    return PageBlock(marks, y - 1.0, _BETWEEN_MM), figure.scale


def _under_title(title: str, figure: Figure, wide: float) -> tuple[list[Mark], float]:
    """A title with the scale, and a picture below; and where words go on below that, mm."""
    top, bottom = figure.extent
    marks: list[Mark] = [
        Text(0.0, 3.2, title, 3.2, bold=True),
        Text(wide, 3.2, f"scale {scale_words(figure.scale)}", _SMALL, "end", grey=0.35),
        line("rule", (0.0, 4.6), (wide, 4.6)),
        *shifted(figure.marks, 0.0, 7.0 - top),
    ]
    return marks, 7.0 + bottom - top + 5.0


def sentences(step: DraftStep, wide: float, size: float) -> Iterator[tuple[str, ...]]:
    """The rows of a step's sentences: points two in a row where they fit, others wrapped."""
    points = [op.told for op in step.operations if isinstance(op, Point)]
    two = all(font.width(words, size) < wide / 2 - 1.5 for words in points)
    for k in range(0, len(points), 2 if two else 1):
        yield tuple(points[k : k + (2 if two else 1)])
    for op in step.operations:
        if not isinstance(op, Point):
            yield from ((row,) for row in font.wrapped(op.told, size, wide))


def finished_piece(sheet: DraftSheet, area: ColumnArea) -> PageBlock:
    """The finished piece: in a column if all its names have room there, else over both."""
    block, figure = _all_lines(sheet, area.column)
    named = _names(figure)
    if figure.scale >= _FINISHED_SCALE and named == len(sheet.sides) + len(sheet.places):
        return block
    broad, larger = _all_lines(sheet, area.width)
    if larger.scale > figure.scale or _names(larger) > named:
        return replace(broad, is_broad=True)
    return block


def _names(figure: Figure) -> int:
    return sum(isinstance(mark, Text) for mark in figure.marks)


def _all_lines(sheet: DraftSheet, wide: float) -> tuple[PageBlock, Figure]:
    """The finished piece, at true scale if that fits, with what to measure on it."""
    high = _FINISHED_HIGH_MM + FINISHED_PADS.top + FINISHED_PADS.bottom
    box, look = PictureBox(0.0, 0.0, wide, high), FigureLook(scales=SCALES[2:])
    figure = sheet.drawing.finished(box, look, sheet.sides, sheet.places)
    marks, y = _under_title("Finished", figure, wide)
    words, more = _paragraph(check_words(sheet), _TEXT, wide, y - 3.0)
    return PageBlock([*marks, *words], y - 3.0 + more, _BETWEEN_MM), figure


def check_words(sheet: DraftSheet) -> str:
    """What to measure in the end."""
    wide, high = sheet.size
    return f"Check: {written(wide)} mm along A–B and {written(high)} mm square to it over all."
