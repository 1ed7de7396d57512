"""Closing many blocks at once by Newton's method, and guesses for it from stages that are known.

Lengths are mm and angles radians.
"""

from __future__ import annotations

import numpy as np

from .closure import Closure

CLOSED_MM = 1e-11
# What stands on a host meets no better than the host itself, whose own gap it can't undo.
MEETS_MM = 100 * CLOSED_MM
_STILL = 1e-11
# Squared ratio of the largest singular value to the least, at most, up to which normal equations
# give a step to 1e-9 of its size, which is enough for a step of Newton's.
_WELL = 1e7


def newton(
    closure: Closure,
    angles: np.ndarray,
    cut: float = 1e-7,
    limit: float = 0.3,
    iterations: int = 8,
    sure: float = 0.0,
) -> tuple[np.ndarray, np.ndarray]:
    """Close a batch by Newton steps of least norm.

    Parameters
    ----------
    angles : shape (m, n), radians.
    cut : singular values below ``cut * max(largest, 1)`` do not count.
    limit : largest change of an angle in one step, radians.
    sure : a shorter step, radians, that closes a block to first order is the last one: what is
        left is of second order.

    Returns
    -------
    Angles, shape (m, n), and gaps, shape (m,), mm.
    """
    angles = angles.copy()
    live, gaps = np.arange(len(angles)), np.zeros(len(angles))
    part = closure
    for k in range(iterations + 1):
        pose = part.at(angles[live])
        gaps[live] = pose.gap
        going = pose.gap > CLOSED_MM
        if not going.any() or k == iterations:
            break
        jacobian, residual = pose.jacobian[going], pose.residual[going]
        step = -least_norm(jacobian, residual, cut)
        size = np.abs(step).max(axis=1)
        more = (size > _STILL) | (pose.gap[going] > MEETS_MM)
        if sure:
            left = np.abs(residual + (jacobian @ step[..., None])[..., 0]).max(axis=1)
            closed = (size <= sure) & (left <= CLOSED_MM)
            gaps[live[going][closed]] = left[closed]
            more &= ~closed
        angles[live[going]] += step * np.minimum(1.0, limit / np.maximum(size, 1e-300))[:, None]
        # After a step so small there is nothing to gain; what no fold angle changes is the
        # rounding of the sheets.
        rows = np.flatnonzero(going)[more]
        live, part = live[rows], part.take(rows)
        if not len(live):
            break
    return angles, gaps


def least_norm(jacobian: np.ndarray, residual: np.ndarray, cut: float) -> np.ndarray:
    """Shortest least-squares solutions of J x = r, shapes (m, k, n), (m, k) to (m, n)."""
    turned = np.swapaxes(jacobian, -1, -2)
    normal = turned @ jacobian
    try:
        inverse = np.linalg.inv(normal)
    except np.linalg.LinAlgError:
        return _by_singular_values(jacobian, residual, cut)
    found = (inverse @ (turned @ residual[..., None]))[..., 0]
    trace = np.einsum("mii->m", normal) * np.einsum("mii->m", inverse)
    # Not below also where it is no number.
    poor = np.flatnonzero(~((trace > 0) & (trace < _WELL)))
    if len(poor):
        found[poor] = _by_singular_values(jacobian[poor], residual[poor], cut)
    return found


def _by_singular_values(jacobian: np.ndarray, residual: np.ndarray, cut: float) -> np.ndarray:
    left, values, right = np.linalg.svd(jacobian, full_matrices=False)
    keep = values > cut * np.maximum(values[:, :1], 1.0)
    inverse = np.where(keep, 1.0 / np.where(keep, values, 1.0), 0.0)
    part = inverse * (np.swapaxes(left, -1, -2) @ residual[..., None])[..., 0]
    return (np.swapaxes(right, -1, -2) @ part[..., None])[..., 0]


def interpolation(nodes: np.ndarray, targets: np.ndarray) -> np.ndarray:
    """Lagrange weights, nodes (..., k) and targets (...) to weights (..., k)."""
    away = np.asarray(targets)[..., None] - nodes
    apart = nodes[..., :, None] - nodes[..., None, :]
    _one_on_diagonal(apart)
    shares = away[..., None, :] / apart
    _one_on_diagonal(shares)
    return np.asarray(shares.prod(axis=-1))


def _one_on_diagonal(tables: np.ndarray) -> None:
    count = tables.shape[-1]
    tables.reshape(*tables.shape[:-2], count * count)[..., :: count + 1] = 1.0
