"""How quickly the page follows a hand, beside an editor.

Run ``python -m tests.bench.bench_letting_go``.

A corner of a piece is pulled with real pointer events in Chromium. Measured are the changes that
the page shows in a second while the hand moves, and the time from letting go until the new motion
is seen; and in the same page, by turns, the time from the moment that an editor has saved the same
change until that is seen. On a busy computer the processor's time counts more: that of browser and
server for each change while the hand moves. Pieces of which no corner is seen are passed over,
and pulls that come to nothing. Name designs to have only these, or give ``--times``.
"""

from __future__ import annotations

import argparse
import json
import math
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
import tomllib
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import numpy as np

from meshes import designs, spread
from meshes.pull.hold import Hold
from meshes.pull.sketch import Sketch
from tests.pull.pulling import corners, held
from tests.viewer.tugging import OPENING, Fingers, one_of_each, pulled, seen

HOUSES = Path(__file__).parents[1] / "designs" / "hill-village.toml"
# A new motion is seen, or the pull has come to nothing.
OVER = "() => window.shown > 0 || document.getElementById('tug').hidden"
PIXELS, DRAG_S = 40, 3.0
# A pixel of the window is no more of the paper than this, unless that is seen from its edge, mm.
NEAR_MM = 2.0
WINDOW = {"width": 1280, "height": 800}
# Moments as the page has them, in ms since 1970: a hand lets go, and another text is seen.
WATCH = """() => {
  window.let_go = 0;
  addEventListener("pointerup", () => (window.let_go = now()), { capture: true });
  const now = () => performance.timeOrigin + performance.now();
  let made = foldstage.pictured;
  window.shown = 0;
  const look = () => {
    if (foldstage.pictured !== made) {
      made = foldstage.pictured;
      foldstage.seenNow().then(() => (window.shown = now()));
    }
    requestAnimationFrame(look);
  };
  look();
}"""


def main() -> None:
    """Print a line for each design."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("designs", nargs="*")
    parser.add_argument("--times", type=int, default=6)
    args = parser.parse_args()
    from playwright.sync_api import sync_playwright

    shipped = designs.names()
    named = [designs.path(name) if name in shipped else Path(name) for name in args.designs]
    files = named or [HOUSES, largest()]
    print(
        "design, facets: changes a second; ms of the processor for each; s from letting go until "
        "seen; s from saving; ratio"
    )
    with sync_playwright() as driver, tempfile.TemporaryDirectory() as name:
        browser = driver.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--no-sandbox"]
        )
        for file in files:
            folder = Path(name) / file.stem
            shutil.copytree(file.parent, folder)
            print(measured(browser, folder / file.name, args.times), flush=True)
        browser.close()


def largest() -> Path:
    """The shipped design of most facets."""

    def facets(path: Path) -> int:
        return sum(len(body.parts) for body in spread.read(path).linkage.bodies)

    return max(map(designs.path, designs.names()), key=facets)


@contextmanager
def viewed(file: Path) -> Iterator[str]:
    """The address of ``foldstage view``, in a process of its own."""
    words = [sys.executable, "-m", "preview", "view", str(file), "--no-browser"]
    with subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL) as server:
        assert server.stdout is not None
        try:
            yield server.stdout.readline().decode().strip()
        finally:
            server.terminate()


def measured(browser: Any, file: Path, times: int) -> str:
    """The line for one design."""
    made = spread.read(file)
    facets = sum(len(body.parts) for body in made.linkage.bodies)
    gone, saved, rates, costs = [], [], [], []
    with viewed(file) as address:
        page = browser.new_page(viewport=WINDOW, reduced_motion="reduce")
        page.goto(f"{address}#opening={OPENING}")
        page.wait_for_function("() => window.foldstage?.ready")
        page.evaluate(WATCH)
        page.click("#shape")
        for name in pullable(made):
            rest(address)
            hold = seen_corner(page, file, name)
            if hold is None:
                continue
            (rate, cost), seconds, text = let_go(page, file, hold)
            if seconds is None:
                continue
            rates.append(rate)
            costs.append(cost)
            gone.append(seconds)
            rest(address)
            undone(page)
            rest(address)
            saved.append(save(page, file, text))
            undone(page)
            if len(rates) == times:
                break
        page.close()
    rate, cost, far, near = (statistics.median(one) for one in (rates, costs, gone, saved))
    return (
        f"{file.stem}, {facets}: {rate:.1f} (slowest {min(rates):.1f}); {cost:.0f}; {far:.2f} "
        f"(slowest {max(gone):.2f}); {near:.2f}; {far / near:.2f}"
    )


def pullable(made: spread.Spread) -> list[str]:
    """Pieces that stand on the gutter or on pieces, by turns."""
    pieces = made.design.pieces
    first = [name for name, piece in pieces.items() if piece.on == "gutter"]
    other = [name for name, piece in pieces.items() if "." in piece.on]
    both = [name for pair in zip(first, other, strict=False) for name in pair]
    return both + [name for name in first + other if name not in both]


def seen_corner(page: Any, file: Path, name: str) -> Hold | None:
    """The outermost corner of a piece that the page shows as that paper; None if it shows none."""
    sketch = Sketch(tomllib.loads(file.read_text()), spread.read(file))
    for part, point in corners(sketch, name, inwards=0.1):
        body, height = next(
            (body.name, one.height)
            for body in sketch.spread.linkage.bodies
            for one in body.parts
            if one.id == part
        )
        if picked(page, name, body, [*point, height]):
            hold = held(sketch, part, point, OPENING)
            return hold if one_of_each(hold) else None
    return None


def picked(page: Any, piece: str, body: str, local: list[float]) -> bool:
    """Whether the page would hold this paper where a point of it is seen."""
    at = np.round(page.evaluate("(of) => foldstage.bodyPoint(...of)", [body, local]))
    (found,) = page.evaluate("(points) => foldstage.pickedAt(points)", [at.tolist()])
    if found is None or (found["piece"], found["body"]) != (piece, body):
        return False
    return bool(np.linalg.norm(np.subtract(found["local"][:2], local[:2])) < NEAR_MM)


def rest(address: str) -> None:
    """Wait until nothing is worked on any more, as somebody who looks does."""
    while True:
        with urllib.request.urlopen(f"{address}scene.json") as answer:
            if json.load(answer)["cured"]:
                break
        time.sleep(0.2)
    time.sleep(0.5)


def undone(page: Any) -> None:
    made = page.evaluate("foldstage.made")
    page.click("#undo")
    page.wait_for_function("(made) => foldstage.made !== made", arg=made)


def let_go(page: Any, file: Path, hold: Hold) -> tuple[tuple[float, float], float | None, str]:
    """Pull at a piece: see `dragged`; seconds until it is seen, and what the file says then.

    Seconds are None where the paper is let go with the number that it had.
    """
    pull = max(one_of_each(hold).values(), key=lambda one: float(np.linalg.norm(one.way)))
    fingers = Fingers(page)
    pulled(page, fingers, hold, pull, PIXELS)
    rate = dragged(page, seen(page, hold.place))
    page.evaluate("window.shown = 0")
    fingers.release()
    page.wait_for_function(OVER, timeout=60_000)
    if page.is_hidden("#tug"):
        return rate, None, file.read_text()
    page.wait_for_selector("#tug.done")
    seconds = page.evaluate("(window.shown - window.let_go) / 1000")
    return rate, seconds, file.read_text()


def dragged(page: Any, start: np.ndarray) -> tuple[float, float]:
    """Changes shown in a second while a hand goes to and fro, and processor ms for each of them."""
    count, begin, step = page.evaluate("foldstage.pulled()"), time.perf_counter(), 0
    before = spent()
    while time.perf_counter() - begin < DRAG_S:
        step += 1
        page.mouse.move(start[0] + 14 * math.sin(step / 6), start[1] - 20 - 14 * math.cos(step / 9))
    seconds, work = time.perf_counter() - begin, spent() - before
    count = page.evaluate("foldstage.pulled()") - count
    page.mouse.move(start[0], start[1] - PIXELS)
    page.wait_for_timeout(200)
    return count / seconds, 1000 * work / max(1, count)


def spent() -> float:
    """Processor seconds of all processes that this one has begun, and theirs."""
    parents, times = {}, {}
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):
            words = stat.read_text().rsplit(")", 1)[1].split()
            own = int(stat.parent.name)
            parents[own] = int(words[1])
            times[own] = (int(words[11]) + int(words[12])) / os.sysconf("SC_CLK_TCK")
    below = [os.getpid()]
    for one in below:
        below += [child for child, parent in parents.items() if parent == one]
    return sum(times.get(one, 0.0) for one in below[1:])


def save(page: Any, file: Path, text: str) -> float:
    """Seconds from the moment that an editor has saved a text until it is seen."""
    page.evaluate("window.shown = 0")
    part = file.with_suffix(".part")
    part.write_text(text)
    part.replace(file)
    begin = time.time()
    page.wait_for_function("() => window.shown > 0", timeout=60_000)
    return float(page.evaluate("window.shown")) / 1000 - begin


if __name__ == "__main__":
    main()
