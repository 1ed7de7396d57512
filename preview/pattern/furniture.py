"""What every page carries besides its pieces: heading, check bars, key, grain, register marks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from . import font
from .drawing import Fill, Mark, PenStroke, Text, box, line
from .folds import sample_sign
from .glue import Face
from .line import Role
from .stock import Stock

BAR_MM, SQUARE_MM = 100.0, 50.0  # our choice
# Bands that the furniture takes inside the margin. Our choice.
HEAD_MM, FOOT_MM, SIDE_MM = 14.0, 15.0, 9.0
_TITLE, _TEXT, _FINE = 4.2, 2.9, 2.4  # our choice
_REGISTER_INSET = 7.0  # our choice
SPOT_MM = 2.8  # our choice


@dataclass(frozen=True)
class PrintArea:
    """A page and the rectangle in which pieces may lie, mm from the top left corner.

    Parameters
    ----------
    margin : what the printer may not reach.
    furnished : bands for heading and check bars are kept free.
    """

    stock: Stock
    margin: float
    furnished: bool = True

    @property
    def left(self) -> float:
        """Left edge of the room for pieces."""
        return self.margin + (SIDE_MM if self.furnished else 0.0)

    @property
    def top(self) -> float:
        """Its upper edge."""
        return self.margin + (HEAD_MM if self.furnished else 0.0)

    @property
    def width(self) -> float:
        """Its width."""
        return self.stock.width - self.left - self.margin

    @property
    def height(self) -> float:
        """Its height."""
        return self.stock.height - self.top - self.margin - (FOOT_MM if self.furnished else 0.0)


@dataclass(frozen=True)
class Heading:
    """The words at the top of a page.

    Parameters
    ----------
    face : None where it says nothing.
    brackets : some letters on the page stand in brackets, which the key then explains.
    colour : of the paper to load, ``#rrggbb``, shown as a spot.
    """

    title: str
    paper: str
    count: str
    face: Face | None
    colour: str | None = None
    brackets: bool = False


def furniture(
    frame: PrintArea, heading: Heading, grain: str | None, bars: bool = True
) -> list[Mark]:
    """Heading, both check bars, the key, and the grain arrow if a grain is asked for."""
    marks = (
        _heading(frame, heading)
        + (furniture_bars(frame) if bars else [])
        + _key(frame, heading.brackets)
    )
    if grain is not None:
        marks += _grain(frame, grain)
    return marks


def furniture_bars(frame: PrintArea) -> list[Mark]:
    """The 100 mm bars, across and upright: a printer may scale both differently."""
    return _across(frame) + _upright(frame)


def _heading(frame: PrintArea, heading: Heading) -> list[Mark]:
    left, right = frame.margin, frame.stock.width - frame.margin
    base = frame.margin + 4.2
    spot = [] if heading.colour is None else colour_spot(left, base + 4.4, heading.colour)
    words = left + (SPOT_MM + 1.4 if spot else 0.0)
    sides = {
        "front": " · you look at the printed side",
        "back": " · you look at the back; valleys and mountains as seen from here",
        None: "",
    }
    count = font.printable(heading.count)
    said = font.printable(heading.paper + sides[heading.face])
    first, *more = font.wrapped(said, _TEXT, right - words - font.width(count, _TEXT) - 4.0)
    rows = [first, *(font.wrapped(" ".join(more), _TEXT, right - words) if more else [])]
    return [
        Text(left, base, font.printable(heading.title), _TITLE, bold=True),
        *spot,
        *(Text(words, base + 4.4 + 3.5 * k, row, _TEXT, grey=0.2) for k, row in enumerate(rows)),
        Text(right, base, "Print at 100 %, actual size", _TEXT, "end", bold=True),
        Text(right, base + 4.4, count, _TEXT, "end", grey=0.2),
    ]


def colour_spot(x: float, base: float, colour: str) -> list[Mark]:
    """A disc of a colour before a text whose baseline is at `base`."""
    turn = np.linspace(0, 2 * np.pi, 33)[:-1]
    radius = SPOT_MM / 2
    ring = np.c_[x + radius + radius * np.cos(turn), base - 0.95 + radius * np.sin(turn)]
    return [Fill((ring,), colour), PenStroke("rule", ring, closed=True)]


def _ticks(length: float) -> np.ndarray:
    return np.arange(0.0, length + 1e-9, 10.0)


def _across(frame: PrintArea) -> list[Mark]:
    x, y = frame.left, frame.stock.height - frame.margin - 4.5
    marks: list[Mark] = [line("sign", (x, y), (x + BAR_MM, y))]
    for tick in _ticks(BAR_MM):
        tall = 2.0 if tick in (0.0, BAR_MM) else 0.9
        marks.append(line("sign", (x + tick, y - tall), (x + tick, y)))
    words = "100 mm: measure this bar and the upright one before you cut"
    marks.append(Text(x, y + 3.2, words, _FINE, grey=0.2))
    return marks


def _upright(frame: PrintArea) -> list[Mark]:
    x, bottom = frame.margin + 2.0, frame.stock.height - frame.margin - FOOT_MM
    top = bottom - BAR_MM
    marks: list[Mark] = [line("sign", (x, top), (x, bottom))]
    for tick in _ticks(BAR_MM):
        wide = 2.0 if tick in (0.0, BAR_MM) else 0.9
        marks.append(line("sign", (x, bottom - tick), (x + wide, bottom - tick)))
    marks.append(Text(x + 3.6, bottom - 2.5, "100 mm", _FINE, angle=np.pi / 2, grey=0.2))
    return marks


def sample(role: Role, x: float, y: float, length: float) -> PenStroke:
    """A short piece of a line type, for a key."""
    return line(role, (x, y), (x + length, y))


def hatch_sample(x: float, y: float, width: float, height: float) -> list[Mark]:
    """A small hatched field with its lower left corner at (x, y), mm."""
    marks: list[Mark] = []
    for start in np.arange(0.6, width - height + 0.01, 1.4):
        marks.append(line("hatch", (x + start, y), (x + start + height, y - height)))
    return marks


def _key(frame: PrintArea, brackets: bool) -> list[Mark]:
    """Line types in two rows right of the bar, as far as there is room."""
    right = frame.stock.width - frame.margin
    x = max(frame.left + BAR_MM + 8.0, right - 66.0)
    if right - x < 52.0:
        return []
    y = frame.stock.height - frame.margin - 8.0
    first: list[tuple[Role, str]] = [("cut", "cut"), ("valley", "valley"), ("mountain", "mountain")]
    marks: list[Mark] = []
    for k, (role, word) in enumerate(first):
        at = x + k * (right - x) / 3
        marks += [sample(role, at, y, 16.0), Text(at, y + 3.0, word, _FINE, grey=0.2)]
        if role != "cut":
            marks.append(sample_sign(role == "mountain", at + 8.0, y))
    marks += [*hatch_sample(x, y + 7.6, 7.0, 2.6)]
    words = "put glue here; A goes on A" + ("; (A) on the other side" if brackets else "")
    marks.append(Text(x + 8.2, y + 7.2, words, _FINE, grey=0.2))
    return marks


def _grain(frame: PrintArea, grain: str) -> list[Mark]:
    """A double arrow along the fibres."""
    x, y, half = frame.stock.width - frame.margin - 3.0, frame.top - 2.0, 9.0
    if grain == "long":
        x, y = frame.stock.width - frame.margin / 2 - 1.0, frame.top + 40.0
        ends = np.array([[x, y - half], [x, y + half]])
        text = Text(x - 1.0, y + 0.0, "grain", _FINE, "middle", np.pi / 2, grey=0.2)
    else:
        ends = np.array([[x - 2 * half, y], [x, y]])
        text = Text(x - 2 * half - 1.5, y + 0.8, "grain", _FINE, "end", grey=0.2)
    along = (ends[1] - ends[0]) / (2 * half)
    across = np.array([-along[1], along[0]])
    marks: list[Mark] = [PenStroke("sign", ends), text]
    for tip, inward in ((ends[0], along), (ends[1], -along)):
        wings = [tip + 1.8 * inward + 0.8 * across, tip, tip + 1.8 * inward - 0.8 * across]
        marks.append(PenStroke("sign", np.array(wings)))
    return marks


@dataclass(frozen=True)
class Register:
    """Marks by which a machine finds a printed sheet, near all four corners.

    Parameters
    ----------
    shape : black squares, or crosses.
    size : of a mark, mm.
    inset : of a mark's outer edges from the edges of the sheet, mm.
    """

    shape: Literal["squares", "crosses"] = "squares"
    size: float = 6.0  # our choice
    inset: float = 10.0  # our choice

    @property
    def margin(self) -> float:
        """What pieces keep clear of, mm: a mark and a quiet zone of half its size around it."""
        return self.inset + 1.5 * self.size

    def corners(self, stock: Stock) -> list[tuple[float, float]]:
        """Upper left corners of the marks, mm: upper left, upper right, lower left, lower right."""
        far = self.inset + self.size
        xs, ys = (self.inset, stock.width - far), (self.inset, stock.height - far)
        return [(x, y) for y in ys for x in xs]

    def marks(self, stock: Stock) -> list[Mark]:
        """The marks; a cross is two bars, each a fifth of its size wide."""
        found: list[Mark] = []
        for x, y in self.corners(stock):
            if self.shape == "squares":
                found.append(box("register", x, y, self.size, self.size))
                continue
            wide, long = self.size / 5, self.size
            a, b = (long - wide) / 2, (long + wide) / 2
            corners = [(a, 0), (b, 0), (b, a), (long, a), (long, b), (b, b)]
            corners += [(b, long), (a, long), (a, b), (0, b), (0, a), (a, a)]
            found.append(PenStroke("register", np.array(corners) + np.array([x, y]), closed=True))
        return found


def register_marks(stock: Stock) -> list[Mark]:
    """Crosses near the four corners, at the same places on the front and on the back."""
    marks: list[Mark] = []
    for x in (_REGISTER_INSET, stock.width - _REGISTER_INSET):
        for y in (_REGISTER_INSET, stock.height - _REGISTER_INSET):
            marks += [
                line("rule", (x - 2.5, y), (x + 2.5, y)),
                line("rule", (x, y - 2.5), (x, y + 2.5)),
            ]
    return marks


def check_square(x: float, y: float) -> list[Mark]:
    """The 50 mm square, its upper left corner at (x, y)."""
    middle = x + SQUARE_MM / 2
    return [
        box("sign", x, y, SQUARE_MM, SQUARE_MM),
        Text(middle, y + SQUARE_MM / 2 + 0.2, "50 mm", _TITLE, "middle", bold=True),
        Text(middle, y + SQUARE_MM / 2 + 4.6, "both ways", _TEXT, "middle", grey=0.2),
    ]
