"""Designs with their motion and building order, found once for all tests."""

from __future__ import annotations

from functools import cache

import numpy as np

from meshes import spread
from meshes.building import Step, order
from meshes.building.kept import LOOKED_AT_DEG, within_reach
from meshes.motion.result import Motion
from meshes.spread import Spread
from tests import designs

OPENINGS = np.radians(LOOKED_AT_DEG)


@cache
def shipped(name: str) -> tuple[Spread, Motion, tuple[Step, ...]]:
    """A design, its motion as hands meet it, and the order in which it is built."""
    found = spread.read(designs.path(name))
    motion = within_reach(found)
    return found, motion, order(found.sheets, found.joins, found.linkage, motion)
