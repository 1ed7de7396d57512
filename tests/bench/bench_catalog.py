"""Measure the catalog: speed, second run, memory, kills, and both pages with 2,000 entries.

Run with ``python -m tests.bench.bench_catalog [PART …]``; the parts are ``jobs`` (designs a minute
with one process and with two), ``kills`` (200 designs, 20 of them broken, while workers are killed
at random), ``memory`` (of the parent, for 10 and for 1,000 designs), ``again`` (a second run over
100 designs) and ``page`` (in headless Chromium, which must be installed).
"""

from __future__ import annotations

import json
import multiprocessing
import os
import random
import resource
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

from preview.catalog import index, publish
from preview.catalog.run import run
from preview.catalog.shop import Shop
from preview.catalog.store import Store
from preview.catalog.task import Settings
from preview.catalog.work import Product, make, plain_row
from preview.catalog.workers import ItemOutcome, LocalWorkers
from tests.catalog.conftest import BROKEN, sound

FIGURES = Settings(pictures=False)
PICTURES = Settings(size=(320, 320), seconds=2.0, quality="draft")


def shop(folder: Path, good: int, bad: int) -> Path:
    """A folder of generated designs."""
    names = list(BROKEN)
    for number in range(good):
        path = folder / f"shelf-{number % 10}" / f"design-{number:04d}.toml"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(sound(number))
    for number in range(bad):
        spoil, _ = BROKEN[names[number % len(names)]]
        (folder / f"broken-{number:02d}.toml").write_text(spoil(sound(number)))
    return folder


def jobs() -> None:
    """Designs a minute at one and two processes, medians of three."""
    rates = {}
    for count in (1, 2, 1, 2, 1, 2):
        with tempfile.TemporaryDirectory() as name:
            folder = shop(Path(name) / "shop", 8, 0)
            start = time.perf_counter()
            run(folder, Path(name) / "out", PICTURES, LocalWorkers(make, count))
            rates.setdefault(count, []).append(8 * 60 / (time.perf_counter() - start))
    one, two = (sorted(rates[count])[1] for count in (1, 2))
    say(f"jobs: {one:.1f} designs a minute with 1, {two:.1f} with 2, ratio {two / one:.2f}")


def kills() -> None:
    """200 designs, 20 broken, workers killed at random; then a second run."""
    stop, killed, chance = threading.Event(), [], random.Random(3)

    def kill() -> None:
        while not stop.wait(chance.uniform(0.3, 1.5)):
            children = [child for child in multiprocessing.active_children() if child.pid]
            if children:
                os.kill(chance.choice(children).pid or 0, 9)
                killed.append(1)

    with tempfile.TemporaryDirectory() as name:
        folder, output = shop(Path(name) / "shop", 180, 20), Path(name) / "out"
        killer = threading.Thread(target=kill, daemon=True)
        killer.start()
        first = run(folder, output, FIGURES, LocalWorkers(make, 2))
        stop.set()
        killer.join()
        second = run(folder, output, FIGURES, LocalWorkers(make, 2))
        rows = json.loads((output / "private" / "catalog.json").read_text())["designs"]
    crashed = [row for row in first.rows if row["status"] == "crashed"]
    broken = [row for row in rows if row["status"] == "broken" and row["reasons"]]
    say(
        f"kills: {len(killed)} kills; first run {len(first.rows)} rows, {len(crashed)} crashed; "
        f"second run made {second.made}; {len(rows)} rows, {len(broken)} with a reason, "
        f"{sum(row['status'] == 'passes' for row in rows)} pass"
    )


class _Instant:
    """Results of a realistic size without the work."""

    def outcomes(self, items):
        for item in items:
            product = Product(plain_row(item, "passes", []), {"film.mp4": bytes(500_000)})
            yield ItemOutcome(item, product)


def memory() -> None:
    """Largest memory of the parent for 10 and for 1,000 designs, each in a process of its own."""
    peaks = []
    for count in (10, 1000):
        code = f"from tests.bench.bench_catalog import memory_of; memory_of({count})"
        done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True)
        peaks.append(float(done.stdout))
    say(f"memory: parent {peaks[0]:.0f} MB for 10 designs, {peaks[1]:.0f} MB for 1,000")


def memory_of(count: int) -> None:
    """Print the peak memory in MB of a run over that many designs."""
    with tempfile.TemporaryDirectory() as name:
        folder = shop(Path(name) / "shop", count, 0)
        run(folder, Path(name) / "out", FIGURES, _Instant())
    say(f"{resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.1f}")


def again() -> None:
    """Time of a second run over 100 designs, as a whole process, median of five."""
    with tempfile.TemporaryDirectory() as name:
        folder = shop(Path(name) / "shop", 100, 0)
        settings = Settings(pictures=False)
        run(folder, folder / "catalog", settings, _Instant())
        times = []
        for _ in range(5):
            start = time.perf_counter()
            command = [sys.executable, "-m", "preview", "catalog", str(folder), "--figures-only"]
            subprocess.run(command, capture_output=True, check=True)
            times.append(time.perf_counter() - start)
    say(f"again: second run over 100 designs {sorted(times)[2]:.2f} s")


def page() -> None:
    """First paint of each page with 2,000 entries, and the longest task while typing."""
    from playwright.sync_api import sync_playwright

    rows = [_row(number) for number in range(2000)]
    with tempfile.TemporaryDirectory() as name, sync_playwright() as driver:
        private, shop = Path(name) / "private.html", Path(name) / "shop"
        private.write_text(index.as_page("shop", rows))
        publish.publish(shop, Store(Path(name)), rows, Shop())
        browser = driver.chromium.launch(
            executable_path="/usr/bin/chromium",
            args=["--no-sandbox", "--disable-background-networking"],
        )
        for path, box in ((private, "search"), (shop / "index.html", "find")):
            say(f"{path.stem}: {_typed(browser, path, box)}")
        browser.close()


def _typed(browser, path: Path, box: str) -> str:
    """How long the first paint takes, and each letter that is typed into a box."""
    tab = browser.new_page(viewport={"width": 1280, "height": 800})
    tab.goto(path.as_uri())
    tab.wait_for_timeout(1000)
    paint = tab.evaluate("performance.getEntriesByName('first-contentful-paint')[0].startTime")
    keys = [
        tab.evaluate(
            """([id, word]) => new Promise(done => {
                const box = document.getElementById(id);
                const start = performance.now();
                box.value = word;
                box.dispatchEvent(new Event('input'));
                document.body.offsetHeight;
                const laid = performance.now() - start;
                requestAnimationFrame(
                    () => setTimeout(() => done([laid, performance.now() - start])));
            })""",
            [box, word],
        )
        for word in ("d", "de", "design 1", "design 19", "design 199", "", "nothing", "")
    ]
    laid, painted = (max(key[k] for key in keys) for k in (0, 1))
    return (
        f"first paint {paint:.0f} ms; slowest key {laid:.0f} ms until it is laid out, "
        f"{painted:.0f} ms until software has painted it"
    )


def _row(number: int) -> dict[str, object]:
    return {
        "name": f"shelf-{number % 10}/design-{number:04d}.toml",
        "title": f"Design {number}",
        "status": "passes" if number % 9 else "problems",
        "reasons": [] if number % 9 else ["the ridge of fern sticks out by 3.2 mm"],
        "page": ("A5", "B5", "A4")[number % 3],
        "page_width_mm": 148,
        "page_height_mm": 210,
        "closed_thickness_mm": 1.4,
        "standing_height_mm": 60 + number % 40,
        "opens_to_deg": 180.0,
        "pieces": 5 + number % 20,
        "sheets": 9,
        "facets": 40,
        "folds": 30,
    }


def say(text: str) -> None:
    """Print at once."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


PARTS = {"jobs": jobs, "kills": kills, "memory": memory, "again": again, "page": page}

if __name__ == "__main__":
    for chosen in sys.argv[1:] or PARTS:
        PARTS[chosen]()
