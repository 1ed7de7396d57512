"""Nest 100 pieces on A4 and print what it took: ``python tests/bench/bench_nesting.py``.

Bound: 10 s on two cores.
"""

from __future__ import annotations

import sys
import time

import numpy as np
from shapely import affinity
from shapely.geometry import Polygon

from preview.pattern.nest import Blank, nest, rows


def shapes(count: int) -> list[Polygon]:
    """Leaves and angles of random size, seeded."""
    random = np.random.default_rng(0)
    made = []
    for k in range(count):
        if k % 3:
            t = np.linspace(0, 1, 25)
            half = random.uniform(5, 15) * np.sin(np.pi * t)
            x = random.uniform(30, 90) * t
            shape = Polygon(np.vstack([np.c_[x, half], np.c_[x, -half][::-1][1:-1]]))
        else:
            shape = Polygon([(0, 0), (40, 0), (40, 15), (20, 15), (20, 50), (0, 50)])
        made.append(affinity.rotate(shape, random.uniform(0, 360)))
    return made


def turns(shape: Polygon) -> tuple[float, ...]:
    """Quarter turns as drawn and along its smallest box."""
    corners = np.asarray(shape.minimum_rotated_rectangle.exterior.coords)
    side = corners[1] - corners[0]
    first = -float(np.arctan2(side[1], side[0]))
    return tuple(k * np.pi / 2 for k in range(4)) + tuple(first + k * np.pi / 2 for k in range(4))


def main() -> int:
    """Measure and report."""
    pieces = shapes(100)
    start = time.perf_counter()
    nested = nest([Blank(shape, turns(shape)) for shape in pieces], 181, 248, 4)
    seconds = time.perf_counter() - start
    plain = rows(pieces, 181, 248, 4)
    sys.stdout.write(
        f"100 pieces in {seconds:.2f} s: {nested.sheets} sheets, waste {nested.waste:.1%}; "
        f"plain rows: {plain.sheets} sheets, waste {plain.waste:.1%}\n"
    )
    return 0 if seconds <= 10 else 1


if __name__ == "__main__":
    sys.exit(main())
