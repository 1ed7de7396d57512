"""The smallest rectangle round a polygon."""

from __future__ import annotations

import numpy as np
from shapely.geometry import Polygon

# Share of the longest side of a hull; shorter ones are rounding errors.
_LEAST_SIDE = 1e-6


def smallest_rectangle(polygon: Polygon) -> np.ndarray:
    """Corners of the smallest rectangle round a polygon in turn, shape (4, 2), in its unit.

    One side of it lies along a side of the convex hull (H. Freeman and R. Shapira, "Determining the
    minimum-area encasing rectangle for an arbitrary closed curve", Communications of the ACM 18,
    1975). Extents are measured along and across each side, so that the rectangle holds every corner
    whatever the rounding in a nearly straight hull. GEOS (up to 3.14) may give a rectangle without
    width there.
    """
    hull = np.asarray(polygon.convex_hull.exterior.coords)
    sides = np.diff(hull, axis=0)
    lengths = np.linalg.norm(sides, axis=1)
    # The direction of a side as short as rounding errors says nothing.
    along = sides[lengths > _LEAST_SIDE * lengths.max()]
    along /= np.linalg.norm(along, axis=1)[:, None]
    axes = np.stack([along, np.stack([-along[:, 1], along[:, 0]], axis=1)], axis=1)
    extent = axes @ hull.T
    low, high = extent.min(axis=2), extent.max(axis=2)
    best = int(np.argmin((high - low).prod(axis=1)))
    (left, bottom), (right, top) = low[best], high[best]
    corners = np.array([(left, bottom), (right, bottom), (right, top), (left, top)])
    return np.asarray(corners @ axes[best])


def sides_of(polygon: Polygon) -> tuple[float, float]:
    """Long and short side of the smallest rectangle round a polygon."""
    corners = smallest_rectangle(polygon)
    one, two = np.linalg.norm(np.diff(corners[:3], axis=0), axis=1)
    return float(max(one, two)), float(min(one, two))
