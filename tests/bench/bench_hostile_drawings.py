"""Read a hundred hostile drawings and print the slowest and the memory they took.

Run with ``python -m tests.bench.bench_hostile_drawings``. Bounds: 5 s each and 500 MB.
"""

from __future__ import annotations

import resource
import sys
import time

from meshes.drawn import DrawingError, read
from tests.drawn.hostile import ALL


def main() -> int:
    """Measure and report."""
    slowest = ("", 0.0)
    for name, data in ALL.items():
        start = time.perf_counter()
        try:
            read(data)
        except DrawingError:
            seconds = time.perf_counter() - start
            slowest = max(slowest, (name, seconds), key=lambda item: item[1])
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    sys.stdout.write(
        f"{len(ALL)} drawings, slowest {slowest[0]!r} {slowest[1]:.2f} s, {memory:.0f} MB\n"
    )
    return 0 if slowest[1] < 5 and memory < 500 else 1


if __name__ == "__main__":
    sys.exit(main())
