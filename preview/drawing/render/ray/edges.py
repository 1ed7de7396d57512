"""Edges of film frames: finer samples where patches meet, lit as the pixels beside them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from . import neighbours
from .film_paper import lamps_at, mirroring
from .lens import places_of_grid
from .trace import PULL_MM

if TYPE_CHECKING:
    from .film import FilmFrame


def smooth_edges(frame: FilmFrame, picture: np.ndarray) -> None:
    """Average finer samples along the edges between patches, in place.

    Parameters
    ----------
    picture : linear light, shape (3, n), float32.
    """
    lens, grid = frame.lens, frame.recipe.grid
    pixels = np.flatnonzero(neighbours.edges(frame.key_image))
    pixels, keys = _samples(frame, pixels, grid)
    if not len(pixels):
        return
    lender, found = lenders(frame.key_image.ravel(), around(pixels, lens.size), keys)
    colours = picture.take(lender, axis=1)
    pixel, place = np.nonzero(~found)
    if len(pixel):
        rays = lens.sub_rays(pixels, places_of_grid(grid)).reshape(*keys.shape, 3)[pixel, place]
        colours[:, pixel, place] = _shade_alone(frame, keys[pixel, place], pixels[pixel], rays)
    picture[:, pixels] = colours.mean(axis=2)


def _samples(frame: FilmFrame, pixels: np.ndarray, grid: int) -> tuple[np.ndarray, np.ndarray]:
    """The pixels that show several patches, and what each cell of a grid inside them shows.

    Parameters
    ----------
    pixels : beside an edge. Those whose corners show what their middle shows are not cut by it.

    Returns
    -------
    Shapes (m,) and (m, grid²).
    """
    places, cells = places_of_grid(grid), np.arange(grid * grid)
    corners = cells[np.isin(cells % grid, (0, grid - 1)) & np.isin(cells // grid, (0, grid - 1))]
    at_corners = _keys(frame, pixels, places[:, corners])
    own = frame.key_image.ravel()
    cut = (at_corners != own[pixels][:, None]).any(axis=1)
    pixels = pixels[cut]
    keys = np.empty((len(pixels), len(cells)), own.dtype)
    keys[:, corners] = at_corners[cut]
    rest = np.setdiff1d(cells, corners)
    if grid % 2:
        # The ray through the middle of the pixel has been traced.
        keys[:, len(cells) // 2] = own[pixels]
        rest = rest[rest != len(cells) // 2]
    if len(rest):
        keys[:, rest] = _keys(frame, pixels, places[:, rest])
    return pixels, keys


def _keys(frame: FilmFrame, pixels: np.ndarray, places: np.ndarray) -> np.ndarray:
    """Patches that some places inside pixels show, shape (m, s)."""
    rays = frame.lens.sub_rays(pixels, places)
    hit = frame.quick.first(np.broadcast_to(frame.lens.eye, rays.shape), rays)
    return frame.patch_of.astype(np.int16)[hit].reshape(len(pixels), places.shape[1])


def around(pixels: np.ndarray, size: tuple[int, int]) -> np.ndarray:
    """Each pixel and its eight neighbours, nearest first, clipped to the picture, shape (9, n)."""
    width, height = size
    x, y = pixels % width, pixels // width
    steps = [(0, 0), (-1, 0), (1, 0), (0, -1), (0, 1), (-1, -1), (1, -1), (-1, 1), (1, 1)]
    return np.stack(
        [np.clip(y + dy, 0, height - 1) * width + np.clip(x + dx, 0, width - 1) for dx, dy in steps]
    )


def lenders(
    key: np.ndarray, around: np.ndarray, wanted: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """For each sample the nearest neighbour that shows its patch, and whether there is one.

    Parameters
    ----------
    around : shape (9, n), nearest first.
    wanted : patches of the samples, shape (n, s).
    """
    lender = np.repeat(around[0].astype(np.int32)[:, None], wanted.shape[1], axis=1)
    found = np.zeros(wanted.shape, bool)
    for pixels in around:
        here = (key[pixels][:, None] == wanted) & ~found
        np.copyto(lender, pixels.astype(np.int32)[:, None], where=here)
        found |= here
    return lender, found


def _shade_alone(
    frame: FilmFrame, keys: np.ndarray, owner: np.ndarray, rays: np.ndarray
) -> np.ndarray:
    """Shade samples of patches that no pixel beside them shows, once a pixel and patch.

    Returns
    -------
    Shape (3, n).
    """
    keys = keys.astype(int)
    pair = owner * (frame.table + 1) + keys
    _, first, back = np.unique(pair, return_index=True, return_inverse=True)
    keys, rays, owner = keys[first], rays[first], owner[first]
    points = frame.lens.eye + _distance(frame, keys, rays)[:, None] * rays
    sun, sky = frame.key_at(points, keys), frame.sky_at(points, keys)
    sun, sky = mirroring(frame, keys, rays, sun, sky)
    light = frame.light_on(keys, sun, sky, frame.albedo)
    if frame.lamps.count:
        light += lamps_at(frame, points, keys) * frame.albedo[keys].T + frame.emitted[keys].T
    ground = np.flatnonzero(keys == frame.table)
    light[:, ground] = frame.on_table(light[:, ground], owner[ground])
    return light[:, back]


def _distance(frame: FilmFrame, keys: np.ndarray, rays: np.ndarray) -> np.ndarray:
    """Just before where rays meet the planes of their patches, mm."""
    anchors = [surface.translation for surface in frame.solid]
    planes = np.array([*anchors, [0.0, 0.0, frame.scene.table]], np.float32)
    normals = frame.normals[keys]
    slope = (rays * normals).sum(axis=1)
    height = ((planes[keys] - frame.lens.eye) * normals).sum(axis=1)
    away = height / np.where(np.abs(slope) > 1e-6, slope, np.float32(-1e-6))
    return (away - PULL_MM).astype(np.float32)
