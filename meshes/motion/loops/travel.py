"""Where a block's travel ends, and which of its folds has run into an end stop there.

Lengths are mm and angles radians.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from ..nonnegative import nonnegative
from .closure import BlockPose

# Half the change of the opening from which derivatives after it are taken; hosts are placed to
# about 1e-11 mm, so their derivatives are good to 1e-6.
_NUDGE_RAD = 1e-5
# The end of the travel lies nearer than this to the last pose that was found by steps.
_NEAR_RAD = float(np.radians(0.1))
_CUT = 1e-6
_STEPS = 60
_FIRST_STEP, _LAST_STEP = 0.05, 1e-11
_MEETS_MM = 1e-8
# A fold so near to the end of its range, radians, has run into its stop.
_AT_STOP_RAD = 1e-7
_PAST_RAD = 1e-9
# A change of the opening along the paper's way, per radian, that is none.
_TURNS = 1e-5
# A stop that carries less than this share of all push does not hold the paper.
_CARRIES = 1e-6


@dataclass(frozen=True)
class BlockState:
    """A block at some opening, not necessarily closed.

    Parameters
    ----------
    pose : with m = 6 c closure equations over n folds.
    slacks : of demands slack ≥ 0 besides the fold ranges, shape (r,).
    gradients : of these over the folds, shape (r, n).
    """

    pose: BlockPose
    slacks: np.ndarray
    gradients: np.ndarray


# Why the paper cannot move on: a fold is ``pulled`` flat because the paper is too short for more,
# or it is pressed ``flat`` or folded ``shut`` and may not pass its end stop; the paper is ``taut``
# with every fold inside its range; or it ``leans`` on what it may not pass.
Cause = Literal["pulled", "flat", "shut", "taut", "leans"]
# The state for an opening and fold angles (n,), radians; None where the hosts do not get.
StateAt = Callable[[float, np.ndarray], BlockState | None]


@dataclass(frozen=True)
class TravelEnd:
    """The pose in which the paper cannot move on.

    Parameters
    ----------
    opening : radians.
    angles : shape (n,), radians.
    fold : local index of the fold that holds the paper by its end stop; None if none does.
    demand : index of the further demand that holds it most, if no fold does.
    taut : whether the opening turns back along the only way that the paper has.
    """

    opening: float
    angles: np.ndarray
    fold: int | None
    demand: int | None
    taut: bool

    @property
    def cause(self) -> Cause:
        """In one word."""
        if self.fold is None:
            return "taut" if self.taut else "leans"
        if abs(self.angles[self.fold]) > np.pi / 2:
            return "shut"
        return "pulled" if self.taut else "flat"


@dataclass(frozen=True)
class _Model:
    """First derivatives at a point (folds, opening), n + 1 unknowns.

    `slacks` and `gradients` are those of all demands: low ends of the folds' ranges, high ends,
    then the further ones.
    """

    residual: np.ndarray
    jacobian: np.ndarray
    fix: np.ndarray
    free: np.ndarray
    slacks: np.ndarray
    gradients: np.ndarray

    @property
    def gain(self) -> np.ndarray:
        """Change of the opening along the free directions, shape (z,)."""
        return self.free[-1]


def end_of_travel(
    state_at: StateAt, opening: float, angles: np.ndarray, closing: bool
) -> TravelEnd | None:
    """Follow the paper from a pose just before its end to the end itself.

    The opening is made as small (or large) as closure and all demands allow, by linear programmes
    with a trust region; n + 1 unknowns, so that nothing is singular where the opening turns back.

    Returns
    -------
    None if there is no end within a tenth of a degree.
    """
    way = -1.0 if closing else 1.0
    point, size = np.append(angles, opening), _FIRST_STEP
    model = _model(state_at, point)
    # Steps may have ended in float noise past a stop.
    first = None
    if model is not None:
        first = _pull_in(state_at, point, np.flatnonzero(model.slacks < 0))
    if first is None:
        return None
    point, model = first
    for _ in range(_STEPS):
        if not model.free.shape[1]:
            return None
        step, kept = _step(model, way, size)
        trial = _pull_in(state_at, point + step, kept)
        if trial is None or way * (trial[0][-1] - point[-1]) < -1e-13:
            size /= 4
        else:
            moved = float(np.abs(trial[0] - point).max())
            point, model = trial
            if moved < _LAST_STEP:
                break
        if size < _LAST_STEP or way * (point[-1] - opening) > _NEAR_RAD:
            break
    if abs(point[-1] - opening) > _NEAR_RAD:
        return None
    if np.abs(model.residual).max(initial=0.0) > _MEETS_MM:
        return None
    return _judge(model, point, way)


def _model(state_at: StateAt, point: np.ndarray) -> _Model | None:
    angles, opening = point[:-1], float(point[-1])
    states = [state_at(opening + nudge, angles) for nudge in (-_NUDGE_RAD, 0.0, _NUDGE_RAD)]
    if any(state is None or not np.isfinite(state.pose.residual).all() for state in states):
        return None
    before, here, after = (state for state in states if state is not None)
    turned = (after.pose.residual - before.pose.residual) / (2 * _NUDGE_RAD)
    lifted = (after.slacks - before.slacks) / (2 * _NUDGE_RAD)
    low, high = here.pose.topology.bounds
    count = len(angles)
    ranges = np.zeros((2 * count, count + 1))
    ranges[:count, :count], ranges[count:, :count] = np.eye(count), -np.eye(count)
    jacobian = np.column_stack([here.pose.jacobian, turned])
    fix, free = _split(jacobian, here.pose.residual)
    return _Model(
        here.pose.residual,
        jacobian,
        fix,
        free,
        np.concatenate([angles - low, high - angles, here.slacks]),
        np.vstack([ranges, np.column_stack([here.gradients, lifted])]),
    )


def _split(jacobian: np.ndarray, residual: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The shortest step that closes, shape (n + 1,), and the directions that stay free."""
    if not len(residual):
        return np.zeros(jacobian.shape[1]), np.eye(jacobian.shape[1])
    left, values, right = np.linalg.svd(jacobian)
    rank = int((values > _CUT * max(values[0], 1.0)).sum())
    fix = -right[:rank].T @ ((left[:, :rank].T @ residual) / values[:rank])
    return fix, right[rank:].T


def _step(model: _Model, way: float, size: float) -> tuple[np.ndarray, np.ndarray]:
    """The step that gains most opening inside a trust region, and the demands that it uses up."""
    from scipy.optimize import linprog

    fix = _limited(model.fix)
    near = np.flatnonzero(model.slacks < 10 * size + 0.1)
    rows = model.gradients[near]
    room = np.maximum(model.slacks[near] + rows @ fix, 0.0)
    found = linprog(
        -way * model.gain, A_ub=-rows @ model.free, b_ub=room, bounds=(-size, size), method="highs"
    )
    if found.status:
        return fix, near[:0]
    return fix + model.free @ found.x, near[room + rows @ (model.free @ found.x) < 1e-9]


def _limited(step: np.ndarray) -> np.ndarray:
    return step * min(1.0, 0.1 / max(float(np.abs(step).max()), 1e-300))


def _pull_in(
    state_at: StateAt, point: np.ndarray, kept: np.ndarray
) -> tuple[np.ndarray, _Model] | None:
    """The nearest point that closes, with some demands used up; None if it breaks another."""
    for _ in range(8):
        model = _model(state_at, point)
        if model is None:
            return None
        slacks = model.slacks[kept]
        off = max(np.abs(model.residual).max(initial=0.0), np.abs(slacks).max(initial=0.0))
        if off < _MEETS_MM / 100:
            return (point, model) if model.slacks.min(initial=0.0) > -_PAST_RAD else None
        rows = np.vstack([model.jacobian, model.gradients[kept]])
        point = point + _limited(_split(rows, np.concatenate([model.residual, slacks]))[0])
    return None


def _judge(model: _Model, point: np.ndarray, way: float) -> TravelEnd | None:
    """What holds the paper at the end of its travel."""
    count = len(point) - 1
    wish = way * model.gain
    held = np.flatnonzero(model.slacks < _AT_STOP_RAD)
    rows = model.gradients[held] @ model.free
    turns = float(np.linalg.norm(wish)) < _TURNS
    if turns:
        # Nothing pushes: the paper is straight, and a fold that ends here moves along its way.
        pushes = np.abs(rows).max(axis=1, initial=0.0)
    elif len(held):
        pushes, left = nonnegative(-rows.T, wish)
        if left > 1e-3 * float(np.linalg.norm(wish)):
            return None
    else:
        return None
    bears = pushes > _CARRIES * max(float(pushes.sum()), 1e-300)
    folds = np.flatnonzero(bears & (held < 2 * count))
    demands = np.flatnonzero(bears & (held >= 2 * count))
    fold = int(held[folds[np.argmax(pushes[folds])]] % count) if len(folds) else None
    demand = None
    if fold is None and len(demands):
        demand = int(held[demands[np.argmax(pushes[demands])]]) - 2 * count
    return TravelEnd(float(point[-1]), point[:-1], fold, demand, turns)
