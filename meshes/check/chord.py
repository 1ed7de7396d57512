"""Where two flat facets pass through each other: the exact chord, for many pairs at once.

The planes of two facets meet in a line. The stretches of that line inside one outline and inside
the other are intervals, found by the even-odd rule; where they overlap is a chord.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString, Point, Polygon

from .facets import Facets
from .poses import Pose

# Both facets must reach this far over the other's plane, mm: a hundred times what the solver
# leaves open, so that folds and resting edges never count.
STRADDLE_MM = 1e-3
# Shorter chords are corners that touch.
CHORD_MM = 1e-3
# Planes nearer to parallel than this have no line in common.
_PARALLEL = 1e-9
# Corners this near to a plane lie in it.
_RESTING = 1e-7
# Up to so many columns, extremes are taken column by column. Measured: on rows of 4 to 32 columns.
_FEW = 8
# Rows × edges handled at once: what stays in the processor's cache.
_CHUNK = 100_000


@dataclass(frozen=True)
class Meetings:
    """How n pairs of facets stand to each other.

    Parameters
    ----------
    depth : shape (n,), mm; how far the pair is from having no chord: positive where it has one,
        negative or zero where it has none. Continuous over a motion.
    bound : shape (n,), mm; at least the push that frees the pair, exact for convex facets.
    """

    depth: np.ndarray
    bound: np.ndarray

    @property
    def hit(self) -> np.ndarray:
        """Whether each pair has a chord."""
        return self.depth > STRADDLE_MM


def meet(facets: Facets, first: np.ndarray, second: np.ndarray, pose: Pose) -> Meetings:
    """Test pairs of facets, each at its own moment.

    Parameters
    ----------
    first, second : shape (n,), facet indices.
    pose : of the first facet's body in the frame of the second's, n of them.
    """
    bound = np.zeros(len(first))
    lift, sink = frame_heights(facets, first, second, pose)
    depth = reach_of(extremes(lift), extremes(sink))
    # Most pairs are parted by the rectangles round them; the rest is sorted by count of edges, so
    # that little is spent on the filling of short outlines.
    rows = np.flatnonzero(depth > STRADDLE_MM)
    rows = rows[np.argsort(np.maximum(facets.edges[first[rows]], facets.edges[second[rows]]))]
    while rows.size:
        most = max(facets.edges[first[rows[-1]]], facets.edges[second[rows[-1]]])
        size = max(1, _CHUNK // int(most))
        some, rows = rows[-size:], rows[:-size]
        part = Pose(pose.rotation[some], pose.translation[some])
        depth[some], bound[some] = _meet(facets, first[some], second[some], part)
    return Meetings(depth, bound)


def frame_heights(
    facets: Facets, first: np.ndarray, second: np.ndarray, pose: Pose
) -> tuple[np.ndarray, np.ndarray]:
    """Heights of the corners of the rectangles round two facets over the other facet's plane.

    Returns
    -------
    Two arrays of shape (n, 4), mm; the facets themselves lie between the extremes of each row.
    """
    rise, drop = _planes(pose)
    return _over(facets.frame[first], *rise), _over(facets.frame[second], *drop)


def heights(
    facets: Facets, first: np.ndarray, second: np.ndarray, pose: Pose
) -> tuple[np.ndarray, np.ndarray]:
    """Heights of corners over the other facet's plane, two arrays of shape (n, E), mm."""
    rise, drop = _planes(pose)
    return _over(_rows(facets.tail, facets, first), *rise), _over(
        _rows(facets.tail, facets, second), *drop
    )


def _rows(points: np.ndarray, facets: Facets, which: np.ndarray) -> np.ndarray:
    """The edges' points of some facets, without more filling than they need."""
    return points[which, : int(facets.edges[which].max(initial=1))]


_Span = tuple[np.ndarray, np.ndarray]


def reach_of(lift: _Span, sink: _Span) -> np.ndarray:
    """The least that one of two facets reaches over or under the other's plane, (n,), mm.

    Parameters
    ----------
    lift, sink : the least and the greatest height of either over the other's plane, shapes (n,).
    """
    (under, over), (below, above) = lift, sink
    return np.minimum(np.minimum(over, -under), np.minimum(above, -below))


def height_span(values: np.ndarray) -> _Span:
    """Least and greatest of each row of heights (n, k), mm; see :func:`frame_heights`."""
    low, high = extremes(values)
    return _lying(low.copy()), _lying(high.copy())


def extremes(values: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Least and greatest of each row of (n, k) values; quicker than numpy's for a few columns."""
    low = high = values[:, 0]
    if values.shape[1] > _FEW:
        return values.min(axis=1), values.max(axis=1)
    for k in range(1, values.shape[1]):
        low, high = np.minimum(low, values[:, k]), np.maximum(high, values[:, k])
    return low, high


_Plane = tuple[np.ndarray, np.ndarray]


def _planes(pose: Pose) -> tuple[_Plane, _Plane]:
    """Height functions g·p + c of the first facet's plane and of the second's, shape (n, 2), (n,).

    Each gives the height of a point in that plane over the other plane.
    """
    normal = pose.rotation[:, :, 2]
    offset = np.einsum("nk,nk->n", normal, pose.translation)
    return (pose.rotation[:, 2, :2], pose.translation[:, 2]), (normal[:, :2], -offset)


def _over(points: np.ndarray, gradient: np.ndarray, constant: np.ndarray) -> np.ndarray:
    # Written out, so that one corner gets the very same height as the end of two edges.
    height = points[..., 0] * gradient[:, :1] + points[..., 1] * gradient[:, 1:]
    height += constant[:, None]
    return _lying(height)


def _lying(height: np.ndarray) -> np.ndarray:
    """The same heights, those of corners in the plane made 0."""
    height[np.abs(height) < _RESTING] = 0.0
    return height


def _meet(
    facets: Facets, first: np.ndarray, second: np.ndarray, pose: Pose
) -> tuple[np.ndarray, np.ndarray]:
    lift, sink = heights(facets, first, second, pose)
    reach = reach_of(extremes(lift), extremes(sink))
    depth, bound = reach.copy(), np.zeros(len(first))
    sine = np.linalg.norm(pose.rotation[:, :2, 2], axis=1)
    rows = np.flatnonzero((reach > STRADDLE_MM) & (sine > _PARALLEL))
    depth[sine <= _PARALLEL] = np.minimum(depth[sine <= _PARALLEL], 0.0)
    if rows.size:
        part = Pose(pose.rotation[rows], pose.translation[rows])
        one, two = spans(facets, first[rows], second[rows], part)
        overlap, slide = _best_overlap(one, two)
        overlap = np.where(overlap > CHORD_MM, overlap, np.minimum(overlap, 0.0))
        depth[rows] = np.minimum(reach[rows], overlap)
        bound[rows] = np.where(overlap > 0, np.minimum(reach[rows], slide), 0.0)
    return depth, bound


def spans(
    facets: Facets, first: np.ndarray, second: np.ndarray, pose: Pose
) -> tuple[np.ndarray, np.ndarray]:
    """Intervals of the common line inside each of two facets, in mm along the line.

    Returns
    -------
    Two arrays of shape (n, K, 2); unused rows are (inf, inf). Positions are measured in the second
    facet's plane, along its normal × the first facet's normal.
    """
    rise, drop = _planes(pose)
    normal = drop[0] / np.linalg.norm(drop[0], axis=1, keepdims=True)
    along = np.stack([-normal[:, 1], normal[:, 0]], axis=1)
    # the same direction in the first facet's plane, and where its origin lies along the line
    own = (along[:, None, :] @ pose.rotation[:, :2, :2])[:, 0]
    origin = np.einsum("nk,nk->n", along, pose.translation[:, :2])
    tail, head = _rows(facets.tail, facets, first), _rows(facets.head, facets, first)
    one = _intervals(tail, head, _over(tail, *rise), _over(head, *rise), own, origin)
    tail, head = _rows(facets.tail, facets, second), _rows(facets.head, facets, second)
    zero = np.zeros(len(along))
    return one, _intervals(tail, head, _over(tail, *drop), _over(head, *drop), along, zero)


def _intervals(
    tail: np.ndarray,
    head: np.ndarray,
    low: np.ndarray,
    high: np.ndarray,
    along: np.ndarray,
    origin: np.ndarray,
) -> np.ndarray:
    """Pair the crossings of edges with height zero by the even-odd rule, shape (n, K, 2).

    Edges run from `tail` at height `low` to `head` at height `high`; zero counts as above.
    """
    crossing = (low >= 0) != (high >= 0)
    start = tail[..., 0] * along[:, :1] + tail[..., 1] * along[:, 1:] + origin[:, None]
    end = head[..., 0] * along[:, :1] + head[..., 1] * along[:, 1:] + origin[:, None]
    rise = np.where(crossing, high - low, 1.0)
    at = np.sort(np.where(crossing, start - (end - start) * low / rise, np.inf), axis=1)
    most = int(crossing.sum(axis=1).max(initial=0))
    return at[:, :most].reshape(len(at), -1, 2)


def _best_overlap(one: np.ndarray, two: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Largest overlap of intervals and largest slide that a chord needs, shape (n,)."""
    a, b = one[:, :, None, :], two[:, None, :, :]
    with np.errstate(invalid="ignore"):
        low, high = np.maximum(a[..., 0], b[..., 0]), np.minimum(a[..., 1], b[..., 1])
        overlap = np.where(np.isfinite(low), high - low, -np.inf)
        slide = np.minimum(a[..., 1] - b[..., 0], b[..., 1] - a[..., 0])
    slide = np.where(overlap > CHORD_MM, slide, 0.0)
    count = len(one)
    best = overlap.reshape(count, -1).max(axis=1, initial=-np.inf)
    return best, slide.reshape(count, -1).max(axis=1, initial=0.0)


@dataclass(frozen=True)
class Side:
    """What one facet has on one side of a chord.

    Parameters
    ----------
    part : that part of the facet, body coordinates, mm.
    reach : distance of its farthest corner from the chord's line, mm.
    """

    part: Polygon
    reach: float


@dataclass(frozen=True)
class Chord:
    """One chord of two facets at one moment.

    Parameters
    ----------
    ends : the chord in each facet's body coordinates, two arrays of shape (2, 2), mm.
    sides : for each facet, what lies above and below the other's plane.
    push : smallest push that frees the two here, mm.
    length : of the chord, mm.
    sine : of the angle between the two planes.
    """

    ends: tuple[np.ndarray, np.ndarray]
    sides: tuple[tuple[Side, Side], tuple[Side, Side]]
    push: float
    length: float
    sine: float


def chords(facets: Facets, first: int, second: int, pose: Pose) -> list[Chord]:
    """All chords of one pair of facets, the first's body seen from the second's."""
    one, two = spans(
        facets,
        np.array([first]),
        np.array([second]),
        Pose(pose.rotation[None], pose.translation[None]),
    )
    normal = pose.rotation[:, 2]
    sine = float(np.hypot(normal[0], normal[1]))
    if sine <= _PARALLEL:
        return []
    foot = normal[:2] / sine * (normal @ pose.translation / sine)
    along = np.array([-normal[1], normal[0]]) / sine
    found = []
    for a in one[0]:
        for b in two[0]:
            low, high = max(a[0], b[0]), min(a[1], b[1])
            if not np.isfinite(low) or high - low <= CHORD_MM:
                continue
            there = foot + np.outer([low, high], along)
            here = (np.append(there, np.zeros((2, 1)), axis=1) - pose.translation) @ pose.rotation
            ends = (here[:, :2], there)
            sides = (
                _sides(facets.polygons[first], ends[0]),
                _sides(facets.polygons[second], ends[1]),
            )
            reach = min(side.reach for pair in sides for side in pair)
            slide = min(a[1] - b[0], b[1] - a[0])
            found.append(Chord(ends, sides, float(min(sine * reach, slide)), high - low, sine))
    return found


def _sides(polygon: Polygon, ends: np.ndarray) -> tuple[Side, Side]:
    return _side(polygon, ends, 1.0), _side(polygon, ends, -1.0)


def _side(polygon: Polygon, ends: np.ndarray, sign: float) -> Side:
    """The part of a polygon on one side of a line that adjoins a chord on it."""
    along = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
    across = sign * np.array([-along[1], along[0]])
    middle = ends.mean(axis=0)
    low_x, low_y, high_x, high_y = polygon.bounds
    far = 2.0 * (high_x - low_x + high_y - low_y) + 1.0
    corners = np.array([-far * along, far * along, far * (along + across), far * (across - along)])
    parts = shapely.get_parts(shapely.intersection(polygon, Polygon(middle + corners)))
    parts = [part for part in parts if part.geom_type == "Polygon" and not part.is_empty]
    if not parts:
        return Side(Polygon(), 0.0)
    near = min(parts, key=lambda part: part.distance(Point(middle)))
    reach = ((np.asarray(near.exterior.coords) - middle) @ across).max()
    return Side(near, float(max(reach, 0.0)))


def chord_line(chord: Chord, facet: int) -> LineString:
    """The chord as a line in the body coordinates of facet 0 or 1 of its pair."""
    return LineString(chord.ends[facet])
