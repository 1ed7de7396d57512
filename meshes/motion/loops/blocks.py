"""What must be solved together: a linkage falls into blocks, hosts before what stands on them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from meshes.linkage import Hinge, Linkage

from .assembly import CLEAR_RAD, CLOSED_MM, Assembly, assemble, close, nullity
from .closure import Closure, Geometry, Topology, topology_of

# Steps within which a larger block closes from the angles of a smaller one if these are of use.
# Our choice; measured: where it did, in the shipped designs, it took seven at most, or over thirty.
_GUESS_STEPS = 12

# Rotation (3, 3) and translation (3,), mm.
Placed = tuple[np.ndarray, np.ndarray]


@dataclass(frozen=True)
class Block:
    """Folds and bodies that are solved at once.

    Parameters
    ----------
    hinges : indices of its n folds in the linkage.
    bodies : indices of its bodies in the linkage; the known ones, on which it stands, come first.
    rest : signed rest angles, shape (n,), radians.
    stiffness : stiffness times length, shape (n,).
    free : whether it can still move while the pages are held.
    level : 0 if it stands on given bodies only, else one more than its highest host.
    start : opening at which it was first assembled, radians.
    angles : the folds there, shape (n,), radians.
    """

    hinges: tuple[int, ...]
    bodies: tuple[int, ...]
    topology: Topology
    geometry: Geometry
    rest: np.ndarray
    stiffness: np.ndarray
    free: bool = False
    level: int = 0
    start: float = 0.0
    angles: np.ndarray | None = None

    @property
    def hosts(self) -> tuple[int, ...]:
        """Bodies of the linkage on which the block stands."""
        return self.bodies[: self.topology.known]

    @property
    def own(self) -> tuple[int, ...]:
        """Bodies of the linkage that the block places."""
        return self.bodies[self.topology.known :]

    @cached_property
    def relative(self) -> np.ndarray:
        """Stiffness of mean 1, so that tolerances have one scale, shape (n,)."""
        return self.stiffness / self.stiffness.mean()

    @property
    def clear(self) -> bool:
        """Whether all folds keep off their end stops where the block was first assembled."""
        if self.angles is None:
            return True
        opened = np.abs(self.angles)
        return bool(np.all((opened > CLEAR_RAD) & (opened < np.pi - CLEAR_RAD)))

    def closure(self, rotations: np.ndarray, translations: np.ndarray) -> Closure:
        """The closure equations where all bodies of the linkage have the given poses.

        Parameters
        ----------
        rotations, translations : shapes (..., B, 3, 3) and (..., B, 3), mm.
        """
        hosts = list(self.hosts)
        return Closure(self.geometry, rotations[..., hosts, :, :], translations[..., hosts, :])


class Misfit(Exception):
    """A block that does not close at some opening (radians), with its smallest gap in mm."""

    def __init__(self, opening: float, hinge: int, gap: float) -> None:
        super().__init__(f"fold {hinge} misses by {gap} mm")
        self.opening, self.hinge, self.gap = opening, hinge, gap

    def __reduce__(self) -> tuple[type[Misfit], tuple[float, int, float]]:
        """What it is made of, for another process."""
        return Misfit, (self.opening, self.hinge, self.gap)


def gather(linkage: Linkage, hinges: Iterable[int], known: frozenset[int]) -> Block:
    """Put some hinges, and the bodies that they join, into one block."""
    order = tuple(sorted(hinges))
    members = [linkage.hinges[k] for k in order]
    touched = list(dict.fromkeys(body for hinge in members for body in hinge.bodies))
    hosts = [body for body in touched if body in known]
    bodies = hosts + [body for body in touched if body not in known]
    local = {body: k for k, body in enumerate(bodies)}
    topology = topology_of(
        len(hosts),
        len(bodies),
        tuple((local[hinge.bodies[0]], local[hinge.bodies[1]]) for hinge in members),
        tuple(hinge.sign for hinge in members),
    )
    return Block(
        order,
        tuple(bodies),
        topology,
        Geometry.of(topology, members),
        np.array([hinge.rest for hinge in members]),
        np.array([hinge.stiffness * hinge.length for hinge in members]),
    )


def adrift(linkage: Linkage, known: frozenset[int]) -> list[int]:
    """One body of everything that no fold or glue ties to the known bodies."""
    held = set(_search(dict(enumerate(linkage.hinges)), known))
    found = []
    for body in range(len(linkage.bodies)):
        if body not in held:
            found.append(body)
            held.update(_search(dict(enumerate(linkage.hinges)), [body]))
    return found


def components(linkage: Linkage, known: frozenset[int]) -> list[list[int]]:
    """Hinges that hang together other than through known bodies, in the order of the linkage."""
    owner = list(range(len(linkage.bodies)))

    def find(body: int) -> int:
        while owner[body] != body:
            owner[body] = owner[owner[body]]
            body = owner[body]
        return body

    for hinge in linkage.hinges:
        first, second = hinge.bodies
        if first not in known and second not in known:
            owner[find(first)] = find(second)
    groups: dict[int, list[int]] = {}
    for k, hinge in enumerate(linkage.hinges):
        free = [body for body in hinge.bodies if body not in known]
        groups.setdefault(find(free[0]) if free else -1 - k, []).append(k)
    return list(groups.values())


@dataclass(frozen=True)
class _Reach:
    """How a search got to a body: over which fold, from where, and over which fold it set out."""

    distance: int
    root: int
    source: int
    fold: int
    previous: int


def _search(hinges: Mapping[int, Hinge], known: Iterable[int]) -> dict[int, _Reach]:
    """Breadth-first search from the known bodies through unknown ones."""
    reached = {body: _Reach(0, -1, body, -1, -1) for body in known}
    sides: dict[int, list[tuple[int, int]]] = {}
    for k, hinge in hinges.items():
        first, second = hinge.bodies
        sides.setdefault(first, []).append((k, second))
        sides.setdefault(second, []).append((k, first))
    front = [body for body in reached if body in sides]
    while front:
        new = []
        for body in front:
            here = reached[body]
            for k, other in sides[body]:
                if other not in reached:
                    root = k if here.root < 0 else here.root
                    reached[other] = _Reach(here.distance + 1, root, here.source, k, body)
                    new.append(other)
        front = new
    return reached


def ears(
    hinges: Mapping[int, Hinge], known: Iterable[int]
) -> list[tuple[tuple[int, ...], tuple[int, int]]]:
    """Paths of folds that leave the known bodies and come back, with the bodies at their ends.

    Parameters
    ----------
    hinges : the folds that are not used yet, by index.
    """
    reached = _search(hinges, known)
    found = []
    for k, hinge in hinges.items():
        if any(body not in reached for body in hinge.bodies):
            continue
        first, second = (reached[body] for body in hinge.bodies)
        if k in (first.fold, second.fold) or (first.root == second.root and first.root >= 0):
            continue
        path = [k]
        for body in hinge.bodies:
            while reached[body].fold >= 0:
                path.append(reached[body].fold)
                body = reached[body].previous
        found.append((tuple(path), (first.source, second.source)))
    return found


class Planner:
    """Finds the blocks of one component at one opening, hosts first.

    Parameters
    ----------
    placed : the given bodies and their poses at this opening.
    solutions : angles of earlier blocks by topology, a good guess for equal ones.
    """

    def __init__(
        self,
        linkage: Linkage,
        hinges: Sequence[int],
        opening: float,
        placed: Mapping[int, Placed],
        solutions: dict[Topology, np.ndarray],
    ) -> None:
        self.linkage = linkage
        self.opening = opening
        self.unused = {k: linkage.hinges[k] for k in hinges}
        self.placed = dict(placed)
        self.known = frozenset(placed)
        self.levels = dict.fromkeys(placed, -1)
        self.solutions = solutions

    def blocks(self) -> list[Block]:
        """All blocks; raises Misfit if one does not close."""
        found = []
        while self.unused:
            candidates = ears(self.unused, self.known)
            if candidates:
                block = self._grow(min((path for path, _ in candidates), key=len))
            else:
                block = self._hang()
            found.append(self._settle(block))
        return found

    def _grow(self, ear: tuple[int, ...]) -> Block:
        """Add ears to a block until it is determined or nothing more hangs on to it."""
        block = self._solve(gather(self.linkage, ear, self.known), None)
        while block.free:
            more = self._next_ear(block)
            if more is None:
                return block
            larger = gather(self.linkage, {*block.hinges, *more}, self.known)
            block = self._solve(larger, block)
        return block

    def _next_ear(self, block: Block) -> tuple[int, ...] | None:
        own = set(block.own)
        rest = {k: hinge for k, hinge in self.unused.items() if k not in block.hinges}
        pieces = {self.linkage.hinges[k].piece for k in block.hinges}
        touching = [
            path for path, ends in ears(rest, [*self.known, *own]) if own.intersection(ends)
        ]

        def order(path: tuple[int, ...]) -> tuple[bool, int]:
            return any(self.linkage.hinges[k].piece not in pieces for k in path), len(path)

        return min(touching, key=order, default=None)

    def _solve(self, block: Block, smaller: Block | None) -> Block:
        closure = Closure(
            block.geometry,
            np.array([self.placed[body][0] for body in block.hosts]),
            np.array([self.placed[body][1] for body in block.hosts]),
        )
        guess, known = _grown(block, smaller), self.solutions.get(block.topology)
        # A good guess closes in a few steps; another one is only worth many if no seed is good.
        found = None
        if guess is not None and known is None:
            found = close(closure, guess, _GUESS_STEPS)
        if found is None or not _usable(found):
            found = assemble(closure, known)
        if guess is not None and not _usable(found):
            again = close(closure, guess)
            found = again if _usable(again) else found
        if not _usable(found):
            raise Misfit(self.opening, *worst_fold(block, found.pose.residual, found.pose.angles))
        self.solutions[block.topology] = found.pose.angles
        free = nullity(found.pose.jacobian) > 0
        return replace(block, free=free, start=self.opening, angles=found.pose.angles)

    def _hang(self) -> Block:
        """Whatever hangs on a single fold: nothing but its springs and obstacles place it."""
        reached = set(_search(self.unused, self.known))
        hinges = [k for k, hinge in self.unused.items() if reached.issuperset(hinge.bodies)]
        return replace(gather(self.linkage, hinges, self.known), free=True, start=self.opening)

    def _settle(self, block: Block) -> Block:
        """Count the bodies of a finished block among the known ones."""
        level = 1 + max(self.levels[body] for body in block.hosts)
        angles = block.angles if block.angles is not None else block.rest
        pose = Closure(
            block.geometry,
            np.array([self.placed[body][0] for body in block.hosts]),
            np.array([self.placed[body][1] for body in block.hosts]),
        ).at(angles)
        known = block.topology.known
        places = list(zip(pose.rotations[known:], pose.translations[known:], strict=True))
        self._know(block.own, places, level)
        for k in block.hinges:
            del self.unused[k]
        return replace(block, level=level)

    def _know(self, bodies: Sequence[int], places: Sequence[Placed], level: int) -> None:
        self.placed.update(zip(bodies, places, strict=True))
        self.levels.update(dict.fromkeys(bodies, level))
        self.known = self.known.union(bodies)


def _grown(block: Block, smaller: Block | None) -> np.ndarray | None:
    """Angles of a block, shape (n,), radians, from those of a smaller one that it contains."""
    if smaller is None or smaller.angles is None:
        return None
    guess = np.array(block.topology.signs) * np.pi / 2
    guess[[block.hinges.index(hinge) for hinge in smaller.hinges]] = smaller.angles
    return guess


def _usable(found: Assembly) -> bool:
    """Whether a block closes; one that can still move may do so with folds at their end stops.

    Paper that is free is brought to rest later, from starts of its own.
    """
    meets = bool(found.pose.gap < CLOSED_MM)
    return found.closed or (meets and nullity(found.pose.jacobian) > 0)


def widest_chord(block: Block, residual: np.ndarray) -> tuple[int, float]:
    """The chord (local index) that fails most to close, and its gap in mm.

    Parameters
    ----------
    residual : shape (6 c,), mm.
    """
    gaps = np.abs(residual.reshape(-1, 6)).max(axis=1, initial=0.0)
    if not len(gaps):
        return 0, 0.0
    worst = int(np.argmax(gaps))
    return int(block.topology.chords[worst]), float(gaps[worst])


def worst_fold(block: Block, residual: np.ndarray, angles: np.ndarray) -> tuple[int, float]:
    """The fold (index in the linkage) that fails most, and its gap in mm.

    A fold at its end stop is to blame before the chord that shows the gap.

    Parameters
    ----------
    residual : shape (6 c,), mm.
    angles : shape (n,), radians.
    """
    chord, gap = widest_chord(block, residual)
    shut = np.flatnonzero(np.abs(angles) > np.pi - 1e-6)
    return block.hinges[int(shut[0]) if len(shut) else chord], gap
