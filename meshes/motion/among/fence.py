"""Fences: planes that keep two plates of paper apart while free paper comes to rest.

A fence is carried by one of the two plates, and every corner of the other one stays on its side. As
long as it holds, the plates cannot meet, whatever else they do. When a plate comes to rest against
its fence before it touches the other plate, there is a better fence between them, and with that one
it can go on; energy only falls on the way, so this ends, at the latest where the plates do touch.
Where they touch with a corner or along an edge of one, or edge across edge, one plane parts them.

Lengths are mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..free.contact import Contacts, loop_curvature
from ..loops.blocks import Block
from ..loops.closure import BlockPose
from ..loops.turns import cross
from .crossing import TOUCH_MM, Surroundings, gets_by
from .plates import Between, PairStanding, Plates, partings

# Corners that are as near as this to a corner of the other plate at all times are one point.
_SAME_MM = 1e-5
_SHORTEST_MM = 10.0


@dataclass(frozen=True)
class Fence:
    """A plane between two plates.

    Parameters
    ----------
    pair : index of the pair.
    carrier : 0 or 1, the plate that carries it.
    direction : unit vector towards the other plate, in coordinates of the carrier's body.
    offset : height of the plane along it, mm.
    edges : where the plane runs along an edge of each plate, and turns with both, the corners at
        which these edges start.
    side : +1 if (edge of the first plate) × (edge of the second) looks towards the first, else -1.
    """

    pair: int
    carrier: int
    direction: np.ndarray
    offset: float
    edges: tuple[int, int] | None = None
    side: int = 1


@dataclass(frozen=True)
class PlatePairs:
    """Pairs of plates that may meet: one of a free block, and another of it or of what stands by.

    Parameters
    ----------
    bodies : of both plates among the bodies of the block, shape (2, N).
    plates : all plates, and which of them belong to each pair, shape (2, N).
    joined : for each plate of each pair the corners that it shares with the other, (2, N, m).
    """

    block: Block
    bodies: np.ndarray
    plates: Plates
    members: np.ndarray
    joined: np.ndarray

    @staticmethod
    def of(around: Surroundings, block: Block, poses: Sequence[BlockPose]) -> PlatePairs:
        """All pairs of plates of an own body and of another one to which no fold ties it.

        Parameters
        ----------
        poses : some of the block, which tell what paper shares a point with other paper.
        """
        known = block.topology.known
        plates = Plates.join_all([around.plates(body) for body in block.bodies])
        local = {body: k for k, body in enumerate(block.bodies)}
        owner = np.array([local[int(body)] for body in plates.bodies])
        members = [
            (i, j)
            for i in np.flatnonzero(owner >= known).tolist()
            for j in range(len(owner))
            if (owner[j] < known or owner[i] < owner[j])
            and int(plates.bodies[j]) > 1
            and (int(plates.bodies[i]), int(plates.bodies[j])) not in around.hinged
        ]
        chosen = np.array(members, int).reshape(-1, 2).T
        bodies = owner[chosen]
        joined = _shared_corners(plates, owner, chosen, poses)
        return PlatePairs(block, bodies, plates, chosen, joined)

    def placed(
        self, pose: BlockPose, pairs: int | slice | np.ndarray = slice(None)
    ) -> tuple[np.ndarray, ...]:
        """Corners and normals of first and second plates, shapes (N, m, 3) and (N, 3).

        Parameters
        ----------
        pairs : some pairs, or one, whose arrays then have no first axis; else all.
        """
        bodies = self.bodies[:, pairs]
        rotations = pose.rotations[bodies]
        corners = self.plates.corners[self.members[:, pairs]] @ np.swapaxes(rotations, -1, -2)
        corners = corners + pose.translations[bodies][..., None, :]
        return corners[0], rotations[0, ..., 2], corners[1], rotations[1, ..., 2]

    def near(self, *poses: BlockPose) -> np.ndarray:
        """Pairs whose balls touch in a pose, or on the straight way between two, ascending, (n,).

        On such a way all corners go straight and evenly, as in :func:`gets_by`. So does the middle
        of each ball, and the plate stays in it. Other pairs can't meet.
        """
        owner = np.zeros(len(self.plates.corners), int)
        owner[self.members] = self.bodies
        apart = [_between(self.plates, owner, self.members, pose) for pose in poses]
        start, way = apart[0], apart[-1] - apart[0]
        # Where on the way both middles are nearest to each other, as a share of it.
        square = np.maximum((way**2).sum(axis=1), np.finfo(float).tiny)
        share = np.clip(-(start * way).sum(axis=1) / square, 0.0, 1.0)
        least = np.linalg.norm(start + share[:, None] * way, axis=1)
        radii = self.plates.balls[1][self.members].sum(axis=0)
        return np.flatnonzero(least < radii + TOUCH_MM)

    def standing(self, pose: BlockPose, pairs: slice | np.ndarray = slice(None)) -> PairStanding:
        """How pairs stand to each other, all or some, shapes (n,) and (3, n)."""
        one, one_normal, two, two_normal = self.placed(pose, pairs)
        return PairStanding.of(one, one_normal, two, two_normal, TOUCH_MM)

    def depths(self, pose: BlockPose) -> np.ndarray:
        """How deep the plates of each pair pass through each other, shape (N,), mm."""
        near = self.near(pose)
        found = np.zeros(self.members.shape[1])
        found[near] = self.standing(pose, near).depths
        return found

    def meet(self, before: BlockPose, after: BlockPose, pairs: np.ndarray) -> np.ndarray:
        """Whether some pairs run into each other on the way between two poses, shape (n,)."""
        return ~gets_by(self.placed(before, pairs), self.placed(after, pairs))

    def part(self, pair: int, pose: BlockPose) -> tuple[Fence, float]:
        """The best fence between two plates, and how far apart it shows them to be, mm."""
        between = partings(*self.placed(pose, pair))[0]
        return self._fence(pair, pose, between), between.gap

    def choices(self, pair: int, pose: BlockPose) -> list[Fence]:
        """Fences between two plates that don't meet; each leaves them other ways to go."""
        found = partings(*self.placed(pose, pair))
        clear = [between for between in found[1:] if between.gap > -TOUCH_MM]
        return [self._fence(pair, pose, between) for between in (found[0], *clear)]

    def _fence(self, pair: int, pose: BlockPose, between: Between) -> Fence:
        body = int(self.bodies[between.carrier, pair])
        direction = pose.rotations[body].T @ between.direction
        rim = self.plates.corners[self.members[between.carrier, pair]]
        offset = float((rim @ direction).max())
        if between.edges is None:
            return Fence(pair, between.carrier, direction, offset)
        ways = [
            pose.rotations[self.bodies[k, pair]] @ self.edge(k, pair, between.edges[k])[1]
            for k in range(2)
        ]
        side = 1 if np.cross(*ways) @ between.direction > 0 else -1
        return Fence(pair, between.carrier, direction, offset, between.edges, side)

    def edge(self, side: int, pair: int, start: int) -> tuple[np.ndarray, np.ndarray]:
        """Start and direction of an edge of a plate, in coordinates of its body."""
        rim = self.plates.corners[self.members[side, pair]]
        step = np.roll(rim, -1, axis=0)[start] - rim[start]
        return rim[start], step / np.linalg.norm(step)

    def loose(self, side: int, pair: int) -> np.ndarray:
        """Corners of a plate that it does not share with the other one, in its body, (c, 3)."""
        rim = self.plates.corners[self.members[side, pair]]
        loose = ~self.joined[side, pair]
        loose[1:] &= np.abs(np.diff(rim, axis=0)).max(axis=1) > 0
        return rim[loose]

    def reach(self, pair: int) -> float:
        """Radius of the larger plate of a pair, mm."""
        return float(self.plates.balls[1][self.members[:, pair]].max())

    def pieces(self, pair: int) -> tuple[str, str]:
        """The pieces to which both plates belong."""
        one, two = self.members[:, pair]
        return self.plates.pieces[one], self.plates.pieces[two]


def _shared_corners(
    plates: Plates, owner: np.ndarray, chosen: np.ndarray, poses: Sequence[BlockPose]
) -> np.ndarray:
    """For each plate of each pair the corners that lie on one of the other in all poses, (2, N, m).

    Only pairs that share a corner in one pose are looked at in the next.
    """
    corners, count = plates.corners.shape[1], chosen.shape[1]
    joined = np.zeros((2, count, corners), bool)
    left = np.arange(count)
    for pose in poses[:1]:
        # What shares a corner has balls that touch; comparing all corners costs far more.
        gaps = np.linalg.norm(_between(plates, owner, chosen, pose), axis=1)
        left = np.flatnonzero(gaps < plates.balls[1][chosen].sum(axis=0) + 2 * _SAME_MM)
    close = np.ones((len(left), corners, corners), bool)
    for pose in poses:
        placed = _placed(plates, owner, pose)
        one, two = placed[chosen[0, left]], placed[chosen[1, left]]
        for axis in range(3):
            gaps = one[:, :, None, axis] - two[:, None, :, axis]
            close &= np.abs(gaps, out=gaps) < _SAME_MM
        shares = close.any(axis=(1, 2))
        left, close = left[shares], close[shares]
    joined[0, left], joined[1, left] = close.any(axis=2), close.any(axis=1)
    return joined


def _between(plates: Plates, owner: np.ndarray, pairs: np.ndarray, pose: BlockPose) -> np.ndarray:
    """From the middle of the ball of the first plate of each pair to the second's, (N, 3), mm."""
    middles = plates.balls[0][..., None]
    placed = (pose.rotations[owner] @ middles)[..., 0] + pose.translations[owner]
    one, two = placed[pairs]
    return np.asarray(two - one)


def _placed(plates: Plates, owner: np.ndarray, pose: BlockPose) -> np.ndarray:
    return plates.placed(pose.rotations[owner], pose.translations[owner])


@dataclass(frozen=True)
class FencedContacts(Contacts):
    """Contact rows over pages and hosts, followed by those of fences, those along edges last.

    Parameters
    ----------
    directions : unit normals of the planes on their free side, in coordinates of their bodies,
        shape (K, 3).
    offsets : their heights along them, shape (K,), mm.
    edged : bodies of the two edges of each row along edges, shape (E, 2).
    starts, ways : of these edges, shapes (E, 2, 3), in coordinates of their bodies, mm.
    turns : +1 or -1, as :attr:`Fence.side`, shape (E,).
    fence : for each row past those of the pages and hosts, the index of its pair.
    """

    directions: np.ndarray
    offsets: np.ndarray
    edged: np.ndarray
    starts: np.ndarray
    ways: np.ndarray
    turns: np.ndarray
    fence: np.ndarray

    @cached_property
    def signs(self) -> np.ndarray:
        """How each fold moves a row's vertex or edge against what it must clear, shape (R, n)."""
        paths = self.topology.paths
        planes = paths[self.bodies[self.vertex]] - paths[self.planes[self.plane]]
        return np.concatenate([planes, paths[self.edged[:, 0]] - paths[self.edged[:, 1]]])

    @cached_property
    def order(self) -> np.ndarray:
        """Place of each fold on the way from a row's plane up and down to its vertex, (R, n)."""
        depth = np.array(self.topology.depth, float)
        bodies = np.concatenate([self.bodies[self.vertex], self.edged[:, 0]])
        return np.where(self.topology.paths[bodies] != 0, depth + 1, -depth - 1)

    def normals(self, pose: BlockPose) -> np.ndarray:
        """Normals of the planes on their free side, shape (K, 3)."""
        return (pose.rotations[self.planes] @ self.directions[..., None])[..., 0]

    def heights(self, pose: BlockPose) -> np.ndarray:
        """Scaled heights, shape (R,)."""
        normals = self.normals(pose)
        offsets = (normals * pose.translations[self.planes]).sum(axis=-1) + self.offsets
        table = self.vertices(pose) @ normals.T - offsets
        edges = self._edges(pose)
        return np.concatenate([table[self.vertex, self.plane], edges.heights]) / self.scale

    def gradients(self, pose: BlockPose, rows: np.ndarray) -> np.ndarray:
        """Derivatives of the heights of some rows, shape (r, n)."""
        normals, points = self._levers(pose, rows)
        slopes = np.cross(points, normals) @ pose.axes - normals @ pose.moments
        return self.signs[rows] * slopes / self.scale[rows, None]

    def curvature(self, pose: BlockPose, rows: np.ndarray, weights: np.ndarray) -> np.ndarray:
        """Second derivative of Σ weight × height over some rows, shape (n, n).

        The normal n of a plane along edges d of a body and e of another turns with the bodies: as
        seen from the second one, n' = β e × n with β = -ω · (d × n) / (e × n · d) where the first
        turns by ω. A height n · r then has the second derivative n · r'' + 2 n' · r' - β² n · r.
        """
        normals, points = self._levers(pose, rows)
        shares = weights / self.scale[rows]
        forces = normals * shares[:, None]
        total = loop_curvature(pose, self.pairs(rows), pose.levers(points), forces)
        edges, first = self._edges(pose), len(self.vertex)
        for row, share in zip(rows.tolist(), shares.tolist(), strict=True):
            if row < first:
                continue
            k = row - first
            turn = self.signs[row] * pose.axes
            lever = self.signs[row] * cross(pose.axes, edges.points[k][:, None] - pose.points)
            across = np.cross(edges.ways[k, 1], edges.normals[k])
            lean = np.cross(edges.ways[k, 0], edges.normals[k])
            tilt = -(lean @ turn) / (across @ edges.ways[k, 0])
            mixed = np.outer(tilt, across @ lever)
            total = total + share * (mixed + mixed.T - edges.heights[k] * np.outer(tilt, tilt))
        return total

    def _levers(self, pose: BlockPose, rows: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Normals, and points where they push, of some rows, shapes (r, 3)."""
        edges = self._edges(pose)
        normals = np.concatenate([self.normals(pose)[self.plane], edges.normals])
        points = np.concatenate([self.vertices(pose)[self.vertex], edges.points])
        return normals[rows], points[rows]

    def _edges(self, pose: BlockPose) -> _Edges:
        rotations, shifts = pose.rotations[self.edged], pose.translations[self.edged]
        ways = (rotations @ self.ways[..., None])[..., 0]
        starts = (rotations @ self.starts[..., None])[..., 0] + shifts
        normals = np.cross(ways[:, 0], ways[:, 1])
        sine = np.linalg.norm(normals, axis=1, keepdims=True)
        normals = self.turns[:, None] * normals / np.maximum(sine, 1e-12)
        apart = starts[:, 0] - starts[:, 1]
        heights = (normals * apart).sum(axis=1)
        # Where the first edge comes nearest to the second one.
        cosine = (ways[:, 0] * ways[:, 1]).sum(axis=1)
        along = [(ways[:, k] * apart).sum(axis=1) for k in range(2)]
        run = (cosine * along[1] - along[0]) / np.maximum(1 - cosine**2, 1e-12)
        return _Edges(heights, normals, starts[:, 0] + run[:, None] * ways[:, 0], ways)

    @staticmethod
    def of(base: Contacts, pairs: PlatePairs, fences: Sequence[Fence]) -> FencedContacts:
        """The rows of a block with fences."""
        flat = [one for one in fences if one.edges is None]
        sharp = [one for one in fences if one.edges is not None]
        shapes = [pairs.loose(1 - one.carrier, one.pair) for one in flat]
        counts = [len(shape) for shape in shapes]
        carried = [int(pairs.bodies[one.carrier, one.pair]) for one in flat]
        others = [int(pairs.bodies[1 - one.carrier, one.pair]) for one in flat]
        # Rows are measured by the plates, so that they and the angles have one scale.
        scales = [max(pairs.reach(one.pair), _SHORTEST_MM) for one in (*flat, *sharp)]
        edges = [
            [pairs.edge(k, one.pair, one.edges[k]) for k in range(2)]
            for one in sharp
            if one.edges is not None
        ]
        upright = np.column_stack([np.zeros((len(base.sides), 2)), base.sides])
        ends = np.array(edges).reshape(-1, 2, 2, 3)
        owners = np.repeat(np.arange(len(flat)), counts)
        return FencedContacts(
            base.topology,
            np.concatenate([base.bodies, np.repeat(others, counts)]).astype(int),
            np.concatenate([base.points, *shapes]),
            np.concatenate([base.planes, carried]).astype(int),
            np.concatenate([base.sides, np.ones(len(flat))]),
            np.concatenate([base.vertex, len(base.bodies) + np.arange(len(owners))]).astype(int),
            np.concatenate([base.plane, len(base.planes) + owners]).astype(int),
            np.concatenate([base.scale, np.repeat(scales, [*counts, *[1] * len(sharp)])]),
            np.concatenate([upright, *(one.direction[None] for one in flat)]),
            np.concatenate([np.zeros(len(base.planes)), [one.offset for one in flat]]),
            np.array([pairs.bodies[:, one.pair] for one in sharp], int).reshape(-1, 2),
            ends[:, :, 0],
            ends[:, :, 1],
            np.array([one.side for one in sharp], float),
            np.array(
                [*np.array([f.pair for f in flat], int)[owners], *(f.pair for f in sharp)], int
            ),
        )

    def pressed(self, rows: np.ndarray) -> frozenset[int]:
        """Pairs whose fences are among some rows."""
        first = len(self.scale) - len(self.fence)
        return frozenset(self.fence[rows[rows >= first] - first].tolist())


@dataclass(frozen=True)
class _Edges:
    """Pairs of edges of a pose.

    Parameters
    ----------
    heights : of the first over the second, shape (E,), mm.
    normals, points : of the plane along both, and where the first is nearest, shape (E, 3).
    ways : directions of both, shape (E, 2, 3).
    """

    heights: np.ndarray
    normals: np.ndarray
    points: np.ndarray
    ways: np.ndarray
