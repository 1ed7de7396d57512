"""Non-negative least squares for the small systems of paper at rest.

`scipy.optimize` solves them a little faster, but takes half a second to load: longer than it takes
to solve the five hundred of a large design.
"""

from __future__ import annotations

import numpy as np

# What is smaller, beside the products that make it up, is rounding.
_ROUNDING = 1e-15


def nnls(system: np.ndarray, target: np.ndarray) -> tuple[np.ndarray, float]:
    """The x ≥ 0 with the least ``|system @ x - target|``, and that length.

    The active-set method of C. L. Lawson and R. J. Hanson, Solving Least Squares Problems, 1974,
    algorithm NNLS of chapter 23.

    Parameters
    ----------
    system, target : shapes (m, n) and (m,).

    Returns
    -------
    x, shape (n,), with at most m entries that are not 0.

    Raises
    ------
    RuntimeError
        If it does not end, as the method does but for rounding.
    """
    count = system.shape[1]
    if not count:
        return np.zeros(0), float(np.sqrt(target @ target))
    found, used = np.zeros(count), np.zeros(count, bool)
    rest = target
    sizes = np.sqrt((system * system).sum(axis=0))
    least = _ROUNDING * len(target) * np.sqrt(target @ target) * sizes
    for _ in range(max(100, 20 * count)):
        pull = system.T @ rest
        # Columns that gain nothing but rounding, and those in use.
        pull[used | (pull <= least)] = 0.0
        trial = None
        while trial is None:
            chosen = int(pull.argmax())
            if pull[chosen] <= 0.0:
                return found, float(np.sqrt(rest @ rest))
            used[chosen] = True
            trial = _solved(system, target, used)
            if trial[chosen] <= 0.0:  # by rounding: it depends on the others
                used[chosen] = False
                pull[chosen] = 0.0
                trial = None
        while (out := used & (trial <= 0.0)).any():
            shares = found[out] / (found[out] - trial[out])
            found += shares.min() * (trial - found)
            used &= ~(out & (found <= _ROUNDING * np.abs(found).max()))
            leaving = np.flatnonzero(out)[shares.argmin()]
            used[leaving] = False
            found[~used] = 0.0
            trial = _solved(system, target, used)
        found = trial
        rest = target - system @ found
    raise RuntimeError("non-negative least squares do not end")


def _solved(system: np.ndarray, target: np.ndarray, used: np.ndarray) -> np.ndarray:
    """Plain least squares with some columns, shape (n,); the others get nothing."""
    found = np.zeros(len(used))
    columns = np.flatnonzero(used)
    if len(columns) == 1:  # every other time, and quicker without a decomposition
        column = system[:, columns[0]]
        found[columns] = (column @ target) / (column @ column)
        return found
    found[columns] = np.linalg.lstsq(system[:, columns], target, rcond=None)[0]
    return found
