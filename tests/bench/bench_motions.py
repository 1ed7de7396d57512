"""Ask a rigid-body engine where random spreads come to rest: 50, or as many as given.

Run by hand: ``python -m tests.bench.bench_motions [count] [first seed]``.

Measured once, with 50: all confirmed, 17 of them with free paper, 909 folds in all at openings from
38° to 163°; each fold had been put up to 6° off and came to rest within 0.0016° of ours.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from meshes.errors import DesignError
from tests.outside.test_random_motions import WITHIN_DEG, confirm


def main() -> None:
    """Print each motion, then how many of them were confirmed."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 50
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 100
    worst, folds, done, good, free = 0.0, 0, 0, 0, 0
    with tempfile.TemporaryDirectory() as folder:
        while done < count:
            seed += 1
            try:
                found = confirm(Path(folder), seed)
            except DesignError:
                continue
            except AssertionError as error:
                print(f"{seed}: {error}")
                done += 1
                continue
            if found is None:
                continue
            done, free, folds = done + 1, free + found.free, folds + found.folds
            worst = max(worst, found.end)
            good += found.end < WITHIN_DEG
            print(
                f"{seed}: {found.folds} folds{', free' if found.free else ''} at "
                f"{found.opening_deg:.0f}°, up to {found.start:.1f}° off, then {found.end:.5f}°, "
                f"slip {found.slip:.5f} mm",
                flush=True,
            )
    print(f"{good} of {done} confirmed ({free} with free paper, {folds} folds), worst {worst:.5f}°")


if __name__ == "__main__":
    main()
