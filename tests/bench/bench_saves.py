"""A design saved 200 times at random moments while the page follows it, and followed to the last.

Run with ``python -m tests.bench.bench_saves [DESIGN] [--saves 200]``. A save meets whatever the
follower is doing just then: reading, solving, handing work over, hearing of it. The last save must
be shown, with its fit report; the time is that from the last save until it is.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
import time
from pathlib import Path

from meshes import designs, spread
from preview.viewer.follow import Follower
from preview.viewer.watch import Watcher

SEED, AT_MOST_S = 13, 300.0


def main() -> int:
    """Save, wait, report; 0 if the last save is shown."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("design", nargs="?", default="campfire-night")
    parser.add_argument("--saves", type=int, default=200)
    parser.add_argument("--wait", type=float, default=0.6, help="longest pause between saves, s")
    args = parser.parse_args()
    moments = random.Random(SEED)
    with tempfile.TemporaryDirectory() as folder:
        design = Path(folder) / "saved.toml"
        text = designs.path(args.design).read_text()
        design.write_text(text)
        follower = Follower(design, lambda: spread.read(design))
        watcher = Watcher(follower.build)
        watcher.start()
        shown = {watcher.state.version}
        for number in range(args.saves):
            time.sleep(moments.uniform(0, args.wait))
            title = f'title = "save {number}"\n'
            design.write_text(title + "\n".join(x for x in text.splitlines() if "title =" not in x))
            shown.add(watcher.state.version)
        state, start = watcher.state, time.monotonic()
        quick = None
        while time.monotonic() < start + AT_MOST_S:
            last = state.scene["title"] == f"save {args.saves - 1}"
            if last and quick is None:
                quick = time.monotonic() - start
            if last and state.scene["checked"]:
                break
            state = watcher.wait(state.news, 1.0)
        else:
            sys.stdout.write(f"FAILED: shows {state.scene['title']!r}\n")
            return 1
        watcher.stop()
        follower.close()
    sys.stdout.write(
        f"{args.design}: {args.saves} saves, {len(shown)} states seen on the way; the last one "
        f"moves after {quick:.1f} s and is checked after {time.monotonic() - start:.1f} s\n"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
