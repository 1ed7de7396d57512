"""What free paper may not pass: vertices stay on one side of pages, hosts and other facets.

Every decision which contact holds is the answer of a small non-negative least-squares problem.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import shapely

from meshes.linkage import Linkage
from meshes.sheet import Obstacle

from ..loops.blocks import Block
from ..loops.closure import BlockPose, Topology, paired, topology_of
from ..loops.turns import cross, times_axis
from ..nonnegative import nonnegative

# Vertices nearer than this to a fold's line lie on it.
_ON_LINE_MM = 1e-6
_SHORTEST_MM = 10.0
# Rows whose derivatives are smaller than this are rounding.
UNMOVED = 1e-9
NOTHING = 1e-14


@dataclass(frozen=True)
class Contacts:
    """Rows that demand height ≥ 0 of a vertex over a plane z = 0 of some body.

    Heights are divided by `scale`, so that they compare with angles.

    Parameters
    ----------
    topology : of the block.
    bodies, points : of the vertices, shapes (V,) and (V, 3), mm in body coordinates.
    planes, sides : body of each plane, and +1 where its +z side is free, shape (K,).
    vertex, plane : of each row, shape (R,).
    scale : shape (R,), mm.
    """

    topology: Topology
    bodies: np.ndarray
    points: np.ndarray
    planes: np.ndarray
    sides: np.ndarray
    vertex: np.ndarray
    plane: np.ndarray
    scale: np.ndarray

    @cached_property
    def signs(self) -> np.ndarray:
        """How each fold moves a row's vertex against its plane, shape (R, n): +1, -1 or 0."""
        paths = self.topology.paths
        return paths[self.bodies[self.vertex]] - paths[self.planes[self.plane]]

    @cached_property
    def order(self) -> np.ndarray:
        """Place of each fold on the way from a row's plane up and down to its vertex, (R, n)."""
        depth = np.array(self.topology.depth, float)
        down = self.topology.paths[self.bodies[self.vertex]] != 0
        return np.where(down, depth + 1, -depth - 1)

    @cached_property
    def _places(self) -> np.ndarray:
        """The points and a 1 in the columns of their bodies, shape (V, 4 bodies).

        One product with all poses is far quicker than one for each vertex.
        """
        table = np.zeros((len(self.bodies), self.topology.bodies, 4))
        table[np.arange(len(self.bodies)), self.bodies] = np.column_stack(
            [self.points, np.ones(len(self.points))]
        )
        return table.reshape(len(self.bodies), -1)

    @cached_property
    def _columns(self) -> np.ndarray:
        """The same, a column for each point, shape (4 bodies, V)."""
        return np.ascontiguousarray(self._places.T)

    def vertices(self, pose: BlockPose) -> np.ndarray:
        """Where the vertices are, shape (..., V, 3), mm."""
        return self._places @ pose.columns

    def normals(self, pose: BlockPose) -> np.ndarray:
        """Normals of the planes on their free side, shape (..., K, 3)."""
        return self.sides[:, None] * pose.rotations[..., 2].take(self.planes, axis=-2)

    def heights(self, pose: BlockPose) -> np.ndarray:
        """Scaled heights, shape (..., R)."""
        normals = self.normals(pose)
        offsets = (normals * pose.translations.take(self.planes, axis=-2)).sum(axis=-1)
        # All planes are brought to all bodies, since there are far more vertices.
        batch, count = pose.angles.shape[:-1], len(self.planes)
        planes = (normals @ pose.columns.swapaxes(-1, -2)).reshape(*batch, count, -1, 4)
        planes[..., 3] -= offsets[..., None]
        table = planes.reshape(*batch, count, -1) @ self._columns
        cells = table.reshape(*batch, -1).take(self._cells, axis=-1)
        cells /= self.scale
        return cells

    def gradients(self, pose: BlockPose, rows: np.ndarray) -> np.ndarray:
        """Derivatives of the heights of some rows, shape (..., r, n)."""
        normals, points = self._levers(pose, rows)
        # n · (a × (X - p)) = a · (X × n) - n · (a × p)
        arms = cross(points.swapaxes(-1, -2), normals.swapaxes(-1, -2)).swapaxes(-1, -2)
        slopes = arms @ pose.axes - normals @ pose.moments
        return self.signs[rows] * slopes / self.scale[rows, None]

    def curvature(self, pose: BlockPose, rows: np.ndarray, weights: np.ndarray) -> np.ndarray:
        """Second derivative of Σ weight × height over some rows, shape (..., n, n).

        Parameters
        ----------
        weights : shape (..., r).
        """
        normals, points = self._levers(pose, rows)
        forces = normals * (weights / self.scale[rows])[..., None]
        return loop_curvature(pose, self.pairs(rows), pose.levers(points), forces)

    @cached_property
    def _touching(self) -> dict[tuple[int, ...], Touching]:
        """Those that have been asked for."""
        return {}

    def touching(self, rows: tuple[int, ...]) -> Touching:
        """Some rows that are asked for in many poses."""
        if rows not in self._touching:
            self._touching[rows] = self._picked(np.array(rows, int))
        return self._touching[rows]

    def _picked(self, rows: np.ndarray) -> Touching:
        plane = self.plane[rows]
        return Touching(
            self.planes[plane],
            self.sides[plane, None],
            self._places[self.vertex[rows]],
            self.signs[rows],
            self.pairs(rows),
            self.scale[rows],
        )

    def pairs(self, rows: np.ndarray) -> np.ndarray:
        """How pairs of folds count in the heights of some rows, (r, n, n); see `paired`."""
        return paired(self.signs[rows], self.order[rows])

    @cached_property
    def _cells(self) -> np.ndarray:
        """Where each row stands in a table of all planes and vertices, shape (R,)."""
        return self.plane * len(self.bodies) + self.vertex

    def _levers(self, pose: BlockPose, rows: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Normals, and points where they push, of some rows, shapes (..., r, 3)."""
        plane = self.plane[rows]
        normals = pose.rotations[..., 2].take(self.planes[plane], axis=-2)
        return self.sides[plane, None] * normals, self._places[self.vertex[rows]] @ pose.columns


@dataclass(frozen=True)
class Touching:
    """Some contact rows with what each needs of its plane and its vertex.

    Parameters
    ----------
    planes, sides : as of :class:`Contacts`, for each of the rows, shapes (r,) and (r, 1).
    places : see `Contacts._places`, shape (r, 4 bodies).
    signs, pairs, scale : of the rows, shapes (r, n), (r, n, n) and (r,).
    """

    planes: np.ndarray
    sides: np.ndarray
    places: np.ndarray
    signs: np.ndarray
    pairs: np.ndarray
    scale: np.ndarray

    def at(self, pose: BlockPose) -> RowsInPose:
        """How the rows stand in a pose, or in a batch of poses."""
        normals = self.sides * pose.rotations[..., 2].take(self.planes, axis=-2)
        points = self.places @ pose.columns
        apart = points - pose.translations.take(self.planes, axis=-2)
        heights = (normals * apart).sum(axis=-1) / self.scale
        levers = pose.levers(points)
        slopes = (normals[..., None, :] @ levers)[..., 0, :]
        return RowsInPose(self, heights, self.signs * slopes / self.scale[:, None], normals, levers)


@dataclass(frozen=True)
class RowsInPose:
    """Some contact rows in a pose.

    Parameters
    ----------
    heights, gradients : scaled, shapes (..., r) and (..., r, n).
    normals, levers : of the planes, shape (..., r, 3), and how the vertices move with the folds,
        shape (..., r, 3, n).
    """

    rows: Touching
    heights: np.ndarray
    gradients: np.ndarray
    normals: np.ndarray
    levers: np.ndarray

    def curvature(self, pose: BlockPose, weights: np.ndarray) -> np.ndarray:
        """Second derivative of Σ weight × height, weights of shape (..., r), (..., n, n)."""
        forces = self.normals * (weights / self.rows.scale)[..., None]
        return loop_curvature(pose, self.rows.pairs, self.levers, forces)


def loop_curvature(
    pose: BlockPose,
    pairs: np.ndarray,
    levers: np.ndarray,
    forces: np.ndarray,
    torques: np.ndarray | None = None,
) -> np.ndarray:
    """Second derivative of Σ force · point + torque · turn along loops of folds, (..., n, n).

    For fold i before j on the way: (f × a_i) · (a_j × (x - p_j)) + m · (a_i × a_j) / 2, from
    differentiating a product of rotations twice.

    Parameters
    ----------
    pairs : see :func:`paired`, shape (L, n, n).
    levers : how the points move with the folds, shape (..., L, 3, n).
    forces, torques : shape (..., L, 3).
    """
    axes = pose.axes[..., None, :, :]
    # (f × a) · b is a · (b × f), and m · (a × b) is a · (b × m).
    turned = times_axis(forces) @ levers
    if torques is not None:
        turned += times_axis(torques / 2) @ axes
    table = axes.swapaxes(-1, -2) @ turned
    table *= pairs
    upper = table.sum(axis=-3)
    return upper + upper.swapaxes(-1, -2)


def least_distance(rows: np.ndarray, bounds: np.ndarray) -> tuple[np.ndarray, np.ndarray] | None:
    """The shortest y with rows @ y ≥ bounds, and the multipliers of the rows.

    The dual of the least-distance problem is a non-negative least-squares problem (C. L. Lawson and
    R. J. Hanson, Solving Least Squares Problems, chapter 23).

    Parameters
    ----------
    rows, bounds : shapes (r, n) and (r,).

    Returns
    -------
    y, shape (n,), and multipliers, shape (r,), or None if the rows contradict each other.
    """
    count, pushes = rows.shape[1], np.zeros(len(bounds))
    # Corners on the last fold before a host don't move; rounding must not make them count.
    moved = np.abs(rows).max(axis=1, initial=0.0) > UNMOVED
    if bounds[~moved].max(initial=0.0) > UNMOVED:
        return None
    if bounds[moved].max(initial=0.0) <= NOTHING:
        return np.zeros(count), pushes
    system = np.vstack([rows[moved].T, bounds[moved]])
    target = np.zeros(count + 1)
    target[-1] = 1.0
    dual, _ = nonnegative(system, target)
    rest = system @ dual - target
    if np.linalg.norm(rest) < 1e-7 or -rest[-1] < NOTHING:
        return None
    pushes[moved] = dual / -rest[-1]
    return -rest[:-1] / rest[-1], pushes


def with_obstacles(linkage: Linkage, block: Block, pages: Sequence[int]) -> Block:
    """The block with all bodies among its hosts that may stand in its way."""
    wanted = set(pages)
    matched = {body for body in block.own}
    for obstacle in linkage.obstacles:
        if matched.intersection(_kept_clear(linkage, obstacle)):
            wanted.update(_bounding(linkage, obstacle))
    return among(block, wanted)


def among(block: Block, bodies: Iterable[int]) -> Block:
    """The block with more bodies of the linkage among its hosts."""
    extra = tuple(sorted(set(bodies).difference(block.bodies)))
    known = block.topology.known
    shift = len(extra)
    sides = tuple(
        (a + shift if a >= known else a, b + shift if b >= known else b)
        for a, b in block.topology.sides
    )
    count = block.topology.bodies + shift
    topology = topology_of(known + shift, count, sides, block.topology.signs)
    geometry = replace(block.geometry, topology=topology)
    bodies = block.hosts + extra + block.own
    return replace(block, bodies=bodies, topology=topology, geometry=geometry)


def find_contacts(
    linkage: Linkage, block: Block, pose: BlockPose, pages: Sequence[int]
) -> Contacts:
    """All contact rows of a free block.

    Parameters
    ----------
    pose : of the block, any; only hosts are read from it.
    pages : bodies whose +z side no paper may leave.
    """
    topology = block.topology
    bodies, points = _vertices(linkage, block)
    planes: dict[tuple[int, int], int] = {}
    pairs: dict[tuple[int, int], None] = {}

    def demand(vertices: np.ndarray, body: int, side: int) -> None:
        plane = planes.setdefault((body, side), len(planes))
        for vertex in vertices.tolist():
            if (body, int(bodies[vertex])) not in hinged:
                pairs[vertex, plane] = None

    hinged = {pair for a, b in topology.sides for pair in ((a, b), (b, a))}
    everything = np.arange(len(bodies))
    flat = [block.bodies.index(page) for page in pages]
    # A fold whose sign leads through a page is held flat by it; of others the sign is enough.
    hinged -= {(page, body) for page in flat for body in _led_through(block, page)}
    for page in flat:
        demand(everything, page, 1)
    for body, side, convex, near in _host_planes(block, pose, flat):
        demand(everything if convex else np.flatnonzero(near[bodies]), body, side)
    for vertices, body, side in _other_planes(linkage, block, bodies):
        demand(vertices, body, side)
    vertex, plane = np.array(list(pairs), int).reshape(-1, 2).T
    lengths = np.linalg.norm(points - _centres(block)[bodies], axis=1)
    table = np.array(list(planes), int).reshape(-1, 2)
    scale = np.maximum(lengths, _SHORTEST_MM)[vertex]
    return Contacts(topology, bodies, points, table[:, 0], table[:, 1], vertex, plane, scale)


def _led_through(block: Block, page: int) -> list[int]:
    """Bodies hinged to a page by folds that lead to its far side."""
    found = []
    for k, pair in enumerate(block.topology.sides):
        if page in pair and _free_side(block, k, pair.index(page)) < 0:
            found.append(pair[1 - pair.index(page)])
    return found


def _free_side(block: Block, fold: int, side: int) -> float:
    """The side of a host to which a fold leads: a valley, to the printed face of its tab."""
    return float(-block.topology.signs[fold] * block.geometry.frames[fold, side, 2, 2])


def _centres(block: Block) -> np.ndarray:
    """A point among the folds of each body, shape (bodies, 3), mm."""
    centres, counts = np.zeros((block.topology.bodies, 3)), np.zeros(block.topology.bodies)
    for k, pair in enumerate(block.topology.sides):
        for side, body in enumerate(pair):
            centres[body] += block.geometry.origins[k, side]
            counts[body] += 1
    return centres / np.maximum(counts, 1)[:, None]


def _vertices(linkage: Linkage, block: Block) -> tuple[np.ndarray, np.ndarray]:
    """Corners of the convex hulls of all free bodies; those on a fold only once."""
    known = block.topology.known
    bodies, points = [], []
    for k, body in enumerate(block.own, start=known):
        shapes = [part.polygon for part in linkage.bodies[body].parts]
        paper = shapes[0] if len(shapes) == 1 else shapely.unary_union(shapes)
        rim = shapely.get_coordinates(paper.convex_hull)[:-1]
        corners = np.zeros((len(rim), 3))
        corners[:, :2] = rim
        for fold, pair in enumerate(block.topology.sides):
            if k in pair and known <= min(pair) < k:
                side = pair.index(k)
                corners = corners[~_on_fold(block, fold, side, corners)]
        bodies += [k] * len(corners)
        points.append(corners)
    return np.array(bodies, int), np.concatenate([np.zeros((0, 3)), *points])


def _on_fold(block: Block, fold: int, side: int, points: np.ndarray) -> np.ndarray:
    along = block.geometry.frames[fold, side, :, 0]
    offset = points - block.geometry.origins[fold, side]
    run = offset @ along
    off = np.linalg.norm(offset - run[:, None] * along, axis=1)
    length = block.geometry.lengths[fold]
    return (off < _ON_LINE_MM) & (run > -_ON_LINE_MM) & (run < length + _ON_LINE_MM)


def _host_planes(
    block: Block, pose: BlockPose, pages: Sequence[int]
) -> list[tuple[int, int, bool, np.ndarray]]:
    """Host bodies: free side, whether the others stand on it, and which bodies are nearer to it.

    The free side of a page is known.
    """
    known = block.topology.known
    feet: dict[int, tuple[set[int], np.ndarray]] = {}
    for k, pair in enumerate(block.topology.sides):
        for side, body in enumerate(pair):
            if body < known:
                free = _free_side(block, k, side)
                free_sides, origin = feet.get(body, (set(), block.geometry.origins[k, side]))
                feet[body] = (free_sides | {round(float(free))}, origin)
    distances = {body: _distances(block, body) for body in feet}
    found = []
    for body, (free_sides, _) in feet.items():
        if len(free_sides) != 1 or (body in pages and free_sides == {-1}):
            continue
        side = free_sides.pop()
        normal = side * pose.rotations[body, :, 2]
        others = [other for other in feet if other != body]
        feet_at = [pose.rotations[o] @ feet[o][1] + pose.translations[o] for o in others]
        convex = all(normal @ (foot - pose.translations[body]) > -1e-6 for foot in feet_at)
        near = np.all([distances[body] < distances[o] for o in others], axis=0)
        near = near & np.ones(block.topology.bodies, bool)
        found.append((body, side, convex, near))
    return found


def _distances(block: Block, start: int) -> np.ndarray:
    """Folds between a host and each free body, shape (bodies,)."""
    distances = np.full(block.topology.bodies, np.inf)
    distances[start] = 0
    for _ in range(block.topology.bodies):
        for a, b in block.topology.sides:
            for one, two in ((a, b), (b, a)):
                if one == start or one >= block.topology.known:
                    distances[two] = min(distances[two], distances[one] + 1)
    return distances


def _other_planes(
    linkage: Linkage, block: Block, bodies: np.ndarray
) -> list[tuple[np.ndarray, int, int]]:
    """Vertices, body and free side for every facet plane of the obstacles."""
    local = {body: k for k, body in enumerate(block.bodies)}
    found = []
    for obstacle in linkage.obstacles:
        inner = [local[b] for b in _kept_clear(linkage, obstacle) if b in local]
        vertices = np.flatnonzero(np.isin(bodies, inner))
        if len(vertices):
            planes = _bounding(linkage, obstacle)
            found += [(vertices, local[body], obstacle.side * up) for body, up in planes.items()]
    return found


def _kept_clear(linkage: Linkage, obstacle: Obstacle) -> list[int]:
    """Bodies whose paper an obstacle holds back."""
    return sorted({linkage.place(facet)[0] for facet in obstacle.facets})


def _bounding(linkage: Linkage, obstacle: Obstacle) -> dict[int, int]:
    """Bodies whose planes bound the free side, and +1 where the printed face looks along +z."""
    places = [linkage.place(facet) for facet in obstacle.planes]
    return {body: part.placement.up for body, part in places}
