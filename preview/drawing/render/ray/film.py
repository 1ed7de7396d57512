"""Frames of a film: thin sheets, a sky at half rate, a key in two passes.

Pixels are interleaved 3 × 3 and every group of pixels has its own fixed directions; a filter over
neighbours of the same patch then sees the directions of all nine. Nothing depends on the frame, so
what stands still does not flicker.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from preview.drawing.colour import develop
from preview.drawing.scene import Scene

from . import neighbours, open_table
from .clear import Glaze, glaze
from .edges import smooth_edges
from .film_paper import light_of_lamps, mirroring, roughness, textures_of
from .finish import FINISHES, MetalShine
from .glare import glare
from .lamps import Lamps, emitted
from .lens import Lens
from .light import Light, from_below, key_rays, sky_rays
from .material import paint
from .patches import sheets
from .sampling import DENSE, FIRST, GROUPS
from .trace import BEHIND_MM, PULL_MM, Tracer

# What hides the sky is lit as well. How much light it sends, by what it shines on: a share of the
# colour of the pages with what lies on them, for paper, which stands among them, and of the sky's
# for all else. Chosen so
# that frames agree with stills, which trace this light.
ECHO_PAPER, ECHO_PAGE, ECHO_OTHER = 0.42, 0.22, 0.30
# What the open pages send up to the pieces that stand on them, as a share of their colour, and how
# much of all light from below fades with the sky where a place is hidden.
FROM_PAGES, SHELTERED = 0.74, 0.40
# A penumbra is smoothed where that changes it by less than this, once for each value.
SOFT_STEPS = (0.08, 0.05)
# Where a pixel is looked at again if it stands alone, beside its middle. Our choice.
BESIDE = np.array([[0.49, 0.517], [0.513, 0.488]], np.float32)
# Single points whose sky is looked at in one go: their rays take few megabytes. Our choice.
ALONE_AT_ONCE = 2048
# Size of the cells into which paper is cut that is lit from inside, mm. Our choice.
LAMP_CELL_MM = 7.0


@dataclass(frozen=True)
class FrameRecipe:
    """How many rays a frame may cost.

    Parameters
    ----------
    key, sky : directions of each of the nine groups, to the key light and to the sky.
    vary, refine : range of the sky light between neighbours above which it is traced at half and
        at full rate.
    grid : an edge pixel is split into grid × grid samples.
    lamps : light of lamps is looked for at every so many pixels both ways, 1, 2 or 4.
    thin : curves are thinned to this share of a pixel.
    dome : directions by which the light of the open sky on a facet is found.
    """

    key: int
    sky: int
    vary: float
    refine: float
    grid: int
    lamps: int = 2
    thin: float = 0.15
    dome: int = DENSE


FILM = FrameRecipe(key=6, sky=12, vary=0.10, refine=0.30, grid=4)


class FilmFrame:
    """One frame being drawn. The last patch, number P, is the table.

    After tracing: `key` is the patch of each pixel, shape (n,), `points` the places from which
    its shadow rays start, shape (3, n), `sun` and `sky` the shares of both lights that it sees.
    Outside of its `window` there is only table.
    """

    def __init__(self, scene: Scene, lens: Lens, recipe: FrameRecipe) -> None:
        self.scene, self.lens, self.recipe = scene, lens, recipe
        self.light = Light.of(scene.mood, scene.viewer)
        self.solid = tuple(s for s in scene.surfaces if s.material != "film")
        self.patches = sheets(self.solid, lens.eye, recipe.thin * lens.pixel)
        self.quick = Tracer(self.patches.corners, self.patches.faces, tight=False)
        self.table = self.patches.count
        # 16 bits are enough for the filters, which compare patches and are bound by memory.
        self.patch_of = np.append(self.patches.patch_of, self.table).astype(np.int16)
        self._light_tables()
        self.lamps = Lamps.of(self.solid, scene.mood, LAMP_CELL_MM)
        towards = tuple(self.light.towards_key.tolist())
        self.key_rays = key_rays(towards, scene.mood.spread, recipe.key)
        self.sky_rays = sky_rays(recipe.sky)
        radiance = self.light.radiance(self.sky_rays.reshape(-1, 3)).reshape(GROUPS, -1)
        cosine = np.maximum(np.einsum("pk,gjk->gjp", self.normals, self.sky_rays), 0.0)
        self.sky_weights = (cosine * radiance[..., None]).astype(np.float32)

    def _light_tables(self) -> None:
        """Light that each patch gets from the open key, the open sky and the table."""
        mood, patches = self.scene.mood, self.patches
        up = np.array([[0.0, 0.0, 1.0]], np.float32)
        self.normals = np.concatenate([patches.normals, up])
        albedo = np.concatenate([patches.albedo, np.ones((1, 3))])
        behind = np.concatenate([patches.behind, np.zeros((1, 3))])
        facing = self.light.facing(self.normals)[:, None]
        tau = np.append(patches.translucency, 0.0)[:, None]
        through = tau * np.sqrt(behind / np.maximum(albedo, 1e-4))
        share = np.where(facing >= 0, 1.0, through)
        self.through = through.astype(np.float32)
        self.emitted = np.zeros((self.table + 1, 3), np.float32)
        for k, surface in enumerate(self.solid):
            if surface.glow is not None:
                self.emitted[k] = emitted(surface, mood)
        key_light = np.abs(facing) * share * mood.key
        self.is_lit = key_light.max(axis=1) > 1e-3
        self.behind = (facing[:, 0] < 0) & self.is_lit
        self.open_sky = self.light.open_sky(self.normals, self.recipe.dome)
        open_sky = self.open_sky[:, None]
        echo, below = self._second_hand()
        self.albedo = albedo.astype(np.float32)
        self.facing = facing[:, 0].astype(np.float32)
        sheen = [*(FINISHES[surface.finish].sheen for surface in self.solid), 0.0]
        self.sheen = np.array(sheen, np.float32)
        # Key, free sky and constant part of the light on each patch, shape (3, P + 1, 3).
        parts = [
            key_light,
            open_sky * (mood.sky - echo) + SHELTERED * below,
            open_sky * echo + (1 - SHELTERED) * below,
        ]
        self.lights = np.array(parts, np.float32)

    def _second_hand(self) -> tuple[np.ndarray, np.ndarray]:
        """Light from what hides the sky and from what lies below, shape (P + 1, 3) each."""
        mood = self.scene.mood
        count = self.table + 1
        echo = np.tile(ECHO_OTHER * mood.sky, (count, 1))
        below = np.tile(mood.from_table, (count, 1))
        kinds = np.array([s.material for s in self.solid] + ["table"])
        if self.scene.ground:
            pages = np.array(self.scene.ground)
            echo[kinds == "paper"] = mood.gain * ECHO_PAPER * pages
            echo[kinds == "page"] = mood.gain * ECHO_PAGE * pages
            below[kinds == "paper"] = mood.gain * FROM_PAGES * pages
        return echo, from_below(self.normals)[:, None] * below

    def linear(self) -> np.ndarray:
        """The frame in linear light, shape (3, h, w), float32."""
        self._see()
        self.sun = self._key_pass()
        self.sky = self._sky_pass()
        picture = self._shade()
        self._smooth(picture)
        if len(self.solid) < len(self.scene.surfaces):
            lens, glass = self.lens, Glaze(self.scene, self.lens.camera, self.light)
            window = glass.window(lens.size)
            glaze(glass, picture, self.distances(), lens.shape, window, lens.sub_rays)
        light = picture.reshape(3, *self.lens.shape)
        light = glare(light) if self.lamps.count else light
        light *= self.lens.vignette
        return light

    def _smooth(self, picture: np.ndarray) -> None:
        """Average finer samples along edges, in place."""
        smooth_edges(self, picture)

    def _see(self) -> None:
        lens = self.lens
        self.window = lens.window_of(self.patches.corners)
        rays = lens.rays_in(self.window, 1)
        hits = self.quick.nearest(np.broadcast_to(lens.eye, rays.shape), rays)
        found = np.flatnonzero(hits.triangle >= 0)
        self.key = np.full(len(lens.ground_distance), self.table)
        self.distance, self.points = lens.ground_distance.copy(), lens.ground_points.copy()
        where, distance = lens.numbers[self.window].ravel()[found], hits.distance[found]
        self.key[where] = self.patch_of[hits.triangle[found]]
        self.distance[where] = distance
        self.points[:, where] = lens.points(distance, where)
        self.key_image = self.key.astype(np.int16).reshape(lens.shape)
        self._mend(np.flatnonzero(neighbours.alone(self.key_image)))

    def _mend(self, pixels: np.ndarray) -> None:
        """Look again at single pixels, in place: their rays may have slipped through a seam.

        Of two triangles that share an edge a ray may meet neither. What two rays see beside such a
        pixel's middle is taken if it is the same.
        """
        lens, found = self.lens, []
        for place in BESIDE:
            rays = lens.rays_at(pixels, np.repeat(place[:, None], len(pixels), axis=1))
            hits = self.quick.nearest(np.broadcast_to(lens.eye, rays.shape), rays)
            found.append(np.where(hits.triangle < 0, self.table, self.patch_of[hits.triangle]))
        is_other = (found[0] == found[1]) & (found[0] != self.key[pixels])
        where, away = pixels[is_other], hits.distance[is_other]
        self.key[where] = self.key_image.ravel()[where] = found[1][is_other]
        table = found[1][is_other] == self.table
        away = np.where(table, lens.ground_distance[where], away)
        self.distance[where] = away
        self.points[:, where] = lens.eye[:, None] + (away - PULL_MM) * rays[is_other].T

    def seen(self, rays: np.ndarray) -> np.ndarray:
        """The patch that each ray (n, 3) from the eye meets, shape (n,)."""
        hit = self.quick.first(np.broadcast_to(self.lens.eye, rays.shape), rays)
        return self.patch_of.take(hit)

    def key_origins(self, pixels: np.ndarray) -> np.ndarray:
        """Where shadow rays to the key start, shape (n, 3)."""
        return self._behind_backs(self.places(pixels).T, self.key[pixels])

    def distances(self) -> np.ndarray:
        """How far away what each pixel shows is, mm, shape (n,)."""
        return self.distance

    def places(self, pixels: np.ndarray) -> np.ndarray:
        """Just before what some pixels show, shape (3, n)."""
        return self.points.take(pixels, axis=1)

    def _behind_backs(self, origins: np.ndarray, keys: np.ndarray) -> np.ndarray:
        """Start behind sheets that the key shines through."""
        through = np.flatnonzero(self.behind[keys])
        if len(through):
            origins = origins.copy()
            origins[through] -= BEHIND_MM * self.normals[keys[through]]
        return origins

    def _key_pass(self) -> np.ndarray:
        """Share of the key that each pixel sees, shape (n,), float32."""
        raster, key = self.lens.grid(1), self.key_image
        lit = self.is_lit[self.key]
        is_open = self._open_table(self.lens.table_across, self.key)
        seen = np.where(is_open, np.float32(FIRST), np.float32(0))
        asked = lit & ~is_open
        for places, rays in zip(raster.groups, self.key_rays, strict=True):
            some = places[asked[places]]
            origins = self.key_origins(raster.pixels[some])
            for ray in rays[:FIRST]:
                seen[some] += self.quick.free(origins, ray[None])
        partly = neighbours.mixed(key, seen.reshape(key.shape)).ravel()
        partly = (partly | ((seen > 0) & (seen < FIRST))) & lit
        seen[~partly] /= FIRST
        for places, rays in zip(raster.groups, self.key_rays, strict=True):
            some = places[partly[places]]
            origins, total = self.key_origins(raster.pixels[some]), seen[some]
            for ray in rays[FIRST:]:
                total += self.quick.free(origins, ray[None])
            seen[some] = total / len(rays)
        where = np.flatnonzero(partly)
        ones = np.ones_like(seen)
        total, count = neighbours.box_at(where, key, seen, ones)
        seen[where] = total / count
        return self._softened(key, seen)

    def _open_table(self, along: np.ndarray, keys: np.ndarray) -> np.ndarray:
        """Which pixels show table that no shadow of the key can reach, bool, shape (n,).

        Parameters
        ----------
        along : where their rays meet the table; see :func:`open_table.across`.
        keys : their patches, shape (n,).
        """
        corners, rays = self.patches.corners, self.key_rays.reshape(-1, 3)
        is_open = open_table.in_the_open(along, self.scene.table, corners, rays)
        return is_open & (keys == self.table) & self.is_lit[self.table]

    @staticmethod
    def _softened(key: np.ndarray, seen: np.ndarray) -> np.ndarray:
        """Smooth wide penumbras, where single directions show as a faint pattern."""
        where = np.flatnonzero((seen > 0) & (seen < 1))
        ones = np.ones_like(seen)
        for reach in SOFT_STEPS:
            total, count = neighbours.box_at(where, key, seen, ones)
            mine, mean = seen[where], total / count
            near = np.clip(1 - np.abs(mean - mine) / np.float32(reach), 0, 1)
            seen[where] = mine + near * (mean - mine)
        return seen

    def _sky_pass(self) -> np.ndarray:
        """Share of its sky that each pixel sees, shape (n,), float32.

        It is traced at every fourth pixel both ways, at every second one where it varies between
        those or other patches are near, and at all where it varies between these.
        """
        sky = self._sky_at(4, None, np.zeros(0))[0]
        for step, refine in ((2, self.recipe.vary), (1, self.recipe.refine)):
            key = self.key_image[:: 2 * step, :: 2 * step]
            busy = neighbours.spread(key, sky) * self.open_sky[key] > refine
            busy = neighbours.grown(busy)
            if step == 1:
                for far, reach in ((2, 0.10), (4, 0.06)):
                    sky = neighbours.smooth(key, sky, far, reach)
            sky, lost = self._sky_at(step, sky, busy)
        where = np.flatnonzero(lost)
        if len(where):
            sky.ravel()[where] = self.sky_at(self.places(where).T, self.key[where])
        return sky.ravel()

    def _sky_at(
        self, step: int, coarse: np.ndarray | None, busy: np.ndarray
    ) -> tuple[np.ndarray, np.ndarray]:
        """Sky shares at every `step`-th pixel both ways, and where there are none.

        Parameters
        ----------
        coarse : the shares at every second pixel of these; else all are traced.
        busy : where between the coarse ones shares are traced, same shape.
        """
        raster = self.lens.grid(step)
        key = self.key_image[::step, ::step]
        if coarse is None:
            seen, total = self._sky_sums(raster.pixels, raster.groups)
            sums = neighbours.box(key, seen.reshape(key.shape), total.reshape(key.shape))
            return _share(*sums), np.zeros(key.shape, bool)
        image, missing = neighbours.upsample(key, key[::2, ::2], coarse)
        lost = np.zeros(key.shape, bool)
        lost.ravel()[missing] = True
        fine = np.repeat(np.repeat(busy, 2, 0), 2, 1)[: key.shape[0], : key.shape[1]]
        if step > 1:
            fine, lost = fine | lost, np.zeros_like(lost)
        where = np.flatnonzero(fine)
        if len(where):
            chosen = fine.ravel()
            groups = [places[chosen[places]] for places in raster.groups]
            seen, total = self._sky_sums(raster.pixels, groups)
            image.ravel()[where] = _share(*neighbours.box_at(where, key, seen, total))
        return image, lost & ~fine

    def _sky_sums(
        self, pixels: np.ndarray, groups: list[np.ndarray]
    ) -> tuple[np.ndarray, np.ndarray]:
        """Weights of the free and of all sky directions of some of the pixels.

        Parameters
        ----------
        pixels : shape (m,), numbers in the picture.
        groups : for each group, numbers in `pixels`.

        Returns
        -------
        Two arrays of shape (m,), zero for pixels in no group.
        """
        seen = np.zeros(len(pixels), np.float32)
        total = np.zeros(len(pixels), np.float32)
        all_members = np.concatenate(groups)
        mine = pixels[all_members]
        all_keys, all_places = self.key[mine], self.places(mine)
        stop = 0
        for group, members in enumerate(groups):
            start, stop = stop, stop + len(members)
            keys, origins = all_keys[start:stop], all_places[:, start:stop].T
            weights = self.sky_weights[group]
            seen[members] = self._weighted_free(origins, keys, self.sky_rays[group], weights)
            total[members] = weights.sum(axis=0)[keys]
        return seen, total

    def _weighted_free(
        self, origins: np.ndarray, keys: np.ndarray, rays: np.ndarray, weights: np.ndarray
    ) -> np.ndarray:
        seen, is_paper = np.zeros(len(keys), np.float32), keys != self.table
        near = open_table.may_meet(origins.T, self.scene.table, *self.box, rays) | is_paper
        for ray, by_patch, may_meet in zip(rays, weights, near, strict=True):
            weight = by_patch.take(keys)
            some = np.flatnonzero((weight > 0) & may_meet)
            if len(some) > 0.8 * len(keys):
                free = self.quick.free(origins, ray[None])
            else:
                free = np.ones(len(keys), bool)
                free[some] = self.quick.free(origins.T.take(some, axis=1).T, ray[None])
            seen += weight * free
        return seen

    @cached_property
    def box(self) -> tuple[np.ndarray, np.ndarray]:
        """The box around all paper: its lowest and its highest corner, shape (3,) each, mm."""
        corners = self.patches.corners
        return corners.min(axis=0, initial=np.inf), corners.max(axis=0, initial=-np.inf)

    def key_at(self, points: np.ndarray, keys: np.ndarray) -> np.ndarray:
        """Key shares of single points that no neighbour can lend light to, shape (n,)."""
        groups, count = self.key_rays.shape[:2]
        rays = self.key_rays[np.arange(groups), np.arange(groups) % count]
        start = self._behind_backs(points, keys)
        sun = np.zeros(len(points), np.float32)
        for ray in rays:
            sun += self.quick.free(start, ray[None])
        return sun * self.is_lit[keys] / np.float32(len(rays))

    def sky_at(self, points: np.ndarray, keys: np.ndarray) -> np.ndarray:
        """Sky shares of such points, shape (n,)."""
        rays = self.sky_rays[:, ::2].reshape(-1, 3)
        weights = self.sky_weights[:, ::2].reshape(len(rays), -1)
        seen = np.zeros(len(keys), np.float32)
        for start in range(0, len(keys), ALONE_AT_ONCE):
            some = slice(start, start + ALONE_AT_ONCE)
            by_ray = weights[:, keys[some]]
            ray, place = np.nonzero(by_ray)
            free = self.quick.free(points[some][place], rays[ray])
            seen[some] = np.bincount(place, by_ray[ray, place] * free, by_ray.shape[1])
        return _share(seen, weights.sum(axis=0)[keys])

    @cached_property
    def mirror(self) -> MetalShine:
        """What metallic card shows."""
        return MetalShine(self.light.towards_key, self.lens.camera.axes[2])

    def light_on(
        self, keys: np.ndarray, sun: np.ndarray, sky: np.ndarray, tint: np.ndarray
    ) -> np.ndarray:
        """What patches that see these shares of key and sky send out, shape (3, n).

        Parameters
        ----------
        tint : their colours, shape (P + 1, 3).
        """
        picture = np.empty((3, len(keys)), np.float32)
        for row, channel, colour in zip(picture, self.lights.T, tint.T, strict=True):
            key_light, sky_light, rest = channel.T * colour
            np.multiply(key_light.take(keys), sun, out=row)
            row += sky_light.take(keys) * sky
            row += rest.take(keys)
        return picture

    def _shade(self) -> np.ndarray:
        """Linear light of every pixel, shape (3, n)."""
        sun, sky = mirroring(self, self.key, self.lens.directions.T, self.sun, self.sky)
        picture, paper = self._as_table(sun, sky), self._paper()
        own = self.key_image.ravel().take(paper)
        keys = own.astype(int)
        patches = np.flatnonzero(np.bincount(keys)).tolist()
        textures = textures_of(self, patches)
        is_textured = np.zeros(self.table + 1, bool)
        is_textured[[texture.patch for texture in textures]] = True
        tint = np.where(is_textured[:, None], 1.0, self.albedo).astype(np.float32)
        shown = self.light_on(keys, sun.take(paper), sky.take(paper), tint)
        if self.lamps.count:
            lamplight = light_of_lamps(self)
            picture += lamplight * self.lens.table
            shown += tint.take(keys, axis=0).T * lamplight[:, paper]
        for texture in textures:
            on = np.flatnonzero(own == texture.patch)
            shown[:, on] *= paint(texture, self.places(paper[on]).T).T
        for k in patches:
            if FINISHES[self.solid[k].finish].coarse:
                on = np.flatnonzero(own == k)
                shown[:, on] *= roughness(self, k, self.places(paper[on]).T)
        if self.lamps.count:
            shown += self.emitted.take(keys, axis=0).T
        picture[:, paper] = shown
        return picture

    def _paper(self) -> np.ndarray:
        """Pixels that show paper, shape (m,)."""
        inside = self.key_image[self.window] != self.table
        return self.lens.numbers[self.window][inside]

    def _as_table(self, sun: np.ndarray, sky: np.ndarray) -> np.ndarray:
        """What every pixel would show if it were table, shape (3, n)."""
        picture = np.empty((3, len(sun)), np.float32)
        lights = self.lights[:, self.table].T
        ground = zip(lights, self.lens.table, self.lens.backdrop, strict=True)
        for row, ((key_light, sky_light, rest), table, backdrop) in zip(
            picture, ground, strict=True
        ):
            np.multiply(sun, key_light, out=row)
            row += sky * sky_light
            row += rest
            row *= table
            row += backdrop
        return picture

    def on_table(self, light: np.ndarray, pixels: np.ndarray) -> np.ndarray:
        """What pixels of the table show in that light, shape (3, n)."""
        return light * self.lens.table.take(pixels, axis=1) + self.lens.backdrop.take(
            pixels, axis=1
        )


def _share(seen: np.ndarray, total: np.ndarray) -> np.ndarray:
    """Weighted share, 1 where nothing could be seen."""
    share = np.where(total > 1e-6, seen / np.maximum(total, 1e-6), 1.0)
    return np.asarray(share, np.float32)


def pixels_of(frame: FilmFrame) -> np.ndarray:
    """A frame as 8-bit pixels, shape (h, w, 3)."""
    pixels = np.empty((*frame.lens.shape, 3), np.uint8)
    for channel, light in enumerate(frame.linear()):
        pixels[..., channel] = develop(light)
    return pixels


def draw(scene: Scene, lens: Lens) -> np.ndarray:
    """One frame, uint8, shape (h, w, 3)."""
    return pixels_of(FilmFrame(scene, lens, FILM))
