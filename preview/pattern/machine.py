"""The job of a cutting machine: strokes in layers, in the order in which they are to be run.

Coordinates are page millimetres and every stroke is one path, since cutters follow paths one by
one: collinear folds that touch are joined, and of each piece holes are cut before the outline, so
that it lies still while they are. Pieces follow each other in lanes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
import shapely
from shapely.geometry import LineString

from .drawing import PenStroke, Text
from .layout import PatternPage
from .marks import Placed, Show, marks, rings
from .pen import written
from .template import fold_lines

Score = Literal["full", "dashes", "half"]
# Okabe and Ito, Color Universal Design (2008): told apart by eyes that see few colours. From
# memory.
COLOURS: Mapping[str, str] = {
    "register": "#009e73",
    "pen": "#0072b2",
    "folds": "#d55e00",
    "cuts": "#000000",
}
# Apart enough to be told by eye, as CIE 1976 colour difference. Our choice.
LEAST_APART = 25.0
_LANE_MM = 60.0  # our choice
# Smaller print is too small for a pen. Our choice.
_PEN_MM = 2.1


@dataclass(frozen=True)
class Run:
    """How a machine is to run a job.

    Parameters
    ----------
    colours : layer to ``#rrggbb``; machines tell layers apart by colour.
    draw : with names, glue letters and landing places, for a pen.
    clean : only where the finished piece hides it.
    score : folds as full lines, as dashes that are cut through, or as a half-cut, a full line in a
        layer of its own that cuts into the paper but not through it.
    dash, apart : of the dashes, mm.
    hole : diameter of the hole for a paper fastener, mm.
    """

    colours: Mapping[str, str] = field(default_factory=lambda: dict(COLOURS))
    draw: bool = True
    clean: bool = False
    score: Score = "full"
    # Our choice.
    dash: float = 3.0
    apart: float = 1.0
    # Common practice, no source: the legs of common paper fasteners are up to 3 mm wide.
    hole: float = 3.0


@dataclass(frozen=True)
class MachineLayer:
    """Strokes that are run together; `name` is also the layer's in the files."""

    name: str
    colour: str
    strokes: tuple[PenStroke, ...]


@dataclass(frozen=True)
class Job:
    """One sheet for the cutter, mm from its top left corner."""

    title: str
    width: float
    height: float
    layers: tuple[MachineLayer, ...]


def job_of(title: str, page: PatternPage, run: Run) -> Job:
    """The job of a page; layers without strokes are left in, so that files are alike."""
    placed = sorted(page.placed, key=_lane)
    marked = [m for m in page.furniture if isinstance(m, PenStroke) and m.role == "register"]
    pen = [stroke for p in placed for stroke in _pen(p, run.clean)] if run.draw else []
    folds = [stroke for p in placed for line in scores(p) for stroke in _scored(line, run)]
    cut = [PenStroke("cut", ring, closed=True) for p in placed for ring in cuts(p, run.hole)]
    found = {"register": marked, "pen": pen, "folds": folds, "cuts": cut}
    return Job(
        title,
        page.stock.width,
        page.stock.height,
        tuple(
            MachineLayer(layer_name(name, run.score), run.colours[name], tuple(strokes))
            for name, strokes in found.items()
            if strokes or name != "register"
        ),
    )


def difference(one: str, other: str) -> float:
    """CIE 1976 colour difference of two sRGB colours (CIE 15, D65; IEC 61966-2-1)."""
    first, second = _lab(one), _lab(other)
    return float(np.linalg.norm(first - second))


def _lab(colour: str) -> np.ndarray:
    from preview.drawing.colour import linear

    # Source: IEC 61966-2-1, sRGB to CIE XYZ; the white is D65.
    to_xyz = np.array(
        [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
    )
    share = to_xyz @ linear(colour) / to_xyz.sum(axis=1)
    # Source: CIE 15, the cube root and the straight line near black.
    root = np.where(share > (6 / 29) ** 3, np.cbrt(share), share / (3 * (6 / 29) ** 2) + 4 / 29)
    x, y, z = root
    return np.array([116 * y - 16, 500 * (x - y), 200 * (y - z)])


def layer_name(name: str, score: Score) -> str:
    """What a layer is called in the files."""
    return "half-cuts" if name == "folds" and score == "half" else name


def hole(placed: Placed, pivot: Sequence[float], diameter: float) -> np.ndarray:
    """A round hole about a pivot, shape (48, 2), page mm; its corners are 0.003 mm off a circle."""
    turn = np.linspace(0, 2 * np.pi, 49)[:-1]
    middle = placed.apply(np.array([pivot]))[0]
    return np.asarray(middle + diameter / 2 * np.c_[np.cos(turn), np.sin(turn)])


def cuts(placed: Placed, fastener: float = 0.0) -> list[np.ndarray]:
    """Closed cutting paths of a piece, each of shape (n, 2), mm: inside first, the outline last."""
    outer, *holes = rings(placed.template.outline)
    round_ = [hole(placed, pivot, fastener) for pivot in placed.template.pivots if fastener]
    return [*round_, *(placed.apply(ring) for ring in [*holes, outer])]


def scores(placed: Placed) -> list[np.ndarray]:
    """Scoring paths of a piece, each of shape (n, 2), mm; straight folds that meet are one path."""
    lines = [placed.on_page(line) for line in fold_lines(placed.template)]
    return [np.asarray(line.coords) for line in _joined(lines)]


def _scored(line: np.ndarray, run: Run) -> Iterable[PenStroke]:
    """A fold as it is run; dashes begin and end half a gap within it."""
    length = float(np.linalg.norm(line[-1] - line[0]))
    if run.score != "dashes" or length <= run.dash + run.apart:
        yield PenStroke("valley", line)
        return
    count = max(1, math.floor(length / (run.dash + run.apart)))
    whole = length / count
    share = run.dash / (run.dash + run.apart)
    for k in range(count):
        near, far = ((k + 0.5 + side * share / 2) * whole / length for side in (-1, 1))
        yield PenStroke(
            "valley", np.array([line[0] + t * (line[-1] - line[0]) for t in (near, far)])
        )


def _joined(lines: Sequence[LineString]) -> list[LineString]:
    """Join lines that continue each other straight."""
    rest, joined = list(lines), []
    while rest:
        line, found = rest.pop(0), True
        while found:
            found = False
            for other in rest:
                both = shapely.line_merge(shapely.MultiLineString([line, other]))
                if isinstance(both, LineString) and _straight(both):
                    line, found = LineString([both.coords[0], both.coords[-1]]), True
                    rest.remove(other)
                    break
        joined.append(line)
    return joined


def _straight(line: LineString) -> bool:
    chord = LineString([line.coords[0], line.coords[-1]])
    return chord.length > 0 and bool(chord.hausdorff_distance(line) < 1e-6)


def _lane(placed: Placed) -> tuple[int, float]:
    """Up one lane and down the next, so that the head travels little between pieces."""
    left, top, right, bottom = placed.on_page(placed.template.outline).bounds
    lane = int((left + right) / 2 // _LANE_MM)
    y = (top + bottom) / 2
    return lane, y if lane % 2 == 0 else -y


def _pen(placed: Placed, clean: bool) -> list[PenStroke]:
    """Names and letters in single lines, and the edges of what lands there, each once."""
    found: list[PenStroke] = []
    show = Show(names=not clean, clean=clean, lines=False, art=False, other_face=False)
    drawn = marks(placed, show)
    for mark in drawn:
        if isinstance(mark, Text) and (mark.bold or mark.size >= _PEN_MM):
            found += [PenStroke("sign", line) for line in written(mark)]
    if not clean:
        rolls = placed.template.rolls
        found += [PenStroke("roll", placed.apply(np.array([m.start, m.end]))) for m in rolls]
    edges = [LineString(m.points) for m in drawn if isinstance(m, PenStroke) and m.role == "place"]
    for part in shapely.get_parts(shapely.line_merge(shapely.union_all(edges))):
        if isinstance(part, LineString) and part.length > 1e-6:
            found.append(PenStroke("place", np.asarray(part.coords)))
    return found
