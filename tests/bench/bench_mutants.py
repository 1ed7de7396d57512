"""Which faults the tests would let pass: one small change of the code at a time, and its tests run.

Run by hand: ``python -m tests.bench.bench_mutants map FOLDER [TESTS ...]`` writes down which test
runs which line (`lines_of_tests`), ``... run FOLDER [COUNT] [SEED] [PACKAGE ...]`` then tries COUNT
faults of each package (`mutations`), in `_WORKERS` processes that give way to others. All tests are
collected once. For each fault a fork gets the changed function, or loads everything anew where a
fault lies outside of functions, and runs only the tests that run its line, quickest first, until
one fails. What passes them is tried against the other tests of the same files too, since a test may
use what another has cached. A run without end counts as found. What is in the folder's results
already is not tried again.

Measured with seed 0, 50 faults of each package, on a busy computer and so against the first 2.5 s
of each fault's tests, and only half of what passed against more of them: 108 of 200 were found by
the tests as they stood (motion 30, check 26, pieces 31, pattern 21) and 39 more by tests that they
led to, together 147. One of these showed a flyleaf printed on its back lying on the wrong side of
the gutter. Two showed code that nothing needed, which is gone: planes of a cone that nobody named,
and a bound of stages that was never reached. Of the 51 left, 44 change nothing (a comparison at
equality of floats, a strict zip, a frozen class), or only a tolerance, a choice of ours or how fast
a result comes; 7 change guesses and steps on the way to rest.
"""

from __future__ import annotations

import ast
import gc
import importlib.machinery
import json
import os
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from itertools import zip_longest
from pathlib import Path
from types import CodeType, FunctionType
from typing import Any

from . import lines_of_tests, mutations

ROOT = Path(__file__).parents[2]
PACKAGES = ["meshes/motion", "meshes/check", "meshes/pieces", "preview/pattern"]
# Processor time for tests as the map has it, seconds: of the first try, and of all.
_FIRST_S, _ALL_S = 3.0, 15.0
_WORKERS, _NICE = 10, 10
_QUIET = ["-x", "-q", "-s", "-n", "0", "-p", "no:cacheprovider", "-p", "no:pytest_cov"]


class _Tests:
    """Plugin of pytest: instead of running what was collected, tries faults against it."""

    def __init__(self, known: lines_of_tests.Map, todo: Sequence[mutations.Mutant], out: Path):
        self._known = known
        self._todo = todo
        self._out = out
        self._told: Path | None = None

    def pytest_runtest_logreport(self, report: Any) -> None:
        if report.failed and self._told is not None:
            self._told.write_text(report.nodeid)

    def pytest_runtestloop(self, session: Any) -> bool:
        items = {item.nodeid: item for item in session.items}
        todo = [(mutant, self._known.reach(mutant.file, _lines(mutant))) for mutant in self._todo]
        # Workers take the next number from a pipe, which holds all of them.
        numbers, fill = os.pipe()
        for k in range(len(todo)):
            os.write(fill, k.to_bytes(4, "big"))
        os.close(fill)
        workers = []
        for _ in range(_WORKERS):
            if not (child := os.fork()):
                os.nice(_NICE)
                try:
                    while number := os.read(numbers, 4):
                        self._try(session, items, *todo[int.from_bytes(number, "big")])
                finally:
                    os._exit(0)
            workers.append(child)
        for child in workers:
            os.waitpid(child, 0)
        return True

    def _try(
        self,
        session: Any,
        items: dict[str, Any],
        mutant: mutations.Mutant,
        reach: lines_of_tests.Reach,
    ) -> None:
        """Try one fault; write what became of it and which test found it."""
        began, by, rows = time.monotonic(), "", list(_rounds(reach, self._known.times))
        for tests, cost in rows:
            with tempfile.TemporaryDirectory() as folder:
                self._told = Path(folder) / "failed"
                session.config._tmp_path_factory._given_basetemp = Path(folder) / "tests"
                chosen = [items[test] for test in tests if test in items]

                def run(chosen: list[Any] = chosen) -> int:
                    return self._run(session, chosen, mutant)

                code = lines_of_tests.in_a_fork(run, 30 + 8 * cost, Path(folder) / "out")
                by = self._told.read_text() if self._told.exists() else ""
                by = by or ("" if code == 0 else "no end" if code is None else f"code {code}")
            if by:
                break
        end = "found" if by else "survives" if rows else "not run by any test"
        row = asdict(mutant) | {"end": end, "by": by, "tests": len(reach.seen)}
        with self._out.open("a") as out:
            out.write(json.dumps(row | {"s": round(time.monotonic() - began, 1)}) + "\n")
        print(f"{end} ({by}): {mutant}", flush=True)

    def _run(self, session: Any, chosen: list[Any], mutant: mutations.Mutant) -> int:
        import pytest
        from _pytest.main import pytest_runtestloop

        if _lines(mutant) is None or not _swapped(mutant):
            return _anew(mutant, [item.nodeid for item in chosen], self)
        session.items = chosen
        try:
            pytest_runtestloop(session)
        except pytest.Session.Failed:
            return 1
        return int(session.testsfailed > 0)


class _Chosen:
    """Plugin of pytest: runs some tests in their order."""

    def __init__(self, tests: list[str]) -> None:
        self._place = {test: k for k, test in enumerate(tests)}

    def pytest_collection_modifyitems(self, items: list[Any]) -> None:
        kept = [item for item in items if item.nodeid in self._place]
        items[:] = sorted(kept, key=lambda item: self._place[item.nodeid])


class _Reports:
    """Plugin of pytest: hands reports on."""

    def __init__(self, to: _Tests) -> None:
        self.pytest_runtest_logreport = to.pytest_runtest_logreport


def _lines(mutant: mutations.Mutant) -> range | None:
    tree = ast.parse((ROOT / mutant.file).read_text(encoding="utf-8"))
    return lines_of_tests.lines_around(tree, mutant.line)


def _swapped(mutant: mutations.Mutant) -> bool:
    """Give the loaded functions of a module their faulty code; False if they can't take it."""
    path = ROOT / mutant.file
    source = path.read_text(encoding="utf-8")
    before = _functions(compile(ast.parse(source), str(path), "exec"))
    after = _functions(compile(mutations.mutated(mutant, source), str(path), "exec"))
    changed = {place: code for place, code in after.items() if code != before.get(place)}
    loaded = [one for one in gc.get_objects() if isinstance(one, FunctionType)]
    done = set()
    for function in loaded:
        code = function.__code__
        new = changed.get((code.co_qualname, code.co_firstlineno))
        if new is not None and code.co_filename == str(path):
            function.__code__ = new
            done.add((code.co_qualname, code.co_firstlineno))
    return bool(changed) and done == set(changed)


def _functions(module: CodeType) -> dict[tuple[str, int], CodeType]:
    """Code of a module's functions and methods, outermost ones only, by name and line."""
    found = {}
    for code in module.co_consts:
        if isinstance(code, CodeType):
            # Bodies of classes are run once and have no arguments; their methods lie within.
            if code.co_flags & 0x2:
                found[code.co_qualname, code.co_firstlineno] = code
            else:
                found |= _functions(code)
    return found


def _anew(mutant: mutations.Mutant, tests: list[str], reports: _Tests) -> int:
    """Load everything again, the module with its fault, and run tests."""
    import pytest

    path = str(ROOT / mutant.file)
    tree = mutations.mutated(mutant, Path(path).read_text(encoding="utf-8"))
    usual = importlib.machinery.SourceFileLoader.get_code

    def get_code(loader: Any, name: str) -> Any:
        return compile(tree, path, "exec") if loader.path == path else usual(loader, name)

    importlib.machinery.SourceFileLoader.get_code = get_code
    lines_of_tests.unload()
    files = list(dict.fromkeys(test.split("::")[0] for test in tests))
    return int(pytest.main([*files, *_QUIET], plugins=[_Chosen(tests), _Reports(reports)]))


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


def _chosen(packages: list[str], count: int, seed: int) -> list[mutations.Mutant]:
    """Faults of all packages in turn, so that a run cut short has tried as many of each."""
    rows = []
    for package in packages:
        files = sorted((ROOT / package).rglob("*.py"))
        every = [
            mutant
            for file in files
            for mutant in mutations.mutants(
                file.relative_to(ROOT).as_posix(), file.read_text(encoding="utf-8")
            )
        ]
        rows.append(mutations.sample(every, count, seed))
    return [mutant for some in zip_longest(*rows) for mutant in some if mutant is not None]


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
    import pytest

    known = lines_of_tests.Map(ROOT, folder)
    results = folder / f"results-{seed}.jsonl"
    rows = results.read_text().splitlines() if results.exists() else []
    done = {(row["file"], row["at"]) for row in map(json.loads, rows)}
    todo = [m for m in _chosen(packages, count, seed) if (m.file, m.at) not in done]
    pytest.main([*known.files, *_QUIET], plugins=[_Tests(known, todo, results)])


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
