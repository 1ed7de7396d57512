"""State the waste of every shipped design: ``python tests/bench/bench_waste.py``."""

from __future__ import annotations

import sys
import time

from meshes import designs, spread
from preview.pattern.layout import Options, lay_out
from preview.pattern.marks import Show
from preview.pattern.template import templates


def main() -> int:
    """Lay every shipped design out on A4, once on coloured papers and once with colours printed."""
    sys.stdout.write(f"{'design':<34}{'pieces':>7}{'sheets':>12}{'waste':>16}{'s':>8}\n")
    worse = 0
    for name in designs.names():
        found = spread.read(designs.path(name))
        for printed in (False, True):
            start = time.perf_counter()
            made = templates(found.sheets, found.joins)
            options = Options(split=True, show=Show(colours=printed))
            pattern = lay_out(found.design.title, made, options)
            seconds = time.perf_counter() - start
            sheets = sum(use.sheets for use in pattern.papers)
            plain = sum(use.plain_sheets for use in pattern.papers)
            pieces = sum(use.pieces for use in pattern.papers)
            label = f"{name}{' (printed)' if printed else ''}"
            sys.stdout.write(
                f"{label:<34}{pieces:>7}{sheets:>7} not {plain:<4}"
                f"{pattern.waste:>7.0%} not {pattern.plain_waste:<5.0%}{seconds:>7.1f}\n"
            )
            worse += pattern.waste > pattern.plain_waste + 1e-9
    return 1 if worse else 0


if __name__ == "__main__":
    sys.exit(main())
