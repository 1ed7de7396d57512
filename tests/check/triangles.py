"""Which facets pass through each other, judged by triangles alone.

Nothing here comes from ``meshes.check``: facets are cut into triangles, laid out in space by the
solver's poses, and tested edge against triangle (T. Möller and B. Trumbore, "Fast, minimum storage
ray-triangle intersection", Journal of Graphics Tools 2, 1997). A pair is *through* at an opening if
an edge of one runs through the other. It is *deep* if it is still through once both facets have
lost a rim of d / sin(angle between them): then each reaches that far beyond the line in which they
meet, so no shift by less than d, square to either or along that line, can free them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely.geometry import Polygon

from meshes.motion.result import Motion
from meshes.spread import Spread

if TYPE_CHECKING:
    from meshes.check import Case

# Barycentric room inside a triangle, share of its size; and of an edge. What lies on a border only
# touches.
_INSIDE = 1e-9
# Both ends of an edge stand off the triangle's plane by this much, mm.
_OFF_MM = 1e-3
# Sine of the angle under which two sheets count as parallel.
_SHARP = 1e-3
_NUDGE_MM = 1e-4
_MOST_ROWS = 200_000
# A clash deeper than this must be found.
DEEP_MM = 0.05

Pair = tuple[str, str]


@dataclass(frozen=True)
class Paper:
    """One facet: its id, its body and its polygon in that body's plane, mm."""

    id: str
    body: int
    polygon: Polygon


@dataclass(frozen=True)
class Verdict:
    """What the triangles say of a motion, by pair of facets (ids in order).

    Parameters
    ----------
    through : stages at which they pass through each other.
    deep : those at which they do so by more than the depth asked for.
    """

    through: dict[Pair, list[int]]
    deep: dict[Pair, list[int]]


def facets_of(spread: Spread) -> list[Paper]:
    """All facets of a spread."""
    return [
        Paper(part.id, k, part.polygon)
        for k, body in enumerate(spread.linkage.bodies)
        for part in body.parts
    ]


def judge(spread: Spread, motion: Motion, depth: float, stages: np.ndarray) -> Verdict:
    """Every pair of facets at some stages of a motion; unsolved stages are left out."""
    facets = facets_of(spread)
    triangles = [_triangles(facet.polygon) for facet in facets]
    owner = np.repeat(np.arange(len(facets)), [len(t) for t in triangles])
    flat = np.concatenate(triangles)
    body = np.array([facet.body for facet in facets])
    page = np.array([facet.id.startswith("page.") for facet in facets])
    apart = (body[:, None] != body) & ~(page[:, None] & page)
    through: dict[Pair, list[int]] = {}
    deep: dict[Pair, list[int]] = {}
    for stage in stages:
        if not motion.solved[stage]:
            continue
        turn = motion.rotations[stage]
        shift = motion.translations[stage] + _nudges(len(turn))
        space = _lifted(flat, turn[body[owner]], shift[body[owner]])
        for a, b in _met(space, owner, apart):
            names = _names(facets, a, b)
            through.setdefault(names, []).append(int(stage))
            normals = turn[body[[a, b]], :, 2]
            sine = float(np.linalg.norm(np.cross(*normals)))
            if sine > _SHARP and _is_deep(facets[a], facets[b], turn, shift, depth / sine):
                deep.setdefault(names, []).append(int(stage))
    return Verdict(through, deep)


def lie_in_each_other(spread: Spread, motion: Motion, stages: np.ndarray) -> set[Pair]:
    """Facets of different bodies with triangles that share paper of one plane at all these stages.

    What only touches shares less than 1 mm². No paper that one page carries is told from paper on
    the other, so stages should not be near flat.
    """
    facets = facets_of(spread)
    corners = [_triangles(facet.polygon) for facet in facets]
    found = [
        (a, b) for a in range(len(facets)) for b in range(a) if facets[a].body != facets[b].body
    ]
    for stage in stages:
        turn, shift = motion.rotations[stage], motion.translations[stage]
        space = [
            _lifted(part, turn[[f.body] * len(part)], shift[[f.body] * len(part)])
            for f, part in zip(facets, corners, strict=True)
        ]
        found = [(a, b) for a, b in found if _flat_share(space[a], space[b]) > 1.0]
    return {_names(facets, a, b) for a, b in found}


def _flat_share(one: np.ndarray, two: np.ndarray) -> float:
    """Area that triangles (n, 3, 3) share with others in whose plane they lie, mm²."""
    origin = two[0, 0]
    along = two[0, 1] - origin
    normal = np.cross(along, two[0, 2] - origin)
    axes = np.array([along, np.cross(normal, along)])
    axes = axes / np.linalg.norm(axes, axis=1)[:, None]
    if np.abs((one - origin) @ normal).max() > _OFF_MM * np.linalg.norm(normal):
        return 0.0
    drawn = [shapely.polygons((part - origin) @ axes.T) for part in (one, two)]
    return float(shapely.area(shapely.intersection(drawn[0][:, None], drawn[1][None])).sum())


def _nudges(count: int) -> np.ndarray:
    """A shift for each body, far less than a depth that counts, shape (count, 3), mm.

    Two mirrored pieces may cross edge on edge, through no triangle of either.
    """
    return np.random.default_rng(0).uniform(-_NUDGE_MM, _NUDGE_MM, (count, 3))


def _names(facets: list[Paper], a: int, b: int) -> Pair:
    one, two = sorted((facets[a].id, facets[b].id))
    return one, two


def _is_deep(one: Paper, two: Paper, turn: np.ndarray, shift: np.ndarray, rim: float) -> bool:
    parts = [_triangles(paper.polygon.buffer(-rim, join_style="mitre")) for paper in (one, two)]
    if not all(len(part) for part in parts):
        return False
    bodies = [one.body, two.body]
    space = [
        _lifted(part, np.broadcast_to(turn[k], (len(part), 3, 3)), shift[[k] * len(part)])
        for part, k in zip(parts, bodies, strict=True)
    ]
    owner = np.repeat([0, 1], [len(part) for part in parts])
    return bool(_met(np.concatenate(space), owner, np.array([[False, True], [True, False]])))


def _triangles(shape: shapely.Geometry) -> np.ndarray:
    """Triangles of a polygon or of several, shape (n, 3, 2)."""
    if shape.is_empty:
        return np.zeros((0, 3, 2))
    cut = shapely.get_parts(shapely.constrained_delaunay_triangles(shape))
    return np.array([np.asarray(part.exterior.coords)[:3] for part in cut]).reshape(-1, 3, 2)


def _lifted(flat: np.ndarray, turn: np.ndarray, shift: np.ndarray) -> np.ndarray:
    """Triangles (n, 3, 2) in space, shape (n, 3, 3)."""
    return np.einsum("nij,nkj->nki", turn[:, :, :2], flat) + shift[:, None]


def _met(space: np.ndarray, owner: np.ndarray, apart: np.ndarray) -> set[tuple[int, int]]:
    """Pairs of owners of which an edge of one runs through a triangle of the other."""
    low, high = space.min(axis=1), space.max(axis=1)
    near = apart[owner[:, None], owner]
    for axis in range(3):
        under = low[:, None, axis] <= high[None, :, axis]
        near &= under & under.T
    edge, face = np.nonzero(near)
    found: set[tuple[int, int]] = set()
    for start in range(0, len(edge), _MOST_ROWS):
        rows = slice(start, start + _MOST_ROWS)
        hit = _runs_through(space[edge[rows]], space[face[rows]])
        found |= {
            (min(a, b), max(a, b))
            for a, b in zip(owner[edge[rows][hit]], owner[face[rows][hit]], strict=True)
        }
    return {(int(a), int(b)) for a, b in found}


def _runs_through(edges: np.ndarray, faces: np.ndarray) -> np.ndarray:
    """Whether an edge of the first triangle (n, 3, 3) runs through the second, shape (n,)."""
    origin, u, v = faces[:, 0], faces[:, 1] - faces[:, 0], faces[:, 2] - faces[:, 0]
    normal = np.cross(u, v)
    size = np.linalg.norm(normal, axis=1)
    good = size > 1e-12
    normal = normal / np.where(good, size, 1.0)[:, None]
    height = np.einsum("nkj,nj->nk", edges - origin[:, None], normal)
    hit = np.zeros(len(edges), bool)
    for a, b in ((0, 1), (1, 2), (2, 0)):
        sides = (np.minimum(height[:, a], height[:, b]) < -_OFF_MM) & (
            np.maximum(height[:, a], height[:, b]) > _OFF_MM
        )
        share = height[:, a] / np.where(sides, height[:, a] - height[:, b], 1.0)
        point = edges[:, a] + share[:, None] * (edges[:, b] - edges[:, a]) - origin
        # Barycentric coordinates by areas.
        beta = np.einsum("nj,nj->n", np.cross(point, v), normal) / np.where(good, size, 1.0)
        gamma = np.einsum("nj,nj->n", np.cross(u, point), normal) / np.where(good, size, 1.0)
        within = (beta > _INSIDE) & (gamma > _INSIDE) & (beta + gamma < 1 - _INSIDE)
        hit |= good & sides & within
    return hit


@dataclass(frozen=True)
class Comparison:
    """The report against the triangles.

    Parameters
    ----------
    deep : how many pairs the triangles find deep.
    missed : those of which the report has no clash.
    made_up : clashes of the report at whose worst opening, solved anew, nothing is through.
    """

    deep: int
    missed: list[Pair]
    made_up: list[Pair]


def compare(spread: Spread, every: int = 4) -> Comparison:
    """Compare the clashes that are reported with the triangles at every so many stages.

    So too while a wheel or a slide is moved, where only pairs count of which one moves.
    """
    from meshes.check import STAGES, case_of

    motion = spread.solve(STAGES)
    case = case_of(spread, motion)

    def solved(openings: np.ndarray) -> Motion:
        return spread.solve(np.unique([*STAGES, *openings]))

    found = [_compared(spread, case, every, solved)]
    found += [_compared(spread, pull, 1, partial(_pulled, case, pull)) for pull in case.pulls]
    return Comparison(
        sum(one.deep for one in found),
        [pair for one in found for pair in one.missed],
        [pair for one in found for pair in one.made_up],
    )


def _pulled(case: Case, pull: Case, shares: np.ndarray) -> Motion:
    from meshes.drive import pulled

    assert pull.hand is not None
    stage = int(np.abs(case.motion.openings - pull.hand.opening).argmin())
    name = pull.hand.drive.name
    return pulled(case.linkage, case.motion, name, stage, np.unique(shares) / np.pi)[0]


def _compared(
    spread: Spread, case: Case, every: int, solved: Callable[[np.ndarray], Motion]
) -> Comparison:
    """One case against the triangles; `solved` gives its motion at other openings too."""
    from meshes.check.clash import collisions

    motion, facets = case.motion, case.facets
    # What is exactly as deep as the limit is no miss: bodies are nudged.
    depth = DEEP_MM + 2 * _NUDGE_MM
    verdict = judge(spread, motion, depth, np.arange(0, len(motion.openings), every))
    moving = range(len(case.linkage.bodies)) if case.hand is None else case.hand.bodies
    moves = {name: int(body) in moving for name, body in zip(facets.ids, facets.body, strict=True)}
    deep = [p for p in verdict.deep if case.hand is None or moves[p[0]] != moves[p[1]]]
    worst: dict[Pair, float] = {}
    for clash in collisions(case).contacts:
        one, two = sorted((facets.ids[clash.contact.first], facets.ids[clash.contact.second]))
        if clash.push > DEEP_MM:
            worst.setdefault((one, two), clash.opening)
    missed = [pair for pair in deep if pair not in worst]
    doubtful = {pair: at for pair, at in worst.items() if pair not in verdict.through}
    made_up: list[Pair] = []
    if doubtful:
        closer = solved(np.array(list(doubtful.values())))
        at = np.abs(closer.openings[:, None] - list(doubtful.values())).argmin(axis=0)
        through = judge(spread, closer, DEEP_MM, np.unique(at)).through
        made_up = [pair for pair in doubtful if pair not in through]
    return Comparison(len(deep), missed, made_up)
