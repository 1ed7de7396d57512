"""Building orders of the shipped and of fifty random designs: proved, judged, and timed.

The judge (`tests.building.judge`) shares nothing with the proof but the design and its motion.

Run with ``python -m tests.bench.bench_building``.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from meshes import designs, spread
from meshes.building import BuildError, Step, faults, order
from meshes.motion.result import Motion
from meshes.spread import Spread
from tests.building.judge import Judge
from tests.building.random_builds import random_design
from tests.building.shipped import OPENINGS, shipped

COUNT = 50


def main() -> None:
    """Print how many are proved, which are refused and why, and the share of time it takes."""
    proved, seed, objected, solving, ordering = 0, 0, 0, 0.0, 0.0
    with tempfile.TemporaryDirectory() as folder:
        while proved < COUNT:
            file = Path(folder) / "t.toml"
            file.write_text(random_design(seed))
            start = time.process_time()
            found = spread.read(file)
            motion = found.solve(OPENINGS)
            middle = time.process_time()
            try:
                steps = order(found.sheets, found.joins, found.linkage, motion)
            except BuildError as error:
                print(f"{seed}: {error}")
            else:
                solving += middle - start
                ordering += time.process_time() - middle
                assert not faults(steps, found.sheets, found.joins, found.linkage, motion)
                objected += _objections(f"{seed}", found, motion, steps)
                proved += 1
            seed += 1
    for name in designs.names():
        objected += _objections(name, *shipped(name))
    print(f"{objected} steps objected to, in {proved} random and {len(designs.names())} shipped")
    print(f"{proved} of {seed} proved; {ordering / solving:.2f} of the time of solving them")


def _objections(name: str, found: Spread, motion: Motion, steps: Sequence[Step]) -> int:
    wrong = Judge(found, motion).objections(steps)
    for number, why in wrong:
        print(f"{name}, step {number + 1}: {why}")
    return len(wrong)


if __name__ == "__main__":
    main()
