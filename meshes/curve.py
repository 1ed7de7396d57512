"""Curves as rows of points, shape (n, 2), mm, flattened to within ``TOLERANCE_MM``."""

from __future__ import annotations

from functools import cache
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry import Polygon

TOLERANCE_MM = 0.05
# Of one outline with its windows. Our choice: no knife follows more, and nesting takes seconds.
MOST_CORNERS = 4000


def segments(radius: float) -> int:
    """Points on half a circle so that the chords stay within the tolerance."""
    step = 2 * np.arccos(max(1 - TOLERANCE_MM / 2 / max(radius, TOLERANCE_MM), 0.5))
    return max(int(np.ceil(np.pi / step)), 8) + 1


def quarter(radius: float) -> int:
    """Chords on a quarter of a circle, within the tolerance; for shapely's buffer."""
    return (segments(radius) + 1) // 2


def bezier(points: list[tuple[float, float]]) -> np.ndarray:
    """A cubic Bézier curve, shape (n, 2); thinned later."""
    weights = zip(_bernstein(), np.array(points, float), strict=True)
    first, second, third, fourth = (weight * point for weight, point in weights)
    return np.asarray(first + second + third + fourth)


@cache
def _bernstein() -> tuple[np.ndarray, ...]:
    """Weights of the four points along a cubic curve (Bernstein polynomials), shape (200, 1)."""
    t = np.linspace(0, 1, 200)[:, None]
    return (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3


def thin(curve: np.ndarray) -> np.ndarray:
    """Leave out points that the tolerance does not need; the ends stay."""
    line = shapely.linestrings(curve)
    thinned = shapely.simplify(line, TOLERANCE_MM / 2, preserve_topology=False)
    if not thinned.is_simple:
        # Bends that lie close to each other came to cross. To look out for that takes far longer.
        thinned = shapely.simplify(line, TOLERANCE_MM / 2)
    return np.asarray(shapely.get_coordinates(thinned))


def cuttable(outline: Polygon) -> Polygon:
    """The outline; with more than ``MOST_CORNERS`` corners, only those that the tolerance needs.

    Raises
    ------
    ValueError
        With a one-line reason, if it needs more.
    """
    count = int(shapely.get_num_coordinates(outline))
    if count <= MOST_CORNERS:
        return outline
    thinned = outline.simplify(TOLERANCE_MM)
    needed = int(shapely.get_num_coordinates(thinned))
    if needed > MOST_CORNERS:
        raise ValueError(
            f"the outline has {count} corners, and {needed} of them turn by more than "
            f"{TOLERANCE_MM:g} mm; allowed: {MOST_CORNERS}; try: smoothing its edge"
        )
    return thinned


def mirrored(half: np.ndarray) -> Polygon:
    """The polygon whose right half runs from the foot to the top; exactly symmetric."""
    half = thin(half)
    other = half[::-1] * (-1, 1)
    ring = np.vstack([half, other[np.abs(other[:, 0]) > 1e-9]])
    return Polygon(ring)


def flank(
    length: float, width: float, base: float, widest: float, point: float, curve: float
) -> np.ndarray:
    """The right edge from base to tip: two curves that meet, upright, where it is widest."""
    w, b, m = width / 2, base / 2, widest * length
    lower = bezier(
        [
            (b, 0),
            (b + (w - b) * (0.25 + 0.75 * curve), m * 0.12),
            (w, m * (0.75 - 0.45 * curve)),
            (w, m),
        ]
    )
    rest = length - m
    shoulder = m + rest * (0.3 + 0.35 * curve)
    # A round tip arrives level, a pointed one on a slope.
    tip = (w * (0.75 * (1 - point) + 0.04), length - rest * 0.3 * point)
    upper = bezier([(w, m), (w, shoulder), tip, (0, length)])
    edge = np.vstack([lower, upper[1:]])
    return edge if b > 0 else np.vstack([[(0.0, 0.0)], edge[1:]])


def toothed(flank: np.ndarray, teeth: int, depth: float) -> np.ndarray:
    """Cut teeth that point to the tip into the right edge."""
    steps = np.append(0, np.cumsum(np.hypot(*np.diff(flank, axis=0).T)))
    places = np.linspace(0.1, 0.96, teeth + 1) * steps[-1]

    def at(s: float) -> np.ndarray:
        return np.array([np.interp(s, steps, flank[:, 0]), np.interp(s, steps, flank[:, 1])])

    points = [*flank[steps < places[0]]]
    for near, far in pairwise(places):
        for u in np.linspace(0, 1, 8):
            points.append(at(near + 0.94 * u * (far - near)) * (1 - depth * (1 - u**0.8), 1))
    points += [*flank[steps > places[-1]]]
    return np.array(points)


def ribbon(middle: np.ndarray, width: float) -> Polygon:
    """A blade along a line, `width` wide at its foot and pointed at its end."""
    along = np.gradient(middle, axis=0)
    normal = np.column_stack([-along[:, 1], along[:, 0]]) / np.hypot(*along.T)[:, None]
    half = width / 2 * (1 - np.linspace(0, 1, len(middle)) ** 1.6)[:, None]
    left, right = thin(middle + half * normal), thin(middle - half * normal)
    return Polygon(np.vstack([right, left[-2::-1]]))


def round_off(polygon: Polygon, radius: float) -> Polygon:
    """Round the corners that point out; ValueError if nothing is left."""
    n = quarter(radius)
    rounded = polygon.buffer(-radius, n).buffer(radius, n)
    if rounded.is_empty:
        raise ValueError("the corners are rounder than the shape")
    return rounded


def solid(parts: list[Polygon]) -> Polygon:
    """One polygon without the pinholes that overlapping parts leave.

    A blade that bends within its own width crosses its own edge; what it covers is what counts.
    """
    covered = shapely.make_valid(np.array(parts), method="structure", keep_collapsed=False)
    whole = shapely.unary_union(covered)
    if not isinstance(whole, Polygon):
        raise ValueError("the outline falls apart")
    return Polygon(whole.exterior)
