"""From a sheet to its drafting plan: a base line, then a few lines at each step."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import shapely

from meshes.errors import DesignError, Mistake
from preview.pattern.template import Template

from . import symmetry
from .linework import KINDS, Linework, chains, linework
from .plan import (
    Arc,
    BaseLine,
    Circle,
    DraftPlan,
    DraftRectangle,
    DraftStep,
    LineKind,
    MirrorAll,
    Operation,
    Point,
    Prick,
    Repeat,
    SmoothLine,
    Straight,
    rounded,
)
from .proof import WITHIN_MM, missed_by
from .strokes import CHORD_MM, StrokePart, circle, parts

# New points in one step, so that its picture stays clear. Our choice.
_MOST_POINTS = 8
# Base lines that are tried: along the longest folds and edges. Our choice.
_MOST_BASES = 8
# A base line is no shorter than this where it may be longer, mm. Our choice.
_LEAST_BASE_MM = 20.0
_SQUARE_MM = 0.02  # our choice: corners of a window that is called a rectangle
_KIND_TITLES: dict[LineKind, str] = {"cut": "Outline", "valley": "Folds", "mountain": "Folds"}


@dataclass(frozen=True)
class Drafted:
    """A plan that is proved, and by how much its sentences miss the sheet, mm."""

    plan: DraftPlan
    missed: float


def drafted(template: Template) -> Drafted:
    """How a sheet is drawn by hand, proved.

    Raises
    ------
    DesignError
        If no plan draws it within the bound.
    """
    lines = linework(template)
    worst = np.inf
    for tried in _tried(lines):
        missed = missed_by(tried.told, lines.moved(tried.matrix, tried.shift))
        if missed <= WITHIN_MM:
            return Drafted(tried, missed)
        worst = min(worst, missed)
    raise DesignError(
        [
            Mistake(
                "",
                f"{template.title} can't be told by rounded dimensions",
                piece=template.sheet.piece,
                found=f"lines that miss by {worst:.2f} mm",
                allowed=f"at most {WITHIN_MM:g} mm",
                advice="foldstage pattern, which prints it",
            )
        ]
    )


def _tried(lines: Linework) -> Iterator[DraftPlan]:
    """Plans from the shortest to the most careful one."""
    middle = _round_about(lines)
    if middle is not None:
        yield _DraftBench(lines.moved(np.eye(2), -middle), None).plan(np.eye(2), -middle)
    found = symmetry.find(lines)
    if found is not None:
        unit, matrix, shift = symmetry.framed(lines, found)
        yield _DraftBench(unit, found).plan(matrix, shift)
    matrix, shift = _base(lines)
    plain = lines.moved(matrix, shift)
    yield _DraftBench(plain, None).plan(matrix, shift)
    yield _DraftBench(plain, None, 0.4 * CHORD_MM, round_ones=False).plan(matrix, shift)


def _round_about(lines: Linework) -> np.ndarray | None:
    """The centre of a sheet that is bounded by a circle."""
    found = circle(chains(lines.cut)[0])
    return None if found is None else found[0]


def _base(lines: Linework) -> tuple[np.ndarray, np.ndarray]:
    """Matrix and shift of the frame in which the fewest different dimensions are told."""
    found: list[tuple[int, int, np.ndarray, np.ndarray]] = []
    for start, end in _bases(lines):
        way = (end - start) / np.linalg.norm(end - start)
        matrix = np.array([[way[0], way[1]], [-way[1], way[0]]])
        moved = lines.moved(matrix, -matrix @ start)
        left, bottom, _, top = moved.bounds
        # Most of the sheet lies above its base line.
        if -bottom > top:
            matrix = -matrix
            moved = lines.moved(matrix, -matrix @ start)
            left = moved.bounds[0]
        corners = _told_corners(moved)
        told = sum(len(np.unique(np.round(corners[:, k] - corners[0, k], 1))) for k in (0, 1))
        on_base = int((np.abs(corners[:, 1]) < 0.05).sum())
        shift = -matrix @ start - np.array([left, 0.0])
        found.append((told - on_base, len(found), matrix, shift))
    _, _, matrix, shift = min(found, key=lambda row: row[:2])
    return matrix, shift


def _told_corners(lines: Linework) -> np.ndarray:
    straight = [shapely.simplify(shape, CHORD_MM) for _, shape in lines]
    return shapely.get_coordinates(straight)


def _bases(lines: Linework) -> list[tuple[np.ndarray, np.ndarray]]:
    """Ends of folds and straight edges, longest folds first; else of the box around it."""
    edges: list[tuple[float, np.ndarray, np.ndarray]] = []
    for kind, shape in lines:
        for chain in chains(shape):
            steps = np.linalg.norm(np.diff(chain, axis=0), axis=1)
            more = 1.5 if kind != "cut" else 1.0
            edges += [(more * s, chain[k], chain[k + 1]) for k, s in enumerate(steps)]
    longest = sorted(edges, key=lambda edge: -round(edge[0], 3))[:_MOST_BASES]
    found = [(start, end) for far, start, end in longest if far >= _LEAST_BASE_MM]
    corners = np.asarray(shapely.minimum_rotated_rectangle(lines.cut).exterior.coords)
    sides = np.linalg.norm(np.diff(corners[:3], axis=0), axis=1)
    k = int(np.argmax(sides))
    middle = (corners[k + 2] - corners[k + 1]) / 2
    return found or [(corners[k] + middle, corners[k + 1] + middle)]


@dataclass
class _DraftBench:
    """Steps as they come together.

    Parameters
    ----------
    unit : the lines to draw, in the frame of the base line.
    found : what is made of them by mirroring and repeating.
    """

    unit: Linework
    found: symmetry.Symmetry | None
    chord: float = CHORD_MM
    round_ones: bool = True
    names: dict[tuple[float, float], str] = field(default_factory=dict)
    steps: list[DraftStep] = field(default_factory=list)
    waiting: list[Operation] = field(default_factory=list)

    def plan(self, matrix: np.ndarray, shift: np.ndarray) -> DraftPlan:
        """The plan of a sheet whose points come into the frame by a matrix and a shift."""
        length = max(rounded(self.unit.bounds[2]), 1.0)
        self.names = {(0.0, 0.0): "A", (length, 0.0): "B"}
        self.steps = [DraftStep("Base line", (BaseLine(length),))]
        for kind in KINDS:
            shape = dict(self.unit)[kind]
            for line in chains(shape):
                self._line(kind, line)
            self._close(_KIND_TITLES[kind])
        for hole in self.unit.holes:
            name, new = self._point(hole)
            self._add([*new, Prick(name)], "Fastener")
        self._close("Fastener")
        if self.found is not None and self.found.mirrored:
            self.steps.append(DraftStep("Mirror", (MirrorAll(),)))
        if self.found is not None and self.found.count > 1:
            self.steps.append(DraftStep("Repeat", (Repeat(self.found.count),)))
        return DraftPlan(tuple(self.steps), matrix, shift)

    def _line(self, kind: LineKind, line: np.ndarray) -> None:
        box = _rectangle(line)
        if box is not None:
            low, far = box
            name, new = self._point(low)
            self._add([*new, DraftRectangle(kind, name, *map(rounded, far))], _KIND_TITLES[kind])
            return
        for part in parts(line, self.chord, self.round_ones):
            for told in self._told(kind, part):
                self._add(told, _KIND_TITLES[kind])

    def _told(self, kind: LineKind, part: StrokePart) -> Iterator[list[Operation]]:
        """The operations of one part, in portions that fit one step."""
        if part.form == "circle":
            name, new = self._point(part.points[0])
            yield [*new, Circle(kind, name, rounded(part.radius))]
        elif part.form == "arc":
            assert part.centre is not None
            centre, new = self._point(part.centre)
            (start, first), (end, last) = map(self._point, part.points)
            yield [
                *new,
                *first,
                *last,
                Arc(kind, start, end, centre, rounded(part.radius), part.clockwise),
            ]
        else:
            for portion in _portions(part.points):
                named = [self._point(point) for point in portion]
                names = _unrepeated([name for name, _ in named])
                # What is shorter than a tenth of a millimetre is one point, where the next begins.
                make = Straight if part.form == "straight" or len(names) == 2 else SmoothLine
                line = [make(kind, names)] if len(names) > 1 else []
                yield [*(op for _, new in named for op in new), *line]

    def _point(self, at: np.ndarray) -> tuple[str, list[Operation]]:
        """The name of a point, and the operation that places it if it is new."""
        key = (rounded(float(at[0])) + 0.0, rounded(float(at[1])) + 0.0)
        if key in self.names:
            return self.names[key], []
        name = str(len(self.names) - 1)
        self.names[key] = name
        return name, [Point(name, *key)]

    def _add(self, operations: Sequence[Operation], title: str) -> None:
        both = [*self.waiting, *operations]
        if self.waiting and sum(isinstance(op, Point) for op in both) > _MOST_POINTS:
            self._close(title)
        self.waiting += operations

    def _close(self, title: str) -> None:
        if self.waiting:
            self.steps.append(DraftStep(title, _tidied(self.waiting)))
            self.waiting = []


def _tidied(operations: Sequence[Operation]) -> tuple[Operation, ...]:
    """Points first; straight lines that go on from each other in one sentence."""
    points = [op for op in operations if isinstance(op, Point)]
    lines: list[Operation] = []
    for op in (op for op in operations if not isinstance(op, Point)):
        last = lines[-1] if lines else None
        if (
            isinstance(op, Straight)
            and isinstance(last, Straight)
            and (last.kind, last.points[-1]) == (op.kind, op.points[0])
        ):
            lines[-1] = replace(last, points=(*last.points, *op.points[1:]))
        else:
            lines.append(op)
    return (*points, *lines)


def _portions(points: np.ndarray) -> Iterator[np.ndarray]:
    """Runs of points, each going on from the last of the one before."""
    for first in range(0, len(points) - 1, _MOST_POINTS - 1):
        yield points[first : first + _MOST_POINTS]


def _unrepeated(names: Sequence[str]) -> tuple[str, ...]:
    return tuple(name for k, name in enumerate(names) if not k or name != names[k - 1])


def _rectangle(line: np.ndarray) -> tuple[np.ndarray, np.ndarray] | None:
    """Corner and size of a ring that is a rectangle along the base line."""
    if len(line) != 5 or not np.allclose(line[0], line[-1]):
        return None
    low, high = line.min(axis=0), line.max(axis=0)
    on_edge = (np.abs(line - low) < _SQUARE_MM) | (np.abs(line - high) < _SQUARE_MM)
    return (low, high - low) if on_edge.all() else None
