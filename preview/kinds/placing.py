"""Finding room on a drawing: of several ways to draw something, that which is least in the way."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from preview.draft.ground import PictureBox, area_of
from preview.pattern.drawing import Mark, PenStroke, Text

# How far texts keep from each other, from lines and from the edge of the drawing, mm. Our choice.
APART_MM, OFF_LINES_MM = 0.9, 0.35
# What is in the way of what, weighed against millimetres that something lies farther off. Our
# choice, tried on all specimens.
_TEXT_ON_LINE, _TEXT_ON_PAPER, _CROSSED, _ALONG, _ON_PAPER = 60.0, 3.0, 1.2, 90.0, 0.13
# Lines that run along another one within this, for longer than that, look like one, mm. Our choice.
_SAME_MM, _LONGEST_MM = 0.45, 1.6


@dataclass(frozen=True)
class WayToDraw:
    """One way to draw something.

    Parameters
    ----------
    strokes : lines that others keep off, the page's mm.
    extensions : lines that may run along each other.
    heads : arrowheads and dots.
    text : what is written.
    far : what it costs in itself, mm that it lies farther off than others.
    """

    strokes: tuple[PenStroke, ...]
    extensions: tuple[PenStroke, ...]
    heads: tuple[PenStroke, ...]
    text: Text
    far: float


@dataclass
class MeasuredDrawing:
    """A drawing while it is made.

    Parameters
    ----------
    box : what nothing may leave, mm.
    under, marks : what is drawn, undermost first.
    taken : what texts and signs cover; nothing else may lie there.
    heads : arrowheads and dots, which only texts keep off.
    lines : what is drawn as a line.
    extensions : extension lines, which only texts keep off.
    paper : what is drawn as paper.
    """

    box: PictureBox
    under: list[Mark] = field(default_factory=list)
    marks: list[Mark] = field(default_factory=list)
    taken: list[BaseGeometry] = field(default_factory=list)
    heads: list[BaseGeometry] = field(default_factory=list)
    lines: list[BaseGeometry] = field(default_factory=list)
    extensions: list[BaseGeometry] = field(default_factory=list)
    paper: list[BaseGeometry] = field(default_factory=list)

    def draw(self, stroke: PenStroke) -> None:
        """Draw a line that others keep off."""
        self.marks.append(stroke)
        self.lines.append(_line(stroke))

    def choose(self, ways: Iterable[WayToDraw], most: float = np.inf) -> WayToDraw | None:
        """Draw the best of some ways; None if each would lie on a text or leave the drawing.

        Parameters
        ----------
        most : what it may cost.
        """
        best, least = None, most
        known = _Grown.of(self)
        # What costs least in itself comes first, so that few are looked at closely.
        for way in sorted(ways, key=lambda way: way.far):
            if way.far >= least:
                break
            cost = known.cost(way, least)
            if cost < least:
                best, least = way, cost
        if best is not None:
            self._put(best)
        return best

    def _put(self, way: WayToDraw) -> None:
        for stroke in way.strokes:
            self.draw(stroke)
        self.extensions += [_line(stroke) for stroke in way.extensions]
        self.marks += [*way.extensions, *way.heads, way.text]
        self.taken.append(area_of(way.text))
        self.heads += [shapely.Polygon(head.points) for head in way.heads]


@dataclass
class _Grown:
    """All that is drawn, put together and grown by what others keep off it.

    Parameters
    ----------
    room : bounds of the drawing.
    off_texts, off_solid : what lines keep off, and what texts keep off.
    off_lines : what texts keep off if they can.
    drawn : lines as they are.
    near : where a line would look like one that is there.
    costs : of lines that were looked at.
    """

    room: tuple[float, float, float, float]
    off_texts: BaseGeometry
    off_solid: BaseGeometry
    off_lines: BaseGeometry
    drawn: BaseGeometry
    near: BaseGeometry
    paper: BaseGeometry
    costs: dict[int, float] = field(default_factory=dict)

    @classmethod
    def of(cls, drawing: MeasuredDrawing) -> _Grown:
        """What a drawing has by now."""
        texts = shapely.union_all(drawing.taken)
        solid = shapely.union_all([texts, *drawing.heads])
        drawn = shapely.union_all(drawing.lines)
        found = (
            texts.buffer(OFF_LINES_MM, quad_segs=2),
            solid.buffer(APART_MM, join_style="mitre"),
            shapely.union_all([drawn, *drawing.extensions]).buffer(OFF_LINES_MM, quad_segs=2),
            drawn,
            drawn.buffer(_SAME_MM, quad_segs=2),
            shapely.union_all(drawing.paper),
        )
        for one in found:
            shapely.prepare(one)
        return cls(drawing.box.shape.bounds, *found)

    def cost(self, way: WayToDraw, most: float) -> float:
        """What a way costs; infinite if it would lie on texts, perhaps if it is more than that."""
        place = area_of(way.text)
        if self._leaves(place) or self.off_solid.intersects(place):
            return np.inf
        cost = way.far
        if self.off_lines.intersects(place):
            cost += _TEXT_ON_LINE
        if self.paper.intersects(place):
            cost += _TEXT_ON_PAPER
        for stroke in (*way.strokes, *way.extensions):
            if cost >= most:
                return np.inf
            line = _line(stroke)
            if place.intersects(line):
                return np.inf
            if id(stroke) not in self.costs:
                self.costs[id(stroke)] = self._of_line(line)
            cost += self.costs[id(stroke)]
        return cost

    def _leaves(self, shape: BaseGeometry) -> bool:
        left, top, right, bottom = shape.bounds
        room = self.room
        return left < room[0] or top < room[1] or right > room[2] or bottom > room[3]

    def _of_line(self, line: shapely.LineString) -> float:
        if self._leaves(line) or self.off_texts.intersects(line):
            return np.inf
        cost = _ON_PAPER * line.intersection(self.paper).length
        if self.near.intersects(line):
            shared = shapely.get_parts(line.intersection(self.near))
            along = max((part.length for part in shared), default=0.0)
            cost += _ALONG * (along > _LONGEST_MM)
            cost += _CROSSED * len(shapely.get_parts(line.intersection(self.drawn)))
        return cost


def _line(stroke: PenStroke) -> shapely.LineString:
    points = np.vstack([stroke.points, stroke.points[:1]]) if stroke.closed else stroke.points
    return shapely.LineString(points)
