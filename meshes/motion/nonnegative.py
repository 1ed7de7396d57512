"""Least squares with unknowns that may not be negative: which contact pushes, and how hard.

A free block asks this several hundred times, of two or three equations mostly. The algorithm is
NNLS of C. L. Lawson and R. J. Hanson, Solving Least Squares Problems, chapter 23; it stands here
since loading the library that has it as well takes longer than solving a whole design.
"""

from __future__ import annotations

import math

import numpy as np

# A column that others span up to this share of its length says nothing new.
_DEPENDENT = 1e-14
# Of columns that are wanted as much as this share of the most wanted one, the first is taken: which
# of two mirror images that is must not hang on rounding.
_EVEN = 1 - 1e-6


def nonnegative(system: np.ndarray, target: np.ndarray) -> tuple[np.ndarray, float]:
    """The x ≥ 0 with the least ``|system @ x - target|``, and that length.

    Parameters
    ----------
    system, target : shapes (m, n) and (m,), finite.

    Returns
    -------
    x, shape (n,). Where several are as good, it has no more than m entries above 0.
    """
    count = system.shape[1]
    basis, left = _Basis(system, target), target
    # Of the columns of the basis; all others are 0.
    found: list[float] = []
    # Rounding may let columns come and go for ever; then what has been found by now is best.
    for _ in range(max(100, 20 * count)):
        tried = _next(basis, left @ system)
        if tried is None:
            break
        found.append(0.0)
        while tried and min(tried) <= 0:
            # Go as far as the first of the old ones becomes 0, and leave that one out.
            shares = [
                old / (old - new) if new <= 0 else np.inf
                for old, new in zip(found, tried, strict=True)
            ]
            share = min(shares)
            gone = [k for k, each in enumerate(shares) if each == share]
            both = enumerate(zip(found, tried, strict=True))
            kept = {
                basis.columns[k]: max(old + share * (new - old), 0.0)
                for k, (old, new) in both
                if k not in gone
            }
            basis.drop(gone)
            # By rounding, what came after those may now be spanned by what is left.
            found = [kept[column] for column in basis.columns]
            tried = basis.solution()
        found = tried
        left = target - system[:, basis.columns] @ found
    whole = np.zeros(count)
    whole[basis.columns] = found
    return whole, math.sqrt(left.dot(left))


def _next(basis: _Basis, wanted: np.ndarray) -> list[float] | None:
    """Take in the column that is wanted most and comes out above 0; the solution with it.

    None if there is none, so that the solution before was the best.

    Parameters
    ----------
    wanted : how fast each column would shorten what is left, shape (n,); changed in place.
    """
    wanted[basis.columns] = 0.0
    while len(wanted):
        most = wanted.max()
        if not most > 0:
            return None
        column = int((wanted >= _EVEN * most).argmax())
        if basis.add(column):
            tried = basis.solution()
            if tried[-1] > 0:
                return tried
            basis.drop([len(basis.columns) - 1])
        wanted[column] = 0.0
    return None


class _Basis:
    """Some columns of a system as orthonormal ones times a triangle.

    Attributes
    ----------
    columns : which ones, k of them.
    """

    def __init__(self, system: np.ndarray, target: np.ndarray) -> None:
        self._system, self._target = system, target
        # Unit vectors, the columns of the triangle, and the target along the vectors. Two or three
        # of them are quicker as plain numbers.
        self._units: list[np.ndarray] = []
        self._triangle: list[list[float]] = []
        self._along: list[float] = []
        self.columns: list[int] = []

    def add(self, column: int) -> bool:
        """Take in a column unless those that are there span it."""
        rest = self._system[:, column]
        length = math.sqrt(rest.dot(rest))
        shares = [0.0] * len(self._units)
        for _ in range(2):  # once more for what rounding has left
            for k, unit in enumerate(self._units):
                part = float(unit.dot(rest))
                rest = rest - part * unit
                shares[k] += part
        across = math.sqrt(rest.dot(rest)) if shares else length
        if len(shares) == len(rest) or not across > _DEPENDENT * length:
            return False
        unit = rest / across
        self._units.append(unit)
        self._triangle.append([*shares, across])
        self._along.append(float(unit.dot(self._target)))
        self.columns.append(column)
        return True

    def drop(self, places: list[int]) -> None:
        """Leave out the columns at these places of `columns`."""
        first = min(places, default=len(self.columns))
        later = [c for k, c in enumerate(self.columns) if k > first and k not in places]
        for each in (self._units, self._triangle, self._along, self.columns):
            del each[first:]
        for column in later:
            self.add(column)

    def solution(self) -> list[float]:
        """What the columns must be multiplied by to come nearest to the target."""
        found = self._along.copy()
        for k in range(len(found) - 1, -1, -1):
            *shares, across = self._triangle[k]
            found[k] /= across
            for j, share in enumerate(shares):
                found[j] -= share * found[k]
        return found
