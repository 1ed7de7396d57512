"""Free paper comes to rest: least energy of its folds, closed, in range and above the page.

Lengths are mm and angles radians.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import islice

import numpy as np

from ..loops.assembly import NAMED_SEEDS, levenberg_marquardt, seeds
from ..loops.blocks import Block
from ..loops.closure import BlockPose, Closure
from ..nonnegative import nonnegative
from .contact import NOTHING, UNMOVED, Contacts, least_distance, loop_curvature
from .rings import shrink, winds_once

CLOSED_MM = 1e-11
# Sheets are rounded; a ring of paper may miss itself by this however it is folded.
MEETS_MM = 1e-9
CLEAR = 1e-10
_STILL = 1e-11
_CUT = 1e-6
_ACTIVE = 1e-8
# Rows that say the same up to the rounding of the sheets are not both as tight as this.
_TIGHT = 3e-10
_STATIONARY = 1e-7
# Enough for a pose that is brought nearer to rest later.
ROUGHLY = 1e-5
_MOST_STEPS = 60
# Rows that contradict each other are hopeless if what they want in vain does not fall below this
# share from one step to the next, so many times in a row. Our choice; measured: on designs with
# free paper among other paper, what was found in the end had been stuck once at most.
_GAINS, _STUCK = 0.85, 2
# Poses that close as well as they must have an energy that is as good as this.
_NOISE = 1e-11
# Rows farther away than this play no part in one step (scaled heights, radians).
_NEAR = 0.6
# A step of the folds by 1 radian changes a scaled height by less than this.
_REACH = 8.0
_STARTS = 4
# Least curvature (relative stiffness) of a pose that is no minimum.
SADDLE = 1e-3
# Energies nearer to each other than this are equal.
_EVEN = 1e-9
# Starts nearer to each other than this lead to one pose, radians.
_SAME_START = 0.02
# Steps of softened paper shorter than this lead nowhere, radians.
_SOFT_STILL = 3e-3

# The closure of a block at some opening, radians; None where its hosts are not known.
ClosureAt = Callable[[float], Closure | None]


@dataclass(frozen=True)
class Rest:
    """A resting pose.

    Parameters
    ----------
    angles : shape (n,), radians.
    energy : relative to the mean stiffness.
    pressing : contact rows that carry it.
    multipliers : of closure, of these rows, and of the folds at their end stops, shape (m,); None
        where they were not found.
    """

    angles: np.ndarray
    energy: float
    pressing: np.ndarray
    multipliers: np.ndarray | None = None


@dataclass(frozen=True)
class _Split:
    """Singular vectors of a Jacobian, shape (m, n): what closes and what stays free."""

    left: np.ndarray
    values: np.ndarray
    right: np.ndarray
    free: np.ndarray

    @staticmethod
    def of(jacobian: np.ndarray, cut: float = _CUT) -> _Split:
        if not len(jacobian):
            none = np.zeros((0, 0))
            count = jacobian.shape[1]
            return _Split(none, np.zeros(0), np.zeros((0, count)), np.eye(count))
        left, values, right = np.linalg.svd(jacobian)
        rank = int((values > cut * max(values[0], 1.0)).sum())
        return _Split(left[:, :rank], values[:rank], right[:rank], right[rank:].T)

    def close(self, residual: np.ndarray) -> np.ndarray:
        """The shortest step that closes a residual (m,)."""
        return -self.right.T @ ((self.left.T @ residual) / self.values)

    def multipliers(self, force: np.ndarray) -> np.ndarray:
        """Closure multipliers, shape (m,), that balance forces on the folds (n,)."""
        return -self.left @ ((self.right @ force) / self.values)


@dataclass(frozen=True)
class Rows:
    """Some of the inequalities of a block: fold ranges (low ends, high ends), then contacts.

    Parameters
    ----------
    ids : which rows, shape (r,); contact row k has id 2 n + k.
    gradients, slacks : shapes (r, n) and (r,).
    touching : the contact rows among them.
    """

    ids: np.ndarray
    gradients: np.ndarray
    slacks: np.ndarray
    touching: np.ndarray


@dataclass(frozen=True)
class Springs:
    """A free block at one opening.

    Parameters
    ----------
    block : its folds are springs.
    closure : with the hosts placed, no batch.
    contacts : None if nothing stands in the way.
    """

    block: Block
    closure: Closure
    contacts: Contacts | None

    @property
    def stiffness(self) -> np.ndarray:
        """Relative stiffness, shape (n,); see :attr:`Block.relative`."""
        return self.block.relative

    def energy(self, angles: np.ndarray) -> float:
        """Energy of the folds, shape (n,)."""
        return float(0.5 * self.stiffness @ (angles - self.block.rest) ** 2)

    def heights(self, pose: BlockPose) -> np.ndarray:
        """Scaled heights of all contact rows, shape (R,)."""
        return self.contacts.heights(pose) if self.contacts is not None else np.zeros(0)

    def near(self, pose: BlockPose, heights: np.ndarray, distance: float) -> Rows:
        """All rows with less slack than `distance`; heights, shape (R,), as of the pose."""
        low, high = self.block.topology.bounds
        slacks = np.concatenate([pose.angles - low, high - pose.angles, heights])
        return self.pick(pose, slacks, np.flatnonzero(slacks < distance))

    def pick(self, pose: BlockPose, slacks: np.ndarray, ids: np.ndarray) -> Rows:
        """Some rows by id, from the slacks of all."""
        count = len(pose.angles)
        folds, touching = ids[ids < 2 * count], ids[ids >= 2 * count] - 2 * count
        gradients = np.zeros((len(ids), count))
        gradients[np.arange(len(folds)), folds % count] = np.where(folds < count, 1.0, -1.0)
        if len(touching) and self.contacts is not None:
            gradients[len(folds) :] = self.contacts.gradients(pose, touching)
        return Rows(ids, gradients, slacks[ids], touching)

    def restore(
        self,
        angles: np.ndarray,
        kept: np.ndarray | None = None,
        cut: float = _CUT,
        iterations: int = 12,
    ) -> BlockPose | None:
        """The nearest pose that closes, keeps every fold in range and every vertex above.

        Newton's method for equations and inequalities together; nothing is pinned.

        Parameters
        ----------
        kept : ids of rows that must hold as equations.
        cut : singular values below ``cut * max(largest, 1)`` do not count.
        """
        low, high = self.block.topology.bounds
        angles = np.minimum(np.maximum(angles, low), high)
        before, stuck = np.inf, 0
        for _ in range(iterations):
            pose = self.closure.at(angles)
            heights = self.heights(pose)
            residual, jacobian = pose.residual, pose.jacobian
            if kept is not None and len(kept):
                slacks = np.concatenate([angles - low, high - angles, heights])
                held = self.pick(pose, slacks, kept)
                jacobian = np.vstack([jacobian, held.gradients])
                residual = np.concatenate([residual, held.slacks])
            worst = np.abs(residual).max(initial=0.0)
            if worst < CLOSED_MM and heights.min(initial=0.0) > -CLEAR:
                return pose
            split = _Split.of(jacobian, cut)
            step = split.close(residual) if worst else np.zeros(len(angles))
            reach = 0.02 + _REACH * float(np.abs(step).max(initial=0.0))
            rows = self.near(pose, heights, min(2 * _NEAR, reach))
            wanted, short = -rows.slacks - rows.gradients @ step, 0.0
            if wanted.max(initial=0.0) > NOTHING:
                aside, short = _meet(rows.gradients @ split.free, wanted)
                step = step + split.free @ aside
            stuck = stuck + 1 if short > _GAINS * before else 0
            if stuck == _STUCK:
                return None
            before = short or np.inf
            size = float(np.abs(step).max(initial=0.0))
            if size < _STILL and worst < MEETS_MM and heights.min(initial=0.0) > -CLEAR:
                return pose
            angles = angles + step * min(1.0, 0.3 / max(size, 1e-300))
            angles = np.minimum(np.maximum(angles, low), high)
        return None

    def relax(
        self, pose: BlockPose, enough: float = _STATIONARY, leave: bool = False
    ) -> Rest | None:
        """Slide from a feasible pose to the nearest minimum of the energy; None if it stalls.

        Parameters
        ----------
        enough : force that may be left along the directions in which the pose can move.
        leave : whether a saddle will not do.
        """
        trust = 0.4
        for _ in range(_MOST_STEPS):
            heights = self.heights(pose)
            split, held, force, pushes, left = self._balanced(pose, heights)
            if left < enough and not leave:
                return self._at(pose, split, held, pushes, force)
            curvature = self._curvature(pose, split, held, pushes, force)
            if left < enough:
                rest = self._at(pose, split, held, pushes, force)
                return self._leave(rest, split, held, curvature)
            rows = self.near(pose, heights, _NEAR)
            step, *kept = _model_step(split, rows, curvature, force)
            size = float(np.linalg.norm(step))
            if size < 1e-13:
                return None
            first = min(1.0, trust / size)
            found = self._descend(pose, step, force, first, kept)
            if found is None:
                return None
            pose, share = found
            if share < first:
                trust = share * size
            elif first < 1:
                trust *= 1.6
        return None

    def _balanced(
        self, pose: BlockPose, heights: np.ndarray
    ) -> tuple[_Split, Rows, np.ndarray, np.ndarray, float]:
        """Split closure, rows held, force of the folds, the rows' pushes, and the force left."""
        split = _Split.of(pose.jacobian)
        force = self.stiffness * (pose.angles - self.block.rest)
        held = self.near(pose, heights, _ACTIVE)
        return split, held, force, *balance(held.gradients @ split.free, split.free.T @ force)

    def _at(
        self, pose: BlockPose, split: _Split, held: Rows, pushes: np.ndarray, force: np.ndarray
    ) -> Rest:
        pressing = self._pressing(split, held, pushes, force)
        return Rest(pose.angles, self.energy(pose.angles), pressing)

    @staticmethod
    def _pressing(split: _Split, held: Rows, pushes: np.ndarray, force: np.ndarray) -> np.ndarray:
        """Contact rows that carry the pose, as few as can, the tightest first.

        Parameters
        ----------
        pushes : of all rows that are held, shape (r,), enough to carry it.
        """
        tight = held.slacks <= _TIGHT
        if not tight.all():
            some, rest = balance(held.gradients[tight] @ split.free, split.free.T @ force)
            if rest < ROUGHLY:
                pushes = np.zeros(len(tight))
                pushes[tight] = some
        folds = len(held.ids) - len(held.touching)
        return held.touching[pushes[folds:] > 1e-9]

    def _curvature(
        self, pose: BlockPose, split: _Split, held: Rows, pushes: np.ndarray, force: np.ndarray
    ) -> np.ndarray:
        """Second derivative of the Lagrangian, shape (n, n), with non-negative pushes (r,)."""
        multipliers = split.multipliers(force - held.gradients.T @ pushes)
        curvature = np.diag(self.stiffness) + closure_curvature(pose, multipliers)
        weights = pushes[len(pushes) - len(held.touching) :]
        if weights.any() and self.contacts is not None:
            curvature = curvature - self.contacts.curvature(pose, held.touching, weights)
        return curvature

    def _leave(self, rest: Rest, split: _Split, held: Rows, curvature: np.ndarray) -> Rest:
        """The minimum beside a pose that is at rest only because it is symmetric.

        A saddle has a direction in which the energy falls to both sides; the one where it falls
        lower is taken, and of equal ones that which turns its fastest fold up. Poses that are
        minima come back unchanged.
        """
        way = self._falls(split, held, curvature)
        if way is None:
            return rest
        way *= np.sign(way[np.argmax(np.abs(way) > 0.99 * np.abs(way).max())])
        saddle = rest.angles
        for turned in (way, -way):
            found = self.settle(saddle + 0.1 * turned)
            if found is not None and found.energy < rest.energy - _EVEN:
                rest = found
        return rest

    @staticmethod
    def _falls(split: _Split, held: Rows, curvature: np.ndarray) -> np.ndarray | None:
        """The direction, shape (n,), in which the energy falls from a saddle; None of a minimum."""
        inside = split.free
        if len(held.ids):
            inside = inside @ _Split.of(held.gradients @ split.free).free
        if not inside.shape[1]:
            return None
        values, vectors = np.linalg.eigh(inside.T @ curvature @ inside)
        return inside @ vectors[:, 0] if values[0] <= -SADDLE else None

    def is_low(self, rest: Rest) -> bool:
        """Whether a resting pose is a minimum and no saddle."""
        pose = self.closure.at(rest.angles)
        split, held, force, pushes, _ = self._balanced(pose, self.heights(pose))
        return self._falls(split, held, self._curvature(pose, split, held, pushes, force)) is None

    def _descend(
        self,
        pose: BlockPose,
        step: np.ndarray,
        force: np.ndarray,
        share: float,
        kept: Sequence[np.ndarray],
    ) -> tuple[BlockPose, float] | None:
        """The first share of a step whose restored pose has less energy.

        Rows that press are kept as equations, those that only a whole step gets to with that one:
        where they curve away, a step along them would lift off and gain little or nothing.
        """
        energy, slope = self.energy(pose.angles), float(force @ step)
        while share > 1e-6:
            trial = self.restore(pose.angles + share * step, kept[0 if share == 1 else 1])
            if trial is None:
                trial = self.restore(pose.angles + share * step)
            if trial is not None:
                gain = self.energy(trial.angles) - energy
                if gain <= 1e-4 * share * min(slope, 0.0) + _NOISE * max(energy, 1.0):
                    return trial, share
            share *= 0.4
        return None

    def soften(self, angles: np.ndarray, weights: Sequence[float], steps: int = 25) -> np.ndarray:
        """Trade closure, energy and contact against each other with falling weights."""
        root = np.sqrt(self.stiffness)
        for weight in weights:
            springs = weight * np.diag(root)

            def equations(
                now: np.ndarray, w: float = weight, stiff: np.ndarray = springs
            ) -> tuple[np.ndarray, Callable[[], np.ndarray]]:
                pose = self.closure.at(now)
                residual = [pose.residual, w * root * (now - self.block.rest)]
                heights = self.heights(pose)
                below = np.flatnonzero(heights < 0)
                push = 20 * max(w, 0.1)
                if len(below):
                    residual.append(push * heights[below])

                def derived() -> np.ndarray:
                    jacobian = [pose.jacobian, stiff]
                    if len(below) and self.contacts is not None:
                        jacobian.append(push * self.contacts.gradients(pose, below))
                    return np.concatenate(jacobian)

                return np.concatenate(residual), derived

            angles = levenberg_marquardt(
                equations,
                angles,
                self.block.topology.bounds,
                steps,
                still=_SOFT_STILL if weight else 1e-10,
            )
        return angles

    def settle(
        self, guess: np.ndarray, enough: float = _STATIONARY, leave: bool = False
    ) -> Rest | None:
        """The resting pose next to a guess, shape (n,), radians; see :meth:`relax`."""
        pose = self.restore(guess)
        return self.relax(pose, enough, leave) if pose is not None else None

    def start(self, rings: list[np.ndarray], random: bool = False) -> Rest | None:
        """The lowest of the resting poses from the first few seeds; None if none closes.

        Two seeds that lead to one pose are enough.

        Parameters
        ----------
        random : take the random seeds instead of those that usually do.
        """
        found: list[Rest] = []
        tried: list[np.ndarray] = []
        # Those that are random load a library, so they are not made unless they are asked for.
        some = (NAMED_SEEDS, None) if random else (0, NAMED_SEEDS)
        for k, seed in enumerate(islice(seeds(self.block.topology), *some)):
            if k >= _STARTS and found:
                break
            soft = self.soften(shrink(rings, seed), (3.0,))
            if any(_alike(soft, other) for other in tried):
                if found:
                    break
                continue
            tried.append(soft)
            guess = self.soften(self.soften(soft, (0.3,)), (0.0,), 60)
            rest = self.settle(guess, leave=True)
            if rest is None or not winds_once(rings, rest.angles):
                continue
            if any(_alike(rest.angles, other.angles) for other in found):
                break
            found.append(rest)
        return min(found, key=lambda rest: rest.energy, default=None)


def _alike(one: np.ndarray, two: np.ndarray) -> bool:
    """Whether two starts lead to one pose, shapes (n,), radians."""
    return bool(np.abs(one - two).max(initial=0.0) < _SAME_START)


def closure_curvature(pose: BlockPose, multipliers: np.ndarray) -> np.ndarray:
    """Second derivative of multipliers · residual of a closed pose, shape (..., n, n).

    Only its part in the directions that keep the pose closed is meant.

    Parameters
    ----------
    multipliers : shape (..., 6 c).
    """
    topology = pose.topology
    if not len(topology.chords):
        count = len(topology.signs)
        return np.zeros((*pose.angles.shape[:-1], count, count))
    parts = multipliers.reshape(*multipliers.shape[:-1], -1, 6)
    forces, torques = parts[..., :3], parts[..., 3:] * pose.arms
    return loop_curvature(pose, topology.loops, pose.levers(pose.near), forces, torques)


def _model_step(
    split: _Split, rows: Rows, curvature: np.ndarray, force: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The step (n,) to the minimum of the quadratic model, and the ids of rows pressed there.

    Of these, the last ones are pressed now.
    """
    values, vectors = np.linalg.eigh(split.free.T @ curvature @ split.free)
    root = np.sqrt(np.maximum(np.abs(values), 1e-3))
    slope = vectors.T @ (split.free.T @ force) / root
    # Rows may be thousands, directions are tens: what can be multiplied before is.
    turned = rows.gradients @ (split.free @ (vectors / root))
    found = least_distance(turned, -rows.slacks + turned @ slope)
    if found is None:
        return -split.free @ (vectors @ (slope / root)), np.zeros(0, int), np.zeros(0, int)
    distance, pushes = found
    step = split.free @ (vectors @ ((distance - slope) / root))
    return step, rows.ids[pushes > 0], rows.ids[(pushes > 0) & (rows.slacks < _ACTIVE)]


def balance(rows: np.ndarray, slope: np.ndarray) -> tuple[np.ndarray, float]:
    """Non-negative pushes of the rows, shape (r,), that balance a slope best; what is left.

    Rows that no free direction moves are rounding, which huge pushes would turn into anything.
    """
    pushes = np.zeros(len(rows))
    moved = np.abs(rows).max(axis=1, initial=0.0) > UNMOVED
    if not moved.any():
        return pushes, float(np.linalg.norm(slope))
    pushes[moved], rest = nonnegative(rows[moved].T, slope)
    return pushes, rest


def _meet(rows: np.ndarray, wanted: np.ndarray) -> tuple[np.ndarray, float]:
    """The shortest y with rows @ y ≥ wanted, or a damped least-squares step if there is none.

    Also what is wanted in vain, 0 if it is not.
    """
    found = least_distance(rows, wanted)
    if found is not None:
        return found[0], 0.0
    broken = wanted > 0
    part = rows[broken]
    damped = part @ part.T + 1e-3 * np.eye(len(part))
    way = part.T @ np.linalg.solve(damped, wanted[broken])
    return way, float(np.linalg.norm(wanted[broken]))
