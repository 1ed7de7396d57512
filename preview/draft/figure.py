"""The picture of one step: what was drawn before in grey, what is drawn now with its dimensions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
import shapely.ops
from shapely.geometry import Polygon

from preview.pattern import font
from preview.pattern.drawing import Mark, PenStroke, Text
from preview.pattern.folds import Line, area_of, signs

from . import dimensions
from .ground import SCALES, Pads, PictureBox, PictureGround
from .ground import area_of as area_of_text
from .plan import (
    Arc,
    BaseLine,
    Circle,
    DraftPlan,
    DraftRectangle,
    DraftStep,
    MirrorAll,
    Point,
    Prick,
    Repeat,
    written,
)
from .reading import DrawnLine, DrawnPaper, read_plan

# How far names of points stand from them, in sizes of their letters; beyond the second with a line
# to them. Our choice.
_NAME_SIZES = (0.85, 1.2, 1.9, 2.7, 3.8)
# How far from its point the name of a side may stand that has no room there, mm, and which way.
_LED_MM = np.arange(6.0, 40.0, 2.0)  # our choice
_ALL_ROUND = np.arange(16) * np.pi / 8
_CLEAR_MM = 0.6  # our choice: lines to names end so far from texts
_OVER_MM = 4.0  # our choice: how far axes go on
# More points than these are shown on a grid; its lines are as far apart as on usual graph paper.
_MOST_DIMENSIONED, GRID_MM = 5, 5.0  # our choice


@dataclass(frozen=True)
class FigureLook:
    """Sizes of a picture's parts, mm on the page, and the scales that it may have."""

    value: float = 2.3
    name: float = 2.3
    track: float = 5.0
    scales: tuple[float, ...] = SCALES

    @property
    def pads(self) -> Pads:
        """Room for the dimensions around the lines."""
        side = 3.0 * self.value
        return Pads(side, side, side, self.track + 9.0 + 4.6 * self.value)


@dataclass(frozen=True)
class Figure:
    """A picture; `scale` is page mm for each mm of the sheet."""

    marks: tuple[Mark, ...]
    scale: float

    @property
    def extent(self) -> tuple[float, float]:
        """Its upper and its lower edge on the page, mm."""
        high = [
            area_of_text(mark).bounds[1::2] if isinstance(mark, Text) else _span(mark)
            for mark in self.marks
            if isinstance(mark, PenStroke | Text)
        ]
        return min(top for top, _ in high), max(bottom for _, bottom in high)


# What the picture of a finished piece keeps free around it, mm. Our choice.
FINISHED_PADS = Pads(2.0, 2.0, 2.0, 3.0)


@dataclass(frozen=True)
class LetteredPlace:
    """Where glue goes or something lands: its letter, edge (n, 2) and middle (2,), mm."""

    letter: str
    edge: np.ndarray
    middle: np.ndarray


@dataclass(frozen=True)
class DraftDrawing:
    """A plan and what its sentences draw, from which all of its pictures are made."""

    plan: DraftPlan
    paper: DrawnPaper

    @classmethod
    def of(cls, plan: DraftPlan) -> DraftDrawing:
        """The drawing of a plan."""
        return cls(plan, read_plan(plan.told))

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Of all its lines, points and the base line, mm: left, bottom, right, top."""
        points = [line.points for line in self.paper.lines]
        points.append(np.array(list(self.paper.points.values())))
        both = np.vstack(points)
        low, high = both.min(axis=0), both.max(axis=0)
        return float(low[0]), float(low[1]), float(high[0]), float(high[1])

    def spans(self) -> Iterator[tuple[int, int]]:
        """The first sentence of each step, and that of the next one."""
        first = 0
        for step in self.plan.steps:
            yield first, first + len(step.operations)
            first += len(step.operations)

    def step(self, number: int, box: PictureBox, look: FigureLook) -> Figure:
        """The picture of a step, counted from 0.

        Points get dimension lines where these stay apart; else the picture is an excerpt on a grid
        of 5 mm, in which the dimensions that are told beside it are easily found.
        """
        first, after = list(self.spans())[number]
        step = self.plan.steps[number]
        before = [line for line in self.paper.lines if line.sentence < first]
        now = [line for line in self.paper.lines if first <= line.sentence < after]
        points = [op for op in step.operations if isinstance(op, Point)]
        dimensioned = self._dimensioned(points, now, before, box, look)
        ground = dimensioned or _excerpt(points, now, box, look)
        if dimensioned:
            _base(ground, self.paper)
        for line in before:
            ground.draw(PenStroke("drawn", ground.at(line.points)))
        for line in now:
            ground.draw(PenStroke(line.kind, ground.at(line.points)))
        self._told(ground, step, now, look)
        if points and dimensioned:
            self._placed(ground, points, now, look)
        ground.settle()
        _fold_signs(ground, now)
        self._named(ground, step, look)
        return Figure(tuple(ground.marks), ground.scale)

    def _dimensioned(
        self,
        points: Sequence[Point],
        now: Sequence[DrawnLine],
        before: Sequence[DrawnLine],
        box: PictureBox,
        look: FigureLook,
    ) -> PictureGround | None:
        """A ground with room for the dimension lines of some points; None if there is too little.

        Without points, or where lines that were drawn before would run out of the box, it shows all
        lines.
        """
        if not points:
            return PictureGround.around(self.bounds, box, look.pads, look.scales)
        shown = [line.points for line in now]
        shown.append(np.array([[0.0, 0.0], *([p.along, p.across] for p in points)]))
        both = np.vstack(shown)
        low, high = both.min(axis=0), both.max(axis=0)
        high[0] = max(high[0], self.paper.points["B"][0])
        ground = PictureGround.around([*low, *high], box, look.pads, look.scales)
        if any(box.left_by(ground.at(line.points)) for line in before):
            ground = PictureGround.around(self.bounds, box, look.pads, look.scales)
        stations = np.unique([p.along for p in points])
        near = np.diff(stations).min(initial=np.inf) * ground.scale
        if near < look.value or len(points) > _MOST_DIMENSIONED:
            return None
        return ground

    def _told(
        self, ground: PictureGround, step: DraftStep, now: Sequence[DrawnLine], look: FigureLook
    ) -> None:
        """The dimensions of a step that are not those of points."""
        size = look.value
        for op in step.operations:
            if isinstance(op, Arc | Circle):
                ring = _line_of(now, self.plan, op)
                middle = ring[int(0.4 * len(ring))]
                centre = self.paper.points[op.centre]
                dimensions.radius(ground, centre, middle, op.radius, size)
            elif isinstance(op, MirrorAll):
                _axis(ground, self.paper.points["B"][0])
            elif isinstance(op, Repeat):
                self._turned(ground, op, size)
            elif isinstance(op, DraftRectangle):
                self._sized(ground, op, size)
            elif isinstance(op, BaseLine):
                ends = ground.at([0.0, 0.0]), ground.at(self.paper.points["B"])
                dimensions.below(ground, *ends, look.track, written(op.length), size)

    def _placed(
        self,
        ground: PictureGround,
        points: Sequence[Point],
        now: Sequence[DrawnLine],
        look: FigureLook,
    ) -> None:
        """Stations along the base line, and how far up or down points lie there."""
        stations: dict[float, float] = {}
        for point in points:
            stations[point.along] = min(stations.get(point.along, 0.0), point.across)
        low = min([0.0, *stations.values(), *(line.points[:, 1].min() for line in now)])
        track = float(ground.at([0.0, low])[1]) + look.track
        dimensions.running(ground, list(stations.items()), track, look.value)
        for point in sorted(points, key=lambda p: abs(p.across)):
            if point.across:
                start, end = ground.at([point.along, 0.0]), ground.at([point.along, point.across])
                dimensions.offset(ground, start, end, written(abs(point.across)), look.value)

    def _sized(self, ground: PictureGround, op: DraftRectangle, size: float) -> None:
        """Width and height of a rectangle, beside it."""
        words = f"{written(op.along)} × {written(op.up)}"
        low = self.paper.points[op.corner]
        left, bottom = ground.at(low)
        right, top = ground.at(low + np.array([op.along, op.up]))
        high = size * font.CAPITAL
        x, y = (left + right) / 2, (top + bottom) / 2
        ground.write(
            [
                Text(x, top - 0.8, words, size, "middle"),
                Text(x, y + high / 2, words, size, "middle"),
                Text(x, bottom + 0.8 + high, words, size, "middle"),
                Text(right + 0.8, y + high / 2, words, size),
                Text(left - 0.8, y + high / 2, words, size, "end"),
            ]
        )

    def _turned(self, ground: PictureGround, op: Repeat, size: float) -> None:
        """Rays at each repeat, and the angle between the first two."""
        far = max(float(np.linalg.norm(line.points, axis=1).max()) for line in self.paper.lines)
        for k in range(op.count):
            turn = 2 * np.pi * k / op.count
            tip = (far + _OVER_MM / ground.scale) * np.array([np.cos(turn), np.sin(turn)])
            ground.draw(PenStroke("axis", ground.at(np.array([[0.0, 0.0], tip]))))
        dimensions.angle(ground, 0.62 * far, 360 / op.count, size)

    def _named(self, ground: PictureGround, step: DraftStep, look: FigureLook) -> None:
        """Names of the points that a step places or uses."""
        used = ["A", "B"]
        for op in step.operations:
            used += [op.name] if isinstance(op, Point) else []
            used += list(getattr(op, "points", ()))
            used += [op.point] if isinstance(op, Prick) else []
            used += [op.corner] if isinstance(op, DraftRectangle) else []
            used += [op.centre] if isinstance(op, Arc | Circle) else []
            used += [op.start, op.end] if isinstance(op, Arc) else []
        for name in dict.fromkeys(used):
            if ground.shows(ground.at(self.paper.points[name])):
                _name(ground, ground.at(self.paper.points[name]), name, look.name)

    def finished(
        self,
        box: PictureBox,
        look: FigureLook,
        sides: Sequence[tuple[str, np.ndarray]] = (),
        places: Sequence[LetteredPlace] = (),
    ) -> Figure:
        """All lines with the names of the sides, and where glue goes.

        Parameters
        ----------
        sides : name of each and a point on it, along and up, mm.
        """
        lines = self.paper.lines
        every = np.vstack([line.points for line in lines])
        bounds = (*every.min(axis=0), *every.max(axis=0))
        ground = PictureGround.around([float(v) for v in bounds], box, FINISHED_PADS, look.scales)
        for place in places:
            ground.marks.append(PenStroke("place", ground.at(place.edge)))
        for line in lines:
            ground.draw(PenStroke(line.kind, ground.at(line.points)))
        for hole in self.paper.holes:
            dimensions.cross(ground, ground.at(self.paper.points[hole]), 2.0)
        for place in places:
            _centred(ground, place.letter, place.middle, look.name, bold=True)
        for words, at in sides:
            _centred(ground, words, at, look.name, bold=False)
        _fold_signs(ground, lines)
        return Figure(tuple(ground.marks), ground.scale)


def _span(stroke: PenStroke) -> tuple[float, float]:
    return float(stroke.points[:, 1].min()), float(stroke.points[:, 1].max())


def _centred(ground: PictureGround, words: str, at: np.ndarray, size: float, bold: bool) -> None:
    """Words about a point, or a little above or below it.

    Letters, which are bold, always; the name of a side beside the piece, with a line to its point,
    where it would lie on a line.
    """
    x, y = (float(v) for v in ground.at(at))
    half = size * font.CAPITAL / 2
    said = font.printable(words)

    def text(x: float, y: float) -> Text:
        return Text(x, y + half, said, size, "middle", bold=bold, grey=0.2)

    near = (text(x, y + off) for off in (0.0, 2.6, -2.6, 5.2, -5.2, 7.8, -7.8))
    if ground.write(near, clear=not bold) is not None or bold:
        return
    away = np.array([(np.cos(turn), -np.sin(turn)) for turn in _ALL_ROUND])
    far = (np.array([x, y]) + reach * way for reach in _LED_MM for way in away)
    found = ground.write((text(float(px), float(py)) for px, py in far), clear=True)
    if found is not None:
        _lead(ground, np.array([x, y]), area_of_text(found))


def _lead(ground: PictureGround, at: np.ndarray, words: Polygon) -> None:
    """A line from a point to words, which keeps off all texts; a dot at the point if it is free."""
    end = np.asarray(shapely.ops.nearest_points(words, shapely.Point(at))[0].coords)[0]
    texts = shapely.union_all(ground.taken).buffer(_CLEAR_MM)
    free = shapely.LineString([at, end]).difference(texts)
    for part in shapely.get_parts(free):
        if not part.is_empty:
            ground.marks.append(PenStroke("dimension", np.asarray(part.coords)))
    if not texts.covers(shapely.Point(at)):
        dot = shapely.Point(at).buffer(0.35, quad_segs=3)
        ring = np.asarray(dot.exterior.coords)[:-1]
        ground.marks.append(PenStroke("terminator", ring, closed=True))


def _line_of(now: Sequence[DrawnLine], plan: DraftPlan, op: Arc | Circle) -> np.ndarray:
    number = next(k for k, other in enumerate(plan.operations) if other is op)
    return next(line.points for line in now if line.sentence == number)


def _excerpt(
    points: Sequence[Point], now: Sequence[DrawnLine], box: PictureBox, look: FigureLook
) -> PictureGround:
    """A ground that shows some points, on a grid that says where they lie."""
    shown = [line.points for line in now] + [np.array([[p.along, p.across] for p in points])]
    both = np.vstack(shown)
    # Whole squares, and the base line where it is near.
    near = min(both[:, 1].min(), 0.0) if both[:, 1].min() < 4 * GRID_MM else both[:, 1].min()
    low = np.floor((np.array([both[:, 0].min(), near]) - 1.0) / GRID_MM) * GRID_MM
    high = np.ceil((both.max(axis=0) + 1.0) / GRID_MM) * GRID_MM
    side = 6.0 * look.value
    pads = Pads(side, 3.0, 4.0, 3.2 * look.value)
    ground = PictureGround.around([*low, *high], box, pads, look.scales)
    (left, bottom), (right, top) = ground.at(np.array([low, high]))
    ground.frame = shapely.box(left, top, right, bottom)
    dimensions.grid(ground, low, high, look.value)
    return ground


def _base(ground: PictureGround, paper: DrawnPaper) -> None:
    ends = ground.at(np.array([[0.0, 0.0], paper.points["B"]]))
    ground.draw(PenStroke("sign", ends))
    for at in ends:
        tick = at + np.array([[0.0, -1.0], [0.0, 1.0]])
        ground.marks.append(PenStroke("sign", tick))


def _axis(ground: PictureGround, length: float) -> None:
    over = _OVER_MM / ground.scale
    ground.draw(PenStroke("axis", ground.at(np.array([[-over, 0.0], [length + over, 0.0]]))))


def _fold_signs(ground: PictureGround, lines: Sequence[DrawnLine]) -> None:
    """Signs that tell mountain from valley."""
    folds = [
        Line(ground.at(line.points[[0, -1]]), line.kind == "mountain")
        for line in lines
        if line.kind != "cut"
    ]
    found = signs(folds, ground.box.shape, ground.taken)
    ground.marks += found
    ground.taken += [area_of(sign) for sign in found]


def _name(ground: PictureGround, at: np.ndarray, name: str, size: float) -> None:
    """The name of a point beside it; a line leads to it where that is far."""
    high = size * font.CAPITAL
    turn = np.pi / 4 + np.arange(16) * np.pi / 8
    tried = {}
    steps = [size * share for share in _NAME_SIZES]
    for far in steps:
        for x, y in at + far * np.column_stack([np.cos(turn), -np.sin(turn)]):
            tried[float(x), float(y) + high / 2] = far
    text = ground.write(Text(x, y, name, size, "middle", bold=True) for (x, y), _ in tried.items())
    dot = shapely.Point(at).buffer(0.35, quad_segs=3)
    ground.marks.append(PenStroke("terminator", np.asarray(dot.exterior.coords)[:-1], closed=True))
    if text is not None and tried[text.x, text.y] > steps[1]:
        middle = np.array([text.x, text.y - high / 2])
        way = (middle - at) / np.linalg.norm(middle - at)
        ground.marks.append(PenStroke("dimension", np.array([at, middle - 1.4 * way])))
