"""All facets of a spread at the solved openings, and what lies in front of what."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from meshes.linkage import Linkage
from meshes.motion.result import Motion
from meshes.sheet import Crossing, Join, Placement, Sheet

from .points import samples
from .step import FINGER_MM

_LAYER_MM = 2.0
# Less than half of thin paper: what lies nearer to a plane than this lies on neither side of it:
# our choice.
_SIDE_MM = 0.02


@dataclass(frozen=True)
class PaperFacet:
    """One facet.

    Parameters
    ----------
    sheet : index of its sheet.
    body : index of its body.
    polygon : in the plane of its body, mm.
    up : +1 if the printed face looks along +z of the body, else -1.
    height : over the plane of its body, mm.
    """

    id: str
    sheet: int
    body: int
    polygon: Polygon
    up: int
    height: float


@dataclass(frozen=True)
class Thread:
    """A sheet that passes through a hole of another.

    Parameters
    ----------
    through, holed : indices of the sheets.
    passed : joins on the end that goes through the hole.
    """

    through: int
    holed: int
    passed: frozenset[int]


class BuildPaper:
    """Facets, joins and poses, asked for what blocks or threads what.

    Attributes
    ----------
    sheets : the sheets in the order in which their facets come in the bodies; indices that the
        methods return are into it.
    """

    def __init__(self, linkage: Linkage, joins: Sequence[Join], motion: Motion) -> None:
        sheets: list[Sheet] = []
        self.leaves: dict[str, PaperFacet] = {}
        self.places: dict[str, Placement] = {}
        found = [(k, part) for k, body in enumerate(linkage.bodies) for part in body.parts]
        for _, part in found:
            if not any(part.sheet is sheet for sheet in sheets):
                sheets.append(part.sheet)
        self.sheets = sheets
        for body, part in found:
            number = next(k for k, sheet in enumerate(sheets) if sheet is part.sheet)
            leaf = PaperFacet(part.id, number, body, part.polygon, part.placement.up, part.height)
            self.places[part.id] = part.placement
            self.leaves[part.id] = leaf
        self.joins = tuple(joins)
        self._areas: dict[int, Polygon] = {}
        keep = np.flatnonzero(motion.solved)
        self.openings = motion.openings[keep]
        self.rotations = motion.rotations[keep]
        self.translations = motion.translations[keep]
        self._order = list(self.leaves.values())
        self._bodies = np.array([leaf.body for leaf in self._order])
        self._bounds = np.array([leaf.polygon.bounds for leaf in self._order])

    def area(self, join: int) -> Polygon:
        """Where the facet of a join meets its host, in the plane of their body, mm."""
        if join not in self._areas:
            facet, host = self._ends(join)
            common = shapely.get_parts(facet.polygon.intersection(host.polygon))
            parts = [p for p in common if isinstance(p, Polygon) and p.area > 1e-6]
            self._areas[join] = max(parts, key=lambda p: p.area) if parts else facet.polygon
        return self._areas[join]

    def _ends(self, join: int) -> tuple[PaperFacet, PaperFacet]:
        return self.leaves[self.joins[join].facet], self.leaves[self.joins[join].host]

    def blockers(self, join: int) -> set[int]:
        """Sheets that keep a finger from pressing a join, at every opening.

        A finger comes from the side that looks away from the host. Where the sheet's own paper lies
        in the way, it is pressed through that when everything is closed, so that does not count.
        """
        always: set[int] | None = None
        for stage in range(len(self.openings)):
            hits = self._first_hits(join, stage, FINGER_MM)
            blocking = {s for s in set(hits) if s >= 0 and hits.count(s) * 2 >= len(hits)}
            always = blocking if always is None else always & blocking
            if not always:
                return set()
        return always or set()

    def covers(self, join: int) -> set[int]:
        """Sheets that lie over a join, however far, at the widest opening."""
        hits = self._first_hits(join, len(self.openings) - 1, np.inf)
        return {s for s in set(hits) if s >= 0 and hits.count(s) * 2 >= len(hits)}

    def _first_hits(self, join: int, stage: int, reach: float) -> list[int]:
        """Sheet that each ray from a join's outer face meets first within reach; -1 for none."""
        facet, host = self._ends(join)
        away = self.joins[join].side * host.up
        rotation = self.rotations[stage, facet.body]
        normal = rotation[:, 2] * away
        starts = samples(self.area(join)) @ rotation[:, :2].T
        starts = starts + self.translations[stage, facet.body]
        nearest = np.full(len(starts), reach)
        sheet = np.full(len(starts), -1)
        for k in self._near(starts, normal, stage, reach):
            leaf = self._order[k]
            if leaf.body == facet.body:
                continue
            distance = self._distances(leaf, stage, starts, normal)
            nearer = distance < nearest
            nearest[nearer] = distance[nearer]
            sheet[nearer] = leaf.sheet
        own = sheet == facet.sheet
        # Layers glued on top are pressed through.
        return [int(k) for k in np.where(own, -1, sheet)]

    def _near(self, starts: np.ndarray, normal: np.ndarray, stage: int, reach: float) -> np.ndarray:
        """Facets that a ray meets within reach, or that miss it by less than their own boxes."""
        turns, shifts = self.rotations[stage][self._bodies], self.translations[stage][self._bodies]
        local = (starts - shifts[:, None]) @ turns
        along = normal @ turns
        upright = np.abs(along[:, 2]) >= 1e-9
        t = -local[..., 2] / np.where(upright, along[:, 2], 1.0)[:, None]
        at = local[..., :2] + t[..., None] * along[:, None, :2]
        low, high = self._bounds[:, None, :2], self._bounds[:, None, 2:]
        inside = ((at >= low) & (at <= high)).all(axis=2) & (t > 0) & (t < reach)
        return np.flatnonzero(inside.any(axis=1) & upright)

    def _distances(
        self, leaf: PaperFacet, stage: int, starts: np.ndarray, normal: np.ndarray
    ) -> np.ndarray:
        """How far along the normal each ray meets a facet, mm; infinite where it does not."""
        rotation, shift = self.rotations[stage, leaf.body], self.translations[stage, leaf.body]
        local = (starts - shift) @ rotation
        along = normal @ rotation
        far = np.full(len(starts), np.inf)
        if abs(along[2]) < 1e-9:
            return far
        t = -local[:, 2] / along[2]
        ahead = t > _LAYER_MM / 20
        if not ahead.any():
            return far
        points = local[:, :2] + t[:, None] * along[:2]
        inside = shapely.contains_xy(leaf.polygon, points[:, 0], points[:, 1])
        return np.where(ahead & inside, t, np.inf)

    def threads(self) -> list[Thread]:
        """Every sheet that passes through a hole of another, at any opening."""
        found: dict[tuple[int, int], Thread] = {}
        for leaf in [leaf for leaf in self._order if leaf.polygon.interiors]:
            holes = shapely.union_all([Polygon(ring) for ring in leaf.polygon.interiors])
            near = self._reaching(leaf, holes)
            for sheet in range(1, len(self.sheets)):
                key = (sheet, leaf.sheet)
                if sheet == leaf.sheet or key in found or sheet not in near:
                    continue
                for stage in range(len(self.openings)):
                    if self._passes(sheet, leaf, holes, stage):
                        found[key] = Thread(*key, self._passed(sheet, leaf, stage))
                        break
        return [found[key] for key in sorted(found)]

    def _reaching(self, leaf: PaperFacet, holes: Polygon) -> set[int]:
        """Sheets that come near enough to a facet at some opening to pass its holes."""
        middles, reaches = self._balls
        (x, y), far = _ball(holes)
        turn, shift = self.rotations[:, leaf.body], self.translations[:, leaf.body]
        middle = turn[:, :, :2] @ np.array([x, y]) + shift
        apart = np.linalg.norm(middles - middle[:, None], axis=2) - reaches - far
        return {self._order[k].sheet for k in np.flatnonzero((apart <= _LAYER_MM).any(axis=0))}

    @cached_property
    def _leaves_of(self) -> list[list[PaperFacet]]:
        """The facets of each sheet."""
        found: list[list[PaperFacet]] = [[] for _ in self.sheets]
        for leaf in self._order:
            found[leaf.sheet].append(leaf)
        return found

    @cached_property
    def _balls(self) -> tuple[np.ndarray, np.ndarray]:
        """Balls round all facets: middles, shape (stages, facets, 3), and radii, mm."""
        balls = [_ball(leaf.polygon) for leaf in self._order]
        flat = np.array([at for at, _ in balls])
        turns, shifts = self.rotations[:, self._bodies], self.translations[:, self._bodies]
        middles = np.einsum("slij,lj->sli", turns[..., :2], flat) + shifts
        return middles, np.array([far for _, far in balls])

    def _passes(self, sheet: int, leaf: PaperFacet, holes: Polygon, stage: int) -> bool:
        mine = self._leaves_of[sheet]
        if any(self._goes_through(other, leaf, holes, stage) for other in mine):
            return True
        return any(
            self._folds_in(crossing, sheet, leaf, holes, stage)
            for crossing in self.sheets[sheet].crossings
        )

    def _folds_in(
        self, crossing: Crossing, sheet: int, leaf: PaperFacet, holes: Polygon, stage: int
    ) -> bool:
        """Whether a sheet turns under another in a fold that lies in a hole."""
        piece = self.sheets[sheet].piece
        one, two = (self.leaves[f"{piece}.{side}"] for side in (crossing.left, crossing.right))
        ends = self.places[one.id].apply([crossing.fold.start, crossing.fold.end])
        local = self._local(one, leaf, ends, stage)
        if np.abs(local[:, 2]).max() > 1.0:
            return False
        inside = LineString(local[:, :2]).intersection(holes.buffer(_LAYER_MM / 4)).length
        sides = [self._height(side, side.polygon, leaf, stage) for side in (one, two)]
        apart = min(sides) < -_SIDE_MM and max(sides) > _SIDE_MM
        return bool(inside > 0.5 * crossing.fold.length and apart)

    def _local(
        self, one: PaperFacet, leaf: PaperFacet, points: np.ndarray, stage: int
    ) -> np.ndarray:
        """Points (n, 2) of a facet's body in the coordinates of another's, shape (n, 3), mm."""
        world = points @ self.rotations[stage, one.body][:, :2].T
        world = world + self.translations[stage, one.body] - self.translations[stage, leaf.body]
        local: np.ndarray = world @ self.rotations[stage, leaf.body]
        return local

    def _passed(self, sheet: int, leaf: PaperFacet, stage: int) -> frozenset[int]:
        """Joins on the end of a sheet that goes through a hole: the one that reaches less far."""
        mine = self._leaves_of[sheet]
        reach = {1: 0.0, -1: 0.0}
        for other in mine:
            flat = other.body == leaf.body
            ring = np.asarray(other.polygon.exterior.coords)
            heights = self._local(other, leaf, ring, stage)[:, 2]
            heights = np.array([other.height - leaf.height]) if flat else heights
            for sign in reach:
                reach[sign] = max(reach[sign], float((heights * sign).max()))
        end = min(reach, key=lambda sign: reach[sign])
        names = {other.id for other in mine}
        return frozenset(
            j
            for j, join in enumerate(self.joins)
            for name in {join.facet, join.host} & names
            if self._height(self.leaves[name], self.area(j), leaf, stage) * end >= 0
        )

    def _height(self, one: PaperFacet, area: Polygon, leaf: PaperFacet, stage: int) -> float:
        """How high an area on a facet lies over another facet's plane, mm."""
        if one.body == leaf.body:
            return one.height - leaf.height
        middle = area.representative_point()
        return float(self._local(one, leaf, np.array([[middle.x, middle.y]]), stage)[0, 2])

    def _goes_through(
        self, through: PaperFacet, leaf: PaperFacet, holes: Polygon, stage: int
    ) -> bool:
        """Whether a facet crosses the plane of another inside its holes."""
        if through.body == leaf.body:
            return False
        ring = np.asarray(through.polygon.exterior.coords)
        local = self._local(through, leaf, ring, stage)
        z = local[:, 2]
        if z.min() > -1.0 or z.max() < 1.0:
            return False
        crossing = np.flatnonzero(z[:-1] * z[1:] < 0)
        share = (z[crossing] / (z[crossing] - z[crossing + 1]))[:, None]
        points = local[crossing, :2] * (1 - share) + local[crossing + 1, :2] * share
        if len(points) < 2:
            return False
        return bool(LineString(points).intersection(holes).length > 0.5)

    def stacked(self) -> set[tuple[int, int]]:
        """Pairs of joins (low, high): the facet of the second lies over that of the first.

        Only pairs in which the upper one does not hang on the lower: what is glued on a piece goes
        where the piece goes.
        """
        pairs: set[tuple[int, int]] = set()
        bodies: dict[int, list[int]] = {}
        for j, join in enumerate(self.joins):
            bodies.setdefault(self.leaves[join.facet].body, []).append(j)
        for mine in bodies.values():
            shapes = [self.leaves[self.joins[j].facet].polygon for j in mine]
            for a, b in shapely.STRtree(shapes).query(shapes).T:
                if a != b and self._over(mine[a], mine[b]):
                    pairs.add((mine[a], mine[b]))
        return pairs

    def _over(self, low: int, high: int) -> bool:
        facet, host = self._ends(low)
        above, _ = self._ends(high)
        direction = self.joins[low].side * host.up
        higher = (above.height - facet.height) * direction > 1e-6
        if not higher or (above.height - host.height) * direction < 0:
            return False
        if facet.id in self.under(above.id):
            return False
        return bool(facet.polygon.intersection(above.polygon).area > 1.0)

    def under(self, facet: str) -> set[str]:
        """The facets that a facet is glued to, down to the lowest."""
        found: set[str] = set()
        queue = [facet]
        while queue:
            now = queue.pop()
            hosts = [join.host for join in self.joins if join.facet == now]
            queue += [host for host in hosts if host not in found]
            found |= set(hosts)
        return found


def _ball(shape: Polygon) -> tuple[tuple[float, float], float]:
    """A circle round an outline: its middle and radius, mm."""
    low_x, low_y, high_x, high_y = shape.bounds
    far = float(np.hypot(high_x - low_x, high_y - low_y)) / 2
    return ((low_x + high_x) / 2, (low_y + high_y) / 2), far
