"""What all pixels of a still share: paper with its thickness, its light, rays that find them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from preview.drawing.scene import Scene
from preview.shot.camera import Camera

from . import open_table
from .clear import Glaze
from .finish import FINISHES, LEAST_SKY, MetalShine, metal_normals
from .lamps import Lamps, emitted, shaded
from .lens import rays_through
from .light import Light, from_below
from .material import (
    TABLE_TOOTH,
    TOOTH_ALBEDO,
    TOOTH_FADE_MM,
    TOOTH_KEY,
    TOOTH_SKY,
    TOOTH_STRENGTH,
    Texture,
    footprint,
    grain,
)
from .patches import slabs
from .sampling import TILE, dealt, disc, probing, sphere
from .trace import BEHIND_MM, PULL_MM, Tracer, summed

# Pixels drawn beyond each side of the picture and cut off: at the edge of what is drawn a filter
# sees fewer directions, which shows as dots where it is dark.
BORDER = 4
# Cut edges of a sheet that look into the same of so many directions are lit as one.
RIM_SECTORS = 8
# Pixels whose rays are in memory at once.
AT_ONCE = 2048
# Size of the cells into which paper is cut that is lit from inside, mm. Our choice.
LAMP_CELL_MM = 4.0
# Rows of the sums of light from all round, and of lamps.
AROUND, OF_LAMPS = 8, 6


@dataclass(frozen=True, eq=False)
class Sky:
    """Directions all round and what comes along them, for each group of pixels.

    Parameters
    ----------
    rays : shape (36, k, 3).
    upward : whether they look at the sky, else at the table, shape (36, k).
    bright : radiance of the sky along them, 1 from the table, shape (36, k).
    sent : light that each triangle sends out; none from the last, which stands for none, shape
        (T + 1, 3).
    """

    rays: np.ndarray
    upward: np.ndarray
    bright: np.ndarray
    sent: np.ndarray


def _products(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Scalar products of vectors, shapes (..., 3): the same whatever else is worked out with them.

    Sums of `einsum` and matrix products are taken in an order that depends on how many there are.
    """
    return np.asarray(a[..., 0] * b[..., 0] + a[..., 1] * b[..., 1] + a[..., 2] * b[..., 2])


class RayStudio:
    """What all pixels share. The last patch, number P, is the table.

    Pixels are numbered row by row in a picture that is larger by `BORDER` on all sides.
    """

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
        self.table = self.patches.count
        self.patch_of = np.append(self.patches.patch_of, self.table)
        self._light_tables()
        self._plane_tables()
        self.lamps = Lamps.of(self.solid, scene.mood, LAMP_CELL_MM)
        self.rows = AROUND + (OF_LAMPS if self.lamps.count else 0)

    def _light_tables(self) -> None:
        patches, mood = self.patches, self.scene.mood
        up = np.array([[0.0, 0.0, 1.0]], np.float32)
        self.normals = np.concatenate([patches.normals, up])
        self.facing = self.light.facing(self.normals)
        self.open_sky = self.light.open_sky(self.normals)
        self.sky_light = (self.open_sky[:, None] * mood.sky).astype(np.float32)
        self.below = (from_below(self.normals)[:, None] * mood.from_table).astype(np.float32)
        self.albedo = np.concatenate([patches.albedo, np.ones((1, 3), np.float32)])
        tau = np.append(patches.translucency, 0.0)
        behind = np.concatenate([patches.behind, np.zeros((1, 3), np.float32)])
        through = np.sqrt(behind / np.maximum(self.albedo, 1e-4))
        share = np.where(self.facing[:, None] >= 0, 1.0, tau[:, None] * through)
        self.behind = (tau[:, None] * through).astype(np.float32)
        self.emitted = self._emitted()
        self.key_light = (share * mood.key).astype(np.float32)
        self.is_lit = (self.facing > 0) | (tau > 0)
        self.through = (self.facing < 0) & self.is_lit

    def _emitted(self) -> np.ndarray:
        """Light that each patch sends out by a lamp, shape (P + 1, 3); its cut edges send none."""
        found = np.zeros((self.table + 1, 3), np.float32)
        for k, owner in enumerate(self.patches.surface_of):
            surface = self.solid[owner]
            if surface.glow is not None and abs(self.patches.normals[k] @ surface.normal) > 0.99:
                found[k] = emitted(surface, self.scene.mood)
        return found

    def _plane_tables(self) -> None:
        """Planes of the patches, frames of their sheets, how strong their tooth is, their kin."""
        surfaces, owners = self.solid, self.patches.surface_of
        frames = [surfaces[k].rotation[:, :2] for k in owners] + [np.eye(3)[:, :2]]
        self.frames = np.array(frames, np.float32)
        places = [surfaces[k].translation for k in owners]
        self.places = np.array([*places, [0, 0, self.scene.table]], np.float32)
        self.towards = self.frames.transpose(0, 2, 1) @ self.light.towards_key.astype(np.float32)
        self.seeds = np.array([*(surfaces[k].seed % 9973 for k in owners), 17])
        low, high = TOOTH_FADE_MM
        kinds = [FINISHES[surfaces[k].finish] for k in owners]
        self.coarse = np.array([*(kind.coarse for kind in kinds), False])
        # Coarse tooth is twice as wide.
        seen = self.pixel / np.where(self.coarse, 2, 1)
        fade = np.clip((high - seen) / (high - low), 0.0, 1.0).astype(np.float32)
        strength = [
            TOOTH_STRENGTH[surfaces[k].material] * kind.tooth
            for k, kind in zip(owners, kinds, strict=True)
        ]
        self.tooth = fade * np.array([*strength, TABLE_TOOTH], np.float32)
        self.sheen = np.array([*(kind.sheen for kind in kinds), 0.0], np.float32)
        first = np.searchsorted(self.patches.patch_of, np.arange(self.table))
        corners = self.patches.triangles[first, 0].reshape(-1, 3)
        heights = (corners * self.patches.normals).sum(axis=1)
        self.heights = np.append(heights, self.scene.table).astype(np.float32)
        self.kin = self._kin()

    def _kin(self) -> np.ndarray:
        """A number for each patch, the same for cut edges of a sheet that look nearly one way.

        Each of them is narrower than a pixel and shorter than a few, too little for a filter.
        """
        owners = self.patches.surface_of
        faces = np.array([s.normal for s in self.solid]).reshape(-1, 3)[owners]
        is_rim = np.abs((faces * self.patches.normals).sum(axis=1)) < 0.99
        flat = np.einsum("pk,pkj->pj", self.patches.normals, self.frames[:-1])
        sector = np.rint(np.arctan2(flat[:, 1], flat[:, 0]) * (RIM_SECTORS / 2 / np.pi))
        rim = self.table + 1 + owners * RIM_SECTORS + sector.astype(int) % RIM_SECTORS
        own = np.append(np.where(is_rim, rim, np.arange(self.table)), self.table)
        kin = np.unique(own, return_inverse=True)[1]
        # The filters, which compare kin, are bound by memory.
        return kin.astype(np.int16 if len(own) < 32_000 else np.int32)

    def first_glow(self) -> np.ndarray:
        """A guess at the light that each patch sends out, shape (P + 1, 3)."""
        return (0.5 * self.scene.mood.gain * self.albedo).astype(np.float32)

    def rays(self, numbers: np.ndarray, places: np.ndarray) -> np.ndarray:
        """Unit rays through places inside pixels, shape (n · s, 3), float32.

        Parameters
        ----------
        numbers : of the pixels, shape (n,).
        places : across and down, 0 to 1, shape (2, s).
        """
        count = places.shape[1]
        return self.rays_at(np.repeat(numbers, count), np.tile(places, len(numbers)))

    def rays_at(self, numbers: np.ndarray, places: np.ndarray) -> np.ndarray:
        """Unit rays through one place in each of some pixels, shapes (n,) and (2, n)."""
        rows, columns = np.divmod(numbers.astype(np.int32), np.int32(self.drawn[0]))
        across = (columns - BORDER).astype(np.float32) + places[0]
        down = (rows - BORDER).astype(np.float32) + places[1]
        return np.ascontiguousarray(rays_through(self.camera, self.size, across, down).T)

    def corner_rays(self, rows: np.ndarray, columns: np.ndarray) -> np.ndarray:
        """Unit rays through the upper left corners of pixels, shape (n, 3), float32."""
        across, down = (columns - BORDER).astype(np.float32), (rows - BORDER).astype(np.float32)
        return np.ascontiguousarray(rays_through(self.camera, self.size, across, down).T)

    def on_planes(self, rays: np.ndarray, keys: np.ndarray) -> np.ndarray:
        """Where rays from the eye meet the planes of patches, a little before; shape (n, 3)."""
        normals = self.normals.take(keys, axis=0)
        slope = _products(rays, normals)
        height = self.heights.take(keys) - _products(normals, self.eye)
        return self.before(rays, height / np.where(np.abs(slope) > 1e-6, slope, np.float32(-1e-6)))

    def before(self, rays: np.ndarray, distance: np.ndarray) -> np.ndarray:
        """Just before what is that far away along rays from the eye, shape (n, 3), float32."""
        return np.asarray(self.eye + (distance - PULL_MM)[:, None] * rays, np.float32)

    def key_rays(self, count: int) -> np.ndarray:
        """Directions to the key of each group, see :func:`probing`, shape (36, count, 3)."""
        disc_of = disc(self.light.towards_key, self.scene.mood.spread, TILE**2 * count)
        return probing(dealt(disc_of[::-1], TILE**2))

    def open_table(self, points: np.ndarray, keys: np.ndarray, rays: np.ndarray) -> np.ndarray:
        """Which pixels show table that no shadow of the key can reach, bool, shape (n,).

        Parameters
        ----------
        points, keys : of the pixels, shapes (n, 3) and (n,).
        rays : to the key, shape (..., 3).
        """
        found, table = np.zeros(len(keys), bool), np.flatnonzero(keys == self.table)
        along = open_table.across(points[table].T)
        corners = self.patches.corners
        found[table] = open_table.in_the_open(along, self.scene.table, corners, rays.reshape(-1, 3))
        return found

    def key_seen(self, points: np.ndarray, keys: np.ndarray, rays: np.ndarray) -> np.ndarray:
        """How many rays (k, 3) to the key are free from each of some points (n, 3), shape (n,)."""
        behind = np.flatnonzero(self.through[keys])
        if len(behind):
            points = points.copy()
            points[behind] -= BEHIND_MM * self.normals[keys[behind]]
        count, several = len(points), len(rays)
        free = self.quick.free(np.tile(points, (several, 1)), np.repeat(rays, count, axis=0))
        return np.asarray(free.reshape(several, count).sum(axis=0), np.float32)

    def sky(self, count: int, glow: np.ndarray) -> Sky:
        """So many directions for each group of pixels.

        Parameters
        ----------
        glow : light that each patch sends out, shape (P + 1, 3).
        """
        rays = dealt(sphere(TILE**2 * count), TILE**2)
        upward = rays[..., 2] >= 0
        bright = np.where(upward, np.stack([self.light.radiance(group) for group in rays]), 1)
        sent = np.concatenate([glow[self.patches.patch_of], np.zeros((1, 3))]).astype(np.float32)
        return Sky(rays, upward, bright.astype(np.float32), sent)

    def sky_sums(self, points: np.ndarray, keys: np.ndarray, group: int, sky: Sky) -> np.ndarray:
        """What pixels of one group see all round, as sums for the filters, shape (8, n), float32.

        From the sky, from the table, from other paper in three channels; then the first two without
        anything in the way, and the cosines. Where there are lamps, six more: see
        :meth:`Lamps.seen`.

        Parameters
        ----------
        points, keys : of the pixels, shapes (n, 3) and (n,).
        """
        if len(keys) > AT_ONCE:
            cuts = range(0, len(keys), AT_ONCE)
            parts = [slice(cut, cut + AT_ONCE) for cut in cuts]
            sums = [self.sky_sums(points[part], keys[part], group, sky) for part in parts]
            return np.concatenate(sums, axis=1)
        rays, up, bright = sky.rays[group], sky.upward[group], sky.bright[group]
        patches, mine = np.unique(keys, return_inverse=True)
        by_patch = np.maximum(_products(rays[:, None], self.normals[patches]), 0)
        totals = [
            summed(each) for each in (by_patch[up] * bright[up, None], by_patch[~up], by_patch)
        ]
        # All rays of all pixels at once, ray by ray.
        cosine = by_patch.take(mine, axis=1)
        ray, pixel = np.nonzero(cosine > 0)
        hit = self.quick.first(points.take(pixel, axis=0), rays.take(ray, axis=0))
        facing = cosine[ray, pixel]
        caught = np.zeros((*cosine.shape, 3), np.float32)
        caught[ray, pixel] = facing[:, None] * sky.sent.take(hit, axis=0)
        cosine[ray, pixel] = facing * bright.take(ray) * (hit < 0)
        seen = np.stack([summed(cosine[up]), summed(cosine[~up])])
        sums = [seen, summed(caught).T, np.stack(totals).take(mine, axis=1)]
        if self.lamps.count:
            normals, behind = self.normals.take(keys, axis=0), self.behind.take(keys, axis=0)
            sums.append(self.lamps.seen(points, normals, behind, self.quick, group))
        return np.concatenate(sums)

    def sky_falling(self, keys: np.ndarray, sums: np.ndarray, points: np.ndarray) -> np.ndarray:
        """Light from sky, table, other paper and lamps out of filtered sums, shape (3, n).

        Parameters
        ----------
        keys, points : of the pixels, shapes (n,) and (n, 3).
        """
        free = np.where(sums[5:7] > 1e-6, sums[:2] / np.maximum(sums[5:7], 1e-6), 1.0)
        light = sums[2:5] / np.maximum(sums[7], 1e-6)
        light += self.sky_light.take(keys, axis=0).T * free[0]
        light += self.below.take(keys, axis=0).T * free[1]
        if self.lamps.count:
            normals, behind = self.normals.take(keys, axis=0), self.behind.take(keys, axis=0)
            light += shaded(self.lamps.falling(points, normals, behind), sums[AROUND:])
        return np.asarray(light, np.float32)

    def falling(
        self, keys: np.ndarray, points: np.ndarray, sun: np.ndarray, sky: np.ndarray
    ) -> tuple[np.ndarray, np.ndarray]:
        """Light that falls on pixels, shape (3, n), and the share of it that their tooth keeps.

        Parameters
        ----------
        points : shape (n, 3).
        sun : share of the key that they see, shape (n,).
        sky : light from elsewhere, shape (3, n).
        """
        kept = np.ones(len(keys), np.float32)
        facing = np.abs(self.facing).take(keys)
        rough = np.flatnonzero(self.tooth.take(keys))
        if len(rough):
            mine = keys[rough]
            relief = self._relief(self._flat(mine, points.take(rough, axis=0)), mine)
            relief *= self.tooth.take(mine)[:, None]
            slope = -(relief[:, 1:] * self.towards.take(mine, axis=0)).sum(axis=1)
            kept[rough] += TOOTH_ALBEDO * relief[:, 0]
            facing[rough] = np.maximum(facing[rough] + TOOTH_KEY * slope, 0.0)
            sky = sky.copy()
            sky[:, rough] *= 1 + TOOTH_SKY * slope
        shiny = np.flatnonzero(self.sheen.take(keys))
        if len(shiny):
            sky = sky.copy()
            facing[shiny], share = self._mirroring(keys[shiny], points[shiny], facing[shiny])
            sky[:, shiny] *= share
        light = self.key_light.take(keys, axis=0).T * (facing * sun)
        return np.asarray(light + sky, np.float32), kept

    def _flat(self, keys: np.ndarray, points: np.ndarray) -> np.ndarray:
        """Places on patches in the plane of their sheets, shape (n, 2), mm."""
        local, frames = points - self.places.take(keys, axis=0), self.frames.take(keys, axis=0)
        return np.stack([_products(local, frames[..., axis]) for axis in (0, 1)], axis=1)

    @cached_property
    def mirror(self) -> MetalShine:
        """What metallic card shows."""
        return MetalShine(self.light.towards_key, self.camera.axes[2])

    def _relief(self, flat: np.ndarray, keys: np.ndarray) -> np.ndarray:
        """Height and slopes of the tooth of patches at places on them, shape (n, 3)."""
        coarse = self.coarse.take(keys)
        relief = grain(flat, self.seeds.take(keys), self.pixel)
        if coarse.any():
            relief[coarse] = grain(flat[coarse], self.seeds.take(keys[coarse]), self.pixel, True)
        return relief

    def _mirroring(
        self, keys: np.ndarray, points: np.ndarray, facing: np.ndarray
    ) -> tuple[np.ndarray, np.ndarray]:
        """What metal makes of the light on places: of the key, and of all else, shape (n,) each.

        Parameters
        ----------
        facing : what dull paper makes of the key.
        """
        rays = points - self.eye
        rays /= np.sqrt(_products(rays, rays))[:, None]
        frames, sheen = self.frames.take(keys, axis=0), self.sheen.take(keys)
        normals = metal_normals(
            self.normals.take(keys, axis=0), frames, self._flat(keys, points), self.seeds.take(keys)
        )
        key, sky = self.mirror.shown(rays, normals)
        front, up = self.facing.take(keys) > 0, np.float32(self.light.towards_key[2])
        lit = np.where(front, facing + sheen * (up * key - facing), facing)
        open_sky = np.maximum(self.open_sky.take(keys), LEAST_SKY)
        return lit, 1 + sheen * (sky / open_sky - 1)

    @cached_property
    def textures(self) -> list[Texture]:
        """What the patches show beyond plain colours."""
        owners = [self.solid[k] for k in self.patches.surface_of]
        # Several places inside a pixel are looked at: detail of half its size is shown truly.
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
