"""Drafts of frames: hard shadows, a coarse sky, and edges smoothed by few samples."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from preview.drawing.scene import Scene

from . import neighbours
from .edges import around, cut_pixels, lenders
from .film import FilmFrame, FrameRecipe, pixels_of
from .lens import Lens
from .trace import PULL_MM

RECIPE = FrameRecipe(key=1, sky=4, vary=np.inf, refine=np.inf, grid=1, lamps=4, thin=0.3, dome=512)
# The sky is smoothed over pixels of its raster this far apart that differ by less than so much.
SMOOTHED = ((1, 0.20), (2, 0.10))
# How often at most a draft looks farther along something thin. Our choice.
ROUNDS = 12
# What a corner of a pixel, which four pixels share, counts beside its middle.
CORNER = 0.25


class DraftFrame(FilmFrame):
    """A frame whose key is a point of light. Edges are smoothed by few samples.

    After looking: `cells` is the patch of every second pixel both ways, and `strange` are the
    pixels that show another one than their cell.
    """

    def __init__(self, scene: Scene, lens: Lens) -> None:
        super().__init__(scene, lens, RECIPE)
        self.key_rays = self.light.towards_key.astype(np.float32)[None, None]

    def _see(self) -> None:
        """Find what each pixel shows: of every second one both ways, and of those near a change."""
        lens = self.lens
        self.window = lens.window_of(self.patches.corners)
        self.cells = np.full(lens.grid(2).shape, self.table, np.int16)
        self.key_image = np.full(lens.shape, self.table, np.int16)
        image = self.key_image[self.window]
        cells = self.cells[tuple(slice(s.start // 2, (s.stop + 1) // 2) for s in self.window)]
        cells[:] = self.seen(lens.rays_in(self.window, 2)).reshape(cells.shape)
        image[:] = doubled(cells, image.shape)
        self.key = self.key_image.ravel()
        unsure, asked = np.zeros((2, *lens.shape), bool)
        unsure[self.window] = between(cells, image.shape)
        asked[self.window] = doubled(neighbours.grown(thin(cells)), image.shape)
        asked[self.window] |= neighbours.grown(unsure[self.window])

        def look(pixels: np.ndarray) -> np.ndarray:
            return self.seen(lens.directions.take(pixels, axis=1).T)

        self.strange = searched(self.key, asked, unsure, look)
        # Of the planes of the patches, one point each.
        anchors = np.zeros_like(self.normals)
        anchors[self.patches.patch_of] = self.patches.corners[self.patches.faces[:, 0]]
        anchors[self.table, 2] = self.scene.table
        self.heights = ((anchors - lens.eye) * self.normals).sum(axis=1)

    def _seen_at(self, pixels: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Rays of some pixels, shape (3, n), and how far away what they show is, mm, shape (n,)."""
        keys, rays = self.key.take(pixels).astype(int), self.lens.directions.take(pixels, axis=1)
        slope = np.zeros(len(pixels), np.float32)
        for row, normal in zip(rays, self.normals.T, strict=True):
            slope += row * normal.take(keys)
        with np.errstate(divide="ignore", invalid="ignore"):
            away = self.heights.take(keys) / slope
        if self.lens.sees_beyond:
            ground = self.lens.ground_distance.take(pixels)
            away = np.where(keys == self.table, ground, away)
        return rays, away

    def distances(self) -> np.ndarray:
        """How far away what each pixel shows is, mm, shape (n,)."""
        return self._seen_at(np.arange(len(self.key)))[1]

    def places(self, pixels: np.ndarray) -> np.ndarray:
        """Just before what some pixels show, shape (3, n)."""
        rays, away = self._seen_at(pixels)
        return np.asarray(self.lens.eye[:, None] + (away - PULL_MM) * rays)

    def _key_pass(self) -> np.ndarray:
        """Share of the key that each pixel sees, shape (n,): all or nothing but at edges."""
        raster, cells = self.lens.grid(2), self.cells
        keys = cells.ravel()
        lit = self.is_lit.take(keys)
        is_open = self._open_table(self.lens.coarse_across, keys)
        coarse = is_open.astype(np.float32)
        some = np.flatnonzero(lit & ~is_open)
        coarse[some] = self._free(raster.pixels[some])
        image = coarse.reshape(cells.shape)
        seen = doubled(image, self.key_image.shape).ravel()
        unsure = between(image, self.key_image.shape, cells)
        asked = neighbours.grown(neighbours.grown(unsure))
        for mask in (unsure, asked):
            mask.ravel()[self.strange] = True
        searched(seen, asked, unsure, self._lit)
        where = np.flatnonzero(asked)
        where = where[self.is_lit.take(self.key.take(where))]
        total, count = neighbours.box_at(where, self.key_image, seen, np.ones_like(seen))
        seen[where] = total / count
        return seen

    def _lit(self, pixels: np.ndarray) -> np.ndarray:
        """Whether each of some pixels sees the key, bool."""
        found = self.is_lit.take(self.key.take(pixels))
        found[found] = self._free(pixels[found])
        return found

    def _free(self, pixels: np.ndarray) -> np.ndarray:
        return self.quick.free(self.key_origins(pixels), self.key_rays[0])

    def _sky_pass(self) -> np.ndarray:
        """Share of its sky that each pixel sees, shape (n,), from every fourth both ways."""
        sky = self._sky_at(4, None, np.zeros(0))[0]
        coarse = self.key_image[::4, ::4]
        for step, reach in SMOOTHED:
            sky = neighbours.smooth(coarse, sky, step, reach)
        # What none of the raster shows is lent by pixels beside; else it gets the mean of its
        # patch, or all of its sky.
        counts = np.bincount(coarse.ravel(), minlength=self.table + 1)
        sums = np.bincount(coarse.ravel(), sky.ravel(), minlength=self.table + 1)
        means = np.where(counts > 0, sums / np.maximum(counts, 1), 1).astype(np.float32)
        sky, lost = neighbours.upsample(self.cells, coarse, sky)
        sky.ravel()[lost] = means[self.cells.ravel()[lost]]
        shares = doubled(sky, self.key_image.shape).ravel()
        known = np.ones_like(shares)
        shares[self.strange] = known[self.strange] = 0
        total, count = neighbours.box_at(self.strange, self.key_image, shares, known)
        lent = np.where(count > 0, total / np.maximum(count, 1), means[self.key[self.strange]])
        shares[self.strange] = lent
        return shares

    def _as_table(self, sun: np.ndarray, sky: np.ndarray) -> np.ndarray:
        """What every pixel would show if it were table, shape (3, n)."""
        lights = self.lights[:, self.table]
        without_sky, of_sky = self.lens.open_table(lights)
        picture = of_sky * sky
        picture += without_sky
        dark = np.flatnonzero((sun != 1) & (self.key == self.table))
        lost = lights[0][:, None] * (1 - sun.take(dark))
        picture[:, dark] -= self.lens.table.take(dark, axis=1) * lost
        return picture

    def _smooth(self, picture: np.ndarray) -> None:
        """Average pixels that show several patches over their middles and their corners."""
        pixels, keys = cut_pixels(self, slivers=False)
        lender, found = lenders(self.key_image.ravel(), around(pixels, self.lens.size), keys)
        total, weight = picture.take(pixels, axis=1), np.ones(len(pixels), np.float32)
        for lent, is_there in zip(lender.T, found.T, strict=True):
            # What no pixel beside shows counts for nothing.
            share = np.float32(CORNER) * is_there
            total += picture.take(lent, axis=1) * share
            weight += share
        picture[:, pixels] = total / weight


def searched(
    values: np.ndarray,
    asked: np.ndarray,
    unsure: np.ndarray,
    look: Callable[[np.ndarray], np.ndarray],
) -> np.ndarray:
    """Look at pixels, and beside those that surprise; the numbers of all that are other, sorted.

    Parameters
    ----------
    values : what is supposed of each pixel, shape (n,); in place, what is found.
    asked : pixels to look at, shape (h, w), but for every second one both ways, which is known; in
        place, those looked at besides.
    unsure : pixels at which to be other is no surprise, shape (h, w).
    look : finds the values of some pixels.
    """
    known, others = np.zeros(asked.shape, bool), []
    known[::2, ::2] = True
    where = np.flatnonzero(asked & ~known)
    for _ in range(ROUNDS):
        found = look(where)
        other = where[found != values.take(where)]
        values[where] = found
        others.append(other)
        known.ravel()[where] = asked.ravel()[where] = True
        # What shows where all around agree is thin, and may go on beside.
        where = near(other[~unsure.ravel().take(other)], asked.shape)
        where = np.unique(where[~known.ravel().take(where)])
        if not len(where):
            break
    return np.sort(np.concatenate(others))


def near(pixels: np.ndarray, shape: tuple[int, ...]) -> np.ndarray:
    """Numbers of pixels at most two rows and columns away from any of some, some of them twice."""
    step, y, x = np.arange(-2, 3), *np.divmod(pixels, shape[1])
    rows = np.clip(y[:, None] + step, 0, shape[0] - 1)
    columns = np.clip(x[:, None] + step, 0, shape[1] - 1)
    return (rows[:, :, None] * shape[1] + columns[:, None]).ravel()


def between(
    image: np.ndarray, shape: tuple[int, int], patches: np.ndarray | None = None
) -> np.ndarray:
    """Which pixels lie between some of every second one both ways that differ, bool.

    Parameters
    ----------
    image : a value of every second pixel both ways.
    shape : rows and columns of all pixels.
    patches : what each of them shows, if differences between these do not count.
    """
    right, below = image[:, 1:] != image[:, :-1], image[1:] != image[:-1]
    if patches is not None:
        right &= patches[:, 1:] == patches[:, :-1]
        below &= patches[1:] == patches[:-1]
    found = np.zeros(shape, bool)
    rows, columns = slice(1, 2 * len(below), 2), slice(1, 2 * right.shape[1], 2)
    found[::2, columns], found[rows, ::2] = right, below
    found[rows, columns] = right[1:] | right[:-1] | below[:, 1:] | below[:, :-1]
    return found


def thin(cells: np.ndarray) -> np.ndarray:
    """Cells that differ from both beside them, left and right or above and below, bool."""
    right, below = cells[:, 1:] != cells[:, :-1], cells[1:] != cells[:-1]
    found = np.zeros(cells.shape, bool)
    found[:, 1:-1] = right[:, 1:] & right[:, :-1]
    found[1:-1] |= below[1:] & below[:-1]
    return found


def doubled(image: np.ndarray, shape: tuple[int, int]) -> np.ndarray:
    """Every pixel of an image four times, as many of them as an image of that shape has."""
    wide = np.empty((image.shape[0], shape[1]), image.dtype)
    wide[:, ::2], wide[:, 1::2] = image, image[:, : shape[1] // 2]
    return np.repeat(wide, 2, axis=0)[: shape[0]]


def draw(scene: Scene, lens: Lens) -> np.ndarray:
    """One draft, uint8, shape (h, w, 3)."""
    return pixels_of(DraftFrame(scene, lens))
