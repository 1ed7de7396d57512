"""Poses of bodies at any opening, from poses at the stages of a motion."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..motion.result import Motion

# Stages on which a pose between two of them rests: a cubic through four.
_SUPPORT = 4
# Free paper changes its pace where a fold reaches or leaves its stop. A cubic swings out there by a
# sixteenth of the third difference; beyond these, poses are joined straight.
_ROUGH_RAD, _ROUGH_MM = 3e-4, 0.02
# What changes by less in a step, radians and mm, does not move in it. Our choice.
_STILL = 1e-10
# Sine of the largest turn whose angle is taken from its sine.
_SMALL = 0.5


@dataclass(frozen=True)
class Pose:
    """Where bodies are: a point x lies at ``rotation @ x + translation``.

    Parameters
    ----------
    rotation : shape (..., 3, 3).
    translation : shape (..., 3), mm.
    """

    rotation: np.ndarray
    translation: np.ndarray

    def seen_from(self, other: Pose) -> Pose:
        """Express the pose in the frame of another body."""
        back = np.swapaxes(other.rotation, -1, -2)
        shift = (back @ (self.translation - other.translation)[..., None])[..., 0]
        return Pose(back @ self.rotation, shift)

    def apply(self, points: np.ndarray) -> np.ndarray:
        """World positions (..., n, 3) of points (..., n, 2) in the bodies' planes, mm."""
        if self.rotation.ndim == 2:
            return points @ self.rotation[:, :2].T + self.translation
        # Written out: many small matrices take twice as long.
        turn, shift = self.rotation[..., None, :, :], self.translation[..., None, :]
        place = np.empty((*np.broadcast_shapes(points.shape[:-1], shift.shape[:-1]), 3))
        for axis in range(3):
            row = place[..., axis]
            np.multiply(points[..., 0], turn[..., axis, 0], out=row)
            row += points[..., 1] * turn[..., axis, 1]
            row += shift[..., axis]
        return place


@dataclass(frozen=True)
class Poses:
    """A motion that can be asked at any opening between two solved stages.

    Between stages the rotation vector relative to the earlier stage, and the translation, follow a
    cubic through the four nearest stages; at 1° steps this is nearer than 1e-6 mm to a smooth
    motion. Where the pace jumps, both go straight from stage to stage.

    Parameters
    ----------
    openings : shape (S,), radians, of the solved stages.
    joined : shape (S-1,), True where no unsolved stage lies between two neighbours.
    rotations : shape (S, B, 3, 3).
    translations : shape (S, B, 3), mm.
    turns, shifts : shape (S-1, B, 3, 4), coefficients of the cubics in the fraction of the step.
    straight : shape (S-1, B), where the pace jumps, so that poses are less sure.
    """

    openings: np.ndarray
    joined: np.ndarray
    rotations: np.ndarray
    translations: np.ndarray
    turns: np.ndarray
    shifts: np.ndarray
    straight: np.ndarray

    @property
    def stages(self) -> Pose:
        """All bodies at all stages: arrays of shape (S, B, 3, 3) and (S, B, 3)."""
        return Pose(self.rotations, self.translations)

    def at(self, openings: np.ndarray, bodies: np.ndarray) -> Pose:
        """Body ``bodies[k]`` at ``openings[k]`` (radians), both of shape (n,)."""
        if len(self.openings) == 1:
            stage = np.zeros(len(bodies), int)
            return Pose(self.rotations[stage, bodies], self.translations[stage, bodies])
        step = self.step(openings)
        width = self.openings[step + 1] - self.openings[step]
        return self.between(step, (openings - self.openings[step]) / width, bodies)

    def step(self, openings: np.ndarray | float) -> np.ndarray:
        """Index of the stage before each opening, the last one left out."""
        last = len(self.openings) - 2
        return np.clip(np.searchsorted(self.openings, openings, side="right") - 1, 0, last)

    def between(self, step: np.ndarray, fraction: np.ndarray, bodies: np.ndarray) -> Pose:
        """Bodies at a fraction 0…1 of the step that begins at stage `step`, all of shape (n,)."""
        rotation, shift = self.rotations[step, bodies], self.shifts[step, bodies, :, 0]
        busy = np.flatnonzero(self._busy[step, bodies])
        step, bodies, fraction = step[busy], bodies[busy], fraction[busy]
        powers = fraction[:, None] ** np.arange(_SUPPORT)
        turn = (self.turns[step, bodies] @ powers[:, :, None])[..., 0]
        shift[busy] = (self.shifts[step, bodies] @ powers[:, :, None])[..., 0]
        rotation[busy] = rotation[busy] @ rotation_of(turn)
        return Pose(rotation, shift)

    @cached_property
    def _busy(self) -> np.ndarray:
        """Which bodies move in which step, shape (S-1, B)."""
        turned = np.abs(self.turns).max(axis=(2, 3)) > _STILL
        moved: np.ndarray = np.abs(self.shifts[..., 1:]).max(axis=(2, 3)) > _STILL
        return turned | moved


def poses_of(motion: Motion, smooth: bool = False) -> Poses:
    """The solved stages of a motion; empty if none is.

    Parameters
    ----------
    smooth : the pace is known not to jump, so that stages may be some degrees apart.
    """
    keep = np.flatnonzero(motion.solved)
    openings = motion.openings[keep]
    rotations, translations = motion.rotations[keep], motion.translations[keep]
    joined = np.diff(keep) == 1
    bodies = motion.rotations.shape[1]
    turns = np.zeros((max(len(keep) - 1, 0), bodies, 3, _SUPPORT))
    shifts = np.zeros_like(turns)
    jumps = np.zeros(turns.shape[:2], bool)
    steps = np.arange(len(keep) - 1)
    support = [_support(int(step), joined) for step in steps]
    shapes = np.array(
        [(near[0] - step, len(near)) for step, near in zip(steps, support, strict=True)]
    )
    # Nearly all steps rest on stages in the same places beside them, so they are solved together.
    for first, count in np.unique(shapes, axis=0) if len(shapes) else ():
        some = steps[(shapes == (first, count)).all(axis=1)]
        near = some[:, None] + first + np.arange(count)
        width = openings[some + 1] - openings[some]
        times = (openings[near] - openings[some, None]) / width[:, None]
        back = np.swapaxes(rotations[some], -1, -2)[:, None]
        turned, shifted = vector_of(back @ rotations[near]), translations[near]
        turns[some, :, :, :count] = _cubic(times, turned)
        shifts[some, :, :, :count] = _cubic(times, shifted)
        rough = _roughness(turned) > _ROUGH_RAD
        rough |= _roughness(shifted) > _ROUGH_MM
        rough &= not smooth
        jumps[some] = rough
        for cubics in (turns, shifts):
            straight = cubics[some].sum(axis=3) - cubics[some][..., 0]
            cubics[some, :, :, 1] = np.where(rough[..., None], straight, cubics[some][..., 1])
            cubics[some, :, :, 2:] *= ~rough[..., None, None]
    return Poses(openings, joined, rotations, translations, turns, shifts, jumps)


def _support(step: int, joined: np.ndarray) -> np.ndarray:
    """The stages nearest to a step, none beyond a gap."""
    first, last = step, step + 1
    while first > 0 and joined[first - 1] and step - first < 2:
        first -= 1
    while last < len(joined) and joined[last] and last - step < 3:
        last += 1
    near = np.arange(first, last + 1)
    distance = np.abs(near - (step + 0.5))
    return np.sort(near[np.argsort(distance, kind="stable")[:_SUPPORT]])


def _cubic(times: np.ndarray, values: np.ndarray) -> np.ndarray:
    """Coefficients (n, B, 3, k) of polynomials through values (n, k, B, 3) at times (n, k)."""
    matrix = np.linalg.inv(times[:, :, None] ** np.arange(times.shape[1]))
    return np.einsum("npk,nkbc->nbcp", matrix, values)


def _roughness(values: np.ndarray) -> np.ndarray:
    """Largest third difference of values (n, k, B, 3), shape (n, B); 0 of fewer than four."""
    if values.shape[1] < _SUPPORT:
        return np.zeros((len(values), values.shape[2]))
    return np.abs(np.diff(values, n=3, axis=1)).max(axis=(1, 3))


def rotation_of(vector: np.ndarray) -> np.ndarray:
    """Rotation matrices (..., 3, 3) of rotation vectors (..., 3), by Rodrigues' formula."""
    square = np.einsum("...k,...k->...", vector, vector)
    angle = np.sqrt(square) / np.pi
    first, second = np.sinc(angle), 0.5 * np.sinc(angle / 2) ** 2
    # The square of the matrix that takes a to v × a is v vᵀ - |v|².
    matrix = second[..., None, None] * vector[..., :, None] * vector[..., None, :]
    for row, column, axis in ((2, 1, 0), (0, 2, 1), (1, 0, 2)):
        turned = first * vector[..., axis]
        matrix[..., row, column] += turned
        matrix[..., column, row] -= turned
    kept = 1 - second * square
    for axis in range(3):
        matrix[..., axis, axis] += kept
    return matrix


def vector_of(rotation: np.ndarray) -> np.ndarray:
    """Rotation vectors (..., 3) of rotation matrices (..., 3, 3)."""
    skew = rotation - np.swapaxes(rotation, -1, -2)
    vector = np.stack([skew[..., 2, 1], skew[..., 0, 2], skew[..., 1, 0]], axis=-1) / 2
    sine = np.linalg.norm(vector, axis=-1)
    # Half of the skew part is the axis times the sine; that is quick, and exact for small turns.
    vector *= (1.0 / np.sinc(np.arcsin(np.minimum(sine, _SMALL)) / np.pi))[..., None]
    trace = np.trace(rotation, axis1=-2, axis2=-1)
    large = (sine > _SMALL) | (trace < 1.0)
    if large.any():
        vector[large] = _vector_of_large(rotation[large])
    return vector


def _vector_of_large(rotation: np.ndarray) -> np.ndarray:
    """The same for turns of any size, (n, 3, 3), by quaternions.

    Of the four forms of a unit quaternion in the entries of a rotation matrix the one whose own
    component is largest loses nothing (S. W. Shepperd, "Quaternion from rotation matrix", Journal
    of Guidance and Control 1, 1978).
    """
    diagonal = np.diagonal(rotation, axis1=1, axis2=2)
    trace = diagonal.sum(axis=1)
    squares = np.column_stack([1 + trace, 1 - trace[:, None] + 2 * diagonal])
    skew = rotation - np.swapaxes(rotation, 1, 2)
    mixed = rotation + np.swapaxes(rotation, 1, 2)
    products = np.empty((len(rotation), 4, 4))
    # Four times the products of the components w, x, y, z.
    products[:, range(4), range(4)] = squares
    for k, (i, j) in enumerate(((2, 1), (0, 2), (1, 0)), 1):
        products[:, 0, k] = products[:, k, 0] = skew[:, i, j]
        products[:, i + 1, j + 1] = products[:, j + 1, i + 1] = mixed[:, i, j]
    best = products[np.arange(len(rotation)), squares.argmax(axis=1)]
    best *= np.where(best[:, :1] < 0, -1.0, 1.0)
    length = np.linalg.norm(best[:, 1:], axis=1)
    angle = 2 * np.arctan2(length, best[:, 0])
    return best[:, 1:] * (angle / np.where(length > 0, length, 1.0))[:, None]
