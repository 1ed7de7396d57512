"""The first page of a pattern: how to print it, what its lines mean, and what paper it takes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from preview.roles import counted

from . import font
from .allowance import told
from .drawing import Mark, Text, line, moved
from .folds import ring, sample_sign
from .furniture import (
    SPOT_MM,
    SQUARE_MM,
    PrintArea,
    check_square,
    colour_spot,
    furniture_bars,
    hatch_sample,
    sample,
)
from .layout import PaperUse, Pattern, has_brackets
from .line import Role
from .marks import is_dark
from .rolls import strokes

_MOST_SAID = 8  # our choice
_TITLE, _HEAD, _TEXT, _LEAD = 8.5, 3.9, 3.2, 4.7  # our choice


def opening_pages(pattern: Pattern) -> list[list[Mark]]:
    """Marks of the first page, and of a second one where the list of papers needs it."""
    options = pattern.options
    frame = PrintArea(options.stock, options.margin)
    left, right = frame.left + 2.0, options.stock.width - options.margin - 2.0
    top = options.margin + 9.0
    marks: list[Mark] = [Text(left, top, font.printable(pattern.title), _TITLE, bold=True)]
    marks.append(Text(left, top + 6.2, _under_title(pattern), 3.9, grey=0.3))
    square_left, square_top = right - SQUARE_MM, options.margin + 22.0
    column = square_left - left - 9.0
    y = _before_printing(marks, left, square_top, column, pattern)
    marks += check_square(square_left, square_top)
    y = max(y, square_top + SQUARE_MM) + 11.0
    y = _lines(marks, left, y, right - left, pattern)
    papers: list[Mark] = []
    end = _papers(papers, left, y + 9.0, right, pattern)
    end = _allowances(papers, left, end, right, pattern)
    if end <= frame.top + frame.height:
        return [marks + papers + furniture_bars(frame)]
    papers = []
    end = _papers(papers, left, top, right, pattern)
    _allowances(papers, left, end, right, pattern)
    return [marks + furniture_bars(frame), papers + furniture_bars(frame)]


def _under_title(pattern: Pattern) -> str:
    """What it is, and how large the notebook's pages must be."""
    words = "Printed pattern at true scale"
    page = next((t.outline.bounds for t in pattern.templates if t.is_page), None)
    if page is not None:
        left, bottom, right, top = page
        words += f", for a notebook with pages of {right - left:g} × {top - bottom:g} mm"
    return words


def _heading(marks: list[Mark], x: float, y: float, text: str) -> float:
    marks.append(Text(x, y, text, _HEAD, bold=True))
    return y + _LEAD + 1.4


def _paragraph(marks: list[Mark], x: float, y: float, text: str, width: float) -> float:
    for row in font.wrapped(text, _TEXT, width):
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
        _if_they_do_not(pattern.options.handed_on),
    ]
    if pattern.options.side == "both":
        edge = pattern.options.flip
        steps.append(
            f"Print on both sides, turned over the {edge} edge. Hold a sheet against the light: "
            "the crosses of front and back must lie on each other. Cut and fold by the lines on "
            "the back."
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


def _if_they_do_not(handed_on: bool) -> str:
    """What to do about a printer that scales; without the program by the printer's own settings."""
    if handed_on:
        return (
            "If they do not, change the scale in the printer's settings and print again: bars of "
            "98.9 mm need 101.1 %, which is 100 divided by 0.989."
        )
    return (
        "If they do not, give what you measure to the program and print again: bars of 98.9 mm "
        "across and 100 mm upright are --printer-scale 0.989,1.0"
    )


@dataclass(frozen=True)
class _Sign:
    """One line of the key: what is drawn on x from 0 to 30 mm, what it is called and means."""

    marks: tuple[Mark, ...]
    name: str
    words: str


def _letter(text: str, x: float, size: float = 3.9, grey: float = 0.0) -> Text:
    return Text(x, 0.0, text, size, bold=True, grey=grey)


def _key(pattern: Pattern) -> list[_Sign]:
    """Every line and sign of this pattern."""
    return [*_line_types(), *_glue_signs(pattern), *_other_signs(pattern)]


def _line_types() -> list[_Sign]:
    found = [
        _Sign(
            (sample("cut", 0.0, -1.0, 30.0),),
            "Cut",
            "Solid and heavy. Cut slits and windows first, the outline last.",
        )
    ]
    kinds: tuple[tuple[Role, str, str], ...] = (
        ("valley", "Valley fold", "Dashed, with an open V: fold the side you look at inward."),
        ("mountain", "Mountain fold", "Dash and dot, with a black tent: fold it outward."),
    )
    for role, name, words in kinds:
        drawn = (sample(role, 0.0, -1.0, 30.0), sample_sign(role == "mountain", 15.0, -1.0))
        found.append(_Sign(drawn, name, words))
    return found


def _glue_signs(pattern: Pattern) -> list[_Sign]:
    found = [
        _Sign(
            (*hatch_sample(0.0, 0.8, 14.0, 4.0), _letter("A", 19.0)),
            "Glue",
            "Hatched: put glue here, on the side you look at.",
        ),
        _Sign(
            (line("place", (0.0, -1.0), (14.0, -1.0)), _letter("A", 19.0)),
            "Place",
            "Dotted outline: what has the same letter lands here.",
        ),
    ]
    if has_brackets(pattern):
        side = "printed side" if pattern.options.side == "back" else "back"
        words = f"Letter in brackets: glue or place on the {side}, which you do not look at."
        found.append(_Sign((_letter("(A)", 17.6, 3.2, 0.35),), f"On the {side}", words))
    return found


def _other_signs(pattern: Pattern) -> list[_Sign]:
    options, templates = pattern.options, pattern.templates
    found = []
    if options.show.names:
        words = (
            "Number and name of a piece, beside it where it has no room; small ones of its sides "
            "and folds, as in the guide."
        )
        found.append(_Sign((_letter("7  fern", 0.0, 3.2, 0.25),), "Names", words))
    if any(template.pivots for template in templates):
        cross = tuple(
            line("sign", (21.0 - a, -1.0 - b), (21.0 + a, -1.0 + b))
            for a, b in ((2.5, 0.0), (0.0, 2.5))
        )
        found.append(_Sign(cross, "Fastener", "Prick a hole for a paper fastener."))
    if any(fold.forgives is not None for template in templates for fold in template.folds):
        words = (
            "Rings on both ends of a fold, ± at its name: score it with care, it forgives no more "
            "than so many mm. The guide says the same of glue."
        )
        drawn = (sample("valley", 0.0, -1.0, 30.0), ring(0.9, -1.0), ring(29.1, -1.0))
        found.append(_Sign(drawn, "Care", words))
    if any(template.rolls for template in templates):
        words = (
            "Long dash and two dots, with a roll on one side: from here on roll the paper over "
            "something so thick, the printed side inside or outside. It springs back a little."
        )
        ends, up = np.array([[0.0, -1.0], [30.0, -1.0]]), np.array([0.0, -1.0])
        found.append(_Sign(tuple(strokes(ends, up)), "Roll", words))
    if any(template.laid for template in templates):
        words = "Dotted outline without a letter: lies there loosely, a hand moves it."
        found.append(_Sign((line("place", (0.0, -1.0), (30.0, -1.0)),), "No glue", words))
    placed = [placed for page in pattern.pages for placed in page.placed]
    if any(one.template.part for one in placed):
        words = "Glue the parts of a large piece first: A on the hatched A, printed side up."
        found.append(_Sign((_letter("part 1 of 2", 0.0, 3.2, 0.25),), "Parts", words))
    if any(one.window for one in placed):
        words = "The next part of a placing sheet begins here."
        found.append(_Sign((line("trim", (0.0, -1.0), (30.0, -1.0)),), "Seam", words))
    if options.grain is not None:
        found.append(_Sign((Text(0.0, 0.0, "grain", 2.4),), "Grain", "Its arrow runs with it."))
    return found


def _at(drawn: Sequence[Mark], x: float, y: float) -> list[Mark]:
    def move(points: np.ndarray) -> np.ndarray:
        return np.asarray(points + np.array([x, y]))

    return moved(drawn, move)


def _lines(marks: list[Mark], x: float, y: float, width: float, pattern: Pattern) -> float:
    y = _heading(marks, x, y, "What the lines mean")
    for sign in _key(pattern):
        marks += _at(sign.marks, x, y)
        y = _entry(marks, x, y, sign.name, sign.words, width)
    return y


def _entry(marks: list[Mark], x: float, y: float, name: str, words: str, width: float) -> float:
    marks.append(Text(x + 36.0, y, name, _TEXT, bold=True))
    for row in font.wrapped(words, _TEXT, width - 64.0):
        marks.append(Text(x + 64.0, y, row, _TEXT, grey=0.12))
        y += _LEAD
    return y + 1.3


def _papers(marks: list[Mark], x: float, y: float, right: float, pattern: Pattern) -> float:
    cut_outs = sum(use.cut_outs for use in pattern.papers)
    words = counted(cut_outs, "cut-out")
    y = _heading(marks, x, y, f"Paper for {words}")
    for use in pattern.papers:
        y = _paper(marks, x, y, right, use, pattern)
    if not pattern.options.handed_on:
        words = (
            f"Waste in all {100 * pattern.waste:.0f} %; set in plain rows it would be "
            f"{100 * pattern.plain_waste:.0f} %."
        )
        marks.append(Text(x, y + 1.2, words, _TEXT, grey=0.3))
        y += _LEAD
    y += 0.8 * _LEAD + 1.2
    if pattern.options.side == "front" and any(is_dark(use.colour) for use in pattern.papers):
        words = "Black lines do not show on dark paper: print its sheets with --marks back."
        y = _paragraph(marks, x, y, words, right - x) + 1.2
    caution = (
        "Blades cut fingers as easily as paper: cut away from yourself on a cutting mat, and "
        "follow the maker's instructions for knife, glue and machine. Small parts are not for "
        "small children."
    )
    return _paragraph(marks, x, y, caution, right - x)


def _allowances(marks: list[Mark], x: float, y: float, right: float, pattern: Pattern) -> float:
    """What the pieces are larger or smaller than designed, for the thickness of paper."""
    if not pattern.changes or pattern.options.handed_on:
        return y  # who has not drawn it cuts what is printed; the guide says what to heed
    y = _heading(marks, x, y + 4.0, "Allowed for the thickness of paper")
    said = [told(change) for change in pattern.changes]
    if len(said) > _MOST_SAID:
        more = len(said) - _MOST_SAID + 1
        said = [*said[: _MOST_SAID - 1], f"And {more} more: --json has them all."]
    for words in said:
        y = _paragraph(marks, x, y, font.printable(words), right - x)
    return y


def _paper(
    marks: list[Mark], x: float, y: float, right: float, use: PaperUse, pattern: Pattern
) -> float:
    """One paper: its swatch, its name, how many sheets; below it the colours printed on it."""
    sheets = counted(use.sheets, "sheet")
    cut_outs = counted(use.cut_outs, "cut-out")
    weight = "" if use.paper.clear else f"{use.paper.grammage:g} g/m²"
    kind = ", ".join(filter(None, (use.paper.sort, weight)))
    marks += colour_spot(x, y, "#ffffff" if use.white else use.colour)
    name = font.printable(use.name) + (", white" if use.white else "")
    marks.append(Text(x + SPOT_MM + 1.6, y, name, _TEXT, bold=True))
    words = f"{kind}: {sheets} of {pattern.options.stock.name} for {cut_outs}"
    words += "" if pattern.options.handed_on else f", {100 * use.waste:.0f} % waste"
    at = x + max(36.0, SPOT_MM + 4.6 + font.width(name, _TEXT, bold=True))
    marks.append(Text(at, y, font.printable(words), _TEXT, grey=0.12))
    y += _LEAD + 0.6
    if not use.printed:
        return y
    marks.append(Text(x + SPOT_MM + 1.6, y, "printed in", _TEXT, grey=0.12))
    left = x + SPOT_MM + 18.0
    across = max(1, int((right - left) / (SPOT_MM + 1.2)))
    for k, colour in enumerate(use.printed):
        line_, column = divmod(k, across)
        marks += colour_spot(left + column * (SPOT_MM + 1.2), y + line_ * (SPOT_MM + 1.2), colour)
    return y + ((len(use.printed) - 1) // across) * (SPOT_MM + 1.2) + _LEAD + 0.6
