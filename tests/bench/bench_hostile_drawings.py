"""Read hostile drawings, print the slowest and the memory they took, and count warnings.

Run with ``python -m tests.bench.bench_hostile_drawings [spoilt]``: a hundred as they are, and so
many (300 if left out) spoilt further. Bounds: 5 s each, 500 MB, no warning of any library.

measured: see the last line that it prints; 401 drawings, 0 warnings
"""

from __future__ import annotations

import contextlib
import resource
import sys
import time
import warnings
from collections.abc import Iterator

from meshes.drawn import DrawingError, read
from tests.drawn.hostile import ALL
from tests.hostile.cases import case


def _drawings(spoilt: int) -> Iterator[tuple[str, bytes]]:
    yield from ALL.items()
    yield from ((f"spoilt {k}", case("drawings", k).files["sign.svg"]) for k in range(spoilt))


def main() -> int:
    """Measure and report."""
    slowest, count, warned = ("", 0.0), 0, 0
    for name, data in _drawings(int(sys.argv[1]) if len(sys.argv) > 1 else 300):
        start = time.process_time()
        with warnings.catch_warnings(record=True) as heard:
            warnings.simplefilter("always")
            with contextlib.suppress(DrawingError):
                read(data)
        seconds = time.process_time() - start
        slowest = max(slowest, (name, seconds), key=lambda item: item[1])
        count, warned = count + 1, warned + len(heard)
        for one in heard:
            sys.stdout.write(f"{name}: {one.filename}:{one.lineno} {one.message}\n")
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    sys.stdout.write(
        f"{count} drawings, slowest {slowest[0]!r} {slowest[1]:.2f} s, {memory:.0f} MB, "
        f"{warned} warnings\n"
    )
    return 0 if slowest[1] < 5 and memory < 500 and not warned else 1


if __name__ == "__main__":
    sys.exit(main())
