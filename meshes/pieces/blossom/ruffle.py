"""What a ruffle on legs needs: more than a full turn of paper, so two of its folds hang down.

Derived here from plane and spherical trigonometry, for paper that neither stretches nor bends.

The edge of the carrying part, lambda from its middle, has the direction e = (cos lambda cos psi,
sin lambda, cos lambda sin psi) when that part rises to psi over the plane square to the book's
plane of symmetry. The fold over the crease lies in that plane of symmetry, an angle s = total/4 -
lambda of paper from e. Its direction (0, cos beta, sin beta) therefore obeys ``sin lambda cos beta
+ cos lambda sin psi sin beta = cos s``, and it is a valley on the lower of the two solutions. A
ruffle has s + lambda > 90°, so that beta < 0: the fold ends lower than the flower's middle, and
over the crease.

On a page that rises to phi = 90° - opening/2 a leg of length g joins the foot, d from the crease,
to its top, r from the flower's middle, so the middle stands ``d sin phi - r sin psi + sqrt(g² - (r
cos psi - d cos phi)²)`` high. Longer legs lift all of it, whatever phi and psi are.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from .fan import FULL, NEAR, Fan
from .petals import PetalShape, sector_edge
from .rules import LegSize

# Openings and elevations that are tried; heights change by less than 0.01 mm between them.
# Our choice.
_OPENINGS, _ELEVATIONS = 13, 61
# What a ruffle should keep from the crease. Our choice.
RUFFLE_ROOM_MM = 1.0
# Paper that only touches the page, mm. Our choice.
_TOUCH_MM = 1e-6


def hangs(fan: Fan, gutter_folds: str) -> bool:
    """Whether a layer is a ruffle whose folds over the crease hang down."""
    return gutter_folds == "valley" and fan.total > FULL + NEAR


@dataclass(frozen=True)
class Ruffle:
    """A ruffle with valleys over the crease, on legs on a valley."""

    fan: Fan
    shape: PetalShape

    def room(self, legs: LegSize) -> float:
        """How far over the crease its folds can stay at every opening, mm; below 0 they can't.

        All sectors between the carrying part and the crease are taken as one plane; where it is
        more than one, bending them may give room.
        """
        phi = np.linspace(0.0, np.pi / 2, _OPENINGS)[:, None]
        # The carrying petals rise at least as steeply as the page.
        psi = phi + (np.pi / 2 - phi) * np.linspace(0.0, 1.0, _ELEVATIONS)
        square = legs.length**2 - (legs.top * np.cos(psi) - legs.foot * np.cos(phi)) ** 2
        middle = legs.foot * np.sin(phi) - legs.top * np.sin(psi) + np.sqrt(np.maximum(square, 0))
        fits, lowest = square >= 0, np.full(psi.shape, np.inf)
        for reach, corners in self._sides:
            spare = self.fan.total / 4 - reach
            edge = np.array([np.cos(reach) * np.cos(psi), np.cos(reach) * np.sin(psi)])
            fall = _fall(reach, spare, psi)
            lowest = np.minimum(lowest, middle - self.shape.parting * np.sin(fall))
            # NaN where the paper does not reach the plane of symmetry.
            fits = fits & np.isfinite(fall)
            for out, away in corners:
                along, down = np.sin(spare - away), np.sin(away) * np.sin(fall)
                x, z = out / np.sin(spare) * np.array([along * edge[0], along * edge[1] - down])
                fits = fits & ((z + middle) * np.cos(phi) - x * np.sin(phi) > -_TOUCH_MM)
        return float(np.where(fits, lowest, -np.inf).max(axis=1).min())

    def least_length(self, legs: LegSize, room: float) -> float | None:
        """The shortest leg, mm, that leaves some room over the crease; None if there is none."""
        low, high = abs(legs.top - legs.foot), legs.top + legs.foot
        if self.room(replace(legs, length=high)) < room:
            return None
        while high - low > 0.01:
            middle = (low + high) / 2
            enough = self.room(replace(legs, length=middle)) >= room
            low, high = (low, middle) if enough else (middle, high)
        return high

    def largest_share(self, legs: LegSize, room: float) -> float | None:
        """Of the size of its petals, the most that these legs carry; None if there is none."""
        low, high = legs.top / self.shape.parting, 1.0
        if self._scaled(low).room(legs) < room:
            return None
        while high - low > 0.002:
            middle = (low + high) / 2
            enough = self._scaled(middle).room(legs) >= room
            low, high = (middle, high) if enough else (low, middle)
        return low

    def _scaled(self, share: float) -> Ruffle:
        shape = self.shape
        return replace(
            self,
            shape=replace(
                shape,
                length=share * shape.length,
                parting=share * shape.parting,
                notch=share * shape.notch,
            ),
        )

    @cached_property
    def _sides(self) -> list[tuple[float, list[tuple[float, float]]]]:
        """Of the paper in front and behind: where the carrying part ends, and corners to look at.

        Corners are (distance from the middle, angle from the carrying part towards the crease).
        """
        half = self.fan.half_count
        assert half is not None, "a fan without halves has been refused"
        edges = self.fan.edges[: half + 1]
        found: list[tuple[float, list[tuple[float, float]]]] = []
        for sign, reach in zip((-1, 1), self.fan.reach, strict=True):
            corners: list[tuple[float, float]] = []
            for a, b, petals in zip(edges[:-1], edges[1:], self.fan.petals[:half], strict=True):
                if sign * (a + b) / 2 > sign * reach:
                    away = sign * (a + b) / 2 - sign * reach
                    rim = sector_edge((a - b) / 2, (b - a) / 2, petals, self.shape)
                    turn = away + sign * np.arctan2(rim[:, 1], rim[:, 0])
                    corners += zip(np.hypot(*rim.T).tolist(), turn.tolist(), strict=True)
            found.append((abs(reach), corners))
        return found


def _fall(reach: float, spare: float, psi: np.ndarray) -> np.ndarray:
    """How steeply the fold over the crease falls, radians; NaN where no paper gets there."""
    across, up = np.sin(reach), np.cos(reach) * np.sin(psi)
    share = np.cos(spare) / np.maximum(np.hypot(across, up), 1e-12)
    away = np.where(np.abs(share) <= 1, np.arccos(np.clip(share, -1, 1)), np.nan)
    return np.asarray(away - np.arctan2(up, across))
