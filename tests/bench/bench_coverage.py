"""Share of lines and branches that the tests run, for the geometry's heart and for all.

Run by hand: ``python -m tests.bench.bench_coverage`` runs the whole suite under coverage.py, in its
two processes and in those that they start; with the folder of a map of `bench_mutants` it adds up
that map instead. ``--missing`` lists the lines that no test runs too.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
PACKAGES = [
    "meshes/motion",
    "meshes/check",
    "meshes/pieces",
    "preview/pattern",
    "meshes",
    "preview",
]
# Worker processes are measured as well; coverage.py combines what they leave.
_SETTINGS = """[run]
branch = true
source = meshes, preview
parallel = true
patch = subprocess
data_file = {folder}/data
[report]
exclude_also =
    if TYPE_CHECKING:
"""


def of_suite(folder: Path) -> dict[str, Any]:
    """Coverage of the whole suite, as coverage.py writes it in JSON."""
    settings = folder / "coverage.ini"
    settings.write_text(_SETTINGS.format(folder=folder))
    out = folder / "coverage.json"
    arguments = ["--cov", f"--cov-config={settings}", f"--cov-report=json:{out}", "-q"]
    subprocess.run([sys.executable, "-m", "pytest", *arguments], cwd=ROOT, check=False)
    return json.loads(out.read_text())


def of_map(maps: Path, folder: Path) -> dict[str, Any]:
    """Coverage that the tests of a map have together."""
    from coverage import Coverage

    settings = folder / "coverage.ini"
    settings.write_text(_SETTINGS.format(folder=folder).replace("patch = subprocess\n", ""))
    cover = Coverage(config_file=str(settings))
    cover.combine([str(path) for path in sorted(maps.glob("*.coverage"))], keep=True)
    cover.json_report(outfile=str(folder / "coverage.json"))
    return json.loads((folder / "coverage.json").read_text())


def shares(files: Mapping[str, Any], package: str) -> tuple[int, int, int, int]:
    """Lines that were run, lines, branches that were taken, branches, of a package."""
    rows = [told["summary"] for name, told in files.items() if _within(name, package)]
    keys = ("covered_lines", "num_statements", "covered_branches", "num_branches")
    lines, all_lines, branches, all_branches = (sum(row[key] for row in rows) for key in keys)
    return lines, all_lines, branches, all_branches


def _within(name: str, package: str) -> bool:
    path = Path(name)
    path = path.relative_to(ROOT) if path.is_absolute() else path
    return path.is_relative_to(package)


def _missing(files: Mapping[str, Any], packages: Iterable[str]) -> None:
    for name, told in sorted(files.items()):
        if any(_within(name, package) for package in packages):
            lines = set(told["missing_lines"])
            ways = [f"{a}->{b}" for a, b in told["missing_branches"] if not {a, b} & lines]
            if lines or ways:
                print(f"{name}: lines {_spans(sorted(lines))}; branches {' '.join(ways)}")


def _spans(lines: list[int]) -> str:
    spans: list[list[int]] = []
    for line in lines:
        if spans and line <= spans[-1][1] + 1:
            spans[-1][1] = line
        else:
            spans.append([line, line])
    return " ".join(f"{a}-{b}" if a < b else f"{a}" for a, b in spans)


def main() -> None:
    """Print the shares, a line for each package."""
    words = [word for word in sys.argv[1:] if word != "--missing"]
    with tempfile.TemporaryDirectory() as folder:
        maps = Path(words[0]).resolve() if words else None
        told = of_map(maps, Path(folder)) if maps else of_suite(Path(folder))
    files = told["files"]
    for package in PACKAGES:
        lines, all_lines, branches, all_branches = shares(files, package)
        print(
            f"{package}: {lines / all_lines:.1%} of {all_lines} lines, "
            f"{branches / all_branches:.1%} of {all_branches} branches"
        )
    if "--missing" in sys.argv:
        _missing(files, PACKAGES[:4])


if __name__ == "__main__":
    main()
