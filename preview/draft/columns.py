"""Pages of two columns: blocks go down the left one, then down the right one, then over the page.

A broad block takes both columns; what stands above it is dealt to them anew, so that it begins as
high up as it can.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from preview.pattern.drawing import Mark, moved


@dataclass(frozen=True, eq=False)
class PageBlock:
    """What is never torn apart, its marks from (0, 0) on.

    Parameters
    ----------
    high : mm.
    gap : free above it, mm, but at the head of a column.
    is_broad : whether it takes the whole width, not a column.
    """

    marks: Sequence[Mark]
    high: float
    gap: float = 0.0
    is_broad: bool = False


@dataclass(frozen=True)
class ColumnArea:
    """What pages have free for blocks, mm: its upper left corner, and width of a column."""

    x: float
    y: float
    column: float
    between: float
    high: float

    @property
    def width(self) -> float:
        """Of both columns."""
        return 2 * self.column + self.between


def shifted(marks: Sequence[Mark], x: float, y: float) -> list[Mark]:
    """The marks so far to the right and down, mm."""
    return moved(marks, lambda points: np.asarray(points + np.array([x, y])))


def height(blocks: Sequence[PageBlock]) -> float:
    """Of a column of some blocks, mm."""
    return sum(b.high + (b.gap if k else 0.0) for k, b in enumerate(blocks))


def dealt(blocks: Sequence[PageBlock]) -> tuple[int, float]:
    """How many of some blocks go to the left column, so that the longer one is shortest; its mm."""
    ways = [(max(height(blocks[:n]), height(blocks[n:])), -n) for n in range(len(blocks) + 1)]
    longest, fewest = min(ways)
    return -fewest, longest


@dataclass
class ColumnPages:
    """Pages that fill up.

    Parameters
    ----------
    top : where the two columns of the last page begin, below the area's upper edge, mm.
    waiting : blocks in them.
    """

    area: ColumnArea
    pages: list[list[Mark]] = field(default_factory=lambda: [[]])
    top: float = 0.0
    waiting: list[PageBlock] = field(default_factory=list)

    def add(self, block: PageBlock) -> None:
        """Put a block after those that are there."""
        if block.is_broad:
            self._close()
            if self.top and self.top + block.gap + block.high > self.area.high:
                self._turn()
            below = self.top + (block.gap if self.top else 0.0)
            self.pages[-1] += shifted(block.marks, self.area.x, self.area.y + below)
            self.top = below + block.high
            return
        if self.waiting or self.top:
            more = [*self.waiting, block]
            if self._start(more) + dealt(more)[1] > self.area.high:
                self._close()
                self._turn()
        self.waiting.append(block)

    def finish(self) -> list[list[Mark]]:
        """All pages."""
        self._close()
        return [page for page in self.pages if page]

    def _start(self, blocks: Sequence[PageBlock]) -> float:
        """Where columns of some blocks begin: below what is above them."""
        return self.top + (blocks[0].gap if self.top else 0.0)

    def _turn(self) -> None:
        self.pages.append([])
        self.top = 0.0

    def _close(self) -> None:
        """Put the waiting blocks in their columns."""
        if not self.waiting:
            return
        count, longest = dealt(self.waiting)
        start = self._start(self.waiting)
        for column, some in enumerate((self.waiting[:count], self.waiting[count:])):
            y = start
            for k, block in enumerate(some):
                y += block.gap if k else 0.0
                x = self.area.x + column * (self.area.column + self.area.between)
                self.pages[-1] += shifted(block.marks, x, self.area.y + y)
                y += block.high
        self.top, self.waiting = start + longest, []
