"""A first pose of a block from nothing but the directions of its folds."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from .closure import BlockPose, Closure, Topology

CLOSED_MM = 1e-8
# A fold nearer to its end stop than this is not on the declared branch.
CLEAR_RAD = 1e-4

_SEEDS_DEG = ((90, 90), (135, 90), (60, 60), (120, 60), (120, 120), (90, 45), (60, 120))
# Seeds that are no random ones.
NAMED_SEEDS = len(_SEEDS_DEG)
_RANDOM_SEEDS = 13
# Least damping after a step that gained nothing: with less it would be much the same step again.
_DAMPED = 3e-4
# Seeds after which a pose with folds at their end stops is taken for what it is.
_PATIENCE = 6

# Residual at some fold angles, and what gives its Jacobian there, which not every step needs.
Equations = Callable[[np.ndarray], tuple[np.ndarray, Callable[[], np.ndarray]]]


@dataclass(frozen=True)
class Assembly:
    """The outcome: the best pose found and whether it closes with every fold on its side."""

    pose: BlockPose
    closed: bool


def levenberg_marquardt(
    equations: Equations,
    start: np.ndarray,
    bounds: tuple[np.ndarray, np.ndarray],
    steps: int = 200,
    tolerance: float = 1e-9,
    patience: int = 12,
    still: float = 1e-10,
) -> np.ndarray:
    """Least squares inside a box by projected Levenberg–Marquardt steps.

    Parameters
    ----------
    start : shape (n,), radians, inside `bounds`.
    patience : steps that hardly gain anything before it gives up.
    still : a shorter step, radians, is the last one.

    Returns
    -------
    The best angles found, shape (n,).
    """
    low, high = bounds
    angles, damping, stalled = start, 1e-3, 0
    residual, derived = equations(angles)
    cost, moved = residual @ residual, True
    for _ in range(steps):
        if cost < tolerance**2 or stalled >= patience:
            break
        if moved:
            jacobian = derived()
            slope = residual @ jacobian
            free = ((angles > low) | (slope <= 0)) & ((angles < high) | (slope >= 0))
            if not free.all():
                if not free.any():
                    break
                jacobian, slope = jacobian[:, free], slope[free]
            normal = jacobian.T @ jacobian
            diagonal = normal.diagonal().copy()
            mean = diagonal.sum() / len(diagonal)
        normal.flat[:: len(normal) + 1] = diagonal + (damping * mean + 1e-300)
        step = -np.linalg.solve(normal, slope)
        size = np.abs(step).max()
        if size > 0.5:
            step *= 0.5 / size
            size = 0.5
        if len(step) < len(angles):
            step, reduced = np.zeros(len(angles)), step
            step[free] = reduced
        trial = np.minimum(np.maximum(angles + step, low), high)
        new_residual, new_derived = equations(trial)
        new_cost = new_residual @ new_residual
        moved = bool(new_cost < cost)
        if moved:
            stalled = stalled + 1 if new_cost > 0.999 * cost else 0
            angles, residual, derived, cost = trial, new_residual, new_derived, new_cost
            damping = max(damping / 5, 1e-12)
        else:
            stalled += 1
            damping = max(damping * 6, _DAMPED)
        if size < still:
            break
    return angles


def seeds(topology: Topology) -> Iterator[np.ndarray]:
    """Starting angles in the order of their success, shape (n,), radians."""
    signs = np.array(topology.signs, float)
    for valley, mountain in np.radians(_SEEDS_DEG):
        yield signs * np.where(signs > 0, mountain, valley)
    random = np.random.default_rng(len(signs))
    for _ in range(_RANDOM_SEEDS):
        yield signs * random.uniform(0.1, 3.0, len(signs))


def close(closure: Closure, start: np.ndarray, steps: int = 200) -> Assembly:
    """Close a block from some starting angles, shape (n,), radians, in at most so many steps."""

    def equations(angles: np.ndarray) -> tuple[np.ndarray, Callable[[], np.ndarray]]:
        pose = closure.at(angles)
        return pose.residual, lambda: pose.jacobian

    angles = levenberg_marquardt(equations, start, closure.topology.bounds, steps)
    pose = closure.at(angles)
    opened = np.abs(angles)
    inside = np.all((opened > CLEAR_RAD) & (opened < np.pi - CLEAR_RAD))
    return Assembly(pose, bool(pose.gap < CLOSED_MM and inside))


def assemble(closure: Closure, first: np.ndarray | None = None) -> Assembly:
    """Close a block from fold directions alone.

    Parameters
    ----------
    first : a guess to try before all others, shape (n,), radians.

    Returns
    -------
    The first assembly that closes, else the one with the smallest gap.
    """
    best: Assembly | None = None
    guesses = seeds(closure.topology)
    for k, start in enumerate(guesses if first is None else itertools.chain([first], guesses)):
        found = close(closure, start)
        if found.closed or (k >= _PATIENCE and best is not None and best.pose.gap < CLOSED_MM):
            return found if found.closed or best is None else best
        if best is None or found.pose.gap < best.pose.gap:
            best = found
    assert best is not None
    return best


def nullity(jacobian: np.ndarray) -> int:
    """How many ways a block can still move, from its Jacobian, shape (6 c, n)."""
    if not jacobian.size:
        return jacobian.shape[1]
    values = np.linalg.svd(jacobian, compute_uv=False)
    return int(jacobian.shape[1] - (values > 1e-6 * max(values[0], 1.0)).sum())
