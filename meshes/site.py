"""Places where a piece can stand: the creases and facets that other pieces make."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from .sheet import Crossing, Join, Placement, Sheet


@dataclass(frozen=True)
class Ground:
    """One facet to glue on.

    Site coordinates lie in the facet's plane with z towards the reader of that side; `placement`
    maps them to the coordinates of the facet's sheet.
    """

    facet: str
    placement: Placement
    side: Literal[1, -1] = 1

    def join(self, facet: str, placement: Placement, lift: float = 0.0) -> Join:
        """Glue `facet` (id) where `placement` puts its sheet in site coordinates."""
        return Join(facet, self.facet, self.placement.after(placement), self.side, lift)


@dataclass(frozen=True)
class CreaseSite:
    """A crease to stand on, laid flat: y along the crease, x to the right facet, z to the reader.

    The origin is the start of the crease for the reader of that side. The gutter is the crease of
    the spread: left page on x < 0, y = 0 at the foot of the page.

    Parameters
    ----------
    left, right : the two facets of the host.
    length : of the crease, mm.
    sign : -1 if the crease is a valley for the reader of that side (the gutter is), +1 a mountain.
    """

    name: str
    left: Ground
    right: Ground
    length: float
    sign: Literal[1, -1]


def crease_site(
    sheet: Sheet, crossing: Crossing, side: Literal[1, -1] = 1, over: bool = False
) -> CreaseSite:
    """The site on a fold of a sheet, seen from its front (+1) or its back (-1).

    The front is the printed face, unless the sheet is turned `over`: what stands on it stays where
    it is then.
    """
    fold = crossing.fold
    face: Literal[1, -1] = 1 if (side == 1) != over else -1
    start = fold.start if side == 1 else fold.end
    along = np.subtract(fold.end, fold.start) * side
    # Site y runs along the fold. On the other face the site's x axis is mirrored in the sheet.
    angle = float(np.arctan2(along[1], along[0])) - np.pi / 2
    placement = Placement(angle, start, flipped=face == -1)
    # Left of the fold, seen from the other face and looking the other way, is the same facet; with
    # only one of both it is the other facet.
    left, right = crossing.left, crossing.right
    if over:
        left, right = right, left
    return CreaseSite(
        f"{sheet.piece}.{fold.name}",
        Ground(f"{sheet.piece}.{left}", placement, face),
        Ground(f"{sheet.piece}.{right}", placement, face),
        fold.length,
        1 if fold.sign * face == 1 else -1,
    )


def from_behind(site: CreaseSite) -> CreaseSite:
    """The same crease for the reader of the other side: it starts at its other end there."""

    def turned(ground: Ground) -> Ground:
        # (x, y) to (x, length - y): the facet on the left stays on the left.
        mirror = Placement(np.pi, (0.0, site.length), flipped=True)
        side: Literal[1, -1] = 1 if ground.side == -1 else -1
        return Ground(ground.facet, ground.placement.after(mirror), side)

    sign: Literal[1, -1] = 1 if site.sign == -1 else -1
    return CreaseSite(site.name, turned(site.left), turned(site.right), site.length, sign)
