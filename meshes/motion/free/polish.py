"""Free blocks between stages at rest: many stages at once, while the same rows hold."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..loops.blocks import Block
from ..loops.closure import BlockPose, Closure
from .contact import Contacts, Touching
from .rest import CLOSED_MM, MEETS_MM, SADDLE, Rest, balance, closure_curvature

ITERATIONS = 8
# Multipliers that were only foretold are trusted less: they may carry rounding.
_STEADY, _FORETOLD = 1e-9, 1e-11
# Once the multipliers are about right, steps square; measured: the one after 3e-8 is at most 1e-12.
_SURE = 3e-8
_STATIONARY = 1e-7
# Keeps rows that say the same thing from making the system singular; it does not move the answer.
_SOFT = 1e-11
_CUT = 1e-6
# Rows that say the same differ by the rounding of the sheets; only one of them is held.
_CLEAR = 3e-9
# Rows that push harder than this may be rounding that no free direction moves.
_PLAIN = 100.0
# Multipliers larger than this are rounding of equations that say what others say.
_SOUND = 1e3
# The longest step, radians.
_FARTHEST = 0.2


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
    reach: float = np.inf,
    multipliers: np.ndarray | None = None,
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Bring a batch of stages to rest by Newton steps on the conditions of a minimum.

    Parameters
    ----------
    closure : a batch of S.
    guess : shape (S, n), radians.
    held : holds at all of them; checked afterwards.
    iterations : with fewer than usual, only stages that no longer move count as at rest.
    reach : stages from the first on that gets farther than this from its guess are given up.
    multipliers : about those of closure, rows and folds, shape (S, m), if they are known.

    Returns
    -------
    Angles, shape (S, n), which of them are at rest, shape (S,), and multipliers, shape (S, m).
    """
    folds, rows = np.array(held.folds, int), contacts.touching(held.rows)
    if multipliers is not None and np.abs(multipliers).max(initial=0.0) > _SOUND:
        multipliers = None
    angles, every, moving, count = _newton(
        block, closure, guess, (folds, rows), (iterations, reach), multipliers
    )
    good = np.zeros(len(angles), bool)
    good[:count] = True
    if iterations < ITERATIONS:
        good[moving] = False
    left = np.flatnonzero(good)
    if len(left):
        some = closure if len(left) == len(angles) else closure.take(left)
        good[left] = _at_rest(block, contacts, some.at(angles[left]), folds, rows, every[left])
    return angles, good, every


def onward(block: Block, contacts: Contacts, closure: Closure, rest: Rest) -> np.ndarray:
    """The first step, shape (n,), radians, from a resting pose to the next one, held alike.

    Parameters
    ----------
    closure : a batch of one, at another opening.
    """
    held = held_at(block, rest.angles, rest.pressing)
    folds, rows = np.array(held.folds, int), contacts.touching(held.rows)
    return _step(block, closure.at(rest.angles[None]), folds, rows, None)[0][0]


def _newton(
    block: Block,
    closure: Closure,
    guess: np.ndarray,
    held: tuple[np.ndarray, Touching],
    limits: tuple[int, float],
    last: np.ndarray | None,
) -> tuple[np.ndarray, np.ndarray, np.ndarray, int]:
    """Angles, multipliers, which stages still move, and before which one all are near their guess.

    Parameters
    ----------
    held : folds at their end stops, and rows.
    limits : iterations and reach, see :func:`polish`.
    last : multipliers about there, shape (S, m), if they are known.
    """
    (folds, rows), (iterations, reach) = held, limits
    low, high = block.topology.bounds
    angles = guess.copy()
    stops = np.where(
        angles[:, folds] - low[folds] < high[folds] - angles[:, folds], low[folds], high[folds]
    )
    angles[:, folds] = stops
    live, count = np.arange(len(angles)), len(angles)
    every = np.zeros((count, 6 * len(block.topology.chords) + len(rows.scale) + len(folds)))
    part, sure = closure, _STEADY if last is None else _FORETOLD
    for _ in range(iterations):
        step, pushes = _step(block, part.at(angles[live]), folds, rows, last)
        size = np.abs(step).max(axis=1)
        if size.max() > _FARTHEST:
            step *= np.minimum(1.0, _FARTHEST / np.maximum(size, 1e-300))[:, None]
        angles[live] += step
        if len(folds):
            angles[:, folds] = stops
        every[live] = pushes
        moving, sure = size > sure, _SURE
        if last is None:
            moving |= _SOFT * np.abs(pushes).max(axis=1, initial=0.0) > CLOSED_MM / 10
        if reach < np.inf:
            away = live[np.abs(angles[live] - guess[live]).max(axis=1) > reach]
            if len(away):
                count = int(away[0])
                moving &= live < count
        last = pushes
        if not moving.all():
            live, last = live[moving], pushes[moving]
            part = closure.take(live)
        if not len(live):
            break
    return angles, every, live, count


def _step(
    block: Block,
    pose: BlockPose,
    folds: np.ndarray,
    rows: Touching,
    last: np.ndarray | None,
) -> tuple[np.ndarray, np.ndarray]:
    """One step, shape (S, n), and the multipliers of all equations, shape (S, m).

    Parameters
    ----------
    last : multipliers of the step before; without, they are first found as if nothing curved.
    """
    count, size = pose.angles.shape
    stiffness = block.relative
    touch = rows.at(pose)
    closing, touching = pose.residual.shape[1], touch.heights.shape[1]
    equations = closing + touching + len(folds)
    whole = size + equations
    system = np.zeros((count, whole, whole))
    slopes = system[:, size:, :size]
    slopes[:, :closing] = pose.jacobian
    slopes[:, closing : closing + touching] = touch.gradients
    if len(folds):
        slopes[:, np.arange(closing + touching, equations), folds] = 1.0
    system[:, :size, size:] = slopes.swapaxes(1, 2)
    diagonal = system.reshape(count, -1)[:, :: whole + 1]
    diagonal[:, :size] = stiffness
    diagonal[:, size:] = -_SOFT
    right = np.zeros((count, whole))
    right[:, :size] = stiffness * (block.rest - pose.angles)
    right[:, size : size + closing] = -pose.residual
    right[:, size + closing : size + closing + touching] = -touch.heights
    if last is None:
        last = np.linalg.solve(system, right[:, :, None])[:, size:, 0]
    else:
        if np.abs(last).max(initial=0.0) > _SOUND:
            last = np.where(np.abs(last).max(axis=1, keepdims=True) > _SOUND, 0.0, last)
        # Soft against the last multipliers, so that nothing is left of the softness in the end.
        right[:, size:] -= _SOFT * last
    curved = system[:, :size, :size]
    curved += closure_curvature(pose, last[:, :closing])
    if touching:
        curved += touch.curvature(pose, last[:, closing : closing + touching])
    found = np.linalg.solve(system, right[:, :, None])[:, :, 0]
    return found[:, :size], found[:, size:]


def _at_rest(
    block: Block,
    contacts: Contacts,
    pose: BlockPose,
    folds: np.ndarray,
    rows: Touching,
    multipliers: np.ndarray,
) -> np.ndarray:
    """Which poses of a batch close, clear everything and are held from the right side, (S,).

    Parameters
    ----------
    multipliers : of closure, rows and folds, shape (S, m): mostly these show it.
    """
    low, high = block.topology.bounds
    good = pose.gap < MEETS_MM
    good &= contacts.heights(pose).min(axis=1, initial=0.0) > -_CLEAR
    good &= np.all((pose.angles >= low) & (pose.angles <= high), axis=1)
    stiffness = block.relative
    force = stiffness * (pose.angles - block.rest)
    inward = np.where(pose.angles[:, folds] == low[folds], 1.0, -1.0)
    pushes = rows.at(pose).gradients
    if len(folds):
        fixed = inward[:, :, None] * np.eye(len(low))[folds]
        pushes = np.concatenate([pushes, fixed], axis=1)
    closing = pose.residual.shape[1]
    shares = -multipliers[:, closing:]
    shares[:, len(rows.scale) :] *= inward
    left = force + (multipliers[:, None, :closing] @ pose.jacobian)[:, 0]
    left -= (shares[:, None] @ pushes)[:, 0]
    shown = np.linalg.norm(left, axis=1) < _STATIONARY
    shown &= (shares.min(axis=1, initial=0.0) >= 0) & (shares.max(axis=1, initial=0.0) < _PLAIN)
    some = np.flatnonzero(good & ~shown)
    for k, free in zip(some.tolist(), _nulls(pose.jacobian[some]), strict=True):
        good[k] = balance(pushes[k] @ free, free.T @ force[k])[1] < _STATIONARY
    return good


def curves_up(block: Block, contacts: Contacts, pose: BlockPose, rest: Rest) -> bool:
    """Whether the energy rises whichever way a resting pose moves on along what holds it.

    Then it is a minimum. Where it is not sure, that may be one still, held by more than carries it.
    """
    multipliers = rest.multipliers
    if multipliers is None or np.abs(multipliers).max(initial=0.0) > _SOUND:
        return False
    held = held_at(block, rest.angles, rest.pressing)
    touch, folds = contacts.touching(held.rows).at(pose), list(held.folds)
    closing, size = len(pose.residual), len(block.relative)
    fixed = np.eye(size)[folds]
    slopes = np.concatenate([pose.jacobian, touch.gradients, fixed])
    if len(multipliers) != len(slopes):
        return False
    free = _nulls(slopes[None])[0]
    if not free.shape[1]:
        return True
    curved = np.diag(block.relative) + closure_curvature(pose, multipliers[:closing])
    if len(held.rows):
        curved += touch.curvature(pose, multipliers[closing : closing + len(held.rows)])
    return bool(np.linalg.eigvalsh(free.T @ curved @ free)[0] > -SADDLE)


def _nulls(jacobians: np.ndarray) -> list[np.ndarray]:
    """Directions that keep each pose of a batch closed, shapes (n, z)."""
    count, equations, size = jacobians.shape
    if not equations or not count:
        return [np.eye(size)] * count
    _, values, right = np.linalg.svd(jacobians)
    ranks = (values > _CUT * np.maximum(values[:, :1], 1.0)).sum(axis=1)
    return [row[rank:].T for row, rank in zip(right, ranks.tolist(), strict=True)]
