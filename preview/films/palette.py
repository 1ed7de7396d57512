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


def shared(frames: Iterable[tuple[np.ndarray, int]], pixels: int) -> np.ndarray:
    """The palette of a film: an octree as a start, then k-means on the film's colours.

    Parameters
    ----------
    frames : uint8, shape (h, w, 3) each, and how often each is shown.
    pixels : of the whole film; decides which share of them is looked at.

    Returns
    -------
    Shape (255, 3), uint8.
    """
    step = max(1, pixels // SAMPLES)
    if step % 2 == 0:
        step += 1  # an even step would see only some columns of a picture
    codes: np.ndarray = np.empty(0, np.int32)
    weights: np.ndarray = np.empty(0)
    for frame, shown in frames:
        some, count = np.unique(packed(frame).ravel()[::step], return_counts=True)
        both = np.concatenate([codes, some])
        codes, owner = np.unique(both, return_inverse=True)
        weights = np.bincount(owner, np.concatenate([weights, shown * count]))
    colours = unpacked(codes)
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
    for _ in range(ROUNDS):
        owner = _nearest(colours, centres)
        mass = np.bincount(owner, weights, len(centres))
        total = np.stack(
            [np.bincount(owner, weights * colours[:, k], len(centres)) for k in range(3)], axis=1
        )
        kept = mass > 0
        empty = np.flatnonzero(~kept)
        if len(empty):
            # A centre that owns nothing moves to the colours that are served worst.
            gap = ((colours - centres[owner]) ** 2).sum(axis=1)
            worst = np.argsort(-(gap * weights), kind="stable")[: len(empty)]
            centres[empty] = colours[worst]
        centres[kept] = total[kept] / mass[kept, None]
    return np.rint(centres).astype(np.uint8)


# Rows of one product of matrices: few enough that it is not split among threads, which would take
# the cores of the processes that draw.
_ROWS = 512


def _nearest(colours: np.ndarray, centres: np.ndarray) -> np.ndarray:
    """Number of the nearest centre of each colour, the first of equally near ones, shape (n,).

    Whole numbers up to 255 are compared exactly: |c - m|² grows with |m|² / 2 - c · m, whose halves
    float32 holds without rounding.

    Parameters
    ----------
    colours, centres : shapes (n, 3) and (m, 3).
    """
    rows, columns = colours.astype(np.float32), centres.T.astype(np.float32)
    half = (columns * columns).sum(axis=0) / 2
    found = np.empty(len(rows), np.intp)
    for start in range(0, len(rows), _ROWS):
        part = slice(start, start + _ROWS)
        found[part] = (half - rows[part] @ columns).argmin(axis=1)
    return found


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
        self._palette = palette
        self._known = np.full(1 << 24, -1, np.int16)

    def indices(self, frame: np.ndarray) -> np.ndarray:
        """Number of the nearest colour for each pixel, uint8, shape (h, w)."""
        codes = packed(frame)
        found = self._known[codes]
        if (found < 0).any():
            new = np.unique(codes[found < 0])
            self._known[new] = _nearest(unpacked(new), self._palette)
            found = self._known[codes]
        return found.astype(np.uint8)
