"""The pixels that a pass draws: rows of a picture, some of them, or a coarse raster of all."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from . import neighbours

TILE = 6


@dataclass(frozen=True, eq=False)
class Field:
    """Pixels of a picture, each in one of 36 groups, each of which has directions of its own.

    What neighbours see is averaged, over a few pixels at once and over more where nothing but noise
    is between them. With 36 groups that is many directions; nine would show their few as steps.

    Parameters
    ----------
    numbers : of the pixels, row by row, shape (n,).
    groups : for each group, places in `numbers`.
    shape : rows and columns, if the pixels make up a rectangle; else None.
    near : if they do not, for each of the eight neighbours its place in `numbers`, n where there
        is none, shape (8, n).
    """

    numbers: np.ndarray
    groups: tuple[np.ndarray, ...]
    shape: tuple[int, int] | None
    near: np.ndarray | None = None

    @staticmethod
    def rows(size: tuple[int, int], rows: range, step: int = 1) -> Field:
        """Some rows of a picture of `size` (width, height); with a step only every so many."""
        width = size[0]
        y = np.arange(rows.start, rows.stop, step)
        x = np.arange(0, width, step)
        numbers = (y[:, None] * width + x).ravel()
        return Field(numbers, _groups(numbers, width), (len(y), len(x)))

    def part(self, mask: np.ndarray, width: int) -> Field:
        """The pixels of a rectangle where the mask is true.

        Parameters
        ----------
        mask : shape (rows, columns) of the rectangle.
        width : of the picture, pixels.
        """
        rows, columns = mask.shape
        inside = np.flatnonzero(mask)
        # One cell more on every side, so that a neighbour beyond the edge is none.
        place = np.full((rows + 2, columns + 2), len(inside))
        place[1:-1, 1:-1][mask] = np.arange(len(inside))
        here = (inside // columns + 1) * (columns + 2) + inside % columns + 1
        steps = [dy * (columns + 2) + dx for dy in (-1, 0, 1) for dx in (-1, 0, 1) if dy or dx]
        near = np.stack([place.ravel()[here + step] for step in steps])
        numbers = self.numbers[inside]
        return Field(numbers, _groups(numbers, width), None, near)

    def sums(self, key: np.ndarray, *rows: np.ndarray) -> list[np.ndarray]:
        """Sums over each pixel and those of its neighbours that show the same patch.

        Parameters
        ----------
        key : the patch of each pixel, shape (n,).
        rows : what is added up, shape (n,) each, float32.
        """
        if self.near is None:
            images = [row.reshape(self.shape) for row in rows]
            return [image.ravel() for image in neighbours.box(key.reshape(self.shape), *images)]
        return self._gathered(self.near, key, rows)

    @staticmethod
    def _gathered(
        near: np.ndarray, key: np.ndarray, rows: tuple[np.ndarray, ...]
    ) -> list[np.ndarray]:
        keys = np.append(key, key.dtype.type(-1))
        padded = [np.append(row, np.float32(0)) for row in rows]
        totals = [row.copy() for row in rows]
        for there in near:
            same = np.flatnonzero(keys.take(there) == key)
            beside = there.take(same)
            for total, row in zip(totals, padded, strict=True):
                total[same] += row.take(beside)
        return totals


def _groups(numbers: np.ndarray, width: int) -> tuple[np.ndarray, ...]:
    """Places of the pixels of each group of a 6 × 6 interleave of the picture.

    Directions are dealt to the groups in turn. Numbers of groups are such that any 3 × 3 window has
    one of every four, so that it sees all round.
    """
    y, x = numbers // width, numbers % width
    group = 4 * (y % 3 * 3 + x % 3) + 2 * (y // 3 % 2) + x // 3 % 2
    order = np.argsort(group, kind="stable")
    return tuple(np.split(order, np.searchsorted(group[order], np.arange(1, TILE**2))))
