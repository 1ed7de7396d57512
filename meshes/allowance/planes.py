"""Facets in space when the spread is open the widest."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from shapely.geometry import Polygon

from meshes.linkage import Linkage
from meshes.motion.result import Motion
from meshes.sheet import Placement


@dataclass(frozen=True)
class Plane:
    """A facet in space at the widest opening: its outline in its body, and the body's frame."""

    shape: Polygon
    placement: Placement
    rotation: np.ndarray
    shift: np.ndarray
    body: int

    @property
    def up(self) -> int:
        """+1 if the printed face looks along +z of the body, else -1."""
        return self.placement.up

    @property
    def normal(self) -> np.ndarray:
        """Of its printed face, shape (3,)."""
        return self.rotation[:, 2] * self.up

    def world(self, points: np.ndarray) -> np.ndarray:
        """Points of the body's plane, shape (n, 2), in space."""
        return np.asarray(points @ self.rotation[:, :2].T + self.shift)

    def local(self, points: np.ndarray) -> np.ndarray:
        """Points in space, shape (n, 3), in the body's coordinates; z is the height over it."""
        return np.asarray((points - self.shift) @ self.rotation)


def planes(linkage: Linkage, motion: Motion) -> dict[str, Plane]:
    """All facets at the widest opening, by id."""
    stage = int(np.flatnonzero(motion.solved)[-1])
    return {
        part.id: Plane(
            part.polygon,
            part.placement,
            motion.rotations[stage, k],
            motion.translations[stage, k],
            k,
        )
        for k, body in enumerate(linkage.bodies)
        for part in body.parts
    }
