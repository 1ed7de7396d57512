"""Peak memory of each command on the largest shipped design.

Run with ``python -m tests.bench.bench_memory [DESIGN] [--only NAME ...] [--before REVISION]``. The
largest is the one with most facets, unless one is named. Each command is run once, as on a design
that nothing is known of; the figure is that of its largest process, and processor seconds stand
beside it. Of an earlier version, which draws its own design of that name, it tells the same; a
command that it does not have, or that fails there, has none.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from contextlib import nullcontext
from pathlib import Path

from .bench_commands import COMMANDS, HERE, Cost, compiled, run, versions


def largest() -> str:
    """The shipped design with most facets."""
    from meshes import designs, spread

    def facets(name: str) -> int:
        return sum(len(sheet.facets) for sheet in spread.read(designs.path(name)).sheets)

    return max(designs.names(), key=facets)


def cost_of(tree: Path, name: str, design: str) -> Cost | None:
    """What a command costs a version, whose files are in `tree`; None if it fails there."""
    with tempfile.TemporaryDirectory() as folder:
        cache = Path(folder, "cache")
        cache.mkdir(mode=0o700)
        try:
            return run(
                tree, [word.format(design=design, out=folder) for word in COMMANDS[name]], cache
            )
        except SystemExit:
            return None


def main() -> None:
    """Measure and print a table in Markdown."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("design", nargs="?", help="a shipped design")
    parser.add_argument("--only", nargs="+", choices=COMMANDS, default=list(COMMANDS))
    parser.add_argument("--before", metavar="REVISION", help="an earlier version beside it")
    args = parser.parse_args()
    design = args.design or largest()
    compiled(HERE)
    sys.stdout.write(f"{design}\n\n| command | largest process, MB | processor s |\n")
    sys.stdout.write("| --- | --- | --- |\n")
    with versions(args.before) if args.before else nullcontext([HERE]) as trees:
        for name in args.only:
            costs = [cost_of(tree, name, design) for tree in trees]
            memory = " → ".join(f"{cost.memory:.0f}" if cost else "–" for cost in costs)
            seconds = " → ".join(f"{cost.processor:.1f}" if cost else "–" for cost in costs)
            sys.stdout.write(f"| {name} | {memory} | {seconds} |\n")
            sys.stdout.flush()


if __name__ == "__main__":
    main()
