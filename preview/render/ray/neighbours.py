"""Filters that look only at neighbouring pixels of the same patch."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

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


def mixed(key: np.ndarray, value: np.ndarray) -> np.ndarray:
    """Where a neighbour with the same key has another value, grown by one pixel; bool."""
    found = np.zeros(key.shape, bool)
    for here, there in shifts(key.shape):
        found[here] |= (key[here] == key[there]) & (value[here] != value[there])
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
    for here, there in shifts(key.shape, step):
        gap = np.abs(value[there] - value[here])
        near = np.maximum(1.0 - gap / np.float32(reach), 0.0) * (key[here] == key[there])
        total[here] += value[there] * near
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
