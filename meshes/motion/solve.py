"""The one solver: a linkage and openings become poses of every body and angles of every fold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from meshes.linkage import Linkage

from .findings import jams, leaps, not_assembled, not_held, obstructions
from .free import roam
from .free.contact import with_obstacles
from .loops.blocks import Block, Misfit, Planner, adrift, components
from .loops.closure import Geometry, Topology, gaps_left
from .loops.march import Marcher, Poses, Stop, ascending, place, support
from .memory import Memory, SolvePlan
from .order import Order
from .resting import Resting
from .result import Motion, MotionFinding

# Openings at which a first pose is tried; deep hosts are nearly shut at small ones.
_STARTS_DEG = (120.0, 90.0, 150.0, 60.0, 30.0)
PAGES = (0, 1)


@dataclass(frozen=True)
class Given:
    """Bodies that move by themselves.

    Parameters
    ----------
    bodies : how many there are in all.
    loose : indices of those that nothing holds.
    """

    bodies: int
    loose: tuple[int, ...]

    @property
    def known(self) -> frozenset[int]:
        """Indices of the bodies that move by themselves."""
        return frozenset([*PAGES, *self.loose])

    def poses(self, openings: np.ndarray) -> Poses:
        """Poses of all bodies at openings (S,), radians and mm; NaN of those not known."""
        rotations, translations = page_poses(self.bodies, openings)
        loose = list(self.loose)
        rotations[:, loose] = np.eye(3)
        translations[:, loose] = 0.0
        return rotations, translations


def solve(linkage: Linkage, openings: np.ndarray, memory: Memory | None = None) -> Motion:
    """Solve how every fold moves as the spread opens.

    Parameters
    ----------
    linkage : bodies 0 and 1 are the left and the right page.
    openings : shape (S,), radians from 0 (closed) to pi (flat open), ascending; any choice does,
        and the pose at one opening does not depend on which others are asked for.
    memory : of earlier solves; what has not changed since is taken from it.

    Returns
    -------
    Every asked opening is in it; where the paper cannot follow, `solved` is False, poses and
    angles are NaN, and a finding tells why.

    Raises
    ------
    ValueError
        If openings are not a sorted list of finite angles in the allowed range.
    """
    asked = _check_openings(openings)
    if memory is None:
        memory = Memory(motions=0)  # nobody asks it again
    motion = memory.motion(linkage, asked)
    if motion is None:
        order = Order.of(linkage)
        motion = order.before(_solve(order.linkage, asked, memory))
        memory.keep_motion(linkage, motion)
    return motion


def _solve(linkage: Linkage, asked: np.ndarray, memory: Memory) -> Motion:
    loose = adrift(linkage, frozenset(PAGES))
    given = given_bodies(linkage, loose)
    marcher = Marcher(given.poses)
    blocks, misfits = plan(linkage, given, marcher, memory)
    free = [
        with_obstacles(linkage, block, () if set(block.hosts) <= set(loose) else PAGES)
        for block in blocks
        if block.free
    ]
    stages = _stages(asked, free)
    poses = given.poses(stages)
    angles = np.full((len(stages), len(linkage.hinges)), np.nan)
    for k, path in place(marcher.tracks, stages, poses).items():
        angles[:, k] = path
    courses, restless = Resting(linkage, stages, poses, marcher, memory).bring(free)
    for course in courses:
        angles[:, list(course.block.hinges)] = course.angles
    stops = [stop for track in marcher.tracks for stop in track.stops]
    stops += _not_flat(marcher, stages, poses, angles)
    stops += [stop for course in courses for stop in course.stops]
    findings = [not_assembled(linkage, misfit) for misfit in [*misfits, *restless]]
    by_hand = {linkage.place(drive.join.facet)[0] for drive in linkage.drives}
    findings += [not_held(linkage, body) for body in loose if body not in by_hand]
    findings += jams(linkage, stops) + obstructions(linkage, courses) + leaps(linkage, courses)
    return _motion(asked, np.searchsorted(stages, asked), poses, angles, findings, blocks)


def _check_openings(openings: np.ndarray) -> np.ndarray:
    asked = np.atleast_1d(np.asarray(openings, float))
    if asked.ndim != 1 or not len(asked) or not np.isfinite(asked).all():
        raise ValueError("openings must be a list of at least one finite angle")
    if asked.min() < -1e-9 or asked.max() > np.pi + 1e-9:
        raise ValueError(f"openings must lie between 0 and pi, got {asked.min()} to {asked.max()}")
    if (np.diff(asked) < 0).any():
        raise ValueError("openings must ascend")
    return np.clip(asked, 0.0, np.pi)


def given_bodies(linkage: Linkage, loose: Sequence[int]) -> Given:
    """The pages, and whatever nothing holds, which stays where its sheet is drawn."""
    return Given(len(linkage.bodies), tuple(loose))


def page_poses(bodies: int, openings: np.ndarray) -> Poses:
    """Poses of the two pages at openings (S,), radians; all other bodies are NaN."""
    rotations = np.full((len(openings), bodies, 3, 3), np.nan)
    translations = np.full((len(openings), bodies, 3), np.nan)
    half = (np.pi - openings) / 2
    for page, tilt in zip(PAGES, (half, -half), strict=True):
        cos, sin, zero, one = np.cos(tilt), np.sin(tilt), np.zeros_like(tilt), np.ones_like(tilt)
        rows = np.array([[cos, zero, sin], [zero, one, zero], [-sin, zero, cos]])
        rotations[:, page] = np.moveaxis(rows, -1, 0)
        translations[:, page] = 0.0
    return rotations, translations


def plan(
    linkage: Linkage, given: Given, marcher: Marcher, memory: Memory
) -> tuple[list[Block], list[Misfit]]:
    """All blocks, hosts first, the determined ones marched, and what can't be assembled at all."""
    loose = given.known.difference(PAGES)
    solutions: dict[Topology, np.ndarray] = {}
    groups = components(linkage, given.known)
    plans: dict[int, SolvePlan] = {}
    for k, hinges in enumerate(groups):
        known = memory.plan(linkage, hinges, loose)
        if known is not None:
            plans[k] = known
            marcher.tracks += known.tracks
    fresh: dict[int, SolvePlan] = {}
    for k, hinges in enumerate(groups):
        if k not in plans:
            best = _assemble(linkage, given, hinges, solutions)
            fresh[k] = (
                SolvePlan((), (best,)) if isinstance(best, Misfit) else SolvePlan(tuple(best), ())
            )
    blocks = [block for new in fresh.values() for block in new.blocks if not block.free]
    marched = marcher.march(sorted(blocks, key=lambda block: block.level))
    for k, found in fresh.items():
        inside = set(groups[k])
        tracks = tuple(track for track in marched if track.block.hinges[0] in inside)
        plans[k] = replace(found, tracks=tracks)
        memory.keep_plan(linkage, groups[k], loose, plans[k])
    ordered = [plans[k] for k in range(len(groups))]
    blocks = sorted((b for one in ordered for b in one.blocks), key=lambda block: block.level)
    return blocks, [misfit for one in ordered for misfit in one.misfits]


def _assemble(
    linkage: Linkage, given: Given, hinges: Sequence[int], solutions: dict[Topology, np.ndarray]
) -> list[Block] | Misfit:
    """Blocks of one component at the first opening at which it can be assembled.

    Paper that only closes with folds at their end stops is either free or just about to tear, so
    it gets one more opening to show that it can be assembled without.
    """
    failed: list[Misfit] = []
    doubtful: list[Block] | None = None
    for start in np.radians(_STARTS_DEG):
        poses = given.poses(np.array([start]))
        placed = {body: (poses[0][0, body], poses[1][0, body]) for body in given.known}
        try:
            blocks = Planner(linkage, hinges, float(start), placed, solutions).blocks()
        except Misfit as misfit:
            failed.append(misfit)
            blocks = None
        if blocks is not None and all(block.clear for block in blocks):
            return blocks
        if doubtful is not None:
            return doubtful
        doubtful = blocks
    return doubtful or min(failed, key=lambda misfit: misfit.gap)


def _stages(asked: np.ndarray, free: Sequence[Block]) -> np.ndarray:
    """Asked openings and those that the solver needs besides; ascending."""
    more = [roam.stages(), *([block.start] for block in free)] if free else []
    wanted = np.concatenate([asked, *more])
    return ascending(wanted, support(wanted))


def _not_flat(marcher: Marcher, stages: np.ndarray, poses: Poses, angles: np.ndarray) -> list[Stop]:
    """What keeps determined blocks from lying flat whose hosts do, so far as that was asked."""
    stops = []
    for forward, flat in ((False, 0.0), (True, np.pi)):
        for k in np.flatnonzero(np.abs(stages - flat) < 1e-9)[:1].tolist():
            for track in marcher.tracks:
                placed = np.isfinite(poses[1][k, list(track.block.hosts)]).all()
                bent = np.isnan(angles[k, list(track.block.hinges)]).any()
                if placed and bent and track.reach[forward] == flat:
                    stops.append(marcher.misses(track, forward))
    return stops


def _motion(
    asked: np.ndarray,
    rows: np.ndarray,
    poses: Poses,
    angles: np.ndarray,
    findings: Sequence[MotionFinding],
    blocks: Sequence[Block],
) -> Motion:
    """Pick the asked stages and measure how well they close."""
    rotations, translations, angles = poses[0][rows], poses[1][rows], angles[rows]
    gaps = np.zeros(len(rows))
    alike: dict[Topology, list[Block]] = {}
    for block in blocks:
        alike.setdefault(block.topology, []).append(block)
    for group in alike.values():
        ends = np.array([block.bodies for block in group])[:, np.array(group[0].topology.ends)]
        folds = angles[:, np.array([block.hinges for block in group])]
        geometry = Geometry.stack([block.geometry for block in group])
        left = gaps_left(geometry, rotations[:, ends], translations[:, ends], folds)
        gaps = np.maximum(gaps, left.max(axis=1))
    solved = np.isfinite(translations).all(axis=(1, 2)) & np.isfinite(angles).all(axis=1)
    return Motion(
        asked,
        solved,
        np.where(solved[:, None, None, None], rotations, np.nan),
        np.where(solved[:, None, None], translations, np.nan),
        np.where(solved[:, None], angles, np.nan),
        np.where(solved, gaps, np.nan),
        tuple(sorted(findings, key=lambda finding: finding.opening)),
    )
