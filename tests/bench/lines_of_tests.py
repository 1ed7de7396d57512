"""Which test runs which line, and how long it takes: a map for `bench_mutants`, kept in a folder.

Each file of tests runs in a process of its own, forked when the libraries are loaded but nothing of
the project is, under coverage.py with one context a test. So no test finds what one of another file
has left in a cache. The folder gets one file of coverage and one of times for each file of tests;
what is there already is not measured again.
"""

from __future__ import annotations

import ast
import importlib
import json
import os
import resource
import signal
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

_LIBRARIES = [
    "numpy",
    "scipy.optimize",
    "scipy.spatial",
    "scipy.sparse",
    "scipy.linalg",
    "shapely.ops",
    "trimesh",
    "pydantic",
    "tomlkit",
    "hypothesis",
    "pytest",
    "PIL.Image",
    "fpdf",
    "pikepdf",
    "ezdxf",
    "svgelements",
    "rich.console",
    "fontTools.ttLib",
    "jsonschema",
    "imageio",
    "coverage",
    "pytest_cov",
    "manifold3d",
    "embreex",
]
_MOST_MEMORY = 6 << 30


def load_libraries(root: Path) -> None:
    """Load what every test needs, so that forks have it; nothing of the project stays loaded."""
    for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
        os.environ[name] = "1"
    for name in _LIBRARIES:
        with suppress(ImportError):
            importlib.import_module(name)
    unload()
    os.chdir(root)
    sys.path.insert(0, str(root))


def unload() -> None:
    """Forget all modules of the project."""
    for name in [n for n in sys.modules if n.split(".")[0] in ("tests", "meshes", "preview")]:
        del sys.modules[name]


def in_a_fork(run: Callable[[], int], longest_s: float, told: Path) -> int | None:
    """What a function returns in a process of its own; None if it takes longer, processor time.

    What it prints goes to a file. Its whole family of processes ends with it.
    """
    child = os.fork()
    if child == 0:
        code = 99
        try:
            os.setsid()
            resource.setrlimit(resource.RLIMIT_CPU, (int(longest_s) + 1, int(longest_s) + 5))
            resource.setrlimit(resource.RLIMIT_AS, (_MOST_MEMORY, _MOST_MEMORY))
            out = os.open(told, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
            os.dup2(out, 1)
            os.dup2(out, 2)
            code = run()
        finally:
            sys.stdout.flush()
            os._exit(code)
    until = time.monotonic() + 12 * longest_s + 60
    status = None
    while status is None and time.monotonic() < until:
        done, status = os.waitpid(child, os.WNOHANG)
        if not done:
            status = None
            time.sleep(0.05)
    with suppress(ProcessLookupError):
        os.killpg(child, signal.SIGKILL)
    if status is None:
        os.waitpid(child, 0)
        return None
    return None if os.WIFSIGNALED(status) else os.WEXITSTATUS(status)


class Times:
    """Plugin of pytest: processor time of each test that passed."""

    def __init__(self) -> None:
        self.of: dict[str, float] = {}
        self._bad: set[str] = set()
        self._since = time.process_time()

    def pytest_runtest_logstart(self, nodeid: str) -> None:
        self._since = time.process_time()

    def pytest_runtest_logreport(self, report: Any) -> None:
        if not report.passed:
            self._bad.add(report.nodeid)

    def pytest_runtest_logfinish(self, nodeid: str) -> None:
        if nodeid not in self._bad:
            self.of[nodeid] = round(time.process_time() - self._since, 4)


def measure(root: Path, folder: Path, files: Iterable[str]) -> Iterator[str]:
    """Run files of tests and write down what they run; a line of text about each."""
    import pytest

    for file in files:
        data = folder / (file.replace("/", "-") + ".coverage")
        times = data.with_suffix(".json")
        if times.exists():
            continue

        def run(file: str = file, data: Path = data, times: Path = times) -> int:
            os.environ["COVERAGE_FILE"] = str(data)
            found = Times()
            coverage = ["--cov=meshes", "--cov=preview", "--cov-branch", "--cov-context=test"]
            # Without "--dist no" pytest-cov takes the run for a distributed one: no contexts.
            quiet = ["-q", "-n", "0", "--dist", "no", "-p", "no:cacheprovider", "--cov-report="]
            code = int(pytest.main([file, *quiet, *coverage], plugins=[found]))
            times.write_text(json.dumps({"file": file, "times": found.of}))
            return code

        began = time.monotonic()
        code = in_a_fork(run, 1200, data.with_suffix(".txt"))
        yield f"{file}: code {code}, {time.monotonic() - began:.0f} s"


@dataclass(frozen=True)
class Reach:
    """Tests that run some lines: those seen there, and all of the files that they stand in."""

    seen: list[str]
    others: list[str]


class Map:
    """What `measure` has left in a folder."""

    def __init__(self, root: Path, folder: Path) -> None:
        self._root = root
        self.times: dict[str, float] = {}
        self._data: dict[str, Any] = {}
        self.files: list[str] = []
        self._lines: dict[str, dict[str, dict[int, list[str]]]] = {}
        from coverage import CoverageData

        for path in sorted(folder.glob("*.json")):
            told = json.loads(path.read_text())
            self.times |= told["times"]
            data = CoverageData(str(path.with_suffix(".coverage")))
            data.read()
            if told["times"] and data.measured_contexts() <= {""}:
                raise RuntimeError(f"{path.stem} does not tell its tests apart")
            self._data[told["file"]] = data
            self.files.append(told["file"])

    def _contexts(self, file: str) -> dict[str, dict[int, list[str]]]:
        """For each file of tests, the contexts of each line of a module."""
        if file not in self._lines:
            whole = str(self._root / file)
            self._lines[file] = {
                tests: data.contexts_by_lineno(whole) for tests, data in self._data.items()
            }
        return self._lines[file]

    def reach(self, file: str, lines: range | None) -> Reach:
        """Tests that run any of the lines of a module, or anything in it; quickest first."""
        seen: set[str] = set()
        near: set[str] = set()
        for tests, by_line in self._contexts(file).items():
            for line, contexts in by_line.items():
                if lines is not None and line not in lines:
                    continue
                there = [context.rpartition("|") for context in contexts if context]
                if any(phase == "setup" for _, _, phase in there):
                    near.update(t for t in self.times if t.startswith(f"{tests}::"))
                seen.update(name for name, _, _ in there if name in self.times)
                if there:
                    near.update(t for t in self.times if t.startswith(f"{tests}::"))
        return Reach(self._quickest(seen), self._quickest(near - seen))

    def _quickest(self, tests: set[str]) -> list[str]:
        """Quickest first, but all of a file together, so that what they share is made once."""
        by_file = defaultdict(list)
        for test in sorted(tests, key=lambda t: (self.times[t], t)):
            by_file[test.split("::")[0]].append(test)
        rows = sorted(by_file.values(), key=lambda row: self.times[row[0]])
        return [test for row in rows for test in row]


def lines_around(tree: ast.Module, line: int) -> range | None:
    """Lines of the statement that a line is in, its body left out; None outside any function."""
    found: range | None = None

    def walk(nodes: list[ast.stmt], inside: bool) -> None:
        nonlocal found
        for node in nodes:
            if not node.lineno <= line <= (node.end_lineno or node.lineno):
                continue
            body = [child for child in ast.iter_child_nodes(node) if isinstance(child, ast.stmt)]
            last = body[0].lineno - 1 if body else (node.end_lineno or node.lineno)
            function = isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
            if line <= max(last, node.lineno) or not body:
                found = range(node.lineno, max(last, node.lineno) + 1) if inside else None
                return
            blocks = [*body, *(h for h in getattr(node, "handlers", []))]
            blocks += [s for case in getattr(node, "cases", []) for s in case.body]
            for block in list(blocks):
                if isinstance(block, ast.ExceptHandler):
                    blocks += block.body
            walk([b for b in blocks if isinstance(b, ast.stmt)], inside or function)

    walk(tree.body, False)
    return found
