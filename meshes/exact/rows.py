"""How far the seams of a network fail to meet, and how folds, moved units and errors change it.

A small motion is a twist: a rotation vector w and the velocity v that it gives the point at the
origin (R. M. Murray, Z. Li and S. S. Sastry, A Mathematical Introduction to Robotic Manipulation,
1994, chapter 2). At a seam it counts by the root mean square distance that it moves the seam's
points: its velocity in the middle, and its turns times the seam's levers.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np

from .network import Network

# A turn of a unit or a fold by one unit moves paper so far off by 1 mm: it only keeps numbers of
# one size, mm.
LEVER_MM = 50.0

Way = Literal["along", "across", "moved", "turned"]


@dataclass(frozen=True)
class Source:
    """One way in which a hand can err.

    Parameters
    ----------
    spot : index of what is misplaced.
    way : ``along``, ``across`` (of glue, mm), ``moved`` (of a fold, across it, mm), ``turned``
        (radians).
    """

    spot: int
    way: Way

    @property
    def turns(self) -> bool:
        """Whether it is an angle."""
        return self.way == "turned"


def sources(network: Network) -> list[Source]:
    """All ways in which a hand can err: folds two, glue three."""
    folds: tuple[Way, ...] = ("moved", "turned")
    glue: tuple[Way, ...] = ("along", "across", "turned")
    return [
        Source(k, way)
        for k, spot in enumerate(network.spots)
        for way in (folds if network.seams[spot.seams[0]].folds else glue)
    ]


def misplaced(network: Network) -> np.ndarray:
    """How sources shift each seam along and across itself and turn it, shape (Q, 3, E).

    A line that is turned about its middle is shifted across itself elsewhere.
    """
    found = sources(network)
    moves = np.zeros((len(network.seams), 3, len(found)))
    column = {"along": 0, "across": 1, "moved": 1, "turned": 2}
    for e, source in enumerate(found):
        spot = network.spots[source.spot]
        for q, offset, sign in zip(spot.seams, spot.offsets, spot.signs, strict=True):
            moves[q, column[source.way], e] = 1.0 if source.turns else sign
            if source.turns:
                moves[q, 1, e] = offset
    return moves


@dataclass(frozen=True)
class SeamRows:
    """A network whose units have been placed.

    Parameters
    ----------
    poses : of the units, shape (..., U, 4, 4), mm.
    """

    network: Network
    poses: np.ndarray

    @cached_property
    def seams(self) -> np.ndarray:
        """Frames in the seams' middles on both of their units, shape (..., Q, 2, 4, 4)."""
        units = np.array([seam.units for seam in self.network.seams], int)
        frames = np.array([seam.frames for seam in self.network.seams])
        return self.poses[..., units, :, :] @ frames

    @cached_property
    def jacobian(self) -> np.ndarray:
        """What the seams' gaps gain, shape (..., 6 Q, J).

        Columns are six twists of each unit that is not given (shifts in mm, turns about its middle
        times a lever), then the folds (radians times that lever).
        """
        network, free = self.network, self.network.free
        folds = len(network.folds)
        turn = np.zeros((*self.poses.shape[:-3], 6 * len(free) + folds, 3))
        move = np.zeros_like(turn)
        shares = np.zeros((len(network.seams), turn.shape[-2]))
        twists = np.arange(6 * len(free)).reshape(-1, 2, 3)
        move[..., twists[:, 0], :] = np.eye(3)
        turn[..., twists[:, 1], :] = np.eye(3) / LEVER_MM
        # A turn about axis k moves the origin by (middle of the unit) × axis.
        move[..., twists[:, 1], :] = np.swapaxes(_crossed(self.middles), -1, -2) / LEVER_MM
        for k, unit in enumerate(free):
            for q, seam in enumerate(network.seams):
                shares[q, 6 * k : 6 * k + 6] = (seam.units[1] == unit) - (seam.units[0] == unit)
        lines = self.seams[..., :folds, 0, :, :]
        turn[..., 6 * len(free) :, :] = lines[..., :3, 0] / LEVER_MM
        move[..., 6 * len(free) :, :] = cross(lines[..., :3, 3], lines[..., :3, 0] / LEVER_MM)
        shares[np.arange(folds), 6 * len(free) + np.arange(folds)] = -1.0
        return self._felt(shares, turn, move)

    @cached_property
    def errors(self) -> np.ndarray:
        """What the seams' gaps gain for each source, per mm or radian, shape (..., 6 Q, E).

        A fold drawn in another place takes paper from one facet and gives it to the other.
        """
        count, seams = len(self.network.seams), self.network.seams
        here, there = np.moveaxis(self.seams, -3, 0)
        there = np.where(np.array([seam.folds for seam in seams])[:, None, None], there, 0.0)
        turn = np.zeros((*self.poses.shape[:-3], count, 3, 3))
        move = np.swapaxes(here[..., :3, :3] - there[..., :3, :3], -1, -2).copy()
        turn[..., 2, :] = move[..., 2, :]
        move[..., 2, :] = cross(here[..., :3, 3], turn[..., 2, :])
        flat = (*self.poses.shape[:-3], 3 * count, 3)
        shares = -np.repeat(np.eye(count), 3, axis=1)
        felt = self._felt(shares, turn.reshape(flat), move.reshape(flat))
        return felt @ misplaced(self.network).reshape(3 * count, -1)

    @cached_property
    def middles(self) -> np.ndarray:
        """The mean of the middles of the seams of each unit that is not given, (..., F, 3), mm."""
        ends = np.array([seam.units for seam in self.network.seams])
        free = np.array(self.network.free)
        share = (ends == free[:, None, None]).astype(float)
        share /= share.sum(axis=(1, 2), keepdims=True)
        return np.einsum("fqe,...qei->...fi", share, self.seams[..., :3, 3])

    def _felt(self, shares: np.ndarray, turn: np.ndarray, move: np.ndarray) -> np.ndarray:
        """Twists (..., J, 3) as the seams feel them, shape (..., 6 Q, J).

        Parameters
        ----------
        shares : how often each twist tells between the two sides of each seam, (Q, J).
        """
        frames, sizes = self.seams[..., 0, :, :], np.array([s.sizes for s in self.network.seams])
        q, j = np.nonzero(shares)
        local, turned = frames[..., q, :3, :3], turn[..., j, :]
        velocity = move[..., j, :] + cross(turned, frames[..., :3, 3][..., q, :])
        share = shares[q, j][:, None]
        felt = np.concatenate(
            [
                share * np.einsum("...pij,...pi->...pj", local, velocity),
                share * sizes[q] * np.einsum("...pij,...pi->...pj", local, turned),
            ],
            axis=-1,
        )
        rows = np.zeros((*self.poses.shape[:-3], len(self.network.seams), 6, turn.shape[-2]))
        rows.reshape(-1, *rows.shape[-3:])[:, q, :, j] = np.moveaxis(
            felt.reshape(-1, *felt.shape[-2:]), 1, 0
        )
        return rows.reshape(*self.poses.shape[:-3], 6 * len(self.network.seams), turn.shape[-2])


def cross(one: np.ndarray, two: np.ndarray) -> np.ndarray:
    """Cross products, shapes (..., 3)."""
    x, y, z = np.moveaxis(one, -1, 0)
    u, v, w = np.moveaxis(two, -1, 0)
    return np.stack([y * w - z * v, z * u - x * w, x * v - y * u], axis=-1)


def _crossed(vectors: np.ndarray) -> np.ndarray:
    """The matrices that take a to v × a, (..., 3) to (..., 3, 3)."""
    x, y, z = np.moveaxis(vectors, -1, 0)
    none = np.zeros_like(x)
    rows = [[none, -z, y], [z, none, -x], [-y, x, none]]
    return np.stack([np.stack(row, axis=-1) for row in rows], axis=-2)
