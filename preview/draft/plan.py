"""A drafting plan: the operations that construct one sheet, each with the dimensions it is told by.

All is told from one base line from A to B: a point by how far it lies along it, measured from A,
and how far it lies up or down from it, square to it. No dimension starts at a point that another
dimension has placed, so errors never add up.

Dimensions are told in tenths of a millimetre, and as whole millimetres where they are whole.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

LineKind = Literal["cut", "valley", "mountain"]
CALLED: dict[LineKind, str] = {
    "cut": "Cut line",
    "valley": "Valley fold",
    "mountain": "Mountain fold",
}


def written(value: float) -> str:
    """A length or an angle as it is printed: to a tenth, whole where it is whole."""
    text = f"{value:z.1f}"
    return text.removesuffix(".0")


def rounded(value: float) -> float:
    """The value that is printed."""
    return float(written(value))


@dataclass(frozen=True)
class BaseLine:
    """The line that all is measured from, mm."""

    length: float

    @property
    def told(self) -> str:
        """The sentence that is printed."""
        return f"Draw the base line A–B, {written(self.length)} mm long."


@dataclass(frozen=True)
class Point:
    """A point: mm along the base line from A, and square to it, up positive."""

    name: str
    along: float
    across: float

    @property
    def told(self) -> str:
        """The sentence that is printed."""
        way = "up" if self.across > 0 else "down"
        far = f"{written(abs(self.across))} {way}" if rounded(self.across) else "on the line"
        back = "back from A" if rounded(self.along) < 0 else "along"
        return f"Point {self.name}: {written(abs(self.along))} {back}, {far}."


@dataclass(frozen=True)
class Straight:
    """Straight lines from point to point."""

    kind: LineKind
    points: tuple[str, ...]

    @property
    def told(self) -> str:
        """The sentence that is printed."""
        return f"{CALLED[self.kind]}, straight: {' – '.join(self.points)}."


@dataclass(frozen=True)
class SmoothLine:
    """A smooth line through points; straight lines between them are near enough."""

    kind: LineKind
    points: tuple[str, ...]

    @property
    def told(self) -> str:
        """The sentence that is printed."""
        return f"{CALLED[self.kind]}, smooth: {' – '.join(self.points)}."


@dataclass(frozen=True)
class Arc:
    """Part of a circle about `centre`, radius in mm."""

    kind: LineKind
    start: str
    end: str
    centre: str
    radius: float
    clockwise: bool

    @property
    def told(self) -> str:
        """The sentence that is printed."""
        way = "clockwise" if self.clockwise else "anticlockwise"
        return (
            f"{CALLED[self.kind]}, arc about {self.centre}, radius {written(self.radius)} mm: "
            f"{self.start} – {self.end}, {way}."
        )


@dataclass(frozen=True)
class Circle:
    """A whole circle, radius in mm."""

    kind: LineKind
    centre: str
    radius: float

    @property
    def told(self) -> str:
        """The sentence that is printed."""
        return f"{CALLED[self.kind]}, circle about {self.centre}, radius {written(self.radius)} mm."


@dataclass(frozen=True)
class DraftRectangle:
    """A window from its corner: so far on along the base line, and so far up, mm."""

    kind: LineKind
    corner: str
    along: float
    up: float

    @property
    def told(self) -> str:
        """The sentence that is printed."""
        return (
            f"{CALLED[self.kind]}, rectangle from {self.corner}: {written(self.along)} mm on along "
            f"A–B, {written(self.up)} mm up."
        )


@dataclass(frozen=True)
class Prick:
    """A hole for a paper fastener."""

    point: str

    @property
    def told(self) -> str:
        """The sentence that is printed."""
        return f"Prick a hole for a paper fastener at {self.point}."


@dataclass(frozen=True)
class MirrorAll:
    """All lines so far, mirrored about the base line."""

    @property
    def told(self) -> str:
        """The sentence that is printed."""
        return "Mirror all lines about A–B: the same again on its other side."


@dataclass(frozen=True)
class Repeat:
    """All lines so far, turned about A until they are there `count` times."""

    count: int

    @property
    def told(self) -> str:
        """The sentence that is printed."""
        return (
            f"Divide the full turn about A into {self.count}, by {written(360 / self.count)}°, and "
            f"repeat all lines at each: {self.count} times in all."
        )


Stroke = Straight | SmoothLine | Arc | Circle | DraftRectangle
Operation = BaseLine | Point | Stroke | Prick | MirrorAll | Repeat


@dataclass(frozen=True)
class DraftStep:
    """A few operations that are drawn in one picture."""

    title: str
    operations: tuple[Operation, ...]

    @property
    def told(self) -> list[str]:
        """What is printed, a sentence for each operation."""
        return [operation.told for operation in self.operations]


@dataclass(frozen=True, eq=False)
class DraftPlan:
    """How one sheet is drawn.

    Parameters
    ----------
    matrix, shift : a point p of the sheet lies at ``matrix @ p + shift`` along and across, mm;
        shapes (2, 2) and (2,). They place names and tell what was proved; no one draws by them.
    """

    steps: tuple[DraftStep, ...]
    matrix: np.ndarray
    shift: np.ndarray

    def apply(self, points: np.ndarray) -> np.ndarray:
        """Sheet points, shape (n, 2), in the frame of the base line, mm."""
        return np.asarray(points, float) @ self.matrix.T + self.shift

    @property
    def operations(self) -> Iterator[Operation]:
        """All operations in order."""
        return (operation for step in self.steps for operation in step.operations)

    @property
    def told(self) -> list[str]:
        """All sentences in order."""
        return [operation.told for operation in self.operations]
