"""Stills: many passes, each with its own place in the pixel and its own directions, averaged.

A pass traces paper with its thickness, sky and table over the whole sphere, and lets paper that
hides the sky send its own colour, so that red roofs glow on white walls. The first passes draw
every pixel; the others only those where the passes so far disagree: edges, penumbras, pictures.
The picture is the same for any number of workers.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache, partial
from itertools import pairwise

import numpy as np

from preview.drawing.colour import linear_to_srgb, roll_off
from preview.drawing.scene import Scene
from preview.parallel import ALONE, Crew
from preview.shot.camera import Camera

from . import ground as grounds
from . import neighbours
from .clear import Glaze
from .field import TILE, Field
from .lens import raster
from .light import Light, from_below
from .material import TABLE_TOOTH, TOOTH_STRENGTH, Texture, footprint, grain, paint
from .patches import Patches, slabs
from .sampling import dealt, disc, jitter, sphere
from .trace import PULL_MM, Tracer


@dataclass(frozen=True)
class Rays:
    """Directions of each group of pixels in one pass, to the key light and all round."""

    key: int
    sky: int


@dataclass(frozen=True)
class Recipe:
    """How many passes a still may cost.

    Parameters
    ----------
    every : passes that draw every pixel.
    most : passes in all, for the pixels which are not calm after those.
    calm : standard error of a pixel's mean, in levels of 8 bits, down to which it is calm.
    """

    every: int
    most: int
    calm: float


RECIPES = {"still": Recipe(every=4, most=32, calm=2.0), "fine": Recipe(every=8, most=64, calm=1.0)}
# Of the pixels that are not calm most lie on edges, which need many places more than many rays.
EVERYWHERE, ON_EDGES = Rays(key=4, sky=8), Rays(key=1, sky=3)
# Every so many pixels both ways make the coarse pass: no multiple of three, so that neighbours in
# it are of different groups.
COARSE = 4
# Work on a pixel of paper, and on an edge, beside that on one of the table.
PAPER_WORK, EDGE_WORK = 1.5, 4.0
# What falls on one patch is smoothed over pixels this far apart, where it differs by less than a
# share of it: noise, but no shadow's edge.
SMOOTHED = ((1, 0.12), (2, 0.08), (4, 0.04))
# Rows beside those that a worker draws: one for the filter of the last passes, one for the choice
# of their pixels to grow, one for the filter of the passes before, and what is smoothed over.
BESIDE = 3 + sum(step for step, _ in SMOOTHED)
# Pixels drawn beyond each side of the picture and cut off: at the edge of what is drawn a filter
# sees fewer directions, which shows as dots where it is dark. One is for the filter of each pass,
# the other for the first step of the smoothing.
BORDER = 2
BEHIND_MM = np.float32(1.0)
GOLDEN = 0.618034
TOOTH_ALBEDO, TOOTH_KEY, TOOTH_SKY = 0.012, 0.028, 0.03
# Tooth finer than this many mm a pixel only adds noise.
TOOTH_FADE_MM = (0.30, 0.60)


def draw(
    scene: Scene,
    camera: Camera,
    size: tuple[int, int],
    recipe: Recipe,
    workers: Crew = ALONE,
) -> np.ndarray:
    """A still picture, uint8, shape (h, w, 3), each of the workers drawing some of its rows."""
    studio = _studio(scene, camera, size)
    coarse = Field.rows(studio.drawn, range(BORDER, BORDER + size[1]), COARSE)
    # A coarse pass finds what colour each patch is in this light, so that paper glows on paper.
    first = studio.trace(0, coarse, EVERYWHERE, studio.first_glow())
    glow = studio.glow_of(first)
    bands = _bands(first.key.reshape(coarse.shape), studio.patches.count, size[1], workers.jobs)
    parts = list(workers.in_order(partial(_band, scene, camera, size, recipe, glow), bands))
    _studio.cache_clear()
    picture = np.concatenate(parts) * grounds.vignette(size)
    return _dithered(linear_to_srgb(roll_off(picture)))


def _band(
    scene: Scene,
    camera: Camera,
    size: tuple[int, int],
    recipe: Recipe,
    glow: np.ndarray,
    rows: range,
) -> np.ndarray:
    """What a worker draws: some rows in linear light."""
    return _studio(scene, camera, size).light_of(rows, recipe, glow)


@lru_cache(maxsize=1)
def _studio(scene: Scene, camera: Camera, size: tuple[int, int]) -> Studio:
    """The studio, built once in the process that deals out the rows and draws some of them."""
    return Studio(scene, camera, size)


def _bands(key: np.ndarray, table: int, height: int, count: int) -> list[range]:
    """Rows for each of some workers, about equal work for all.

    Parameters
    ----------
    key : patches of a coarse raster, shape (h, w); `table` is that of the table.
    """
    busy = EDGE_WORK * neighbours.edges(key) + PAPER_WORK * (key != table) + 1
    work = np.concatenate([[0], np.cumsum(busy.sum(axis=1))])
    rows = np.minimum(np.arange(len(work)) * COARSE, height)
    cuts = np.rint(np.interp(np.linspace(0, work[-1], count + 1), work, rows)).astype(int)
    return [range(a, b) for a, b in pairwise(cuts.tolist()) if b > a]


class Sums:
    """What passes over a rectangle of pixels have added up.

    Parameters
    ----------
    field : the pixels.
    """

    def __init__(self, field: Field) -> None:
        pixels = len(field.numbers)
        self.shape = field.shape
        self.light, self.falling = np.zeros((3, pixels)), np.zeros((3, pixels), np.float32)
        self.squares = np.zeros((3, pixels), np.float32)
        self.count = np.zeros(pixels, int)
        self.key: np.ndarray | None = None
        self.pure = np.ones(pixels, bool)

    def add(self, traced: Pass) -> None:
        """Add a pass over all pixels."""
        self.light += traced.light
        self.squares += traced.light * traced.light
        self.falling += traced.falling
        self.count += 1
        if self.key is None:
            self.key = traced.key
        self.pure &= traced.key == self.key

    def add_at(self, places: np.ndarray, traced: Pass) -> None:
        """Add a pass over the pixels at some places."""
        assert self.key is not None
        self.light[:, places] += traced.light
        self.falling[:, places] += traced.falling
        self.count[places] += 1
        self.pure[places] &= traced.key == self.key[places]

    def errors(self) -> np.ndarray:
        """Standard error of the mean of each pixel in levels of 8 bits, shape (n,)."""
        mean = (self.light / self.count).astype(np.float32)
        varies = self.squares / np.float32(self.count[0]) - mean * mean
        error = np.sqrt(np.maximum(varies, 0) / (self.count[0] - 1))
        levels = _levels(mean + error) - _levels(mean)
        return np.asarray(levels.max(axis=0))

    def smoothed(self) -> np.ndarray:
        """Linear light, shape (3, n), its noise smoothed where a pixel shows one patch alone."""
        assert self.shape is not None
        assert self.key is not None
        mean = self.light / self.count
        key = np.where(self.pure, self.key, -1).astype(np.int32).reshape(self.shape)
        falling = np.maximum((self.falling / self.count).reshape(3, *self.shape), 1e-4)
        calm = falling
        for step, reach in SMOOTHED:
            calm = neighbours.smooth_light(key, calm, step, reach)
        factor = np.where(self.pure, (calm / falling).reshape(3, -1), 1)
        return np.asarray(mean * factor)


def _turned(index: int) -> tuple[float, float]:
    """How a pattern of directions is turned in a pass, and where in its ring each of them lies.

    Successive passes are turned by a golden angle and lie a golden share of a ring apart.
    """
    return 2.399963 * index + 0.1, (0.5 + index * GOLDEN) % 1


def _levels(light: np.ndarray) -> np.ndarray:
    """Linear light as levels of 8 bits, not rounded."""
    return 255 * linear_to_srgb(roll_off(light))


def _dithered(encoded: np.ndarray) -> np.ndarray:
    """Round to 8 bits with half a level of fixed noise, which breaks up bands in the backdrop."""
    noise = np.random.default_rng(7).random(encoded.shape[:2])[..., None]
    return np.clip(np.rint(encoded * 255 + (noise - 0.5) * 0.9), 0, 255).astype(np.uint8)


@dataclass(frozen=True, eq=False)
class Pass:
    """One pass over some pixels.

    Parameters
    ----------
    light : that each pixel shows, shape (3, n).
    falling : light that falls on what it shows, shape (3, n).
    key : the patch it shows, shape (n,).
    """

    light: np.ndarray
    falling: np.ndarray
    key: np.ndarray


@dataclass(frozen=True, eq=False)
class View:
    """What the pixels of one pass see.

    Parameters
    ----------
    field : the pixels.
    key : patch of each pixel, shape (n,).
    short : the same in 16 or 32 bits, for the filters, which are bound by memory.
    points : shape (3, n), mm, just before the surface on the way from the eye.
    """

    field: Field
    key: np.ndarray
    short: np.ndarray
    points: np.ndarray


class Studio:
    """What all passes share. The last patch, number P, is the table."""

    def __init__(self, scene: Scene, camera: Camera, size: tuple[int, int]) -> None:
        self.scene, self.camera, self.size = scene, camera, size
        self.drawn = (size[0] + 2 * BORDER, size[1] + 2 * BORDER)
        self.light = Light.of(scene.mood, scene.viewer)
        self.solid = tuple(s for s in scene.surfaces if s.material != "film")
        self.patches = slabs(self.solid)
        self.tracer = Tracer(self.patches.triangles)
        self.quick = Tracer(self.patches.triangles, tight=False)
        self.pixel = camera.millimetres_per_pixel(size[1])
        self.eye = np.array(camera.eye, np.float32)
        self.glass = Glaze(scene, camera, self.light)
        self.patch_of = np.append(self.patches.patch_of, self.patches.count)
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

    def light_of(self, rows: range, recipe: Recipe, glow: np.ndarray) -> np.ndarray:
        """Linear light of some rows, shape (rows, w, 3); see :meth:`sky_light_at` for `glow`.

        Rows are the same whichever others are drawn with them: enough rows beside them are drawn
        as well, since filters and the choice of pixels look at neighbours.
        """
        width, height = self.drawn
        first, last = rows.start + BORDER, rows.stop + BORDER
        wide = range(max(first - BESIDE, 0), min(last + BESIDE, height))
        whole = Field.rows(self.drawn, wide)
        sums = Sums(whole)
        for index in range(recipe.every):
            sums.add(self.trace(index, whole, EVERYWHERE, glow))
        mask = neighbours.grown((sums.errors() > recipe.calm).reshape(whole.shape))
        part, places = whole.part(mask, width), np.flatnonzero(mask)
        for index in range(recipe.every, recipe.most) if len(places) else ():
            sums.add_at(places, self.trace(index, part, ON_EDGES, glow))
        light = np.moveaxis(sums.smoothed().reshape(3, len(wide), width), 0, -1)
        inside = light[first - wide.start : last - wide.start, BORDER:-BORDER]
        return inside.astype(np.float32)

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

    def trace(self, index: int, field: Field, rays: Rays, glow: np.ndarray) -> Pass:
        """Pass `index` over some pixels, border included; for `glow` see :meth:`sky_light_at`."""
        dx, dy = (place - BORDER for place in jitter(index))
        sight, directions, rows = raster(
            self.camera, self.size, dx, dy, field.numbers, self.drawn[0]
        )
        hits = self.tracer.nearest(np.broadcast_to(self.eye, sight.shape), sight)
        ground = grounds.look(self.scene, self.camera, directions, rows)
        distance = np.where(hits.triangle < 0, ground.distance, hits.distance)
        key = self.patch_of[hits.triangle]
        kind = np.int16 if self.patches.count < 32_000 else np.int32
        points = self.eye[:, None] + (distance - PULL_MM) * directions
        view = View(field, key, key.astype(kind), points)
        sun = self._key_share(view, self._key_rays(index, rays.key))
        picture, falling = self._shaded(view, sun, self.sky_light_at(view, index, rays.sky, glow))
        table = np.flatnonzero(key == self.patches.count)
        picture[:, table] *= ground.table[:, table]
        picture[:, table] += ground.backdrop[:, table]
        if self.glass.surfaces:
            factor, added = self.glass.over(sight, distance)
            picture = picture * factor.T + added.T
        return Pass(picture, falling, key)

    def _key_rays(self, index: int, rays: int) -> np.ndarray:
        """Directions to the key of each group in pass `index`, shape (36, rays, 3)."""
        axis, spread = self.light.towards_key, self.scene.mood.spread
        return dealt(disc(axis, spread, TILE**2 * rays, *_turned(index)), TILE**2)

    def _key_share(self, view: View, rays: np.ndarray) -> np.ndarray:
        """Share of the key that each pixel sees in this pass, shape (n,).

        Parameters
        ----------
        rays : directions of each group, shape (36, rays, 3).
        """
        through = (self.facing < 0) & self.is_lit
        seen = np.zeros(len(view.key), np.float32)
        for pixels, beams in zip(view.field.groups, rays, strict=True):
            some = pixels[self.is_lit[view.key[pixels]]]
            origins = view.points.take(some, axis=1).T
            behind = np.flatnonzero(through[view.key[some]])
            if len(behind):
                origins = origins.copy()
                origins[behind] -= BEHIND_MM * self.normals[view.key[some[behind]]]
            for beam in beams:
                seen[some] += self.quick.free(origins, beam[None])
        total, weight = view.field.sums(
            view.short, seen / np.float32(rays.shape[1]), np.ones_like(seen)
        )
        return total / weight

    def sky_light_at(self, view: View, index: int, rays: int, glow: np.ndarray) -> np.ndarray:
        """Light from the sky, the table and other paper, shape (3, n).

        Parameters
        ----------
        index : of the pass; each has its own directions, `rays` for each group.
        glow : light that each patch sends out, shape (P + 1, 3).
        """
        every = dealt(sphere(TILE**2 * rays, *_turned(index)), TILE**2)
        cosine = np.maximum(np.einsum("pk,gjk->gjp", self.normals, every), 0).astype(np.float32)
        free = np.zeros((2, len(view.key)), np.float32)  # from the sky, from the table
        total = np.zeros((3, len(view.key)), np.float32)  # the same without anything in the way
        blocked = np.zeros((3, len(view.key)), np.float32)
        bright = np.stack([self.light.radiance(group) for group in every])
        upward = every[..., 2] >= 0
        # A ray that misses brings nothing from other paper: triangle -1 is the last.
        sent = np.concatenate([glow[self.patches.patch_of], np.zeros((1, 3), np.float32)]).T
        sent = np.ascontiguousarray(sent)
        for group, pixels in enumerate(view.field.groups):
            keys = view.key[pixels]
            origins = view.points.take(pixels, axis=1)
            weights = cosine[group] * np.where(upward, bright, 1.0)[group][:, None]
            seen = np.zeros((5, len(pixels)), np.float32)
            for k, ray in enumerate(every[group]):
                some = np.flatnonzero(cosine[group, k].take(keys))
                mine = keys.take(some)
                hit = self.quick.first(origins.take(some, axis=1).T, ray[None])
                seen[0 if upward[group, k] else 1, some] += weights[k].take(mine) * (hit < 0)
                caught = cosine[group, k].take(mine)
                for row, light in zip(seen[2:], sent, strict=True):
                    row[some] += caught * light.take(hit)
            free[:, pixels], blocked[:, pixels] = seen[:2], seen[2:]
            up = upward[group][:, None]
            sums = [(weights * up).sum(axis=0), (weights * ~up).sum(axis=0)]
            for row, table in zip(total, [*sums, cosine[group].sum(axis=0)], strict=True):
                row[pixels] = table.take(keys)
        return self._gathered(view, free, total, blocked)

    def _gathered(
        self, view: View, free: np.ndarray, total: np.ndarray, blocked: np.ndarray
    ) -> np.ndarray:
        """Sums over neighbours as light, shape (3, n)."""
        sums = view.field.sums(view.short, *free, *total, *blocked)
        open_sky = np.where(sums[2] > 1e-6, sums[0] / np.maximum(sums[2], 1e-6), 1.0)
        open_table = np.where(sums[3] > 1e-6, sums[1] / np.maximum(sums[3], 1e-6), 1.0)
        cosine = np.maximum(sums[4], 1e-6)
        light = np.empty((3, len(view.key)), np.float32)
        for channel in range(3):
            light[channel] = self.sky_light[:, channel].take(view.key) * open_sky
            light[channel] += self.below[:, channel].take(view.key) * open_table
            light[channel] += sums[5 + channel] / cosine
        return light

    def _shaded(
        self, view: View, sun: np.ndarray, sky: np.ndarray
    ) -> tuple[np.ndarray, np.ndarray]:
        """Linear light of every pixel, and what falls on it, shape (3, n) each."""
        key = view.key
        colour = np.stack([self.albedo[:, channel].take(key) for channel in range(3)])
        for texture in self.textures:
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
        falling = np.stack([self.key_light[:, channel].take(key) for channel in range(3)])
        falling *= facing * sun
        falling += sky
        return (colour * falling).astype(np.float32), falling

    @cached_property
    def textures(self) -> list[Texture]:
        """What the patches show beyond plain colours."""
        owners = [self.solid[k] for k in self.patches.surface_of]
        # Passes sample inside the pixel, so detail of half its size is shown truly.
        angle = self.camera.pixel_angle(self.size[1]) / 2
        eye = np.array(self.camera.eye)
        found = []
        for k, surface in enumerate(owners):
            front = bool(self.patches.front[k])
            is_face = abs(self.patches.normals[k] @ surface.normal) > 0.99
            if is_face and Texture.needed(surface, front):
                size = footprint(surface, eye, angle)
                found.append(Texture(k, surface, front, self.patches.albedo[k], size))
        return found
