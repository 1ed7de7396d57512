"""What a flower on legs needs in order to fold flat and to open all the way.

Derived here from plane and spherical trigonometry, for paper that neither stretches nor bends:

*Flat.* Closed, the flower lies in two halves on its two hosts. Each half is a flat fan of half the
sectors, so folds must lie on the crease in front and behind, and the carrying part in the middle.

*Cone limit.* Let the carrying part rise at psi over the plane that is square to the book's plane of
symmetry, and reach lambda to either side of its middle. Its edge has the direction (cos lambda cos
psi, sin lambda, cos lambda sin psi); the paper from there to the fold over the crease, total/4 -
lambda wide, must span the angle between that edge and the plane of symmetry, whose sine is the
first component: ``cos lambda cos psi <= sin(total/4 - lambda)``.

*Page limit.* A leg of length g from the foot, d from the crease, to its top, r from the middle of
the flower, closes a triangle with the crease. Its angle at the middle is gamma when the middle lies
on the crease, and paper can't sink deeper: ``psi <= gamma + 90° - opening/2``.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np


def cone_limit(total: float, low: float, high: float) -> float:
    """The least elevation of the carrying part that the paper beside it allows.

    Parameters
    ----------
    total : of all sectors, radians.
    low, high : directions of the carrying part's edges from its middle, radians, low <= 0 <= high.

    Returns
    -------
    Radians, pi/2 when the flower is closed; 0 where there is no limit.

    Raises
    ------
    ValueError
        If no paper is left beside the carrying part.
    """
    limits = [0.0]
    for reach in (-low, high):
        spare = min(total / 4 - reach, np.pi / 2)
        if spare <= 1e-6:
            raise ValueError("no paper is left between the carrying petal and the crease")
        # At a right angle and beyond, the paper reaches the plane of symmetry from anywhere.
        cosine = 1.0 if spare >= np.pi / 2 - 1e-9 else np.sin(spare) / np.cos(reach)
        if cosine < 1 - 1e-12:
            limits.append(float(np.arccos(cosine)))
    return max(limits)


@dataclass(frozen=True)
class LegSize:
    """A pair of legs.

    Parameters
    ----------
    top : from the flower's middle to the top of the leg, mm.
    foot : from the crease to the foot, mm.
    length : from foot to top, mm.
    half_width : mm.
    aside : how far behind the flower's middle the legs stand, mm.
    top_tab, foot_tab : depth of the glue tabs, mm.
    """

    top: float
    foot: float
    length: float
    half_width: float
    aside: float
    top_tab: float
    foot_tab: float

    @property
    def limit(self) -> float:
        """Elevation at which the flower's middle sits on the flat open crease, radians.

        Law of cosines; NaN if the three lengths make no triangle.
        """
        cosine = (self.top**2 + self.foot**2 - self.length**2) / (2 * self.top * self.foot)
        return float(np.arccos(cosine)) if abs(cosine) <= 1 else float("nan")

    @property
    def closed_middle(self) -> float:
        """Distance of the flower's middle from the crease in the closed book, mm."""
        return self.foot + self.length - self.top


def leg_length(top: float, foot: float, limit: float) -> float:
    """The leg, mm, that lets the flower sink to an elevation of `limit` radians; law of cosines."""
    return float(np.sqrt(top**2 + foot**2 - 2 * top * foot * np.cos(limit)))


def jam_opening(need: float, limit: float) -> float:
    """Opening at which a flower stops that must rise to `need` but may only rise to `limit`.

    All in radians; pi if it opens all the way. From ``need = limit + 90° - opening/2``.
    """
    return float(np.pi - 2 * max(0.0, need - limit))
