"""The first page of a pattern: how to print it, what its lines mean, and what paper it takes."""

from __future__ import annotations

from . import font
from .drawing import Mark, Text, line
from .folds import sample_sign
from .furniture import (
    SPOT_MM,
    SQUARE_MM,
    Frame,
    check_square,
    colour_spot,
    furniture_bars,
    hatch_sample,
    sample,
)
from .layout import Pattern
from .line import Role

_TITLE, _HEAD, _TEXT, _LEAD = 8.5, 3.9, 3.2, 4.7  # our choice


def opening_pages(pattern: Pattern) -> list[list[Mark]]:
    """Marks of the first page, and of a second one where the list of papers needs it."""
    options = pattern.options
    frame = Frame(options.stock, options.margin)
    left, right = frame.left + 2.0, options.stock.width - options.margin - 2.0
    top = options.margin + 9.0
    marks: list[Mark] = [Text(left, top, font.printable(pattern.title), _TITLE, bold=True)]
    marks.append(Text(left, top + 6.2, "Printed pattern at true scale", 3.9, grey=0.3))
    square_left, square_top = right - SQUARE_MM, options.margin + 22.0
    column = square_left - left - 9.0
    y = _before_printing(marks, left, square_top, column, pattern)
    marks += check_square(square_left, square_top)
    y = max(y, square_top + SQUARE_MM) + 11.0
    y = _lines(marks, left, y, right - left)
    papers: list[Mark] = []
    end = _papers(papers, left, y + 9.0, right, pattern)
    if end <= frame.top + frame.height:
        return [marks + papers + furniture_bars(frame)]
    papers = []
    _papers(papers, left, top, right, pattern)
    return [marks + furniture_bars(frame), papers + furniture_bars(frame)]


def _heading(marks: list[Mark], x: float, y: float, text: str) -> float:
    marks.append(Text(x, y, text, _HEAD, bold=True))
    return y + _LEAD + 1.4


def wrapped(text: str, size: float, width: float) -> list[str]:
    """The text in lines of at most `width` mm, broken between words."""
    rows, row = [], ""
    for word in text.split():
        longer = f"{row} {word}".strip()
        if row and font.width(longer, size) > width:
            rows.append(row)
            row = word
        else:
            row = longer
    return [*rows, row]


def _paragraph(marks: list[Mark], x: float, y: float, text: str, width: float) -> float:
    for row in wrapped(text, _TEXT, width):
        marks.append(Text(x, y, row, _TEXT, grey=0.12))
        y += _LEAD
    return y


def _before_printing(
    marks: list[Mark], x: float, y: float, width: float, pattern: Pattern
) -> float:
    y = _heading(marks, x, y + 3.0, "Before you print")
    steps = [
        "Set the printer to 100 % or actual size, never to fit the page.",
        "Print this page first. The square must measure 50 mm both ways, the bars 100 mm.",
        "If they do not, give what you measure to the program and print again: bars of 98.9 mm "
        "across and 100 mm upright are --printer-scale 0.989,1.0",
    ]
    if pattern.options.side == "both":
        edge = pattern.options.flip
        steps.append(
            f"Print on both sides, turned over the {edge} edge. Hold a sheet against the light: "
            "the crosses of front and back must lie on each other."
        )
    if pattern.options.side == "back":
        steps.append("Load the paper so that the marks come onto its back.")
    if pattern.options.scale != (1.0, 1.0):
        across, upright = pattern.options.scale
        steps.append(f"This file makes up for a printer scale of {across:g} × {upright:g}.")
    for number, step in enumerate(steps, 1):
        marks.append(Text(x, y, str(number), _TEXT, bold=True))
        y = _paragraph(marks, x + 5.0, y, step, width - 5.0) + 1.0
    return y


_KEY: tuple[tuple[Role, str, str], ...] = (
    ("cut", "Cut", "Solid and heavy. Cut slits and windows first, the outline last."),
    (
        "valley",
        "Valley fold",
        "Dashed, thin, with an open V. Score it; the side you look at closes on itself.",
    ),
    (
        "mountain",
        "Mountain fold",
        "Dash and dot, thin, with a black tent. Score it; the side you look at is outside.",
    ),
)


def _lines(marks: list[Mark], x: float, y: float, width: float) -> float:
    y = _heading(marks, x, y, "What the lines mean")
    for role, name, words in _KEY:
        marks.append(sample(role, x, y - 1.0, 30.0))
        if role != "cut":
            marks.append(sample_sign(role == "mountain", x + 15.0, y - 1.0))
        y = _entry(marks, x, y, name, words, width)
    marks += hatch_sample(x, y + 0.8, 14.0, 4.0)
    marks.append(Text(x + 19.0, y, "A", 3.9, bold=True))
    y = _entry(marks, x, y, "Glue", "Hatched: put glue here, on the side you look at.", width)
    marks.append(line("place", (x, y - 1.0), (x + 14.0, y - 1.0)))
    marks.append(Text(x + 19.0, y, "A", 3.9, bold=True))
    y = _entry(
        marks, x, y, "Place", "Dotted outline: where the tab with the same letter lands.", width
    )
    marks.append(Text(x + 17.6, y, "(A)", 3.2, bold=True, grey=0.35))
    return _entry(marks, x, y, "Other side", "In brackets: on the side you do not look at.", width)


def _entry(marks: list[Mark], x: float, y: float, name: str, words: str, width: float) -> float:
    marks.append(Text(x + 36.0, y, name, _TEXT, bold=True))
    for row in wrapped(words, _TEXT, width - 64.0):
        marks.append(Text(x + 64.0, y, row, _TEXT, grey=0.12))
        y += _LEAD
    return y + 1.3


def _papers(marks: list[Mark], x: float, y: float, right: float, pattern: Pattern) -> float:
    y = _heading(marks, x, y, "Paper")
    for use in pattern.papers:
        sheets = "1 sheet" if use.sheets == 1 else f"{use.sheets} sheets"
        pieces = "1 piece" if use.pieces == 1 else f"{use.pieces} pieces"
        kind = "clear film" if use.paper.clear else f"{use.paper.grammage:g} g/m²"
        shown = 0.0
        if not pattern.options.show.colours:
            marks += colour_spot(x, y, use.colour)
            shown = SPOT_MM + 1.6
        marks.append(Text(x + shown, y, font.printable(use.name), _TEXT, bold=True))
        words = f"{kind}: {sheets} of {pattern.options.stock.name} for {pieces}, "
        words += f"{100 * use.waste:.0f} % waste"
        marks.append(Text(x + 36.0, y, font.printable(words), _TEXT, grey=0.12))
        y += _LEAD + 0.6
    words = (
        f"Waste in all {100 * pattern.waste:.0f} %; set in plain rows it would be "
        f"{100 * pattern.plain_waste:.0f} %."
    )
    marks.append(Text(x, y + 1.2, words, _TEXT, grey=0.3))
    y += 2 * _LEAD + 1.2
    caution = (
        "Blades cut fingers as easily as paper: cut away from yourself on a cutting mat, and "
        "follow the maker's instructions for knife, glue and machine. Small parts are not for "
        "small children."
    )
    return _paragraph(marks, x, y, caution, right - x)
