"""Which faults the tests would let pass: one small change of the code at a time, and its tests run.

Run by hand: ``python -m tests.bench.bench_mutants [count] [seed] [module ...]``. A change swaps a
comparison, a sign or an "and", drops a "not", or moves a number. It is made in a copy of the
project, and only the tests listed for the module are run; whatever survives is printed.
"""

from __future__ import annotations

import ast
import copy
import random
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[2]
# The tests that cover a module or a folder.
TESTS = {
    "meshes/check/moves.py": ["tests/check/test_moves.py", "tests/check/test_gallery.py"],
    "meshes/check/glue.py": ["tests/check/test_glue.py", "tests/check/test_gallery.py"],
    "meshes/check/makeable.py": [
        "tests/check/test_glue.py",
        "tests/check/test_moves.py",
        "tests/check/test_gallery.py",
    ],
    "meshes/check/held.py": ["tests/check/test_held.py"],
    "meshes/check/thickness.py": ["tests/check/test_thickness.py", "tests/check/test_gallery.py"],
    "meshes/check/swap.py": ["tests/check/test_prescribed.py"],
    "meshes/check/chord.py": ["tests/check/test_prescribed.py", "tests/check/test_gallery.py"],
    "meshes/check/inside.py": ["tests/check/test_gallery.py", "tests/outside"],
    "meshes/pieces": ["tests/pieces", "tests/outside"],
    "meshes/motion": ["tests/motion", "tests/outside"],
    "preview/pattern": ["tests/pattern"],
}
_LONGEST_S = 240
_SWAPPED: dict[type[ast.AST], type[ast.AST]] = {
    ast.Lt: ast.GtE,
    ast.LtE: ast.Gt,
    ast.Gt: ast.LtE,
    ast.GtE: ast.Lt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.And: ast.Or,
    ast.Or: ast.And,
    ast.USub: ast.UAdd,
}


def points(tree: ast.AST) -> list[ast.AST]:
    """Nodes of a module that can be changed."""
    return [node for node in ast.walk(tree) if _changed(copy.copy(node)) is not None]


def _changed(node: ast.AST) -> str | None:
    """Change a node in place; what it was and is, or None if it is left alone."""
    if isinstance(node, ast.Compare) and type(node.ops[0]) in _SWAPPED:
        return _swap(node, "ops")
    if isinstance(node, ast.BinOp | ast.BoolOp | ast.UnaryOp) and type(node.op) in _SWAPPED:
        return _swap(node, "op")
    if isinstance(node, ast.Constant) and type(node.value) in (int, float):
        old, node.value = node.value, node.value + 1
        return f"{old} -> {node.value}"
    return None


def _swap(node: ast.AST, name: str) -> str:
    old = getattr(node, name)
    first = old[0] if isinstance(old, list) else old
    new = _SWAPPED[type(first)]()
    setattr(node, name, [new, *old[1:]] if isinstance(old, list) else new)
    return f"{type(first).__name__} -> {type(new).__name__}"


def modules(wanted: list[str]) -> Iterator[tuple[Path, list[str]]]:
    """Files with the tests that cover them."""
    for name, tests in TESTS.items():
        if wanted and name not in wanted:
            continue
        path = ROOT / name
        files = [path] if path.is_file() else sorted(path.rglob("*.py"))
        yield from ((file, tests) for file in files)


def survives(copied: Path, tests: list[str]) -> bool:
    """Whether all tests pass in the copy; a run without end counts as found."""
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-n", "0", "-p", "no:cacheprovider"]
    code = (
        f"import sys; sys.path.insert(0, {str(copied)!r}); import pytest; sys.exit(pytest.main())"
    )
    command = [sys.executable, "-c", code.replace("main()", f"main({[*command[3:], *tests]!r})")]
    try:
        done = subprocess.run(command, cwd=copied, capture_output=True, timeout=_LONGEST_S)
    except subprocess.TimeoutExpired:
        return False
    return done.returncode == 0


def main() -> None:
    """Print each change that no test found, and the share that was found."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    chosen = random.Random(seed)
    places = []
    for file, tests in modules(sys.argv[3:]):
        total = len(points(ast.parse(file.read_text())))
        places += [(file, tests, k) for k in range(total)]
    killed = tried = 0
    with tempfile.TemporaryDirectory() as folder:
        copied = Path(folder)
        for name in ("meshes", "preview", "tests"):
            shutil.copytree(
                ROOT / name, copied / name, ignore=shutil.ignore_patterns("node_modules", "*.pyc")
            )
        shutil.copy(ROOT / "pyproject.toml", copied)
        for file, tests, k in chosen.sample(places, min(count, len(places))):
            tree = ast.parse(file.read_text())
            node = points(tree)[k]
            told = _changed(node)
            target = copied / file.relative_to(ROOT)
            target.write_text(ast.unparse(tree))
            alive = survives(copied, tests)
            target.write_text(file.read_text())
            tried, killed = tried + 1, killed + (not alive)
            if alive:
                line = getattr(node, "lineno", 0)
                print(f"survives: {file.relative_to(ROOT)}:{line}: {told}", flush=True)
            print(f"{killed} of {tried} found", flush=True)


if __name__ == "__main__":
    main()
