"""Time of the check for each question.

Run with ``python -m tests.bench.bench_check [DESIGN ...]``: by default on a spread of 28 leaves
(114 facets) that stand close one behind the other, and on every shipped design. The whole check
should take less than 4 s on two cores.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

from meshes import designs, spread
from meshes.check import QUESTIONS, case_of, questions

LEAVES = 28


def crowded() -> str:
    """A design with `LEAVES` V-folds 9 mm apart."""
    head = 'title = "Crowded"\n[spread]\npage = "A4"\nmargin = 3\n'
    leaves = [
        f'[pieces.leaf{k}]\nkind = "v-fold"\nat = {30 + 9 * k}\npage_angle = 45\n'
        f'panel_angle = 60\nbase = 18\noutline = {{ shape = "leaf", length = {40 + k % 3 * 5}, '
        "width = 36, base = 14 }\n"
        for k in range(LEAVES)
    ]
    return head + "\n".join(leaves)


def report(path: Path) -> str:
    """One line of seconds: reading, solving, each question, all together."""
    start = time.perf_counter()
    read = spread.read(path)
    built = time.perf_counter()
    case = case_of(read)
    solved = time.perf_counter()
    answers = questions.report(case, read.design.check).answers
    ended = time.perf_counter()
    columns = "".join(f"{answer.seconds:10.3f}" for answer in answers)
    return (
        f"{path.stem:<24}{len(case.facets):>7}{built - start:10.3f}{solved - built:10.3f}"
        f"{columns}{ended - start:10.3f}"
    )


def main(names: list[str]) -> None:
    """Write the table."""
    heads = "".join(f"{name:>10}" for name in ("read", "solve", *QUESTIONS, "all"))
    sys.stdout.write(f"{'design':<24}{'facets':>7}{heads}\n")
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "crowded.toml"
        file.write_text(crowded(), "utf-8")
        paths = [Path(name) for name in names] or [file, *map(designs.path, designs.names())]
        for path in paths:
            sys.stdout.write(report(path) + "\n")


if __name__ == "__main__":
    main(sys.argv[1:])
