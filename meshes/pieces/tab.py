"""Glue tabs: the strips along a fold that fix a panel on its host."""

from __future__ import annotations

import numpy as np
from shapely.geometry import Polygon

from meshes.sheet import Vector

# Ends are tapered so that a tab neither shows beside its panel nor reaches over the crease.
# Our choice.
_TAPER = np.radians(60)


def tab(
    start: Vector, end: Vector, depth: float, room: tuple[float, float] = (np.pi, np.pi)
) -> Polygon:
    """A tab right of the line from start to end, tapered towards its free edge.

    Parameters
    ----------
    depth : mm; made less where the tapered ends would meet.
    room : the angles free for the tab at start and end, radians; it takes four fifths at most.
    """
    a, b = np.array(start, float), np.array(end, float)
    length = float(np.hypot(*(b - a)))
    along = (b - a) / length
    out = np.array([along[1], -along[0]])
    slopes = [float(np.tan(min(_TAPER, 0.8 * angle))) for angle in room]
    # What is left of the free edge is at least a third of the fold.
    depth = min(depth, length * 2 / 3 / sum(1 / slope for slope in slopes))
    inner = a + along * depth / slopes[0] + out * depth
    outer = b - along * depth / slopes[1] + out * depth
    return Polygon([a, inner, outer, b])
