"""The full answer: units and folds of a spread with errors, settled by nonlinear least squares.

Levenberg–Marquardt steps (J. Nocedal and S. J. Wright, Numerical Optimization, 2nd edition, 2006,
section 10.3), projected on the folds' ranges, for many cases at once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..check.poses import rotation_of
from .linear import by_seam, left_open, stresses
from .network import Network
from .rows import LEVER_MM, SeamRows, misplaced

_STEPS = 30
# Steps below this, mm, are the last; the longest ones allowed.
_STILL_MM, _LONGEST_MM = 1e-7, 10.0
# A step that gains less of the sum of squares, mm² and share, is the last.
_GAIN_MM2, _GAIN = 1e-12, 1e-6


@dataclass(frozen=True)
class _SettledState:
    """N cases: poses of the units (N, U, 4, 4) and fold angles (N, n), radians."""

    poses: np.ndarray
    angles: np.ndarray

    def where(self, better: np.ndarray, other: _SettledState) -> _SettledState:
        """The first where `better`, shape (N,), else the other."""
        return _SettledState(
            np.where(better[:, None, None, None], self.poses, other.poses),
            np.where(better[:, None], self.angles, other.angles),
        )


class Settled:
    """A network with errors at N cases, as nearly closed as it gets.

    Parameters
    ----------
    poses : of the bodies in the spread without errors, shape (N, B, 4, 4), mm.
    angles : of its folds, shape (N, H), radians.
    errors : for each source, mm and radians, shape (N, E).
    flat : pressed flat: no fold moves. So is closed paper, shape (N,).
    """

    def __init__(
        self,
        network: Network,
        poses: np.ndarray,
        angles: np.ndarray,
        errors: np.ndarray,
        flat: np.ndarray,
    ) -> None:
        self.network, self.flat = network, flat
        self._free = len(network.free)
        self._misplaced = _in_plane(np.einsum("qme,ne->nqm", misplaced(network), errors))
        signs = np.array([fold.sign for fold in network.folds], float)
        self._low, self._high = np.minimum(signs, 0) * np.pi, np.maximum(signs, 0) * np.pi
        angles = angles[:, [fold.hinge for fold in network.folds]]
        start = _SettledState(
            poses[:, list(network.bodies)], np.clip(angles, self._low, self._high)
        )
        self._start, self._state = start, self._settle(start)

    @property
    def gives(self) -> np.ndarray:
        """What each seam must give if all do their part, shape (N, Q), mm."""
        return np.linalg.norm(by_seam(self._residual(self._state)[..., None])[..., 0], axis=-1)

    @property
    def gaps(self) -> np.ndarray:
        """What each seam lacks if it alone is left open, shape (N, Q), mm.

        Errors make weak springs of what were stresses; where those pull is told by the spread
        without errors.
        """
        projection = stresses(SeamRows(self.network, self._start.poses).jacobian)
        given = by_seam(projection @ self._residual(self._state)[..., None])
        return np.linalg.norm(left_open(projection, given)[..., 0], axis=-1)

    def _settle(self, state: _SettledState) -> _SettledState:
        residual = self._residual(state)
        cost = (residual**2).sum(axis=1)
        damping, going = np.full(len(cost), 1e-4), np.ones(len(cost), bool)
        for _ in range(_STEPS):
            rows = SeamRows(self.network, state.poses)
            step = self._step(state, residual, rows.jacobian, damping)
            trial = self._stepped(state, step, rows)
            new_residual = self._residual(trial)
            new_cost = (new_residual**2).sum(axis=1)
            better = going & (new_cost < cost)
            state = trial.where(better, state)
            residual = np.where(better[:, None], new_residual, residual)
            gained = cost - np.where(better, new_cost, cost)
            cost = np.where(better, new_cost, cost)
            damping = np.where(better, np.maximum(damping / 5, 1e-10), damping * 8)
            small = np.abs(step).max(axis=1) < _STILL_MM
            going &= ~small & ~(better & (gained < _GAIN_MM2 + _GAIN * cost)) & (damping < 1e8)
            if not going.any():
                break
        return state

    def _step(
        self, state: _SettledState, residual: np.ndarray, jacobian: np.ndarray, damping: np.ndarray
    ) -> np.ndarray:
        held = self._held(state, residual, jacobian)
        free = np.where(held[:, None, :], 0.0, jacobian)
        normal = np.swapaxes(free, 1, 2) @ free
        size = np.trace(normal, axis1=1, axis2=2) / normal.shape[1]
        normal += (damping * size + 1e-12)[:, None, None] * np.eye(normal.shape[1])
        slope = np.swapaxes(free, 1, 2) @ residual[..., None]
        step = -np.linalg.solve(normal, slope)[..., 0]
        most = np.abs(step).max(axis=1, keepdims=True)
        return step * np.minimum(1.0, _LONGEST_MM / np.maximum(most, 1e-300))

    def _held(self, state: _SettledState, residual: np.ndarray, jacobian: np.ndarray) -> np.ndarray:
        """Columns that may not move: folds pushed beyond an end, and all of flat paper."""
        slope = (np.swapaxes(jacobian, 1, 2) @ residual[..., None])[:, 6 * self._free :, 0]
        held = np.zeros((len(residual), jacobian.shape[2]), bool)
        low = (state.angles <= self._low) & (slope > 0)
        high = (state.angles >= self._high) & (slope < 0)
        held[:, 6 * self._free :] = low | high | self.flat[:, None]
        return held

    def _stepped(self, state: _SettledState, step: np.ndarray, rows: SeamRows) -> _SettledState:
        poses, free = state.poses.copy(), list(self.network.free)
        twists = step[:, : 6 * self._free].reshape(len(step), -1, 2, 3)
        rotation = rotation_of(twists[:, :, 1] / LEVER_MM)
        places, turns = poses[..., :3, 3], poses[..., :3, :3]
        away = (rotation @ (places[:, free] - rows.middles)[..., None])[..., 0]
        places[:, free] = away + rows.middles + twists[:, :, 0]
        turns[:, free] = rotation @ turns[:, free]
        turned = step[:, 6 * self._free :] / LEVER_MM
        return _SettledState(poses, np.clip(state.angles + turned, self._low, self._high))

    def _residual(self, state: _SettledState) -> np.ndarray:
        """What the seams lack, shape (N, 6 Q), mm."""
        seams = self.network.seams
        ends = np.array([seam.units for seam in seams])
        frames = np.array([seam.frames for seam in seams])
        near = state.poses[:, ends[:, 0]] @ frames[:, 0] @ self._misplaced
        far = state.poses[:, ends[:, 1]] @ frames[:, 1]
        folds = state.angles.shape[1]
        far[:, :folds] = far[:, :folds] @ self._misplaced[:, :folds] @ _about_x(-state.angles)
        lack = _apart(_inverse(near) @ far, np.array([seam.sizes for seam in seams]))
        return lack.reshape(len(lack), -1)


def _in_plane(moves: np.ndarray) -> np.ndarray:
    """Shifts along x and y and turns about z, (..., 3), as matrices (..., 4, 4)."""
    found = np.zeros((*moves.shape[:-1], 4, 4))
    found[...] = np.eye(4)
    cos, sin = np.cos(moves[..., 2]), np.sin(moves[..., 2])
    found[..., 0, 0], found[..., 0, 1] = cos, -sin
    found[..., 1, 0], found[..., 1, 1] = sin, cos
    found[..., :2, 3] = moves[..., :2]
    return found


def _about_x(angles: np.ndarray) -> np.ndarray:
    found = np.zeros((*angles.shape, 4, 4))
    found[...] = np.eye(4)
    cos, sin = np.cos(angles), np.sin(angles)
    found[..., 1, 1], found[..., 1, 2] = cos, -sin
    found[..., 2, 1], found[..., 2, 2] = sin, cos
    return found


def _inverse(moves: np.ndarray) -> np.ndarray:
    found = np.zeros_like(moves)
    found[..., :3, :3] = np.swapaxes(moves[..., :3, :3], -1, -2)
    found[..., :3, 3] = -(found[..., :3, :3] @ moves[..., :3, 3, None])[..., 0]
    found[..., 3, 3] = 1.0
    return found


def _apart(move: np.ndarray, sizes: np.ndarray) -> np.ndarray:
    """Small rigid moves (..., 4, 4) as gaps, shape (..., 6), mm."""
    skew = move[..., :3, :3] - np.swapaxes(move[..., :3, :3], -1, -2)
    turn = np.stack([skew[..., 2, 1], skew[..., 0, 2], skew[..., 1, 0]], axis=-1) / 2
    return np.concatenate([move[..., :3, 3], sizes * turn], axis=-1)


def stands_open(
    network: Network,
    openings: np.ndarray,
    poses: np.ndarray,
    angles: np.ndarray,
    errors: np.ndarray,
    most: float,
) -> float:
    """How far a spread with errors stays open, radians, if it is closed until paper gives so much.

    Parameters
    ----------
    openings : shape (S,), radians, ascending from 0.
    poses, angles : of bodies and folds without errors there, shapes (S, B, 4, 4) and (S, H).
    errors : for each source, mm and radians, shape (E,).
    most : what a seam gives, mm.

    Returns
    -------
    0 if it closes; the last of the openings if it stays open that far at least.
    """

    def given(k: int) -> float:
        closed = np.array([openings[k] < openings[1] / 2])
        case = poses[k : k + 1], angles[k : k + 1], errors[None], closed
        return float(Settled(network, *case).gives.max())

    low, high = 0, len(openings) - 1
    here, there = given(low), given(high)
    if here <= most:
        return 0.0
    if there > most:
        return float(openings[-1])
    while high - low > 1:
        middle = (low + high) // 2
        found = given(middle)
        if found > most:
            low, here = middle, found
        else:
            high, there = middle, found
    share = (here - most) / (here - there)
    return float(openings[low] + share * (openings[high] - openings[low]))
