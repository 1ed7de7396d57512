"""Rays against triangles: the only module that talks to Embree."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

# Shadow rays start this far before the paper on the way from the eye, where nothing can be: more
# than float32 loses over a metre, less than the gap between glued papers.
PULL_MM = np.float32(0.06)
# Light through a sheet is looked for from this far behind it.
BEHIND_MM = np.float32(1.0)
FAR = np.float32(1e30)


@dataclass(frozen=True, eq=False)
class Hits:
    """The nearest triangle of each ray (-1 for none) and its distance, mm."""

    triangle: np.ndarray
    distance: np.ndarray


def summed(rows: np.ndarray) -> np.ndarray:
    """Sums over the first axis, row after row, however many columns there are.

    Of a single column numpy would add the rows in another order, and so round otherwise.
    """
    if rows.shape[1] == 1:
        return np.asarray(np.repeat(rows, 2, axis=1).sum(axis=0)[:1])
    return np.asarray(rows.sum(axis=0))


class Tracer:
    """Triangles, ready to be hit.

    Parameters
    ----------
    triangles : shape (T, 3, 3), float32, mm; or corners that they share, shape (V, 3). There may be
        none.
    faces : which three corners each triangle has, shape (T, 3), int32, if they share them.
    tight : no ray slips through between two triangles that share an edge. It takes longer; one
        among many shadow rays or samples of a pixel that slips through does not show.
    """

    def __init__(
        self, triangles: np.ndarray, faces: np.ndarray | None = None, tight: bool = True
    ) -> None:
        from embreex.mesh_construction import TriangleMesh
        from embreex.rtcore_scene import EmbreeScene

        self._scene = None
        if len(triangles):
            self._scene = EmbreeScene(robust=tight)
            # It reads number after number, doubles faster than what is shorter.
            self._mesh = TriangleMesh(self._scene, triangles.astype(float), faces)

    def nearest(self, origins: np.ndarray, directions: np.ndarray) -> Hits:
        """The first triangle on each ray.

        Parameters
        ----------
        origins : shape (n, 3), float32.
        directions : shape (n, 3) or, where all rays run the same way, (1, 3), float32.
        """
        count = len(origins)
        if self._scene is None or count == 0:
            return Hits(np.full(count, -1, np.int32), np.full(count, FAR, np.float32))
        found = self._scene.run(origins, directions, output=1)
        return Hits(found["primID"], found["tfar"])

    def first(self, origins: np.ndarray, directions: np.ndarray) -> np.ndarray:
        """The first triangle on each ray, -1 for none, shape (n,)."""
        if self._scene is None or len(origins) == 0:
            return np.full(len(origins), -1, np.int32)
        return self._scene.run(origins, directions)

    def free_within(
        self, origins: np.ndarray, directions: np.ndarray, reach: np.ndarray
    ) -> np.ndarray:
        """Whether nothing is met on each ray (n, 3) before its reach (n,), mm; bool, (n,)."""
        if self._scene is None or len(origins) == 0:
            return np.ones(len(origins), bool)
        return self._scene.run(origins, directions, dists=reach, query="OCCLUDED") < 0

    def free(self, origins: np.ndarray, directions: np.ndarray) -> np.ndarray:
        """Whether each ray leaves the scene, bool, shape (n,)."""
        if self._scene is None or len(origins) == 0:
            return np.ones(len(origins), bool)
        return self._scene.run(origins, directions, query="OCCLUDED") < 0
