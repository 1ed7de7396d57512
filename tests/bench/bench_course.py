"""How many steps of building courses meet nothing: the shipped designs and random ones.

``python -m tests.bench.bench_course [--lying WISH] [NAME …]`` plans the course of each and prints
its steps, its moves, the processor time, every step in which no way was found on which paper meets
nothing, with what it meets and how deep, and every step in which points of paper go through other
paper (:mod:`tests.course.passing`, a judge that shares nothing with the program's own) without
that being said. Where the finished spread itself takes two facets through each other as it opens,
so does building it: if `check` names the two, the step counts as told there, else as silent.
Without names all shipped designs and ten random ones are planned; ``random-8`` is the random one
of seed 8. The notebook lies as in such films, or as `--lying` has it.
"""

from __future__ import annotations

import contextlib
import sys
import tempfile
import time
from collections.abc import Iterator
from itertools import chain, combinations, count, islice
from pathlib import Path
from typing import cast

from meshes import designs, spread
from meshes.building import proved
from meshes.check.case import case_of
from meshes.check.clash import clash
from meshes.check.over_folds import over_folds
from meshes.errors import DesignError
from meshes.spread import Spread
from preview.course.course import BuildingCourse
from preview.course.kept import course_on_table
from preview.drawing.lying import LyingWish
from tests.building.random_builds import random_design
from tests.course.passing import steps_through

RANDOM, SEED = 10, "random-"


def spreads(names: list[str]) -> Iterator[tuple[str, Spread]]:
    """The spreads to plan; random designs that the reader refuses are passed over."""
    for name in names or designs.names():
        if not name.startswith(SEED):
            yield name, spread.read(designs.path(name))
    seeds = (int(name.removeprefix(SEED)) for name in names if name.startswith(SEED))
    read = (made for seed in (seeds if names else count()) for made in random_spread(seed))
    yield from islice(read, None if names else RANDOM)


def random_spread(seed: int) -> Iterator[tuple[str, Spread]]:
    """The random design of a seed; none if the reader refuses it."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / f"{SEED}{seed}.toml"
        file.write_text(random_design(seed))
        with contextlib.suppress(DesignError):
            yield file.stem, spread.read(file)


def named(read: Spread) -> set[frozenset[str]]:
    """Pairs of facets that the check of the finished spread names: they go through each other.

    So do those of which one is glued over the foot of the other. A finding that names several
    facets names each two of them; grazes count as well, since the judge's points see as little.
    Strips of curled paper go by the name of their flat facet.
    """
    case = case_of(read)
    flat = dict(zip(case.facets.ids, case.facets.rolled, strict=True))
    findings, _ = clash(case, read.design.check, trims=False)
    return {
        frozenset(pair)
        for finding in (*findings, *over_folds(case))
        for pair in combinations([flat[part] for part in finding.parts if part in flat], 2)
    }


def report(name: str, read: Spread, found: BuildingCourse, spent: float) -> None:
    """Print what a course meets, what the check has told of it, and what nobody has told."""
    through = steps_through(found)
    known = named(read) if any(one.as_solved for one in chain(*through.values())) else set()
    bent = [step for step in found.steps if step.met]
    told = {step.number for step in bent}
    silent, by_check = {}, {}
    for number, passed in through.items():
        pairs = {p for p in passed if p.as_solved and frozenset((p.points, p.facet)) in known}
        if pairs:
            by_check[number] = pairs
        if number not in told and (rest := [p for p in passed if p not in pairs]):
            silent[number] = rest
    moves = sum(len(step.moves) for step in found.steps)
    print(
        f"{name}: {len(found.steps)} steps, {moves} moves, {spent:.1f} s of processor time, "
        f"{len(bent)} steps with paper to bend, {len(by_check)} as the check of the finished "
        f"spread tells, {len(silent)} silent"
    )
    for step in bent:
        worst = step.met[0]
        print(
            f"  {step.number} {step.words.title}: {worst.first} and {worst.second}, "
            f"{worst.push:.2f} mm"
        )
    for number, pairs in by_check.items():
        for one in pairs:
            print(f"  {number} as check tells: {one.points} through {one.facet}")
    for number, rest in silent.items():
        for one in rest:
            how = ", as the finished spread does" if one.as_solved else ""
            print(f"  {number} silently: {one.points} through {one.facet}{how}")


def main(names: list[str]) -> None:
    """Plan and print."""
    lying: LyingWish | None = None
    if names[:1] == ["--lying"]:
        lying, names = cast(LyingWish, names[1]), names[2:]
    for name, read in spreads(names):
        start = time.process_time()
        try:
            found = course_on_table(read, proved(read), lying)
        except DesignError as error:
            print(f"{name}: not built: {error}")
            continue
        report(name, read, found, time.process_time() - start)


if __name__ == "__main__":
    main(sys.argv[1:])
