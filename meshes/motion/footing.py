"""What a free block stands on, and where: all that another process must know to lead it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from .free.roam import Roamer
from .free.twins import Stand
from .loops.blocks import Block
from .loops.closure import Closure
from .loops.march import Marcher
from .memory import Memory


@dataclass(frozen=True, eq=False)
class HostsAnywhere:
    """Gives the closure of a block at any opening; see ClosureAt.

    Parameters
    ----------
    openings : shape (S,), radians.
    stages : the closure at each of them; NaN where the hosts do not get.
    marcher : of what the block stands on, for all other openings.
    """

    block: Block
    openings: np.ndarray
    stages: Closure
    marcher: Marcher
    memory: Memory

    @cached_property
    def _index(self) -> dict[float, int]:
        """The number of each stage whose hosts get there."""
        placed = np.isfinite(self.stages.translations).all(axis=(1, 2)).tolist()
        return {opening: k if placed[k] else -1 for k, opening in enumerate(self.openings.tolist())}

    @cached_property
    def _made(self) -> dict[int, Closure]:
        return {}

    def __call__(self, opening: float) -> Closure | None:
        """The closure at an opening, radians; None where the hosts do not get."""
        self.memory.heed()
        k = self._index.get(float(opening))
        if k is None:
            here = self.marcher.poses_at(opening, self.block)
            known = np.isfinite(here[1][list(self.block.hosts)]).all()
            return self.block.closure(*here) if known else None
        if k not in self._made and k >= 0:
            stages = self.stages
            self._made[k] = Closure(
                self.block.geometry, stages.rotations[k], stages.translations[k]
            )
        return self._made.get(k)


@dataclass(frozen=True, eq=False)
class Poised:
    """A block before it is led: how it stands, and who leads it."""

    stand: Stand
    roamer: Roamer
