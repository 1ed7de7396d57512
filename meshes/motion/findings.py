"""What the solver must tell about a motion, in words for a person."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from meshes.linkage import Linkage

from .free.course import Course
from .loops.blocks import Misfit
from .loops.march import Blocked, Stop, Touch
from .result import MotionFinding

# A smaller gap would be printed as 0.00 mm.
_TELLING_MM = 0.005
_CAUSES = {
    "pulled": "is pulled flat (0°)",
    "flat": "is pressed flat (0°)",
    "shut": "is folded shut (180°)",
    "taut": "pulls taut",
    "leans": "is pressed against {there}",
    "proud": "does not come to lie flat",
    "unknown": "cannot fold any further",
}


def not_assembled(linkage: Linkage, misfit: Misfit) -> MotionFinding:
    """A block that closes at no opening."""
    name = linkage.hinges[misfit.hinge].name
    degrees = np.degrees(misfit.opening)
    reason = (
        f"{name} cannot be assembled: nearest at {degrees:z.0f}°, where {misfit.gap:z.2f} mm are "
        "missing with every fold in its direction"
    )
    return MotionFinding("cannot-assemble", float(misfit.opening), name, misfit.gap, reason)


def not_held(linkage: Linkage, body: int) -> MotionFinding:
    """A body that nothing ties to the pages."""
    name = linkage.bodies[body].name
    reason = f"nothing holds {name}: no glue and no fold ties it to the pages"
    return MotionFinding("cannot-assemble", 0.0, "", 0.0, reason)


def jams(linkage: Linkage, stops: Sequence[Stop]) -> list[MotionFinding]:
    """Where blocks stop short."""
    findings = []
    for stop in stops:
        name = linkage.hinges[stop.hinge].name
        what, there = name, ""
        if stop.touch is not None:
            what, there = _touching(linkage, stop.touch)
        cause = _CAUSES[stop.cause].format(there=there)
        reason = (
            f"{what} {cause} at {np.degrees(stop.opening):z.2f}°, so the spread cannot "
            f"{'close' if stop.closing else 'open'} further"
        )
        if stop.gap >= _TELLING_MM:
            reason += f"; at the end {stop.gap:z.2f} mm would be missing"
        findings.append(
            MotionFinding("jam", float(stop.opening), name, stop.gap, reason, cause=stop.cause)
        )
    return findings


def _touching(linkage: Linkage, touch: Touch) -> tuple[str, str]:
    """The facet whose corner touches, and the facet that it touches."""
    names: list[str] = []
    for body, point in zip(touch.bodies, touch.points, strict=True):
        place = shapely.Point(point)
        parts = linkage.bodies[body].parts
        # Of facets that lie on each other, the corner is the one that reaches out that far.
        rim = not names
        far = [(p.polygon.exterior if rim else p.polygon).distance(place) for p in parts]
        names.append(parts[int(np.argmin(np.round(far, 6)))].id)
    return names[0], names[1]


def obstructions(linkage: Linkage, courses: Sequence[Course]) -> list[MotionFinding]:
    """Where other pieces stop free blocks, and whether they could lie on the other side."""
    findings = []
    for course in courses:
        for stop in course.blocked:
            if stop.given_up:
                findings.append(_given_up(linkage, stop))
                continue
            if not stop.passed:
                findings.append(_blocked(linkage, stop))
            if stop.passed or stop.clear:
                findings.append(_beyond(linkage, stop))
    return findings


def _blocked(linkage: Linkage, stop: Blocked) -> MotionFinding:
    name = linkage.hinges[stop.hinge].name
    reason = (
        f"{name} is stopped by {_itself(name, stop.piece)} at {np.degrees(stop.opening):z.2f}°, so "
        f"the spread cannot {'close' if stop.closing else 'open'} further"
    )
    if stop.gap >= _TELLING_MM:
        reason += f"; on the rest of the way it would pass {stop.gap:z.2f} mm deep through it"
    return MotionFinding("jam", stop.opening, name, stop.gap, reason, stop.piece)


def _given_up(linkage: Linkage, stop: Blocked) -> MotionFinding:
    name = linkage.hinges[stop.hinge].name
    reason = (
        f"how the paper of {name} gets past {_itself(name, stop.piece)} was followed as far as "
        f"{np.degrees(stop.opening):z.2f}° and then given up as too much work: it is shown as if "
        "nothing were in its way"
    )
    return MotionFinding("not-followed", stop.opening, name, stop.gap, reason, stop.piece)


def _beyond(linkage: Linkage, stop: Blocked) -> MotionFinding:
    name, opening = linkage.hinges[stop.hinge].name, np.degrees(stop.opening)
    other = _itself(name, stop.piece)
    if stop.passed:
        reason = f"{name} can lie on both sides of {other}; on the other one it is stopped"
    else:
        reason = f"{name} would lie clear of {other} farther on, but has to snap over it"
    return MotionFinding(
        "two-branches", stop.opening, name, stop.gap, f"{reason} at {opening:z.2f}°", stop.piece
    )


def _itself(fold: str, piece: str) -> str:
    """How a piece is called that stops a fold."""
    return "its own paper" if fold.partition(".")[0] == piece else piece or "other paper"


def leaps(linkage: Linkage, courses: Sequence[Course]) -> list[MotionFinding]:
    """Where free blocks snap, or could be assembled otherwise past a stop."""
    findings = []
    for course in courses:
        if course.snaps:
            findings.append(_snap(linkage, course))
        for branch in course.walk.branches:
            name = linkage.hinges[branch.hinge].name
            degrees, apart = np.degrees(branch.opening), np.degrees(branch.apart)
            reason = (
                f"past its stop the piece of {name} has another pose at {degrees:z.1f}°, with that "
                f"fold {apart:z.1f}° away: it can be pushed there, but does not go by itself"
            )
            findings.append(MotionFinding("two-branches", branch.opening, name, 0.0, reason))
    return findings


def _snap(linkage: Linkage, course: Course) -> MotionFinding:
    """The largest of a block's sudden moves."""
    snap = max(course.snaps, key=lambda one: one.jump)
    name = linkage.hinges[snap.hinge].name
    jump, opening = np.degrees(snap.jump), np.degrees(snap.opening)
    reason = f"{name} snaps by {jump:z.1f}° at {opening:z.2f}°"
    if snap.past:
        reason += f", where it slips off {_itself(name, snap.past)}"
    if len(course.snaps) > 1:
        reason += f", the largest of {len(course.snaps)} sudden moves"
    return MotionFinding("snap", snap.opening, name, 0.0, reason, snap.past)
