"""Random spreads come to rest where an independent rigid-body engine lets them come to rest.

What the engine is told is in `spread_engine`. Each spread is put together some degrees off, with
every fold disturbed by itself, and let go. `tests/bench/bench_motions.py` does the same with 50.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from meshes import spread
from meshes.linkage import Linkage
from tests.check.random_spreads import random_design
from tests.outside.spread_engine import Engine

# The engine gives way by 1e-4 mm and stops when folds creep by less than 1e-5 radians a second.
WITHIN_DEG, WITHIN_MM = 0.005, 0.001
DISTURBED_DEG = 6.0


@dataclass(frozen=True)
class Confirmed:
    """How far from ours the folds of the engine start and come to rest, degrees; ties in mm."""

    folds: int
    free: bool
    opening_deg: float
    start: float
    end: float
    slip: float


def free_design(random: np.random.Generator) -> str:
    """A flower on legs or a tube, whose folds leave it free, among pages."""
    if random.random() < 0.6:
        count = int(random.choice([6, 10]))
        angle = random.uniform(240, 330) / count
        keys = [f'kind = "blossom"\nsectors = {count}\nangle = {angle:.2f}', "length = 40"]
    else:
        distance, height = random.uniform(10, 25), random.uniform(12, 35)
        keys = [
            f'kind = "box"\ndistance = {distance:.2f}\nheight = {height:.2f}\nwidth = 25',
            'foot_end = "none"\nhead_end = "none"\nlid = "out"',
        ]
    return "\n".join(['[spread]\npage = "A5"', "[pieces.free]", *keys, "at = 100"])


def confirm(folder: Path, seed: int) -> Confirmed | None:
    """Solve a random spread at a random opening and ask the engine; None if it jams there."""
    random = np.random.default_rng(seed)
    free = seed % 3 == 0
    file = folder / "random.toml"
    file.write_text(free_design(random) if free else random_design(seed))
    made = spread.read(file)
    opening = float(np.radians(random.uniform(35, 165)))
    motion = made.solve(np.array([opening]))
    if not motion.solved.all():
        return None
    linkage: Linkage = made.linkage
    engine = Engine(linkage, opening, corners=free)
    off = np.radians(random.uniform(-DISTURBED_DEG, DISTURBED_DEG, len(linkage.hinges)))
    low, high = _ranges(linkage)
    engine.put(np.clip(motion.angles[0] + off, low, high))
    start = np.degrees(np.abs(off)).max()
    found = np.degrees(np.abs(engine.settle() - motion.angles[0])).max()
    return Confirmed(len(off), free, float(np.degrees(opening)), start, float(found), engine.slip)


def _ranges(linkage: Linkage) -> tuple[np.ndarray, np.ndarray]:
    ends = np.array([sorted((0.0, hinge.sign * np.pi)) for hinge in linkage.hinges])
    return ends[:, 0], ends[:, 1]


@pytest.mark.parametrize("seed", [0, 1, 2, 3, 6])
def test_a_random_spread_settles_where_it_is_solved(tmp_path, seed):
    found = confirm(tmp_path, seed)
    assert found is not None
    assert found.start > 2
    assert found.end < WITHIN_DEG
    assert found.slip < WITHIN_MM
