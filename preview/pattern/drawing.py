"""What a printed page holds, before it is known whether PDF or SVG will show it.

Page coordinates are millimetres from the top left corner, x to the right and y down.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from .line import Role

Anchor = Literal["start", "middle", "end"]
Move = Callable[[np.ndarray], np.ndarray]


@dataclass(frozen=True)
class PenStroke:
    """A line; shape of `points` (n, 2), mm.

    Parameters
    ----------
    light : drawn white, for dark grounds.
    """

    role: Role
    points: np.ndarray
    closed: bool = False
    light: bool = False

    @property
    def length(self) -> float:
        """Length in mm."""
        around = np.vstack([self.points, self.points[:1]]) if self.closed else self.points
        return float(np.linalg.norm(np.diff(around, axis=0), axis=1).sum())


@dataclass(frozen=True)
class Fill:
    """An area of one sRGB colour, ``#rrggbb``; each ring has shape (n, 2), mm."""

    rings: tuple[np.ndarray, ...]
    colour: str


@dataclass(frozen=True)
class Text:
    """A line of text.

    Parameters
    ----------
    x, y : of the anchor on the baseline, mm.
    size : the em, mm.
    angle : counter-clockwise as seen, radians.
    grey : 0 black to 1 white.
    """

    x: float
    y: float
    text: str
    size: float
    anchor: Anchor = "start"
    angle: float = 0.0
    bold: bool = False
    grey: float = 0.0


@dataclass(frozen=True, eq=False)
class PrintedImage:
    """An image, turned about its upper left corner.

    Parameters
    ----------
    pixels : shape (rows, columns, 4), uint8 sRGB with straight alpha, first row on top.
    x, y : of the upper left corner, mm.
    width, height : mm.
    angle : counter-clockwise as seen, radians.
    """

    pixels: np.ndarray
    x: float
    y: float
    width: float
    height: float
    angle: float = 0.0

    @property
    def png(self) -> bytes:
        """The image as a PNG file."""
        from PIL import Image

        data = io.BytesIO()
        Image.fromarray(self.pixels, "RGBA").save(data, "PNG")
        return data.getvalue()


Mark = PenStroke | Fill | Text | PrintedImage


def line(role: Role, *points: tuple[float, float]) -> PenStroke:
    """An open line through points."""
    return PenStroke(role, np.array(points, float))


def box(role: Role, x: float, y: float, width: float, height: float) -> PenStroke:
    """A rectangle."""
    corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
    return PenStroke(role, np.array(corners, float), closed=True)


def moved(marks: Sequence[Mark], move: Move) -> list[Mark]:
    """The marks with all points moved; texts keep their size and angle."""
    result: list[Mark] = []
    for mark in marks:
        if isinstance(mark, PenStroke):
            result.append(replace(mark, points=move(mark.points)))
        elif isinstance(mark, Fill):
            result.append(replace(mark, rings=tuple(move(ring) for ring in mark.rings)))
        elif isinstance(mark, Text):
            x, y = move(np.array([[mark.x, mark.y]]))[0]
            result.append(replace(mark, x=float(x), y=float(y)))
        else:
            result.append(_moved_picture(mark, move))
    return result


def _moved_picture(picture: PrintedImage, move: Move) -> PrintedImage:
    """The picture where its corners go; what a printer's scale shears is left out."""
    c, s = np.cos(picture.angle), np.sin(picture.angle)
    corner = np.array([picture.x, picture.y])
    across = corner + picture.width * np.array([c, -s])
    down = corner + picture.height * np.array([s, c])
    at, right, low = move(np.array([corner, across, down]))
    width, height = float(np.linalg.norm(right - at)), float(np.linalg.norm(low - at))
    angle = float(np.arctan2(-(right - at)[1], (right - at)[0]))
    return replace(picture, x=float(at[0]), y=float(at[1]), width=width, height=height, angle=angle)
