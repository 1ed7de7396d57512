"""Random edits of the shipped designs, 10,000 of them, each judged from outside.

Run ``python -m tests.bench.bench_edits [COUNT]``. Chains of 25 edits go through the desk as those
of a page do; each outcome is judged by reading both texts with tomllib and comparing their lines,
and undoing all must end at the first byte (``tests/design/chains.py``).
"""

from __future__ import annotations

import shutil
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from meshes import designs
from tests.design.chains import chain

LENGTH = 25


def main() -> None:
    """Make the edits and say what came of them."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    told, wrong, start = Counter[str](), [], time.process_time()
    names = designs.names()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        shutil.copytree(designs.path(names[0]).parent / "drawings", folder / "drawings")
        for number in range(count // LENGTH):
            made, bad = chain(folder, names[number % len(names)], f"bench {number}", LENGTH)
            told += made
            wrong += bad
            for line in bad:
                print("WRONG", names[number % len(names)], number, line, flush=True)
            print(f"{told.total()} edits, {len(wrong)} wrong", flush=True)
    for kind in sorted(told):
        print(f"{kind:20} {told[kind]:6}")
    spent = time.process_time() - start
    print(f"{told.total()} edits, {len(wrong)} wrong, {spent / told.total():.3f} s each")


if __name__ == "__main__":
    main()
