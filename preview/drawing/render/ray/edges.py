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
    lens = frame.lens
    pixels, _ = cut_pixels(frame)
    if not len(pixels):
        return
    places = places_of_grid(frame.recipe.grid)
    keys = frame.seen(lens.fans(pixels, places)).reshape(len(pixels), -1)
    lender, found = lenders(frame.key_image.ravel(), around(pixels, lens.size), keys)
    colours = picture.take(lender, axis=1)
    pixel, place = np.nonzero(~found)
    if len(pixel):
        owner = pixels[pixel]
        rays = lens.rays_at(owner, places[:, place])
        colours[:, pixel, place] = _shade_alone(frame, keys[pixel, place], owner, rays)
    picture[:, pixels] = colours.mean(axis=2)


def cut_pixels(frame: FilmFrame, slivers: bool = True) -> tuple[np.ndarray, np.ndarray]:
    """Pixels that an edge cuts, and what their corners show, shapes (m,) and (m, 4).

    Those beside an edge whose corners show what their middle shows are not cut by it.

    Parameters
    ----------
    slivers : corners are asked for too on which the four pixels around agree: something thinner
        than a pixel may pass there.
    """
    lens, image = frame.lens, frame.key_image[frame.window]
    inside = np.flatnonzero(neighbours.edges(image))
    # Corners are numbered like pixels, one more of them a row and a column; four pixels share each.
    first, across = inside + inside // image.shape[1], image.shape[1] + 1
    corners = np.stack([first, first + 1, first + across, first + across + 1])
    wide = np.pad(image, 1, mode="edge")
    seen = wide[1:, 1:].copy()
    asked = (wide[1:, 1:] != wide[:-1, 1:]) | (wide[1:, 1:] != wide[1:, :-1])
    asked |= wide[1:, 1:] != wide[:-1, :-1]
    if slivers:
        asked.ravel()[corners] = True
    rows, columns = frame.window
    down, right = np.nonzero(asked)
    rays = lens.corner_rays(down + rows.start, right + columns.start)
    seen[down, right] = frame.seen(rays)
    at = seen.ravel().take(corners)
    cut = np.flatnonzero((at != image.ravel().take(inside)).any(axis=0))
    return lens.numbers[frame.window].ravel().take(inside.take(cut)), at.take(cut, axis=1).T


def around(pixels: np.ndarray, size: tuple[int, int]) -> np.ndarray:
    """Each pixel and its eight neighbours, nearest first, clipped to the picture, shape (9, n)."""
    width, height = size
    x, y = pixels % width, pixels // width
    steps = [(0, 0), (-1, 0), (1, 0), (0, -1), (0, 1), (-1, -1), (1, -1), (-1, 1), (1, 1)]
    columns = {dx: np.clip(x + dx, 0, width - 1) for dx in (-1, 0, 1)}
    rows = {dy: np.clip(y + dy, 0, height - 1) * width for dy in (-1, 0, 1)}
    return np.stack([rows[dy] + columns[dx] for dx, dy in steps])


def lenders(
    key: np.ndarray, around: np.ndarray, wanted: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """For each sample the nearest neighbour that shows its patch, and whether there is one.

    Parameters
    ----------
    around : shape (9, n), nearest first.
    wanted : patches of the samples, shape (n, s).
    """
    samples = wanted.shape[1]
    lender = np.repeat(around[0].astype(np.int32), samples)
    found = (key.take(around[0])[:, None] == wanted).ravel()
    left = np.flatnonzero(~found)
    pixel, patch = left // samples, wanted.ravel().take(left)
    for pixels in around[1:]:
        mine = pixels.take(pixel)
        same = key.take(mine) == patch
        here = left[same]
        lender[here], found[here] = mine[same], True
        left, pixel, patch = left[~same], pixel[~same], patch[~same]
    return lender.reshape(wanted.shape), found.reshape(wanted.shape)


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
