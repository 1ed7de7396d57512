"""Building guides of the shipped designs: what pictures cost, and how much each changes.

Run with ``python -m tests.bench.bench_guide``, perhaps with names of designs.
"""

from __future__ import annotations

import sys
import time
from itertools import pairwise

import numpy as np

from meshes import designs
from preview.guide.pictures import pictures
from preview.guide.studio import GuideStudio
from tests.building.shipped import shipped

SIZE = (648, 432)
# A letter alone changes less than this share of a picture: measured on the shipped designs.
LEAST = 0.012


def main() -> None:
    """Print for each design the time of its pictures and the pair that differs least."""
    low = 0
    for name in sys.argv[1:] or designs.names():
        found, _, steps = shipped(name)
        studio = GuideStudio.of(found, SIZE)
        start = time.process_time()
        drawn = [p.astype(int) for p in pictures(studio, steps, 1)][1:]
        spent = time.process_time() - start
        changed = [(np.abs(b - a).max(axis=2) > 24).mean() for a, b in pairwise(drawn)]
        low += sum(share < LEAST for share in changed)
        print(
            f"{name}: {len(drawn)} steps, {spent:.1f} s of processor time, "
            f"least changed {100 * min(changed):.1f} % at step {int(np.argmin(changed)) + 2}",
            flush=True,
        )
    print(f"{low} steps differ from the last by less than {100 * LEAST:.1f} %")


if __name__ == "__main__":
    main()
