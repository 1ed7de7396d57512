"""One palette of 255 colours for a whole film, and the best one or two of them for every pixel.

A palette for each frame makes still surfaces flicker, and so does error diffusion; one palette, and
a mixture of two of its colours that depends on colour and place alone, keep every pixel that does
not change exactly as it was. Where two colours lie so near that their mixture is no grain, they
take turns in squares of four pixels; without that, wide soft shades show as bands.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable

import numpy as np

COLOURS = 255  # of 256; the last stands for "as in the frame before"
# Enough to see every shade, few enough to sort in a blink.
SAMPLES = 1_500_000
ROUNDS = 14


def shared(frames: Iterable[tuple[np.ndarray, int]], length: int) -> np.ndarray:
    """The palette of a film: its colours split where they spread most, then k-means.

    Parameters
    ----------
    frames : uint8, shape (h, w, 3) each, and how often each is shown.
    length : of the film, frames, or of the part that is looked at; decides which share of the
        pixels counts.

    Returns
    -------
    Shape (255, 3), uint8.
    """
    codes: np.ndarray = np.empty(0, np.int32)
    weights: np.ndarray = np.empty(0)
    for frame, shown in frames:
        step = max(1, length * frame.shape[0] * frame.shape[1] // SAMPLES)
        step += step % 2 == 0  # an even step would see only some columns of a picture
        some, count = np.unique(packed(frame).ravel()[::step], return_counts=True)
        both = np.concatenate([codes, some])
        codes, owner = np.unique(both, return_inverse=True)
        weights = np.bincount(owner, np.concatenate([weights, shown * count]))
    colours = unpacked(codes).astype(float)
    if len(codes) <= COLOURS:
        return np.resize(colours, (COLOURS, 3)).astype(np.uint8)
    # Large plain areas must not take the whole palette from small vivid pieces.
    weights = weights**0.85
    return _k_means(colours, weights, _split(colours, weights))


def _split(colours: np.ndarray, weights: np.ndarray) -> np.ndarray:
    """The means of groups of colours, shape (255, 3).

    The group that spreads most along one direction is parted across it, at its mean, until there
    are enough. Method: M. Orchard and C. Bouman, "Color quantization of images", IEEE Transactions
    on Signal Processing 39(12), 1991 (from memory).
    """
    count, first = 0, np.arange(len(colours))
    spread, *about = _spread(colours, weights, first)
    groups = [(spread, count, first, about)]
    while len(groups) < COLOURS:
        *_, group, (mean, way) = heapq.heappop(groups)
        beyond = ((colours[group] - mean) * way).sum(axis=1) > 0
        for part in (group[beyond], group[~beyond]):
            count += 1
            spread, *about = _spread(colours, weights, part)
            heapq.heappush(groups, (spread, count, part, about))
    return np.array([mean for *_, (mean, _) in groups])


def _spread(
    colours: np.ndarray, weights: np.ndarray, group: np.ndarray
) -> tuple[float, np.ndarray, np.ndarray]:
    """How far a group spreads along its widest direction, less than 0; its mean; the direction."""
    own, share = colours[group], weights[group, None]
    mean = (own * share).sum(axis=0) / share.sum()
    away = own - mean
    # Not as a product of matrices, whose last digits depend on the number of threads.
    sizes, ways = np.linalg.eigh(np.einsum("ni,nj->ij", away * share, away))
    return -float(sizes[-1]), mean, ways[:, -1]


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
    codes = frame[..., 0].astype(np.int32)
    for channel in (1, 2):
        codes <<= 8
        codes |= frame[..., channel]
    return codes


def unpacked(codes: np.ndarray) -> np.ndarray:
    """24-bit numbers (n,) as colours, shape (n, 3)."""
    return np.stack([codes >> 16, (codes >> 8) & 255, codes & 255], axis=1)


# Two colours farther apart than this, in levels of 255, do not mix: they would show as grain. And
# how much a mixture's grain counts against its being nearer to the colour. By eye: our choice.
REACH = 8.0
GRAIN = 0.1
# In which order the pixels of a square of four take the second colour of a mixture; the other two
# never do, since half and half is the most. B. Bayer, IEEE International Conference on
# Communications, 1973 (from memory).
_TURNS = np.array([[1, 3], [4, 2]], np.int32)


class Mixer:
    """Finds the best one or two colours of a palette, and remembers what it has found."""

    def __init__(self, palette: np.ndarray) -> None:
        self._palette = palette
        # For each colour 1 + nearest + 256 * second + 65536 * how many of four pixels are the
        # second; 0 where it is not known yet. Memory that is never touched is never taken.
        self._known = np.zeros(1 << 24, np.int32)
        self._near = _neighbours(palette)

    def indices(self, frame: np.ndarray) -> np.ndarray:
        """Number of a colour for each pixel, uint8, shape (h, w)."""
        rows, columns = frame.shape[:2]
        every = np.arange(rows * columns)
        return self.some(frame.reshape(-1, 3), every, columns).reshape(rows, columns)

    def some(self, colours: np.ndarray, places: np.ndarray, columns: int) -> np.ndarray:
        """Number of a colour for some pixels, uint8, shape (k,).

        Parameters
        ----------
        colours : uint8, shape (k, 3).
        places : numbers of the pixels in a picture of so many columns, row after row, shape (k,).
        """
        turns = _TURNS.ravel().take((places // columns & 1) * 2 + (places % columns & 1))
        codes = packed(colours)
        found = self._known.take(codes)
        fresh = found == 0
        if fresh.any():
            new = _distinct(codes[fresh])
            nearest, second, fourths = mixed(unpacked(new), self._palette, self._near)
            self._known[new] = 1 + nearest + (second << 8) + (fourths << 16)
            found = self._known.take(codes)
        found -= 1
        return np.where(turns <= found >> 16, found >> 8, found).astype(np.uint8)


def _distinct(codes: np.ndarray) -> np.ndarray:
    """Different numbers in ascending order, shape (n,): sorting is quicker than numpy's hashing."""
    ordered = np.sort(codes)
    return ordered[np.append(True, ordered[1:] != ordered[:-1])]


# For each colour of a palette those that it may be mixed with, see `_neighbours`.
_Near = tuple[np.ndarray, np.ndarray, np.ndarray]


def mixed(
    colours: np.ndarray, palette: np.ndarray, near: _Near | None = None
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The nearest colour of a palette, one to mix it with, and how much of that.

    Parameters
    ----------
    colours, palette : shapes (n, 3) and (m, 3), whole numbers up to 255.
    near : of the palette, if that is known.

    Returns
    -------
    Numbers of the nearest colours and of the second ones, and how many of four pixels are the
    second, 0 to 2; shape (n,) each.
    """
    nearest = _nearest(colours, palette)
    second, fourths = nearest.copy(), np.zeros(len(colours), np.int64)
    beside, ways, lengths = near or _neighbours(palette)
    for start in range(0, len(colours), _ROWS):
        rows = slice(start, start + _ROWS)
        own = nearest[rows]
        away = (colours[rows] - palette[own].astype(np.int64)).astype(float)
        best = (away**2).sum(axis=1)
        alone, across = best.copy(), np.einsum("nk,nmk->nm", away, ways[own])
        for part in (1, 2):
            # Quarters and their squares are exact, so that equal costs are equal.
            rest = alone[:, None] - part / 2 * across + (part / 4) ** 2 * lengths[own]
            cost = rest + GRAIN * (part / 4) * (1 - part / 4) * lengths[own]
            choice = cost.argmin(axis=1)
            cost = cost[np.arange(len(own)), choice]
            better = cost < best
            best = np.where(better, cost, best)
            second[rows][better] = beside[own[better], choice[better]]
            fourths[rows][better] = part
    return nearest, second, fourths


def _neighbours(palette: np.ndarray) -> _Near:
    """Colours that each of a palette may be mixed with, ways there and their squared lengths.

    Returns
    -------
    Shapes (m, k), (m, k, 3) and (m, k); where there are fewer than k, infinitely far.
    """
    whole = palette.astype(float)
    ways = whole[None] - whole[:, None]
    lengths = (ways**2).sum(axis=2)
    mixes = (lengths > 0) & (lengths <= REACH**2)
    most = max(1, int(mixes.sum(axis=1).max()))
    # Those that mix come first, in their order.
    beside = np.argsort(~mixes, axis=1, kind="stable")[:, :most]
    kept = np.take_along_axis(mixes, beside, axis=1)
    ways = np.take_along_axis(ways, beside[..., None], axis=1)
    lengths = np.take_along_axis(lengths, beside, axis=1)
    return beside, np.where(kept[..., None], ways, 0.0), np.where(kept, lengths, np.inf)
