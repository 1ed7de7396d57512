"""Time of the solver: a determined stack of about 100 facets, layered flowers, shipped designs.

Run with ``python -m tests.bench.bench_solver [DESIGN ...]`` and one BLAS thread. Bounds for 181
stages: 0.4 s for the stack, 1.0 s for a scene of layered flowers. Each figure is the best of three
runs, in seconds of one core, which other work on the computer disturbs least.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np

from meshes import designs, spread
from meshes.drive import solve
from meshes.linkage import Linkage
from tests.motion.random_stacks import random_stack
from tests.specimens import Legs, Pile, carrier, flower_in, flower_on

STAGES = np.radians(np.arange(181.0))
RUNS = 3
STACK_SECONDS, SCENE_SECONDS = 0.4, 1.0


def flower_bed() -> Pile:
    """A three-layer flower on the gutter and two-layer ones on carriers on both sides of it."""
    pile = Pile()
    wide, middle, bud = ([np.radians(angle)] * 6 for angle in (52.0, 47.0, 41.0))
    flower_on(pile, "B", pile.gutter, 100, wide, (29, 43), Legs(14, 9.5, 9.0, 4.5))
    flower_in(pile, "C", "B", middle, wide, (21, 33))
    flower_in(pile, "D", "C", bud, middle, (14, 23), Legs(8.5, 5.5, 6.7, 2.2))
    for name, at, distance in (("one", 0.0, 60.0), ("two", 140.0, 75.0)):
        carrier(pile, f"strip-{name}", pile.gutter, at, distance, 30, 60)
        site = pile.site(f"strip-{name}", "foot-right")
        flower_on(pile, f"{name}-B", site, 30, wide, (29, 43), Legs(14, 9.5, 9.0, 4.5))
        flower_in(pile, f"{name}-C", f"{name}-B", middle, wide, (21, 33))
    return pile


def seconds(linkage: Linkage) -> float:
    """Best time of a few runs."""
    found = []
    for _ in range(RUNS):
        start = time.process_time()
        motion = solve(linkage, STAGES)
        found.append(time.process_time() - start)
        if not motion.solved.all():
            raise SystemExit(f"not solved: {motion.findings}")
    return min(found)


def main(paths: list[str]) -> int:
    """Measure and report; 1 if a bound is broken."""
    stack = random_stack(7, 28)
    facets = sum(len(sheet.facets) for sheet in stack.sheets)
    rows = [(f"determined stack, {facets} facets", stack.linkage, STACK_SECONDS)]
    rows.append(("bed of three layered flowers", flower_bed().linkage, SCENE_SECONDS))
    shipped = sorted(Path(designs.__file__).parent.rglob("*.toml"))
    for path in [Path(name) for name in paths] or shipped:
        if "{title}" not in path.read_text(encoding="utf-8"):
            rows.append((path.name, spread.read(path).linkage, SCENE_SECONDS))
    late = False
    for name, linkage, bound in rows:
        taken = seconds(linkage)
        late |= taken > bound
        sys.stdout.write(f"{name}: {taken:.2f} s of {bound} s, {len(linkage.hinges)} folds\n")
    return int(late)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
