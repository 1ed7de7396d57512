"""One layer of a blossom in numbers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from .fan import Fan
from .model import Layer
from .petals import PetalShape, sector_edge
from .rules import LegSize

Stand = Literal["flat", "legs", "glued"]


@dataclass(frozen=True)
class LayerPlan:
    """One layer in numbers.

    Parameters
    ----------
    prefix : before the names of its facets and folds.
    need : elevation to which its carrying part must rise, with all that stands on it, radians.
    governed_by : name of the layer that needs it.
    rest : rest angle of its petal folds, radians.
    """

    keys: Layer
    prefix: str
    stand: Stand
    fan: Fan
    shape: PetalShape
    need: float
    governed_by: str
    rest: float
    legs: LegSize | None = None

    @property
    def cone(self) -> bool:
        """Whether its folds move, so that it is no flat layer."""
        return self.stand != "flat"

    @property
    def carriers(self) -> tuple[tuple[int, ...], tuple[int, ...]]:
        """The sectors that carry it on the right and on the left."""
        found = self.fan.laterals()
        assert found is not None, "a layer without them has been refused"
        return found

    def rim(self) -> np.ndarray:
        """The edge of a layer as it lies in the closed book, or all of a flat one.

        Returns
        -------
        Points, shape (n, 2), mm.
        """
        edges = self.fan.edges + (0.0 if self.cone else self.keys.turn)
        sectors = [
            sector_edge(float(a), float(b), petals, self.shape)
            for a, b, petals in zip(edges[:-1], edges[1:], self.fan.petals, strict=True)
        ]
        # A cone lies in two halves, one on the other.
        return np.concatenate(sectors[: self.fan.half_count] if self.cone else sectors)
