"""Frames of a film: thin sheets, a sky at half rate, a key in two passes, edges smoothed.

Pixels are interleaved 3 × 3 and every group of pixels has its own fixed directions; a filter over
neighbours of the same patch then sees the directions of all nine. Nothing depends on the frame, so
what stands still does not flicker.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.camera import Camera
from preview.colour import develop
from preview.scene import Scene

from . import ground as grounds
from . import neighbours
from .clear import Glaze, glaze
from .light import Light, from_below
from .material import Texture, paint
from .patches import Patches, sheets
from .sampling import GROUPS, dealt, disc, dome
from .trace import OFFSET, Tracer

# How much light a hidden part of the sky still sends: the paper that hides it is lit as well.
ECHO = np.float32(0.30)
# Curves are thinned to this share of a pixel.
THIN = 0.15
BEHIND_MM = 1.0


@dataclass(frozen=True)
class Recipe:
    """How many rays a frame may cost.

    Parameters
    ----------
    key, sky : directions of each of the nine groups, to the key light and to the sky.
    refine : range of the sky light between neighbours above which it is traced at full rate.
    grid : an edge pixel is split into grid × grid samples.
    """

    key: int
    sky: int
    refine: float
    grid: int


FILM = Recipe(key=4, sky=8, refine=0.10, grid=3)
DRAFT = Recipe(key=1, sky=4, refine=np.inf, grid=2)


class Lens:
    """Rays of one camera and picture size, reused from frame to frame."""

    def __init__(self, scene: Scene, camera: Camera, size: tuple[int, int]) -> None:
        width, height = size
        self.camera, self.size, self.shape = camera, size, (height, width)
        columns, rows = np.meshgrid(np.arange(width) + 0.5, np.arange(height) + 0.5)
        self.eye = np.array(camera.eye, np.float32)
        self.directions = camera.rays(columns.ravel(), rows.ravel(), size).astype(np.float32)
        self.origins = np.broadcast_to(self.eye, self.directions.shape).copy()
        self.ground = grounds.look(scene, camera, self.directions, rows.ravel() / height)
        self.vignette = grounds.vignette(size)
        self.pixel = camera.millimetres_per_pixel(height)

    def sub_rays(self, pixels: np.ndarray, grid: int) -> np.ndarray:
        """Rays through a grid × grid raster inside pixels, shape (n · grid², 3), float32."""
        width = self.size[0]
        steps = (np.arange(grid) + 0.5) / grid
        dx, dy = (step.ravel() for step in np.meshgrid(steps, steps))
        columns = (pixels % width)[:, None] + dx
        rows = (pixels // width)[:, None] + dy
        return self.camera.rays(columns.ravel(), rows.ravel(), self.size).astype(np.float32)


class Frame:
    """One frame being drawn. The last patch, number P, is the ground."""

    def __init__(self, scene: Scene, lens: Lens, recipe: Recipe) -> None:
        self.scene, self.lens, self.recipe = scene, lens, recipe
        self.light = Light.of(scene.mood, scene.viewer)
        self.solid = tuple(s for s in scene.surfaces if s.material != "film")
        self.patches = sheets(self.solid, lens.eye, THIN * lens.pixel)
        self.tracer = Tracer(self.patches.triangles)
        self._light_tables(self.patches)
        key_rays = disc(self.light.towards_key, scene.mood.spread, GROUPS * recipe.key)
        # The rim of the light first: where all of it is seen or hidden, so is the middle.
        self.key_rays = dealt(key_rays[::-1])
        self.sky_rays = dealt(dome(GROUPS * recipe.sky))
        self.radiance = np.stack([self.light.radiance(rays) for rays in self.sky_rays])
        cosine = np.maximum(np.einsum("pk,gjk->gjp", self.normals, self.sky_rays), 0.0)
        self.sky_weights = (cosine * self.radiance[..., None]).astype(np.float32)

    def _light_tables(self, patches: Patches) -> None:
        """Light that each patch gets from the open key, the open sky and the table."""
        mood = self.scene.mood
        up = np.array([[0.0, 0.0, 1.0]], np.float32)
        self.normals = np.concatenate([patches.normals, up])
        facing = self.light.facing(self.normals)
        tau = np.append(patches.translucency, 0.0)
        through = np.sqrt(patches.albedo * patches.behind) / np.maximum(patches.albedo, 1e-4)
        through = np.concatenate([through, np.zeros((1, 3))])
        share = np.where(facing[:, None] >= 0, 1.0, tau[:, None] * through)
        self.key_light = (np.abs(facing)[:, None] * share * mood.key).astype(np.float32)
        self.is_lit = self.key_light.max(axis=1) > 1e-3
        reach = np.where(facing >= 0, OFFSET, -BEHIND_MM)[:, None]
        self.key_offset = (self.normals * reach).astype(np.float32)
        self.sky_offset = self.normals * np.float32(OFFSET)
        open_sky = self.light.open_sky(self.normals)
        self.open_sky = open_sky.astype(np.float32)
        self.sky_light = (open_sky[:, None] * mood.sky).astype(np.float32)
        below = from_below(self.normals)[:, None] * mood.from_table
        self.table_light = below.astype(np.float32)
        self.albedo = np.concatenate([patches.albedo, np.ones((1, 3), np.float32)])

    def linear(self) -> np.ndarray:
        """The frame in linear light, shape (h, w, 3), float32."""
        self._see()
        self.sun = self._key_pass()
        self.sky = self._sky_pass()
        picture = self._shade(np.arange(self.key.size), self.key.ravel())
        picture = self._smooth_edges(picture).reshape(*self.lens.shape, 3)
        glass = Glaze(self.scene, self.lens.camera, self.light)
        if glass.surfaces:
            picture = glaze(glass, picture, self.distance, self.lens)
        return picture * self.lens.vignette

    def _see(self) -> None:
        lens, count = self.lens, self.patches.count
        hits = self.tracer.nearest(lens.origins, lens.directions)
        missed = hits.triangle < 0
        patch_of = np.append(self.patches.patch_of, count).astype(np.int32)
        self.patch_of = patch_of
        self.key = patch_of[hits.triangle].reshape(lens.shape)
        self.distance = np.where(missed, lens.ground.distance, hits.distance)
        points = lens.eye + self.distance[:, None] * lens.directions
        self.points = points.reshape(*lens.shape, 3)

    def _key_pass(self) -> np.ndarray:
        """Share of the key that each pixel sees, shape (h, w), float32."""
        lit = self.is_lit[self.key]
        seen = np.zeros(self.key.shape, np.float32)
        for group, rays in enumerate(self.key_rays):
            part = _interleaved(group)
            where = lit[part]
            self._set_free(seen[part], part, where, rays[:1])
        if self.recipe.key == 1:
            total, count = neighbours.box(self.key, seen, np.ones_like(seen))
            return total / count
        partly = neighbours.mixed(self.key, seen) & lit
        for group, rays in enumerate(self.key_rays):
            part = _interleaved(group)
            self._add_free(seen[part], part, partly[part], rays[1:])
        total, count = neighbours.box(self.key, seen, np.ones_like(seen))
        return np.where(partly, total / count, seen)

    def _set_free(
        self, seen: np.ndarray, part: neighbours.Window, where: np.ndarray, rays: np.ndarray
    ) -> None:
        key = self.key[part][where]
        origins = self.points[part][where] + self.key_offset[key]
        seen[where] = self.tracer.free(origins, rays)

    def _add_free(
        self, seen: np.ndarray, part: neighbours.Window, where: np.ndarray, rays: np.ndarray
    ) -> None:
        key = self.key[part][where]
        origins = self.points[part][where] + self.key_offset[key]
        total = seen[where]
        for ray in rays:
            total += self.tracer.free(origins, ray[None])
        seen[where] = total / (1 + len(rays))

    def _sky_pass(self) -> np.ndarray:
        """Share of its sky that each pixel sees, shape (h, w), float32."""
        half = (slice(None, None, 2), slice(None, None, 2))
        key, points = self.key[half], self.points[half]
        coarse = self._sky_share(key, points, np.ones(key.shape, bool))
        ranges = neighbours.spread(key, coarse) * self.open_sky[key]
        busy = neighbours.grown(ranges > self.recipe.refine)
        for step, reach in ((2, 0.10), (4, 0.06)):
            coarse = neighbours.smooth(key, coarse, step, reach)
        sky, found = _upsample(self.key, key, coarse)
        if busy.any():
            fine = np.repeat(np.repeat(busy, 2, 0), 2, 1)
            fine = fine[: self.key.shape[0], : self.key.shape[1]]
            sky = np.where(fine, self._sky_share(self.key, self.points, fine), sky)
            found |= fine
        lost = np.flatnonzero(~found)
        if len(lost):
            sky.flat[lost] = self._light_at(self.points.reshape(-1, 3)[lost], self.key.flat[lost])[
                1
            ]
        return sky

    def _sky_share(self, key: np.ndarray, points: np.ndarray, where: np.ndarray) -> np.ndarray:
        """Weighted share of free sky directions, filtered over the nine groups."""
        seen = np.zeros(key.shape, np.float32)
        total = np.zeros(key.shape, np.float32)
        for group in range(GROUPS):
            part = _interleaved(group)
            chosen = where[part]
            keys = key[part][chosen]
            origins = points[part][chosen] + self.sky_offset[keys]
            weights = self.sky_weights[group]
            seen[part][chosen] = self._weighted_free(origins, keys, self.sky_rays[group], weights)
            total[part][chosen] = weights.sum(axis=0)[keys]
        seen, total = neighbours.box(key, seen, total)
        return np.where(total > 1e-6, seen / np.maximum(total, 1e-6), 1.0).astype(np.float32)

    def _weighted_free(
        self, origins: np.ndarray, keys: np.ndarray, rays: np.ndarray, weights: np.ndarray
    ) -> np.ndarray:
        seen = np.zeros(len(keys), np.float32)
        for ray, by_patch in zip(rays, weights, strict=True):
            weight = by_patch[keys]
            useful = weight > 0
            if useful.mean() > 0.85:
                seen += weight * self.tracer.free(origins, ray[None])
            else:
                some = np.flatnonzero(useful)
                seen[some] += weight[some] * self.tracer.free(origins[some], ray[None])
        return seen

    def _light_at(self, points: np.ndarray, keys: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Key and sky shares of single points that no neighbour can lend light to."""
        key_rays = self.key_rays.reshape(-1, 3)[:: max(1, self.recipe.key)]
        start = points + self.key_offset[keys]
        sun = np.zeros(len(points), np.float32)
        for ray in key_rays:
            sun += self.tracer.free(start, ray[None])
        start = points + self.sky_offset[keys]
        sky_rays = self.sky_rays[:, ::2].reshape(-1, 3)
        weights = self.sky_weights[:, ::2].reshape(len(sky_rays), -1)
        seen = self._weighted_free(start, keys, sky_rays, weights)
        total = weights.sum(axis=0)[keys]
        sky = np.where(total > 1e-6, seen / np.maximum(total, 1e-6), 1.0)
        return sun / len(key_rays), sky.astype(np.float32)

    def _shade(self, pixels: np.ndarray, keys: np.ndarray) -> np.ndarray:
        """Linear light of pixels that show the patch they were traced on, shape (n, 3)."""
        light = self._light_on(keys, self.sun.flat[pixels], self.sky.flat[pixels])
        picture = light * self.albedo[keys]
        points = self.points.reshape(-1, 3)
        for texture in self._textures():
            on = np.flatnonzero(keys == texture.patch)
            picture[on] = light[on] * paint(texture, points[pixels[on]])
        return self._with_ground(picture, pixels, keys == self.patches.count)

    def _light_on(self, keys: np.ndarray, sun: np.ndarray, sky: np.ndarray) -> np.ndarray:
        visible = sky + ECHO * (1 - sky)
        light = self.key_light[keys] * sun[:, None]
        light += self.sky_light[keys] * visible[:, None]
        light += self.table_light[keys]
        return light

    def _with_ground(
        self, picture: np.ndarray, pixels: np.ndarray, ground: np.ndarray
    ) -> np.ndarray:
        rows = pixels[ground]
        table, backdrop = self.lens.ground.table[rows], self.lens.ground.backdrop[rows]
        picture[ground] = picture[ground] * table + backdrop
        return picture

    def _textures(self) -> list[Texture]:
        return [
            Texture(k, surface, bool(front), self.patches.albedo[k], self.lens.pixel)
            for k, (surface, front) in enumerate(zip(self.solid, self.patches.front, strict=True))
            if Texture.needed(surface, bool(front))
        ]

    def _smooth_edges(self, picture: np.ndarray) -> np.ndarray:
        """Average finer samples along the edges of patches, with the light of neighbours."""
        width = self.lens.size[0]
        pixels = np.flatnonzero(neighbours.edges(self.key))
        if not len(pixels):
            return picture
        grid = self.recipe.grid
        rays = self.lens.sub_rays(pixels, grid)
        hit = self.tracer.first(np.broadcast_to(self.lens.eye, rays.shape).copy(), rays)
        keys = self.patch_of[hit].reshape(len(pixels), grid * grid)
        around = _around(pixels, width, self.lens.shape[0])
        match = self.key.flat[around][:, None, :] == keys[:, :, None]
        lender = np.take_along_axis(around, match.argmax(axis=2), axis=1)
        colours = picture[lender]
        alone = np.flatnonzero(~match.any(axis=2).ravel())
        if len(alone):
            flat = colours.reshape(-1, 3)
            flat[alone] = self._shade_alone(keys.ravel()[alone], pixels, alone, rays[alone])
        smooth = picture.copy()
        smooth[pixels] = colours.mean(axis=1)
        return smooth

    def _shade_alone(
        self, keys: np.ndarray, pixels: np.ndarray, alone: np.ndarray, rays: np.ndarray
    ) -> np.ndarray:
        """Shade samples of patches that no neighbouring pixel shows, once a pixel and patch."""
        owner = pixels[alone // self.recipe.grid**2]
        pair = owner.astype(np.int64) * (self.patches.count + 1) + keys
        _, first, back = np.unique(pair, return_index=True, return_inverse=True)
        keys, rays, owner = keys[first], rays[first], owner[first]
        distance = self._distance(keys, rays)
        points = self.lens.eye + distance[:, None] * rays
        sun, sky = self._light_at(points, keys)
        light = self._light_on(keys, sun * self.is_lit[keys], sky) * self.albedo[keys]
        return self._with_ground(light, owner, keys == self.patches.count)[back]

    def _distance(self, keys: np.ndarray, rays: np.ndarray) -> np.ndarray:
        """Where rays meet the planes of their patches, mm."""
        anchors = np.zeros((self.patches.count + 1, 3), np.float32)
        for k, surface in enumerate(self.solid):
            anchors[k] = surface.translation
        anchors[-1, 2] = self.scene.table
        normals = self.normals[keys]
        slope = (rays * normals).sum(axis=1)
        height = ((anchors[keys] - self.lens.eye) * normals).sum(axis=1)
        return (height / np.where(np.abs(slope) > 1e-6, slope, 1e-6)).astype(np.float32)


def draw(scene: Scene, lens: Lens, recipe: Recipe = FILM) -> np.ndarray:
    """One frame, uint8, shape (h, w, 3)."""
    return develop(Frame(scene, lens, recipe).linear())


def _interleaved(group: int) -> neighbours.Window:
    return slice(group // 3, None, 3), slice(group % 3, None, 3)


def _around(pixels: np.ndarray, width: int, height: int) -> np.ndarray:
    """Each pixel and its eight neighbours, nearest first, clipped to the picture, shape (n, 9)."""
    x, y = pixels % width, pixels // width
    steps = [(0, 0), (-1, 0), (1, 0), (0, -1), (0, 1), (-1, -1), (1, -1), (-1, 1), (1, 1)]
    columns = [
        np.clip(y + dy, 0, height - 1) * width + np.clip(x + dx, 0, width - 1) for dx, dy in steps
    ]
    return np.stack(columns, axis=1)


def _upsample(
    key: np.ndarray, coarse_key: np.ndarray, coarse: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Half-rate values at full rate, from coarse neighbours of the same key only.

    Returns
    -------
    The values, and where there was a neighbour to take them from.
    """
    # One cell more on every side, and another below and right for the far neighbours of odd rows.
    padded_key = np.pad(coarse_key, (1, 2), mode="edge")
    padded = np.pad(coarse, (1, 2), mode="edge")
    total = np.zeros(key.shape, np.float32)
    weight = np.zeros(key.shape, np.float32)
    near = [(1,), (1, 2)]
    # Farther cells count only where the nearest ones show other patches.
    far = [(0, 1, 2), (0, 1, 2, 3)]
    for odd_y in (0, 1):
        for odd_x in (0, 1):
            part = (slice(odd_y, None, 2), slice(odd_x, None, 2))
            mine = key[part]
            rows, columns = mine.shape
            for reach, faint in ((near, 1.0), (far, 1e-4)):
                for sy in reach[odd_y]:
                    for sx in reach[odd_x]:
                        there = (slice(sy, sy + rows), slice(sx, sx + columns))
                        same = (padded_key[there] == mine) * np.float32(faint)
                        total[part] += padded[there] * same
                        weight[part] += same
    found = weight > 0
    return total / np.where(found, weight, 1.0), found
