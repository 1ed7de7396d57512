"""Several places inside a pixel of a still: along edges and over pictures, in the light beside."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.drawing.colour import encode

from . import neighbours
from .edges import around, lenders
from .falling import PixelView, by_group
from .ground import Missed
from .material import Texture, paint
from .sampling import jitter
from .studio import RayStudio, Sky

# Places looked at in every printed pixel to find how much its picture changes.
FEW = 4
# Pixels whose samples are in memory at once.
AT_ONCE = 16_384


@dataclass(frozen=True, eq=False)
class Lit:
    """The light on the pixels of a view.

    Parameters
    ----------
    falling : shape (3, n).
    kept : share of it that the tooth of the paper keeps, shape (n,).
    ground : what lies below and behind each pixel.
    rays, sky : directions for samples that no pixel lends light to, to the key and all round.
    """

    falling: np.ndarray
    kept: np.ndarray
    ground: Missed
    rays: np.ndarray
    sky: Sky

    def shown(
        self, studio: RayStudio, view: PixelView, inside: np.ndarray, calm: float
    ) -> np.ndarray:
        """Linear light that the pixels show if each shows one patch, shape (3, n), float32.

        Parameters
        ----------
        inside : places looked at in printed pixels, some of them or all, shape (2, s).
        calm : see :func:`picture`.
        """
        colour = studio.albedo.take(view.key, axis=0).T
        for texture in studio.textures:
            on = np.flatnonzero((view.key == texture.patch) & view.near(0))
            if len(on):
                colour[:, on] = _printed(studio, texture, view.numbers[on], inside, calm)
        shown = colour * (self.falling * self.kept)
        if studio.lamps.count:
            shown += studio.emitted.take(view.key, axis=0).T
        table = np.flatnonzero(view.key == studio.table)
        shown[:, table] *= self.ground.table[:, table]
        shown[:, table] += self.ground.backdrop[:, table]
        return np.asarray(shown)


def places(count: int) -> np.ndarray:
    """The first `count` places inside a pixel, every part of them even, shape (2, count)."""
    return np.array([jitter(k) for k in range(count)], np.float32).T


def picture(
    studio: RayStudio, view: PixelView, lit: Lit, most: int, calm: float
) -> tuple[np.ndarray, np.ndarray]:
    """Linear light that the pixels show, shape (3, n), float32; and that of their middles alone.

    Parameters
    ----------
    most : places looked at in a pixel that shows more than one thing.
    calm : standard error, in levels of 8 bits, at which a printed picture needs no more of them.
    """
    inside = places(most)
    shown = lit.shown(studio, view, inside, calm)
    plain = shown.copy() if studio.camera.aperture else shown
    pixels, keys = _edges(studio, view, inside)
    for start in range(0, len(pixels), AT_ONCE):
        some = slice(start, start + AT_ONCE)
        shown[:, pixels[some]] = _along_edges(studio, view, lit, pixels[some], keys[some], inside)
    return shown, plain


def _printed(
    studio: RayStudio, texture: Texture, numbers: np.ndarray, inside: np.ndarray, calm: float
) -> np.ndarray:
    """Mean colours of pixels of one patch, shape (3, n)."""
    few = _painted(studio, texture, numbers, inside[:, :FEW])
    mean = few.mean(axis=1)
    error = few.std(axis=1) / np.float32(np.sqrt(FEW - 1))
    busy = np.flatnonzero((encode(mean + error) - encode(mean)).max(axis=1) > calm)
    for start in range(0, len(busy), AT_ONCE):
        some = busy[start : start + AT_ONCE]
        rest = _painted(studio, texture, numbers[some], inside[:, FEW:]).sum(axis=1)
        mean[some] = (few[some].sum(axis=1) + rest) / inside.shape[1]
    return mean.T


def _painted(
    studio: RayStudio, texture: Texture, numbers: np.ndarray, inside: np.ndarray
) -> np.ndarray:
    """Colours at places inside pixels of one patch, shape (n, s, 3)."""
    rays = studio.rays(numbers, inside)
    points = studio.on_planes(rays, np.full(len(rays), texture.patch))
    return paint(texture, points).reshape(len(numbers), inside.shape[1], 3)


def _edges(studio: RayStudio, view: PixelView, inside: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Pixels that show more than one patch, and what they show at each place; (m,), (m, s)."""
    paper = neighbours.grown(neighbours.grown((view.key != studio.table).reshape(view.shape)))
    pixels = np.flatnonzero(paper.ravel() & view.near(0))
    kin = view.kin.ravel()
    cut = (_at_corners(studio, view, pixels) != kin[pixels, None]).any(axis=1)
    cut |= neighbours.edges(view.kin).ravel()[pixels]
    pixels = pixels[cut]
    return pixels, _keys(studio, view.numbers[pixels], inside)


def _at_corners(studio: RayStudio, view: PixelView, pixels: np.ndarray) -> np.ndarray:
    """The kin that the four corners of pixels show, shape (n, 4); four pixels share each."""
    height, width = view.shape
    down, across = np.divmod(pixels, width)
    mine = (down * (width + 1) + across)[:, None] + [0, 1, width + 1, width + 2]
    wanted = np.zeros((height + 1) * (width + 1), bool)
    wanted[mine] = True
    corners = np.flatnonzero(wanted)
    rows, columns = np.divmod(corners, width + 1)
    rays = studio.corner_rays(rows + view.first[0], columns + view.first[1])
    hit = studio.quick.first(np.broadcast_to(studio.eye, rays.shape), rays)
    kin = np.empty(len(wanted), studio.kin.dtype)
    kin[corners] = studio.kin[studio.patch_of[hit]]
    return kin[mine]


def _keys(studio: RayStudio, numbers: np.ndarray, inside: np.ndarray) -> np.ndarray:
    """Patches seen at places inside pixels, shape (n, s)."""
    rays = studio.rays(numbers, inside)
    hit = studio.quick.first(np.broadcast_to(studio.eye, rays.shape), rays)
    return studio.patch_of[hit].reshape(len(numbers), inside.shape[1])


def _along_edges(
    studio: RayStudio,
    view: PixelView,
    lit: Lit,
    pixels: np.ndarray,
    keys: np.ndarray,
    inside: np.ndarray,
) -> np.ndarray:
    """Linear light of pixels that show the patches `keys` (m, s), shape (3, m)."""
    height, width = view.shape
    near = around(pixels, (width, height))
    lender, found = lenders(view.kin.ravel(), near, studio.kin[keys])
    light = lit.falling.take(lender, axis=1)
    colour = studio.albedo.take(keys, axis=0)
    pixel, place = np.nonzero(~found)
    if len(pixel):
        spots = _Spots(view.numbers[pixels], inside, pixel, place)
        light[:, pixel, place] = _alone(studio, lit, spots, keys[pixel, place])
    for texture in studio.textures:
        pixel, place = np.nonzero(keys == texture.patch)
        if len(pixel):
            spots = _Spots(view.numbers[pixels], inside, pixel, place)
            rays = spots.rays(studio)
            points = studio.on_planes(rays, np.full(len(rays), texture.patch))
            colour[pixel, place] = paint(texture, points)
    light *= np.moveaxis(colour, -1, 0)
    if studio.lamps.count:
        light += np.moveaxis(studio.emitted.take(keys, axis=0), -1, 0)
    table = keys == studio.table
    ground = lit.ground
    np.multiply(light, ground.table[:, pixels, None], out=light, where=table)
    np.add(light, ground.backdrop[:, pixels, None], out=light, where=table)
    return np.asarray(light.mean(axis=2))


@dataclass(frozen=True, eq=False)
class _Spots:
    """Some places in some pixels.

    Parameters
    ----------
    numbers : of the pixels, shape (m,).
    inside : the places, shape (2, s).
    pixel, place : which of both, shape (k,) each.
    """

    numbers: np.ndarray
    inside: np.ndarray
    pixel: np.ndarray
    place: np.ndarray

    def rays(self, studio: RayStudio) -> np.ndarray:
        """Through each of the spots, shape (k, 3)."""
        return studio.rays_at(self.numbers[self.pixel], self.inside[:, self.place])

    def some(self, which: np.ndarray) -> _Spots:
        """Some of the spots."""
        return _Spots(self.numbers, self.inside, self.pixel[which], self.place[which])


def _alone(studio: RayStudio, lit: Lit, spots: _Spots, keys: np.ndarray) -> np.ndarray:
    """Light on what no pixel beside shows, found once for each pixel and patch, shape (3, k)."""
    pair = spots.pixel * (studio.table + 1) + keys
    _, first, back = np.unique(pair, return_index=True, return_inverse=True)
    keys, spots = keys[first], spots.some(first)
    points = studio.on_planes(spots.rays(studio), keys)
    rows, columns = np.divmod(spots.numbers[spots.pixel], studio.drawn[0])
    sun, sky = np.zeros(len(keys), np.float32), np.zeros((studio.rows, len(keys)), np.float32)
    for group, some in enumerate(by_group(rows, columns)):
        rays = lit.rays[group]
        sun[some] = studio.key_seen(points[some], keys[some], rays) / np.float32(len(rays))
        sky[:, some] = studio.sky_sums(points[some], keys[some], group, lit.sky)
    sun *= studio.is_lit[keys]
    light, _ = studio.falling(keys, points, sun, studio.sky_falling(keys, sky, points))
    return light[:, back]
