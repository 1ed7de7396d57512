"""Outlines made elsewhere: the path data of an SVG, or the edge of a picture's transparency."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Polygon

from .art import ArtError, picture
from .curve import cuttable

# Edges are followed to within this of the true line, mm.
TOLERANCE_MM = 0.05
# Specks and pinholes that no knife can cut, mm².
SPECK_MM2 = 1.0
# A picture is looked at this finely; more would only follow its noise.
PIXELS_PER_MM = 12.0
HALF = 127.5


def from_path(data: str, length: float) -> Polygon:
    """The outline of SVG path data, standing on the origin and `length` mm high.

    Raises
    ------
    ValueError
        With a one-line reason, if it is no path, or no simple closed outline.
    """
    from .drawn.geometry import outlines
    from .drawn.tree import DrawingError, Element

    element = Element("path", {"d": data}, 1)
    try:
        rough = _rings(outlines(element, 1.0))
        height = float(np.ptp(np.concatenate(rough)[:, 1]))
        if height <= 0:
            raise ValueError("the path has no height")
        rings = _rings(outlines(element, length / height))
    except DrawingError as error:
        raise ValueError(str(error)) from None
    return _standing(_filled(rings), length, down=True)


def _rings(lines: Sequence[tuple[np.ndarray, bool]]) -> list[np.ndarray]:
    rings = [points for points, closed in lines if closed and len(points) > 2]
    if not rings:
        raise ValueError("the path has no closed line; end it with Z")
    return rings


def _filled(rings: Sequence[np.ndarray]) -> Polygon:
    """The first ring less the rings inside it."""
    outline = Polygon(rings[0])
    if not outline.is_valid:
        raise ValueError(f"the path crosses itself ({shapely.is_valid_reason(outline)})")
    for ring in rings[1:]:
        hole = Polygon(ring)
        if not hole.is_valid or not outline.contains(hole):
            raise ValueError("the path has a second line that is not a hole in the first")
        outline = outline.difference(hole)
    assert isinstance(outline, Polygon)
    return outline


def from_image(file: Path, length: float, grow: float = 0.0) -> Polygon:
    """The edge of what an image shows, standing on the origin and `length` mm high.

    The edge lies where the image is half transparent, between pixels as well.

    Parameters
    ----------
    grow : border around it (mm), negative to stay inside.

    Raises
    ------
    ValueError
        With a one-line reason, if it can't be read or shows nothing on a transparent ground.
    """
    try:
        alpha = np.asarray(picture(file))[..., 3]
    except ArtError as error:
        raise ValueError(f"{file.name} {error}") from None
    try:
        shape, _ = edge_of(alpha, length, grow)
    except ValueError as error:
        raise ValueError(f"{file.name} {error}") from None
    return _standing(shape, length, down=True)


def edge_of(alpha: np.ndarray, length: float, grow: float = 0.0) -> tuple[Polygon, float]:
    """The edge of what is seen in a picture, before the border is made part of its `length`.

    Parameters
    ----------
    alpha : (rows, columns), 0 to 255.
    length : height of what is seen without the border, mm.
    grow : border around it, mm, negative to stay inside.

    Returns
    -------
    The shape, mm from the picture's upper left corner, y down; and the mm of a pixel.

    Raises
    ------
    ValueError
        With a one-line reason to put behind the picture's name.
    """
    if alpha.min() > HALF:
        raise ValueError("has no transparent ground, so its edge is unknown")
    rows = np.flatnonzero((alpha > HALF).any(axis=1))
    if not len(rows):
        raise ValueError("is all transparent")
    scale = length / (rows[-1] - rows[0] + 1)
    step = max(1, int(1 / (scale * PIXELS_PER_MM)))
    largest = _largest_region(_shrunk(alpha.astype(float), step), scale * step)
    # Lines are counted from the middle of the clear border's squares.
    largest = affinity.translate(largest, -scale * step / 2, -scale * step / 2)
    try:
        shape = cuttable(largest).buffer(grow).simplify(TOLERANCE_MM)
    except ValueError as error:
        raise ValueError(f"can't be cut: {error}") from None
    if not isinstance(shape, Polygon) or shape.is_empty:
        raise ValueError(f"falls apart when it is made smaller by {-grow:g} mm")
    return shape, scale


def _shrunk(alpha: np.ndarray, step: int) -> np.ndarray:
    """Means over squares of pixels, with a clear border so that every edge closes."""
    rows, columns = (-(-side // step) * step for side in alpha.shape)
    full = np.zeros((rows, columns))
    full[: alpha.shape[0], : alpha.shape[1]] = alpha
    means = full.reshape(rows // step, step, columns // step, step).mean(axis=(1, 3))
    return np.pad(means, 1)


def _largest_region(alpha: np.ndarray, scale: float) -> Polygon:
    """The largest part that is more opaque than not, mm, y down."""
    from contourpy import FillType, contour_generator

    lines = contour_generator(z=alpha, fill_type=FillType.OuterOffset).filled(HALF, np.inf)
    best, most = [], -1.0
    for points, offsets in zip(*lines, strict=True):
        rings = [points[a:b] * scale for a, b in pairwise(offsets)]
        sizes = [_area(ring) for ring in rings]
        whole = sizes[0] - sum(size for size in sizes[1:] if size > SPECK_MM2)
        if whole > most:
            kept = zip(rings[1:], sizes[1:], strict=True)
            best, most = [rings[0], *(ring for ring, size in kept if size > SPECK_MM2)], whole
    part = shapely.make_valid(Polygon(best[0], best[1:]))
    found = [p for p in shapely.get_parts(part) if isinstance(p, Polygon)]
    return max(found, key=lambda polygon: polygon.area)


def _area(ring: np.ndarray) -> float:
    """What a closed ring of shape (n, 2) encloses, mm²."""
    x, y = (ring - ring[0]).T
    return abs(float(x[:-1] @ y[1:] - x[1:] @ y[:-1])) / 2


def _standing(shape: Polygon, length: float, down: bool) -> Polygon:
    """The shape with the middle of its foot on the origin, `length` high, y up."""
    if down:
        shape = affinity.scale(shape, 1, -1, origin=(0, 0))
    left, foot, right, top = shape.bounds
    factor = length / (top - foot)
    moved = affinity.translate(shape, -(left + right) / 2, -foot)
    return affinity.scale(moved, factor, factor, origin=(0, 0))
