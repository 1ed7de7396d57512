"""Depth of field: what lies before or behind the plane in focus is blurred as by a real lens.

Rays run from places all over the lens through the point in focus of a pixel. What each of them
meets is shown in the light in which the sharp picture shows it; where that does not see it, in the
mean light of its patch. A point at the distance s of a lens that is focused at the distance f
spreads, in the plane in focus, over a disc of the diameter

    A |s - f| / s,

with A the diameter of the lens. Source: the thin lens of any optics textbook; A. R. Greenleaf,
Photographic Optics, MacMillan 1950, pp. 25-27, has depth of field from it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.shot.camera import Camera

from . import ground as grounds
from .edges import around, lenders
from .sampling import GOLDEN, jitter
from .studio import RayStudio

# Blurred over less than this many pixels, a place is shown as in the sharp picture.
LEAST_PIXELS = 0.7
# Rays for each pixel that is blurred, by the most pixels over which anything near it is.
RAYS = ((2.5, 24), (6.0, 48), (np.inf, 96))
# What is near a pixel: blocks of so many pixels both ways, and those beside.
BLOCK = 16
# Pixels whose rays are in memory at once.
AT_ONCE = 60_000
# What misses the table is in the backdrop, so far away that only its direction counts.
FAR_MM = np.float32(1e6)


@dataclass(frozen=True, eq=False)
class Sharp:
    """A picture taken through a pinhole.

    Parameters
    ----------
    light : linear, shape (h, w, 3).
    plain : the same without smooth edges, each pixel of the patch in its middle, shape (h, w, 3).
    key : that patch, shape (h, w).
    distance : how far it is from the eye, mm, shape (h, w).
    """

    light: np.ndarray
    plain: np.ndarray
    key: np.ndarray
    distance: np.ndarray

    @staticmethod
    def joined(parts: list[Sharp]) -> Sharp:
        """The whole of parts that lie below each other."""
        names = ("light", "plain", "key", "distance")
        return Sharp(*(np.concatenate([getattr(part, name) for part in parts]) for name in names))


def blur(camera: Camera, depth: np.ndarray, height: int) -> np.ndarray:
    """Diameter over which a point at that depth (mm) spreads, in pixels of a picture that high."""
    spread = camera.aperture * np.abs(depth - camera.distance) / np.maximum(depth, 1e-6)
    return np.asarray(spread / camera.millimetres_per_pixel(height))


def blurred(studio: RayStudio, sharp: Sharp, rows: range) -> np.ndarray:
    """Linear light of some rows through the lens, shape (rows, w, 3), float32."""
    width, height = studio.size
    most = _most_near(blur(studio.camera, _depths(studio.camera, sharp), height))
    most = most[rows.start : rows.stop]
    light = sharp.light[rows.start : rows.stop].reshape(-1, 3).copy()
    means = _means(sharp, studio.table + 1)
    low = LEAST_PIXELS
    for high, count in RAYS:
        pixels = np.flatnonzero((most.ravel() >= low) & (most.ravel() < high))
        for start in range(0, len(pixels), AT_ONCE):
            some = pixels[start : start + AT_ONCE]
            light[some] = _through_lens(studio, sharp, means, some + rows.start * width, count)
        low = high
    return light.reshape(len(rows), width, 3)


def _depths(camera: Camera, sharp: Sharp) -> np.ndarray:
    """How far what each pixel shows is along the way that the camera looks, mm, shape (h, w)."""
    height, width = sharp.distance.shape
    reach = np.tan(camera.field / 2) / (height / 2)
    x = (np.arange(width) + 0.5 - width / 2) * reach
    y = (np.arange(height) + 0.5 - height / 2) * reach
    return np.minimum(sharp.distance, FAR_MM) / np.sqrt(1 + x**2 + y[:, None] ** 2)


def _most_near(spread: np.ndarray) -> np.ndarray:
    """The most that anything spreads in the block of each pixel and those beside, same shape."""
    height, width = spread.shape
    rows, columns = -(-height // BLOCK), -(-width // BLOCK)
    padded = np.zeros((rows * BLOCK, columns * BLOCK), spread.dtype)
    padded[:height, :width] = spread
    blocks = padded.reshape(rows, BLOCK, columns, BLOCK).max(axis=(1, 3))
    wide = np.pad(blocks, 1)
    near = np.max([wide[y : y + rows, x : x + columns] for y in range(3) for x in range(3)], axis=0)
    return np.repeat(np.repeat(near, BLOCK, 0), BLOCK, 1)[:height, :width]


def _means(sharp: Sharp, count: int) -> np.ndarray:
    """Mean light of each patch where it is seen, shape (count, 3)."""
    key = sharp.key.ravel()
    seen = np.maximum(np.bincount(key, minlength=count), 1)
    light = sharp.plain.reshape(-1, 3).T
    sums = [np.bincount(key, each, minlength=count) for each in light]
    return np.stack([each / seen for each in sums], axis=1).astype(np.float32)


def _through_lens(
    studio: RayStudio, sharp: Sharp, means: np.ndarray, pixels: np.ndarray, count: int
) -> np.ndarray:
    """Mean light of some pixels over so many places on the lens, shape (n, 3)."""
    camera, (width, height) = studio.camera, studio.size
    right, up, forward = camera.axes.astype(np.float32)
    reach = np.float32(np.tan(camera.field / 2) / (height / 2))
    row, column = (each.astype(np.float32) for each in np.divmod(pixels, width))
    total = np.zeros((len(pixels), 3), np.float32)
    for k in range(count):
        # Even over the lens, and in another order even over the pixel.
        radius = camera.aperture / 2 * np.sqrt((k + 0.5) / count)
        turn = k * GOLDEN
        place = np.float32(radius * np.cos(turn)) * right + np.float32(radius * np.sin(turn)) * up
        across, down = jitter(k)
        x = (column + np.float32(across) - np.float32(width / 2)) * reach
        y = (np.float32(height / 2) - row - np.float32(down)) * reach
        sharpest = forward + x[:, None] * right + y[:, None] * up
        rays = np.float32(camera.distance) * sharpest - place
        rays /= np.sqrt((rays**2).sum(axis=1, keepdims=True))
        origins = np.broadcast_to(studio.eye + place, rays.shape)
        total += _shown(studio, sharp, means, np.ascontiguousarray(origins, np.float32), rays)
    return total / np.float32(count)


def _shown(
    studio: RayStudio, sharp: Sharp, means: np.ndarray, origins: np.ndarray, rays: np.ndarray
) -> np.ndarray:
    """What rays from the lens show, shape (n, 3)."""
    width, height = studio.size
    hits = studio.tracer.nearest(origins, rays)
    key = studio.patch_of[hits.triangle]
    ground = grounds.distance(studio.scene, studio.camera, rays.T)
    # The table from a place on the lens that is a little higher or lower than its middle.
    level = (origins[:, 2] - studio.scene.table) / (studio.eye[2] - studio.scene.table)
    away = np.where(hits.triangle < 0, np.minimum(ground * level, FAR_MM), hits.distance)
    spots = studio.camera.project(origins + away[:, None] * rays, studio.size)
    spots = np.nan_to_num(spots, nan=-1.0)
    column = np.clip(spots[:, 0].astype(int), 0, width - 1)
    row = np.clip(spots[:, 1].astype(int), 0, height - 1)
    near = around(row * width + column, (width, height))
    lender, found = lenders(sharp.key.ravel(), near, key[:, None])
    lent = sharp.plain.reshape(-1, 3)[lender[:, 0]]
    return np.where(found, lent, means[key])
