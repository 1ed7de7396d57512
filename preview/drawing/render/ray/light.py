"""Light on patches: what key, sky and table give to a facet with nothing in the way."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from preview.shot.mood import Mood, sky_radiance

from .sampling import DENSE, GROUPS, dealt, dense_dome, disc, dome, probing

# Facets whose cosines with the whole sky fit into a processor's own memory.
AT_ONCE = 32


@dataclass(frozen=True, eq=False)
class Light:
    """The light of a scene for one mood and one viewer.

    Parameters
    ----------
    towards_key : unit vector, shape (3,).
    """

    mood: Mood
    towards_key: np.ndarray

    @classmethod
    def of(cls, mood: Mood, viewer: float) -> Light:
        """The light of a mood for a viewer at that azimuth, radians."""
        return cls(mood, mood.towards_key(viewer))

    def facing(self, normals: np.ndarray) -> np.ndarray:
        """Cosine between each normal and the key, shape (P,), negative where it faces away."""
        return normals @ self.towards_key.astype(normals.dtype)

    def open_sky(self, normals: np.ndarray, count: int = DENSE) -> np.ndarray:
        """Sky light on each facet if nothing hides the sky, 1 for a level sheet, shape (P,).

        ``1/pi * integral of radiance * cosine`` over the upper half space, by `count` directions.
        """
        directions, radiance = _sky(tuple(self.towards_key.tolist()), count)
        # Most paper lies alike: what is glued on a page, the faces of a book.
        normals, owner = np.unique(normals, axis=0, return_inverse=True)
        found = np.empty(len(normals), np.float32)
        for start in range(0, len(normals), AT_ONCE):
            some = normals[start : start + AT_ONCE]
            # Not as a product of matrices: its threads would take the cores of other processes.
            cosine = np.multiply.outer(some[:, 0], directions[:, 0])
            for axis in (1, 2):
                cosine += np.multiply.outer(some[:, axis], directions[:, axis])
            np.maximum(cosine, 0.0, out=cosine)
            found[start : start + AT_ONCE] = np.einsum("pd,d->p", cosine, radiance)
        return (2.0 / len(directions)) * found[owner.ravel()]

    def radiance(self, directions: np.ndarray) -> np.ndarray:
        """Sky radiance along directions (n, 3), relative to a level sheet's light, float32."""
        return sky_radiance(directions, self.towards_key).astype(np.float32)


@lru_cache(maxsize=16)
def _sky(key: tuple[float, float, float], count: int) -> tuple[np.ndarray, np.ndarray]:
    directions = dense_dome(count)
    radiance = sky_radiance(directions, np.array(key))
    return directions.astype(np.float32), radiance.astype(np.float32)


def from_below(normals: np.ndarray) -> np.ndarray:
    """Share of the half space in front of each facet that lies below the horizon, shape (P,)."""
    return (1.0 - normals[:, 2]) / 2.0


@lru_cache(maxsize=8)
def key_rays(towards: tuple[float, ...], spread: float, count: int) -> np.ndarray:
    """Directions of each group into the disc of the key, shape (groups, count, 3)."""
    return probing(dealt(disc(np.array(towards), spread, GROUPS * count)[::-1]))


@lru_cache(maxsize=8)
def sky_rays(count: int) -> np.ndarray:
    """Directions of each group to the sky, shape (groups, count, 3)."""
    return dealt(dome(GROUPS * count))
