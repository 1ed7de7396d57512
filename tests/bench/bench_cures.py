"""Put every cure that `check` tells of random designs into them, and ask again: 40, or as given.

Run by hand: ``python -m tests.bench.bench_cures [count] [first seed]``.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

from meshes.errors import DesignError
from tests.check.random_spreads import random_design
from tests.check.test_cures import assert_cures_hold, cured


def main() -> None:
    """Print how many findings got cures, and each cure that does not hold."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 40
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 3000
    failing = helped = told = wrong = 0
    longest = 0.0
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for seed in range(first, first + count):
            text = random_design(seed, most=3)
            try:
                start = time.process_time()
                found = cured(folder, text)
                longest = max(longest, time.process_time() - start)
                told += assert_cures_hold(folder, text)
            except DesignError:
                continue
            except AssertionError as error:
                wrong += 1
                print(f"{seed}: {error}")
                continue
            bad = [one for one in found.findings if one.severity != "note"]
            failing, helped = failing + len(bad), helped + sum(bool(one.cures) for one in bad)
    print(f"{failing} problems and warnings, {helped} of them with cures")
    print(f"{told} cures tried, {wrong} designs with one that does not hold")
    print(f"longest check with cures: {longest:.1f} s of processor time")


if __name__ == "__main__":
    main()
