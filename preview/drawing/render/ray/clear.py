"""Clear film: traced on its own over the finished picture, since it casts no shadow."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache

import numpy as np
import shapely
from shapely import Polygon

from preview.drawing.bow import bow
from preview.drawing.scene import Scene, Surface
from preview.shot.camera import Camera

from .lens import places_of_grid
from .light import Light
from .neighbours import grown
from .patches import triangulate
from .trace import Tracer

TRANSMITTED = np.array([0.955, 0.965, 0.960], np.float32)  # our choice
# Reflectance of both faces of a film seen head on, and the rest of Schlick's approximation.
# From memory: a face of a film of index 1.5 reflects 4 %.
HEAD_ON, GRAZING = 0.075, 0.92
# The cut edge sends out light that the film has gathered. Our choice.
RIM_MM, RIM_LIGHT = 0.45, 0.22
KEY_SPOT = 3.2  # our choice
LAYERS = 4  # our choice
GRID = 3  # our choice


class Glaze:
    """All clear film of a scene, ready to be laid over a picture."""

    def __init__(self, scene: Scene, camera: Camera, light: Light) -> None:
        self.surfaces = [s for s in scene.surfaces if s.material == "film"]
        self.light, self.eye = light, np.array(camera.eye, np.float32)
        self.camera = camera
        triangles, owner, rim = [], [], []
        for k, surface in enumerate(self.surfaces):
            for flat, is_rim in zip(rimmed(surface.polygon), (False, True), strict=True):
                triangles.append(flat @ surface.rotation[:, :2].T + surface.translation)
                owner += [k] * len(flat)
                rim += [is_rim] * len(flat)
        stacked = np.concatenate(triangles) if triangles else np.empty((0, 3, 3))
        self.tracer = Tracer(np.ascontiguousarray(stacked, dtype=np.float32))
        self.owner, self.rim = np.array(owner, int), np.array(rim, bool)
        self.normals = np.array([s.normal for s in self.surfaces], np.float32).reshape(-1, 3)
        self.middles, self.bends = _bows(self.surfaces)

    def over(self, rays: np.ndarray, depth: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """What the film in front of `depth` (n,) lets through and adds along rays (n, 3).

        Returns
        -------
        Factor and addend on linear light, both of shape (n, 3), float32.
        """
        factor = np.ones((len(rays), 3), np.float32)
        added = np.zeros((len(rays), 3), np.float32)
        origins = np.broadcast_to(self.eye, rays.shape).copy()
        travelled = np.zeros(len(rays), np.float32)
        alive = np.arange(len(rays))
        for _ in range(LAYERS):
            hits = self.tracer.nearest(origins[alive], rays[alive])
            travelled[alive] += np.minimum(hits.distance, 1e9)
            here = (hits.triangle >= 0) & (travelled[alive] < depth[alive] - 0.02)
            alive, triangle = alive[here], hits.triangle[here]
            if not len(alive):
                break
            spots = self.eye + travelled[alive, None] * rays[alive]
            through, shine = self._layer(triangle, rays[alive], spots)
            # Nearer layers were laid on first, so this one is seen through them.
            added[alive] += factor[alive] * shine
            factor[alive] *= through
            travelled[alive] += 0.02
            origins[alive] = self.eye + travelled[alive, None] * rays[alive]
        return factor, added

    def _layer(
        self, triangle: np.ndarray, rays: np.ndarray, spots: np.ndarray
    ) -> tuple[np.ndarray, np.ndarray]:
        """What one film lets through and adds where rays meet it, at spots (n, 3), mm."""
        mood, owner = self.light.mood, self.owner[triangle]
        off = np.einsum("nij,nj->ni", self.bends[owner], spots - self.middles[owner])
        # It bulges towards the eye, from whichever side it is seen.
        facing = -np.sign((self.normals[owner] * rays).sum(axis=1, keepdims=True))
        normals = facing * self.normals[owner] + off
        normals /= np.linalg.norm(normals, axis=1, keepdims=True)
        along = (normals * rays).sum(axis=1, keepdims=True)
        reflected = rays - 2 * along * normals
        fresnel = HEAD_ON + GRAZING * (1 - np.abs(along)) ** 5
        sky = 0.6 + 0.6 * np.maximum(reflected[:, 2:], 0.0)
        towards = np.einsum("nk,k->n", reflected, self.light.towards_key)
        spot = np.clip((towards - 0.80) / 0.14, 0, 1) ** 2
        shine = mood.sky * sky + KEY_SPOT * spot[:, None] * np.array(mood.tint)
        rim = RIM_LIGHT * self.rim[triangle][:, None]
        through = TRANSMITTED * (1 - fresnel) * (1 - rim)
        return through.astype(np.float32), (fresnel * shine + rim).astype(np.float32)

    def window(self, size: tuple[int, int]) -> np.ndarray:
        """Pixels that the film can cover, shape (n,)."""
        width, height = size
        corners = np.concatenate([surface.corners for surface in self.surfaces])
        spots = self.camera.project(corners, size)
        if not np.isfinite(spots).all():
            return np.arange(width * height)
        x0, y0 = np.clip(np.floor(spots.min(axis=0)).astype(int), 0, [width, height])
        x1, y1 = np.clip(np.ceil(spots.max(axis=0)).astype(int) + 1, 0, [width, height])
        return (np.arange(y0, y1)[:, None] * width + np.arange(x0, x1)).ravel()


def _bows(surfaces: Sequence[Surface]) -> tuple[np.ndarray, np.ndarray]:
    """Middles of films (n, 3), and how far their normals lean for each mm off them, (n, 3, 3)."""
    middles = np.zeros((len(surfaces), 3), np.float32)
    bends = np.zeros((len(surfaces), 3, 3), np.float32)
    for k, surface in enumerate(surfaces):
        middle, bend = bow(surface.polygon)
        plane = surface.rotation[:, :2]
        middles[k] = plane @ middle + surface.translation
        bends[k] = plane @ bend @ plane.T
    return middles, bends


@lru_cache(maxsize=1024)
def rimmed(polygon: Polygon) -> tuple[np.ndarray, np.ndarray]:
    """Triangles of the inner part of a film and of the rim along its cut edge, (t, 3, 2) each."""
    inner = polygon.buffer(-RIM_MM, join_style="mitre")
    found = []
    for shape in (inner, polygon.difference(inner)):
        parts = [part for part in shapely.get_parts(shape) if part.area > 0]
        found.append(np.concatenate([np.empty((0, 3, 2)), *map(triangulate, parts)]))
    return found[0], found[1]


def glaze(
    glass: Glaze,
    picture: np.ndarray,
    distance: np.ndarray,
    shape: tuple[int, int],
    pixels: np.ndarray,
    rays_of: Callable[[np.ndarray, np.ndarray], np.ndarray],
) -> None:
    """Lay the film over a picture in linear light, in place, with 3 × 3 samples a pixel.

    Parameters
    ----------
    picture : shape (3, n), float32.
    distance : shape (n,), to what is behind the film, mm.
    shape : rows and columns of the picture.
    pixels : numbers of those that the film can cover, shape (m,).
    rays_of : gives the rays through some places (2, s) in some pixels (m,), shape (m · s, 3).
    """
    # A coarse look first: most of the box around the film shows none of it.
    rays = rays_of(pixels, places_of_grid(1))
    near = glass.tracer.first(np.broadcast_to(glass.eye, rays.shape), rays) >= 0
    mask = np.zeros(shape, bool)
    mask.ravel()[pixels[near]] = True
    pixels = np.flatnonzero(grown(grown(mask)))
    if not len(pixels):
        return
    rays = rays_of(pixels, places_of_grid(GRID))
    factor, added = glass.over(rays, np.repeat(distance[pixels], GRID**2))
    factor, added = (part.reshape(len(pixels), -1, 3) for part in (factor, added))
    colour = picture[:, pixels].T[:, None] * factor + added
    picture[:, pixels] = colour.mean(axis=1).T
