"""Stills: many passes, each with its own place in the pixel and its own directions, averaged.

A pass traces paper with its thickness, sky and table over the whole sphere, and lets paper that
hides the sky send its own colour, so that red roofs glow on white walls. Passes are added up in
linear light in a fixed order, so the picture is the same with any number of threads.
"""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from functools import partial

import numpy as np

from preview.camera import Camera
from preview.colour import linear_to_srgb, roll_off
from preview.scene import Scene

from . import ground as grounds
from . import neighbours
from .clear import Glaze
from .light import Light, from_below
from .material import TABLE_TOOTH, TOOTH_STRENGTH, Texture, grain, paint
from .patches import Patches, slabs
from .sampling import GROUPS, dealt, disc, jitter, sphere
from .trace import OFFSET, Tracer

PASSES = {"still": 16, "fine": 32}
KEY_RAYS, SKY_RAYS = 2, 8
BEHIND_MM = 1.0
TOOTH_ALBEDO, TOOTH_KEY, TOOTH_SKY = 0.012, 0.028, 0.03
# Tooth finer than this many mm a pixel only adds noise.
TOOTH_FADE_MM = (0.30, 0.60)


def draw(scene: Scene, camera: Camera, size: tuple[int, int], passes: int) -> np.ndarray:
    """A still picture, uint8, shape (h, w, 3)."""
    studio = Studio(scene, camera, size)
    # The first pass finds what colour each patch is in this light, the others let it glow.
    first = studio.trace(0, passes, studio.first_glow())
    total = first.light.astype(np.float64)
    glow = studio.glow_of(first)
    workers = min(2, os.cpu_count() or 1)
    with ThreadPoolExecutor(workers) as pool:
        for start in range(1, passes, workers):
            batch = range(start, min(start + workers, passes))
            for traced in pool.map(partial(studio.trace, count=passes, glow=glow), batch):
                total += traced.light
    picture = total / passes * grounds.vignette(size)
    return _dithered(linear_to_srgb(roll_off(picture)))


def _dithered(encoded: np.ndarray) -> np.ndarray:
    """Round to 8 bits with half a level of fixed noise, which breaks up bands in the backdrop."""
    noise = np.random.default_rng(7).random(encoded.shape[:2])[..., None]
    return np.clip(np.rint(encoded * 255 + (noise - 0.5) * 0.9), 0, 255).astype(np.uint8)


class Pass:
    """One pass: the light of every pixel and the patch it shows."""

    def __init__(self, light: np.ndarray, key: np.ndarray) -> None:
        self.light, self.key = light, key


class Studio:
    """What all passes share. The last patch, number P, is the table."""

    def __init__(self, scene: Scene, camera: Camera, size: tuple[int, int]) -> None:
        self.scene, self.camera, self.size = scene, camera, size
        self.shape = (size[1], size[0])
        self.light = Light.of(scene.mood, scene.viewer)
        self.solid = tuple(s for s in scene.surfaces if s.material != "film")
        self.patches = slabs(self.solid)
        self.tracer = Tracer(self.patches.triangles)
        self.pixel = camera.millimetres_per_pixel(size[1])
        self.eye = np.array(camera.eye, np.float32)
        self.glass = Glaze(scene, camera, self.light)
        self.patch_of = np.append(self.patches.patch_of, self.patches.count).astype(np.int32)
        self._light_tables(self.patches)
        self._tooth_tables()

    def _light_tables(self, patches: Patches) -> None:
        up = np.array([[0.0, 0.0, 1.0]], np.float32)
        self.normals = np.concatenate([patches.normals, up])
        self.facing = self.light.facing(self.normals)
        self.sky_light = self.light.open_sky(self.normals)[:, None] * self.scene.mood.sky
        self.below = from_below(self.normals)[:, None] * self.scene.mood.from_table
        self.albedo = np.concatenate([patches.albedo, np.ones((1, 3), np.float32)])
        tau = np.append(patches.translucency, 0.0)
        behind = np.concatenate([patches.behind, np.zeros((1, 3), np.float32)])
        through = np.sqrt(behind / np.maximum(self.albedo, 1e-4))
        share = np.where(self.facing[:, None] >= 0, 1.0, tau[:, None] * through)
        self.key_light = (share * self.scene.mood.key).astype(np.float32)
        self.is_lit = (self.facing > 0) | (tau > 0)

    def _tooth_tables(self) -> None:
        """Frames of the patches and how strong their tooth is."""
        surfaces, owners = self.solid, self.patches.surface_of
        frames = [surfaces[k].rotation[:, :2] for k in owners] + [np.eye(3)[:, :2]]
        self.frames = np.array(frames, np.float32)
        places = [surfaces[k].translation for k in owners]
        self.places = np.array([*places, [0, 0, self.scene.table]], np.float32)
        self.seeds = np.array([*(surfaces[k].seed % 9973 for k in owners), 17])
        low, high = TOOTH_FADE_MM
        fade = float(np.clip((high - self.pixel) / (high - low), 0.0, 1.0))
        strength = [TOOTH_STRENGTH[surfaces[k].material] for k in owners]
        self.tooth = fade * np.array([*strength, TABLE_TOOTH], np.float32)

    def first_glow(self) -> np.ndarray:
        """A guess at the light that each patch sends out, shape (P + 1, 3)."""
        return (0.5 * self.albedo).astype(np.float32)

    def glow_of(self, traced: Pass) -> np.ndarray:
        """Mean light that each patch sends out where it is seen; the guess where it is not."""
        keys = traced.key.ravel()
        counts = np.bincount(keys, minlength=len(self.albedo))
        sums = np.stack(
            [np.bincount(keys, traced.light[..., k].ravel(), len(self.albedo)) for k in range(3)],
            axis=1,
        )
        seen = counts[:, None] >= 4
        mean = sums / np.maximum(counts, 1)[:, None]
        return np.where(seen, mean, self.first_glow()).astype(np.float32)

    def trace(self, index: int, count: int, glow: np.ndarray) -> Pass:
        """Pass `index` of `count`."""
        width, height = self.size
        dx, dy = jitter(index)
        columns, rows = np.meshgrid(np.arange(width) + dx, np.arange(height) + dy)
        rays = self.camera.rays(columns.ravel(), rows.ravel(), self.size).astype(np.float32)
        hits = self.tracer.nearest(np.broadcast_to(self.eye, rays.shape).copy(), rays)
        key = self.patch_of[hits.triangle].reshape(self.shape)
        ground = grounds.look(self.scene, self.camera, rays, rows.ravel() / height)
        distance = np.where(hits.triangle < 0, ground.distance, hits.distance)
        points = (self.eye + distance[:, None] * rays).reshape(*self.shape, 3)
        sun = self._key_share(key, points, index, count)
        sky = self._sky_light(key, points, index, glow)
        picture = self._shaded(key.ravel(), points.reshape(-1, 3), sun, sky)
        table = key.ravel() == self.patches.count
        picture[table] = picture[table] * ground.table[table] + ground.backdrop[table]
        if self.glass.surfaces:
            factor, added = self.glass.over(rays, distance)
            picture = picture * factor + added
        return Pass(picture.reshape(*self.shape, 3), key)

    def _key_share(self, key: np.ndarray, points: np.ndarray, index: int, count: int) -> np.ndarray:
        """Share of the key that each pixel sees in this pass, shape (n,)."""
        every = disc(self.light.towards_key, self.scene.mood.spread, GROUPS * KEY_RAYS * count)
        rays = dealt(every[index::count])
        reach = np.where(self.facing >= 0, OFFSET, -BEHIND_MM)[:, None]
        offset = (self.normals * reach).astype(np.float32)
        seen = np.zeros(key.shape, np.float32)
        for group in range(GROUPS):
            part = (slice(group // 3, None, 3), slice(group % 3, None, 3))
            where = self.is_lit[key[part]]
            keys = key[part][where]
            origins = points[part][where] + offset[keys]
            share = np.zeros(len(keys), np.float32)
            for ray in rays[group]:
                share += self.tracer.free(origins, ray[None])
            seen[part][where] = share / len(rays[group])
        total, weight = neighbours.box(key, seen, np.ones_like(seen))
        return (total / weight).ravel()

    def _sky_light(
        self, key: np.ndarray, points: np.ndarray, index: int, glow: np.ndarray
    ) -> np.ndarray:
        """Light from the sky, the table and other paper, shape (n, 3)."""
        turn = 2.399963 * index + 0.1
        lift = (0.5 + index * 0.618034) % 1.0
        every = dealt(sphere(GROUPS * SKY_RAYS, turn, lift))
        sums = np.zeros((*key.shape, 7), np.float32)
        offset = self.normals * np.float32(OFFSET)
        for group in range(GROUPS):
            part = (slice(group // 3, None, 3), slice(group % 3, None, 3))
            keys = key[part].ravel()
            origins = points[part].reshape(-1, 3) + offset[keys]
            seen = np.zeros((len(keys), 7), np.float32)
            for ray in every[group]:
                self._add_ray(seen, origins, keys, ray, glow)
            sums[part] = seen.reshape(*key[part].shape, 7)
        (sums,) = neighbours.box(key, sums)
        up_free, up_all, down_free, down_all, blocked = np.split(
            sums.reshape(-1, 7), [1, 2, 3, 4], 1
        )
        sky = np.where(up_all > 1e-6, up_free / np.maximum(up_all, 1e-6), 1.0)
        table = np.where(down_all > 1e-6, down_free / np.maximum(down_all, 1e-6), 1.0)
        # Rays that were blocked carry light in proportion to the cosine over both half spaces.
        cosine = self._cosine_total(every, key)
        flat = key.ravel()
        light = self.sky_light[flat] * sky + self.below[flat] * table
        return light + blocked / np.maximum(cosine, 1e-6)[:, None]

    def _cosine_total(self, every: np.ndarray, key: np.ndarray) -> np.ndarray:
        """Sum of the cosines of all directions that the filter has seen, shape (n,)."""
        weights = np.maximum(np.einsum("pk,gjk->gjp", self.normals, every), 0).sum(axis=1)
        total = np.zeros(key.shape, np.float32)
        for group in range(GROUPS):
            part = (slice(group // 3, None, 3), slice(group % 3, None, 3))
            total[part] = weights[group][key[part]]
        return neighbours.box(key, total)[0].ravel()

    def _add_ray(
        self,
        seen: np.ndarray,
        origins: np.ndarray,
        keys: np.ndarray,
        ray: np.ndarray,
        glow: np.ndarray,
    ) -> None:
        """Add one direction to the sums: sky free and all, table free and all, blocked colour."""
        by_patch = np.maximum(self.normals @ ray, 0.0)
        some = np.flatnonzero(by_patch[keys] > 0)
        weight = by_patch[keys[some]]
        hit = self.tracer.first(origins[some], ray[None])
        free = hit < 0
        if ray[2] >= 0:
            weighted = weight * self.light.radiance(ray[None])[0]
            seen[some, 0] += weighted * free
            seen[some, 1] += weighted
        else:
            seen[some, 2] += weight * free
            seen[some, 3] += weight
        caught = np.flatnonzero(~free)
        seen[some[caught], 4:] += weight[caught, None] * glow[self.patch_of[hit[caught]]]

    def _shaded(
        self, keys: np.ndarray, points: np.ndarray, sun: np.ndarray, sky: np.ndarray
    ) -> np.ndarray:
        albedo = self.albedo[keys]
        for texture in self._textures():
            on = np.flatnonzero(keys == texture.patch)
            albedo[on] = paint(texture, points[on])
        facing = np.abs(self.facing[keys])
        rough = np.flatnonzero(self.tooth[keys] > 0)
        if len(rough):
            mine = keys[rough]
            local = np.einsum("nk,nkj->nj", points[rough] - self.places[mine], self.frames[mine])
            relief = grain(local, self.seeds[mine]) * self.tooth[mine, None]
            towards = self.frames.transpose(0, 2, 1) @ self.light.towards_key.astype(np.float32)
            slope = -(relief[:, 1:] * towards[mine]).sum(axis=1)
            albedo[rough] *= 1 + TOOTH_ALBEDO * relief[:, :1]
            facing[rough] = np.maximum(facing[rough] + TOOTH_KEY * slope, 0.0)
            sky[rough] *= (1 + TOOTH_SKY * slope)[:, None]
        light = self.key_light[keys] * (facing * sun)[:, None] + sky
        return (albedo * light).astype(np.float32)

    def _textures(self) -> list[Texture]:
        owners = [self.solid[k] for k in self.patches.surface_of]
        found = []
        for k, surface in enumerate(owners):
            front = bool(self.patches.front[k])
            is_face = abs(self.patches.normals[k] @ surface.normal) > 0.99
            if is_face and Texture.needed(surface, front):
                found.append(Texture(k, surface, front, self.patches.albedo[k], self.pixel))
        return found
