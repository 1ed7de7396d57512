"""Clear film is never quite flat: how it leans, so that what it mirrors runs over it as a gleam."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from shapely import Polygon

from meshes.rectangle import smallest_rectangle

# From its middle to its rim film leans by so much across and along its longer way, radians. Our
# choice.
LEAN = (0.10, 0.30)


@lru_cache(maxsize=1024)
def bow(polygon: Polygon) -> tuple[np.ndarray, np.ndarray]:
    """The middle of a film, shape (2,), mm, and its bend, shape (2, 2), radians a mm.

    At a point p the normal that looks at the eye leans by ``bend @ (p - middle)``. It is seen only:
    the film lies where its facet lies.
    """
    corners = smallest_rectangle(polygon)
    sides = np.diff(corners[:3], axis=0)
    sizes = np.linalg.norm(sides, axis=1)
    axes = sides / sizes[:, None]
    lean = np.array(LEAN)[np.argsort(np.argsort(sizes))] / (sizes / 2)
    return corners.mean(axis=0), np.asarray(np.einsum("a,ai,aj->ij", lean, axes, axes))
