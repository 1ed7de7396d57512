"""Loops of folded paper: poses along a spanning tree, what fails to close, and derivatives.

Unknowns are fold angles. Folds of a breadth-first tree from the known bodies close by construction;
each remaining fold, a *chord*, must close and gives six equations.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, fields
from functools import cached_property, lru_cache
from typing import Any

import numpy as np

from meshes.linkage import Hinge

from .turns import TIMES_OR_SCALE, cross, rotation_gap, times_axis

# A fold shorter than this still weighs an angle error as if it were this long, mm.
SHORTEST_MM = 5.0

# A turn about the first column of a frame is still + cos along + sin aside.
_STILL, _ALONG, _ASIDE = np.zeros((3, 4, 4))
_STILL[[0, 3], [0, 3]] = 1
_ALONG[[1, 2], [1, 2]] = 1
_ASIDE[2, 1], _ASIDE[1, 2] = 1, -1
_LAST_ROW = np.array([0.0, 0.0, 0.0, 1.0])


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
    def order(self) -> np.ndarray:
        """The folds of the tree, level after level, then the chords, shape (n,)."""
        return np.concatenate([*(level.folds for level in self.levels), self.chords])

    @cached_property
    def leaves(self) -> np.ndarray:
        """The side (0 or 1) on which each fold leaves its parent; of a chord side 0, (n,)."""
        leaves = np.zeros(len(self.sides), int)
        for level in self.levels:
            leaves[level.folds] = level.first
        return leaves

    @cached_property
    def left(self) -> np.ndarray:
        """The body that each fold leaves, shape (n,)."""
        return np.array([pair[k] for pair, k in zip(self.sides, self.leaves, strict=True)], int)

    @cached_property
    def climb(self) -> tuple[tuple[slice, np.ndarray, np.ndarray | slice], ...]:
        """For each level its rows in `order`, the parents and the children."""
        ends = np.cumsum([0, *(len(level.folds) for level in self.levels)]).tolist()
        return tuple(
            (slice(*pair), level.parent, _run(level.child))
            for pair, level in zip(itertools.pairwise(ends), self.levels, strict=True)
        )

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
    def shares(self) -> tuple[np.ndarray, np.ndarray]:
        """What counts in the derivatives of a chord's gap, see :attr:`BlockPose.jacobian`.

        Of the levers of its middles and of the turn that is left, and of the moments, shapes
        (4, c, 1, n) and (c, 1, n).
        """
        first, second, own = self.turns
        return np.array([second, -first, second + own, second - own]), second - first

    @cached_property
    def loops(self) -> np.ndarray:
        """How pairs of folds count at the ends of the chords' loops, (c, n, n); see `paired`."""
        first, last, own = (turns[:, 0, :] for turns in self.turns)
        order = np.where(self.paths[self.ends[1]] != 0, self.depth + 1, -self.depth - 1)
        order[np.arange(len(self.chords)), self.chords] = -len(self.signs) - 2
        return paired(last - np.where(own != first, 1.0, first), order)

    @cached_property
    def bounds(self) -> tuple[np.ndarray, np.ndarray]:
        """Least and largest angle of each fold, radians."""
        signs = np.array(self.signs, float)
        return np.minimum(signs, 0) * np.pi, np.maximum(signs, 0) * np.pi


@lru_cache(maxsize=1024)
def topology_of(
    known: int, bodies: int, sides: tuple[tuple[int, int], ...], signs: tuple[int, ...]
) -> Topology:
    """A topology, one and the same for equal blocks: what it knows of itself is found once."""
    return Topology(known, bodies, sides, signs)


@dataclass(frozen=True)
class Links:
    """How every fold carries on from the body that it leaves, as homogeneous matrices.

    Folds of the tree come level after level, then the chords; each leaves its parent, a chord its
    near side. The step over a fold of angle phi is ``still + cos(phi) along + sin(phi) aside``: to
    the child for a fold of the tree, to the fold's turned frame in its middle for a chord. All
    arrays may carry a leading batch axis.

    Parameters
    ----------
    still, along, aside : shape (..., n, 4, 4).
    hung : frames of the folds on the body that each leaves, in the order of the folds, shape
        (..., n, 4, 4).
    far : frames in the chords' middles on their far sides, shape (..., c, 4, 4).
    arms : half the lengths of the chords, but never too short, shape (..., c, 1), mm.
    """

    still: np.ndarray
    along: np.ndarray
    aside: np.ndarray
    hung: np.ndarray
    far: np.ndarray
    arms: np.ndarray

    @staticmethod
    def of(geometry: Geometry) -> Links:
        """Of folds as they lie on their bodies."""
        topology = geometry.topology
        order, tree = topology.order, len(topology.order) - len(topology.chords)
        first = topology.leaves[order]
        ends = geometry.ends
        near = ends[..., np.arange(len(order)), topology.leaves, :, :]
        leave, turn = near[..., order, :, :], np.where(first == 0, 1.0, -1.0)
        back = np.zeros_like(leave)
        back[...] = np.eye(4)
        there = ends[..., order[:tree], 1 - first[:tree], :, :]
        turned = np.swapaxes(there[..., :3, :3], -1, -2)
        back[..., :tree, :3, :3] = turned
        back[..., :tree, :3, 3:] = -turned @ there[..., :3, 3:]
        half = geometry.lengths[..., topology.chords, None] / 2
        leave[..., tree:, :3, 3] += half * leave[..., tree:, :3, 0]
        far = ends[..., topology.chords, 1, :, :]
        far[..., :3, 3] += half * far[..., :3, 0]
        near[..., topology.chords, :3, 3] = leave[..., tree:, :3, 3]
        return Links(
            leave @ _STILL @ back,
            leave @ _ALONG @ back,
            turn[:, None, None] * (leave @ _ASIDE @ back),
            near,
            far,
            np.maximum(half, SHORTEST_MM / 2),
        )

    @staticmethod
    def stack(parts: Sequence[Links]) -> Links:
        """A batch of links of one topology."""
        return Links(*(np.array([getattr(one, name) for one in parts]) for name in _LINKS))

    def steps(self, ordered: np.ndarray, rows: slice) -> np.ndarray:
        """The steps over some folds by their angles, shape (..., k), radians, (..., k, 4, 4)."""
        ordered = ordered[..., None, None]
        steps = np.cos(ordered) * self.along[..., rows, :, :]
        steps += np.sin(ordered) * self.aside[..., rows, :, :]
        steps += self.still[..., rows, :, :]
        return steps

    def take(self, pick: Any) -> Links:
        """Rows of a batch."""
        return Links(*(getattr(self, name)[pick] for name in _LINKS))


_LINKS = tuple(field.name for field in fields(Links))


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
        batch = Geometry(
            parts[0].topology,
            np.array([part.frames for part in parts]),
            np.array([part.origins for part in parts]),
            np.array([part.lengths for part in parts]),
        )
        return batch._with(Links.stack([part.links for part in parts]))

    def take(self, rows: np.ndarray | None) -> Geometry:
        """Rows of a batch; None for a new axis after the first."""
        pick = (slice(None), None) if rows is None else rows
        part = Geometry(self.topology, self.frames[pick], self.origins[pick], self.lengths[pick])
        return part._with(self.links.take(pick))

    def _with(self, links: Links) -> Geometry:
        """The same geometry with links that are known already."""
        vars(self)["links"] = links
        return self

    @property
    def single(self) -> bool:
        """Whether it is that of one block, without a batch axis."""
        return self.lengths.ndim == 1

    @property
    def ends(self) -> np.ndarray:
        """Frames and origins on both sides of each fold as one, shape (..., n, 2, 4, 4)."""
        ends = np.zeros((*self.lengths.shape, 2, 4, 4))
        ends[..., :3, :3] = self.frames
        ends[..., :3, 3] = self.origins
        ends[..., 3, 3] = 1.0
        return ends

    @cached_property
    def links(self) -> Links:
        """What to multiply to place all bodies."""
        return Links.of(self)


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

    @cached_property
    def given(self) -> np.ndarray:
        """The known bodies as homogeneous matrices, shape (..., known, 4, 4)."""
        return _homogeneous(self.rotations, self.translations)

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

    def at(self, angles: np.ndarray) -> BlockPose:
        """The pose for fold angles of shape (..., n), radians."""
        topology, links = self.topology, self.geometry.links
        bodies, steps = self._followed(angles)
        near, far = (bodies.take(ends, axis=-3) for ends in topology.ends)
        return BlockPose(topology, links, angles, bodies, *_met(links, near, far, steps))

    def bodies(self, angles: np.ndarray) -> np.ndarray:
        """All bodies for fold angles of shape (..., n), as of :class:`BlockPose`."""
        return self._followed(angles)[0]

    def _followed(self, angles: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """All bodies, and the steps over the chords, shape (..., c, 4, 4)."""
        topology = self.topology
        steps = self.geometry.links.steps(angles.take(topology.order, axis=-1), slice(None))
        bodies = np.empty((*angles.shape[:-1], topology.bodies, 4, 4))
        bodies[..., : topology.known, :, :] = self.given
        for rows, parents, children in topology.climb:
            parent = bodies.take(parents, axis=-3)
            bodies[..., children, :, :] = parent @ steps[..., rows, :, :]
        return bodies, steps[..., len(topology.signs) - len(topology.chords) :, :, :]


def gaps_left(
    geometry: Geometry, rotations: np.ndarray, translations: np.ndarray, angles: np.ndarray
) -> np.ndarray:
    """How far chords fail to close whose bodies are placed, shape (...), mm.

    Parameters
    ----------
    rotations, translations : of the bodies on both sides of the chords, shapes (..., 2, c, 3, 3)
        and (..., 2, c, 3), mm.
    angles : of all folds, shape (..., n), radians.
    """
    topology, links = geometry.topology, geometry.links
    tail = slice(len(topology.signs) - len(topology.chords), None)
    ends = _homogeneous(rotations, translations)
    steps = links.steps(angles.take(topology.chords, axis=-1), tail)
    near, far, _, turn = _met(links, ends[..., 0, :, :, :], ends[..., 1, :, :, :], steps)
    parts = np.concatenate([far - near, links.arms * turn], axis=-1)
    return np.abs(parts).max(axis=(-2, -1), initial=0.0)


def _homogeneous(rotations: np.ndarray, translations: np.ndarray) -> np.ndarray:
    """Rotations (..., 3, 3) and translations (..., 3) as one, shape (..., 4, 4)."""
    both = np.empty((*translations.shape[:-1], 4, 4))
    both[..., :3, :3] = rotations
    both[..., :3, 3] = translations
    both[..., 3, :] = _LAST_ROW
    return both


def _met(
    links: Links, near: np.ndarray, far: np.ndarray, steps: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """The last four parts of a :class:`BlockPose`, from the bodies on both sides of the chords."""
    near, far = near @ steps, far @ links.far
    scalar, turn = rotation_gap(far[..., :3, :3] @ near[..., :3, :3].swapaxes(-1, -2))
    return near[..., :3, 3], far[..., :3, 3], scalar, turn


@dataclass(frozen=True)
class BlockPose:
    """All bodies of a block for given fold angles, with the means to differentiate.

    Parameters
    ----------
    bodies : rotations and translations of all bodies as one, shape (..., bodies, 4, 4), mm.
    near, far : middle of each chord on its facet 0 and 1, shape (..., c, 3), mm.
    scalar, turn : the rotation by which a chord fails to close, as cos(α/2) and 2 sin(α/2) × axis.
    """

    topology: Topology
    links: Links
    angles: np.ndarray
    bodies: np.ndarray
    near: np.ndarray
    far: np.ndarray
    scalar: np.ndarray
    turn: np.ndarray

    @property
    def arms(self) -> np.ndarray:
        """By how many mm an angle error counts, shape (..., c, 1)."""
        return self.links.arms

    @cached_property
    def lines(self) -> tuple[np.ndarray, np.ndarray]:
        """Direction of each fold and a point on it, mm, shapes (..., 3, n)."""
        frames = self.bodies.take(self.topology.left, axis=-3) @ self.links.hung
        return frames[..., :3, 0].swapaxes(-1, -2), frames[..., :3, 3].swapaxes(-1, -2)

    @property
    def axes(self) -> np.ndarray:
        """Direction of each fold, shape (..., 3, n)."""
        return self.lines[0]

    @property
    def points(self) -> np.ndarray:
        """A point on each fold, shape (..., 3, n), mm."""
        return self.lines[1]

    @property
    def rotations(self) -> np.ndarray:
        """Of all bodies, shape (..., bodies, 3, 3)."""
        return self.bodies[..., :3, :3]

    @property
    def translations(self) -> np.ndarray:
        """Of all bodies, shape (..., bodies, 3), mm."""
        return self.bodies[..., :3, 3]

    @cached_property
    def columns(self) -> np.ndarray:
        """The transposed matrices of all bodies below each other, shape (..., 4 bodies, 3)."""
        turned = self.bodies[..., :3, :].swapaxes(-1, -2)
        return turned.reshape(*turned.shape[:-3], 4 * self.topology.bodies, 3)

    @cached_property
    def residual(self) -> np.ndarray:
        """What fails to close, shape (..., 6 c), mm."""
        parts = np.concatenate([self.far - self.near, self.arms * self.turn], axis=-1)
        return parts.reshape(*parts.shape[:-2], 6 * len(self.topology.chords))

    @cached_property
    def moments(self) -> np.ndarray:
        """Axis times point of every fold, shape (..., 3, n)."""
        return cross(self.axes, self.points)

    def levers(self, points: np.ndarray) -> np.ndarray:
        """How points, shape (..., L, 3), move with all folds, shape (..., L, 3, n)."""
        moved = times_axis(points) @ self.axes[..., None, :, :]
        moved -= self.moments[..., None, :, :]
        return moved

    @cached_property
    def jacobian(self) -> np.ndarray:
        """Derivative of the residual, shape (..., 6 c, n). Exact also where nothing closes yet."""
        count, folds = len(self.topology.chords), len(self.topology.signs)
        batch = self.angles.shape[:-1]
        levers, moments = self.topology.shares
        # One product for the axes across both middles, and by the quaternion that is left.
        arms = np.zeros((*batch, 4, count, 4))
        arms[..., 0, :, :3] = self.far
        arms[..., 1, :, :3] = self.near
        arms[..., 2, :, :3] = self.arms / 2 * self.turn
        arms[..., 3, :, 3] = self.arms[..., 0] * self.scalar
        parts = (arms @ TIMES_OR_SCALE).reshape(*batch, 12 * count, 3) @ self.axes
        parts = parts.reshape(*batch, 4, count, 3, folds)
        parts *= levers
        rows = np.empty((*batch, count, 6, folds))
        shifts, turns = rows[..., :3, :], rows[..., 3:, :]
        np.add(parts[..., 0, :, :, :], parts[..., 1, :, :, :], out=shifts)
        shifts -= moments * self.moments[..., None, :, :]
        # The product rule of quaternions, for turns on the far side and on the near side.
        np.add(parts[..., 2, :, :, :], parts[..., 3, :, :, :], out=turns)
        return rows.reshape(*batch, 6 * count, folds)

    @property
    def gap(self) -> np.ndarray:
        """Largest entry of the residual, shape (...), mm."""
        return np.abs(self.residual).max(axis=-1, initial=0.0)


def _run(rows: np.ndarray) -> np.ndarray | slice:
    """The same rows as a slice if they follow each other, which is quicker to index with."""
    whole = np.array_equal(rows, np.arange(rows[0], rows[0] + len(rows)))
    return slice(int(rows[0]), int(rows[0]) + len(rows)) if whole else rows


def paired(signs: np.ndarray, order: np.ndarray) -> np.ndarray:
    """How much each pair of folds counts at the ends of L loops, shape (L, n, n).

    A pair counts where its first fold comes before its second, and a fold with itself from either
    side.

    Parameters
    ----------
    signs : how each fold turns the end of each loop, shape (L, n): +1, -1 or 0.
    order : places of the folds on the way there, shape (L, n).
    """
    before = (order[:, :, None] < order[:, None, :]) + np.eye(order.shape[1]) / 2
    return before * (signs[:, :, None] * signs[:, None, :])
