"""Products across axes, and how far a turn is from none; for whole batches at once."""

from __future__ import annotations

import numpy as np

_ROUND = np.array([1, 2, 0, 1])


def cross(left: np.ndarray, right: np.ndarray) -> np.ndarray:
    """Cross products of columns, shapes (..., 3, n)."""
    left, right = left.take(_ROUND, axis=-2), right.take(_ROUND, axis=-2)
    product = left[..., :3, :] * right[..., 1:, :]
    product -= left[..., 1:, :] * right[..., :3, :]
    return product


# Row-major entries of the matrix that takes a to a × v, by the entries of v.
_TIMES = np.zeros((3, 9))
_TIMES[2, [1, 3]] = 1, -1
_TIMES[1, [6, 2]] = 1, -1
_TIMES[0, [5, 7]] = 1, -1


# The same with a fourth entry that multiplies a.
TIMES_OR_SCALE = np.concatenate([_TIMES, np.eye(3).reshape(1, 9)])


# From row-major entries of a matrix: its skew part as a vector, and its trace.
_SKEW_AND_TRACE = np.zeros((9, 4))
_SKEW_AND_TRACE[[7, 2, 3], [0, 1, 2]] = 1
_SKEW_AND_TRACE[[5, 6, 1], [0, 1, 2]] = -1
_SKEW_AND_TRACE[[0, 4, 8], 3] = 1


# 2 cos(α/2) of turns that are told from their symmetric part: those by 168° or more.
_FAR = 0.2


def times_axis(vector: np.ndarray) -> np.ndarray:
    """The matrix that takes a to a × vector, shape (..., 3, 3)."""
    return (vector @ _TIMES).reshape(*vector.shape, 3)


def rotation_gap(turn: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """cos(α/2), shape (...), and 2 sin(α/2) × axis, shape (..., 3), of rotations (..., 3, 3).

    The plain skew part vanishes for half a turn, which must not read as closed.
    """
    parts = turn.reshape(*turn.shape[:-2], 9) @ _SKEW_AND_TRACE
    skew, trace = parts[..., :3], parts[..., 3]
    twice = np.sqrt(np.maximum(1 + trace, 0))
    far = twice < _FAR
    if not far.any():
        return twice / 2, skew / twice[..., None]
    vector = skew / np.where(far, 1.0, twice)[..., None]
    vector[far] = _half_turn(turn[far], skew[far])
    return twice / 2, vector


def _half_turn(turn: np.ndarray, skew: np.ndarray) -> np.ndarray:
    """2 sin(α/2) × axis near half a turn, from the symmetric part of rotations (m, 3, 3)."""
    trace = np.trace(turn, axis1=-2, axis2=-1)[:, None, None]
    # 4 q qᵀ for the vector part q of the quaternion.
    outer = turn + np.swapaxes(turn, -1, -2) + (1 - trace) * np.eye(3)
    pick = np.argmax(np.einsum("mii->mi", outer), axis=-1)
    column = outer[np.arange(len(turn)), :, pick]
    vector = column / np.sqrt(column[np.arange(len(turn)), pick])[:, None]
    sign = np.where((vector * skew).sum(axis=-1) < 0, -1.0, 1.0)
    return vector * sign[:, None]
