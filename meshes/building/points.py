"""Points by which an area is tried: whether a hand gets at them, and what lies over them."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry import Polygon


def samples(area: Polygon) -> np.ndarray:
    """Points all over an area and well inside it, shape (n, 2), mm."""
    middle = area.representative_point()
    # Our choice: so far in, and so many of them.
    inner = area.buffer(-0.3 * float(shapely.maximum_inscribed_circle(area).length))
    ring = inner.exterior if isinstance(inner, Polygon) and not inner.is_empty else area.exterior
    around = [ring.interpolate(k / 8, normalized=True) for k in range(8)]
    return np.array([[p.x, p.y] for p in (middle, *around)])
