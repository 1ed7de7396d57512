"""How far a spread reaches in a pose: what a camera has to have in its picture."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Protocol

import numpy as np
import shapely

from meshes.linkage import Linkage

from ..same import Same
from .binding import band_boards, is_banded, middle_boards
from .book import Book, half_boards, tilt_of
from .lying import AtRest, Lying
from .scene import Cast, Surface, cast_of


class InSight(Protocol):
    """A scene but for its light; or one that is made only if its surfaces are asked for."""

    @property
    def surfaces(self) -> tuple[Surface, ...]:
        """See :class:`preview.drawing.scene.Scene`."""

    @property
    def points(self) -> np.ndarray:
        """See :class:`preview.drawing.scene.Scene`."""

    @property
    def corners(self) -> tuple[np.ndarray, np.ndarray]:
        """See :class:`preview.drawing.scene.Scene`."""


def points_of(
    linkage: Linkage,
    book: Book,
    opening: float,
    rotations: np.ndarray,
    translations: np.ndarray,
    lying: Lying = "both",
) -> np.ndarray:
    """How far all surfaces reach that :func:`preview.drawing.scene.assemble` makes, (n, 3), mm.

    Corners of them, of paper those of its convex hull: what reaches farthest in any direction is
    among these.

    Parameters
    ----------
    opening : radians.
    rotations, translations : poses of the bodies, shapes (B, 3, 3) and (B, 3), mm.
    lying : which half of the notebook lies on the table.
    """
    rest = AtRest.of(book, opening, lying)
    rotations, translations = rest.poses(rotations, translations)
    cast = cast_of(Same(linkage), book.ruling)
    turns, places = cast.laid(rotations, translations)
    flat, owner = _corners(Same(cast))
    outlines = cast.leaning.outlines(turns)
    if outlines:
        flat, owner = _exchanged(flat, owner, outlines)
    found = [np.einsum("nij,nj->ni", turns[owner, :, :2], flat) + places[owner]]
    tilt = tilt_of(opening)
    for k, side in enumerate((-1, 1)):
        faces = [*half_boards(book, side, tilt)]
        if is_banded(book, opening):
            faces += band_boards(book, side, lying == ("left" if side < 0 else "right"))
        half = np.concatenate([face.corners for face in faces])
        found.append(half @ rotations[k].T + translations[k])
    between = [face.corners for face in middle_boards(book, tilt)]
    if between:
        found.append(rest.points(np.concatenate(between)))
    return np.concatenate(found)


def _hulls(outlines: list[shapely.Polygon]) -> np.ndarray:
    return np.asarray(shapely.get_exterior_ring(shapely.convex_hull(outlines)))


@lru_cache(maxsize=4)
def _corners(cast: Same[Cast]) -> tuple[np.ndarray, np.ndarray]:
    """Corners of the parts' hulls in their planes, shape (n, 2), mm, and the part of each."""
    rings = _hulls([plain.polygon for plain in cast.value.plain])
    flat, owner = shapely.get_coordinates(rings, return_index=True)
    return flat, owner


def _exchanged(
    flat: np.ndarray, owner: np.ndarray, outlines: Mapping[int, shapely.Polygon]
) -> tuple[np.ndarray, np.ndarray]:
    """The same where some parts, by number, have other outlines."""
    others = list(outlines)
    rings = _hulls(list(outlines.values()))
    corners, which = shapely.get_coordinates(rings, return_index=True)
    is_other = np.zeros(int(owner.max()) + 1, bool)
    is_other[others] = True
    stay = ~is_other[owner]
    return (
        np.concatenate([flat[stay], corners]),
        np.concatenate([owner[stay], np.array(others)[which]]),
    )
