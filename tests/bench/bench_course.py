"""How many steps of building courses meet nothing: the shipped designs and random ones.

``python -m tests.bench.bench_course [NAME …]`` plans the course of each and prints its steps, its
moves, the processor time, every step in which no way was found on which paper meets nothing, with
what it meets and how deep, and every step in which points of paper go through other paper
(:mod:`tests.course.passing`, a judge that shares nothing with the program's own) without that being
said. Without names all shipped designs and ten random ones are planned; ``random-8`` is the random
one of seed 8.
"""

from __future__ import annotations

import contextlib
import itertools
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from meshes import designs, spread
from meshes.errors import DesignError
from meshes.spread import Spread
from preview.course.course import course
from tests.building.random_builds import random_design
from tests.course.passing import steps_through

RANDOM, SEED = 10, "random-"


def spreads(names: list[str]) -> Iterator[tuple[str, Spread]]:
    """The spreads to plan; random designs that the reader refuses are passed over."""
    for name in names or designs.names():
        if not name.startswith(SEED):
            yield name, spread.read(designs.path(name))
    seeds = (int(name.removeprefix(SEED)) for name in names if name.startswith(SEED))
    read = (
        made for seed in (seeds if names else itertools.count()) for made in random_spread(seed)
    )
    yield from itertools.islice(read, None if names else RANDOM)


def random_spread(seed: int) -> Iterator[tuple[str, Spread]]:
    """The random design of a seed; none if the reader refuses it."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / f"{SEED}{seed}.toml"
        file.write_text(random_design(seed))
        with contextlib.suppress(DesignError):
            yield file.stem, spread.read(file)


def main(names: list[str]) -> None:
    """Plan and print."""
    for name, read in spreads(names):
        start = time.process_time()
        try:
            found = course(read)
        except DesignError as error:
            print(f"{name}: not built: {error}")
            continue
        spent = time.process_time() - start
        moves = sum(len(step.moves) for step in found.steps)
        bent = [step for step in found.steps if step.met]
        print(
            f"{name}: {len(found.steps)} steps, {moves} moves, {spent:.1f} s of processor time, "
            f"{len(bent)} steps with paper to bend"
        )
        for step in bent:
            worst = step.met[0]
            print(
                f"  {step.number} {step.words.title}: {worst.first} and {worst.second}, "
                f"{worst.push:.2f} mm"
            )
        told = {step.number for step in bent}
        for number, passed in steps_through(found).items():
            if number not in told:
                print(f"  {number} silently: {passed[0].points} through {passed[0].facet}")


if __name__ == "__main__":
    main(sys.argv[1:])
