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
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
import scipy.fft
import shapely
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
        return shapely.transform(shape, lambda points: points @ _turn(self.turn) + (self.x, self.y))


def _turn(turn: float) -> np.ndarray:
    """What points, shape (n, 2), are multiplied by to turn them, shape (2, 2)."""
    c, s = math.cos(turn), math.sin(turn)
    return np.array([[c, s], [-s, c]])


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
    plain = _plain(blanks, width, height, gap)
    table = _Table(width, height, gap)
    # What takes more of the only sheet than plain rows do is not worth looking at.
    low = table.cut(plain.length) if plain is not None and plain.sheets == 1 else table
    stamps = [_stamps(blank, low) for blank in blanks]
    for item, options in enumerate(stamps):
        if not any(table.holds(stamp) for stamp in options):
            least = min(options, key=lambda s: s.box[2] - s.box[0] + s.box[3] - s.box[1])
            box = least.box
            raise TooLarge(item, float(box[2] - box[0]), float(box[3] - box[1]))
    orders = _orders([blank.shape for blank in blanks])
    orders = orders[: _affordable(blanks, stamps, table, share)]
    best = _best_of(
        [list(order) for order in dict.fromkeys(map(tuple, orders))], blanks, stamps, low
    )
    if best is None or (plain and _beats(plain, best)):
        assert plain is not None
        return plain
    return best


def _best_of(
    orders: Sequence[Sequence[int]],
    blanks: Sequence[Blank],
    stamps: Sequence[Sequence[_Stamp]],
    table: _Table,
) -> Nesting | None:
    """The best of some orders, until none can be better; None if none fits on a cut table."""
    area = sum(blank.shape.area for blank in blanks)
    # On one sheet every piece must lie within the used strip.
    tallest = max(min(stamp.box[3] - stamp.box[1] for stamp in options) for options in stamps)
    best: Nesting | None = None
    for order in orders:
        trial = _fill(order, blanks, stamps, table, best)
        if trial is not None and (best is None or _beats(trial, best)):
            best = trial
            full = table.width * table.height * (best.sheets - 1)
            least = (area - full) / table.width
            if best.length <= (max(least, tallest) if best.sheets == 1 else least):
                break
    return best


def _beats(one: Nesting, other: Nesting) -> bool:
    return (one.sheets, one.length) < (other.sheets, other.length - 1e-9)


def _plain(blanks: Sequence[Blank], width: float, height: float, gap: float) -> Nesting | None:
    """The better of two orders in rows, which beat the raster for boxy shapes."""
    given = list(range(len(blanks)))
    tall = sorted(given, key=lambda k: blanks[k].shape.bounds[1] - blanks[k].shape.bounds[3])
    best: Nesting | None = None
    for order in (given, tall):
        found = _in_rows(order, blanks, width, height, gap)
        if found and (best is None or _beats(found, best)):
            best = found
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
    """Rows in another order; None if a turn is not allowed or a shape would not fit that way.

    Tall pieces next to tall ones leave the least room over them.
    """
    shapes = [blank.shape for blank in blanks]
    ordered = rows([shapes[k] for k in order], width, height, gap)
    spots = dict(zip(order, ordered.spots, strict=True))
    room = shapely.box(0, 0, width, height).buffer(SLACK_MM, join_style="mitre")
    for k, spot in spots.items():
        if not _allowed(spot.turn, blanks[k].turns):
            return None
        if not room.covers(shapely.box(*spot.place(shapes[k]).bounds)):
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
    """The raster of one sheet; half a gap, and `SLACK_MM` for rounding, may lie outside.

    Parameters
    ----------
    lines : of cells that are used, None for all.
    """

    width: float
    height: float
    gap: float
    lines: int | None = None

    @property
    def edge(self) -> float:
        """How far the raster reaches beyond the sheet on every side, mm."""
        return self.gap / 2 + SLACK_MM

    @cached_property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        cell = max(CELL_MM, float(np.sqrt(self.width * self.height / _MOST_CELLS)))
        return (
            max(1, int((self.height + 2 * self.edge) / cell)),
            max(1, int((self.width + 2 * self.edge) / cell)),
        )

    @property
    def used(self) -> tuple[int, int]:
        """Rows and columns that are used."""
        rows, columns = self.shape
        return rows if self.lines is None else self.lines, columns

    @cached_property
    def cell(self) -> tuple[float, float]:
        """Height and width of a cell: a whole number of them spans the sheet."""
        rows, columns = self.shape
        return (self.height + 2 * self.edge) / rows, (self.width + 2 * self.edge) / columns

    def cut(self, length: float) -> _Table:
        """The same raster without the cells that lie beyond a length, mm."""
        rows = math.ceil((length + 2 * self.edge) / self.cell[0]) + 1
        return replace(self, lines=min(rows, self.shape[0]))

    @property
    def padded(self) -> tuple[int, int]:
        """A size that transforms fast. Positions inside the sheet never wrap around."""
        rows, columns = self.used
        return scipy.fft.next_fast_len(rows, True), scipy.fft.next_fast_len(columns, True)

    def holds(self, stamp: _Stamp) -> bool:
        """Whether a stamp fits on an empty sheet."""
        return all(a <= b for a, b in zip(stamp.cells.shape, self.used, strict=True))


@dataclass(frozen=True, eq=False)
class _Stamp:
    """A turned shape as cells. The corner of cell (0, 0) lies at `corner` for the turned shape.

    Parameters
    ----------
    padded : the size to which it is transformed.
    middle : line of the middle of area.
    """

    turn: float
    cells: np.ndarray
    padded: tuple[int, int]
    corner: tuple[float, float]
    middle: float
    box: tuple[float, float, float, float]

    @cached_property
    def spectrum(self) -> np.ndarray:
        """The transform of its cells, turned for a correlation."""
        return np.asarray(np.conj(scipy.fft.rfft2(self.cells.astype(np.float32), s=self.padded)))

    @cached_property
    def count(self) -> int:
        """How many cells it fills."""
        return int(self.cells.sum())


def _stamps(blank: Blank, table: _Table) -> list[_Stamp]:
    """A shape in all its turns."""
    # The many-sided polygon that stands for a round corner must not cut into the gap.
    grown = blank.shape.buffer(table.gap / 2 / np.cos(np.pi / 64), quad_segs=16)
    # Every touched cell has its middle within half a diagonal of the shape.
    reach = grown.buffer(np.hypot(*table.cell) / 2 * 1.01, quad_segs=8)
    own, outer = (np.asarray(shape.exterior.coords) for shape in (blank.shape, grown))
    rings = [np.asarray(ring.coords) for ring in (reach.exterior, *reach.interiors)]
    stamps = []
    for turn in blank.turns:
        spin = _turn(turn)
        (left, top), (right, bottom) = (f(outer @ spin, axis=0) for f in (np.min, np.max))
        size = math.ceil((bottom - top) / table.cell[0]), math.ceil((right - left) / table.cell[1])
        corner = (float(left), float(top))
        cells = _cells([ring @ spin - corner for ring in rings], size, table.cell)
        middle = float(np.arange(len(cells)) @ cells.sum(axis=1)) / float(cells.sum())
        (x0, y0), (x1, y1) = (f(own @ spin, axis=0).tolist() for f in (np.min, np.max))
        stamps.append(_Stamp(turn, cells, table.padded, corner, middle, (x0, y0, x1, y1)))
    return stamps


def _cells(
    rings: Sequence[np.ndarray], size: tuple[int, int], cell: tuple[float, float]
) -> np.ndarray:
    """The cells whose middles rings enclose, bool, shape `size`.

    Along each line of middles, paper begins and ends where it crosses a ring.

    Parameters
    ----------
    rings : closed, each of shape (n, 2), from the corner of the first cell.
    cell : height and width.
    """
    lines, columns = size
    starts = np.concatenate([ring[:-1] for ring in rings])
    ends = np.concatenate([ring[1:] for ring in rings])
    y = (np.arange(lines) + 0.5) * cell[0]
    line, edge = np.nonzero((starts[:, 1] <= y[:, None]) != (ends[:, 1] <= y[:, None]))
    (x0, y0), (x1, y1) = starts[edge].T, ends[edge].T
    x = x0 + (y[line] - y0) * (x1 - x0) / (y1 - y0)
    first = np.clip(np.ceil(x / cell[1] - 0.5), 0, columns).astype(int)
    crossed = np.zeros((lines, columns + 1), int)
    np.add.at(crossed, (line, first), 1)
    return np.asarray(np.cumsum(crossed, axis=1)[:, :-1] % 2 == 1)


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


@dataclass(eq=False)
class _Sheet:
    """A sheet as it fills up: which cells are taken."""

    table: _Table
    cells: np.ndarray = field(init=False)
    taken: int = 0
    _spectrum: np.ndarray | None = None

    def __post_init__(self) -> None:
        self.cells = np.zeros(self.table.used, np.float32)

    def put(self, stamp: _Stamp, line: int, column: int) -> None:
        """Take the cells of a stamp."""
        lines, columns = stamp.cells.shape
        self.cells[line : line + lines, column : column + columns] += stamp.cells
        self.taken += stamp.count
        self._spectrum = None

    def lowest(self, stamp: _Stamp) -> tuple[int, int] | None:
        """The first line, then column, where the stamp's cells meet no taken one."""
        if not self.taken:
            return 0, 0
        if stamp.count > self.cells.size - self.taken:
            return None
        if self._spectrum is None:
            self._spectrum = scipy.fft.rfft2(self.cells, s=self.table.padded)
        clash = scipy.fft.irfft2(self._spectrum * stamp.spectrum, s=self.table.padded)
        (lines, columns), (rows, wide) = stamp.cells.shape, self.cells.shape
        free = clash[: rows - lines + 1, : wide - columns + 1] < 0.5
        first = int(np.argmax(free))
        return divmod(first, free.shape[1]) if free.flat[first] else None


def _fill(
    order: Sequence[int],
    blanks: Sequence[Blank],
    stamps: Sequence[Sequence[_Stamp]],
    table: _Table,
    best: Nesting | None,
) -> Nesting | None:
    """Pieces in an order; None as soon as it can't beat the best, or a cut table is full."""
    sheets: list[_Sheet] = []
    spots: dict[int, Spot] = {}
    high, wide = table.cell
    for item in order:
        options = [stamp for stamp in stamps[item] if table.holds(stamp)]
        found = _first_fit(options, sheets)
        if found is None:
            if not options or (table.lines is not None and sheets):
                return None
            sheets.append(_Sheet(table))
            found = _first_fit(options, sheets)
        assert found is not None
        sheet, stamp, line, column = found
        sheets[sheet].put(stamp, line, column)
        x = column * wide - table.edge - stamp.corner[0]
        y = line * high - table.edge - stamp.corner[1]
        spots[item] = Spot(sheet, stamp.turn, x, y)
        end = (sheet + 1, y + stamp.box[3])
        if best is not None and end >= (best.sheets, best.length - 1e-9):
            return None
    return _summary(
        [spots[k] for k in range(len(blanks))],
        [blank.shape for blank in blanks],
        table.width,
        table.height,
    )


def _first_fit(
    options: Sequence[_Stamp], sheets: Sequence[_Sheet]
) -> tuple[int, _Stamp, int, int] | None:
    """The first sheet with room, and the spot on it whose middle is highest up, then leftmost."""
    for number, sheet in enumerate(sheets):
        spots = [(stamp, sheet.lowest(stamp)) for stamp in options]
        fitting = [(stamp, *spot) for stamp, spot in spots if spot is not None]
        if fitting:
            return number, *min(fitting, key=lambda found: (found[1] + found[0].middle, found[2]))
    return None
