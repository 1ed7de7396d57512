"""How far folds and edges move when facets lie off their planes.

At a fold of angle phi both facets offset by h meet h tan(phi / 2) farther out: parallels of two
lines that meet at phi meet on the bisector. A rectangular tube round another so gets sides as long
as the outer sides of the inner one, plus its own paper. A fold that shuts over its layers needs the
half circle round them, pi h, the longest that a parallel curve at a distance h can be longer at one
corner (Steiner's formula: a closed convex curve's parallel is longer by 2 pi h). So each side gets
h tan(phi / 2), at most h pi / 2: it is never less than the arc phi h / 2. Where only one of two
walls at a corner is off its plane, the other one ends there: it changes by the whole offset.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from shapely.geometry import LineString

from meshes.linkage import Linkage
from meshes.motion.result import Motion
from meshes.sheet import Crossing, Join, Sheet, Vector

from .layers import RaisedFacet, on_line
from .nests import CORNER_DEG, PLAY_MM
from .planes import Plane

_LEAST_MM = 1e-6  # our choice
_EDGE_MM = 1.0  # shorter edges stay: our choice


@dataclass(frozen=True)
class ShiftedLine:
    """A fold or an edge of a facet that moves away from it by `by`, mm; into it if negative."""

    facet: str
    start: Vector
    end: Vector
    out: Vector
    by: float


class Angles:
    """Fold angles over the motion, radians, mountain positive."""

    def __init__(self, linkage: Linkage, motion: Motion) -> None:
        solved = motion.angles[motion.solved]
        self._found = {h.name: solved[:, k] for k, h in enumerate(linkage.hinges)}

    def of(self, sheet: Sheet, crossing: Crossing) -> np.ndarray:
        """Angles of a fold at all openings; zero for one that can't move."""
        return self._found.get(f"{sheet.piece}.{crossing.fold.name}", np.zeros(1))


def mitre(angle: np.ndarray | float) -> np.ndarray:
    """How much longer each side of a fold gets, for an offset of 1 mm."""
    size = np.minimum(np.tan(np.minimum(np.abs(angle), 3.0) / 2), np.pi / 2)
    return np.asarray(np.sign(angle) * size)


def fold_lines(
    sheet: Sheet, layers: Mapping[str, RaisedFacet], angles: Angles
) -> Iterator[ShiftedLine]:
    """Both sides of every fold that moves, mm."""
    for crossing in sheet.crossings:
        one, two = (layers.get(f"{sheet.piece}.{n}") for n in (crossing.left, crossing.right))
        if one is None and two is None:
            continue
        left, right = _moves(one, two, angles.of(sheet, crossing))
        a = np.subtract(crossing.fold.end, crossing.fold.start) / crossing.fold.length
        out = np.array([a[1], -a[0]])
        for name, by, way in ((crossing.left, left, out), (crossing.right, right, -out)):
            yield ShiftedLine(name, crossing.fold.start, crossing.fold.end, _vector(way), by)


def _moves(
    one: RaisedFacet | None, two: RaisedFacet | None, angles: np.ndarray
) -> tuple[float, float]:
    first, second = (0.0 if layer is None else layer.offset for layer in (one, two))
    common = min((first, second), key=abs) if first * second > 0 else 0.0
    loose = any(layer is not None and layer.loose for layer in (one, two))
    wide = float(angles[-1])
    by = float(common * mitre(wide))
    if by >= 0 and not loose:
        # Round a fold there must be enough of it when that is shut the farthest.
        by = float((common * mitre(angles)).max())
    if None in (one, two) and "round" in (one and one.why, two and two.why):
        # What is free beside wrapped paper goes along with it.
        return 0.0, 0.0
    if not CORNER_DEG[0] <= abs(np.degrees(wide)) <= CORNER_DEG[1]:
        return by, by
    way = float(np.sign(wide))
    return by + way * (second - common), by + way * (first - common)


def seam_lines(
    sheet: Sheet, joins: Sequence[Join], layers: Mapping[str, RaisedFacet], angles: Angles
) -> Iterator[ShiftedLine]:
    """Edges that end at the corner where a sheet is closed on itself go with that corner, mm."""
    own = {f"{sheet.piece}.{facet.name}" for facet in sheet.facets}
    for join in [j for j in joins if {j.facet, j.host} <= own]:
        name, host = (side.partition(".")[2] for side in (join.facet, join.host))
        for crossing in sheet.crossings:
            if name not in (crossing.left, crossing.right):
                continue
            beyond = crossing.right if crossing.left == name else crossing.left
            wall = layers.get(f"{sheet.piece}.{beyond}")
            if wall is None:
                continue
            line = LineString(join.placement.apply([crossing.fold.start, crossing.fold.end]))
            for start, end, out in edges(sheet, host):
                if on_line(np.array([start, end]), line):
                    way = float(np.sign(angles.of(sheet, crossing)[-1]))
                    yield ShiftedLine(host, start, end, out, way * wall.offset)


def under_lines(
    sheet: Sheet, inner: set[str], where: Mapping[str, Plane], others: Mapping[str, Sheet]
) -> Iterator[ShiftedLine]:
    """Edges of an inner sheet that end under paper of what it is in: they stay under it.

    Parameters
    ----------
    inner : pieces that it is in.
    others : sheets by id of their facets.
    """
    for facet in sheet.facets:
        mine = where[f"{sheet.piece}.{facet.name}"]
        for start, end, out in edges(sheet, facet.name):
            ends = mine.world(mine.placement.apply([start, end]))
            middle = ends.mean(axis=0)
            for name, other in others.items():
                if other.piece not in inner:
                    continue
                cover = where[name]
                if abs(cover.normal @ mine.normal) > 0.1:
                    continue
                local = cover.local(np.vstack([ends, middle]))
                need = other.paper.caliper / 2 + PLAY_MM
                flat = LineString(local[:2, :2])
                if np.abs(local[:2, 2]).max() < need and cover.shape.buffer(0.1).covers(flat):
                    yield ShiftedLine(
                        facet.name, start, end, out, float(np.abs(local[2, 2]) - need)
                    )


def edges(sheet: Sheet, facet: str) -> Iterator[tuple[Vector, Vector, Vector]]:
    """Straight edges of a facet that are cut, with the way out of it."""
    ring = np.asarray(sheet.facet(facet).polygon.exterior.coords)
    folds = [
        LineString([c.fold.start, c.fold.end]).buffer(1e-4)
        for c in sheet.crossings
        if facet in (c.left, c.right)
    ]
    for start, end in pairwise(ring):
        edge = LineString([start, end])
        if edge.length < _EDGE_MM or any(fold.covers(edge) for fold in folds):
            continue
        a = (end - start) / edge.length
        # Outer rings run counter-clockwise, with the facet on their left.
        yield _vector(start), _vector(end), (float(a[1]), float(-a[0]))


def strongest(lines: Sequence[ShiftedLine]) -> list[ShiftedLine]:
    """Each line once, with the largest move that is asked of it; those that stay are left out."""
    found: dict[tuple[str, Vector, Vector], ShiftedLine] = {}
    # Rounded, so that edges in one line, which a motion has put there, stay in one line.
    for line in (replace(line, by=round(line.by, 6)) for line in lines):
        key = (line.facet, min(line.start, line.end), max(line.start, line.end))
        if key not in found or abs(line.by) > abs(found[key].by):
            found[key] = line
    return [line for line in found.values() if abs(line.by) > _LEAST_MM]


def _vector(point: np.ndarray) -> Vector:
    return (float(point[0]), float(point[1]))
