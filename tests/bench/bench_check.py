"""Time of the check for each question, and how it grows with the facets.

Run with ``python -m tests.bench.bench_check growth`` for the search of collisions among 40 to 800
facets, equally close, which should grow with a power below 1.2; and with
``python -m tests.bench.bench_check [DESIGN ...]``: by default on a spread of 28 leaves
(114 facets) that stand close one behind the other, and on every shipped design. The whole check
should take less than 4 s on two cores.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from meshes import designs, spread
from meshes.check import QUESTIONS, case_of, clash, questions, sweep

LEAVES = 28


def crowded(leaves: int = LEAVES, apart: float = 9.0, page: str = 'page = "A4"') -> str:
    """A design with V-folds close behind each other."""
    head = f'title = "Crowded"\n[spread]\n{page}\nmargin = 3\n'
    tables = [
        f'[pieces.leaf{k}]\nkind = "v-fold"\nat = {30 + apart * k}\npage_angle = 45\n'
        f'panel_angle = 60\nbase = 18\noutline = {{ shape = "leaf", length = {40 + k % 3 * 5}, '
        "width = 36, base = 14 }\n"
        for k in range(leaves)
    ]
    return head + "\n".join(tables)


def growth(folder: Path) -> None:
    """Write facets, pairs of facets that come near each other, samples and processor time."""
    rows = []
    for leaves in (10, 20, 40, 80, 160, 200):
        file = folder / "grown.toml"
        file.write_text(crowded(leaves, 4.5, f"width = 210\nheight = {90 + 4.5 * leaves}"), "utf-8")
        case = case_of(spread.read(file))
        start = time.process_time()
        found = clash.collisions(case)
        taken = time.process_time() - start
        near = sweep.near_pairs(case.facets, case.poses)
        rows.append((len(case.facets), len(near.step), taken))
        sys.stdout.write(
            f"{len(case.facets):>7} facets{len(near.step):>10} pairs{taken:10.2f} s"
            f"{len(found.contacts):>7} contacts\n"
        )
    table = np.log(np.array(rows))
    for name, column in (("pairs", 1), ("time", 2)):
        power = np.polyfit(table[:, 0], table[:, column], 1)[0]
        sys.stdout.write(f"{name} grow with the power {power:.2f} of the facets\n")


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
    """Write the table, or how it grows."""
    if names == ["growth"]:
        with tempfile.TemporaryDirectory() as folder:
            growth(Path(folder))
        return
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
