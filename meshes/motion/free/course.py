"""How a free block goes over the opening, and what it meets on its way."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from ..loops.blocks import Block
from ..loops.march import Blocked, Stop, Touch
from .contact import Contacts
from .rest import Rest


@dataclass(frozen=True)
class Snap:
    """A sudden move of a fold (index in the linkage) at an opening, by `jump`; radians.

    `past` is the piece that it leant on until then, if any.
    """

    opening: float
    hinge: int
    jump: float
    past: str = ""


@dataclass(frozen=True)
class Branch:
    """Another pose past a stop: where, which fold (index in the linkage) differs most; radians."""

    opening: float
    hinge: int
    apart: float


@dataclass(frozen=True)
class Walk:
    """How far a free block gets, whatever openings are asked for.

    Parameters
    ----------
    rests : by opening, radians: those visited in turn.
    between : those found from them, by opening, radians.
    """

    rests: Mapping[float, Rest]
    between: Mapping[float, Rest]
    stops: tuple[Stop, ...] = ()
    branches: tuple[Branch, ...] = ()

    @property
    def every(self) -> dict[float, Rest]:
        """All rests, by opening."""
        return {**self.between, **self.rests}

    def renamed(self, fold: Mapping[int, int], body: Mapping[int, int]) -> Walk:
        """The same walk with other indices of folds and bodies in the linkage."""

        def moved(touch: Touch | None) -> Touch | None:
            if touch is None:
                return None
            # Pages, and what else no fold of the block touches, is the same for both.
            one, two = (body.get(k, k) for k in touch.bodies)
            return replace(touch, bodies=(one, two))

        stops = (
            replace(stop, hinge=fold[stop.hinge], touch=moved(stop.touch)) for stop in self.stops
        )
        branches = (replace(branch, hinge=fold[branch.hinge]) for branch in self.branches)
        return replace(self, stops=tuple(stops), branches=tuple(branches))


@dataclass(frozen=True)
class Course:
    """A free block over the opening.

    Parameters
    ----------
    angles : shape (S, n), radians; NaN where the block does not get.
    stops : those of the walk, and where it does not come to lie flat.
    leans : whether it ever touches something on which it does not stand.
    blocked : where other pieces stop it.
    """

    block: Block
    contacts: Contacts
    angles: np.ndarray
    walk: Walk
    stops: tuple[Stop, ...] = ()
    snaps: tuple[Snap, ...] = ()
    leans: bool = False
    blocked: tuple[Blocked, ...] = ()
