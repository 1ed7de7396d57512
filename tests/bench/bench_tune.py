"""What a search for values costs, and whether a look at every value finds better ones.

Run with ``python -m tests.bench.bench_tune [TRIES] [--jobs N]`` for three values of a design of 60
facets that cannot all be met, so that every try is made, and with ``python -m
tests.bench.bench_tune judge [COUNT]`` for random spreads of two tents that collide: there each
value on a grid is checked in full, and the nearest that fits is held against the one found.

With ``planted [COUNT]`` searches of random spreads of three pieces are held against values that are
known to fit, though not the nearest ones.

measured: of six spreads of two tents all six came to the nearest value of the grid, in 27 to 39
tries instead of 301 to 371 looks; of 30 spreads of three pieces values that fit were found in all
"""

from __future__ import annotations

import argparse
import resource
import sys
import tempfile
import time
from collections.abc import Mapping
from functools import partial
from pathlib import Path

import numpy as np

from meshes.check import case_of, questions
from meshes.errors import DesignError
from meshes.spread import read
from meshes.tune.search import Found, search
from meshes.tune.trial import Variable
from meshes.tune.wish import Wish, measure, parse

DESIGN = Path(__file__).parents[1] / "designs" / "hill-village.toml"
VALUES = [
    Variable("pieces.house.at", 100, 160, 140),
    Variable("pieces.tower.base", 14, 40, 36),
    Variable("pieces.house.panel_angle", 50, 70, 60),
]
# No house with these angles stands so high.
WISHES = [parse("house.height >= 71 at 180")]
STEP = 0.1


def used() -> float:
    """Processor seconds of this process and of those that it has started."""
    kinds = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    return sum(u.ru_utime + u.ru_stime for u in map(resource.getrusage, kinds))


def cost(tries: int, jobs: int) -> str:
    """One line: tries, seconds of the clock and of the processor."""
    from preview.cli.tune import get_ready
    from preview.parallel import crew

    start, clock = used(), time.perf_counter()
    with crew(jobs, partial(get_ready, DESIGN)) as workers:
        found = search(DESIGN, VALUES, WISHES, tries, share=workers.in_order)
    clock = time.perf_counter() - clock
    return f"{found.tries} tries, {jobs} process(es): {clock:.1f} s, {used() - start:.1f} s used\n"


def two_tents(random: np.random.Generator) -> tuple[str, Variable]:
    """A tent over another one whose ridge may go through it, and what may change."""
    far, high = float(random.uniform(26, 34)), float(random.uniform(36, 46))
    near, start = float(random.uniform(10, 18)), float(random.uniform(40, 52))
    text = f"""title = "Two tents"
[spread]
page = "A5"
[papers.card]
grammage = 250
caliper = 0.25
[pieces.outer]
kind = "tent"
at = 60
distance = {far:.2f}
panel = {high:.2f}
width = 80
paper = "card"
[pieces.inner]
kind = "tent"
at = 62
distance = {near:.2f}
panel = {start:.2f}
width = 60
paper = "card"
"""
    return text, Variable("pieces.inner.panel", round(near) + 4, round(start) + 6, round(start, 2))


def fits(file: Path, values: Mapping[str, float]) -> bool:
    """Whether every question but the looks is answered well."""
    spread = read(file, dict(values))
    limits = spread.design.check.model_copy(update={"looks": False})
    report = questions.report(case_of(spread), limits)
    return not any(finding.fails for finding in report.findings)


def judge(count: int, folder: Path) -> int:
    """Searches that ended farther from the present value than the nearest one of a grid."""
    random, worse = np.random.default_rng(3), 0
    for k in range(count):
        text, variable = two_tents(random)
        file = folder / f"tents{k}.toml"
        file.write_text(text, "utf-8")
        found: Found = search(file, [variable])
        grid = np.arange(round(variable.low / STEP), round(variable.high / STEP) + 1) * STEP
        grid = grid[np.argsort(np.abs(grid - variable.start), kind="stable")]
        nearest = next((v for v in grid.tolist() if fits(file, {variable.path: v})), None)
        value = found.values[variable.path]
        bad = found.fits != (nearest is not None)
        if nearest is not None and found.fits:
            far, best = abs(value - variable.start), abs(nearest - variable.start)
            bad |= far > best + STEP + 1e-9 or not fits(file, {variable.path: value})
        worse += bad
        sys.stdout.write(
            f"from {variable.start:6.2f}: found {value:6.2f} in {found.tries} tries, nearest of "
            f"{len(grid)} {'none' if nearest is None else format(nearest, '6.2f')}"
            f"{'  WORSE' if bad else ''}\n"
        )
        sys.stdout.flush()
    sys.stdout.write(f"{worse} of {count} are worse than a look at every value\n")
    return worse


def three_pieces(random: np.random.Generator) -> tuple[str, list[Variable], dict[str, float]]:
    """A V-fold before a tent with another one in it, what may change, and other values for that."""
    ranges = {
        "petal.ridge": (50, 160),
        "petal.panel_angle": (46, 80),
        "petal.at": (110, 165),
        "petal.page_angle": (30, 60),
        "outer.panel": (26, 70),
        "outer.distance": (16, 40),
        "outer.at": (30, 90),
        "inner.panel": (12, 60),
        "inner.distance": (8, 30),
    }
    start = {name: round(float(random.uniform(*ends)), 2) for name, ends in ranges.items()}
    tables = {
        "petal": "v-fold\nbase = 30",
        "outer": "tent\nwidth = 70",
        "inner": "tent\nat = 60\nwidth = 50",
    }
    text = 'title = "Three pieces"\n[spread]\npage = "A5"\n'
    for piece, kind in tables.items():
        kind = kind.replace("\n", '"\n', 1)
        text += f'[pieces.{piece}]\nkind = "{kind}\n'
        own = (name for name in start if name.startswith(piece))
        text += "".join(f"{name.partition('.')[2]} = {start[name]}\n" for name in own)
    chosen = random.choice(list(ranges), int(random.integers(2, 4)), replace=False).tolist()
    variables = [Variable(f"pieces.{name}", *ranges[name], start[name]) for name in chosen]
    return text, variables, {v.path: float(random.uniform(v.low, v.high)) for v in variables}


def planted(random: np.random.Generator, file: Path) -> tuple[list[Variable], list[Wish], float]:
    """A spread that fails, with wishes that values known to fit meet; how far those are away."""
    while True:
        text, variables, values = three_pieces(random)
        file.write_text(text, "utf-8")
        try:
            if not fits(file, values):
                continue
            case = case_of(read(file, values))
        except DesignError:
            continue
        wishes = []
        for piece in random.choice(("petal", "outer", "inner"), 2, replace=False):
            what, at = random.choice(("height", "reach", "width")), random.choice((90, 140, 180))
            size = measure(parse(f"{piece}.{what} >= 0 at {at}"), case)
            sign, edge = (">=", size - 0.5) if random.random() < 0.5 else ("<=", size + 0.5)
            wishes.append(parse(f"{piece}.{what} {sign} {edge:.2f} at {at}"))
        try:
            now = case_of(read(file))
            met = all(wish.slack(measure(wish, now)) >= 0 for wish in wishes)
        except (DesignError, ValueError):
            continue
        if met and fits(file, {}):
            continue
        return variables, wishes, changed(variables, values)


def changed(variables: list[Variable], values: Mapping[str, float]) -> float:
    """How far values are from the present ones, in shares of their ranges."""
    return float(
        np.sqrt(sum(((values[v.path] - v.start) / (v.high - v.low)) ** 2 for v in variables))
    )


def judge_planted(count: int, folder: Path, tries: int) -> int:
    """Searches that find nothing though values that fit are known."""
    random, missed, farther, far, made = np.random.default_rng(11), 0, 0, [], 0
    for k in range(count):
        file = folder / f"planted{k}.toml"
        variables, wishes, known = planted(random, file)
        found = search(file, variables, wishes, tries)
        way = changed(variables, found.values)
        missed, farther = missed + (not found.fits), farther + (found.fits and way > known + 0.01)
        made += found.tries
        far.append(way / known if found.fits else np.nan)
        sys.stdout.write(
            f"{k}: {len(variables)} values, {'found' if found.fits else 'MISSED'} at {way:.3f} "
            f"beside {known:.3f} in {found.tries} tries\n"
        )
        sys.stdout.flush()
    sys.stdout.write(
        f"{missed} of {count} missed, {farther} farther than what was known, {made} tries; way "
        f"beside the known one, median {np.nanmedian(far):.3f}, mean {np.nanmean(far):.3f}\n"
    )
    return missed


def main() -> int:
    """Measure, or judge; 1 if a search is worse than its judge."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument(
        "what",
        nargs="?",
        default="400",
        help="how many tries to time, or the word judge or planted",
    )
    parser.add_argument("count", nargs="?", type=int, default=12)
    parser.add_argument("--tries", type=int, default=400, help="of a planted search")
    parser.add_argument("--jobs", type=int, default=1)
    args = parser.parse_args()
    if args.what == "judge":
        with tempfile.TemporaryDirectory() as folder:
            return int(judge(args.count, Path(folder)) > 0)
    if args.what == "planted":
        with tempfile.TemporaryDirectory() as folder:
            return int(judge_planted(args.count, Path(folder), args.tries) > 0)
    sys.stdout.write(cost(int(args.what), args.jobs))
    return 0


if __name__ == "__main__":
    sys.exit(main())
