"""Whether the spread moves freely."""

from __future__ import annotations

import numpy as np

from ..motion.result import MotionFinding as Stop
from .case import Case
from .curls import curls
from .finding import Finding, Place, Severity
from .held import held
from .limits import Limits

_SEVERITY: dict[str, Severity] = {
    "jam": "problem",
    "cannot-assemble": "problem",
    "snap": "warning",
    "two-branches": "warning",
    "not-followed": "warning",
}
_KIND = {
    "jam": "jams",
    "cannot-assemble": "cannot be assembled",
    "snap": "snaps",
    "two-branches": "two ways to fold",
    "not-followed": "not followed",
}
# What a maker can do about it; it changes nothing in the design.
_BY_HAND = "lead it past {0} by hand when the book is first closed and opened"


def moves(case: Case, limits: Limits) -> tuple[list[Finding], dict[str, float]]:
    """What the solver found about the motion, with the opening, the fold and the gap.

    A flyleaf that is turned opens what stands between it and its neighbours, glue may hold what
    else a hand should move, and paper may be in the way of what is curled.
    """
    findings, measures = _stops(case)
    for turn in case.turns:
        more, own = _stops(turn)
        known = {(one.kind, one.parts) for one in findings}
        findings += [one for one in more if (one.kind, one.parts) not in known]
        gaps = [m["largest_gap_mm"] for m in (measures, own) if "largest_gap_mm" in m]
        measures |= {"largest_gap_mm": max(gaps)} if gaps else {}
    return [*findings, *held(case), *curls(case)], measures


def _stops(case: Case) -> tuple[list[Finding], dict[str, float]]:
    """Where the motion of one case stops, snaps or has two ways to go."""
    findings = [_told(case, stop) for stop in case.motion.findings]
    if not case.motion.solved.all() and not any(f.severity == "problem" for f in findings):
        missing = case.motion.openings[~case.motion.solved]
        findings.append(
            Finding(
                "moves",
                "problem",
                "jams",
                "",
                (),
                f"it cannot be folded at {len(missing)} openings, the first "
                f"{case.moment(missing[0])}",
                from_deg=case.spread_deg(missing[0]),
                to_deg=case.spread_deg(missing[-1]),
            )
        )
    measures = {"solved_stages": float(case.motion.solved.sum())}
    if case.motion.solved.any():
        measures["largest_gap_mm"] = float(np.nanmax(case.motion.gaps[case.motion.solved]))
    return findings, measures


def _told(case: Case, stop: Stop) -> Finding:
    opening_deg = float(np.degrees(stop.opening))
    return Finding(
        "moves",
        _SEVERITY[stop.kind],
        _KIND[stop.kind],
        stop.fold.partition(".")[0],
        (stop.fold,) if stop.fold else (),
        _reason(case, stop),
        _BY_HAND.format(stop.obstacle) if stop.obstacle and stop.kind == "two-branches" else "",
        amount=stop.gap,
        unit="mm",
        worst_deg=180.0 if case.flyleaf else opening_deg,
        place=_fold_place(case, stop),
    )


def _reason(case: Case, stop: Stop) -> str:
    opening_deg = np.degrees(stop.opening)
    reason = stop.reason or f"{stop.fold} {_KIND[stop.kind]} at {opening_deg:z.1f}°"
    # The solver sees two flyleaves that are next to each other as a spread of its own.
    return f"where {case.flyleaf} opens like a spread, {reason}" if case.flyleaf else reason


def _fold_place(case: Case, stop: Stop) -> Place | None:
    """The fold at the last pose before the stop."""
    openings = case.poses.openings
    hinge = next((h for h in case.linkage.hinges if h.name == stop.fold), None)
    if hinge is None or not len(openings) or case.flyleaf:
        return None
    opening = float(openings[np.abs(openings - stop.opening).argmin()])
    facet = case.facets.index(hinge.facets[0])
    origin, along = hinge.origins[0][:2], hinge.frames[0][:2, 0]
    ends = np.array([origin, origin + along * hinge.length])
    return case.place("line", case.world(facet, ends, opening), opening)
