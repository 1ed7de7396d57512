"""How the notebook lies on its table: both halves tilted, or one flat and the other turned over.

The motion is solved with both pages tilted by the same angle. To lay one of them on the table, the
whole of it is turned about the gutter, so that no fold knows the difference; the other page then
goes round by an arc of twice that angle, as a hand turns a cover over.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely

if TYPE_CHECKING:
    from meshes.linkage import Linkage
    from meshes.motion.result import Motion

    from .book import Book

Lying = Literal["both", "left", "right"]
LyingWish = Literal["both", "left", "right", "thicker"]
LYINGS: dict[LyingWish, str] = {
    "both": "both halves tilted alike over the spine",
    "left": "the left half on the table, the right one turned over it",
    "right": "the right half on the table, the left one turned over it",
    "thicker": "the half with more paper on the table",
}
# With less more paper than this on one side, as a share of all, both halves count as equally thick.
# Our choice.
ALIKE = 0.05


@dataclass(frozen=True, eq=False)
class AtRest:
    """How the frame of a motion is brought to rest on the table.

    Parameters
    ----------
    turn : shape (3, 3), about the gutter.
    lift : shape (3,), mm, after the turn.
    """

    turn: np.ndarray
    lift: np.ndarray

    @classmethod
    def of(cls, book: Book, opening: float, lying: Lying) -> AtRest:
        """The rest of a notebook at an opening, radians; the table top is at ``-book.depth``."""
        if lying == "both":
            return cls(np.eye(3), np.array([0.0, 0.0, book.lift(opening)]))
        side = 1.0 if lying == "right" else -1.0
        tilt = (np.pi - opening) / 2
        c, s = float(np.cos(tilt)), side * float(np.sin(tilt))
        return cls(np.array([[c, 0.0, s], [0.0, 1.0, 0.0], [-s, 0.0, c]]), np.zeros(3))

    def poses(
        self, rotations: np.ndarray, translations: np.ndarray
    ) -> tuple[np.ndarray, np.ndarray]:
        """Poses of bodies, shapes (B, 3, 3) and (B, 3), at rest."""
        return self.turn @ rotations, translations @ self.turn.T + self.lift

    def before(
        self, rotations: np.ndarray, translations: np.ndarray
    ) -> tuple[np.ndarray, np.ndarray]:
        """Poses of bodies in the frame of the motion from those at rest; undoes :meth:`poses`."""
        return self.turn.T @ rotations, (translations - self.lift) @ self.turn

    def points(self, points: np.ndarray) -> np.ndarray:
        """Points of the frame of the motion, shape (n, 3), at rest."""
        return points @ self.turn.T + self.lift


def settled(wish: LyingWish, linkage: Linkage, motion: Motion) -> Lying:
    """Which half lies, for a wish: the thicker one as the spread is widest open."""
    if wish != "thicker":
        return wish
    if not motion.solved.any():
        return "both"
    widest = int(np.argmax(np.where(motion.solved, motion.openings, -np.inf)))
    return thicker_half(linkage, motion.rotations[widest], motion.translations[widest])


def thicker_half(
    linkage: Linkage, rotations: np.ndarray, shifts: np.ndarray
) -> Literal["left", "right"]:
    """The half with more paper, by volume, on its side of the gutter with the spread wide open.

    Each facet, area times caliper, counts on both sides for what it has there; the pages count for
    nothing, since the notebook has as many on either side. Where both are about equally thick it is
    the right half, since readers from left to right turn the left one over.

    Parameters
    ----------
    rotations, shifts : poses of the bodies, shapes (B, 3, 3) and (B, 3), mm.
    """
    volumes = np.array([0.0, 0.0])
    for number, body in enumerate(linkage.bodies):
        for part in body.parts:
            if part.sheet.piece != "page":
                halves = _sides(part.polygon, rotations[number, 0, :2], shifts[number, 0])
                volumes += part.sheet.paper.caliper * np.array(list(halves))
    left, right = volumes.tolist()
    return "left" if left - right > ALIKE * (left + right) else "right"


def _sides(polygon: shapely.Polygon, slope: np.ndarray, shift: float) -> Iterator[float]:
    """Areas of a facet on the left and on the right of the gutter, mm².

    Parameters
    ----------
    slope, shift : a point p of the facet lies at x = slope · p + shift.
    """
    corners = np.asarray(polygon.exterior.coords)[:, :2]
    across = corners @ slope + shift
    if across.min() >= 0 or across.max() <= 0:
        right = polygon.area if across.max() > 0 else 0.0
    else:
        # Some of the facet lies on either side, so that the slope is not zero.
        along = slope / np.linalg.norm(slope)
        far = 2 * float(np.ptp(corners, axis=0).sum())
        foot = corners[0] - along * (across[0] / np.linalg.norm(slope))
        beside = np.array([-along[1], along[0]]) * far
        half = [foot + beside, foot - beside, foot - beside + far * along]
        half.append(foot + beside + far * along)
        right = polygon.intersection(shapely.Polygon(half)).area
    yield polygon.area - right
    yield right
