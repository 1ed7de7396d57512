"""Which faults the tests would let pass: one small change of the code at a time, and its tests run.

Run by hand: ``python -m tests.bench.bench_mutants map FOLDER [TESTS ...]`` writes down which test
runs which line (`lines_of_tests`), ``... run FOLDER [COUNT] [SEED] [PACKAGE ...]`` then tries COUNT
faults of each package (`mutations`). A fault is compiled from its changed syntax tree in a forked
process and only the tests that run its line are run, quickest first, until one fails. Those that
pass all are tried against the other tests of the same files too, since a test may use what another
has cached. A run without end counts as found.
"""

from __future__ import annotations

import ast
import importlib.machinery
import json
import os
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path
from typing import Any

from . import lines_of_tests, mutations

ROOT = Path(__file__).parents[2]
PACKAGES = ["meshes/motion", "meshes/check", "meshes/pieces", "preview/pattern"]
# Processor time for tests as the map has it, seconds: of the first try, and of all.
_FIRST_S, _ALL_S = 3.0, 40.0


class _Chosen:
    """Plugin of pytest: runs some tests in their order and keeps which one failed."""

    def __init__(self, tests: list[str], told: Path) -> None:
        self._place = {test: k for k, test in enumerate(tests)}
        self._told = told

    def pytest_collection_modifyitems(self, items: list[Any]) -> None:
        kept = [item for item in items if item.nodeid in self._place]
        items[:] = sorted(kept, key=lambda item: self._place[item.nodeid])

    def pytest_runtest_logreport(self, report: Any) -> None:
        if report.failed:
            self._told.write_text(report.nodeid)


def fails(mutant: mutations.Mutant, tests: list[str], longest_s: float) -> str:
    """The test that finds a fault, or another end of the run; empty if all pass."""
    import pytest

    with tempfile.TemporaryDirectory() as folder:
        told = Path(folder) / "failed"

        def run() -> int:
            _load_with(mutant)
            files = list(dict.fromkeys(test.split("::")[0] for test in tests))
            quiet = ["-x", "-q", "-n", "0", "-p", "no:cacheprovider", "-p", "no:pytest_cov"]
            return int(pytest.main([*files, *quiet], plugins=[_Chosen(tests, told)]))

        code = lines_of_tests.in_a_fork(run, longest_s, Path(folder) / "out")
        if code == 0:
            return ""
        if code == 5:
            raise RuntimeError(f"no test was run against {mutant}")
        if told.exists():
            return told.read_text()
        return "no end" if code is None else f"code {code}"


def _load_with(mutant: mutations.Mutant) -> None:
    """From now on, the module is loaded with its fault."""
    path = str(Path.cwd() / mutant.file)
    tree = mutations.mutated(mutant, Path(path).read_text(encoding="utf-8"))
    usual = importlib.machinery.SourceFileLoader.get_code

    def get_code(loader: Any, name: str) -> Any:
        return compile(tree, path, "exec") if loader.path == path else usual(loader, name)

    importlib.machinery.SourceFileLoader.get_code = get_code


def judge(mutant: mutations.Mutant, known: lines_of_tests.Map) -> dict[str, Any]:
    """Try one fault; what became of it and which test found it."""
    tree = ast.parse((ROOT / mutant.file).read_text(encoding="utf-8"))
    reach = known.reach(mutant.file, lines_of_tests.lines_around(tree, mutant.line))
    rows = list(_rounds(reach, known.times))
    by = ""
    for tests, cost in rows:
        by = fails(mutant, tests, 30 + 8 * cost)
        if by:
            break
    end = "found" if by else "survives" if rows else "not run by any test"
    return asdict(mutant) | {"end": end, "by": by, "tests": len(reach.seen)}


def _rounds(
    reach: lines_of_tests.Reach, times: dict[str, float]
) -> Iterator[tuple[list[str], float]]:
    """Tests to run in turn with their processor time: a few, then what fits into the budget."""
    cheap = sorted(reach.seen, key=lambda t: times[t])
    first, cost = _within(cheap, times, _FIRST_S)
    if first:
        yield [t for t in reach.seen if t in first], cost
    rest = [t for t in cheap if t not in first] + sorted(reach.others, key=lambda t: times[t])
    more, cost = _within(rest, times, _ALL_S)
    if more:
        yield [t for t in (*reach.seen, *reach.others) if t in first or t in more], cost + _FIRST_S


def _within(tests: list[str], times: dict[str, float], budget: float) -> tuple[set[str], float]:
    taken: set[str] = set()
    cost = 0.0
    for test in tests:
        if taken and cost + times[test] > budget:
            break
        taken.add(test)
        cost += times[test]
    return taken, cost


def _chosen(packages: list[str], count: int, seed: int) -> Iterator[mutations.Mutant]:
    for package in packages:
        files = sorted((ROOT / package).rglob("*.py"))
        every = [
            mutant
            for file in files
            for mutant in mutations.mutants(
                file.relative_to(ROOT).as_posix(), file.read_text(encoding="utf-8")
            )
        ]
        yield from mutations.sample(every, count, seed)


def _map(folder: Path, wanted: list[str]) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    files = []
    for name in wanted or ["tests"]:
        path = ROOT / name
        found = [path] if path.is_file() else sorted(path.rglob("test_*.py"))
        files += [f.relative_to(ROOT).as_posix() for f in found]
    for told in lines_of_tests.measure(ROOT, folder, files):
        print(told, flush=True)


def _run(folder: Path, count: int, seed: int, packages: list[str]) -> None:
    known = lines_of_tests.Map(ROOT, folder)
    results = folder / f"results-{seed}.jsonl"
    done = set()
    if results.exists():
        rows = [json.loads(line) for line in results.read_text().splitlines()]
        done = {(row["file"], row["at"]) for row in rows}
    for mutant in _chosen(packages, count, seed):
        if (mutant.file, mutant.at) in done:
            continue
        began = time.monotonic()
        row = judge(mutant, known) | {"s": round(time.monotonic() - began, 1)}
        with results.open("a") as out:
            out.write(json.dumps(row) + "\n")
        print(f"{row['end']} ({row['s']} s, {row['by']}): {mutant}", flush=True)


def main() -> None:
    """Write the map, or print what becomes of each fault."""
    action, folder, *rest = sys.argv[1:]
    into = Path(folder).resolve()
    os.environ.pop("FOLDSTAGE_CACHE", None)
    lines_of_tests.load_libraries(ROOT)
    if action == "map":
        _map(into, rest)
    else:
        numbers = [int(word) for word in rest if word.isdigit()]
        packages = [word for word in rest if not word.isdigit()]
        count, seed = [*numbers, *[50, 0][len(numbers) :]]
        _run(into, count, seed, packages or PACKAGES)


if __name__ == "__main__":
    main()
