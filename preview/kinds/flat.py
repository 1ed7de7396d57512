"""The flat sheets of a specimen and what they are glued to, with every measure drawn on them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from meshes.pull.marks import FlatSheet, figures
from meshes.pull.marks import Mark as Seen
from meshes.sheet import Sheet
from preview.draft.ground import Pads, PictureBox
from preview.pattern import font
from preview.pattern.drawing import Fill, Mark, PenStroke, Text
from preview.pattern.folds import Line, area_of, signs
from preview.pattern.glue import glue_areas

from . import dimensions
from .measures import Measure
from .placing import MeasuredDrawing, WayToDraw
from .specimen import Specimen

# Pale, so that black lines and words on them are read. Our choice.
PAPER, GLUED, PAGE = "#d8e8e6", "#f7e3b8", "#f6f1e4"
AXES = "#a4472f"
# What figures keep free around them, by how many numbers are drawn on them, page mm. Our choice.
_PADS = (8.0, 11.0, 14.0)
# Rim of the page that is shown around what is glued on it, mm. Our choice.
_RIM_MM = 7.0
# Axes that begin no farther off are shown, mm. Our choice.
_NEAR_MM = 40.0
_AXIS_MM, _AXIS_SHARE, _AXIS_WIDTH_MM = (4.5, 9.0), 0.4, 0.3  # our choice, page mm
_NAME_SIZES = (2.7, 2.35, 2.0)  # our choice
# In which order things look for room: angles, short lengths and names have the least choice. If
# something finds none, the next order is tried.
_ORDERS = (
    ("angle", "short", "names", "length", "arrows"),
    ("short", "angle", "names", "length", "arrows"),
    ("short", "angle", "length", "arrows", "names"),
)
# What is shorter than that on the page has little choice of a place, mm. Our choice.
_SHORT_MM = 8.0
_LARGEST = 1.25  # page mm for each mm of paper; our choice
_SHARES = (0.26, 0.3, 0.36, 0.42)  # of the width for what they are glued to; our choice
_HOST_WEIGHT = 1.7  # our choice


@dataclass(frozen=True)
class FlatView:
    """The drawing, and which numbers it shows.

    Parameters
    ----------
    shown : paths of the numbers that are drawn.
    lacking : paths of numbers, and names of facets, that no room was found for.
    """

    marks: tuple[Mark, ...]
    texts: tuple[Text, ...]
    lines: tuple[BaseGeometry, ...]
    shown: tuple[str, ...]
    lacking: tuple[str, ...]


@dataclass(frozen=True)
class _Figure:
    """A flat sheet, or a window on what a piece is glued to.

    Parameters
    ----------
    facets : names and outlines of its own facets, the sheet's mm.
    glued : which areas of it get glue.
    lands : where something is glued on it.
    covered : outlines of what is laid on a host, mm.
    window : what is shown of a host.
    measured : how many numbers are drawn on it.
    """

    flat: FlatSheet
    facets: tuple[tuple[str, Polygon], ...]
    glued: tuple[Polygon, ...]
    lands: tuple[Polygon, ...]
    covered: tuple[Polygon, ...]
    window: Polygon | None
    measured: int

    @property
    def pads(self) -> Pads:
        """What is kept free around it for dimensions and names, page mm."""
        side = _PADS[min(self.measured, len(_PADS) - 1)]
        return Pads(side, 0.6 * side, side, side)

    def size(self, scale: float) -> np.ndarray:
        """Width and height on the page at a scale, with what is kept free, shape (2,), mm."""
        left, low, right, top = self.bounds
        pads = self.pads
        return np.array(
            [
                scale * (right - left) + pads.left + pads.right,
                scale * (top - low) + pads.top + pads.bottom,
            ]
        )

    @cached_property
    def paper(self) -> BaseGeometry:
        """All of it that is shown."""
        # Facets part along folds by less than a hair.
        whole = shapely.union_all([shape.buffer(1e-4) for _, shape in self.facets]).buffer(-1e-4)
        return whole if self.window is None else whole.intersection(self.window)

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """With the origin of its axes."""
        # What is laid on it may reach beyond it.
        found = shapely.union_all([self.paper, *self.covered])
        if self._near:
            found = found.union(shapely.Point(0.0, 0.0))
        left, low, right, high = found.bounds
        return left, low, right, high

    @property
    def _near(self) -> bool:
        return bool(self.paper.distance(shapely.Point(0.0, 0.0)) < _NEAR_MM)


@dataclass(frozen=True)
class _Placed:
    """A figure on the page: `at` takes its mm to the page's."""

    figure: _Figure
    origin: np.ndarray
    scale: float

    def at(self, points: np.ndarray | Sequence[float]) -> np.ndarray:
        return self.origin + self.scale * np.asarray(points, float) * [1.0, -1.0]

    def shape(self, shape: BaseGeometry) -> BaseGeometry:
        moved: BaseGeometry = shapely.transform(shape, self.at)
        return moved


def draw(specimen: Specimen, measures: Sequence[Measure], box: PictureBox) -> FlatView:
    """Draw all of it in a box of the page."""
    placed = list(_placed(_figures(specimen, measures), box))
    best: FlatView | None = None
    for order in _ORDERS:
        view = _drawn(placed, measures, box, order)
        if best is None or len(view.lacking) < len(best.lacking):
            best = view
        if not best.lacking:
            break
    assert best is not None
    return best


def _drawn(
    placed: Sequence[_Placed], measures: Sequence[Measure], box: PictureBox, order: Sequence[str]
) -> FlatView:
    drawing = MeasuredDrawing(box)
    shown: list[str] = []
    lacking: list[str] = []
    for one in placed:
        _paper(drawing, one)
    for one in placed:
        _axes(drawing, one)
    for what in order:
        if what == "names":
            for one in placed:
                _signs(drawing, one)
                lacking += _names(drawing, one)
            continue
        for measure in _of_sort(what, measures, placed):
            assert measure.seen is not None
            found = drawing.choose(_ways(measure, placed[measure.seen.figure]))
            (shown if found is not None else lacking).append(measure.name)
    return FlatView(
        marks=(*drawing.under, *drawing.marks),
        texts=tuple(mark for mark in drawing.marks if isinstance(mark, Text)),
        lines=(*drawing.lines, *drawing.extensions),
        shown=tuple(shown),
        lacking=tuple(lacking),
    )


def _of_sort(
    what: str, measures: Sequence[Measure], placed: Sequence[_Placed]
) -> Iterator[Measure]:
    """Numbers of one sort that are seen, the shortest first: it is drawn next to the paper."""
    found = []
    for measure in measures:
        if measure.seen is not None:
            points = placed[measure.seen.figure].at(measure.seen.points)
            far = float(np.linalg.norm(points[-1] - points[0]))
            short = measure.seen.kind == "length" and far < _SHORT_MM
            if ("short" if short else measure.seen.kind) == what:
                found.append((far, measure))
    yield from (measure for _, measure in sorted(found, key=lambda row: row[0]))


def _figures(specimen: Specimen, measures: Sequence[Measure]) -> list[_Figure]:
    spread, piece = specimen.spread, specimen.piece
    areas = glue_areas(spread.sheets, spread.joins, spread.linkage.drives)
    by_name = {(sheet.piece, sheet.name): sheet for sheet in spread.sheets}
    found = []
    for k, flat in enumerate(figures(spread, piece)):
        sheet = by_name[flat.piece, flat.name]
        seen = [m.seen for m in measures if m.seen is not None and m.seen.figure == k]
        facets = tuple((facet.name, facet.polygon) for facet in sheet.facets)
        ids = {f"{sheet.piece}.{facet.name}" for facet in sheet.facets}
        own = [area for area in areas if area.facet in ids]
        lands = tuple(a.polygon for a in own if a.lands and a.other.partition(".")[0] == piece)
        glued = tuple(a.polygon for a in own if not a.lands and not flat.under)
        covered = tuple(Polygon(ring) for ring in flat.facets) if flat.under else ()
        window = _window(sheet, covered, seen) if flat.under else None
        found.append(_Figure(flat, facets, glued, lands, covered, window, len(seen)))
    return found


def _window(sheet: Sheet, covered: Sequence[Polygon], seen: Sequence[Seen]) -> Polygon:
    """As much of a host as has to do with what is glued on it, and a rim."""
    points = [mark.points for mark in seen if mark.kind != "arrows"]
    points += [np.asarray(shape.exterior.coords)[:, :2] for shape in covered]
    every = np.concatenate(points)
    low, high = every.min(axis=0) - _RIM_MM, every.max(axis=0) + _RIM_MM
    return shapely.box(*low, *high)


def _placed(found: Sequence[_Figure], box: PictureBox) -> Iterator[_Placed]:
    """Sheets on the left, as large as they fit there, and what they are glued to on the right."""
    own = [figure for figure in found if figure.window is None]
    hosts = [figure for figure in found if figure.window is not None]
    tried = [_split(own, hosts, box, share) for share in (_SHARES if hosts else (0.0,))]
    yield from max(tried, key=_worth)


def _split(
    own: Sequence[_Figure], hosts: Sequence[_Figure], box: PictureBox, share: float
) -> list[_Placed]:
    """Both in a box of which a share of the width is for what they are glued to."""
    wide = box.width * share
    left = PictureBox(box.x, box.y, box.width - wide, box.height)
    right = PictureBox(box.x + left.width, box.y, wide, box.height)
    return [*_packed(own, left), *_packed(hosts, right)]


def _worth(placed: Sequence[_Placed]) -> float:
    """How large a drawing is: the sheets matter more than what they are glued to."""
    least = {False: np.inf, True: np.inf}
    for one in placed:
        least[one.figure.window is not None] = one.scale
    return float(min(least[False], _HOST_WEIGHT * least[True]))


def _packed(found: Sequence[_Figure], box: PictureBox) -> Iterator[_Placed]:
    """Figures in rows or in columns, at the one scale at which all of them fit."""
    if not found:
        return
    ways = [(rows, upright) for rows in _rows(len(found)) for upright in (False, True)]
    scale, rows, upright = max(
        ((_scale(rows, found, box, upright), rows, upright) for rows, upright in ways),
        key=lambda way: way[0],
    )
    scale = min(scale, _LARGEST)
    long, across = (1, 0) if upright else (0, 1)
    corner, room = np.array([box.x, box.y]), np.array([box.width, box.height])
    sizes = [figure.size(scale) for figure in found]
    deep = [max(sizes[k][across] for k in row) for row in rows]
    at = np.zeros(2)
    at[across] = (room[across] - sum(deep)) / 2
    for row, depth in zip(rows, deep, strict=True):
        at[long] = (room[long] - sum(sizes[k][long] for k in row)) / 2
        for k in row:
            cell = sizes[k].copy()
            cell[across] = depth
            yield _in_cell(found[k], corner + at, cell, scale)
            at[long] += cell[long]
        at[across] += depth


def _in_cell(figure: _Figure, corner: np.ndarray, cell: np.ndarray, scale: float) -> _Placed:
    """A figure in the middle of a part of the page, of which it keeps the rims free."""
    left, _, _, top = figure.bounds
    pads = figure.pads
    free = cell - figure.size(scale)
    x = corner[0] + pads.left + free[0] / 2 - scale * left
    y = corner[1] + pads.top + free[1] / 2 + scale * top
    return _Placed(figure, np.array([x, y]), scale)


def _rows(count: int) -> Iterator[list[list[int]]]:
    """Ways to put figures in rows, in their order."""
    for breaks in range(2 ** (count - 1)):
        rows = [[0]]
        for k in range(1, count):
            if breaks >> (k - 1) & 1:
                rows.append([])
            rows[-1].append(k)
        yield rows


def _scale(
    rows: list[list[int]], found: Sequence[_Figure], box: PictureBox, upright: bool
) -> float:
    """The scale at which figures in rows fill a box, or in columns."""
    bare = [figure.size(1.0) - figure.size(0.0) for figure in found]
    rims = [figure.size(0.0) for figure in found]
    long, across = (1, 0) if upright else (0, 1)
    room = (box.width, box.height)
    ends = [
        (room[long] - sum(rims[k][long] for k in row)) / sum(bare[k][long] for k in row)
        for row in rows
    ]
    rim = sum(max(rims[k][across] for k in row) for row in rows)
    full = sum(max(bare[k][across] for k in row) for row in rows)
    return float(min([*ends, (room[across] - rim) / full]))


def _paper(drawing: MeasuredDrawing, one: _Placed) -> None:
    """The paper, what is glued, cuts and folds with their signs."""
    figure = one.figure
    paper = one.shape(figure.paper)
    host = figure.window is not None
    drawing.under += _filled(paper, PAGE if host else PAPER)
    for area in (*figure.glued, *(figure.lands if host else ())):
        drawing.under += _filled(one.shape(area).intersection(paper), GLUED)
    drawing.paper.append(paper)
    window = None if figure.window is None else one.shape(figure.window)
    cuts = shapely.boundary(paper)
    if window is not None:
        cuts = cuts.difference(window.exterior.buffer(0.01))
    for line in _chains(cuts):
        drawing.draw(PenStroke("cut", line))
    for area in figure.covered if host else figure.lands:
        for line in _chains(shapely.boundary(one.shape(area))):
            drawing.draw(PenStroke("place", line))
    for fold in _folds(one):
        drawing.draw(fold.stroke)


def _folds(one: _Placed) -> Iterator[Line]:
    """Folds as far as they are shown."""
    paper = one.shape(one.figure.paper).buffer(0.01)
    for ends, sign in one.figure.flat.folds:
        for line in _chains(shapely.LineString(one.at(ends)).intersection(paper)):
            yield Line(line[[0, -1]], sign > 0)


def _signs(drawing: MeasuredDrawing, one: _Placed) -> None:
    """Signs that tell mountain from valley."""
    full = [*drawing.taken, *drawing.heads]
    found = signs(list(_folds(one)), one.shape(one.figure.paper), full)
    drawing.marks += found
    drawing.taken += [area_of(sign) for sign in found]


def _filled(shape: BaseGeometry, colour: str) -> Iterator[Fill]:
    for part in shapely.get_parts(shape):
        if isinstance(part, Polygon) and not part.is_empty:
            rings = (part.exterior, *part.interiors)
            yield Fill(tuple(np.asarray(ring.coords)[:-1, :2] for ring in rings), colour)


def _chains(shape: BaseGeometry) -> Iterator[np.ndarray]:
    merged = shapely.line_merge(shape) if shape.geom_type == "MultiLineString" else shape
    for part in shapely.get_parts(merged):
        if part.geom_type in ("LineString", "LinearRing") and part.length > 0.05:
            yield np.asarray(part.coords)[:, :2]


def _axes(drawing: MeasuredDrawing, one: _Placed) -> None:
    """Where x and y begin: a dot, and two arrows from it."""
    origin = one.at([0.0, 0.0])
    if not drawing.box.shape.buffer(-2.0).covers(shapely.Point(origin)):
        return
    left, low, right, top = one.figure.bounds
    long = float(np.clip(_AXIS_SHARE * one.scale * min(right - left, top - low), *_AXIS_MM))
    drawing.marks += cross(origin, long)
    for way, name in ((np.array([1.0, 0.0]), "x"), (np.array([0.0, -1.0]), "y")):
        tip = origin + long * way
        drawing.heads.append(shapely.LineString([origin, tip]).buffer(0.8))
        _letter(drawing, tip, way, name)


def cross(origin: np.ndarray, long: float) -> list[Mark]:
    """A dot, and two arrows from it, page mm."""
    turn = np.linspace(0.0, 2 * np.pi, 25)[:-1]
    ring = origin + 0.75 * np.column_stack([np.cos(turn), np.sin(turn)])
    marks: list[Mark] = [Fill((ring,), AXES)]
    for way in (np.array([1.0, 0.0]), np.array([0.0, -1.0])):
        across = np.array([-way[1], way[0]])
        tip, neck = origin + long * way, origin + (long - 2.2) * way
        half = _AXIS_WIDTH_MM * across
        stem = np.array([origin + half, neck + half, neck - half, origin - half])
        head = np.array([tip, neck + 0.95 * across, neck - 0.95 * across])
        marks += [Fill((stem,), AXES), Fill((head,), AXES)]
    return marks


def _letter(drawing: MeasuredDrawing, tip: np.ndarray, way: np.ndarray, name: str) -> None:
    """The name of an axis, beside its tip."""
    size = 2.7
    high = size * font.CAPITAL / 2
    across = np.array([way[1], -way[0]])
    sides = [(back, side) for back in (0.8, 3.5, -1.6) for side in (3.0, -3.0)]
    spots = [tip + 2.7 * way, *(tip - back * way + side * across for back, side in sides)]
    drawing.choose(
        WayToDraw(
            (), (), (), Text(float(x), float(y) + high, name, size, "middle", bold=True), 0.3 * k
        )
        for k, (x, y) in enumerate(spots)
    )


def _names(drawing: MeasuredDrawing, one: _Placed) -> Iterator[str]:
    """Write the names of facets on them, or beside them; yields those without a place."""
    figure = one.figure
    paper = one.shape(figure.paper)
    shown = [(name, _largest(one.shape(shape) & paper)) for name, shape in figure.facets]
    prefix = f"{figure.flat.piece}." if figure.window is not None else ""
    # The narrowest first, which have the least choice.
    for name, shape in sorted(shown, key=lambda row: row[1].area):
        if shape.is_empty or shape.area < 1.0:
            continue
        words = prefix + name
        if drawing.choose(_inside(shape, words), most=30.0) is not None:
            continue
        beside = [way for at in _within(shape) for way in dimensions.named(at, words, 2.35)]
        if drawing.choose(beside) is None:
            yield name


def _largest(shape: BaseGeometry) -> Polygon:
    """The largest polygon of a shape, perhaps an empty one."""
    parts = [part for part in shapely.get_parts(shape) if isinstance(part, Polygon)]
    return max(parts, key=lambda part: part.area, default=Polygon())


def _middle(shape: BaseGeometry) -> np.ndarray:
    inner = shapely.maximum_inscribed_circle(shape, tolerance=0.3)
    return np.asarray(inner.coords[0])[:2]


def _within(shape: BaseGeometry) -> list[np.ndarray]:
    """Points well inside a facet: its middle, and others from which a line may lead out."""
    inner = shape.buffer(-0.7)
    left, low, right, top = shape.bounds
    spread = [(a, b) for a in (0.25, 0.5, 0.75) for b in (0.25, 0.5, 0.75)]
    points = [np.array([left + a * (right - left), low + b * (top - low)]) for a, b in spread]
    return [_middle(shape), *(p for p in points if inner.covers(shapely.Point(p)))]


def _inside(shape: BaseGeometry, words: str) -> Iterator[WayToDraw]:
    """Ways to write a name on a facet, page mm: about its middle, level, upright or along it."""
    middle = _middle(shape)
    rectangle = np.asarray(shapely.minimum_rotated_rectangle(shape).exterior.coords)
    sides = np.diff(rectangle[:3], axis=0)
    long = sides[int(np.argmax(np.linalg.norm(sides, axis=1)))]
    slope = float(np.arctan2(-long[1], long[0]))
    slope = (slope + np.pi / 2 - 1e-9) % np.pi - np.pi / 2 + 1e-9
    room = shape.buffer(-0.25)
    shapely.prepare(room)
    for size in _NAME_SIZES:
        half = font.width(words, size, bold=True) / 2
        high = size * font.CAPITAL
        for turn in dict.fromkeys((0.0, round(slope, 6), np.pi / 2)):
            c, s = np.cos(turn), np.sin(turn)
            along, up = np.array([c, -s]), np.array([-s, -c])
            for a, b in _SPOTS:
                # Of the middle of the text; its foot lies half of its height lower.
                at = middle + a * half * along + b * high * up - high / 2 * up
                x, y = at
                text = Text(float(x), float(y), words, size, "middle", float(turn), True, 0.2)
                if not room.covers(_box(text, half, high)):
                    continue
                cost = 2.0 * (_NAME_SIZES[0] - size) + 0.5 * (turn != 0) + 0.1 * (abs(a) + abs(b))
                yield WayToDraw((), (), (), text, cost)


_SPOTS = tuple(
    sorted(
        (
            (a, b)
            for a in (0.0, 0.5, -0.5, 1.0, -1.0)
            for b in (0.0, 1.0, -1.0, 2.2, -2.2, 4.0, -4.0, 6.0, -6.0)
        ),
        key=lambda spot: abs(spot[0]) + abs(spot[1]),
    )
)


def _box(text: Text, half: float, high: float) -> Polygon:
    c, s = np.cos(text.angle), np.sin(text.angle)
    along, up = np.array([c, -s]), np.array([-s, -c])
    at = np.array([text.x, text.y])
    corners = [at - half * along, at + half * along]
    return Polygon([*corners, corners[1] + high * up, corners[0] + high * up])


def _ways(measure: Measure, one: _Placed) -> Iterable[WayToDraw]:
    seen = measure.seen
    assert seen is not None
    points = one.at(seen.points)
    if seen.kind == "length":
        return dimensions.length(
            points[0], points[1], measure.label, one.shape(one.figure.paper).bounds
        )
    if seen.kind == "angle":
        return dimensions.angle(points, measure.value or 0.0, measure.label)
    return _arrows(points, measure.label)


def _arrows(points: np.ndarray, words: str) -> Iterator[WayToDraw]:
    """An arrow at any of the points that go farthest."""
    for start, end in points.reshape(-1, 2, 2):
        far = float(np.linalg.norm(end - start))
        if far > 1e-9:
            yield from dimensions.arrow(start, (end - start) / far, words)
