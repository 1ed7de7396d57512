"""What a lens spreads of very bright light: the halo about a lit window at night.

How much and how far is chosen by eye; no source.
"""

from __future__ import annotations

import numpy as np

# Light above this spreads, up to so much.
FROM, MOST = 0.85, 6.0
# How far it spreads, as a share of the height of the picture, and how much of it.
HALOS = ((0.010, 0.10), (0.045, 0.16))
# The picture is looked at in so many rows or a few more.
ROWS = 160


def glare(light: np.ndarray) -> np.ndarray:
    """Linear light with halos about what is very bright, shape (3, h, w), float32."""
    height, width = light.shape[1:]
    step = max(1, height // ROWS)
    excess = np.clip(light - np.float32(FROM), 0, np.float32(MOST - FROM))
    if not excess.any():
        return light
    rows, columns = -(-height // step), -(-width // step)
    padded = np.zeros((3, rows * step, columns * step), np.float32)
    padded[:, :height, :width] = excess
    small = padded.reshape(3, rows, step, columns, step).mean(axis=(2, 4))
    halo = np.zeros_like(small)
    for far, share in HALOS:
        halo += np.float32(share) * _spread(small, max(1, round(far * height / step)))
    return np.asarray(light + _enlarged(halo, step, (height, width)), np.float32)


def _spread(image: np.ndarray, reach: int) -> np.ndarray:
    """Three means over squares of 2 reach + 1 pixels: nearly a Gaussian; dark beyond the edge."""
    for _ in range(3):
        for axis in (1, 2):
            pad = [(0, 0)] * 3
            pad[axis] = (reach + 1, reach)
            sums = np.pad(image, pad).cumsum(axis=axis, dtype=np.float64)
            ends = [np.arange(2 * reach + 1, sums.shape[axis]), np.arange(image.shape[axis])]
            last, before = (np.take(sums, end, axis=axis) for end in ends)
            image = ((last - before) / (2 * reach + 1)).astype(np.float32)
    return image


def _enlarged(image: np.ndarray, step: int, shape: tuple[int, int]) -> np.ndarray:
    """An image `step` times as large, between its pixels by straight lines."""
    for axis, length in enumerate(shape, start=1):
        at = np.clip((np.arange(length) + 0.5) / step - 0.5, 0, image.shape[axis] - 1)
        low = np.minimum(at.astype(int), image.shape[axis] - 1)
        high = np.minimum(low + 1, image.shape[axis] - 1)
        share = (at - low).astype(np.float32).reshape([-1 if k == axis else 1 for k in range(3)])
        image = np.take(image, low, axis) * (1 - share) + np.take(image, high, axis) * share
    return image
