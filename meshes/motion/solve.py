"""The one solver: a linkage and openings become poses of every body and angles of every fold."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from meshes.linkage import Linkage

from . import roam
from .blocks import Block, Misfit, Planner, adrift, components
from .closure import Closure, Topology
from .contact import with_obstacles
from .march import Marcher, Poses, Stop, fill, place, support
from .result import Finding, Motion
from .roam import Course, Roamer

# Openings at which a first pose is tried; deep hosts are nearly shut at small ones.
_STARTS_DEG = (120.0, 90.0, 150.0, 60.0, 30.0)
PAGES = (0, 1)
# Openings nearer to each other than this are one.
_SAME_RAD = 1e-9


def solve(linkage: Linkage, openings: np.ndarray) -> Motion:
    """Solve how every fold moves as the spread opens.

    Parameters
    ----------
    linkage : bodies 0 and 1 are the left and the right page.
    openings : shape (S,), radians from 0 (closed) to pi (flat open), ascending; any choice does,
        and the pose at one opening does not depend on which others are asked for.

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
    loose = adrift(linkage, frozenset(PAGES))

    def given(stages: np.ndarray) -> Poses:
        rotations, translations = page_poses(len(linkage.bodies), stages)
        rotations[:, loose] = np.eye(3)
        translations[:, loose] = 0.0
        return rotations, translations

    blocks, misfits = plan(linkage, given, frozenset([*PAGES, *loose]))
    marcher = Marcher(given)
    marcher.march(block for block in blocks if not block.free)
    free = [with_obstacles(linkage, block, PAGES) for block in blocks if block.free]
    extra = [roam.stages(), *([block.start] for block in free)] if free else []
    stages = _merge(asked, np.concatenate([support(asked), *extra]))
    poses = given(stages)
    angles = np.full((len(stages), len(linkage.hinges)), np.nan)
    for k, path in place(marcher.tracks, stages, poses).items():
        angles[:, k] = path
    findings = [_not_assembled(linkage, misfit) for misfit in misfits]
    findings += [_adrift(linkage, body) for body in loose]
    findings += _jams(linkage, [(track.block, track.stops) for track in marcher.tracks])
    courses: list[Course] = []
    for block in free:
        course = _roam(linkage, block, stages, poses, marcher)
        if isinstance(course, Misfit):
            findings.append(_not_assembled(linkage, course))
            continue
        courses.append(course)
        angles[:, list(block.hinges)] = course.angles
        fill([block], course.angles[None], poses)
    findings += _jams(linkage, [(course.block, course.stops) for course in courses])
    findings += _leaps(linkage, courses)
    return _motion(asked, np.searchsorted(stages, asked), poses, angles, findings, blocks)


def _merge(asked: np.ndarray, more: np.ndarray) -> np.ndarray:
    """Asked openings, exactly, and others that are not next to one of them; ascending."""
    stages = np.unique(asked)
    for opening in more:
        if np.abs(stages - opening).min() > _SAME_RAD:
            stages = np.append(stages, opening)
    return np.sort(stages)


def _roam(
    linkage: Linkage, block: Block, stages: np.ndarray, poses: Poses, marcher: Marcher
) -> Course | Misfit:
    """Lead a free block through all stages, its hosts taken from `poses` or marched there."""

    def closure_at(opening: float) -> Closure | None:
        k = int(np.argmin(np.abs(stages - opening)))
        here = poses[0][k], poses[1][k]
        if abs(stages[k] - opening) > _SAME_RAD:
            here = marcher.poses_at(opening, block)
        if not np.isfinite(here[1][list(block.hosts)]).all():
            return None
        return block.closure(*here)

    return Roamer(linkage, block, stages, closure_at, PAGES).run()


def _check_openings(openings: np.ndarray) -> np.ndarray:
    asked = np.atleast_1d(np.asarray(openings, float))
    if asked.ndim != 1 or not len(asked) or not np.isfinite(asked).all():
        raise ValueError("openings must be a list of at least one finite angle")
    if asked.min() < -1e-9 or asked.max() > np.pi + 1e-9:
        raise ValueError(f"openings must lie between 0 and pi, got {asked.min()} to {asked.max()}")
    if (np.diff(asked) < 0).any():
        raise ValueError("openings must ascend")
    return np.clip(asked, 0.0, np.pi)


def page_poses(bodies: int, openings: np.ndarray) -> Poses:
    """Poses of the two pages at openings (S,); all other bodies are NaN."""
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
    linkage: Linkage, given: Callable[[np.ndarray], Poses], known: frozenset[int]
) -> tuple[list[Block], list[Misfit]]:
    """All blocks, hosts first, and what cannot be assembled at any opening.

    Parameters
    ----------
    given : poses of the `known` bodies at openings of shape (S,).
    """
    solutions: dict[Topology, np.ndarray] = {}
    blocks, misfits = [], []
    for hinges in components(linkage, known):
        failed: list[Misfit] = []
        for start in np.radians(_STARTS_DEG):
            poses = given(np.array([start]))
            placed = {body: (poses[0][0, body], poses[1][0, body]) for body in known}
            planner = Planner(linkage, hinges, float(start), placed, solutions)
            try:
                blocks += planner.blocks()
                break
            except Misfit as misfit:
                failed.append(misfit)
        else:
            misfits.append(min(failed, key=lambda misfit: misfit.gap))
    return sorted(blocks, key=lambda block: block.level), misfits


def _motion(
    asked: np.ndarray,
    rows: np.ndarray,
    poses: Poses,
    angles: np.ndarray,
    findings: Sequence[Finding],
    blocks: Sequence[Block],
) -> Motion:
    """Pick the asked stages and measure how well they close."""
    rotations, translations, angles = poses[0][rows], poses[1][rows], angles[rows]
    gaps = np.zeros(len(rows))
    for block in blocks:
        gap = block.closure(rotations, translations).at(angles[:, list(block.hinges)]).gap
        gaps = np.maximum(gaps, gap)
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


def _not_assembled(linkage: Linkage, misfit: Misfit) -> Finding:
    name = linkage.hinges[misfit.hinge].name
    degrees = np.degrees(misfit.opening)
    reason = (
        f"{name} cannot be assembled: nearest at {degrees:.0f}°, where {misfit.gap:.2f} mm are "
        "missing with every fold in its direction"
    )
    return Finding("cannot-assemble", float(misfit.opening), name, misfit.gap, reason)


def _adrift(linkage: Linkage, body: int) -> Finding:
    name = linkage.bodies[body].name
    reason = f"nothing holds {name}: no glue and no fold ties it to the pages"
    return Finding("cannot-assemble", 0.0, "", 0.0, reason)


def _jams(linkage: Linkage, stopped: Sequence[tuple[Block, tuple[Stop, ...]]]) -> list[Finding]:
    findings = []
    for block, stops in stopped:
        for stop in stops:
            name = linkage.hinges[stop.hinge].name
            closing = stop.opening < block.start
            cause = "is folded shut" if stop.shut else "pulls taut"
            reason = (
                f"{name} {cause} at {np.degrees(stop.opening):.2f}°, so the spread cannot "
                f"{'close' if closing else 'open'} further"
            )
            if stop.gap:
                reason += f"; at the end {stop.gap:.2f} mm would be missing"
            findings.append(Finding("jam", float(stop.opening), name, stop.gap, reason))
    return findings


def _leaps(linkage: Linkage, courses: Sequence[Course]) -> list[Finding]:
    findings = []
    for course in courses:
        for snap in course.snaps:
            name = linkage.hinges[snap.hinge].name
            reason = (
                f"{name} snaps by {np.degrees(snap.jump):.1f}° at {np.degrees(snap.opening):.2f}°"
            )
            findings.append(Finding("snap", snap.opening, name, 0.0, reason))
        for opening in course.branches:
            name = linkage.hinges[course.block.hinges[0]].name
            reason = (
                f"the piece of {name} has another pose at {np.degrees(opening):.1f}°, past the "
                "opening at which it stops"
            )
            findings.append(Finding("two-branches", opening, name, 0.0, reason))
    return findings
