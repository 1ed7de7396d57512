"""Where a number of a piece is seen on its flat sheets: between which points, at which corner.

As for a pull, nothing here knows any kind. A piece is built twice, once with the number a little
larger, and what is as long as the number says, and grows as it does, is what the number measures.
Where nothing is, the points tell it that move most.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
import shapely

from meshes.errors import DesignError
from meshes.sheet import Sheet
from meshes.spread import Spread

from .material import ring
from .numbers import Number
from .sketch import Sketch

# By how much a number is changed, mm, degrees or plain: small, so that curves keep their points.
_STEP = {"length": 1e-3, "angle": 1e-3, "number": 1e-5}
# A measure is what a number says within so many mm or degrees, and grows by as much within that
# share. Points that move farther for each mm or degree are not the same point any more. Our choice.
_SAME, _ALIKE, _TORN = 0.02, 0.02, 60.0
# Slits are a little wide, and sharp tips a little blunt: then within so many mm, or that share.
_NEARLY, _SHARE = 0.12, 0.02
# Outlines with more corners are curves, of which only the outermost points count. Our choice.
_FEW = 24
_MOST_ARROWS = 8
# Lines that meet farther from themselves than so many times their length meet nowhere in sight.
_FAR_OFF = 2.0
# What lies outermost on each side, of two that lie equally far the one that is named second.
_OUTERMOST = {
    "right foot": (1, -1e-6),
    "right top": (1, 1e-6),
    "top right": (1e-6, 1),
    "top left": (-1e-6, 1),
    "left top": (-1, 1e-6),
    "left foot": (-1, -1e-6),
    "foot left": (-1e-6, -1),
    "foot right": (1e-6, -1),
}
_STILL = 1e-3

# A little way up a sheet, mm.
_UP = (0.0, 10.0)

Label = tuple[str, ...]


@dataclass(frozen=True)
class FlatSheet:
    """A flat sheet, or what a piece covers of what it stands on.

    Parameters
    ----------
    piece, name : of the sheet; that of the host where it shows what is glued down.
    facets : outlines, shape (n, 2) each, mm; holes among them.
    folds : start and end, shape (2, 2), mm, and whether it is a mountain (1) or a valley (-1).
    under : outlines of the host, of which the facets cover a part.
    points : by what they are, shape (2,), mm.
    lines : between which of them something straight runs: edges and folds.
    """

    piece: str
    name: str
    facets: tuple[np.ndarray, ...]
    folds: tuple[tuple[np.ndarray, int], ...]
    under: tuple[np.ndarray, ...] = ()
    points: dict[Label, np.ndarray] = field(default_factory=dict)
    lines: tuple[tuple[Label, Label], ...] = ()


@dataclass(frozen=True)
class Mark:
    """Where a number is seen.

    Parameters
    ----------
    figure : which of the figures.
    kind : a length between two points, an angle at the second of three, or arrows: pairs of a point
        and its way.
    points : shape (n, 2), mm.
    """

    figure: int
    kind: Literal["length", "angle", "arrows"]
    points: np.ndarray


def figures(spread: Spread, piece: str) -> list[FlatSheet]:
    """The sheets of a piece, then what it is glued to."""
    built = spread.built[piece]
    return [
        *(_sheet(sheet) for sheet in built.sheets),
        *_grounds(spread, piece),
    ]


def marks(sketch: Sketch, piece: str) -> dict[tuple[str | int, ...], Mark]:
    """The marks of the numbers of a piece that show on its sheets, but for corners, by path."""
    names = frozenset([piece, *sketch.hosts(piece)])
    before = figures(sketch.spread, piece)
    found = {}
    for number in sketch.numbers(piece):
        if number.value is None or number.path[:2] != ("pieces", sketch.makers[piece]):
            continue
        if all(isinstance(key, int) for key in number.path[-2:]):
            continue  # a corner among many, which no form has
        step = _STEP[number.bounds.what]
        try:
            after = figures(sketch.part(names, {number.path: number.value + step}), piece)
        except DesignError:  # it is as large as it can be
            continue
        mark = _mark(sketch, number, before, after, step)
        if mark is not None:
            found[number.path] = mark
    return found


def _sheet(sheet: Sheet) -> FlatSheet:
    points: dict[Label, np.ndarray] = {("origin",): np.zeros(2)}
    lines: list[tuple[Label, Label]] = []
    for crossing in sheet.crossings:
        start, end = (("fold", crossing.fold.name, end) for end in ("start", "end"))
        points |= {start: np.array(crossing.fold.start), end: np.array(crossing.fold.end)}
        lines.append((start, end))
    for facet in sheet.facets:
        own, edges = _corners(facet.polygon, facet.name)
        points |= own
        lines += edges
    facets = tuple(line for facet in sheet.facets for line in _rings(facet.polygon))
    folds = tuple((np.array([c.fold.start, c.fold.end]), int(c.fold.sign)) for c in sheet.crossings)
    return FlatSheet(sheet.piece, sheet.name, facets, folds, (), points, tuple(lines))


def _grounds(spread: Spread, piece: str) -> Iterator[FlatSheet]:
    """For each sheet that a piece is glued to: its outline, with what is glued to it."""
    sheets = {f"{s.piece}.{facet.name}": s for s in spread.sheets for facet in s.facets}
    glued: dict[int, list[tuple[str, np.ndarray, shapely.Polygon]]] = {}
    hosts: dict[int, Sheet] = {}
    for join in spread.built[piece].joins:
        host, own = sheets[join.host], sheets[join.facet]
        if host.piece == piece:
            continue
        polygon = own.facet(join.facet.partition(".")[2]).polygon
        hosts[id(host)] = host
        glued.setdefault(id(host), []).append(
            (join.facet, join.placement.apply([(0.0, 0.0), _UP]), join.placement.polygon(polygon))
        )
    for key, host in hosts.items():
        under = _sheet(host)
        points = {k: v for k, v in under.points.items() if k[0] in ("origin", "fold")}
        lines = [line for line in under.lines if line[0][0] == "fold"]
        # A mark that says which way is up on the host, for what is turned.
        points[("up",)] = np.array(_UP)
        lines.append((("origin",), ("up",)))
        for name, (origin, up), polygon in glued[key]:
            own_points, edges = _corners(polygon, name)
            points |= {**own_points, ("origin", name): origin, ("up", name): up}
            lines += [*edges, (("origin", name), ("up", name))]
        facets = tuple(line for _, _, polygon in glued[key] for line in _rings(polygon))
        yield FlatSheet(
            host.piece, host.name, facets, under.folds, under.facets, points, tuple(lines)
        )


def _rings(polygon: shapely.Polygon) -> Iterator[np.ndarray]:
    for line in (polygon.exterior, *polygon.interiors):
        yield ring(shapely.Polygon(line))


def _corners(
    polygon: shapely.Polygon, name: str
) -> tuple[dict[Label, np.ndarray], list[tuple[Label, Label]]]:
    """Points of an outline that can be known again, and its straight edges."""
    points: dict[Label, np.ndarray] = {}
    lines: list[tuple[Label, Label]] = []
    for k, line in enumerate(_rings(polygon)):
        own = (name, str(k))
        points |= {
            ("outermost", *own, side): line[int(np.argmax(line @ way))]
            for side, way in _OUTERMOST.items()
        }
        points[("middle", *own)] = (line.min(axis=0) + line.max(axis=0)) / 2
        if len(line) <= _FEW:
            corners: list[Label] = [("corner", *own, str(c)) for c in range(len(line))]
            points |= dict(zip(corners, line, strict=True))
            lines += zip(corners, corners[1:] + corners[:1], strict=True)
    return points, lines


def _mark(
    sketch: Sketch,
    number: Number,
    before: Sequence[FlatSheet],
    after: Sequence[FlatSheet],
    step: float,
) -> Mark | None:
    """Where a number is seen, on the first figure that shows it; else what moves most."""
    pairs = list(zip(before, after, strict=False))
    scale = sketch.units.mm if number.bounds.what == "length" else 1.0
    value, step = (number.value or 0.0) * scale, step * scale
    known = [_Known.of(old, new, step) for old, new in pairs]
    for k, one in enumerate(known):
        if number.bounds.what == "length":
            for same in (_SAME, _NEARLY, _SHARE * abs(value)):
                if (found := one.length(value, same)) is not None:
                    return Mark(k, "length", found)
        if number.bounds.what == "angle" and (found := one.angle(value)) is not None:
            return Mark(k, "angle", found)
    for k, one in enumerate(known):
        if len(arrows := one.arrows()):
            return Mark(k, "arrows", arrows)
    return None


@dataclass(frozen=True)
class _Known:
    """Points of a figure before and after, and lines between them by their numbers.

    Parameters
    ----------
    ways : how far each point goes for each mm or degree, shape (n, 2).
    """

    points: np.ndarray
    ways: np.ndarray
    lines: np.ndarray

    @classmethod
    def of(cls, old: FlatSheet, new: FlatSheet, step: float) -> _Known:
        """What two builds have in common."""
        labels = [
            label
            for label, point in old.points.items()
            if label in new.points and np.linalg.norm(new.points[label] - point) < _TORN * step
        ]
        number = {label: k for k, label in enumerate(labels)}
        points = np.array([old.points[label] for label in labels]).reshape(-1, 2)
        later = np.array([new.points[label] for label in labels]).reshape(-1, 2)
        lines = [(number[a], number[b]) for a, b in old.lines if a in number and b in number]
        return cls(points, (later - points) / step, np.array(lines, int).reshape(-1, 2))

    def length(self, value: float, same: float) -> np.ndarray | None:
        """Two points as far apart as a number says, and drifting apart as it grows."""
        apart = self.points[None] - self.points[:, None]
        drift = self.ways[None] - self.ways[:, None]
        far = np.linalg.norm(apart, axis=2)
        with np.errstate(invalid="ignore", divide="ignore"):
            along = (apart * drift).sum(axis=2) / far
        straight = np.zeros(far.shape, bool)
        straight[tuple(self.lines.T)] = True
        fits = _fits(far - abs(value), along, 1.0 if value >= 0 else -1.0, same)
        for chosen in (fits & straight, fits):
            if chosen.any():
                return self.points[list(self._plainest(chosen, apart))]
        return self._across(value, same) if len(self.lines) else None

    def _plainest(self, chosen: np.ndarray, apart: np.ndarray) -> tuple[int, int]:
        """Of several pairs, one that runs along x or y."""
        slant = np.abs(apart).min(axis=2)
        one, two = np.unravel_index(np.argmin(np.where(chosen, slant, np.inf)), chosen.shape)
        return int(one), int(two)

    def _across(self, value: float, same: float) -> np.ndarray | None:
        """A point as far from a line, or as far along x or y from a point, as a number says."""
        start, end = self.points[self.lines.T]
        way = end - start
        long = np.linalg.norm(way, axis=1)
        sound = long > 1e-6
        normal = (way[:, ::-1] * (-1, 1))[sound] / long[sound, None]
        start, first = start[sound], self.lines[sound, 0]
        away = ((self.points[:, None] - start) * normal).sum(axis=2)
        # To first order; lines that turn as well would be angles.
        drift = ((self.ways[:, None] - self.ways[first]) * normal).sum(axis=2)
        sign = np.where(away < 0, -1.0, 1.0) * (1.0 if value >= 0 else -1.0)
        fits = _fits(np.abs(away) - abs(value), drift * sign, 1.0, same)
        if fits.any():
            k, line = map(int, np.argwhere(fits)[0])
            return np.array([self.points[k] - away[k, line] * normal[line], self.points[k]])
        for axis in (0, 1):
            apart = self.points[None, :, axis] - self.points[:, None, axis]
            drift = self.ways[None, :, axis] - self.ways[:, None, axis]
            fits = _fits(apart - value, drift, 1.0, same)
            if fits.any():
                k, other = map(int, np.argwhere(fits)[0])
                base = self.points[other].copy()
                base[axis] = self.points[k, axis]
                return np.array([base, self.points[other]])
        return None

    def angle(self, value: float) -> np.ndarray | None:
        """The corner of two lines that stand at an angle, in degrees, and turn apart with it."""
        if len(self.lines) < 2:
            return None
        start, end = self.points[self.lines.T]
        way = end - start
        drift = self.ways[self.lines[:, 1]] - self.ways[self.lines[:, 0]]
        square = (way**2).sum(axis=1)
        with np.errstate(invalid="ignore", divide="ignore"):
            turn = np.degrees((way[:, 0] * drift[:, 1] - way[:, 1] * drift[:, 0]) / square)
        now = np.degrees(np.arctan2(way[:, 1], way[:, 0]))
        between, apart = now[None] - now[:, None], turn[None] - turn[:, None]
        best: tuple[float, np.ndarray] | None = None
        for flip in (0.0, 180.0):
            off = (between + flip - value + 180) % 360 - 180
            for one, two in np.argwhere(_fits(off, apart, 1.0, _SAME)):
                found = self._corner(int(one), int(two))
                if found is not None and (best is None or found[0] < best[0]):
                    best = found
        return None if best is None else best[1]

    def _corner(self, one: int, two: int) -> tuple[float, np.ndarray] | None:
        """Where two lines meet, with a point on both; how far that is from the lines themselves."""
        (a, b), (c, d) = self.points[self.lines[one]], self.points[self.lines[two]]
        matrix = np.column_stack([b - a, c - d])
        if abs(np.linalg.det(matrix)) < 1e-9:
            return None
        share = np.linalg.solve(matrix, c - a)
        corner = a + share[0] * (b - a)
        off = sum(float(np.abs(np.clip(s, 0, 1) - s)) for s in share)
        if off > _FAR_OFF:
            # They meet far off: the angle is seen where the shorter line begins.
            (corner, end), way = min((((a, b), d - c), ((c, d), b - a)), key=_length_of)
            return off, np.array([corner + way, corner, end])
        ends = [
            max(pair, key=lambda point: float(np.linalg.norm(point - corner)))
            for pair in ((a, b), (c, d))
        ]
        arms = [end - corner for end in ends]
        long = [float(np.linalg.norm(arm)) for arm in arms]
        ends = [corner + arm * min(long) / far for arm, far in zip(arms, long, strict=True)]
        return off, np.array([ends[0], corner, ends[1]])

    def arrows(self) -> np.ndarray:
        """Points that go farthest, each with where it would be after a little more, (2 n, 2)."""
        speeds = np.linalg.norm(self.ways, axis=1)
        if not len(speeds) or speeds.max() < _STILL:
            return np.zeros((0, 2))
        order = np.argsort(-speeds, kind="stable")
        order = order[speeds[order] > 0.3 * speeds.max()][:_MOST_ARROWS]
        ways = self.ways[order] / speeds.max()
        return np.stack([self.points[order], self.points[order] + ways], axis=1).reshape(-1, 2)


def _length_of(line: tuple[tuple[np.ndarray, np.ndarray], np.ndarray]) -> float:
    (start, end), _ = line
    return float(np.linalg.norm(end - start))


def _fits(off: np.ndarray, rates: np.ndarray, rate: float, same: float) -> np.ndarray:
    """Where something is about as long as a number says and grows as it does."""
    result: np.ndarray = (np.abs(off) < same) & (np.abs(rates - rate) < _ALIKE)
    return result
