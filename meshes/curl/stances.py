"""Where a spread stands as far as curled paper minds: its wedges, and what a hand has moved."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from meshes.drive import LEFT, Wedges, riders, where
from meshes.linkage import Linkage
from meshes.motion.result import Motion
from meshes.sheet import Drive


@dataclass(frozen=True, eq=False)
class Stances:
    """S states of a spread.

    Parameters
    ----------
    wedges : shape (K, S), how far the sides of each wedge stand apart, radians; one wedge for a
        spread without flyleaves.
    hands : by name of a wheel or slide, how far it is moved, 0 to 1, shape (S,).
    """

    wedges: np.ndarray
    hands: Mapping[str, np.ndarray]


def stances(linkage: Linkage, motion: Motion) -> Stances:
    """The states of a motion, read off its poses; 0 wherever it is not solved.

    Parameters
    ----------
    motion : of the linkage, perhaps with strips of curled paper after its bodies.
    """
    if not linkage.drives:
        return Stances(np.nan_to_num(motion.openings)[None], {})
    sides = Wedges(linkage).sides
    # From the gutter outwards: the left page's x runs towards the gutter.
    out = np.nan_to_num(motion.rotations[:, sides][..., 0])
    out[:, 0] *= -1.0
    sine = np.linalg.norm(np.cross(out[:, :-1], out[:, 1:]), axis=2)
    cosine = (out[:, :-1] * out[:, 1:]).sum(axis=2)
    hands = {
        drive.name: where(linkage, motion, drive)
        for drive in linkage.drives
        if drive.kind != "flyleaf"
    }
    return Stances(np.arctan2(sine, cosine).T, hands)


class Sides:
    """Between which sides of the opening each body is, and which hands carry it."""

    def __init__(self, linkage: Linkage) -> None:
        self.linkage = linkage
        wedges = Wedges(linkage)
        self.sides = wedges.sides
        self._loose = {body: k for k, own in enumerate(wedges.loose) for body in own}
        self._carrier: dict[int, Drive] = {
            body: drive
            for drive in linkage.drives
            if drive.kind != "flyleaf"
            for body in riders(linkage, linkage.place(drive.join.facet)[0])
        }

    @property
    def count(self) -> int:
        """How many wedges there are."""
        return len(self.sides) - 1

    def wedge(self, body: int, up: float) -> int:
        """The wedge in which paper of a body lies.

        Parameters
        ----------
        up : to which side of the body's plane it looks, positive or negative; only a flyleaf,
            whose front lies in the wedge left of it, has paper on both.
        """
        if body in self._carrier:
            join = self._carrier[body].join
            host_body, host = self.linkage.place(join.host)
            return self.wedge(host_body, join.side * host.placement.up)
        if body not in self.sides:
            return self._loose[body]
        number = self.sides.index(body)
        inner = number if body == LEFT or up < 0 else number - 1
        return min(max(inner, 0), self.count - 1)

    def hands(self, body: int) -> frozenset[str]:
        """Names of the wheels and slides that carry a body along."""
        if body not in self._carrier:
            return frozenset()
        drive = self._carrier[body]
        return self.hands(self.linkage.place(drive.join.host)[0]) | {drive.name}

    @cached_property
    def leaves(self) -> dict[int, list[tuple[int, float]]]:
        """For each wedge the flyleaves at its sides, each with the side it turns to the wedge."""
        last = len(self.sides) - 1
        return {
            k: [(self.sides[k + n], way) for n, way in ((0, -1.0), (1, 1.0)) if 0 < k + n < last]
            for k in range(self.count)
        }
