"""Points by which an area is tried: whether a hand gets at them, and what lies over them."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import shapely
from shapely.geometry import Polygon


# An area is asked for at every opening, by the plan and by the proof.
@lru_cache(maxsize=1024)
def samples(area: Polygon) -> np.ndarray:
    """Points all over an area and well inside it, shape (n, 2), mm; not to be written to."""
    middle = area.representative_point()
    # Our choice: so far in, and so many of them.
    inner = area.buffer(-0.3 * float(shapely.maximum_inscribed_circle(area).length))
    ring = inner.exterior if isinstance(inner, Polygon) and not inner.is_empty else area.exterior
    around = shapely.line_interpolate_point(ring, np.arange(8) / 8, normalized=True)
    points = shapely.get_coordinates([middle, *around])
    points.flags.writeable = False
    return points
