"""Drafts of frames: hard shadows, a coarse sky, and edges smoothed by the corners of pixels."""

from __future__ import annotations

import numpy as np

from preview.drawing.scene import Scene

from . import neighbours
from .film import Frame, Recipe, pixels_of
from .lens import Lens
from .trace import Tracer

RECIPE = Recipe(key=1, sky=4, vary=np.inf, refine=np.inf, grid=1)
# The sky is smoothed over pixels of its raster this far apart that differ by less than so much.
SMOOTHED = ((1, 0.20), (2, 0.10))


class Draft(Frame):
    """A frame whose key is a point of light. A pixel is averaged with its four corners."""

    def __init__(self, scene: Scene, lens: Lens) -> None:
        super().__init__(scene, lens, RECIPE)

    def _tracers(self) -> tuple[Tracer, Tracer]:
        # A ray that slips through a seam makes one pixel wrong for a frame, which a draft may have.
        quick = Tracer(self.patches.triangles, tight=False)
        return quick, quick

    def _key_pass(self) -> np.ndarray:
        """Share of the key that each pixel sees, shape (n,): all or nothing but at edges."""
        raster, key = self.lens.rasters[2], self.key_image[::2, ::2]
        lit = self.is_lit[self.key]
        coarse = np.zeros(len(raster.pixels), np.float32)
        some = np.flatnonzero(lit[raster.pixels])
        coarse[some] = self._free(raster.pixels[some])
        image = coarse.reshape(key.shape)
        wide, mixed, near = (
            doubled(each, self.key_image.shape)
            for each in (image, neighbours.mixed(key, image), key)
        )
        busy = mixed | (near != self.key_image)
        where = np.flatnonzero(busy.ravel() & lit)
        seen = wide.ravel() * lit
        seen[where] = self._free(where)
        total, count = neighbours.box_at(where, self.key_image, seen, np.ones_like(seen))
        seen[where] = total / count
        return seen

    def _free(self, pixels: np.ndarray) -> np.ndarray:
        towards = self.light.towards_key.astype(np.float32)
        return self.quick.free(self.key_origins(pixels), towards[None])

    def _sky_pass(self) -> np.ndarray:
        """Share of its sky that each pixel sees, shape (n,), from every fourth both ways."""
        sky = self._sky_at(4, None, np.zeros(0))[0]
        coarse = self.key_image[::4, ::4]
        for step, reach in SMOOTHED:
            sky = neighbours.smooth(coarse, sky, step, reach)
        # What no pixel of the raster shows gets the mean of its patch, or all of its sky.
        counts = np.bincount(coarse.ravel(), minlength=self.table + 1)
        sums = np.bincount(coarse.ravel(), sky.ravel(), minlength=self.table + 1)
        means = np.where(counts > 0, sums / np.maximum(counts, 1), 1).astype(np.float32)
        key = self.key_image[::2, ::2]
        sky, lost = neighbours.upsample(key, coarse, sky)
        sky.ravel()[lost] = means[key.ravel()[lost]]
        seen, near = (doubled(each, self.key_image.shape) for each in (sky, key))
        other = np.flatnonzero(near != self.key_image)
        seen.ravel()[other] = means[self.key[other]]
        return seen.ravel()

    def _smooth(self, picture: np.ndarray) -> None:
        """Average pixels along edges with what their corners show, in place."""
        lens = self.lens
        height, width = lens.shape
        pixels = np.flatnonzero(neighbours.edges(self.key_image))
        if not len(pixels):
            return
        # Corners are numbered like pixels, one more of them a row and a column.
        down, across = np.divmod(pixels, width)
        first = down * (width + 1) + across
        around = np.stack([first, first + 1, first + width + 1, first + width + 2])
        needed = np.zeros(len(lens.corner_rays), bool)
        needed[around] = True
        corners = np.flatnonzero(needed)
        places = np.empty(len(needed), np.int32)
        places[corners] = np.arange(len(corners))
        rays = lens.corner_rays[corners]
        hit = self.quick.first(np.broadcast_to(lens.eye, rays.shape), rays)
        wanted = self.patch_of.astype(np.int16)[hit]
        down, across = np.divmod(corners, width + 1)
        # What a corner shows is lit as the pixel beside it that shows the same.
        total, count = np.zeros((3, len(corners)), np.float32), np.zeros(len(corners), np.float32)
        mean = np.zeros((3, len(corners)), np.float32)
        keys = self.key_image.ravel()
        for dy in (-1, 0):
            for dx in (-1, 0):
                beside = np.clip(down + dy, 0, height - 1) * width
                beside += np.clip(across + dx, 0, width - 1)
                same = (keys[beside] == wanted).astype(np.float32)
                colour = picture.take(beside, axis=1)
                total += colour * same
                count += same
                mean += colour * np.float32(0.25)
        shown = np.where(count > 0, total / np.maximum(count, 1), mean)
        at_corners = shown.take(places[around], axis=1).mean(axis=1)
        picture[:, pixels] = (picture[:, pixels] + at_corners) / 2


def doubled(image: np.ndarray, shape: tuple[int, int]) -> np.ndarray:
    """Every pixel of an image four times, as many of them as an image of that shape has."""
    wide = np.repeat(np.repeat(image, 2, axis=0), 2, axis=1)
    return np.ascontiguousarray(wide[: shape[0], : shape[1]])


def draw(scene: Scene, lens: Lens) -> np.ndarray:
    """One draft, uint8, shape (h, w, 3)."""
    return pixels_of(Draft(scene, lens))
