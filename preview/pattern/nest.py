"""Lay pieces on as little paper as possible: irregular outlines, nested on a fine raster.

Each piece, grown by half the distance it must keep, becomes the set of all raster cells it touches.
Two pieces whose cells are disjoint therefore keep their distance whatever their true outlines are.
Where a piece fits on a partly filled sheet is found for all positions at once, as the correlation
of both cell sets by the fast Fourier transform: it is zero exactly where nothing overlaps. Pieces
go in one after the other, large ones first, each to the place and turn that keeps its middle of
area nearest to the used end. Several orders are tried, and the one that needs least paper wins.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy.fft
import shapely
from shapely import affinity
from shapely.geometry import Polygon

CELL_MM = 1.0
SLACK_MM = 0.02  # our choice
_MOST_CELLS = 60_000  # our choice
_SHUFFLES = 90  # our choice
# Cells transformed in all for one pattern: about 2 s of a processor. Measured: 28 ns a cell and
# transform on two cores of 2020s make.
_BUDGET = 8.0e7


class TooLarge(ValueError):
    """A piece that fits on no sheet, whichever way it is turned.

    Parameters
    ----------
    item : its index.
    width, height : of its smallest allowed bounding box, mm.
    """

    def __init__(self, item: int, width: float, height: float) -> None:
        self.item, self.width, self.height = item, width, height
        super().__init__(f"piece {item} needs {width:.1f} × {height:.1f} mm")


@dataclass(frozen=True)
class Blank:
    """A shape to nest, y down, mm.

    Parameters
    ----------
    turns : allowed rotations, radians.
    """

    shape: Polygon
    turns: tuple[float, ...]


@dataclass(frozen=True)
class Spot:
    """Where a shape goes: turned by `turn` radians about the origin, then shifted by (x, y) mm."""

    sheet: int
    turn: float
    x: float
    y: float

    def place(self, shape: Polygon) -> Polygon:
        """The shape there."""
        turned = affinity.rotate(shape, self.turn, origin=(0, 0), use_radians=True)
        return affinity.translate(turned, self.x, self.y)


@dataclass(frozen=True)
class Nesting:
    """All spots, in the order of the blanks.

    Parameters
    ----------
    sheets : how many are used.
    length : of the used strip of the last sheet, mm.
    waste : share of the used paper that is cut away; of the last sheet only the used strip counts,
        as the rest can be kept.
    """

    spots: tuple[Spot, ...]
    sheets: int
    length: float
    waste: float


def nest(
    blanks: Sequence[Blank], width: float, height: float, gap: float, share: float = 1.0
) -> Nesting:
    """Nest shapes on sheets of `width` × `height` mm, `gap` mm apart.

    Parameters
    ----------
    share : of the time that a whole pattern may take.

    Raises
    ------
    TooLarge
        If a shape fits on no sheet.
    """
    if not blanks:
        return Nesting((), 0, 0.0, 0.0)
    table = _Table(width, height, gap)
    stamps = [[_stamp(blank.shape, turn, table) for turn in blank.turns] for blank in blanks]
    for item, options in enumerate(stamps):
        if not any(table.holds(stamp) for stamp in options):
            least = min(options, key=lambda s: s.box[2] - s.box[0] + s.box[3] - s.box[1])
            box = least.box
            raise TooLarge(item, float(box[2] - box[0]), float(box[3] - box[1]))
    best: Nesting | None = None
    orders = _orders([blank.shape for blank in blanks])
    for order in orders[: _affordable(blanks, stamps, table, share)]:
        trial = _fill(order, blanks, stamps, table)
        if best is None or (trial.sheets, trial.length) < (best.sheets, best.length - 1e-9):
            best = trial
    assert best is not None
    given = list(range(len(blanks)))
    tall = sorted(given, key=lambda k: blanks[k].shape.bounds[1] - blanks[k].shape.bounds[3])
    for order in (given, tall):
        plain = _in_rows(order, blanks, width, height, gap)
        if plain and (plain.sheets, plain.length) < (best.sheets, best.length - 1e-9):
            best = plain
    return best


def _affordable(
    blanks: Sequence[Blank], stamps: Sequence[Sequence[_Stamp]], table: _Table, share: float
) -> int:
    """How many orders are tried: as many as the budget allows, one at least."""
    area = sum(blank.shape.area for blank in blanks)
    # Half of the sheets are looked through before a piece finds its place.
    sheets = max(1.0, area / (0.6 * table.width * table.height)) / 2 + 0.5
    cells = table.padded[0] * table.padded[1]
    most = int(_BUDGET * share / (cells * sheets * sum(map(len, stamps))))
    # Few pieces have few orders.
    return max(1, min(most, math.factorial(min(len(blanks), 6))))


def _in_rows(
    order: Sequence[int], blanks: Sequence[Blank], width: float, height: float, gap: float
) -> Nesting | None:
    """Rows in another order, which beat the raster for boxy shapes; None if a turn is not allowed.

    Tall pieces next to tall ones leave the least room over them.
    """
    shapes = [blank.shape for blank in blanks]
    ordered = rows([shapes[k] for k in order], width, height, gap)
    spots = dict(zip(order, ordered.spots, strict=True))
    if not all(_allowed(spots[k].turn, blanks[k].turns) for k in spots):
        return None
    return _summary([spots[k] for k in range(len(blanks))], shapes, width, height)


def _allowed(turn: float, turns: Sequence[float]) -> bool:
    return any(abs((turn - t + np.pi) % (2 * np.pi) - np.pi) < 1e-9 for t in turns)


def rows(shapes: Sequence[Polygon], width: float, height: float, gap: float) -> Nesting:
    """The plain layout to compare with: bounding boxes side by side in rows, in the given order.

    A shape is turned by a quarter only where it would not fit otherwise. All lengths are in mm.
    """
    spots, sheet, x, y, tall = [], 0, 0.0, 0.0, 0.0
    for shape in shapes:
        turn = 0.0
        box = shape.bounds
        if box[2] - box[0] > width or box[3] - box[1] > height:
            turn = np.pi / 2
            box = Spot(0, turn, 0, 0).place(shape).bounds
        wide, high = box[2] - box[0], box[3] - box[1]
        if x > 0 and x + wide > width:
            x, y, tall = 0.0, y + tall + gap, 0.0
        if y > 0 and y + high > height:
            sheet, x, y, tall = sheet + 1, 0.0, 0.0, 0.0
        spots.append(Spot(sheet, turn, x - box[0], y - box[1]))
        x, tall = x + wide + gap, max(tall, high)
    return _summary(spots, shapes, width, height)


def _summary(
    spots: Sequence[Spot], shapes: Sequence[Polygon], width: float, height: float
) -> Nesting:
    sheets = 1 + max(spot.sheet for spot in spots)
    last = [
        spot.place(s).bounds[3]
        for spot, s in zip(spots, shapes, strict=True)
        if spot.sheet == sheets - 1
    ]
    length = max(last)
    paper = width * (height * (sheets - 1) + length)
    used = sum(Polygon(shape.exterior).area for shape in shapes)
    return Nesting(tuple(spots), sheets, length, 1.0 - used / paper)


@dataclass(frozen=True)
class _Table:
    """The raster of one sheet; half a gap, and `SLACK_MM` for rounding, may lie outside."""

    width: float
    height: float
    gap: float

    @property
    def edge(self) -> float:
        """How far the raster reaches beyond the sheet on every side, mm."""
        return self.gap / 2 + SLACK_MM

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        cell = max(CELL_MM, float(np.sqrt(self.width * self.height / _MOST_CELLS)))
        return (
            max(1, int((self.height + 2 * self.edge) / cell)),
            max(1, int((self.width + 2 * self.edge) / cell)),
        )

    @property
    def cell(self) -> tuple[float, float]:
        """Height and width of a cell: a whole number of them spans the sheet."""
        rows, columns = self.shape
        return (self.height + 2 * self.edge) / rows, (self.width + 2 * self.edge) / columns

    @property
    def padded(self) -> tuple[int, int]:
        """A size that transforms fast. Positions inside the sheet never wrap around."""
        rows, columns = self.shape
        return scipy.fft.next_fast_len(rows, True), scipy.fft.next_fast_len(columns, True)

    def holds(self, stamp: _Stamp) -> bool:
        """Whether a stamp fits on an empty sheet."""
        return all(a <= b for a, b in zip(stamp.cells.shape, self.shape, strict=True))


@dataclass(frozen=True)
class _Stamp:
    """A turned shape as cells. The corner of cell (0, 0) lies at `corner` for the turned shape.

    Parameters
    ----------
    middle : line of the middle of area.
    """

    turn: float
    cells: np.ndarray
    spectrum: np.ndarray
    corner: tuple[float, float]
    middle: float
    box: tuple[float, float, float, float]


def _stamp(shape: Polygon, turn: float, table: _Table) -> _Stamp:
    turned = Spot(0, turn, 0, 0).place(shape)
    # The many-sided polygon that stands for a round corner must not cut into the gap.
    grown = turned.buffer(table.gap / 2 / np.cos(np.pi / 64), quad_segs=16)
    left, top, right, bottom = grown.bounds
    high, wide = table.cell
    columns = max(1, int(np.ceil((right - left) / wide)))
    lines = max(1, int(np.ceil((bottom - top) / high)))
    # Every touched cell has its middle within half a diagonal of the shape.
    reach = grown.buffer(np.hypot(high, wide) / 2 * 1.01, quad_segs=8)
    shapely.prepare(reach)
    x = left + (np.arange(columns) + 0.5) * wide
    y = top + (np.arange(lines) + 0.5) * high
    grid = np.meshgrid(x, y)
    cells = shapely.contains_xy(reach, grid[0], grid[1])
    if lines > table.padded[0] or columns > table.padded[1]:
        spectrum = np.zeros(0)
    else:
        spectrum = np.conj(scipy.fft.rfft2(cells.astype(np.float32), s=table.padded))
    middle = float(np.nonzero(cells)[0].mean())
    return _Stamp(turn, cells, spectrum, (left, top), middle, turned.bounds)


def _orders(shapes: Sequence[Polygon]) -> list[list[int]]:
    """Orders worth trying: by area, longest side, girth and narrow side, and shuffles of these."""
    boxes = np.array([shape.bounds for shape in shapes])
    sides = np.sort(boxes[:, 2:] - boxes[:, :2], axis=1)
    keys = [
        np.array([shape.area for shape in shapes]),
        sides[:, 1],
        sides.sum(axis=1),
        sides[:, 0],
    ]
    orders = [np.argsort(-key, kind="stable").tolist() for key in keys]
    # With few pieces there is time for more; the seed is fixed, so the pattern never changes.
    random = np.random.default_rng(1)
    for trial in range(min(20, _SHUFFLES // len(shapes))):
        key = keys[trial % 2] * random.uniform(0.6, 1.4, len(shapes))
        orders.append(np.argsort(-key, kind="stable").tolist())
    return orders


def _fill(
    order: Sequence[int],
    blanks: Sequence[Blank],
    stamps: Sequence[Sequence[_Stamp]],
    table: _Table,
) -> Nesting:
    filled: list[np.ndarray] = []
    spectra: list[np.ndarray] = []
    spots: dict[int, Spot] = {}
    for item in order:
        options = [stamp for stamp in stamps[item] if table.holds(stamp)]
        sheet, found = _first_fit(options, filled, spectra, table)
        if found is None:
            filled.append(np.zeros(table.shape, np.float32))
            spectra.append(scipy.fft.rfft2(filled[-1], s=table.padded))
            sheet, found = _first_fit(options, filled[-1:], spectra[-1:], table)
            sheet = len(filled) - 1
        assert found is not None
        stamp, line, column = found
        lines, columns = stamp.cells.shape
        filled[sheet][line : line + lines, column : column + columns] += stamp.cells
        spectra[sheet] = scipy.fft.rfft2(filled[sheet], s=table.padded)
        high, wide = table.cell
        x = column * wide - table.edge - stamp.corner[0]
        y = line * high - table.edge - stamp.corner[1]
        spots[item] = Spot(sheet, stamp.turn, x, y)
    return _summary(
        [spots[k] for k in range(len(blanks))],
        [blank.shape for blank in blanks],
        table.width,
        table.height,
    )


_Found = tuple[_Stamp, int, int]


def _first_fit(
    options: Sequence[_Stamp],
    filled: Sequence[np.ndarray],
    spectra: Sequence[np.ndarray],
    table: _Table,
) -> tuple[int, _Found | None]:
    """The first sheet with room, and the spot on it whose middle is highest up, then leftmost."""
    for sheet, (cells, spectrum) in enumerate(zip(filled, spectra, strict=True)):
        free = cells.size - float(cells.sum())
        best: tuple[tuple[float, int], _Found] | None = None
        for stamp in options:
            if stamp.cells.sum() > free:
                continue
            place = _lowest(stamp, spectrum, table)
            if place is None:
                continue
            line, column = place
            key = (line + stamp.middle, column)
            if best is None or key < best[0]:
                best = (key, (stamp, line, column))
        if best is not None:
            return sheet, best[1]
    return -1, None


def _lowest(stamp: _Stamp, spectrum: np.ndarray, table: _Table) -> tuple[int, int] | None:
    """The first line, then column, where the stamp's cells meet no filled one."""
    clash = scipy.fft.irfft2(spectrum * stamp.spectrum, s=table.padded)
    lines, columns = stamp.cells.shape
    free = clash[: table.shape[0] - lines + 1, : table.shape[1] - columns + 1] < 0.5
    first = int(np.argmax(free))
    if not free.flat[first]:
        return None
    return divmod(first, free.shape[1])
