"""Loops of folded paper: poses along a spanning tree, what fails to close, and derivatives.

Unknowns are fold angles. Folds of a breadth-first tree from the known bodies close by construction;
each remaining fold, a *chord*, must close and gives six equations.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from meshes.linkage import Hinge

# A fold shorter than this still weighs an angle error as if it were this long, mm.
SHORTEST_MM = 5.0


@dataclass(frozen=True)
class Level:
    """Tree folds that can be followed at once: from `parent` bodies to `child` bodies.

    `first` is the side (0 or 1) of the fold on which the parent lies.
    """

    folds: np.ndarray
    parent: np.ndarray
    child: np.ndarray
    first: np.ndarray


@dataclass(frozen=True)
class Topology:
    """Which fold joins which bodies. Bodies 0 … known - 1 have a given pose.

    Equal topologies are equal values, so blocks that have them can be solved as one batch.

    Parameters
    ----------
    sides : for each of the n folds the bodies of its facet 0 and facet 1.
    signs : +1 mountain, -1 valley, for each fold.
    """

    known: int
    bodies: int
    sides: tuple[tuple[int, int], ...]
    signs: tuple[int, ...]

    @cached_property
    def levels(self) -> tuple[Level, ...]:
        """The spanning tree, breadth first."""
        reached, front, levels = set(range(self.known)), set(range(self.known)), []
        while front:
            rows, new = [], set()
            for k, (a, b) in enumerate(self.sides):
                for parent, child, first in ((a, b, 0), (b, a, 1)):
                    if parent in front and child not in reached:
                        reached.add(child)
                        new.add(child)
                        rows.append((k, parent, child, first))
            if rows:
                levels.append(Level(*np.array(rows).T))
            front = new
        return tuple(levels)

    @cached_property
    def chords(self) -> np.ndarray:
        """Indices of the folds that are not in the tree."""
        tree = {int(k) for level in self.levels for k in level.folds}
        return np.array([k for k in range(len(self.sides)) if k not in tree], int)

    @cached_property
    def paths(self) -> np.ndarray:
        """How each fold turns each body, shape (bodies, n): +1, -1 or 0."""
        paths = np.zeros((self.bodies, len(self.sides)))
        for level in self.levels:
            for fold, parent, child, first in zip(
                level.folds, level.parent, level.child, level.first, strict=True
            ):
                paths[child] = paths[parent]
                paths[child, fold] = 1.0 if first == 0 else -1.0
        return paths

    @cached_property
    def depth(self) -> np.ndarray:
        """Tree level of each fold (chords: -1), shape (n,)."""
        depth = np.full(len(self.sides), -1)
        for rank, level in enumerate(self.levels):
            depth[level.folds] = rank
        return depth

    @cached_property
    def ends(self) -> tuple[np.ndarray, np.ndarray]:
        """Bodies on both sides of the chords."""
        pairs = np.array([self.sides[k] for k in self.chords], int).reshape(-1, 2)
        return pairs[:, 0], pairs[:, 1]

    @cached_property
    def turns(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """How folds turn the chords' near sides, far sides, and those with the chord's own turn.

        Shape (c, 1, n) each.
        """
        first, second = (self.paths[ends][:, None, :] for ends in self.ends)
        own = first.copy()
        own[np.arange(len(self.chords)), 0, self.chords] += 1.0
        return first, second, own

    @cached_property
    def bounds(self) -> tuple[np.ndarray, np.ndarray]:
        """Least and largest angle of each fold, radians."""
        signs = np.array(self.signs, float)
        return np.minimum(signs, 0) * np.pi, np.maximum(signs, 0) * np.pi


@dataclass(frozen=True)
class Tree:
    """All folds of the tree as arrays over them, level after level, with any batch axis before.

    Parameters
    ----------
    folds, parents : indices, shape (k,).
    levels : for each level its rows, and the parents and children there.
    frames, origins : on the parents, shapes (..., k, 3, 3) and (..., k, 3).
    backs, seats : transposed frames and origins on the children.
    turns : +1 where the parent lies on side 0, else -1, shape (k,).
    """

    folds: np.ndarray
    parents: np.ndarray
    levels: tuple[tuple[slice, np.ndarray, np.ndarray], ...]
    frames: np.ndarray
    origins: np.ndarray
    backs: np.ndarray
    seats: np.ndarray
    turns: np.ndarray


@dataclass(frozen=True)
class Geometry:
    """Where the folds lie on their bodies; may carry a leading batch axis.

    Parameters
    ----------
    frames : shape (..., n, 2, 3, 3), columns a, b, n on both sides of each fold.
    origins : shape (..., n, 2, 3), mm.
    lengths : shape (..., n), mm.
    """

    topology: Topology
    frames: np.ndarray
    origins: np.ndarray
    lengths: np.ndarray

    @staticmethod
    def of(topology: Topology, hinges: Sequence[Hinge]) -> Geometry:
        """The geometry of some hinges, in order."""
        return Geometry(
            topology,
            np.array([hinge.frames for hinge in hinges]),
            np.array([hinge.origins for hinge in hinges]),
            np.array([hinge.length for hinge in hinges]),
        )

    @staticmethod
    def stack(parts: Sequence[Geometry]) -> Geometry:
        """A batch of blocks of one topology."""
        return Geometry(
            parts[0].topology,
            np.stack([part.frames for part in parts]),
            np.stack([part.origins for part in parts]),
            np.stack([part.lengths for part in parts]),
        )

    def take(self, rows: np.ndarray | None) -> Geometry:
        """Rows of a batch; None for a new axis after the first."""
        pick = (slice(None), None) if rows is None else rows
        return Geometry(self.topology, self.frames[pick], self.origins[pick], self.lengths[pick])

    @property
    def single(self) -> bool:
        """Whether it is that of one block, without a batch axis."""
        return self.lengths.ndim == 1

    @cached_property
    def tree(self) -> Tree:
        """The tree of the topology with its folds in place."""
        levels = self.topology.levels
        folds, first, parents = (
            np.concatenate([np.zeros(0, int), *(getattr(level, name) for level in levels)])
            for name in ("folds", "first", "parent")
        )
        ends = np.cumsum([0, *(len(level.folds) for level in levels)]).tolist()
        rows = [slice(*pair) for pair in itertools.pairwise(ends)]
        return Tree(
            folds,
            parents,
            tuple(
                (row, level.parent, level.child) for row, level in zip(rows, levels, strict=True)
            ),
            self.frames[..., folds, first, :, :],
            self.origins[..., folds, first, :],
            np.swapaxes(self.frames[..., folds, 1 - first, :, :], -1, -2),
            self.origins[..., folds, 1 - first, :],
            np.where(first == 0, 1.0, -1.0),
        )

    @cached_property
    def chords(self) -> tuple[np.ndarray, ...]:
        """Frames and middles of the chords on side 0 and 1, and half their lengths."""
        chords = self.topology.chords
        half = self.lengths[..., chords, None] / 2
        parts: list[np.ndarray] = []
        for side in (0, 1):
            frames = self.frames[..., chords, side, :, :]
            parts += [frames, self.origins[..., chords, side, :] + half * frames[..., 0]]
        return (*parts, half)


@dataclass(frozen=True)
class Closure:
    """The closure equations of a block whose known bodies have been placed.

    All arrays may carry the same leading batch axis.

    Parameters
    ----------
    rotations : shape (..., known, 3, 3).
    translations : shape (..., known, 3), mm.
    """

    geometry: Geometry
    rotations: np.ndarray
    translations: np.ndarray

    @property
    def topology(self) -> Topology:
        """Which fold joins which bodies."""
        return self.geometry.topology

    @staticmethod
    def stack(parts: Sequence[Closure]) -> Closure:
        """A batch of closures of one topology; those of one block share its geometry."""
        geometry = parts[0].geometry
        if any(part.geometry is not geometry for part in parts):
            geometry = Geometry.stack([part.geometry for part in parts])
        return Closure(
            geometry,
            np.array([part.rotations for part in parts]),
            np.array([part.translations for part in parts]),
        )

    def take(self, rows: np.ndarray) -> Closure:
        """Rows of a batch."""
        geometry = self.geometry if self.geometry.single else self.geometry.take(rows)
        return Closure(geometry, self.rotations[rows], self.translations[rows])

    def at(self, angles: np.ndarray) -> Pose:
        """The pose for fold angles of shape (..., n), radians."""
        topology, batch = self.topology, angles.shape[:-1]
        rotations = np.empty((*batch, topology.bodies, 3, 3))
        translations = np.empty((*batch, topology.bodies, 3))
        rotations[..., : topology.known, :, :] = self.rotations
        translations[..., : topology.known, :] = self.translations
        axes = np.empty((*batch, 3, angles.shape[-1]))
        points = np.empty_like(axes)
        cos, sin = np.cos(angles), np.sin(angles)
        tree = self.geometry.tree
        # Each child seen from its parent, then the parents placed level by level.
        turned = _turn(tree.frames, cos[..., tree.folds], tree.turns * sin[..., tree.folds])
        local = turned @ tree.backs
        shift = tree.origins - _apply(local, tree.seats)
        for rows, parents, children in tree.levels:
            parent = rotations[..., parents, :, :]
            rotations[..., children, :, :] = parent @ local[..., rows, :, :]
            moved = _apply(parent, shift[..., rows, :])
            translations[..., children, :] = moved + translations[..., parents, :]
        parent = rotations[..., tree.parents, :, :]
        axes[..., tree.folds] = np.swapaxes(_apply(parent, tree.frames[..., 0]), -1, -2)
        origin = _apply(parent, tree.origins) + translations[..., tree.parents, :]
        points[..., tree.folds] = np.swapaxes(origin, -1, -2)
        return self._close(angles, cos, sin, rotations, translations, axes, points)

    def _close(
        self,
        angles: np.ndarray,
        cos: np.ndarray,
        sin: np.ndarray,
        rotations: np.ndarray,
        translations: np.ndarray,
        axes: np.ndarray,
        points: np.ndarray,
    ) -> Pose:
        chords, (first, second) = self.topology.chords, self.topology.ends
        near_frame, near, far_frame, far, half = self.geometry.chords
        one, two = rotations[..., first, :, :], rotations[..., second, :, :]
        frame = one @ near_frame
        middle = _apply(one, near) + translations[..., first, :]
        axes[..., chords] = np.swapaxes(frame[..., 0], -1, -2)
        points[..., chords] = np.swapaxes(middle, -1, -2)
        turned = _turn(frame, cos[..., chords], sin[..., chords])
        scalar, turn = _rotation_gap(two @ far_frame @ np.swapaxes(turned, -1, -2))
        return Pose(
            self.topology,
            angles,
            rotations,
            translations,
            axes,
            points,
            middle,
            _apply(two, far) + translations[..., second, :],
            np.maximum(half, SHORTEST_MM / 2),
            scalar,
            turn,
        )


@dataclass(frozen=True)
class Pose:
    """All bodies of a block for given fold angles, with the means to differentiate.

    Parameters
    ----------
    rotations, translations : shapes (..., bodies, 3, 3) and (..., bodies, 3), mm.
    axes, points : direction of and a point on each fold, shape (..., 3, n).
    near, far : middle of each chord on its facet 0 and 1, shape (..., c, 3), mm.
    arms : mm by which an angle error counts, shape (..., c, 1).
    scalar, turn : the rotation by which a chord fails to close, as cos(α/2) and 2 sin(α/2) × axis.
    """

    topology: Topology
    angles: np.ndarray
    rotations: np.ndarray
    translations: np.ndarray
    axes: np.ndarray
    points: np.ndarray
    near: np.ndarray
    far: np.ndarray
    arms: np.ndarray
    scalar: np.ndarray
    turn: np.ndarray

    @cached_property
    def residual(self) -> np.ndarray:
        """What fails to close, shape (..., 6 c), mm."""
        parts = np.concatenate([self.far - self.near, self.arms * self.turn], axis=-1)
        return parts.reshape(*parts.shape[:-2], 6 * len(self.topology.chords))

    @cached_property
    def moments(self) -> np.ndarray:
        """Axis times point of every fold, shape (..., 3, n)."""
        return cross(self.axes, self.points)

    @cached_property
    def jacobian(self) -> np.ndarray:
        """Derivative of the residual, shape (..., 6 c, n). Exact also where nothing closes yet."""
        topology = self.topology
        count = len(topology.chords)
        first, second, own = topology.turns
        axes, moments = self.axes[..., None, :, :], self.moments[..., None, :, :]
        rows = np.empty((*self.angles.shape[:-1], count, 6, len(topology.signs)))
        rows[..., :3, :] = second * (_times_axis(self.far) @ axes - moments)
        rows[..., :3, :] -= first * (_times_axis(self.near) @ axes - moments)
        # The product rule of quaternions, for turns on the far side and on the near side.
        plain = (self.arms[..., 0] * self.scalar)[..., None, None] * axes
        tilt = _times_axis(self.arms / 2 * self.turn) @ axes
        rows[..., 3:, :] = (second - own) * plain + (second + own) * tilt
        return rows.reshape(*rows.shape[:-3], 6 * count, len(topology.signs))

    @property
    def gap(self) -> np.ndarray:
        """Largest entry of the residual, shape (...), mm."""
        return np.abs(self.residual).max(axis=-1, initial=0.0)


def _turn(frame: np.ndarray, cos: np.ndarray, sin: np.ndarray) -> np.ndarray:
    """The frames (..., 3, 3) turned about their first column by angles (...)."""
    cos, sin = cos[..., None], sin[..., None]
    across, normal = frame[..., 1], frame[..., 2]
    turned = np.empty(np.broadcast_shapes(frame.shape, (*cos.shape, 3)))
    turned[..., 0] = frame[..., 0]
    turned[..., 1] = cos * across + sin * normal
    turned[..., 2] = cos * normal - sin * across
    return turned


def _apply(matrix: np.ndarray, vector: np.ndarray) -> np.ndarray:
    return (matrix @ vector[..., None])[..., 0]


def cross(left: np.ndarray, right: np.ndarray) -> np.ndarray:
    """Cross products of columns, shapes (..., 3, n)."""
    a, b, c = left[..., 0, :], left[..., 1, :], left[..., 2, :]
    x, y, z = right[..., 0, :], right[..., 1, :], right[..., 2, :]
    product = np.empty(np.broadcast_shapes(left.shape, right.shape))
    product[..., 0, :] = b * z - c * y
    product[..., 1, :] = c * x - a * z
    product[..., 2, :] = a * y - b * x
    return product


# Row-major entries of the matrix that takes a to a × v, by the entries of v.
_TIMES = np.zeros((3, 9))
_TIMES[2, [1, 3]] = 1, -1
_TIMES[1, [6, 2]] = 1, -1
_TIMES[0, [5, 7]] = 1, -1


def _times_axis(vector: np.ndarray) -> np.ndarray:
    """The matrix that takes a to a × vector, shape (..., 3, 3)."""
    return (vector @ _TIMES).reshape(*vector.shape, 3)


def _rotation_gap(turn: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """cos(α/2), shape (...), and 2 sin(α/2) × axis, shape (..., 3), of rotations (..., 3, 3).

    The plain skew part vanishes for half a turn, which must not read as closed.
    """
    entries = turn.reshape(*turn.shape[:-2], 9)
    trace = entries[..., 0] + entries[..., 4] + entries[..., 8]
    skew = entries[..., [7, 2, 3]] - entries[..., [5, 6, 1]]
    scalar = np.sqrt(np.maximum(1 + trace, 0)) / 2
    far = trace < -0.96
    if not far.any():
        return scalar, skew / (2 * scalar)[..., None]
    vector = skew / (2 * np.where(far, 1.0, scalar))[..., None]
    vector[far] = _half_turn(turn[far], skew[far])
    return scalar, vector


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
