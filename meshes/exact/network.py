"""What hangs together in a spread, with each place at which a hand can err.

Facets that never move against each other and are of one sheet are one *unit*. Units meet at
*seams*: folds, which turn, and areas of glue. At both, paper gives a little where it must.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon

from meshes.linkage import Hinge, Linkage, Part
from meshes.motion.loops.blocks import adrift
from meshes.sheet import Join, Sheet

# A seam this small still has some size, so that a turn of it counts, mm. Our choice.
_LEAST_MM = 0.5
# Folds as nearly on one line as this are scored in one stroke, sine and mm. Our choice.
_IN_LINE, _IN_LINE_MM = 1e-4, 0.01


@dataclass(frozen=True)
class Seam:
    """Where two units meet: a fold, or glue.

    Parameters
    ----------
    name : ``piece.fold``, or ``piece.facet`` of what is glued.
    host : what the facet is glued to; empty for a fold.
    units : of a fold's facets 0 and 1, or of the host and of what is glued to it.
    frames : in its middle on either, in body coordinates, shape (2, 4, 4), mm: columns a, b, n of a
        fold; of glue x along the longest extent of its area, z that of the body.
    sizes : root mean square lever of turns about x, y and z of the frame, mm.
    hinge : index of the fold in the linkage, -1 for glue.
    sign : +1 a mountain, -1 a valley, 0 for glue.
    joins : indices of the joins that it stands for; none for a fold.
    outline : the glued area in body coordinates.
    """

    name: str
    host: str
    units: tuple[int, int]
    frames: np.ndarray
    sizes: np.ndarray
    hinge: int = -1
    sign: int = 0
    joins: tuple[int, ...] = ()
    outline: Polygon | None = None

    @property
    def folds(self) -> bool:
        """Whether it is a fold."""
        return self.hinge >= 0


@dataclass(frozen=True)
class Placing:
    """What a hand places at one go: an area of glue, or a line of folds scored in one stroke.

    Parameters
    ----------
    seams : indices of its seams; several folds of one sheet may lie on one line.
    offsets : how far the middle of each lies from the middle of all, along its own x, mm.
    signs : +1 where a seam's x points along that of the first, else -1.
    """

    seams: tuple[int, ...]
    offsets: tuple[float, ...] = (0.0,)
    signs: tuple[float, ...] = (1.0,)


@dataclass(frozen=True)
class Network:
    """Units that hang together other than by the pages, as one problem.

    Parameters
    ----------
    bodies : body of each unit.
    known : units whose pose is given.
    seams : the folds first.
    spots : what a hand places.
    """

    bodies: tuple[int, ...]
    known: frozenset[int]
    seams: tuple[Seam, ...]
    spots: tuple[Placing, ...]

    @property
    def folds(self) -> tuple[Seam, ...]:
        """The seams that are folds; they come first."""
        return tuple(seam for seam in self.seams if seam.folds)

    @property
    def free(self) -> tuple[int, ...]:
        """The units whose pose is not given."""
        return tuple(unit for unit in range(len(self.bodies)) if unit not in self.known)


def networks(sheets: Sequence[Sheet], joins: Sequence[Join], linkage: Linkage) -> list[Network]:
    """All parts of a spread in which an error can do harm: those that hold closed loops."""
    parts = {part.id: (k, part) for k, body in enumerate(linkage.bodies) for part in body.parts}
    unit_of = _units(sheets, parts)
    bodies = {unit: parts[name][0] for name, unit in unit_of.items()}
    by_hand = {linkage.place(drive.join.facet)[0] for drive in linkage.drives}
    given = {0, 1, *by_hand}
    given.update(adrift(linkage, frozenset(given)))
    known = {unit_of[linkage.bodies[body].parts[0].id] for body in given}
    seams = [_fold(k, hinge, unit_of) for k, hinge in enumerate(linkage.hinges)]
    seams = _pruned([*seams, *_glue(joins, parts, unit_of)], known)
    inner = [unit for unit in sorted(bodies) if unit not in known]
    groups = _groups(inner, (seam.units for seam in seams if not known.intersection(seam.units)))
    lines = _lines(sheets)
    found = []
    for group in groups:
        mine = [seam for seam in seams if set(group).intersection(seam.units)]
        if mine:
            found.append(_network(mine, bodies, known, lines))
    return found


def _network(
    seams: Sequence[Seam], bodies: dict[int, int], known: set[int], lines: dict[str, _Line]
) -> Network:
    """Number the units of one part anew."""
    units = sorted({unit for seam in seams for unit in seam.units})
    place = {unit: k for k, unit in enumerate(units)}
    return Network(
        tuple(bodies[unit] for unit in units),
        frozenset(place[unit] for unit in units if unit in known),
        tuple(replace(seam, units=(place[seam.units[0]], place[seam.units[1]])) for seam in seams),
        _spots(seams, lines),
    )


@dataclass(frozen=True)
class _Line:
    """Where a fold lies on its sheet, mm."""

    sheet: int
    middle: np.ndarray
    along: np.ndarray

    def goes_on(self, other: _Line) -> bool:
        """Whether another fold of the sheet lies on the same line."""
        between = other.middle - self.middle
        return (
            self.sheet == other.sheet
            and abs(np.linalg.det([self.along, other.along])) < _IN_LINE
            and abs(np.linalg.det([self.along, between])) < _IN_LINE_MM
        )


def _lines(sheets: Sequence[Sheet]) -> dict[str, _Line]:
    found = {}
    for k, sheet in enumerate(sheets):
        for fold in (crossing.fold for crossing in sheet.crossings):
            start, end = np.array(fold.start), np.array(fold.end)
            name = f"{sheet.piece}.{fold.name}"
            found[name] = _Line(k, (start + end) / 2, (end - start) / fold.length)
    return found


def _spots(seams: Sequence[Seam], lines: dict[str, _Line]) -> tuple[Placing, ...]:
    """What a hand places: folds on one line of a sheet are scored together."""
    strokes: list[list[int]] = []
    for q, seam in enumerate(seams):
        if not seam.folds:
            strokes.append([q])
            continue
        line = lines[seam.name]
        for stroke in strokes:
            first = seams[stroke[0]]
            if first.folds and lines[first.name].goes_on(line):
                stroke.append(q)
                break
        else:
            strokes.append([q])
    return tuple(_stroke(stroke, seams, lines) for stroke in strokes)


def _stroke(some: Sequence[int], seams: Sequence[Seam], lines: dict[str, _Line]) -> Placing:
    if len(some) == 1:
        return Placing(tuple(some))
    mine = [lines[seams[q].name] for q in some]
    # Of all points on the folds, not of the folds: a long one counts for more.
    lengths = np.array([seams[q].sizes[1] for q in some])
    middle = np.average([line.middle for line in mine], axis=0, weights=lengths)
    return Placing(
        tuple(some),
        tuple(float((line.middle - middle) @ line.along) for line in mine),
        tuple(float(np.sign(line.along @ mine[0].along)) for line in mine),
    )


def _units(sheets: Sequence[Sheet], parts: dict[str, tuple[int, Part]]) -> dict[str, int]:
    """Facet to unit: facets of one sheet on both sides of a fold that glue keeps from moving."""
    stiff = []
    for sheet in sheets:
        for crossing in sheet.crossings:
            pair = (f"{sheet.piece}.{crossing.left}", f"{sheet.piece}.{crossing.right}")
            if parts[pair[0]][0] == parts[pair[1]][0]:
                stiff.append(pair)
    groups = _groups(parts, stiff)
    return {name: k for k, group in enumerate(groups) for name in group}


def _glue(
    joins: Sequence[Join], parts: dict[str, tuple[int, Part]], unit_of: dict[str, int]
) -> list[Seam]:
    """The glue that holds units, each pair once.

    A further area between units that glue holds already is glued where it falls, so that it has no
    error of its own.
    """
    areas: dict[tuple[int, int], list[int]] = {}
    held = _Together(unit_of.values())
    for j, join in enumerate(joins):
        pair = (unit_of[join.host], unit_of[join.facet])
        if pair in areas:
            areas[pair].append(j)
        elif held.join(*pair):
            areas[pair] = [j]
    return [_glue_seam(pair, joins, tuple(some), parts) for pair, some in areas.items()]


def _glue_seam(
    pair: tuple[int, int],
    joins: Sequence[Join],
    some: tuple[int, ...],
    parts: dict[str, tuple[int, Part]],
) -> Seam:
    shapes = []
    for join in (joins[j] for j in some):
        one, two = parts[join.facet][1].polygon, parts[join.host][1].polygon
        shared = one.intersection(two)
        shapes.append(shared if shared.area > 0 else one)
    area = shapely.union_all(shapes)
    middle = shapely.get_coordinates(area.centroid)[0]
    squares, axes = np.linalg.eigh(_second_moments(area, middle))
    frame = np.eye(4)
    frame[:2, 0] = axes[:, 1]
    frame[:2, 1] = -frame[1, 0], frame[0, 0]
    frame[:2, 3] = middle
    levers = np.array([squares[0], squares[1], squares.sum()])
    sizes = np.sqrt(np.maximum(levers, 0) + _LEAST_MM**2)
    name, host = joins[some[0]].facet, joins[some[0]].host
    outline = area if isinstance(area, Polygon) else area.convex_hull
    return Seam(name, host, pair, np.array([frame, frame]), sizes, joins=some, outline=outline)


def _second_moments(area: Polygon | MultiPolygon, middle: np.ndarray) -> np.ndarray:
    """Mean products of the coordinates about the middle of an area, shape (2, 2), mm²."""
    total = np.zeros((2, 2))
    for part in shapely.get_parts(shapely.constrained_delaunay_triangles(area)):
        corners = shapely.get_coordinates(part)[:3] - middle
        whole = corners.sum(axis=0)
        # Of a triangle: (sum of the corners' products + product of their sum) / 12.
        total += part.area * (corners.T @ corners + np.outer(whole, whole)) / 12
    return total / area.area


def _fold(number: int, hinge: Hinge, unit_of: dict[str, int]) -> Seam:
    frames = np.zeros((2, 4, 4))
    frames[:, :3, :3] = hinge.frames
    frames[:, :3, 3] = hinge.origins
    frames[:, :3, 3] += hinge.length / 2 * frames[:, :3, 0]
    frames[:, 3, 3] = 1.0
    units = (unit_of[hinge.facets[0]], unit_of[hinge.facets[1]])
    # The mean square distance of a line from its middle is a twelfth of its square.
    across = np.hypot(hinge.length / np.sqrt(12), _LEAST_MM)
    sizes = np.array([_LEAST_MM, across, across])
    return Seam(hinge.name, "", units, frames, sizes, number, hinge.sign)


def _pruned(seams: Sequence[Seam], known: set[int]) -> list[Seam]:
    """Without what hangs on one fold or one area of glue: nothing there can fail to meet."""
    kept = list(seams)
    while True:
        count: dict[int, int] = {}
        for seam in kept:
            for unit in seam.units:
                count[unit] = count.get(unit, 0) + 1
        ends = {unit for unit, times in count.items() if times == 1 and unit not in known}
        if not ends:
            return kept
        kept = [seam for seam in kept if not ends.intersection(seam.units)]


class _Together:
    """Which things hang together."""

    def __init__(self, nodes: Iterable) -> None:
        self.parent = {node: node for node in nodes}

    def root(self, node: Any) -> Any:
        """What stands for all that hang together with it."""
        while self.parent[node] != node:
            self.parent[node] = self.parent[self.parent[node]]
            node = self.parent[node]
        return node

    def join(self, one: Any, two: Any) -> bool:
        """Put two together; False if they were."""
        one, two = self.root(one), self.root(two)
        self.parent[two] = one
        return one != two


def _groups(nodes: Iterable, pairs: Iterable) -> list[list]:
    nodes = list(nodes)
    together = _Together(nodes)
    for one, two in pairs:
        together.join(one, two)
    groups: dict = {}
    for node in nodes:
        groups.setdefault(together.root(node), []).append(node)
    return list(groups.values())
