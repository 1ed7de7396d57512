"""Whether free paper runs into other paper: a quick look over a whole course.

Most free paper meets nothing. So all bodies are first taken as balls, then as flat hulls, then as
hulls of their facets, and only what is still in doubt as it is cut. Lengths are mm.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from meshes.linkage import Linkage

from ..loops.blocks import Block
from .plates import PairStanding, Plates, convex_pieces, hull_of, hulls_of

# The given pages are obstacles of another kind: no paper leaves the space between them.
_PAGES = 2
# Paper that passes less deep than this through other paper touches it.
TOUCH_MM = 0.01
# Between two stages corners go straight, which is not quite how they turn.
_BETWEEN_MM = 0.1
_STEPS = 8

# Rotations (S, B, 3, 3) and translations (S, B, 3) of all bodies of the linkage.
Placed = tuple[np.ndarray, np.ndarray]


class Surroundings:
    """The paper of all bodies of a linkage, as finely as it is asked for."""

    def __init__(self, linkage: Linkage) -> None:
        self.linkage = linkage
        self.hinged = {pair for h in linkage.hinges for pair in (h.bodies, h.bodies[::-1])}
        self._made: dict[tuple[str, int], Plates] = {}

    def hulls(self, body: int) -> Plates:
        """One hull round everything on a body."""
        return self.all_hulls([body])[0]

    def all_hulls(self, bodies: Sequence[int]) -> list[Plates]:
        """One hull round everything on each body, made together, which is quicker."""
        new = [body for body in bodies if ("hulls", body) not in self._made]
        if new:
            parts = [self.linkage.bodies[body].parts for body in new]
            owners = np.repeat(np.arange(len(new)), [len(some) for some in parts])
            rims = shapely.get_exterior_ring([part.polygon for some in parts for part in some])
            points, rim = shapely.get_coordinates(rims, return_index=True)
            hulls = hulls_of(shapely.multipoints(points, indices=owners[rim]))
            for body, some, hull in zip(new, parts, hulls, strict=True):
                plate = Plates.join([(body, some[0].sheet.piece, hull)])
                self._made["hulls", body] = plate
        return [self._made["hulls", body] for body in bodies]

    def facets(self, body: int) -> Plates:
        """A hull round each facet."""
        if len(self.linkage.bodies[body].parts) == 1:
            return self.hulls(body)
        return self._get("facets", body, lambda: self._cut(body, lambda p: [hull_of(p)]))

    def plates(self, body: int) -> Plates:
        """Convex pieces of the facets."""
        return self._get("plates", body, lambda: self._cut(body, convex_pieces))

    def _get(self, what: str, body: int, make: Callable[[], Plates]) -> Plates:
        if (what, body) not in self._made:
            self._made[what, body] = make()
        return self._made[what, body]

    def _cut(self, body: int, shapes: Callable[[shapely.Polygon], list[np.ndarray]]) -> Plates:
        return Plates.join(
            (body, part.sheet.piece, shape)
            for part in self.linkage.bodies[body].parts
            for shape in shapes(part.polygon)
        )


@dataclass(frozen=True)
class Crossings:
    """Where some bodies pass through paper.

    Parameters
    ----------
    clear : whether they pass through nothing, for each of S stages.
    kept : whether they can get from each stage to the next without passing through, shape (S-1,).
    """

    clear: np.ndarray
    kept: np.ndarray


def find_crossings(around: Surroundings, own: Sequence[int], poses: Placed) -> Crossings:
    """Look over a course.

    Parameters
    ----------
    own : bodies of the linkage that are looked at; they count as obstacles of each other.
    poses : at S stages; bodies that are NaN there are no obstacles.
    """
    clear, kept = np.ones(len(poses[1]), bool), np.ones(len(poses[1]) - 1, bool)
    known = np.flatnonzero(np.isfinite(poses[1]).all(axis=(0, 2))).tolist()
    others = [body for body in known if body >= _PAGES and body not in set(own)]
    for _, (crossed, missed) in _looked(around, (list(own), others), poses, True):
        clear[crossed] = False
        kept[missed] = False
    return Crossings(clear, kept)


def find_meetings(
    around: Surroundings, own: Sequence[int], others: Sequence[int], poses: Placed
) -> set[int]:
    """Which of the other bodies some bodies pass through.

    Parameters
    ----------
    own, others : bodies of the linkage, none in both.
    poses : at S stages, at which all of them are placed.
    """
    found = _looked(around, (list(own), list(others)), poses, False)
    return {pair[1] for (pair, _), (crossed, missed) in found if len(crossed) or len(missed)}


def within_reach(around: Surroundings, block: Block, poses: Placed) -> list[int]:
    """Bodies, other than pages, that a block could reach at one of S stages, however it folds."""
    hulls = Plates.join_all([around.hulls(body) for body in block.own])
    known = block.topology.known
    roots = [
        (side, k)
        for k, pair in enumerate(block.topology.sides)
        for side in (0, 1)
        if pair[side] < known
    ]
    # No own body is farther from a fold on a host than all of them in a row.
    reach = 2 * hulls.balls[1].sum()
    found = []
    others = np.flatnonzero(np.isfinite(poses[1]).all(axis=(0, 2))).tolist()
    for body in others:
        if body < _PAGES or body in block.own:
            continue
        middle, radius = around.hulls(body).balls
        place = poses[0][:, body] @ middle[0] + poses[1][:, body]
        for side, k in roots:
            host = block.bodies[block.topology.sides[k][side]]
            root = poses[0][:, host] @ block.geometry.origins[k, side] + poses[1][:, host]
            if (np.linalg.norm(place - root, axis=1) < reach + radius[0]).any():
                found.append(body)
                break
    return found


# A pair of bodies, and the stages at which a closer look is needed, shape (n,), ascending.
_Doubt = tuple[tuple[int, int], np.ndarray]
# Own bodies and others.
_Sides = tuple[list[int], list[int]]


def _looked(
    around: Surroundings, sides: _Sides, poses: Placed, inside: bool
) -> list[tuple[_Doubt, tuple[np.ndarray, np.ndarray]]]:
    """What of the doubts remains at the closest look; see :func:`_look`."""
    doubts = _doubts(around, sides, poses, inside)
    looked = []
    for shapes in (around.facets, around.plates):
        looked = [_look(shapes, pair, stages, poses) for pair, stages in doubts]
        doubts = [found for found, _ in looked if len(found[1])]
    return looked


def _doubts(around: Surroundings, sides: _Sides, poses: Placed, inside: bool) -> list[_Doubt]:
    """Pairs of an own body and another whose hulls lie across each other, or change sides.

    If `inside`, own bodies are others to each other.
    """
    own, others = sides
    bodies = own + others
    if not own or not bodies:
        return []
    hulls = around.all_hulls(bodies)
    rotations, translations = poses[0][:, bodies], poses[1][:, bodies]
    close = _close(hulls, len(own), rotations, translations)
    pairs = [
        (a, b)
        for a, b in np.argwhere(close.any(axis=0)).tolist()
        if (b >= len(own) or (inside and a < b)) and (bodies[a], bodies[b]) not in around.hinged
    ]
    if not pairs:
        return []
    first, second = np.array(pairs).T
    side = _sides(hulls, rotations, translations, first, second)
    near = close[:, first, second]
    doubtful = near & (side == 0).all(axis=0)
    loose = _changes(side) & (near[1:] | near[:-1])
    doubtful[1:] |= loose
    doubtful[:-1] |= loose
    return [
        ((bodies[a], bodies[b]), np.flatnonzero(doubtful[:, k]))
        for k, (a, b) in enumerate(pairs)
        if doubtful[:, k].any()
    ]


def _close(
    hulls: Sequence[Plates], own: int, rotations: np.ndarray, translations: np.ndarray
) -> np.ndarray:
    """Which own bodies and others are near each other, taken as balls, shape (S, own, B)."""
    middle, reach = (
        np.concatenate(each) for each in zip(*(one.balls for one in hulls), strict=True)
    )
    places = (rotations @ middle[:, :, None])[..., 0] + translations
    apart = np.zeros((len(places), own, len(reach)))
    # Sums over three numbers at a time would take longer than all else here.
    for x in np.moveaxis(places, -1, 0):
        apart += (x[:, :own, None] - x[:, None]) ** 2
    return apart < (reach[:own, None] + reach) ** 2


def _sides(
    hulls: Sequence[Plates],
    rotations: np.ndarray,
    translations: np.ndarray,
    first: np.ndarray,
    second: np.ndarray,
) -> np.ndarray:
    """On which side of the other one's plane each hull of a pair lies, 0 if on both, (2, S, P)."""
    used, place = np.unique([first, second], return_inverse=True)
    corners = Plates.join_all([hulls[k] for k in used.tolist()]).corners
    normals = rotations[..., 2]
    sides = []
    for k, (here, there) in enumerate(((first, second), (second, first))):
        # Planes are brought to the corners, which are many more.
        normal, apart = normals[:, there], translations[:, here] - translations[:, there]
        local = (normal[..., None, :] @ rotations[:, here])[..., 0, :]
        heights = corners[place[k]] @ np.moveaxis(local, 0, -1)
        offsets = (normal * apart).sum(axis=-1)
        above = offsets + heights.min(axis=1).T > -TOUCH_MM
        below = offsets + heights.max(axis=1).T < TOUCH_MM
        sides.append(above * 1 - below * 1)
    return np.array(sides)


def _changes(sides: np.ndarray) -> np.ndarray:
    """Where no side (k, S, P) is kept from a stage to the next one, shape (S-1, P)."""
    same = (sides[:, 1:] == sides[:, :-1]) & (sides[:, 1:] != 0)
    return np.asarray(~same.any(axis=0))


def _look(
    shapes: Callable[[int], Plates], pair: tuple[int, int], stages: np.ndarray, poses: Placed
) -> tuple[_Doubt, tuple[np.ndarray, np.ndarray]]:
    """What remains doubtful of a pair; where it crosses, and after which stages it has crossed."""
    corners, normals = [], []
    one, two = (shapes(body) for body in pair)
    for body, plates in zip(pair, (one, two), strict=True):
        rotations, translations = poses[0][stages, None, body], poses[1][stages, None, body]
        corners.append(plates.placed(rotations, translations))
        normals.append(np.repeat(rotations[..., 2], len(plates.bodies), axis=1))
    i, j = np.indices((len(one.bodies), len(two.bodies))).reshape(2, -1)
    placed = (corners[0][:, i], normals[0][:, i], corners[1][:, j], normals[1][:, j])
    standing = PairStanding.of(*placed, slack=TOUCH_MM)
    deep = np.asarray((standing.depths > TOUCH_MM).any(axis=1))
    next_ = np.diff(stages) == 1
    loose = _changes(standing.sides) & (next_ & ~deep[1:] & ~deep[:-1])[:, None]
    missed = np.zeros(len(stages), bool)
    row, which = np.nonzero(loose)
    if len(row):
        ends = [[values[row + k, which] for values in placed] for k in range(2)]
        missed[row[~gets_by(*ends)]] = True
    doubtful = deep | missed
    doubtful[1:] |= missed[:-1]
    return (pair, stages[doubtful]), (stages[deep], stages[missed])


def gets_by(before: Sequence[np.ndarray], after: Sequence[np.ndarray]) -> np.ndarray:
    """Whether pairs of plates get from one pose to the next without passing through each other.

    Parameters
    ----------
    before, after : corners and normals of the first plates, then of the second, as in
        :meth:`Standing.of`.
    """
    between = []
    for start, end in zip(before, after, strict=True):
        share = (np.arange(1, _STEPS) / _STEPS).reshape(-1, *[1] * start.ndim)
        between.append((1 - share) * start + share * end)
    for k in (1, 3):
        size = np.linalg.norm(between[k], axis=-1, keepdims=True)
        between[k] = between[k] / np.maximum(size, 1e-12)
    return np.asarray((PairStanding.of(*between).depths < _BETWEEN_MM).all(axis=0))
