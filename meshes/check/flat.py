"""Whether the spread closes flat."""

from __future__ import annotations

import numpy as np

from .case import Case
from .finding import Finding
from .limits import Limits


def flat(case: Case, limits: Limits) -> tuple[list[Finding], dict[str, float]]:
    """Every facet against the closed page: angle and distance.

    Returns
    -------
    Findings, one for each piece that stands off, and the worst angle and distance.
    """
    if not len(case.poses.openings):
        return [], {}
    if not case.closes:
        stuck = _stuck(case)
        return [stuck], {"closes_to_deg": round(stuck.amount or 0.0, 4)}
    opening = float(case.poses.openings[0])
    tilts, gaps = _stand_off(case, opening)
    findings = []
    for piece in case.pieces:
        facets = case.piece_facets(piece)
        facet = max(facets, key=lambda k: (tilts[k] > limits.flat_angle, tilts[k], gaps[k]))
        far = max(facets, key=lambda k: gaps[k])
        if tilts[facet] > limits.flat_angle:
            findings.append(_tilted(case, piece, facet, tilts[facet], limits, opening))
        elif gaps[far] > limits.flat_gap:
            findings.append(_raised(case, piece, far, gaps[far], limits, opening))
    worst = {
        "largest_angle_deg": round(float(np.degrees(tilts.max())), 4),
        "largest_gap_mm": round(float(gaps.max()), 4),
    }
    return findings, worst


def _stand_off(case: Case, opening: float) -> tuple[np.ndarray, np.ndarray]:
    """Angle (radians) of each facet to the closed pages x = 0 and its farthest distance, mm."""
    pose = case.poses.at(np.full(len(case.facets), opening), case.facets.body)
    normal = pose.rotation[:, :, 2]
    # arctan2 keeps small angles exact where arccos of nearly one does not.
    tilts = np.arctan2(np.linalg.norm(normal[:, 1:], axis=1), np.abs(normal[:, 0]))
    return tilts, np.abs(pose.apply(case.facets.tail)[:, :, 0]).max(axis=1)


def open_folds(case: Case, stage: int, piece: str | None = None) -> list[tuple[str, float]]:
    """Folds with their angle to the nearest flat position (radians) at a stage, worst first."""
    angles = np.abs(case.motion.angles[stage])
    off = np.minimum(angles, np.pi - angles)
    rows = [
        (hinge.name, float(off[k]))
        for k, hinge in enumerate(case.linkage.hinges)
        if piece is None or hinge.piece == piece
    ]
    return sorted(rows, key=lambda row: -row[1])


def _stuck(case: Case) -> Finding:
    stage = int(np.flatnonzero(case.motion.solved)[0])
    reached = float(case.motion.openings[stage])
    jams = [f for f in case.motion.findings if f.kind == "jam" and f.opening <= reached + 0.02]
    if jams:
        # Of several pieces that jam, the one that does so first while the spread closes.
        first = max(jams, key=lambda jam: jam.opening)
        fold, reached = first.fold, first.opening
    else:
        fold = next((name for name, _ in open_folds(case, stage)), "")
    reached_deg = float(np.degrees(reached))
    return Finding(
        "flat",
        "problem",
        "does not close",
        fold.partition(".")[0],
        (fold,) if fold else (),
        f"the spread closes to {reached_deg:z.1f}° only: fold {fold} stops it",
        amount=reached_deg,
        unit="deg",
        limit=0.0,
        to_deg=reached_deg,
        worst_deg=reached_deg,
    )


def _tilted(
    case: Case, piece: str, facet: int, tilt: float, limits: Limits, opening: float
) -> Finding:
    stage = int(np.flatnonzero(case.motion.solved)[0])
    folds = open_folds(case, stage, piece) or open_folds(case, stage)
    fold, off = folds[0] if folds else ("", 0.0)
    name = case.facets.ids[facet]
    return Finding(
        "flat",
        "problem",
        "stands off",
        piece,
        (name, fold) if fold else (name,),
        f"{name} stands off the closed page by {np.degrees(tilt):z.2f}°; fold {fold} is "
        f"{np.degrees(off):z.1f}° from flat",
        amount=float(np.degrees(tilt)),
        unit="deg",
        limit=float(np.degrees(limits.flat_angle)),
        worst_deg=0.0,
        place=case.place("area", case.corners(facet, opening), opening),
    )


def _raised(
    case: Case, piece: str, facet: int, gap: float, limits: Limits, opening: float
) -> Finding:
    name = case.facets.ids[facet]
    return Finding(
        "flat",
        "problem",
        "stands off",
        piece,
        (name,),
        f"{name} lies {gap:z.2f} mm off the closed page",
        amount=gap,
        unit="mm",
        limit=limits.flat_gap,
        worst_deg=0.0,
        place=case.place("area", case.corners(facet, opening), opening),
    )
