"""Peak memory of each command on the largest shipped design.

Run with ``python -m tests.bench.bench_memory [DESIGN] [--only NAME ...]``. The largest is the one
with most facets, unless one is named. Each command is run once, as on a design that nothing is
known of; the figure is that of its largest process, and processor seconds stand beside it.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path

from .bench_commands import COMMANDS, HERE, run


def largest() -> str:
    """The shipped design with most facets."""
    from meshes import designs, spread

    def facets(name: str) -> int:
        return sum(len(sheet.facets) for sheet in spread.read(designs.path(name)).sheets)

    return max(designs.names(), key=facets)


def main() -> None:
    """Measure and print a table in Markdown."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("design", nargs="?", help="a shipped design")
    parser.add_argument("--only", nargs="+", choices=COMMANDS, default=list(COMMANDS))
    args = parser.parse_args()
    design = args.design or largest()
    head = "| command | largest process, MB | processor s |\n| --- | --- | --- |"
    sys.stdout.write(f"{design}\n\n{head}\n")
    for name in args.only:
        with tempfile.TemporaryDirectory() as folder:
            cache = Path(folder, "cache")
            cache.mkdir(mode=0o700)
            words = [word.format(design=design, out=folder) for word in COMMANDS[name]]
            cost = run(HERE, words, cache)
        sys.stdout.write(f"| {name} | {cost.memory:.0f} | {cost.processor:.1f} |\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
