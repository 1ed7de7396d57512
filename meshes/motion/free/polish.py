"""Free blocks between stages at rest: many stages at once, while the same rows hold."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..loops.blocks import Block
from ..loops.closure import Closure, Pose
from .contact import Contacts
from .rest import CLOSED_MM, MEETS_MM, balance, closure_curvature

ITERATIONS = 8
_STEADY = 1e-9
_STATIONARY = 1e-7
# Keeps rows that say the same thing from making the system singular; it does not move the answer.
_SOFT = 1e-11
_CUT = 1e-6
# Rows that say the same differ by the rounding of the sheets; only one of them is held.
_CLEAR = 3e-9


@dataclass(frozen=True)
class Held:
    """What holds a block: folds at their end stops, contact rows that touch."""

    folds: tuple[int, ...]
    rows: tuple[int, ...]


def held_at(block: Block, angles: np.ndarray, touching: np.ndarray) -> Held:
    """What holds a block at rest, with fold angles of shape (n,), radians."""
    low, high = block.topology.bounds
    stopped = np.flatnonzero(np.minimum(angles - low, high - angles) < 1e-8)
    return Held(tuple(stopped.tolist()), tuple(touching.tolist()))


def polish(
    block: Block,
    contacts: Contacts,
    closure: Closure,
    guess: np.ndarray,
    held: Held,
    iterations: int = ITERATIONS,
) -> tuple[np.ndarray, np.ndarray]:
    """Bring a batch of stages to rest by Newton steps on the conditions of a minimum.

    Parameters
    ----------
    closure : a batch of S.
    guess : shape (S, n), radians.
    held : holds at all of them; checked afterwards.
    iterations : with fewer than usual, only stages that no longer move count as at rest.

    Returns
    -------
    Angles, shape (S, n), and which of them are at rest, shape (S,).
    """
    folds, rows = np.array(held.folds, int), np.array(held.rows, int)
    low, high = block.topology.bounds
    angles = guess.copy()
    stops = np.where(
        angles[:, folds] - low[folds] < high[folds] - angles[:, folds], low[folds], high[folds]
    )
    angles[:, folds] = stops
    live, multipliers = np.arange(len(angles)), None
    for _ in range(iterations):
        part = closure.take(live)
        step, pushes = _step(block, contacts, part.at(angles[live]), folds, rows, multipliers)
        step *= np.minimum(1.0, 0.2 / np.maximum(np.abs(step).max(axis=1), 1e-300))[:, None]
        angles[live] += step
        angles[:, folds] = stops
        moving = np.abs(step).max(axis=1) > _STEADY
        last = 0.0 if multipliers is None else multipliers
        moving |= _SOFT * np.abs(pushes - last).max(axis=1, initial=0.0) > CLOSED_MM / 10
        live, multipliers = live[moving], pushes[moving]
        if not len(live):
            break
    good = _at_rest(block, contacts, closure.at(angles), folds, rows)
    if iterations < ITERATIONS:
        good[live] = False
    return angles, good


def _step(
    block: Block,
    contacts: Contacts,
    pose: Pose,
    folds: np.ndarray,
    rows: np.ndarray,
    multipliers: np.ndarray | None,
) -> tuple[np.ndarray, np.ndarray]:
    """One step, shape (S, n), and the multipliers of all equations, shape (S, m)."""
    count, size = pose.angles.shape
    stiffness = block.stiffness / block.stiffness.mean()
    fixed = np.broadcast_to(np.eye(size)[folds], (count, len(folds), size))
    jacobian = np.concatenate([pose.jacobian, contacts.gradients(pose, rows), fixed], axis=1)
    residual = np.concatenate(
        [pose.residual, contacts.heights(pose)[:, rows], np.zeros((count, len(folds)))], axis=1
    )
    curvature = np.broadcast_to(np.diag(stiffness), (count, size, size))
    if multipliers is not None:
        closing = pose.residual.shape[1]
        curvature = curvature + closure_curvature(pose, multipliers[:, :closing])
        touching = multipliers[:, closing : closing + len(rows)]
        curvature = curvature + contacts.curvature(pose, rows, touching)
        # Soft against the last multipliers, so that nothing is left of the softness in the end.
        residual = residual + _SOFT * multipliers
    equations = residual.shape[1]
    system = np.zeros((count, size + equations, size + equations))
    system[:, :size, :size] = curvature
    system[:, size:, :size] = jacobian
    system[:, :size, size:] = np.swapaxes(jacobian, 1, 2)
    system[:, range(size, size + equations), range(size, size + equations)] = -_SOFT
    force = stiffness * (pose.angles - block.rest)
    right = np.concatenate([-force, -residual], axis=1)
    found = np.linalg.solve(system, right[:, :, None])[:, :, 0]
    return found[:, :size], found[:, size:]


def _at_rest(
    block: Block, contacts: Contacts, pose: Pose, folds: np.ndarray, rows: np.ndarray
) -> np.ndarray:
    """Which poses of a batch close, clear everything and are held from the right side, (S,)."""
    low, high = block.topology.bounds
    good = pose.gap < MEETS_MM
    good &= contacts.heights(pose).min(axis=1, initial=0.0) > -_CLEAR
    good &= np.all((pose.angles >= low) & (pose.angles <= high), axis=1)
    stiffness = block.stiffness / block.stiffness.mean()
    force = stiffness * (pose.angles - block.rest)
    inward = np.where(pose.angles[:, folds] == low[folds], 1.0, -1.0)
    fixed = inward[:, :, None] * np.eye(len(low))[folds]
    pushes = np.concatenate([contacts.gradients(pose, rows), fixed], axis=1)
    some = np.flatnonzero(good)
    for k, free in zip(some.tolist(), _nulls(pose.jacobian[some]), strict=True):
        good[k] = balance(pushes[k] @ free, free.T @ force[k])[1] < _STATIONARY
    return good


def _nulls(jacobians: np.ndarray) -> list[np.ndarray]:
    """Directions that keep each pose of a batch closed, shapes (n, z)."""
    count, equations, size = jacobians.shape
    if not equations or not count:
        return [np.eye(size)] * count
    _, values, right = np.linalg.svd(jacobians)
    ranks = (values > _CUT * np.maximum(values[:, :1], 1.0)).sum(axis=1)
    return [row[rank:].T for row, rank in zip(right, ranks.tolist(), strict=True)]
