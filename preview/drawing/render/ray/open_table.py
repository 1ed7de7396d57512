"""The table that no shadow of the key can reach: most of a picture, and it needs no rays."""

from __future__ import annotations

import numpy as np

# A shadow is held within this many pairs of parallel lines, evenly turned. Our choice.
PAIRS = 4
# Rays start up to 0.06 mm over the table and are rounded; this is far more, mm. Our choice.
ROOM_MM = np.float32(1.0)
# Rays flatter than this throw shadows without an end. Our choice.
LEAST_RISE = 0.02
WAYS = np.array(
    [[np.cos(angle), np.sin(angle)] for angle in np.pi / PAIRS * np.arange(PAIRS)], np.float32
)


def across(places: np.ndarray) -> np.ndarray:
    """How far places on the table (2 or 3, n) lie along each way, shape (PAIRS, n), mm."""
    return np.stack([x * places[0] + y * places[1] for x, y in WAYS])


def in_the_open(
    along: np.ndarray, table: float, corners: np.ndarray, rays: np.ndarray
) -> np.ndarray:
    """Which places on the table no corner's shadow reaches along any ray, bool, shape (n,).

    A corner at height h over the table shades the place that lies h / rise of a ray back along
    that ray. A triangle's shadow is the hull of its corners', so whatever bounds those bounds it.

    Parameters
    ----------
    along : of :func:`across`, shape (PAIRS, n).
    table : its height, mm.
    corners : of what throws shadows, shape (m, 3), mm.
    rays : towards the light, unit, shape (r, 3).
    """
    if not len(corners):
        return np.ones(along.shape[1], bool)
    if rays[:, 2].min() < LEAST_RISE:
        return np.zeros(along.shape[1], bool)
    height = np.maximum(corners[:, 2] - np.float32(table), 0)
    slopes = rays[:, :2] / rays[:, 2:]
    found = np.zeros(along.shape[1], bool)
    for way, row in zip(WAYS, along, strict=True):
        place = corners[:, 0] * way[0] + corners[:, 1] * way[1]
        back = slopes[:, 0] * way[0] + slopes[:, 1] * way[1]
        # What lies below the table throws none, but what it stands on is no open table.
        most = (place - height * min(back.min(), 0)).max() + ROOM_MM
        least = (place - height * max(back.max(), 0)).min() - ROOM_MM
        found |= (row > most) | (row < least)
    return found


def may_meet(
    places: np.ndarray, table: float, low: np.ndarray, high: np.ndarray, rays: np.ndarray
) -> np.ndarray:
    """Which rays from places on the table may meet what is in a box, bool, shape (r, n).

    The others leave it on one side before they are as high as its top.

    Parameters
    ----------
    places : shape (2 or 3, n), mm.
    table : its height, mm.
    low, high : corners of the box, shape (3,), mm.
    rays : unit, all of them upwards, shape (r, 3).
    """
    steep = max(float(high[2]) - table, 0.0) / np.maximum(rays[:, 2], np.float32(1e-6))
    found = np.ones((len(rays), places.shape[1]), bool)
    for axis in (0, 1):
        way = steep * rays[:, axis]
        least = low[axis] - np.maximum(way, 0) - ROOM_MM
        most = high[axis] - np.minimum(way, 0) + ROOM_MM
        found &= (places[axis] >= least[:, None]) & (places[axis] <= most[:, None])
    return found
