"""Filters that look only at neighbouring pixels of the same patch."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

import numpy as np

# Light that is dim beside this one, the sum of its channels, may differ by more than a share of it:
# paper in the open has about 3.
DIM = np.float32(0.3)

Window = tuple[slice, slice]


def shifts(shape: tuple[int, ...], step: int = 1) -> Iterator[tuple[Window, Window]]:
    """For each of the eight neighbours: the pixels that have it, and the neighbours themselves."""
    for dy in (-step, 0, step):
        for dx in (-step, 0, step):
            if dy or dx:
                yield (
                    (_span(shape[0], -dy), _span(shape[1], -dx)),
                    (_span(shape[0], dy), _span(shape[1], dx)),
                )


def _span(length: int, step: int) -> slice:
    return slice(max(step, 0), length + min(step, 0))


def box(key: np.ndarray, *images: np.ndarray) -> tuple[np.ndarray, ...]:
    """Sums over the 3 × 3 window, same key only.

    Parameters
    ----------
    key : shape (h, w).
    images : shape (h, w) or (h, w, c), float32.
    """
    sums = tuple(image.copy() for image in images)
    for here, there in shifts(key.shape):
        same = key[here] == key[there]
        for total, image in zip(sums, images, strict=True):
            mask = same if image.ndim == 2 else same[..., None]
            total[here] += image[there] * mask
    return sums


def box_at(pixels: np.ndarray, key: np.ndarray, *values: np.ndarray) -> tuple[np.ndarray, ...]:
    """Like :func:`box`, for a few pixels only.

    Parameters
    ----------
    pixels : shape (m,), numbers in the picture.
    key : shape (h, w).
    values : shape (h · w,), float32.

    Returns
    -------
    For each of `values` its sums, shape (m,).
    """
    height, width = key.shape
    flat, x, y = key.ravel(), pixels % width, pixels // width
    mine, sums = flat.take(pixels), [value.take(pixels) for value in values]
    at_edge = ((x == 0) | (x == width - 1) | (y == 0) | (y == height - 1)).any()
    for dy in (-1, 0, 1):
        for dx in (-1, 0, 1):
            if not (dy or dx):
                continue
            near, inside = pixels + (dy * width + dx), None
            if at_edge:
                inside = (x + dx >= 0) & (x + dx < width) & (y + dy >= 0) & (y + dy < height)
                near = np.where(inside, near, pixels)
            same = flat.take(near) == mine
            if inside is not None:
                same &= inside
            for total, value in zip(sums, values, strict=True):
                total += value.take(near) * same
    return tuple(sums)


def mixed(key: np.ndarray, value: np.ndarray) -> np.ndarray:
    """Where a neighbour with the same key has another value, grown by one pixel; bool."""
    found = np.zeros(key.shape, bool)
    # The last four of the eight neighbours: of those before them, each pixel is such a one.
    for here, there in islice(shifts(key.shape), 4, None):
        other = (key[here] == key[there]) & (value[here] != value[there])
        found[here] |= other
        found[there] |= other
    return grown(found)


def grown(mask: np.ndarray) -> np.ndarray:
    """The mask and the eight neighbours of everything in it."""
    wide = mask.copy()
    wide[:, 1:] |= mask[:, :-1]
    wide[:, :-1] |= mask[:, 1:]
    tall = wide.copy()
    tall[1:] |= wide[:-1]
    tall[:-1] |= wide[1:]
    return tall


def spread(key: np.ndarray, value: np.ndarray) -> np.ndarray:
    """Range of a value over the 3 × 3 window, same key only, float32."""
    low, high = value.copy(), value.copy()
    for here, there in shifts(key.shape):
        near = np.where(key[here] == key[there], value[there], value[here])
        np.minimum(low[here], near, out=low[here])
        np.maximum(high[here], near, out=high[here])
    return high - low


def smooth(key: np.ndarray, value: np.ndarray, step: int, reach: float) -> np.ndarray:
    """Average with neighbours `step` pixels away that differ by less than `reach`."""
    total, weight = value.copy(), np.ones_like(value)
    kept: list[np.ndarray] = []
    for number, (here, there) in enumerate(shifts(key.shape, step)):
        if number < 4:
            gap = np.abs(value[there] - value[here])
            near = np.maximum(1.0 - gap / np.float32(reach), 0.0) * (key[here] == key[there])
            kept.append(near)
        else:
            # The last neighbours look back at their pixels as the first ones do, in reverse.
            near = kept.pop()
        total[here] += value[there] * near
        weight[here] += near
    return total / weight


def smooth_light(key: np.ndarray, light: np.ndarray, step: int, reach: float) -> np.ndarray:
    """Average light with neighbours `step` pixels away that differ by less than a share of it.

    Parameters
    ----------
    key : shape (h, w).
    light : shape (3, h, w), more than nothing, float32.
    reach : the share at which a neighbour counts no more.
    """
    total, weight = light.copy(), np.ones(key.shape, np.float32)
    grey = light.sum(axis=0)
    scale = 1 / (np.float32(reach) * (grey + DIM))
    for here, there in shifts(key.shape, step):
        near = np.maximum(1 - np.abs(grey[there] - grey[here]) * scale[here], 0)
        near *= key[here] == key[there]
        for row, image in zip(total, light, strict=True):
            row[here] += image[there] * near
        weight[here] += near
    return total / weight


def edges(key: np.ndarray) -> np.ndarray:
    """Pixels beside another key, left, right, above or below; bool."""
    found = np.zeros(key.shape, bool)
    across, down = key[:, 1:] != key[:, :-1], key[1:] != key[:-1]
    found[:, 1:] |= across
    found[:, :-1] |= across
    found[1:] |= down
    found[:-1] |= down
    return found


def alone(key: np.ndarray) -> np.ndarray:
    """Pixels with another key than those left, right, above and below; bool."""
    found = np.ones(key.shape, bool)
    across, down = key[:, 1:] != key[:, :-1], key[1:] != key[:-1]
    found[:, 1:] &= across
    found[:, :-1] &= across
    found[1:] &= down
    found[:-1] &= down
    return found


def upsample(
    key: np.ndarray, coarse_key: np.ndarray, coarse: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Half-rate values at full rate, from coarse neighbours of the same key only.

    Parameters
    ----------
    key : shape (h, w); `coarse_key` is every second of it both ways.
    coarse : one image of that shape or several, shape (..., h / 2, w / 2), float32.

    Returns
    -------
    The values, shape (..., h, w), and the numbers of pixels that no coarse neighbour can serve.
    """
    # One cell more on every side, and another below and right for the far neighbours of odd rows.
    padded_key = np.pad(coarse_key, (1, 2), mode="edge")
    padded = np.pad(coarse, [(0, 0)] * (coarse.ndim - 2) + [(1, 2), (1, 2)], mode="edge")
    values = np.empty(coarse.shape[:-2] + key.shape, np.float32)
    lost = np.zeros(key.shape, bool)
    for odd_y, odd_x in ((0, 0), (0, 1), (1, 0), (1, 1)):
        part = (slice(odd_y, None, 2), slice(odd_x, None, 2))
        mine = key[part]
        total = np.zeros(coarse.shape[:-2] + mine.shape, np.float32)
        weight = np.zeros(mine.shape, np.float32)
        for sy in range(1, 2 + odd_y):
            for sx in range(1, 2 + odd_x):
                there = (slice(sy, sy + mine.shape[0]), slice(sx, sx + mine.shape[1]))
                same = (padded_key[there] == mine).astype(np.float32)
                total += padded[..., *there] * same
                weight += same
        lost[part] = weight == 0
        values[..., *part] = total / np.maximum(weight, 1)
    return values, _from_afar(np.flatnonzero(lost), key, padded_key, padded, values)


def _from_afar(
    lost: np.ndarray,
    key: np.ndarray,
    padded_key: np.ndarray,
    padded: np.ndarray,
    values: np.ndarray,
) -> np.ndarray:
    """Serve pixels from 4 × 4 coarse cells, in place; those that are still not served."""
    y, x = lost // key.shape[1], lost % key.shape[1]
    total = np.zeros((*padded.shape[:-2], len(lost)), np.float32)
    weight = np.zeros(len(lost), np.float32)
    for sy in range(4):
        for sx in range(4):
            there = (y // 2 + sy, x // 2 + sx)
            same = padded_key[there] == key.ravel()[lost]
            total += padded[..., *there] * same
            weight += same
    values.reshape(*padded.shape[:-2], -1)[..., lost] = total / np.maximum(weight, 1)
    return lost[weight == 0]
