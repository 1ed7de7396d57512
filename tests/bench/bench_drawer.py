"""Things from the drawer on random designs: ``python -m tests.bench.bench_drawer [COUNT [FIRST]]``.

On each of COUNT random designs six things of the drawer are laid at random places, and the whole
design is checked with each of them. It prints what becomes of each, what the check finds that was
not there before (nothing, or the drawer is wrong), and at last how many of every kind were laid
down and how many refused.
"""

from __future__ import annotations

import sys
import tempfile
from collections import Counter
from pathlib import Path

import numpy as np

from tests.building.random_builds import random_design
from tests.viewer.drops import dropped, every_kind

EACH = 6


def main(count: int, first: int) -> None:
    """Print a line for each kind, and one for each problem that is new."""
    laid, refused, wrong = Counter[str](), Counter[str](), 0
    kinds = every_kind()
    for seed in range(first, first + count):
        random = np.random.default_rng(seed)
        with tempfile.TemporaryDirectory() as folder:
            file = Path(folder) / "random.toml"
            file.write_text(random_design(seed))
            own = [kinds[(seed * EACH + k) % len(kinds)] for k in range(EACH)]
            for drop in dropped(file, own, random):
                (refused if drop.refused else laid)[drop.kind] += 1
                said = f"refused: {drop.refused}" if drop.refused else "laid down"
                print(f"seed {seed}: {drop.kind} on {drop.where} {said}", flush=True)
                wrong += bool(drop.new)
                for new in drop.new:
                    print(f"  NEW: {new}", flush=True)
    for kind in kinds:
        print(f"{kind}: {laid[kind]} laid down, {refused[kind]} refused")
    total = laid.total(), refused.total()
    print(f"{total[0]} laid down, {total[1]} refused, {wrong} with a problem that is new")


if __name__ == "__main__":
    numbers = [int(one) for one in sys.argv[1:]]
    main(*(numbers + [12, 0][len(numbers) :]))
