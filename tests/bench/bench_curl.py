"""Shipped designs with curled paper at all 181 openings: what passes through, and the largest step.

    python -m tests.bench.bench_curl [NAME…]

Rays judge whether paper passes through paper (`tests.curl.judge`). The step is how far any corner
of curled paper goes from one degree to the next, the move of its whole facet included.
"""

from __future__ import annotations

import sys

import numpy as np

from meshes import designs
from meshes.curl import Bent, bent
from meshes.curl.closing import STAGES
from meshes.spread import read
from tests.curl.judge import passes


def largest_step(seen: Bent) -> float:
    """How far a corner of a strip goes at most from one stage of a motion to the next, mm."""
    most = 0.0
    for k, body in enumerate(seen.linkage.bodies):
        for part in body.parts:
            if part.facet.strip_of:
                flat = np.asarray(part.polygon.exterior.coords)[:, :2]
                place = flat @ np.swapaxes(seen.motion.rotations[:, k, :, :2], 1, 2)
                place = place + seen.motion.translations[:, k, None]
                most = max(most, float(np.linalg.norm(np.diff(place, axis=0), axis=2).max()))
    return most


def main(names: list[str]) -> None:
    """Print a line for each design."""
    for name in names or designs.names():
        spread = read(designs.path(name))
        if not any(sheet.curls for sheet in spread.sheets):
            continue
        seen = bent(spread, spread.solve(STAGES), lifted=False)
        found = [passes(seen.linkage, seen.motion, stage) for stage in range(len(STAGES))]
        through = sum(map(len, found))
        print(f"{name}: {through} passages, largest step {largest_step(seen):.2f} mm a degree")


if __name__ == "__main__":
    main(sys.argv[1:])
