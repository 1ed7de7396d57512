"""Whether hands can carry out a building order: the paper is put together again, step by step.

Nothing here knows how the order was found. At each step the paper that is there is taken as it
hangs together by folds and glue. Paper on a fold that nothing else holds can be swung out of the
way, so only what hangs in the same closed chains as a glue area can hide it; that is looked at in
the poses it takes while the notebook moves. A way for the hand is a straight one on which a finger
meets nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from meshes.linkage import Linkage, Part
from meshes.motion.result import Motion
from meshes.sheet import Join, Sheet

from .chains import chains
from .step import Step, kept_flat

Reason = Literal["missing", "twice", "covered", "hidden", "not threaded", "stuck", "unpressed"]

# Glue that is covered less than this is glued all the same: common practice, no source.
_TOUCH_MM2 = 1.0
# Poses flatter than this tell nothing: all paper lies on all other.
_OPEN_ENOUGH = float(np.radians(15.0))
# A share of the glue that must be seen on one straight way.
_SEEN = 0.6
# Ways are looked at from straight on to nearly along the paper, all round.
_TILTS_DEG, _ROUND = (0.0, 30.0, 55.0, 75.0), 8
_START_MM = 0.3
# A finger, or the tweezers that bring a part in: so thick, but for the tip. Common practice, no
# source.
_FINGER_MM, _TIP_MM, _AROUND = 10.0, 8.0, 8
# A flat layer's slit is this much larger than what passes it, at least (as cut, without play).
_PLAY_MM = 0.05
_IN_PLANE_MM = 1.0


@dataclass(frozen=True)
class Fault:
    """A step that hands can't do.

    Parameters
    ----------
    step : index of the step.
    reason : ``missing`` (paper that is not made yet, or glue that never comes), ``twice`` (glued
        before), ``covered`` (paper is glued over the place already), ``hidden`` (no way for a hand
        to it), ``not threaded`` (never passed through its slit), ``stuck`` (the end that has to
        pass a slit is glued already, or too wide), ``unpressed`` (can neither be pinched nor
        folded flat).
    sheets : indices of the sheets concerned, what is worked on first.
    join : the glue, -1 where there is none.
    """

    step: int
    reason: Reason
    sheets: tuple[int, ...]
    join: int = -1


@dataclass(frozen=True)
class Passage:
    """A sheet that passes a hole of another in the finished spread.

    Parameters
    ----------
    through, holed : indices of the sheets.
    ends : the joins of `through` on each side of the hole's sheet.
    widths : how wide each of both ends is along the slit, mm.
    slit : length of the hole, mm.
    """

    through: int
    holed: int
    ends: tuple[frozenset[int], frozenset[int]]
    widths: tuple[float, float]
    slit: float


@dataclass
class _Bench:
    """What is made, glued and threaded so far."""

    made: set[int] = field(default_factory=lambda: {0})
    glued: set[int] = field(default_factory=set)
    threaded: set[tuple[int, int]] = field(default_factory=set)
    laid: set[int] = field(default_factory=set)


def faults(
    steps: Sequence[Step],
    sheets: Sequence[Sheet],
    joins: Sequence[Join],
    linkage: Linkage,
    motion: Motion,
) -> tuple[Fault, ...]:
    """All steps of an order that can't be done, in their order; none if all of them can.

    Parameters
    ----------
    motion : of the finished spread, from closed to open.
    """
    return tuple(Proof(sheets, joins, linkage, motion).faults(steps))


class Proof:
    """A spread, asked whether it can be put together in an order."""

    def __init__(
        self, sheets: Sequence[Sheet], joins: Sequence[Join], linkage: Linkage, motion: Motion
    ) -> None:
        self.sheets, self.joins, self.linkage = tuple(sheets), tuple(joins), linkage
        self.parts: dict[str, tuple[int, Part]] = {
            part.id: (k, part) for k, body in enumerate(linkage.bodies) for part in body.parts
        }
        self.shapes = {name: part.polygon for name, (_, part) in self.parts.items()}
        self.corners = {
            name: np.asarray(shape.exterior.coords) for name, shape in self.shapes.items()
        }
        self.owner = {f"{s.piece}.{f.name}": k for k, s in enumerate(sheets) for f in s.facets}
        keep = np.flatnonzero(motion.solved)
        self.openings = motion.openings[keep]
        self.rotations, self.translations = motion.rotations[keep], motion.translations[keep]
        self.kept_flat = kept_flat(sheets, joins)
        self.creases = [
            (f"{s.piece}.{c.left}", f"{s.piece}.{c.right}") for s in sheets for c in s.crossings
        ]
        # The last state that was asked for, and its closed chains: most are asked several times.
        self._state: tuple[frozenset[int], dict[str, str]] = (frozenset(), self._together(()))
        self._chains: tuple[dict[str, str], dict[str, int]] = ({}, {})
        self.passages = list(self._passages())

    def faults(self, steps: Sequence[Step]) -> Iterator[Fault]:
        """The steps that can't be done."""
        bench = _Bench()
        for number, step in enumerate(steps):
            if step.action in ("make", "stick"):
                bench.made |= set(step.sheets)
            yield from self._absent(number, step, bench)
            if step.action == "thread":
                yield from self._thread(number, step, bench)
            if step.action == "lay":
                bench.laid |= set(step.sheets)
            for batch in self.batches(step):
                yield from self._glue(number, batch, bench)
                bench.glued |= set(batch)
        yield from self._left_over(len(steps) - 1, bench)

    @staticmethod
    def batches(step: Step) -> list[tuple[int, ...]]:
        """Joins of a step that are glued at the same time: flat pieces go on one by one."""
        return [(j,) for j in step.joins] if step.action == "stick" else [step.joins]

    def _absent(self, number: int, step: Step, bench: _Bench) -> Iterator[Fault]:
        used = set(step.sheets) | {self.owner[self.joins[j].host] for j in step.joins}
        away = sorted(used - bench.made)
        if away:
            yield Fault(number, "missing", tuple(away))

    def _left_over(self, last: int, bench: _Bench) -> Iterator[Fault]:
        for j in sorted(set(range(len(self.joins))) - bench.glued - self.kept_flat):
            yield Fault(last, "missing", (self.owner[self.joins[j].facet],), j)
        for found in self.passages:
            if (found.through, found.holed) not in bench.threaded:
                yield Fault(last, "not threaded", (found.through, found.holed))
        for drive in self.linkage.drives:
            if self.owner[drive.join.facet] not in bench.laid:
                yield Fault(last, "missing", (self.owner[drive.join.facet],))

    # Glue.

    def _glue(self, number: int, batch: Sequence[int], bench: _Bench) -> Iterator[Fault]:
        for j in batch:
            facet, host = self.owner[self.joins[j].facet], self.owner[self.joins[j].host]
            if j in bench.glued:
                yield Fault(number, "twice", (facet,), j)
            over = self._over(j, bench.glued)
            if over:
                yield Fault(number, "covered", (facet, *sorted(over)), j)
            elif not self.reaches(j, bench.glued):
                yield Fault(number, "hidden", (facet, host), j)
            elif not self._presses(j, bench.glued):
                yield Fault(number, "unpressed", (facet, host), j)

    def area(self, join: int) -> Polygon:
        """Where the facet of a join meets its host, in the plane of their body, mm."""
        one, two = self.shapes[self.joins[join].facet], self.shapes[self.joins[join].host]
        common = shapely.get_parts(one.intersection(two))
        parts = [p for p in common if isinstance(p, Polygon) and p.area > 1e-6]
        return max(parts, key=lambda p: p.area) if parts else one

    def _over(self, join: int, glued: Iterable[int]) -> set[int]:
        """Sheets that are glued to the host over the place, so that it would have to slip under."""
        facet, host = self.joins[join].facet, self.joins[join].host
        groups = self._groups(glued)
        there = [name for name, group in groups.items() if group == groups[host]]
        mine = [name for name, group in groups.items() if group == groups[facet]]
        if groups[host] == groups[facet]:
            return set()
        direction = self._direction(join)
        found = set()
        for other in there:
            height = self.parts[other][1].height
            for name in mine:
                lower = (height - self.parts[name][1].height) * direction > 1e-6
                above_host = (height - self.parts[host][1].height) * direction > 1e-6
                if (
                    lower
                    and above_host
                    and shapely.intersection(self.shapes[other], self.shapes[name]).area
                    > _TOUCH_MM2
                ):
                    found.add(self.owner[other])
        return found

    def _groups(self, glued: Iterable[int]) -> dict[str, str]:
        """For each facet the first of those that glue holds on it."""
        state = frozenset(glued)
        if self._state[0] != state:
            self._state = (state, self._together(state))
        return self._state[1]

    def _together(self, glued: Iterable[int]) -> dict[str, str]:
        parent = {name: name for name in self.parts}

        def root(name: str) -> str:
            while parent[name] != name:
                parent[name] = parent[parent[name]]
                name = parent[name]
            return name

        for j in glued:
            parent[root(self.joins[j].facet)] = root(self.joins[j].host)
        return {name: root(name) for name in parent}

    def _direction(self, join: int) -> float:
        """+1 if the facet lies over its host along z of their body, else -1."""
        return float(self.joins[join].side * self.parts[self.joins[join].host][1].placement.up)

    def reaches(self, join: int, glued: Iterable[int]) -> bool:
        """Whether a hand gets at both faces of a join in a state, to glue one and lay it on."""
        groups = self._groups(glued)
        direction = self._direction(join)
        return self._open(self.joins[join].facet, join, -direction, groups) and self._open(
            self.joins[join].host, join, direction, groups
        )

    def _open(self, facet: str, join: int, direction: float, groups: dict[str, str]) -> bool:
        """Whether there is a straight way to the area of a join from one side of a facet."""
        area = self.area(join)
        body, part = self.parts[facet]
        # Paper that lies on the host under the place takes the glue in its stead.
        on_it = groups.items() if facet == self.joins[join].facet else ()
        for name, group in on_it:
            if group == groups[facet] and name != facet:
                over = (self.parts[name][1].height - part.height) * direction > 1e-6
                if over and self.shapes[name].intersection(area).area > (1 - _SEEN) * area.area:
                    return False
        near = self._chained(facet, groups)
        blocking = [name for name in near if self.parts[name][0] != body]
        if not blocking:
            return True
        points = _samples(area)
        stages = [k for k, at in enumerate(self.openings) if at >= _OPEN_ENOUGH]
        return any(self._seen(points, body, direction, blocking, k) for k in reversed(stages))

    def _chained(self, facet: str, groups: dict[str, str]) -> list[str]:
        """Facets that can't be swung away from a facet: those in the same closed chains."""
        if self._chains[0] is not groups:
            self._chains = (groups, self._in_chains(groups))
        found = self._chains[1]
        return [name for name in groups if found[name] == found[facet]]

    def _in_chains(self, groups: dict[str, str]) -> dict[str, int]:
        """For each facet the number of its closed chain."""
        nodes = sorted(set(groups.values()))
        number = {name: k for k, name in enumerate(nodes)}
        edges = [(number[groups[left]], number[groups[right]]) for left, right in self.creases]
        chain = chains(len(nodes), edges)
        return {name: chain[number[group]] for name, group in groups.items()}

    def _seen(
        self, points: np.ndarray, body: int, direction: float, blocking: list[str], stage: int
    ) -> bool:
        rotation, shift = self.rotations[stage, body], self.translations[stage, body]
        starts = points @ rotation[:, :2].T + shift + rotation[:, 2] * direction * _START_MM
        ways = _ways() * (1.0, 1.0, direction) @ rotation.T
        blocking = [
            name for name in blocking if self._rises(name, rotation[:, 2] * direction, shift, stage)
        ]
        free = np.ones((len(ways), len(starts)), bool)
        for name in blocking:
            free &= ~self._met(name, stage, starts, ways, 0.0)
            if not (free.mean(axis=1) >= _SEEN).any():
                return False
        for k in np.flatnonzero(free.mean(axis=1) >= _SEEN):
            around = (starts[free[k]][:, None] + _beside(ways[k])).reshape(-1, 3)
            wide = np.ones(len(around), bool)
            for name in blocking:
                wide &= ~self._met(name, stage, around, ways[k : k + 1], _TIP_MM)[0]
            clear = wide.reshape(-1, _AROUND).all(axis=1)
            if clear.sum() >= _SEEN * len(starts):
                return True
        return False

    def _rises(self, name: str, up: np.ndarray, foot: np.ndarray, stage: int) -> bool:
        """Whether any of a facet lies over a plane: every way leads up from it."""
        body, _ = self.parts[name]
        corners = self.corners[name] @ self.rotations[stage, body][:, :2].T
        return bool(((corners + self.translations[stage, body] - foot) @ up).max() > 0.0)

    def _met(
        self, name: str, stage: int, starts: np.ndarray, ways: np.ndarray, least: float
    ) -> np.ndarray:
        """Which rays meet a facet farther away than `least` mm, shape (ways, starts)."""
        body, _ = self.parts[name]
        rotation, shift = self.rotations[stage, body], self.translations[stage, body]
        local, along = (starts - shift) @ rotation, ways @ rotation
        with np.errstate(divide="ignore", invalid="ignore"):
            t = -local[None, :, 2] / along[:, None, 2]
        ahead = (t > max(least, 1e-6)) & np.isfinite(t)
        way, start = np.nonzero(ahead)
        points = local[start, :2] + t[ahead][:, None] * along[way, :2]
        met = np.zeros(ahead.shape, bool)
        met[ahead] = shapely.contains_xy(self.shapes[name], points[:, 0], points[:, 1])
        return met

    def _presses(self, join: int, glued: Iterable[int]) -> bool:
        """Whether both can be pressed together: folded flat, or between finger and thumb."""
        after = self._together({*glued, join})
        chain = self._in_chains(after)
        held = [name for name in after if chain[name] == chain[self.joins[join].facet]]
        flat = int(np.argmin(self.openings))
        normals = np.array([self.rotations[flat, self.parts[name][0]][:, 2] for name in held])
        if np.abs(np.abs(normals @ normals[0]) - 1.0).max() < 1e-3:
            return True
        direction = self._direction(join)
        before = self._groups(glued)
        return self._open(self.joins[join].facet, join, direction, before) and self._open(
            self.joins[join].host, join, -direction, before
        )

    # Slits.

    def _thread(self, number: int, step: Step, bench: _Bench) -> Iterator[Fault]:
        for sheet in step.sheets:
            mine = [
                found
                for found in self.passages
                if found.through == sheet and self.sheets[found.holed].piece == step.host
            ]
            for found in mine:
                if found.holed not in bench.made:
                    yield Fault(number, "missing", (found.holed,))
                elif not any(self._loose(found, end, bench.glued) for end in (0, 1)):
                    yield Fault(number, "stuck", (sheet, found.holed))
                bench.threaded.add((sheet, found.holed))

    def _loose(self, found: Passage, end: int, glued: Iterable[int]) -> bool:
        """Whether an end is free and slips through."""
        held = found.ends[end] & set(glued)
        return not held and found.widths[end] <= found.slit + _PLAY_MM

    def _passages(self) -> Iterator[Passage]:
        holed = [name for name in self.parts if self.shapes[name].interiors]
        for name in holed:
            near = self._near(name)
            for number in sorted({self.owner[other] for other in near}):
                if number not in (0, self.owner[name]):
                    yield from self._passage(number, name)

    def _near(self, holed: str) -> list[str]:
        """Facets that come near enough to a facet to pass its holes, by balls round both."""

        def ball(name: str, shape: Polygon) -> tuple[np.ndarray, float]:
            body, _ = self.parts[name]
            middle = shape.minimum_rotated_rectangle.centroid
            far = float(shape.hausdorff_distance(middle))
            at = self.rotations[:, body, :, :2] @ np.array([middle.x, middle.y])
            return at + self.translations[:, body], far

        holes = shapely.MultiPolygon([Polygon(ring) for ring in self.shapes[holed].interiors])
        middle, reach = ball(holed, holes)
        found = []
        for name, shape in self.shapes.items():
            other, far = ball(name, shape)
            if (np.linalg.norm(other - middle, axis=1) <= reach + far + _IN_PLANE_MM).any():
                found.append(name)
        return found

    def _passage(self, number: int, holed: str) -> Iterator[Passage]:
        sheet = self.sheets[number]
        names = [f"{sheet.piece}.{facet.name}" for facet in sheet.facets]
        holes = [Polygon(ring) for ring in self.shapes[holed].interiors]
        for stage in range(len(self.openings) - 1, -1, -1):
            lines = list(self._lines(sheet, names, holed, stage))
            for hole in holes if lines else ():
                for line in lines:
                    if line.intersection(hole).length > 0.5 * line.length:
                        yield self._ends(number, names, holed, line, stage)
                        return

    def _lines(
        self, sheet: Sheet, names: Sequence[str], holed: str, stage: int
    ) -> Iterator[LineString]:
        """The lines in which a sheet lies in or goes through the plane of another."""
        for crossing in sheet.crossings:
            sides = [f"{sheet.piece}.{side}" for side in (crossing.left, crossing.right)]
            body, part = self.parts[sides[0]]
            ends = part.placement.apply([crossing.fold.start, crossing.fold.end])
            local = self._seen_from(holed, body, np.column_stack([ends, np.zeros(2)]), stage)
            if np.abs(local[:, 2]).max() > _IN_PLANE_MM:
                continue
            over = [self._side(side, self.shapes[side], holed, stage) for side in sides]
            if over[0] * over[1] < 0:
                yield LineString(local[:, :2])
        for name in names:
            line = self._section(name, holed, stage)
            if line is not None:
                yield line

    def _section(self, name: str, holed: str, stage: int) -> LineString | None:
        """Where a facet goes through the plane of another, if it reaches far on both sides."""
        body, _ = self.parts[name]
        if body == self.parts[holed][0]:
            return None
        ring = self.corners[name]
        local = self._seen_from(holed, body, np.column_stack([ring, np.zeros(len(ring))]), stage)
        z = local[:, 2]
        if z.min() > -_IN_PLANE_MM or z.max() < _IN_PLANE_MM:
            return None
        at = np.flatnonzero(z[:-1] * z[1:] < 0)
        if len(at) < 2:
            return None
        share = (z[at] / (z[at] - z[at + 1]))[:, None]
        points = local[at, :2] * (1 - share) + local[at + 1, :2] * share
        return LineString(points[:2])

    def _seen_from(self, facet: str, body: int, points: np.ndarray, stage: int) -> np.ndarray:
        """Points (n, 3) of a body in the coordinates of a facet's body."""
        own, _ = self.parts[facet]
        world = points @ self.rotations[stage, body].T + self.translations[stage, body]
        moved: np.ndarray = (world - self.translations[stage, own]) @ self.rotations[stage, own]
        return moved

    def _side(self, name: str, area: Polygon, holed: str, stage: int) -> float:
        """+1 or -1: on which side of a facet's sheet an area of another lies, 0 if on neither."""
        body, part = self.parts[name]
        if body == self.parts[holed][0]:
            return float(np.sign(part.height - self.parts[holed][1].height))
        middle = area.representative_point()
        local = self._seen_from(holed, body, np.array([[middle.x, middle.y, 0.0]]), stage)
        return float(np.sign(local[0, 2]) if abs(local[0, 2]) > 0.1 else 0.0)

    def _ends(
        self, number: int, names: Sequence[str], holed: str, line: LineString, stage: int
    ) -> Passage:
        (x0, y0), (x1, y1) = line.coords[0], line.coords[-1]
        along = np.array([x1 - x0, y1 - y0]) / line.length
        hole = min(
            (Polygon(ring) for ring in self.shapes[holed].interiors),
            key=lambda one: one.distance(line.centroid),
        )
        reach = np.asarray(hole.exterior.coords) @ along
        ends, widths = [], []
        for sign in (1.0, -1.0):
            end = [n for n in names if self._side(n, self.shapes[n], holed, stage) * sign > 0]
            ends.append(
                frozenset(
                    j
                    for j, join in enumerate(self.joins)
                    for n in {join.facet, join.host} & set(names)
                    if self._side(n, self.area(j), holed, stage) * sign >= 0
                )
            )
            widths.append(max((self._width(n) for n in end), default=0.0))
        owner = self.owner[holed]
        slit = float(np.ptp(reach))
        return Passage(number, owner, (ends[0], ends[1]), (widths[0], widths[1]), slit)

    def _width(self, name: str) -> float:
        """The narrower extent of a facet, mm: turned, it passes a slit as long as that."""
        box = np.asarray(shapely.oriented_envelope(self.shapes[name]).exterior.coords)
        sides = np.linalg.norm(np.diff(box, axis=0), axis=1)
        return float(sides.min())


def _ways() -> np.ndarray:
    """Directions away from a face, z up, shape (n, 3)."""
    found = [(0.0, 0.0, 1.0)]
    for tilt in np.radians(_TILTS_DEG[1:]):
        for turn in np.arange(_ROUND) * 2 * np.pi / _ROUND:
            c, s = np.cos(turn), np.sin(turn)
            found.append((np.sin(tilt) * c, np.sin(tilt) * s, np.cos(tilt)))
    return np.array(found)


def _beside(way: np.ndarray) -> np.ndarray:
    """Offsets round a direction, half as far as a finger is thick, shape (n, 3), mm."""
    across = np.cross(way, np.eye(3)[int(np.argmin(np.abs(way)))])
    across /= np.linalg.norm(across)
    turns = np.arange(_AROUND) * 2 * np.pi / _AROUND
    round_it = np.outer(np.cos(turns), across) + np.outer(np.sin(turns), np.cross(way, across))
    return np.asarray(round_it * _FINGER_MM / 2)


def _samples(area: Polygon) -> np.ndarray:
    """Points all over an area, shape (n, 2), mm."""
    middle = area.representative_point()
    inner = area.buffer(-0.3 * float(shapely.maximum_inscribed_circle(area).length))
    ring = inner.exterior if isinstance(inner, Polygon) and not inner.is_empty else area.exterior
    around = [ring.interpolate(k / 8, normalized=True) for k in range(8)]
    return np.array([[p.x, p.y] for p in (middle, *around)])
