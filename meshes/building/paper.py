"""All facets of a spread at the solved openings, and what lies in front of what."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from meshes.linkage import Linkage
from meshes.motion.result import Motion
from meshes.sheet import Join, Sheet

# A finger, or the tool that stands in for one, must get at a glue area: common practice, no source.
FINGER_MM = 12.0
_LAYER_MM = 2.0


@dataclass(frozen=True)
class Leaf:
    """One facet.

    Parameters
    ----------
    sheet : index of its sheet.
    body : index of its body.
    polygon : in the plane of its body, mm.
    up : +1 if the printed face looks along +z of the body, else -1.
    """

    id: str
    sheet: int
    body: int
    polygon: Polygon
    up: int


class Paper:
    """Facets, joins and poses, asked for what blocks or threads what.

    Attributes
    ----------
    sheets : the sheets in the order in which their facets come in the bodies; indices that the
        methods return are into it.
    """

    def __init__(self, linkage: Linkage, joins: Sequence[Join], motion: Motion) -> None:
        sheets: list[Sheet] = []
        self.leaves: dict[str, Leaf] = {}
        found = [(k, part) for k, body in enumerate(linkage.bodies) for part in body.parts]
        for _, part in found:
            if not any(part.sheet is sheet for sheet in sheets):
                sheets.append(part.sheet)
        self.sheets = sheets
        for body, part in found:
            number = next(k for k, sheet in enumerate(sheets) if sheet is part.sheet)
            leaf = Leaf(part.id, number, body, part.polygon, part.placement.up)
            self.leaves[part.id] = leaf
        self.joins = tuple(joins)
        keep = np.flatnonzero(motion.solved)
        self.openings = motion.openings[keep]
        self.rotations = motion.rotations[keep]
        self.translations = motion.translations[keep]
        self._order = list(self.leaves.values())

    def area(self, join: int) -> Polygon:
        """Where the facet of a join meets its host, in the plane of their body, mm."""
        facet, host = self._ends(join)
        common = facet.polygon.intersection(host.polygon)
        parts = [p for p in shapely.get_parts(common) if isinstance(p, Polygon) and p.area > 1e-6]
        return max(parts, key=lambda p: p.area) if parts else facet.polygon

    def _ends(self, join: int) -> tuple[Leaf, Leaf]:
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
        starts = _samples(self.area(join)) @ rotation[:, :2].T
        starts = starts + self.translations[stage, facet.body]
        nearest = np.full(len(starts), reach)
        sheet = np.full(len(starts), -1)
        for leaf in self._order:
            if leaf.body == facet.body:
                continue
            distance = self._distances(leaf, stage, starts, normal)
            nearer = distance < nearest
            nearest[nearer] = distance[nearer]
            sheet[nearer] = leaf.sheet
        own = sheet == facet.sheet
        # Layers glued on top are pressed through.
        return [int(k) for k in np.where(own, -1, sheet)]

    def _distances(
        self, leaf: Leaf, stage: int, starts: np.ndarray, normal: np.ndarray
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

    def threads(self) -> set[tuple[int, int]]:
        """Pairs (x, y): sheet x passes through a hole of sheet y at some opening."""
        holed = [leaf for leaf in self._order if leaf.polygon.interiors]
        pairs: set[tuple[int, int]] = set()
        for leaf in holed:
            holes = shapely.union_all([Polygon(ring) for ring in leaf.polygon.interiors])
            for other in self._order:
                key = (other.sheet, leaf.sheet)
                if other.sheet == leaf.sheet or other.body == leaf.body or key in pairs:
                    continue
                if any(self._passes(other, leaf, holes, k) for k in range(len(self.openings))):
                    pairs.add(key)
        return pairs

    def _passes(self, through: Leaf, leaf: Leaf, holes: Polygon, stage: int) -> bool:
        """Whether a facet crosses the plane of another inside its holes."""
        rotation, shift = self.rotations[stage, leaf.body], self.translations[stage, leaf.body]
        ring = np.asarray(through.polygon.exterior.coords)
        world = ring @ self.rotations[stage, through.body][:, :2].T
        local = (world + self.translations[stage, through.body] - shift) @ rotation
        z = local[:, 2]
        if z.min() > -1.0 or z.max() < 1.0:
            return False
        crossing = np.flatnonzero(z[:-1] * z[1:] < 0)
        share = (z[crossing] / (z[crossing] - z[crossing + 1]))[:, None]
        points = local[crossing, :2] * (1 - share) + local[crossing + 1, :2] * share
        if len(points) < 2:
            return False
        return bool(LineString(points).intersection(holes).length > 0.5)


def _samples(area: Polygon) -> np.ndarray:
    """A few points well inside an area, shape (n, 2), mm."""
    middle = area.representative_point()
    inner = area.buffer(-0.3 * float(shapely.maximum_inscribed_circle(area).length))
    ring = inner.exterior if isinstance(inner, Polygon) and not inner.is_empty else area.exterior
    around = [ring.interpolate(k / 8, normalized=True) for k in range(8)]
    return np.array([[p.x, p.y] for p in (middle, *around)])
