"""Facets at the solved openings, as a proof looks at them: what lies where, and on which side."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import Polygon

from meshes.linkage import Linkage, Part
from meshes.motion.result import Motion
from meshes.sheet import Join, Sheet


class BuildPoses:
    """A spread, and where all its facets lie while it moves.

    Attributes
    ----------
    parts : body and part of each facet.
    shapes, corners : its outline in the plane of its body, and the corners of it, shape (n, 2), mm.
    owner : index of its sheet.
    creases : the facets on both sides of each fold.
    """

    def __init__(
        self, sheets: Sequence[Sheet], joins: Sequence[Join], linkage: Linkage, motion: Motion
    ) -> None:
        self.sheets, self.joins, self.linkage = tuple(sheets), tuple(joins), linkage
        self.parts: dict[str, tuple[int, Part]] = {
            part.id: (k, part) for k, body in enumerate(linkage.bodies) for part in body.parts
        }
        self.shapes = {name: part.polygon for name, (_, part) in self.parts.items()}
        self.corners = {
            name: np.asarray(shape.exterior.coords) for name, shape in self.shapes.items()
        }
        self.owner = {f"{s.piece}.{f.name}": k for k, s in enumerate(sheets) for f in s.facets}
        keep = np.flatnonzero(motion.solved)
        self.openings = motion.openings[keep]
        self.rotations, self.translations = motion.rotations[keep], motion.translations[keep]
        self.creases = [
            (f"{s.piece}.{c.left}", f"{s.piece}.{c.right}") for s in sheets for c in s.crossings
        ]

    def area(self, join: int) -> Polygon:
        """Where the facet of a join meets its host, in the plane of their body, mm."""
        one, two = self.shapes[self.joins[join].facet], self.shapes[self.joins[join].host]
        common = shapely.get_parts(one.intersection(two))
        parts = [p for p in common if isinstance(p, Polygon) and p.area > 1e-6]
        return max(parts, key=lambda p: p.area) if parts else one

    def seen_from(self, facet: str, body: int, points: np.ndarray, stage: int) -> np.ndarray:
        """Points (n, 3) of a body in the coordinates of a facet's body."""
        own, _ = self.parts[facet]
        world = points @ self.rotations[stage, body].T + self.translations[stage, body]
        moved: np.ndarray = (world - self.translations[stage, own]) @ self.rotations[stage, own]
        return moved

    def side(self, name: str, area: Polygon, holed: str, stage: int) -> float:
        """+1 or -1: on which side of a facet's sheet an area of another lies, 0 if on neither."""
        body, part = self.parts[name]
        if body == self.parts[holed][0]:
            return float(np.sign(part.height - self.parts[holed][1].height))
        middle = area.representative_point()
        local = self.seen_from(holed, body, np.array([[middle.x, middle.y, 0.0]]), stage)
        return float(np.sign(local[0, 2]) if abs(local[0, 2]) > 0.1 else 0.0)
