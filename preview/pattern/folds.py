"""Folds on a page: their line, a sign that tells mountain from valley, and their name.

A line type is hard to tell on a short fold, so each fold also carries signs: a mountain a filled
tent that stands on the line, a valley an open V with its tip on the line. They differ in black and
white, whichever way the page is turned.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from . import font
from .drawing import PenStroke, Text
from .lettering import LEAST_MM, text_box, upright
from .line import Role

# Width and height of a sign, and along a fold one sign for about each of these lengths. Our choice.
SIGN_MM, SIGN_HIGH_MM, EVERY_MM = 1.9, 1.6, 55.0
# A sign takes at most this part of a short fold. Our choice.
_MOST = 0.62
# Where a sign or a name may slide to along its part of the fold, and by how much it keeps off what
# else is drawn. Our choice.
_SHIFTS = (0.0, 0.14, -0.14, 0.28, -0.28, 0.38, -0.38)
_KEEP_MM = 0.35  # our choice
# Radius of a ring on a fold that needs care. Our choice.
RING_MM = 0.9


@dataclass(frozen=True)
class Line:
    """A fold on a page.

    Parameters
    ----------
    ends : shape (2, 2), page mm.
    mountain : as seen on the face that is drawn.
    name : what a person calls it, empty to print none.
    care : what it forgives, as in ``±0.35``, where a hand must take care; else empty.
    """

    ends: np.ndarray
    mountain: bool
    name: str = ""
    care: str = ""

    @property
    def role(self) -> Role:
        """Its line type."""
        return "mountain" if self.mountain else "valley"

    @property
    def length(self) -> float:
        """Length, mm."""
        return float(np.linalg.norm(self.ends[1] - self.ends[0]))

    @property
    def stroke(self) -> PenStroke:
        """The line itself."""
        return PenStroke(self.role, self.ends)

    @property
    def frame(self) -> tuple[np.ndarray, np.ndarray, float]:
        """Unit vectors along it and across to its upper side as text is read, and its angle."""
        (x0, y0), (x1, y1) = self.ends
        angle = upright(float(np.arctan2(-(y1 - y0), x1 - x0)))
        c, s = np.cos(angle), np.sin(angle)
        return np.array([c, -s]), np.array([-s, -c]), angle

    def at(self, share: float) -> np.ndarray:
        """The point at a share of its length."""
        return np.asarray(self.ends[0] + share * (self.ends[1] - self.ends[0]))


def signs(
    lines: Sequence[Line], sheet: BaseGeometry, taken: Sequence[BaseGeometry]
) -> list[PenStroke]:
    """Signs of all folds of a sheet, each where it covers least of what else is drawn.

    Parameters
    ----------
    sheet : the paper, page mm; signs stay on it where they can.
    taken : what they should keep off.
    """
    if not lines:
        return []
    ground = sheet.buffer(-_KEEP_MM)
    full = shapely.union_all([*taken, *[LineString(line.ends).buffer(0.1) for line in lines]])
    shapely.prepare(full)
    return [sign for line in lines for sign in _signs_of(line, lines, ground, full)]


def _signs_of(
    line: Line, lines: Sequence[Line], ground: BaseGeometry, full: BaseGeometry
) -> Iterator[PenStroke]:
    count = max(1, round(line.length / EVERY_MM))
    for k in range(count):
        tried = [
            (_sign(line, (k + 0.5 + shift) / count, up), 1e-3 * (abs(shift) + (up < 0)))
            for shift in _SHIFTS
            for up in (1, -1)
        ]
        yield _least_covering(line, tried, ground, full)


def _least_covering(
    line: Line,
    tried: Sequence[tuple[PenStroke, float]],
    ground: BaseGeometry,
    full: BaseGeometry,
) -> PenStroke:
    """The sign that covers least; each comes with what its place costs in itself."""
    own = LineString(line.ends).buffer(0.15)
    best, least = tried[0][0], np.inf
    for sign, cost in tried:
        body = Polygon(sign.points).difference(own)
        total = cost + body.difference(ground).area + body.intersection(full).area
        if total < least:
            best, least = sign, total
        if least < 2e-3:
            break
    return best


def _sign(line: Line, share: float, up: int) -> PenStroke:
    along, across, _ = line.frame
    scale = min(1.0, _MOST * line.length / SIGN_MM)
    half, high = scale * SIGN_MM / 2 * along, scale * SIGN_HIGH_MM * up * across
    at = line.at(share)
    if line.mountain:
        return PenStroke("mountain-sign", np.array([at - half, at + high, at + half]), closed=True)
    return PenStroke("valley-sign", np.array([at - half + high, at, at + half + high]))


def names(lines: Sequence[Line], sheet: BaseGeometry, taken: Sequence[BaseGeometry]) -> list[Text]:
    """The names of folds, each beside its line where there is room; those without room are left.

    Parameters
    ----------
    sheet : the paper, page mm; names stay on it and off its cuts.
    taken : what they must keep off.
    """
    if not any(map(_fitting, lines)):
        return []
    full = shapely.union_all([*taken, *[LineString(line.ends).buffer(0.15) for line in lines]])
    full = full.union(shapely.box(*sheet.buffer(5.0).bounds).difference(sheet.buffer(-0.15)))
    found = []
    for line in lines:
        text = _name(line, full)
        if text is not None:
            found.append(text)
            full = full.union(text_box(text).buffer(_KEEP_MM))
    return found


def _fitting(line: Line) -> str:
    """The words for a fold if they are not longer than itself, else what it forgives, else none."""
    room = line.length - 2 - (4 * RING_MM if line.care else 0)
    for words in (f"{line.name} {line.care}".rstrip(), line.care):
        if font.width(font.printable(words), LEAST_MM) <= room:
            return font.printable(words)
    return ""


def _name(line: Line, full: BaseGeometry) -> Text | None:
    words = _fitting(line)
    if not words:
        return None
    _, across, angle = line.frame
    room = 1 - font.width(words, LEAST_MM) / line.length
    high = LEAST_MM * font.CAPITAL
    for shift in _SHIFTS:
        at = line.at(0.5 + shift * room)
        for lift in (0.7, -0.7 - high):
            x, y = at + lift * across
            text = Text(float(x), float(y), words, LEAST_MM, "middle", angle, grey=0.25)
            if not text_box(text).buffer(_KEEP_MM / 2).intersects(full):
                return text
    return None


def sample_sign(mountain: bool, x: float, y: float) -> PenStroke:
    """A sign on a level line at (x, y), for a key."""
    ends = np.array([[x - 10.0, y], [x + 10.0, y]])
    return _sign(Line(ends, mountain), 0.5, 1)


def rings_of_care(lines: Sequence[Line]) -> list[PenStroke]:
    """Rings round the two ends of each fold that needs care, where its place is pricked."""
    return [
        ring(*line.at(share))
        for line in lines
        if line.care and line.length > 4 * RING_MM
        for share in (RING_MM / line.length, 1 - RING_MM / line.length)
    ]


def ring(x: float, y: float) -> PenStroke:
    """A ring on the page, mm."""
    turn = np.linspace(0, 2 * np.pi, 25)[:-1]
    return PenStroke(
        "sign", np.c_[x + RING_MM * np.cos(turn), y + RING_MM * np.sin(turn)], closed=True
    )


def area_of(sign: PenStroke) -> Polygon:
    """What a sign takes, page mm."""
    return affinity.scale(Polygon(sign.points), 1.15, 1.15)
