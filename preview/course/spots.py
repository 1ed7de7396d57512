"""Where loose paper lies on the table: to the right of the notebook, none on another."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from preview.drawing.book import Book

# Between pieces of paper, between them and the notebook, and from one place that is tried to the
# next, mm. Our choice.
_BETWEEN_MM, _BESIDE_MM, _GRID_MM = 12.0, 26.0, 6.0
# Paper is laid in rows over the height of the notebook and so much more, mm. Our choice.
_ROOM_MM = 40.0

# Low x, low y, high x, high y, mm.
Box = tuple[float, float, float, float]


class Spots:
    """Boxes on the table, each taken by some sheets."""

    def __init__(self, book: Book) -> None:
        self.left = book.reach + _BESIDE_MM
        self.height = book.height
        self._taken: dict[frozenset[int], Box] = {}

    def find(self, sheets: frozenset[int], width: float, height: float) -> tuple[float, float]:
        """The middle of a free place of a size near the notebook, which some sheets take, mm."""
        for x, y in self._places(width, height):
            box = x - width / 2, y - height / 2, x + width / 2, y + height / 2
            if not any(_meet(box, other) for other in self._taken.values()):
                break
        self._taken[sheets] = box
        return x, y

    def follow(self, sheets: frozenset[int], centre: tuple[float, float], box: Box) -> None:
        """Paper that hangs together lies in a box, round a centre; it keeps the room it has."""
        mine = [key for key in self._taken if key <= sheets]
        for key in mine:
            x0, y0, x1, y1 = self._taken.pop(key)
            (x, y), wide, high = centre, (x1 - x0) / 2, (y1 - y0) / 2
            box = _round_both(box, (x - wide, y - high, x + wide, y + high))
        self._taken[sheets] = box

    def leave(self, sheets: frozenset[int]) -> None:
        """Sheets are taken away."""
        for key in [key for key in self._taken if key <= sheets]:
            del self._taken[key]

    def _places(self, width: float, height: float) -> Iterator[tuple[float, float]]:
        """Column by column, in each from the middle outwards; beside all paper there is room."""
        room = max(self.height + 2 * _ROOM_MM - height, 0.0) / 2
        steps = np.arange(0.0, room + 1e-9, _GRID_MM)
        across = np.stack([steps, -steps], axis=1).ravel()
        first = self.left + width / 2
        beside = max((box[2] + _BETWEEN_MM + width / 2 for box in self._taken.values()), default=0)
        for x in [*np.arange(first, beside, _GRID_MM), max(first, beside)]:
            for y in across:
                yield float(x), float(self.height / 2 + y)


def _round_both(one: Box, two: Box) -> Box:
    low, high = np.minimum(one, two), np.maximum(one, two)
    return float(low[0]), float(low[1]), float(high[2]), float(high[3])


def _meet(one: Box, two: Box) -> bool:
    gap = _BETWEEN_MM
    return (
        one[0] < two[2] + gap
        and two[0] < one[2] + gap
        and one[1] < two[3] + gap
        and two[1] < one[3] + gap
    )
