"""Paper that lies in other paper at every opening, so that nothing crosses: both can't be there.

Two sheets in one plane all the way have no order: neither is in front. What a fold that stays shut
or flat, an obstacle or a hand lays on other paper has one, and is left out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import permutations

import numpy as np
import shapely

from ..sheet import Obstacle
from .case import Case
from .finding import Finding
from .poses import Pose

# Near flat all paper lies in one plane, radians.
_OPEN_RAD = np.radians([2.0, 178.0])
# So many openings between are looked at. Our choice.
_LOOKED_AT = 12
# Sheets that stay nearer than this are in one plane, mm, and sines of their angles: as near as
# poses between two stages are known.
_ONE_PLANE_MM, _ONE_PLANE_SINE = 0.01, 1e-4
# Edges that only touch share less than this, mm².
_SHARED_MM2 = 1.0
# A fold is flat or shut that is as near to it, radians.
_STILL_RAD = 1e-3


@dataclass(frozen=True)
class _Shared:
    """What two facets share at an opening (radians), in the plane of the second one's body, mm."""

    first: int
    second: int
    opening: float
    area: shapely.Geometry


def same_place(case: Case) -> list[Finding]:
    """One problem for each two pieces of which facets lie in each other all the way."""
    openings = case.poses.openings
    openings = openings[(openings >= _OPEN_RAD[0]) & (openings <= _OPEN_RAD[1])]
    if len(openings) < 2:
        return []
    openings = openings[
        np.unique(np.linspace(0, len(openings) - 1, _LOOKED_AT).round().astype(int))
    ]
    largest: dict[frozenset[str], _Shared] = {}
    count: dict[frozenset[str], int] = {}
    for one in _shared(case, openings):
        pieces = frozenset(case.facets.pieces[k] for k in (one.first, one.second))
        count[pieces] = count.get(pieces, 0) + 1
        if pieces not in largest or one.area.area > largest[pieces].area.area:
            largest[pieces] = one
    return [_finding(case, one, count[pieces]) for pieces, one in largest.items()]


def _finding(case: Case, shared: _Shared, count: int) -> Finding:
    one, two = (case.facets.ids[k] for k in (shared.first, shared.second))
    more = f" (with {count - 1} more pair{'s' * (count > 2)} of facets)" if count > 1 else ""
    part = max(shapely.get_parts(shared.area), key=lambda part: float(part.area))
    at = case.spread_deg(shared.opening)
    outline = np.asarray(part.exterior.coords)
    return Finding(
        "clash",
        "problem",
        "same place",
        case.facets.pieces[shared.second],
        (two, one),
        f"{two} lies in {one} at every opening, over {shared.area.area:z.0f} mm², and neither of "
        f"them is in front{more}",
        "move or leave out one of them, or glue one on the other",
        amount=float(shared.area.area),
        unit="",
        worst_deg=at,
        place=case.place(
            "area", case.world(shared.second, outline, shared.opening), shared.opening
        ),
    )


def _shared(case: Case, openings: np.ndarray) -> Iterator[_Shared]:
    """Pairs of facets that lie in each other, each where they share most."""
    facets = case.facets
    first, second = np.nonzero(_one_plane(case, openings)[facets.body][:, facets.body])
    near = _near(case, openings, first, second)
    for pair in np.flatnonzero(near.any(axis=0)).tolist():
        one, two, best = int(first[pair]), int(second[pair]), None
        for opening in openings[near[:, pair]].tolist():
            area = _overlap(case, one, two, opening)
            if area.area > _SHARED_MM2 and (best is None or area.area > best.area.area):
                best = _Shared(one, two, opening, area)
        ids = {facets.ids[one], facets.ids[two]}
        if best is not None and not any(_keeps_apart(o, ids) for o in case.linkage.obstacles):
            yield best


def _near(case: Case, openings: np.ndarray, first: np.ndarray, second: np.ndarray) -> np.ndarray:
    """Whether the boxes round P pairs of facets meet, by opening, shape (T, P)."""
    facets = case.facets
    near = np.ones((len(openings), len(first)), bool)
    for stage, opening in enumerate(openings.tolist()):
        pose = case.bodies_at(opening)
        corners = Pose(pose.rotation[facets.body], pose.translation[facets.body]).apply(
            facets.frame
        )
        low, high = corners.min(axis=1) - _ONE_PLANE_MM, corners.max(axis=1)
        near[stage] &= (low[first] <= high[second]).all(axis=1)
        near[stage] &= (low[second] <= high[first]).all(axis=1)
    return near


def _one_plane(case: Case, openings: np.ndarray) -> np.ndarray:
    """Pairs of bodies in one plane all the way, without an order: the upper half of (B, B)."""
    group = _laid(case, openings)
    apart = np.triu(group[:, None] != group, 1)
    for opening in openings.tolist():
        pose = case.bodies_at(opening)
        normals, places = pose.rotation[:, :, 2], pose.translation
        one, two = np.nonzero(apart)
        sine = np.linalg.norm(np.cross(normals[one], normals[two]), axis=1)
        off = np.abs(((places[one] - places[two]) * normals[two]).sum(axis=1))
        apart[one, two] = (sine < _ONE_PLANE_SINE) & (off < _ONE_PLANE_MM)
    return apart


def _laid(case: Case, openings: np.ndarray) -> np.ndarray:
    """For each body a number that all share which lie on each other all the way, shape (B,).

    Folds that stay flat or shut lay paper on paper, hands move what is laid on its ground, and
    curled paper that has no room stays on its facet.
    """
    stages = np.searchsorted(case.motion.openings, openings)
    turned = np.abs(case.motion.angles[stages])
    still = np.all((turned < _STILL_RAD) | (turned > np.pi - _STILL_RAD), axis=0)
    ties = [hinge.bodies for hinge, fixed in zip(case.linkage.hinges, still, strict=True) if fixed]
    place = case.linkage.place
    ties += [(place(d.join.facet)[0], place(d.join.host)[0]) for d in case.linkage.drives]
    if case.curling is not None:
        parents = case.curling[0].parents.tolist()
        ties += list(enumerate(parents, len(case.linkage.bodies) - len(parents)))
    group = np.arange(len(case.linkage.bodies))
    for one, two in ties:
        group[group == group[one]] = group[two]
    return group


def _overlap(case: Case, first: int, second: int, opening: float) -> shapely.Geometry:
    bodies, facets = case.bodies_at(opening), case.facets
    one, two = (
        Pose(bodies.rotation[k], bodies.translation[k]) for k in facets.body[[first, second]]
    )
    return facets.shared(first, second, one.seen_from(two))


def _keeps_apart(obstacle: Obstacle, ids: set[str]) -> bool:
    """Whether an obstacle tells which of two facets lies over the other."""
    return any(one in obstacle.facets and two in obstacle.planes for one, two in permutations(ids))
