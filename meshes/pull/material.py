"""Where a point of a facet is after the facet has changed its shape.

A point is known by its mean value coordinates in the outline of its facet: weights of the corners
that add up to one, give the point back as their weighted mean, and are smooth inside. Source: M. S.
Floater, Mean value coordinates, Computer Aided Geometric Design 20 (2003); for outlines of any
shape K. Hormann and M. S. Floater, ACM Transactions on Graphics 25 (2006), whose algorithm this is
(from memory). So the tip stays the tip, and the middle of a panel the middle.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

# A point so near to an edge lies on it, as a share of the outline's size.
_ON_EDGE = 1e-9
# Points of each stretch of an outline between two marks. Our choice.
_SAMPLES = 24
# Outlines with more corners are curves, and corners that turn by less are part of one. Our choice.
_FEW, _SHARP_RAD = 24, float(np.radians(25))


def moved(
    old: shapely.Polygon,
    new: shapely.Polygon,
    points: np.ndarray,
    marks: tuple[np.ndarray, np.ndarray],
) -> np.ndarray:
    """The points of a facet on the same facet after a change.

    Outlines with a few corners, as many as before, are matched corner by corner. Of curves, which
    are cut finer as they grow, marks are matched, or else sharp corners, and what lies between two
    of them by its share of the way.

    Parameters
    ----------
    old, new : the facet before and after, mm.
    points : on the old one, shape (n, 2), mm.
    marks : points of the outline that are known on both, shape (m, 2) each, mm: ends of folds.

    Returns
    -------
    Shape (n, 2), mm.
    """
    before, after = _corresponding(ring(old), ring(new), marks)
    return mean_value_weights(before, np.asarray(points, float)) @ after


def _corresponding(
    before: np.ndarray, after: np.ndarray, marks: tuple[np.ndarray, np.ndarray]
) -> tuple[np.ndarray, np.ndarray]:
    """Both rings with points that correspond."""
    alike = len(before) == len(after)
    if alike and len(before) <= _FEW:
        return before, aligned(before, after)
    if len(marks[0]) < 2:
        sharp = _sharp(before), _sharp(after)
        if len(sharp[0]) == len(sharp[1]) >= 2:
            marks = sharp[0], aligned(*sharp)
        elif alike:
            return before, aligned(before, after)
        else:
            marks = _outermost(before), _outermost(after)
    return _matched(before, after, marks)


def _sharp(ring: np.ndarray) -> np.ndarray:
    """Corners of a ring that no curve has, shape (n, 2)."""
    steps = ring - np.roll(ring, 1, axis=0)
    angles = np.arctan2(steps[:, 1], steps[:, 0])
    turns = np.abs((np.roll(angles, -1) - angles + np.pi) % (2 * np.pi) - np.pi)
    return ring[turns > _SHARP_RAD]


def aligned(before: np.ndarray, after: np.ndarray) -> np.ndarray:
    """A ring of corners, shape (k, 2), begun where another with as many corners begins."""
    return np.roll(after, -_shift(before, after), axis=0)


def mean_value_weights(ring: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Mean value coordinates of points (n, 2) in a simple ring (k, 2), shape (n, k)."""
    return np.array([_weights(ring, point) for point in points]).reshape(len(points), len(ring))


def _weights(ring: np.ndarray, point: np.ndarray) -> np.ndarray:
    spokes = ring - point
    lengths = np.linalg.norm(spokes, axis=1)
    size = float(lengths.max())
    weights = np.zeros(len(ring))
    if lengths.min() <= _ON_EDGE * size:
        weights[np.argmin(lengths)] = 1.0
        return weights
    after = np.roll(spokes, -1, axis=0)
    reach = np.roll(lengths, -1)
    areas = spokes[:, 0] * after[:, 1] - spokes[:, 1] * after[:, 0]
    dots = (spokes * after).sum(axis=1)
    on = (np.abs(areas) <= _ON_EDGE * size**2) & (dots < 0)
    if on.any():
        k = int(np.argmax(on))
        share = lengths[k] / (lengths[k] + reach[k])
        weights[k], weights[(k + 1) % len(ring)] = 1 - share, share
        return weights
    # tan of half the angle between two spokes, signed.
    with np.errstate(divide="ignore", invalid="ignore"):
        halves = np.where(np.abs(areas) > 0, (lengths * reach - dots) / areas, 0.0)
    weights = (np.roll(halves, 1) + halves) / lengths
    return weights / weights.sum()


def ring(polygon: shapely.Polygon) -> np.ndarray:
    """Corners of an outline, counterclockwise, the first one once, shape (k, 2)."""
    return np.asarray(shapely.orient_polygons(polygon).exterior.coords)[:-1, :2]


def _shift(before: np.ndarray, after: np.ndarray) -> int:
    """By how many corners one ring starts later than another, as far as their shapes tell."""
    one, two = before - before.mean(axis=0), after - after.mean(axis=0)
    # The sum of squared distances is least where the correlation is largest.
    transformed = [np.fft.fft(ring[:, 0] + 1j * ring[:, 1]) for ring in (one, two)]
    match = np.fft.ifft(np.conj(transformed[0]) * transformed[1]).real
    return int(np.argmax(match))


def _matched(
    before: np.ndarray, after: np.ndarray, marks: tuple[np.ndarray, np.ndarray]
) -> tuple[np.ndarray, np.ndarray]:
    """Both rings as equally many points that correspond."""
    first, second = marks
    ways = [_way(before, first), _way(after, second)]
    _, keep = np.unique(np.round(ways[0], 6), return_index=True)
    ways = [way[keep] for way in ways]
    # Stretches of the second ring must follow each other as those of the first do.
    ways[1] = np.unwrap(ways[1], period=1.0)
    if (np.diff(ways[1]) <= 0).any() or ways[1][-1] - ways[1][0] >= 1:
        ways = [np.array([_way(ring, _outermost(ring))[0]]) for ring in (before, after)]
    shares = np.arange(_SAMPLES) / _SAMPLES
    rings = []
    for ring, way in zip((before, after), ways, strict=True):
        stretches = np.diff(np.append(way, way[0] + 1.0))
        rings.append(_along(ring, (way[:, None] + stretches[:, None] * shares).ravel()))
    return rings[0], rings[1]


def _outermost(ring: np.ndarray) -> np.ndarray:
    """The highest, leftmost, lowest and rightmost corner, shape (4, 2)."""
    x, y = np.round(ring.T, 6)
    order: Sequence[Sequence[np.ndarray]] = ((x, -y), (y, x), (-x, y), (-y, -x))
    return ring[[int(np.lexsort(keys)[0]) for keys in order]]


def _lengths(ring: np.ndarray) -> np.ndarray:
    return np.linalg.norm(np.roll(ring, -1, axis=0) - ring, axis=1)


def _way(ring: np.ndarray, points: np.ndarray) -> np.ndarray:
    """How far along a ring its points nearest to some points lie, 0 to 1."""
    line = shapely.LinearRing(ring)
    return np.array([line.project(shapely.Point(p), normalized=True) for p in points])


def _along(ring: np.ndarray, shares: np.ndarray) -> np.ndarray:
    """Points of a ring at shares of its length, shape (n, 2)."""
    ends = np.concatenate([[0.0], np.cumsum(_lengths(ring))])
    closed = np.vstack([ring, ring[:1]])
    place = np.mod(shares, 1.0) * ends[-1]
    return np.column_stack([np.interp(place, ends, closed[:, axis]) for axis in (0, 1)])
