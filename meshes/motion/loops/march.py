"""Determined blocks over the opening: a coarse march, then every stage at once.

Lengths are mm and angles radians.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from .assembly import close
from .blocks import Block, widest_chord
from .closure import Closure, Geometry
from .newton import MEETS_MM, interpolation, newton
from .travel import BlockState, Cause, StateAt, end_of_travel

# Half the square of a step, times the size of a piece, is what it leaves open: 1e-12 mm, and on
# coarse stages, which are only interpolated, 1e-9 mm.
_SURE_RAD, _COARSE_RAD = 1e-7, 5e-6
# Coarse stages from which the next one is foretold; measured: on twelve stacks of twelve pieces it
# then lies within 1e-6 at half of them, and 2e-5 with four.
_HISTORY = 7
# So many stages are gone to at once where so many are done. Our choice; measured: on sixteen random
# stacks of twenty pieces all were got to like that, 73 % of the stages.
_AHEAD, _LEARNT = 5, 3
# Float noise by which a fold may pass its end stop.
STOP_RAD = 1e-6
_GRID_DEG = (1.5, 4, 8, 14, 20, *range(30, 161, 10), 166, 172, 176, 178.5)
# Nearer to a flat state than this, paper is taken to the limit instead of solved.
FLAT_RAD = float(np.radians(0.5))
_FLAT_NODES = 7
_NODES = 7
_JAM_RAD = float(np.radians(0.002))
# Nearer to a flat state than this no block is led in steps.
_LAST_RAD = float(np.radians(0.01))

# Poses of all bodies, shapes (S, B, 3, 3) and (S, B, 3), at openings of shape (S,).
Poses = tuple[np.ndarray, np.ndarray]


def grid() -> np.ndarray:
    """Openings of the coarse march, shape (G,), radians."""
    return np.radians(np.array(_GRID_DEG, float))


def ascending(*openings: Iterable[float]) -> np.ndarray:
    """All of some openings, each once, ascending, shape (S,).

    What numpy has for it loads a module for arrays with gaps when it is first called, which takes
    longer than all calls here.
    """
    return np.array(sorted({float(one) for some in openings for one in some}))


def support(openings: np.ndarray) -> np.ndarray:
    """Stages from which the flat states among `openings` are extrapolated, radians."""
    near = np.arange(1, 1 + _FLAT_NODES, dtype=float)
    parts = [np.radians(near)] if (openings < FLAT_RAD).any() else []
    if (openings > np.pi - FLAT_RAD).any():
        parts.append(np.radians(180 - near))
    return np.concatenate([*parts, np.empty(0)])


@dataclass(frozen=True)
class Touch:
    """A corner of some paper that lies on other paper.

    Parameters
    ----------
    bodies : indices in the linkage, of the corner and of what it lies on.
    points : the place on either, in the coordinates of its body, mm.
    """

    bodies: tuple[int, int]
    points: tuple[tuple[float, float], tuple[float, float]]


@dataclass(frozen=True)
class Stop:
    """Where a block cannot move on.

    Parameters
    ----------
    opening : radians.
    hinge : index of the fold to blame.
    gap : mm by which the paper would fail to meet at the end of the travel; 0 if it would meet.
    cause : see Cause; or the paper stands ``proud`` of the flat pages, or none was found
        (``unknown``).
    closing : whether it stops on the way to closed.
    touch : where it leans, if it does.
    """

    opening: float
    hinge: int
    gap: float
    cause: Cause | Literal["proud", "unknown"]
    closing: bool
    touch: Touch | None = None


@dataclass(frozen=True)
class Blocked:
    """Where other paper stops a free block.

    Parameters
    ----------
    opening : radians.
    hinge : index of the fold that cannot move on.
    piece : in its way.
    gap : how deep it would pass through that, at most, on the rest of the way, mm.
    closing : whether it stops on the way to closed.
    clear : whether it would lie clear of all paper somewhere on the rest of the way.
    passed : whether it does not stop there, because it starts on the other side of that piece.
    given_up : whether it was only not followed any farther, so that nobody knows.
    """

    opening: float
    hinge: int
    piece: str
    gap: float
    closing: bool
    clear: bool
    passed: bool = False
    given_up: bool = False


@dataclass(frozen=True)
class Track:
    """A determined block on coarse stages.

    Parameters
    ----------
    openings : shape (G,), ascending, radians.
    angles : shape (G, n), radians.
    """

    block: Block
    openings: np.ndarray
    angles: np.ndarray
    stops: tuple[Stop, ...] = ()

    @property
    def reach(self) -> tuple[float, float]:
        """Least and largest opening that the block reaches, radians; 0 and pi if it never stops."""
        ends = grid()[[0, -1]]
        low = 0.0 if self.openings[0] <= ends[0] + 1e-9 else self.openings[0]
        high = np.pi if self.openings[-1] >= ends[-1] - 1e-9 else self.openings[-1]
        return float(low), float(high)


def in_range(block: Block, angles: np.ndarray) -> np.ndarray:
    """Whether all folds, shape (..., n), stay on their side, shape (...)."""
    low, high = block.topology.bounds
    return np.all((angles >= low - STOP_RAD) & (angles <= high + STOP_RAD), axis=-1)


# Stages that are done, from the start on, and those to go to next.
_Leg = tuple[list[int], list[int]]


def _legs(start: int, paths: Sequence[list[int]], done: int, count: int) -> list[_Leg]:
    """The next so many stages of each path of which some are done, as far as it goes."""
    return [
        ([start, *path[:done]], path[done : done + count]) for path in paths if done < len(path)
    ]


class Marcher:
    """Marches determined blocks, hosts first, and then gives their poses anywhere.

    Parameters
    ----------
    given : poses of the bodies that move by themselves, for openings of shape (S,); other bodies
        are NaN.
    """

    def __init__(self, given: Callable[[np.ndarray], Poses]) -> None:
        self.given = given
        self.grid = grid()
        self.tracks: list[Track] = []
        self._poses = given(self.grid)

    def march(self, blocks: Iterable[Block]) -> list[Track]:
        """March blocks, all of whose hosts are given or among them."""
        marched: list[Track] = []
        for group in _groups(blocks, lambda block: (block.level, block.topology, block.start)):
            angles = self._march_group(group)
            tracks = [self._finish(block, path) for block, path in zip(group, angles, strict=True)]
            self.tracks += tracks
            marched += tracks
            fill(group, angles, self._poses)
        return marched

    def _march_group(self, blocks: Sequence[Block]) -> np.ndarray:
        """Angles on the grid, shape (P, G, n); NaN from where plain steps do not do."""
        count, start = len(blocks), int(np.argmin(np.abs(self.grid - blocks[0].start)))
        angles = np.full((count, len(self.grid), len(blocks[0].hinges)), np.nan)
        angles[:, start] = [block.angles for block in blocks]
        closure = _batch(blocks, self._poses, start)
        together = closure.geometry
        angles[:, start] = newton(closure, angles[:, start])[0]
        paths = list(range(start - 1, -1, -1)), list(range(start + 1, len(self.grid)))
        done = 0
        while done < max(map(len, paths)):
            count = _AHEAD if done >= _LEARNT else 1
            legs = _legs(start, paths, done, count)
            self._step(blocks, together, angles, legs)
            wanted = [k for _, ahead in legs for k in ahead]
            if count > 1 and np.isnan(angles[:, wanted, 0]).any():
                # What was not got to from afar may be from next to it.
                for first in range(done, done + count):
                    self._step(blocks, together, angles, _legs(start, paths, first, 1))
            done += count
        return angles

    def _step(
        self,
        blocks: Sequence[Block],
        together: Geometry,
        angles: np.ndarray,
        legs: Sequence[_Leg],
    ) -> None:
        """Go on to the stages ahead of those that are done, all blocks and legs at once.

        A stage counts where all before it are got to as well.

        Parameters
        ----------
        together : of all the blocks.
        """
        if not legs:
            return
        hosts = np.array([block.hosts for block in blocks])
        rows, stages, guesses, origins = [], [], [], []
        for done, ahead in legs:
            last = done[-_HISTORY:]
            known = np.isfinite(self._poses[1][np.array(ahead)[:, None, None], hosts])
            wanted = known.all(axis=(2, 3)) & np.isnan(angles[:, ahead, 0].T)
            wanted &= np.isfinite(angles[:, last[-1], 0])
            stage, there = np.nonzero(wanted)
            nodes = np.broadcast_to(self.grid[last], (len(ahead), len(last)))
            weights = interpolation(nodes, self.grid[ahead])
            rows.append(there)
            stages.append(np.array(ahead)[stage])
            guesses.append(np.einsum("pg,pgn->pn", weights[stage], angles[there][:, last]))
            origins.append(angles[there, last[-1]])
        row, stage, guess = np.concatenate(rows), np.concatenate(stages), np.concatenate(guesses)
        if not len(row):
            return
        closure = Closure(
            together.take(row),
            self._poses[0][stage[:, None], hosts[row]],
            self._poses[1][stage[:, None], hosts[row]],
        )
        found, gaps = newton(closure, guess, iterations=5, sure=_COARSE_RAD)
        good = (gaps <= MEETS_MM) & in_range(blocks[0], found)
        motion = found - np.concatenate(origins)
        good &= _is_small(found - guess, motion, len(legs[0][0]))
        angles[row[good], stage[good]] = found[good]
        for _, ahead in legs:
            lost = np.isnan(angles[:, ahead, 0])
            angles[:, ahead] = np.where(
                np.logical_or.accumulate(lost, axis=1)[..., None], np.nan, angles[:, ahead]
            )

    def _finish(self, block: Block, angles: np.ndarray) -> Track:
        """Turn a row of the grid into a track; where plain steps stopped, go on with small ones."""
        solved = np.isfinite(angles).all(axis=1)
        openings, path = self.grid[solved], angles[solved]
        if solved.all():
            return Track(block, openings, path)
        track = Track(block, openings, path)
        for forward in (False, True):
            if not solved[-1 if forward else 0]:
                track = self._creep(track, forward, float(self.grid[-1 if forward else 0]))
        return track

    def misses(self, track: Track, forward: bool) -> Stop:
        """What keeps a block that gets next to a flat state, open or closed, out of it."""
        stops = self._creep(track, forward, np.pi - _LAST_RAD if forward else _LAST_RAD).stops
        if len(stops) > len(track.stops):
            return stops[-1]
        return Stop(np.pi if forward else 0.0, track.block.hinges[0], 0.0, "proud", not forward)

    def _creep(self, track: Track, forward: bool, end: float) -> Track:
        """Go on from one end of a track, halving the step wherever it fails."""
        block, sign = track.block, 1 if forward else -1
        ends = [t.reach[forward] for t in self.ancestors(block)]
        end = min([end, *ends]) if forward else max([end, *ends])
        openings, angles = list(track.openings[::sign]), list(track.angles[::sign])
        step = np.radians(4.0)
        while sign * (end - openings[-1]) > 1e-12 and step > _JAM_RAD:
            target = openings[-1] + sign * min(step, sign * (end - openings[-1]))
            found = self._small_step(block, openings, angles, target)
            if found is None:
                step /= 2
                continue
            openings.append(target)
            angles.append(found)
            step = min(step * 1.5, np.radians(10.0))
        stops = track.stops
        if sign * (end - openings[-1]) > 1e-12:
            stops = (*stops, self._stop(block, openings[-1], angles[-1], end))
        order = slice(None, None, sign)
        return Track(block, np.array(openings)[order], np.array(angles)[order], stops)

    def _small_step(
        self, block: Block, openings: list[float], angles: list[np.ndarray], target: float
    ) -> np.ndarray | None:
        closure = self._closure(block, target)
        nodes = np.array(openings[-3:])
        guess = interpolation(nodes, np.array(target)) @ np.array(angles[-3:])
        for start in (guess, angles[-1]):
            found, gaps = newton(closure, start[None])
            moved = found[0] - angles[-1]
            if (
                gaps[0] <= MEETS_MM
                and in_range(block, found)[0]
                and _is_small((found[0] - start)[None], moved[None], len(openings))[0]
            ):
                return found[0]
        return None

    def _stop(self, block: Block, opening: float, angles: np.ndarray, end: float) -> Stop:
        """Name what stops a block just past some opening on its way to the end of the travel."""
        closing = end < opening
        closure = self._closure(block, end)
        row = Closure(block.geometry, closure.rotations[0], closure.translations[0])
        low, high = block.topology.bounds
        best = close(row, np.clip(angles, low, high)).pose
        chord, gap = widest_chord(block, best.residual)
        last = end_of_travel(self._states(block), opening, angles, closing)
        if last is None:
            return Stop(opening, block.hinges[chord], gap, "unknown", closing)
        fold = chord if last.fold is None else last.fold
        return Stop(last.opening, block.hinges[fold], gap, last.cause, closing)

    def _states(self, block: Block) -> StateAt:
        """The states of one block at openings beside a stop of its own."""
        none = np.zeros(0), np.zeros((0, len(block.hinges)))

        def state_at(opening: float, angles: np.ndarray) -> BlockState | None:
            rotations, translations = self.poses_at(opening, block)
            if not np.isfinite(translations[list(block.hosts)]).all():
                return None
            return BlockState(block.closure(rotations, translations).at(angles), *none)

        return state_at

    def _closure(self, block: Block, opening: float) -> Closure:
        """The closure of one block as a batch of one, its hosts brought to some opening."""
        rotations, translations = self.poses_at(opening, block)
        return _batch([block], (rotations[None], translations[None]), 0)

    def poses_at(self, opening: float, block: Block) -> Poses:
        """Rotations (B, 3, 3) and translations (B, 3) of what a block stands on; others are NaN."""
        stages = ascending([opening], support(np.array([opening])))
        poses = self.given(stages)
        place(self.ancestors(block), stages, poses)
        k = int(np.searchsorted(stages, opening))
        return poses[0][k], poses[1][k]

    def ancestors(self, block: Block) -> list[Track]:
        """Tracks of everything that the block stands on, hosts first."""
        wanted, found = set(block.hosts), []
        for track in reversed(self.tracks):
            if wanted.intersection(track.block.own):
                wanted.update(track.block.hosts)
                found.append(track)
        return found[::-1]


def place(tracks: Sequence[Track], openings: np.ndarray, poses: Poses) -> dict[int, np.ndarray]:
    """Bring blocks to all openings at once.

    Parameters
    ----------
    tracks : hosts first.
    openings : shape (S,), radians, ascending; with the stages of :func:`support`.
    poses : of the given bodies; those of the blocks are written into it, NaN where they stop.

    Returns
    -------
    Fold index in the linkage to its angles, shape (S,), radians.
    """
    angles: dict[int, np.ndarray] = {}
    flat = (openings < FLAT_RAD) | (openings > np.pi - FLAT_RAD)

    def alike(track: Track) -> tuple:
        return track.block.level, track.block.topology, track.openings.tobytes()

    for group in _groups(tracks, alike):
        found = _between(group, openings, np.flatnonzero(~flat), poses)
        limits = np.flatnonzero(flat)
        if len(limits):
            found[:, limits] = _limits(group, openings, found, limits, poses)
        blocks = [track.block for track in group]
        fill(blocks, found, poses)
        for block, path in zip(blocks, found, strict=True):
            angles.update(zip(block.hinges, path.T, strict=True))
    return angles


def _between(
    tracks: Sequence[Track], openings: np.ndarray, stages: np.ndarray, poses: Poses
) -> np.ndarray:
    """Angles at the stages that are not flat, shape (P, S, n); NaN elsewhere."""
    blocks = [track.block for track in tracks]
    found = np.full((len(tracks), len(openings), len(blocks[0].hinges)), np.nan)
    low, high = tracks[0].reach
    stages = stages[(openings[stages] >= low) & (openings[stages] <= high)]
    if not len(stages):
        return found
    # Next to a stop the path has a vertical tangent, where many nodes mislead.
    for count in (_NODES, 2):
        guess = _guess(tracks, openings[stages], count)
        piece, stage = np.nonzero(~np.isfinite(found[:, stages]).all(axis=2))
        hosts = np.array([block.hosts for block in blocks])[piece]
        rows = stages[stage][:, None]
        known = np.isfinite(poses[1][rows, hosts]).all(axis=(1, 2))
        piece, stage, hosts, rows = piece[known], stage[known], hosts[known], rows[known]
        if not len(piece):
            break
        geometry = Geometry.stack([block.geometry for block in blocks]).take(piece)
        closure = Closure(geometry, poses[0][rows, hosts], poses[1][rows, hosts])
        solved, gaps = newton(closure, guess[piece, stage], iterations=12, sure=_SURE_RAD)
        good = (gaps <= MEETS_MM) & in_range(blocks[0], solved)
        found[piece[good], rows[good, 0]] = solved[good]
    return found


def _guess(tracks: Sequence[Track], openings: np.ndarray, count: int) -> np.ndarray:
    """Interpolated angles of equal tracks, shape (P, S, n), from the nearest `count` nodes."""
    nodes = tracks[0].openings
    count = min(count, len(nodes))
    first = np.searchsorted(nodes, openings) - count // 2
    near = np.clip(first, 0, len(nodes) - count)[:, None] + np.arange(count)
    weights = interpolation(nodes[near], openings)
    paths = np.array([track.angles for track in tracks])
    return np.einsum("sk,pskn->psn", weights, paths[:, near])


def _limits(
    tracks: Sequence[Track],
    openings: np.ndarray,
    angles: np.ndarray,
    flat: np.ndarray,
    poses: Poses,
) -> np.ndarray:
    """Angles at flat stages, shape (P, F, n), each as the limit of the stages next to it."""
    blocks = [track.block for track in tracks]
    near = np.radians(np.arange(1, 1 + _FLAT_NODES, dtype=float))
    nodes = np.where(openings[flat, None] < 1, near, np.pi - near)
    rows = np.abs(openings - nodes[..., None]).argmin(axis=-1)
    weights = interpolation(openings[rows], openings[flat])
    guess = np.einsum("fg,pfgn->pfn", weights, angles[:, rows])
    found = np.full_like(guess, np.nan)
    hosts = np.array([block.hosts for block in blocks])
    known = np.isfinite(poses[1][flat[:, None], hosts[:, None]]).all(axis=(2, 3))
    piece, stage = np.nonzero(known & np.isfinite(guess).all(axis=2))
    if not len(piece):
        return found
    there = flat[stage, None], hosts[piece]
    geometry = Geometry.stack([block.geometry for block in blocks]).take(piece)
    closure = Closure(geometry, poses[0][there], poses[1][there])
    start = pin(blocks[0], guess[piece, stage], 1e-5)
    solved, gaps = newton(closure, start, cut=1e-4, limit=0.05)
    good = (gaps < 1e-9) & in_range(blocks[0], solved)
    found[piece[good], stage[good]] = solved[good]
    return found


def pin(block: Block, angles: np.ndarray, reach: float) -> np.ndarray:
    """Set folds within `reach` (radians) of their range's ends exactly on them."""
    low, high = block.topology.bounds
    angles = np.where(np.abs(angles - low) < reach, low, angles)
    return np.where(np.abs(angles - high) < reach, high, angles)


def _is_small(correction: np.ndarray, motion: np.ndarray, history: int) -> np.ndarray:
    """Whether corrections, shape (m, n), fit their step; the first one has no history."""
    slack = np.radians(3.0 if history > 2 else 15.0)
    return np.abs(correction).max(axis=1) <= np.abs(motion).max(axis=1) / 5 + slack


def _groups(items: Iterable, key: Callable) -> list[list]:
    """Items with equal keys, in the order of their first element's level."""
    groups: dict = {}
    for item in items:
        groups.setdefault(key(item), []).append(item)
    return sorted(groups.values(), key=lambda group: key(group[0])[0])


def _batch(blocks: Sequence[Block], poses: Poses, stage: int) -> Closure:
    hosts = np.array([block.hosts for block in blocks])
    return Closure(
        Geometry.stack([block.geometry for block in blocks]),
        poses[0][stage, hosts],
        poses[1][stage, hosts],
    )


def fill(blocks: Sequence[Block], angles: np.ndarray, poses: Poses) -> None:
    """Write the poses of a batch of blocks, angles (P, S, n) in radians, into all poses."""
    hosts = np.array([block.hosts for block in blocks])
    own = np.array([block.own for block in blocks])
    if not own.size:
        return
    stages = np.arange(angles.shape[1])[None, :, None]
    closure = Closure(
        Geometry.stack([block.geometry for block in blocks]).take(None),
        poses[0][stages, hosts[:, None, :]],
        poses[1][stages, hosts[:, None, :]],
    )
    bodies = closure.bodies(angles)[..., blocks[0].topology.known :, :, :]
    poses[0][stages, own[:, None, :]] = bodies[..., :3, :3]
    poses[1][stages, own[:, None, :]] = bodies[..., :3, 3]
