"""Strokes become sheets: rings nest into outlines and holes, folds reach the edges they mean."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import shapely
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from meshes.curve import cuttable
from meshes.sheet import SNAP_MM, Facet, Fold, Placement, Vector, cut

from .strokes import Group, Stroke
from .tree import DrawingError

# Ends that miss what they are meant to meet by less are moved onto it.
REACH_MM = 0.3
# An open slit is a cut without width; sheets need a hair of it.
SLIT_MM = 0.02
# Of one sheet. Our choice: paper of more folds rests in more ways than can be tried.
MOST_FOLDS = 100
_STRAIGHT_MM = 0.1
_LEAST_MM2 = 1.0
# Share of an area that must lie on one facet: drawn by hand, it may overlap a fold by a hair.
_WITHIN = 0.98

Face = Literal["front", "back"]
_MOVES: dict[str, Literal["turn", "slide", "flyleaf"]] = {
    "pin": "turn",
    "track": "slide",
    "spine": "flyleaf",
}


@dataclass(frozen=True)
class DrawnArea:
    """A lettered area.

    Parameters
    ----------
    facet : that it lies on; empty on the spread.
    corners : shape (n, 2), mm; those of a glue area and of its place correspond one by one.
    face : if the drawing says so.
    label : what to call it in a message.
    """

    letter: str
    facet: str
    corners: np.ndarray
    face: Face | None
    label: str


@dataclass(frozen=True)
class Move:
    """How a hand moves a sheet.

    Parameters
    ----------
    kind : ``turn`` about a pin, ``slide`` along a track, or ``flyleaf``, a page hinged at its
        spine.
    ends : the pin, or the ends of track or spine, shape (1 or 2, 2), mm.
    turn : how far it turns, radians.
    label : what to call the line in a message.
    """

    kind: Literal["turn", "slide", "flyleaf"]
    ends: np.ndarray
    turn: float
    label: str


@dataclass(frozen=True)
class DrawnSheet:
    """One sheet of a drawing, mm, y up, the printed face towards the reader.

    Parameters
    ----------
    exact : written by a program to the last digit, not drawn by hand.
    move : if a hand moves it.
    """

    name: str
    piece: str
    outline: Polygon
    folds: tuple[Fold, ...]
    labels: dict[str, Vector]
    facets: tuple[Facet, ...]
    glue: tuple[DrawnArea, ...]
    places: tuple[DrawnArea, ...]
    exact: bool = False
    move: Move | None = None

    def placed(self, placement: Placement) -> DrawnSheet:
        """The sheet in other coordinates; it has no folds, and is not turned over."""
        facets = tuple(replace(f, polygon=placement.polygon(f.polygon)) for f in self.facets)
        inside = {f.name: f.polygon.representative_point() for f in facets}

        def area(old: DrawnArea) -> DrawnArea:
            return replace(old, corners=placement.apply(old.corners))

        return replace(
            self,
            outline=placement.polygon(self.outline),
            facets=facets,
            labels={name: (float(at.x), float(at.y)) for name, at in inside.items()},
            glue=tuple(area(old) for old in self.glue),
            places=tuple(area(old) for old in self.places),
        )

    def moved(self, old: np.ndarray, new: np.ndarray) -> DrawnSheet:
        """The sheet with its fold ends, and the corners of its outline there, moved.

        Parameters
        ----------
        old, new : positions, shape (n, 2), mm.
        """

        def move(points: np.ndarray) -> np.ndarray:
            gaps = np.abs(points[:, None] - old[None]).max(axis=2)
            near = gaps.argmin(axis=1)
            hit = gaps[np.arange(len(points)), near] < REACH_MM / 6
            return np.where(hit[:, None], new[near], points)

        outline = shapely.transform(self.outline, move) if len(old) else self.outline
        ends = [
            move(np.array([fold.start, fold.end])) if len(old) else np.array([fold.start, fold.end])
            for fold in self.folds
        ]
        lines = [LineString(points) for points in ends]
        folds = []
        for k, fold in enumerate(self.folds):
            others = [line for j, line in enumerate(lines) if j != k]
            start, end = _reaching(lines[k], outline, others)
            folds.append(replace(fold, start=start, end=end))
        return replace(self, outline=outline, folds=tuple(folds))


def sheets(group: Group, members: Sequence[Stroke]) -> list[DrawnSheet]:
    """The sheets that one group draws.

    Raises
    ------
    DrawingError
        If an outline is open or crosses itself, or a line lies on no sheet.
    """
    outlines = _outlines([stroke for stroke in members if stroke.role == "cut"])
    owned: dict[int, list[Stroke]] = {k: [] for k in range(len(outlines))}
    for stroke in members:
        if stroke.role not in ("cut", "gutter"):
            owned[_owner(stroke, outlines)].append(stroke)
    return [_sheet(group, outline, owned[k], k) for k, outline in enumerate(outlines)]


def landings(members: Sequence[Stroke]) -> list[DrawnArea]:
    """The places on the spread, in the coordinates of its gutter.

    Where no line is called gutter, the coordinates are the spread's own.
    """
    gutters = [stroke for stroke in members if stroke.role == "gutter"]
    origin, turn = np.zeros(2), np.eye(2)
    if gutters:
        start, end = gutters[0].points[0], gutters[0].points[-1]
        if end[1] < start[1]:
            start, end = end, start
        along = (end - start) / max(float(np.linalg.norm(end - start)), 1e-9)
        origin, turn = start, np.array([[along[1], -along[0]], [along[0], along[1]]])
    areas = []
    for stroke in members:
        if stroke.role == "place":
            corners = (_ring(stroke.points) - origin) @ turn.T
            areas.append(DrawnArea(_letter(stroke), "", corners, _face(stroke), stroke.label))
    return areas


def _ring(points: np.ndarray) -> np.ndarray:
    """Without a closing point."""
    return (
        points[:-1] if len(points) > 1 and np.allclose(points[0], points[-1], atol=1e-9) else points
    )


def _outlines(cuts: Sequence[Stroke]) -> list[Polygon]:
    """Closed cuts as polygons: an outline, its holes, and sheets that lie in holes."""
    named: list[tuple[Polygon, str]] = []
    open_lines = []
    for stroke in cuts:
        gap = float(np.linalg.norm(stroke.points[0] - stroke.points[-1]))
        if stroke.closed or gap < REACH_MM:
            named.append((_polygon(_ring(stroke.points), stroke.label), stroke.label))
        else:
            open_lines.append(stroke)
    named += [(ring, open_lines[0].label) for ring in _closed_from(open_lines)]
    named.sort(key=lambda item: -item[0].area)
    rings, labels = [ring for ring, _ in named], [label for _, label in named]
    inside = [[k for k in range(j) if rings[k].covers(rings[j])] for j in range(len(rings))]
    outlines = []
    for j, ring in enumerate(rings):
        if len(inside[j]) % 2:
            continue
        holes = [
            rings[i]
            for i in range(j + 1, len(rings))
            if j in inside[i] and len(inside[i]) == len(inside[j]) + 1
        ]
        outline = ring.difference(shapely.union_all(holes)) if holes else ring
        if not isinstance(outline, Polygon):
            raise DrawingError("a hole cuts its sheet in two")
        outlines.append(_cuttable(outline, labels[j]))
    return outlines


def _cuttable(outline: Polygon, label: str) -> Polygon:
    try:
        return cuttable(outline)
    except ValueError as error:
        raise DrawingError(f"{label}: {error}") from None


def _polygon(points: np.ndarray, label: str) -> Polygon:
    if len(points) < 3:
        raise DrawingError(f"{label}: encloses nothing")
    polygon = Polygon(points)
    if not polygon.is_valid:
        reason = shapely.is_valid_reason(polygon)
        raise DrawingError(f"{label}: is not a simple outline: {reason}")
    if polygon.area < _LEAST_MM2:
        raise DrawingError(f"{label}: is smaller than {_LEAST_MM2:g} mm²")
    return polygon


def _closed_from(lines: Sequence[Stroke]) -> list[Polygon]:
    """Rings that open cuts make together."""
    if not lines:
        return []
    ends = np.array([point for s in lines for point in (s.points[0], s.points[-1])])
    # Each end moves to the first end within reach.
    moved = np.array(
        [ends[np.argmax(np.linalg.norm(ends - end, axis=1) < REACH_MM)] for end in ends]
    )
    joined = []
    for k, stroke in enumerate(lines):
        joined.append(LineString([moved[2 * k], *stroke.points[1:-1], moved[2 * k + 1]]))
    polygons, cuts, dangles, wrong = (
        shapely.get_parts(part) for part in shapely.polygonize_full(joined)
    )
    left = [*cuts, *dangles, *wrong]
    for stroke, line in zip(lines, joined, strict=True):
        # Half-way along it: the middle of what it encloses lies beside a line that bends.
        if any(line.distance(rest.interpolate(0.5, normalized=True)) < SNAP_MM for rest in left):
            raise DrawingError(
                f"{stroke.label}: this cut does not close; a cut that ends inside is a slit"
            )
    return [_polygon(_ring(np.asarray(p.exterior.coords)), lines[0].label) for p in polygons]


def _owner(stroke: Stroke, outlines: Sequence[Polygon]) -> int:
    """The sheet that a line lies on: the one that holds most of it."""
    shape = _shape(stroke)
    best, share = -1, 0.0
    for k, outline in enumerate(outlines):
        if isinstance(shape, Point):
            part = 1.0 if outline.covers(shape) else 0.0
        else:
            common = shape.intersection(_near(outline, shape).buffer(REACH_MM))
            part = (common.area or common.length) / (shape.area or shape.length)
        if part > share + 1e-9:
            best, share = k, part
    if share < 0.5:
        raise DrawingError(f"{stroke.label}: this {stroke.role} lies on no sheet")
    return best


def _near(outline: Polygon, shape: BaseGeometry) -> BaseGeometry:
    """What an outline has around a shape; the whole of a fine one takes seconds to widen."""
    left, low, right, high = shape.bounds
    margin = 2 * REACH_MM
    return shapely.clip_by_rect(outline, left - margin, low - margin, right + margin, high + margin)


def _shape(stroke: Stroke) -> BaseGeometry:
    if len(stroke.points) == 1:
        return Point(stroke.points[0])
    line = LineString(stroke.points)
    if line.length < SNAP_MM:
        raise DrawingError(f"{stroke.label}: has no length")
    if stroke.role in ("glue", "place") or (stroke.role == "slit" and stroke.closed):
        return _polygon(_ring(stroke.points), stroke.label)
    return line


def _sheet(group: Group, outline: Polygon, members: Sequence[Stroke], number: int) -> DrawnSheet:
    for stroke in members:
        if stroke.role == "slit":
            outline = _slit(outline, stroke)
    folds = _folds(group, outline, [s for s in members if s.role in ("valley", "mountain")])
    labels = {}
    for stroke in members:
        if stroke.role == "name" and stroke.name:
            x, y = stroke.points[0]
            labels[stroke.name] = (float(x), float(y))
    name = group.attributes.get("data-sheet") or group.attributes.get("inkscape:label")
    name = name or group.attributes.get("id") or "sheet"
    if number and "data-sheet" not in group.attributes:
        name = f"{name}-{number + 1}"
    try:
        facets, _ = cut(outline, folds, labels)
    except ValueError as error:
        raise DrawingError(f"{name}: {error}") from None
    glue = tuple(_area(s, facets) for s in members if s.role == "glue")
    places = tuple(_area(s, facets) for s in members if s.role == "place")
    piece = group.attributes.get("data-piece", "")
    move = _move(members)
    return DrawnSheet(
        name, piece, outline, tuple(folds), labels, facets, glue, places, group.frame, move
    )


def _move(members: Sequence[Stroke]) -> Move | None:
    """What the pin, track or spine of a sheet says, if it has one."""
    found = [stroke for stroke in members if stroke.role in _MOVES]
    if not found:
        return None
    if len(found) > 1:
        raise DrawingError(f"{found[1].label}: a sheet has one pin, track or spine")
    stroke = found[0]
    ends = stroke.points if stroke.role == "pin" else _straight(stroke)[[0, -1]]
    turn = _given(stroke, "data-turn-deg", 360.0, 1.0, 3600.0)
    return Move(_MOVES[stroke.role], ends, math.radians(turn), stroke.label)


def _slit(outline: Polygon, stroke: Stroke) -> Polygon:
    shape = _shape(stroke)
    if not isinstance(shape, Polygon):
        shape = shape.buffer(SLIT_MM / 2, cap_style="flat", join_style="mitre")
    rest = outline.difference(shape)
    if not isinstance(rest, Polygon):
        raise DrawingError(f"{stroke.label}: this slit cuts its sheet in two; call it a cut")
    return rest


def _folds(group: Group, outline: Polygon, members: Sequence[Stroke]) -> list[Fold]:
    if len(members) > MOST_FOLDS:
        raise DrawingError(
            f"{members[MOST_FOLDS].label}: is fold {MOST_FOLDS + 1} of its sheet; allowed: "
            f"{MOST_FOLDS}"
        )
    lines = [LineString([_straight(s)[0], _straight(s)[-1]]) for s in members]
    folds, names = [], set()
    for k, stroke in enumerate(members):
        others = [line for j, line in enumerate(lines) if j != k]
        if group.frame:  # written by a program, to the last digit
            start, end = _ends(lines[k])
        else:
            start, end = _reaching(lines[k], outline, others)
        up = (stroke.role == "mountain") != group.back
        name = stroke.name or f"{stroke.role}-{k + 1}"
        if name in names:
            raise DrawingError(f"{stroke.label}: a second fold is called {name!r}")
        names.add(name)
        rest = _given(stroke, "data-rest-deg", 90.0, 0.0, 180.0)
        stiffness = _given(stroke, "data-stiffness", 1.0, 1e-3, 1e3)
        folds.append(Fold(name, start, end, 1 if up else -1, math.radians(rest), stiffness))
    return folds


def _given(stroke: Stroke, key: str, default: float, least: float, most: float) -> float:
    text = stroke.attributes.get(key)
    if text is None:
        return default
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not least <= value <= most:
        raise DrawingError(
            f"{stroke.label}: {key} is {text[:40]!r}; allowed: {least:g} to {most:g}"
        )
    return value


def _straight(stroke: Stroke) -> np.ndarray:
    chord = LineString([stroke.points[0], stroke.points[-1]])
    if stroke.closed or chord.length < SNAP_MM:
        raise DrawingError(f"{stroke.label}: a {_kind(stroke)} is one straight line")
    if chord.hausdorff_distance(LineString(stroke.points)) > _STRAIGHT_MM:
        raise DrawingError(f"{stroke.label}: a {_kind(stroke)} is straight; this one bends")
    return stroke.points


def _kind(stroke: Stroke) -> str:
    return "fold" if stroke.role in ("valley", "mountain") else stroke.role


def _ends(line: LineString) -> tuple[Vector, Vector]:
    (x0, y0), (x1, y1) = line.coords
    return (float(x0), float(y0)), (float(x1), float(y1))


def _reaching(
    line: LineString, outline: Polygon, others: Sequence[LineString]
) -> tuple[Vector, Vector]:
    """The ends of a fold, moved along it onto the edge or fold that they nearly meet."""
    targets = np.array([outline.boundary, *others])
    (x0, y0), (x1, y1) = line.coords
    along = np.array([x1 - x0, y1 - y0]) / line.length
    ends = []
    for end, outward in ((np.array([x0, y0]), -along), (np.array([x1, y1]), along)):
        gap = float(shapely.distance(targets, Point(end)).min())
        if SNAP_MM < gap < REACH_MM:
            probe = LineString([end - 3 * REACH_MM * outward, end + 3 * REACH_MM * outward])
            hits = shapely.get_coordinates(shapely.intersection(targets, probe))
            if len(hits):
                end = hits[np.argmin(np.linalg.norm(hits - end, axis=1))]
        ends.append((float(end[0]), float(end[1])))
    return ends[0], ends[1]


def _area(stroke: Stroke, facets: Sequence[Facet]) -> DrawnArea:
    corners = _ring(stroke.points)
    shape = _polygon(corners, stroke.label)
    shares = [shape.intersection(facet.polygon).area for facet in facets]
    best = int(np.argmax(shares))
    # A ring of glue around a window is drawn by its outer edge alone.
    filled = Polygon(facets[best].polygon.exterior)
    if shape.intersection(filled).area < _WITHIN * shape.area:
        raise DrawingError(f"{stroke.label}: this {stroke.role} lies across several facets")
    return DrawnArea(_letter(stroke), facets[best].name, corners, _face(stroke), stroke.label)


def _letter(stroke: Stroke) -> str:
    letter = stroke.attributes.get("data-letter") or stroke.name
    if not letter:
        raise DrawingError(f"{stroke.label}: has no letter; give it an id such as {stroke.role}-A")
    return letter


def _face(stroke: Stroke) -> Face | None:
    said = stroke.attributes.get("class", "").split()
    return "front" if "front" in said else "back" if "back" in said else None
