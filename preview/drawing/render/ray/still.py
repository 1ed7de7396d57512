"""Stills: many passes, each with its own place in the pixel and its own directions, averaged.

A pass traces paper with its thickness, sky and table over the whole sphere, and lets paper that
hides the sky send its own colour, so that red roofs glow on white walls. Passes are added up in
linear light in a fixed order, so the picture is the same with any number of threads.
"""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import partial

import numpy as np

from preview.drawing.colour import linear_to_srgb, roll_off
from preview.drawing.scene import Scene
from preview.shot.camera import Camera

from . import ground as grounds
from . import neighbours
from .clear import Glaze
from .lens import interleaved, raster
from .light import Light, from_below
from .material import TABLE_TOOTH, TOOTH_STRENGTH, Texture, footprint, grain, paint
from .patches import Patches, slabs
from .sampling import GROUPS, dealt, disc, jitter, sphere
from .trace import PULL_MM, Tracer

PASSES = {"still": 16, "fine": 32}
KEY_RAYS, SKY_RAYS = 2, 8
BEHIND_MM = np.float32(1.0)
# Directions of successive passes lie a golden share of a ring apart.
GOLDEN = 0.618034
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
    picture = np.moveaxis(total.reshape(3, *studio.shape), 0, -1) / passes
    picture = picture * grounds.vignette(size)
    return _dithered(linear_to_srgb(roll_off(picture)))


def _dithered(encoded: np.ndarray) -> np.ndarray:
    """Round to 8 bits with half a level of fixed noise, which breaks up bands in the backdrop."""
    noise = np.random.default_rng(7).random(encoded.shape[:2])[..., None]
    return np.clip(np.rint(encoded * 255 + (noise - 0.5) * 0.9), 0, 255).astype(np.uint8)


@dataclass(frozen=True, eq=False)
class Pass:
    """One pass: the light of every pixel, shape (3, n), and the patch it shows, shape (n,)."""

    light: np.ndarray
    key: np.ndarray


@dataclass(frozen=True, eq=False)
class View:
    """What the pixels of one pass see.

    Parameters
    ----------
    key : patch of each pixel, shape (n,).
    image : the same in 16 or 32 bits, shape (h, w), for the filters.
    points : shape (3, n), mm, just before the surface on the way from the eye.
    """

    key: np.ndarray
    image: np.ndarray
    points: np.ndarray


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
        self.patch_of = np.append(self.patches.patch_of, self.patches.count)
        self.groups = interleaved(np.arange(size[0] * size[1]).reshape(self.shape))
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
        self.towards = self.frames.transpose(0, 2, 1) @ self.light.towards_key.astype(np.float32)
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
        size = len(self.albedo)
        counts = np.bincount(traced.key, minlength=size)
        sums = np.stack([np.bincount(traced.key, light, size) for light in traced.light], axis=1)
        mean = sums / np.maximum(counts, 1)[:, None]
        return np.where(counts[:, None] >= 4, mean, self.first_glow()).astype(np.float32)

    def trace(self, index: int, count: int, glow: np.ndarray) -> Pass:
        """Pass `index` of `count`."""
        rays, directions, rows = raster(self.camera, self.size, *jitter(index))
        hits = self.tracer.nearest(np.broadcast_to(self.eye, rays.shape), rays)
        ground = grounds.look(self.scene, self.camera, directions, rows)
        distance = np.where(hits.triangle < 0, ground.distance, hits.distance)
        key = self.patch_of[hits.triangle]
        kind = np.int16 if self.patches.count < 32_000 else np.int32
        points = self.eye[:, None] + (distance - PULL_MM) * directions
        view = View(key, key.astype(kind).reshape(self.shape), points)
        sun = self._key_share(view, index, count)
        picture = self._shaded(view, sun, self.sky_light_at(view, index, glow))
        table = np.flatnonzero(key == self.patches.count)
        picture[:, table] *= ground.table[:, table]
        picture[:, table] += ground.backdrop[:, table]
        if self.glass.surfaces:
            factor, added = self.glass.over(rays, distance)
            picture = picture * factor.T + added.T
        return Pass(picture, key)

    def _key_share(self, view: View, index: int, count: int) -> np.ndarray:
        """Share of the key that each pixel sees in this pass, shape (n,)."""
        every = disc(self.light.towards_key, self.scene.mood.spread, GROUPS * KEY_RAYS * count)
        rays = dealt(every[index::count])
        through = (self.facing < 0) & self.is_lit
        seen = np.zeros(len(view.key), np.float32)
        for pixels, beams in zip(self.groups, rays, strict=True):
            some = pixels[self.is_lit[view.key[pixels]]]
            origins = view.points.take(some, axis=1).T
            behind = np.flatnonzero(through[view.key[some]])
            if len(behind):
                origins = origins.copy()
                origins[behind] -= BEHIND_MM * self.normals[view.key[some[behind]]]
            for beam in beams:
                seen[some] += self.tracer.free(origins, beam[None])
        image = (seen / KEY_RAYS).reshape(self.shape)
        total, weight = neighbours.box(view.image, image, np.ones_like(image))
        return (total / weight).ravel()

    def sky_light_at(self, view: View, index: int, glow: np.ndarray) -> np.ndarray:
        """Light from the sky, the table and other paper, shape (3, n).

        Parameters
        ----------
        index : of the pass; each has its own directions.
        glow : light that each patch sends out, shape (P + 1, 3).
        """
        every = dealt(sphere(GROUPS * SKY_RAYS, 2.399963 * index + 0.1, (0.5 + index * GOLDEN) % 1))
        cosine = np.maximum(np.einsum("pk,gjk->gjp", self.normals, every), 0).astype(np.float32)
        free = np.zeros((2, len(view.key)), np.float32)  # from the sky, from the table
        total = np.zeros((3, len(view.key)), np.float32)  # the same without anything in the way
        blocked = np.zeros((3, len(view.key)), np.float32)
        bright = np.stack([self.light.radiance(rays) for rays in every])
        upward = every[..., 2] >= 0
        for group, pixels in enumerate(self.groups):
            keys = view.key[pixels]
            origins = view.points.take(pixels, axis=1)
            weights = cosine[group] * np.where(upward, bright, 1.0)[group][:, None]
            for k, ray in enumerate(every[group]):
                some = np.flatnonzero(cosine[group, k].take(keys))
                hit = self.tracer.first(origins.take(some, axis=1).T, ray[None])
                open_, shut = some[hit < 0], some[hit >= 0]
                side = 0 if upward[group, k] else 1
                free[side, pixels[open_]] += weights[k].take(keys[open_])
                caught = cosine[group, k].take(keys[shut])
                source = self.patch_of[hit[hit >= 0]]
                for channel in range(3):
                    blocked[channel, pixels[shut]] += caught * glow[:, channel].take(source)
            up = upward[group][:, None]
            sums = [(weights * up).sum(axis=0), (weights * ~up).sum(axis=0)]
            for row, table in zip(total, [*sums, cosine[group].sum(axis=0)], strict=True):
                row[pixels] = table.take(keys)
        return self._gathered(view, free, total, blocked)

    def _gathered(
        self, view: View, free: np.ndarray, total: np.ndarray, blocked: np.ndarray
    ) -> np.ndarray:
        """Sums over the nine groups as light, shape (3, n)."""
        rows = [row.reshape(self.shape) for row in (*free, *total, *blocked)]
        sums = [image.ravel() for image in neighbours.box(view.image, *rows)]
        open_sky = np.where(sums[2] > 1e-6, sums[0] / np.maximum(sums[2], 1e-6), 1.0)
        open_table = np.where(sums[3] > 1e-6, sums[1] / np.maximum(sums[3], 1e-6), 1.0)
        cosine = np.maximum(sums[4], 1e-6)
        light = np.empty((3, len(view.key)), np.float32)
        for channel in range(3):
            light[channel] = self.sky_light[:, channel].take(view.key) * open_sky
            light[channel] += self.below[:, channel].take(view.key) * open_table
            light[channel] += sums[5 + channel] / cosine
        return light

    def _shaded(self, view: View, sun: np.ndarray, sky: np.ndarray) -> np.ndarray:
        """Linear light of every pixel, shape (3, n)."""
        key = view.key
        colour = np.stack([self.albedo[:, channel].take(key) for channel in range(3)])
        for texture in self._textures():
            on = np.flatnonzero(key == texture.patch)
            if len(on):
                colour[:, on] = paint(texture, view.points.take(on, axis=1).T).T
        facing = np.abs(self.facing).take(key)
        rough = np.flatnonzero(self.tooth.take(key))
        if len(rough):
            mine = key[rough]
            local = view.points.take(rough, axis=1).T - self.places[mine]
            flat = np.einsum("nk,nkj->nj", local, self.frames[mine])
            relief = grain(flat, self.seeds[mine]) * self.tooth[mine, None]
            slope = -(relief[:, 1:] * self.towards[mine]).sum(axis=1)
            colour[:, rough] *= 1 + TOOTH_ALBEDO * relief[:, 0]
            facing[rough] = np.maximum(facing[rough] + TOOTH_KEY * slope, 0.0)
            sky[:, rough] *= 1 + TOOTH_SKY * slope
        key_light = np.stack([self.key_light[:, channel].take(key) for channel in range(3)])
        return np.asarray(colour * (key_light * (facing * sun) + sky), np.float32)

    def _textures(self) -> list[Texture]:
        owners = [self.solid[k] for k in self.patches.surface_of]
        # Passes sample inside the pixel, so detail of half its size is shown truly.
        angle = self.camera.pixel_angle(self.shape[0]) / 2
        eye = np.array(self.camera.eye)
        found = []
        for k, surface in enumerate(owners):
            front = bool(self.patches.front[k])
            is_face = abs(self.patches.normals[k] @ surface.normal) > 0.99
            if is_face and Texture.needed(surface, front):
                size = footprint(surface, eye, angle)
                found.append(Texture(k, surface, front, self.patches.albedo[k], size))
        return found
