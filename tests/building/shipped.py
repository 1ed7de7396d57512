"""Designs with their motion and building order, found once for all tests."""

from __future__ import annotations

from functools import cache

import numpy as np

from meshes import spread
from meshes.building import Step, order
from meshes.motion.result import Motion
from meshes.spread import Spread
from tests import designs

OPENINGS = np.radians([0.0, 20.0, 45.0, 70.0, 95.0, 120.0, 150.0, 180.0])


@cache
def shipped(name: str) -> tuple[Spread, Motion, tuple[Step, ...]]:
    """A design, its motion at `OPENINGS`, and the order in which it is built."""
    found = spread.read(designs.path(name))
    motion = found.solve(OPENINGS)
    return found, motion, order(found.sheets, found.joins, found.linkage, motion)
