"""The ground of one picture: where its lines lie on the page, and which places are still free."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from preview.pattern import font
from preview.pattern.drawing import Mark, PenStroke, Text

# Source: ISO 5455, recommended scales, from memory.
SCALES = (5.0, 2.0, 1.0, 0.5, 0.2, 0.1)
# Texts keep so far from each other, mm. Our choice.
_APART_MM = 0.35


@dataclass(frozen=True)
class PictureBox:
    """A place on a page, mm, y down."""

    x: float
    y: float
    width: float
    height: float

    @property
    def shape(self) -> Polygon:
        """The same as a polygon."""
        return shapely.box(self.x, self.y, self.x + self.width, self.y + self.height)

    def left_by(self, points: np.ndarray) -> bool:
        """Whether any of some points, shape (n, 2), lies outside."""
        low = np.array([self.x, self.y])
        return bool(
            (points < low).any() or (points > low + np.array([self.width, self.height])).any()
        )


@dataclass(frozen=True)
class Pads:
    """What a picture keeps free around its lines for dimensions, mm."""

    left: float
    top: float
    right: float
    bottom: float


def scale_for(
    size: Sequence[float], box: PictureBox, pads: Pads, scales: Sequence[float] = SCALES
) -> float:
    """The largest of some scales at which lines of a size, mm, fit; the least if none does."""
    room = (box.width - pads.left - pads.right, box.height - pads.top - pads.bottom)
    for scale in scales:
        if all(scale * s <= r + 1e-9 for s, r in zip(size, room, strict=True)):
            return scale
    return scales[-1]


def scale_words(scale: float) -> str:
    """A scale as it is written: 1:1, 2:1, 1:5."""
    return f"{scale:g}:1" if scale >= 1 else f"1:{1 / scale:g}"


@dataclass
class PictureGround:
    """A picture while it is made.

    Parameters
    ----------
    origin : where A lies on the page, mm.
    scale : page mm for each mm of the sheet.
    frame : what is shown of an excerpt; None if all is.
    waiting : values of dimensions, each at the places that it may have, until all lines are drawn.
    """

    box: PictureBox
    origin: np.ndarray
    scale: float
    frame: Polygon | None = None
    marks: list[Mark] = field(default_factory=list)
    taken: list[Polygon] = field(default_factory=list)
    lines: list[BaseGeometry] = field(default_factory=list)
    waiting: list[list[Text]] = field(default_factory=list)

    @classmethod
    def around(
        cls, bounds: Sequence[float], box: PictureBox, pads: Pads, scales: Sequence[float] = SCALES
    ) -> PictureGround:
        """A ground on which lines with these bounds lie in the middle of a box.

        Parameters
        ----------
        bounds : left, bottom, right, top in the frame of the base line, mm.
        scales : to choose from, largest first.
        """
        left, bottom, right, top = bounds
        scale = scale_for((right - left, top - bottom), box, pads, scales)
        free_x = box.width - pads.left - pads.right - scale * (right - left)
        free_y = box.height - pads.top - pads.bottom - scale * (top - bottom)
        x = box.x + pads.left + free_x / 2 - scale * left
        y = box.y + pads.top + free_y / 2 + scale * top
        return cls(box, np.array([x, y]), scale)

    def at(self, points: np.ndarray | Sequence[float]) -> np.ndarray:
        """Points along and up, shape (n, 2) or (2,), mm, on the page."""
        return self.origin + self.scale * np.asarray(points, float) * [1.0, -1.0]

    def draw(self, stroke: PenStroke) -> None:
        """Draw what of a line lies in the frame; texts keep off it where they can."""
        whole = shapely.LineString(stroke.points)
        if self.frame is not None and not self.frame.covers(whole):
            inside = shapely.line_merge(whole.intersection(self.frame))
            for part in shapely.get_parts(inside):
                if part.length > 0.01:
                    self.marks.append(PenStroke(stroke.role, np.asarray(part.coords)))
                    self.lines.append(part)
            return
        self.marks.append(stroke)
        self.lines.append(whole)

    def shows(self, at: np.ndarray) -> bool:
        """Whether a point of the page lies in the frame."""
        return self.frame is None or bool(self.frame.buffer(0.01).covers(shapely.Point(at)))

    def write(self, tried: Iterable[Text], clear: bool = False) -> Text | None:
        """Write the first of some texts that is clear of all lines, else of all other texts.

        None if each of them would lie on another text or leave the picture.

        Parameters
        ----------
        clear : rather none than one that lies on a line.
        """
        full = shapely.union_all(self.taken)
        drawn = shapely.union_all(self.lines)
        best, least = None, np.inf
        for text in tried:
            place = area_of(text)
            if not self.box.shape.covers(place) or place.buffer(_APART_MM).intersects(full):
                continue
            crossed = place.buffer(0.12 * text.size).intersection(drawn).length
            if crossed < least - 1e-9:
                best, least = text, crossed
            if least < 1e-9:
                break
        if clear and least > 1e-9:
            return None
        if best is not None:
            self.marks.append(best)
            self.taken.append(area_of(best))
        return best

    def settle(self) -> None:
        """Write the values that wait, now that it is known where lines are."""
        for tried in self.waiting:
            self.write(tried)
        self.waiting = []


def area_of(text: Text) -> Polygon:
    """What a text covers, whatever its anchor."""
    wide, high = font.width(text.text, text.size, text.bold), text.size * font.CAPITAL
    before = {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor] * wide
    flat = shapely.box(text.x - before, text.y - high, text.x - before + wide, text.y)
    return affinity.rotate(flat, -text.angle, origin=(text.x, text.y), use_radians=True)
