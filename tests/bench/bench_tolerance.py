"""First order beside full solves: how far paper must give in builds by hand, on twenty designs.

python -m tests.bench.bench_tolerance [BUILDS]

Ten designs are shipped and ten random. Errors of all places are drawn at once, with the accuracy of
a hand, and each build is judged at several openings by the widest that any seam must give.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from scipy.stats import spearmanr

from meshes import designs
from meshes.errors import DesignError
from meshes.exact import HandAccuracy
from meshes.exact.builds import errors_of
from meshes.exact.linear import linear
from meshes.exact.network import networks
from meshes.exact.settle import Settled
from meshes.spread import Spread, read
from tests.check.random_spreads import random_design

OPENINGS = np.radians([0.0, 45.0, 90.0, 135.0])
RANDOM = 10


def compare(spread: Spread, builds: int) -> tuple[np.ndarray, np.ndarray]:
    """What the worst seam of each network must give in each build, to first order and in full."""
    motion = spread.solve(OPENINGS)
    poses = motion.matrices
    first, full = [], []
    for network in networks(spread.sheets, spread.joins, spread.linkage):
        answer = linear(network, OPENINGS, poses)
        errors = errors_of(answer, HandAccuracy())[:, :builds]
        first.append(np.linalg.norm(answer.gives @ errors, axis=2).max(axis=(0, 1)))
        stages = np.repeat(np.arange(len(OPENINGS)), builds)
        settled = Settled(
            network,
            poses[stages],
            motion.angles[stages],
            np.tile(errors.T, (len(OPENINGS), 1)),
            stages == 0,
        )
        full.append(settled.gives.max(axis=1).reshape(len(OPENINGS), builds).max(axis=0))
    return np.concatenate(first), np.concatenate(full)


def spreads() -> Iterator[tuple[str, Spread]]:
    """The shipped designs, and random ones that close."""
    for name in designs.names():
        yield name, read(designs.path(name))
    found, seed = 0, 0
    while found < RANDOM:
        seed += 1
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "random.toml"
            path.write_text(random_design(seed))
            try:
                spread = read(path)
            except DesignError:
                continue
        if spread.solve(OPENINGS).solved.all():
            found += 1
            yield f"random {seed}", spread


def main() -> None:
    builds = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    firsts, fulls = [], []
    for name, spread in spreads():
        start = time.process_time()
        first, full = compare(spread, builds)
        firsts.append(first)
        fulls.append(full)
        told(name, first, full, time.process_time() - start)
    told("all", np.concatenate(firsts), np.concatenate(fulls), 0.0)


def told(name: str, first: np.ndarray, full: np.ndarray, seconds: float) -> None:
    ratio = full / first
    print(
        f"{name:20s} {len(first):5d} builds  rank {spearmanr(first, full).statistic:.4f}  "
        f"full / first order {ratio.min():.3f} … {ratio.max():.3f}, median {np.median(ratio):.3f}  "
        f"first {np.median(first):.3f} mm  {seconds:.1f} s",
        flush=True,
    )


if __name__ == "__main__":
    main()
