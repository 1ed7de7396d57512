"""Whether slits are long and wide enough for what passes through them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from shapely.geometry import Point, Polygon

from .case import Case
from .chord import heights, spans
from .finding import Finding
from .limits import Limits
from .narrow import width_of
from .poses import Pose
from .sweep import FacetPairs

# Openings looked at, radians. Our choice.
_LOOKED_AT = np.radians(np.arange(5.0, 176.0, 5.0))
# Room across a slit besides the caliper, mm (common practice, no source).
_ACROSS_MM = 0.3
# Flatter than this, paper no longer stands in its slit but lies on it. Our choice.
_FLATTEST_SINE = float(np.sin(np.radians(20.0)))
# Our choice: no cutter keeps to this.
_HAIR_MM = 0.02


@dataclass(frozen=True)
class Passage:
    """One facet passing through a hole of another.

    Parameters
    ----------
    strap, sheet : facet indices.
    hole : the hole, in the coordinates of the sheet's body, mm.
    room : smallest room at either end of the hole over the motion, mm.
    opening : where it is smallest, radians.
    sine : smallest sine of the angle between both, not below that of 20°.
    ends : the strap's cross-section there, in the sheet's body coordinates, shape (2, 2), mm.
    """

    strap: int
    sheet: int
    hole: Polygon
    room: float
    opening: float
    sine: float
    ends: np.ndarray


def passages(case: Case) -> list[Passage]:
    """Everything that passes through a hole without touching its ends."""
    pairs, facets = case.pairs, case.facets
    if not len(case.poses.openings):
        return []
    low, high = case.poses.openings[0], case.poses.openings[-1]
    openings = _LOOKED_AT[(low <= _LOOKED_AT) & (high >= _LOOKED_AT)]
    found = []
    for sheet in range(len(facets)):
        if not facets.polygons[sheet].interiors:
            continue
        for strap in range(len(facets)):
            if facets.body[strap] != facets.body[sheet]:
                found += _through(pairs, strap, sheet, openings)
    return found


def _through(pairs: FacetPairs, strap: int, sheet: int, openings: np.ndarray) -> list[Passage]:
    one, two = np.full(len(openings), strap), np.full(len(openings), sheet)
    pose = pairs.pose(one, two, openings)
    lift, sink = heights(pairs.facets, one, two, pose)
    normals = pose.rotation[:, :2, 2]
    sines = np.linalg.norm(normals, axis=1)
    crosses = (lift.max(axis=1) > 0) & (lift.min(axis=1) < 0)
    crosses &= (sink.max(axis=1) > 0) & (sink.min(axis=1) < 0) & (sines > 1e-3)
    if not crosses.any():
        return []
    straps, sheets = spans(
        pairs.facets,
        one[crosses],
        two[crosses],
        Pose(pose.rotation[crosses], pose.translation[crosses]),
    )
    holes = [Polygon(ring) for ring in pairs.facets.polygons[sheet].interiors]
    best: dict[int, Passage] = {}
    rows = np.flatnonzero(crosses)
    for k, row in enumerate(rows):
        normal = normals[row] / sines[row]
        foot = normal * (pose.rotation[row, :, 2] @ pose.translation[row] / sines[row])
        along = np.array([-normal[1], normal[0]])
        for low, high in straps[k][np.isfinite(straps[k][:, 0])]:
            room = _room(sheets[k], float(low), float(high))
            ends = foot + np.outer([low, high], along)
            at = Point(ends.mean(axis=0))
            which = next((h for h, hole in enumerate(holes) if hole.covers(at)), None)
            if which is None or room is None:
                continue
            sine = max(float(sines[row]), _FLATTEST_SINE)
            old = best.get(which)
            passage = Passage(strap, sheet, holes[which], room, float(openings[row]), sine, ends)
            best[which] = passage if old is None else _tighter(old, passage)
    return list(best.values())


def _tighter(one: Passage, two: Passage) -> Passage:
    tight = one if one.room <= two.room else two
    return replace(tight, sine=min(one.sine, two.sine))


def _room(solid: np.ndarray, low: float, high: float) -> float | None:
    """Room beside an interval in the gap between solid intervals, or None if it is in no gap."""
    solid = solid[np.isfinite(solid[:, 0])]
    before = solid[solid[:, 1] <= low][:, 1]
    after = solid[solid[:, 0] >= high][:, 0]
    if not len(before) or not len(after) or len(before) + len(after) < len(solid):
        return None
    return float(min(low - before.max(), after.min() - high))


def slits(case: Case, limits: Limits) -> list[Finding]:
    """Slits that are too short or too narrow for what passes through them."""
    found = []
    for passage in passages(case):
        strap, sheet = case.facets.ids[passage.strap], case.facets.ids[passage.sheet]
        ends = case.world(passage.sheet, passage.ends, passage.opening)
        place = case.place("line", ends, passage.opening)
        at = float(np.degrees(passage.opening))
        piece = case.facets.pieces[passage.sheet]
        if passage.room < limits.slit_room - _HAIR_MM:
            found.append(
                Finding(
                    "makeable",
                    "warning",
                    "tight slit",
                    piece,
                    (sheet, strap),
                    f"{strap} has {passage.room:z.2f} mm of room at the end of its slit in "
                    f"{sheet}, {limits.slit_room - passage.room:z.2f} mm too little",
                    amount=passage.room,
                    unit="mm",
                    limit=limits.slit_room,
                    worst_deg=at,
                    place=place,
                )
            )
        needed = (case.facets.caliper[passage.strap] + _ACROSS_MM) / passage.sine
        width = width_of(passage.hole)
        if width < needed - _HAIR_MM:
            found.append(
                Finding(
                    "makeable",
                    "warning",
                    "narrow slit",
                    piece,
                    (sheet, strap),
                    f"the slit in {sheet} is {width:z.2f} mm wide, and {strap}, which passes "
                    f"through it at a slant, needs {needed:z.2f} mm",
                    amount=width,
                    unit="mm",
                    limit=float(needed),
                    worst_deg=at,
                    place=place,
                )
            )
    return found
