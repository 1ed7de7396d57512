"""To first order: the part of an error that no fold can take up.

With r = E e + K y, where y moves units and folds and e are errors, seams meet best in the sense of
least squares where r = P E e, P the projection on the left null space of K: the self-stresses of
the paper. That is what each seam must *give* if all do their part. What a seam lacks if it alone is
left open, its *gap*, is the deleted residual, block q of (P_qq)⁻¹ P E e (as for rows left out of a
regression: R. D. Cook and S. Weisberg, Residuals and Influence in Regression, 1982, section 2.2).
Neither depends on where a loop is thought to be cut.
"""

from __future__ import annotations

from collections.abc import Set
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from .network import Network
from .rows import SeamRows, sources

# Singular values below this share of the largest are none. Poses are exact to 1e-9 mm, and the
# least true ones one degree from a flat state are a hundred times larger.
_RANK = 1e-6
# A seam that takes part in a stress by a smaller share does not feel it.
_FELT = 1e-6


def stresses(jacobian: np.ndarray) -> np.ndarray:
    """The projection on what no column reaches, shapes (..., R, J) to (..., R, R)."""
    left, values, _ = np.linalg.svd(jacobian, full_matrices=False)
    kept = left * (values > _RANK * np.maximum(values[..., :1], 1.0))[..., None, :]
    return np.eye(jacobian.shape[-2]) - kept @ np.swapaxes(kept, -1, -2)


def by_seam(rows: np.ndarray) -> np.ndarray:
    """SeamRows (..., 6 Q, E) as (..., Q, 6, E)."""
    return rows.reshape(*rows.shape[:-2], rows.shape[-2] // 6, 6, rows.shape[-1])


def left_open(projection: np.ndarray, given: np.ndarray) -> np.ndarray:
    """What each seam lacks if it alone is left open.

    Parameters
    ----------
    projection : shape (..., 6 Q, 6 Q).
    given : what seams give where all do their part, shape (..., Q, 6, E), mm.

    Returns
    -------
    Shape (..., Q, 6, E), mm.
    """
    count = projection.shape[-1] // 6
    blocks = projection.reshape(*projection.shape[:-2], count, 6, count, 6)
    own = np.moveaxis(np.diagonal(blocks, axis1=-4, axis2=-2), -1, -3)
    return np.linalg.pinv(own, rcond=_FELT, hermitian=True) @ given


@dataclass(frozen=True)
class Linear:
    """What errors do to a network at some openings.

    Parameters
    ----------
    openings : shape (S,), radians.
    gives : what seams must give for a source of 1 mm or 1 rad, shape (S, Q, 6, E), mm.
    projection : on the self-stresses, shape (S, 6 Q, 6 Q).
    pressed : sources of what lands where it falls, shape (Z,).
    closing : how their errors follow the others', shape (Z, E): they make it meet where the spread
        is closed.
    """

    network: Network
    openings: np.ndarray
    gives: np.ndarray
    projection: np.ndarray
    pressed: tuple[int, ...] = ()
    closing: np.ndarray | None = None

    def gaps(self, stage: int) -> np.ndarray:
        """What seams left open lack for a source of 1 mm or 1 rad, shape (Q, 6, E), mm."""
        if stage not in self._left:
            self._left[stage] = left_open(self.projection[stage], self.gives[stage])
        return self._left[stage]

    @cached_property
    def _left(self) -> dict[int, np.ndarray]:
        return {}

    def landing(self, pressed: Set[int]) -> Linear:
        """The same if some seams are glued last, by closing the spread on them.

        Each lands where it then falls, so that its own error is what makes it meet.

        Parameters
        ----------
        pressed : seams; the first opening is 0.
        """
        own = [
            e
            for e, source in enumerate(sources(self.network))
            if pressed & set(self.network.spots[source.spot].seams)
        ]
        if not own:
            return self
        shape = self.gives.shape
        closed = self.gives[0].reshape(-1, shape[-1])
        closing = -np.linalg.pinv(closed[:, own], rcond=1e-6) @ closed
        gives = self.gives + self.gives[..., own] @ closing
        return Linear(self.network, self.openings, gives, self.projection, tuple(own), closing)


def linear(network: Network, openings: np.ndarray, poses: np.ndarray) -> Linear:
    """The first-order answer.

    Parameters
    ----------
    openings : shape (S,), radians.
    poses : of the bodies, shape (S, B, 4, 4).
    """
    rows = SeamRows(network, poses[:, list(network.bodies)])
    projection = stresses(rows.jacobian)
    return Linear(network, openings, by_seam(projection @ rows.errors), projection)
