"""Building orders of fifty random designs, proved step by step, and how long that takes.

Run with ``python -m tests.bench.bench_building``.
"""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

import numpy as np

from meshes import spread
from meshes.building import BuildError, faults, order
from tests.building.random_builds import random_design

OPENINGS = np.radians([0.0, 20.0, 45.0, 70.0, 95.0, 120.0, 150.0, 180.0])
COUNT = 50


def main() -> None:
    """Print how many are proved, which are refused and why, and the share of time it takes."""
    proved, seed, solving, ordering = 0, 0, 0.0, 0.0
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
                assert not faults(steps, found.sheets, found.joins, found.linkage, motion)
                proved += 1
                solving += middle - start
                ordering += time.process_time() - middle
            seed += 1
    print(f"{proved} of {seed} proved; {ordering / solving:.2f} of the time of solving them")


if __name__ == "__main__":
    main()
