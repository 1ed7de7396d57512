"""What a hand-drawn mechanism means: the nearest one that closes exactly.

Paper that folds has more equations than fold angles: it moves only because its folds meet in points
or run parallel, and lies flat only because its angles add up. A drawing rounded to a hundredth of a
millimetre has none of this, so no pose closes. The ends of its folds and the places of its glue are
therefore moved, by as little as possible in the least-squares sense, until it closes at a set of
openings; a check at others shows whether it then moves as a whole. A drawing that misses by more
than a hand does is left as it is, for the solver to judge.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np
import shapely

from meshes.cache import fingerprint
from meshes.linkage import GlueError, Linkage, link
from meshes.motion.loops.assembly import assemble, close
from meshes.motion.loops.blocks import adrift, components, gather
from meshes.motion.loops.closure import Closure
from meshes.motion.loops.march import Poses
from meshes.motion.solve import PAGES, page_poses
from meshes.sheet import Crossing, Fold, Join, Paper, Placement, Sheet, Vector, cut

# A drawing that misses by more is meant so, or wrong.
HAND_MM = 0.3
_SAME_MM = 0.05
_STEP = 1e-6
_ROUNDS = 12
_DONE_MM = 1e-11
_GOOD_MM = 1e-8
_OPENINGS_DEG = (0.0, 20.0, 50.0, 80.0, 110.0, 140.0, 165.0, 180.0)
_CHECKED_DEG = (8.0, 35.0, 65.0, 95.0, 125.0, 152.0, 174.0)
_FIRST_DEG = 80.0
_ANGLE_MM = 30.0


@dataclass(frozen=True)
class Correction:
    """What has to be moved.

    Parameters
    ----------
    points : for each sheet, where its fold ends were and where they go, both of shape (n, 2), mm.
    placements : of the joins.
    """

    points: tuple[tuple[np.ndarray, np.ndarray], ...]
    placements: tuple[Placement, ...]


def true_up(sheets: Sequence[Sheet], joins: Sequence[Join], valley: bool) -> Correction | None:
    """The smallest correction that makes a drawing close; None if it needs none or has none.

    Parameters
    ----------
    sheets : the first stands for the two facets of the crease that the drawing is glued to.
    joins : their hosts are facets of these sheets.
    valley : the crease is a valley for the reader, as the gutter is.
    """
    asked = fingerprint(tuple(sheets), tuple(joins), valley)
    return _corrected(_Asked(asked, tuple(sheets), tuple(joins), valley))


@dataclass(frozen=True)
class _Asked:
    """What is to be corrected; equal to whatever has the same digest."""

    digest: str
    sheets: tuple[Sheet, ...] = field(compare=False)
    joins: tuple[Join, ...] = field(compare=False)
    valley: bool = field(compare=False)


# While other values of a design are tried, its drawings mostly stay as they are.
@lru_cache(maxsize=64)
def _corrected(asked: _Asked) -> Correction | None:
    form, valley = _Form(asked.sheets, asked.joins), asked.valley
    try:
        tracks = _tracks(form.linkage(np.zeros(form.size)), _opened(_OPENINGS_DEG, valley))
        if not tracks or max(track.gap for track in tracks) < _DONE_MM:
            return None
        change = _solve(form, tracks)
        if change is None or np.abs(change[: form.drawn]).max() > HAND_MM:
            return None
        checked = _tracks(form.linkage(change), _opened(_CHECKED_DEG, valley), tracks)
        inside = [track.gap for track in checked]
        return form.correction(change) if inside and max(inside) < _GOOD_MM else None
    except (GlueError, np.linalg.LinAlgError):
        return None


def crease(paper: Paper) -> Sheet:
    """A sheet that stands for both facets of a crease: left on x < 0, the crease along y."""
    outline = shapely.box(-1e4, -1e4, 1e4, 1e4)
    facets, crossings = cut(
        outline,
        [Fold("gutter", (0, -1e4), (0, 1e4), -1)],
        {"crease-left": (-1, 0), "crease-right": (1, 0)},
    )
    return Sheet("page", "page", paper, paper.front, paper.back, facets, crossings)


def _opened(degrees: Sequence[float], valley: bool) -> np.ndarray:
    """Openings of the crease, radians; a mountain opens away from the reader."""
    angles = np.radians(degrees)
    return angles if valley else 2 * np.pi - angles


class _Form:
    """A drawing as numbers: fold ends that coincide are one point; each join turns and shifts."""

    def __init__(self, sheets: Sequence[Sheet], joins: Sequence[Join]) -> None:
        self.sheets, self.joins = tuple(sheets), tuple(joins)
        self.points: list[np.ndarray] = []
        self.uses: list[list[tuple[int, int]]] = []
        for sheet in self.sheets:
            found: list[np.ndarray] = []
            uses = []
            for crossing in sheet.crossings if sheet.piece != "page" else ():
                uses.append((_index(found, crossing.fold.start), _index(found, crossing.fold.end)))
            self.points.append(np.array(found).reshape(-1, 2))
            self.uses.append(uses)
        self.drawn = 2 * sum(len(points) for points in self.points)
        self.size = self.drawn + 3 * len(self.joins)

    def moved(self, change: np.ndarray) -> tuple[list[np.ndarray], list[Join]]:
        """Points and joins after a change of shape (size,); angles count `_ANGLE_MM` mm."""
        points, at = [], 0
        for found in self.points:
            points.append(found + change[at : at + found.size].reshape(-1, 2))
            at += found.size
        turns = change[self.drawn :].reshape(-1, 3)
        joins = []
        for join, (turn, x, y) in zip(self.joins, turns, strict=True):
            old = join.placement
            shift = (float(old.shift[0] + x), float(old.shift[1] + y))
            placement = Placement(float(old.angle + turn / _ANGLE_MM), shift, old.flipped)
            joins.append(replace(join, placement=placement))
        return points, joins

    def linkage(self, change: np.ndarray) -> Linkage:
        """The linkage after a change."""
        points, joins = self.moved(change)
        sheets = [
            sheet if sheet.piece == "page" else _with_folds(sheet, found, uses)
            for sheet, found, uses in zip(self.sheets, points, self.uses, strict=True)
        ]
        return link(sheets, joins)

    def correction(self, change: np.ndarray) -> Correction:
        """The change as the caller wants it."""
        points, joins = self.moved(change)
        pairs = tuple(zip(self.points, points, strict=True))
        return Correction(pairs, tuple(join.placement for join in joins))


def _index(found: list[np.ndarray], point: Vector) -> int:
    for k, other in enumerate(found):
        if np.abs(other - point).max() < _SAME_MM:
            return k
    found.append(np.array(point, float))
    return len(found) - 1


def _with_folds(sheet: Sheet, points: np.ndarray, uses: Sequence[tuple[int, int]]) -> Sheet:
    crossings = []
    for crossing, (start, end) in zip(sheet.crossings, uses, strict=True):
        ends = [(float(points[k, 0]), float(points[k, 1])) for k in (start, end)]
        fold = replace(crossing.fold, start=ends[0], end=ends[1])
        crossings.append(Crossing(fold, crossing.left, crossing.right))
    return replace(sheet, crossings=tuple(crossings))


@dataclass(frozen=True)
class _Track:
    """One group of folds at the openings (K,) at which it nearly closes; angles (K, n)."""

    hinges: tuple[int, ...]
    openings: np.ndarray
    angles: np.ndarray
    gap: float


def _tracks(
    linkage: Linkage, openings: np.ndarray, before: Sequence[_Track] | None = None
) -> list[_Track]:
    """Every group of folds, followed over the openings as near to closing as it comes."""
    tracks = []
    known = _known(linkage)
    for number, hinges in enumerate(components(linkage, known)):
        block = gather(linkage, hinges, known)
        if not len(block.topology.chords):
            continue
        rotations, translations = _poses(linkage, openings)
        first = int(np.argmin(np.abs(openings - openings[len(openings) // 2])))
        seed = None
        if before is not None:
            old = before[min(number, len(before) - 1)]
            seed = old.angles[np.argmin(np.abs(old.openings - openings[first]))]
        found = {first: assemble(block.closure(rotations[first], translations[first]), seed).pose}
        for order in (range(first + 1, len(openings)), range(first - 1, -1, -1)):
            last = found[first].angles
            for k in order:
                found[k] = close(block.closure(rotations[k], translations[k]), last).pose
                last = found[k].angles
        near = [k for k in sorted(found) if found[k].gap < HAND_MM]
        if first not in near:
            raise np.linalg.LinAlgError("misses by more than a hand does")
        angles = np.array([found[k].angles for k in near])
        gap = max(float(found[k].gap) for k in near)
        tracks.append(_Track(tuple(hinges), openings[near], angles, gap))
    return tracks


def _solve(form: _Form, tracks: Sequence[_Track]) -> np.ndarray | None:
    """The change of least size that closes all tracks, by Newton steps with a fixed derivative."""
    change = np.zeros(form.size)
    slopes = _slopes(form, tracks)
    for _ in range(_ROUNDS):
        linkage = form.linkage(change)
        rows, wrong, worst = [], [], 0.0
        renewed = []
        for track, slope in zip(tracks, slopes, strict=True):
            angles = _closed(linkage, track)
            renewed.append(replace(track, angles=angles))
            residual, jacobian = _equations(linkage, track, angles)
            worst = max(worst, float(np.abs(residual).max()))
            for k in range(len(angles)):
                stuck = _out_of_reach(jacobian[k])
                rows.append(stuck.T @ slope[k])
                wrong.append(stuck.T @ residual[k])
        tracks = renewed
        if worst < _DONE_MM:
            return change
        step, *_ = np.linalg.lstsq(np.vstack(rows), -np.concatenate(wrong), rcond=1e-6)
        change = change + step
    return change if worst < _GOOD_MM else None


def _out_of_reach(jacobian: np.ndarray) -> np.ndarray:
    """Directions in which no change of fold angles moves the residual, as columns."""
    left, values, _ = np.linalg.svd(jacobian)
    reached = int((values > 1e-3 * max(values[0], 1.0)).sum())
    return np.asarray(left[:, reached:])


def _closure(linkage: Linkage, track: _Track) -> Closure:
    block = gather(linkage, track.hinges, _known(linkage))
    return block.closure(*_poses(linkage, track.openings))


def _known(linkage: Linkage) -> frozenset[int]:
    """The pages, and one body of each sheet that only the design file glues to something."""
    return frozenset([*PAGES, *adrift(linkage, frozenset(PAGES))])


def _poses(linkage: Linkage, openings: np.ndarray) -> Poses:
    """Of the known bodies at openings (K,); what is glued later stays where it is drawn."""
    rotations, translations = page_poses(len(linkage.bodies), openings)
    loose = adrift(linkage, frozenset(PAGES))
    rotations[:, loose], translations[:, loose] = np.eye(3), 0.0
    return rotations, translations


def _equations(
    linkage: Linkage, track: _Track, angles: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Residuals (K, 6 c) and their derivatives by fold angles (K, 6 c, n)."""
    pose = _closure(linkage, track).at(angles)
    return pose.residual, pose.jacobian


def _closed(linkage: Linkage, track: _Track) -> np.ndarray:
    """Fold angles nearest to closing, by Gauss–Newton from those of the track, shape (K, n)."""
    angles = track.angles.copy()
    for _ in range(6):
        residual, jacobian = _equations(linkage, track, angles)
        for k in range(len(angles)):
            step, *_ = np.linalg.lstsq(jacobian[k], -residual[k], rcond=1e-3)
            angles[k] += step
    return angles


def _slopes(form: _Form, tracks: Sequence[_Track]) -> list[np.ndarray]:
    """Derivatives of all residuals by the change, one array (K, 6 c, size) for each track."""
    rest = np.zeros(form.size)
    base = form.linkage(rest)
    start = [_equations(base, track, track.angles)[0] for track in tracks]
    slopes = [np.zeros((*r.shape, form.size)) for r in start]
    for j in range(form.size):
        nudged = rest.copy()
        nudged[j] = _STEP
        linkage = form.linkage(nudged)
        for track, slope, r in zip(tracks, slopes, start, strict=True):
            slope[:, :, j] = (_equations(linkage, track, track.angles)[0] - r) / _STEP
    return slopes
