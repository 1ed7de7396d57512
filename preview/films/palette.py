"""One palette of 255 colours for a whole film, and the exact nearest of them for every pixel.

A palette for each frame makes still surfaces flicker, and so does error diffusion; one palette and
the nearest colour keep every pixel that does not change exactly as it was.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from PIL import Image

COLOURS = 255  # of 256; the last stands for "as in the frame before"
# Enough to see every shade, few enough to sort in a blink.
SAMPLES = 1_500_000
ROUNDS = 14


def shared(frames: Iterable[np.ndarray], pixels: int) -> np.ndarray:
    """The palette of a film: an octree as a start, then k-means on the film's colours.

    Parameters
    ----------
    frames : uint8, shape (h, w, 3) each.
    pixels : of the whole film; decides which share of them is looked at.

    Returns
    -------
    Shape (255, 3), uint8.
    """
    step = max(1, pixels // SAMPLES)
    if step % 2 == 0:
        step += 1  # an even step would see only some columns of a picture
    counts = np.zeros(1 << 24, np.int32)
    for frame in frames:
        some = packed(frame).ravel()[::step]
        codes, count = np.unique(some, return_counts=True)
        counts[codes] += count.astype(np.int32)
    codes = np.flatnonzero(counts)
    colours, weights = unpacked(codes), counts[codes].astype(float)
    if len(codes) <= COLOURS:
        return np.resize(colours, (COLOURS, 3)).astype(np.uint8)
    # Large plain areas must not take the whole palette from small vivid pieces.
    weights = weights**0.85
    return _k_means(colours.astype(float), weights, _octree(colours, weights))


def _octree(colours: np.ndarray, weights: np.ndarray) -> np.ndarray:
    share = weights / weights.sum()
    repeats = np.maximum(np.rint(share * 400_000), 1).astype(int)
    row = np.repeat(colours, repeats, axis=0).astype(np.uint8)[None]
    image = Image.fromarray(row).quantize(COLOURS, method=Image.Quantize.FASTOCTREE)
    found = np.array(image.getpalette(), float).reshape(-1, 3)[:COLOURS]
    if len(found) < COLOURS:
        heavy = np.argsort(-weights, kind="stable")[: COLOURS - len(found)]
        found = np.concatenate([found, colours[heavy]])
    return found


def _k_means(colours: np.ndarray, weights: np.ndarray, centres: np.ndarray) -> np.ndarray:
    from scipy.spatial import cKDTree

    for _ in range(ROUNDS):
        gap, owner = cKDTree(centres).query(colours)
        mass = np.bincount(owner, weights, len(centres))
        total = np.stack(
            [np.bincount(owner, weights * colours[:, k], len(centres)) for k in range(3)], axis=1
        )
        kept = mass > 0
        centres[kept] = total[kept] / mass[kept, None]
        # A centre that owns nothing moves to the colours that are served worst.
        worst = np.argsort(-(gap**2 * weights), kind="stable")[: int((~kept).sum())]
        centres[~kept] = colours[worst]
    return np.rint(centres).astype(np.uint8)


def packed(frame: np.ndarray) -> np.ndarray:
    """Colours as 24-bit numbers, int32; drops the last axis."""
    wide = frame.astype(np.int32)
    return (wide[..., 0] << 16) | (wide[..., 1] << 8) | wide[..., 2]


def unpacked(codes: np.ndarray) -> np.ndarray:
    """24-bit numbers (n,) as colours, shape (n, 3)."""
    return np.stack([codes >> 16, (codes >> 8) & 255, codes & 255], axis=1)


class Matcher:
    """Finds the nearest colour of a palette, exactly, and remembers what it has found."""

    def __init__(self, palette: np.ndarray) -> None:
        from scipy.spatial import cKDTree

        self._tree = cKDTree(palette.astype(float))
        self._known = np.full(1 << 24, -1, np.int16)

    def indices(self, frame: np.ndarray) -> np.ndarray:
        """Number of the nearest colour for each pixel, uint8, shape (h, w)."""
        codes = packed(frame)
        found = self._known[codes]
        if (found < 0).any():
            new = np.unique(codes[found < 0])
            self._known[new] = self._tree.query(unpacked(new).astype(float))[1]
            found = self._known[codes]
        return found.astype(np.uint8)
