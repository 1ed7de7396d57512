"""A sheet with some of its folds and edges moved, cut anew along its folds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from meshes.sheet import SNAP_MM, Crossing, Curl, Facet, Fold, Sheet, cut

from .shifts import ShiftedLine

_ON_MM = 1e-5  # our choice
_SAME_MM = 1e-9  # our choice
# Share of a facet that must be left: our choice.
LEAST_LEFT = 0.5


class CannotMove(ValueError):
    """Folds round a corner inside the sheet that can't all move; the text says why."""


@dataclass(frozen=True)
class Reshaped:
    """The sheet, and how far each of its facets went along with the folds before it, mm."""

    sheet: Sheet
    moves: Mapping[str, np.ndarray]


def reshaped(sheet: Sheet, lines: Sequence[ShiftedLine]) -> Reshaped:
    """Move lines; every facet keeps its shape but for the strips beside them.

    Raises
    ------
    CannotMove
        If the facets hang together in a ring that would have to open, or make no sound sheet.
    """
    made = _Reshape(sheet, lines)
    outline, folds = made.outline(), [made.fold(crossing) for crossing in sheet.crossings]
    labels = {}
    for facet in sheet.facets:
        inside = made.left_of(facet).representative_point()
        if inside.is_empty:
            raise CannotMove(f"too little of {facet.name} would be left")
        x, y = np.array([inside.x, inside.y]) + made.moves[facet.name]
        labels[facet.name] = (float(x), float(y))
    try:
        facets, crossings = cut(outline, folds, labels)
    except ValueError as error:
        raise CannotMove(str(error)) from None
    for facet in sheet.facets:
        left = next((f.polygon.area for f in facets if f.name == facet.name), 0.0)
        if left < LEAST_LEFT * facet.polygon.area:
            raise CannotMove(f"too little of {facet.name} would be left")
    sides = [(c.fold.name, c.left, c.right) for c in sheet.crossings]
    if len(facets) != len(sheet.facets) or sides != [
        (c.fold.name, c.left, c.right) for c in crossings
    ]:
        raise CannotMove("its facets would not hang together as before")
    art = tuple(
        replace(item, placement=replace(item.placement, shift=made.at(item.placement.shift)))
        for item in sheet.art
    )
    curls = tuple(_moved(curl, made.moves[curl.facet]) for curl in sheet.curls)
    new = replace(
        sheet,
        curls=curls,
        facets=facets,
        crossings=crossings,
        art=art,
        uncut=shapely.orient_polygons(outline),
    )
    return Reshaped(new, made.moves)


def _moved(curl: Curl, move: np.ndarray) -> Curl:
    """A curl whose facet has gone along with its folds."""
    start, end = (np.add(point, move) for point in (curl.start, curl.end))
    return replace(
        curl,
        start=(float(start[0]), float(start[1])),
        end=(float(end[0]), float(end[1])),
    )


class _Reshape:
    def __init__(self, sheet: Sheet, lines: Sequence[ShiftedLine]) -> None:
        self.sheet, self.lines = sheet, tuple(lines)
        self.of: dict[str, list[ShiftedLine]] = {facet.name: [] for facet in sheet.facets}
        for line in lines:
            self.of[line.facet].append(line)
        self.moves = self._moves()

    def _side(self, facet: str, fold: Fold) -> float:
        """How far a fold moves away from a facet beside it, mm."""
        ends = {fold.start, fold.end}
        return sum(line.by for line in self.of[facet] if {line.start, line.end} == ends)

    def _moves(self) -> dict[str, np.ndarray]:
        first = max(self.sheet.facets, key=lambda facet: facet.polygon.area).name
        moves, queue = {first: np.zeros(2)}, [first]
        while queue:
            here = queue.pop(0)
            for crossing in [c for c in self.sheet.crossings if here in (c.left, c.right)]:
                there = crossing.right if crossing.left == here else crossing.left
                a = np.subtract(crossing.fold.end, crossing.fold.start) / crossing.fold.length
                out = np.array([a[1], -a[0]]) * (1 if there == crossing.right else -1)
                wide = sum(self._side(name, crossing.fold) for name in (here, there))
                move = moves[here] + wide * out
                if there not in moves:
                    moves[there] = move
                    queue.append(there)
                elif np.abs(moves[there] - move).max() > _SAME_MM:
                    raise CannotMove("its folds meet round slits or corners inside of it")
        return moves

    def left_of(self, facet: Facet) -> BaseGeometry:
        """What of a facet no line moves over."""
        strips = [
            LineString([line.start, line.end]).buffer(-line.by)
            for line in self.of[facet.name]
            if line.by < 0
        ]
        return facet.polygon.difference(shapely.union_all(strips))

    def at(self, point: tuple[float, float]) -> tuple[float, float]:
        """Where a point of the sheet goes, with the facet that it lies on or nearest to."""
        spot = Point(point)
        facet = min(self.sheet.facets, key=lambda facet: facet.polygon.distance(spot))
        x, y = np.asarray(point) + self.moves[facet.name]
        return float(x), float(y)

    def corner(self, facet: str, point: np.ndarray) -> np.ndarray:
        """Where a corner of a facet goes; it ends with a fold that got shorter."""
        moved = self._by_lines(facet, point)
        for crossing in [c for c in self.sheet.crossings if facet in (c.left, c.right)]:
            old, new = crossing.fold, self.fold(crossing)
            for was, now, way in ((old.start, new.start, 1), (old.end, new.end, -1)):
                a = way * np.subtract(old.end, old.start) / old.length
                if np.abs(was - point).max() < _ON_MM and (now - moved) @ a > _SAME_MM:
                    moved = np.asarray(now)
        return moved

    def _by_lines(self, facet: str, point: np.ndarray) -> np.ndarray:
        """Where a corner goes with its facet, and with the lines through it."""
        spot = Point(point)
        on = [li for li in self.of[facet] if LineString([li.start, li.end]).distance(spot) < _ON_MM]
        if not on:
            return np.asarray(point + self.moves[facet])
        ways = np.array([line.out for line in on])
        by, *_ = np.linalg.lstsq(ways, np.array([line.by for line in on]), rcond=1e-6)
        return np.asarray(point + self.moves[facet] + by)

    def fold(self, crossing: Crossing) -> Fold:
        """A fold, as long as both of its facets allow."""
        old = crossing.fold
        a = np.subtract(old.end, old.start) / old.length
        sides = (crossing.left, crossing.right)
        starts = [self._by_lines(side, np.array(old.start)) for side in sides]
        ends = [self._by_lines(side, np.array(old.end)) for side in sides]
        start, end = max(starts, key=lambda p: p @ a), min(ends, key=lambda p: p @ a)
        return replace(
            old, start=(float(start[0]), float(start[1])), end=(float(end[0]), float(end[1]))
        )

    def outline(self) -> Polygon:
        """The rings with all corners moved."""
        whole = self.sheet.outline
        rings = [self._ring(np.asarray(r.coords)) for r in (whole.exterior, *whole.interiors)]
        made = Polygon(rings[0], rings[1:])
        if not made.is_valid or made.area <= 0:
            raise CannotMove("its outline would cross itself")
        return made

    def _ring(self, ring: np.ndarray) -> list[np.ndarray]:
        corners = self._with_fold_ends(ring)
        facets = [
            self._facet((one + two) / 2)
            for one, two in zip(corners, [*corners[1:], corners[0]], strict=True)
        ]
        found: list[np.ndarray] = []
        for k, corner in enumerate(corners):
            for facet in dict.fromkeys((facets[k - 1], facets[k])):
                if self._passed(facet, corner):
                    continue
                moved = self.corner(facet, corner)
                if not found or np.abs(found[-1] - moved).max() > SNAP_MM:
                    found.append(moved)
        return found

    def _with_fold_ends(self, ring: np.ndarray) -> list[np.ndarray]:
        """The corners of a ring, and the ends of folds that lie between them."""
        ends = np.array([e for c in self.sheet.crossings for e in (c.fold.start, c.fold.end)])
        found = []
        for one, two in pairwise(ring):
            found.append(one)
            step = two - one
            long = float(np.linalg.norm(step))
            if not len(ends) or long < _ON_MM:
                continue
            far = (ends - one) @ step / long
            off = np.abs((ends - one) @ np.array([-step[1], step[0]]) / long)
            inside = (off < _ON_MM) & (far > _ON_MM) & (far < long - _ON_MM)
            last = -1.0
            for distance in np.sort(far[inside]):
                if distance - last > _ON_MM:
                    found.append(one + step * distance / long)
                    last = distance
        return found

    def _facet(self, point: np.ndarray) -> str:
        """The facet on whose edge a point of the outline lies."""
        spot = Point(point)
        return min(self.sheet.facets, key=lambda facet: facet.polygon.boundary.distance(spot)).name

    def _passed(self, facet: str, corner: np.ndarray) -> bool:
        """Whether a line that moves into a facet takes one of its corners away."""
        for line in self.of[facet]:
            if line.by >= 0:
                continue
            start, end = np.asarray(line.start), np.asarray(line.end)
            deep = float((start - corner) @ np.asarray(line.out))
            along = (end - start) / np.linalg.norm(end - start)
            far = float((corner - start) @ along)
            beside = -_ON_MM < far < float(np.linalg.norm(end - start)) + _ON_MM
            if _ON_MM < deep < -line.by + _ON_MM and beside:
                return True
        return False
