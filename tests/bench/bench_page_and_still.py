"""How alike a page and a still are: ``python -m tests.bench.bench_page_and_still``.

For each design, by day and by night, the mean, the median and the 95th percentile of the colour
difference (CIEDE2000) of all pixels are printed, of the page at rest and of what it shows while it
moves. ``--pictures FOLDER`` keeps page, still and ten times their difference, one below the other.
"""

from __future__ import annotations

import argparse
import shutil
import tempfile
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

from meshes import designs, spread
from meshes.motion.memory import Memory
from preview.viewer.follow import moving
from preview.viewer.page import save
from preview.viewer.payload import quick_payload
from tests.bench.bench_viewer import FLAGS
from tests.viewer import likeness

WINDOW = {"width": 1100, "height": 640}
LIGHT = """(mood) => {
  const choice = document.getElementById("mood-choice");
  choice.value = mood;
  choice.dispatchEvent(new Event("change", { bubbles: true }));
}"""


def main() -> None:
    """Print a line for each picture."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("designs", nargs="*", default=designs.names())
    parser.add_argument("--opening", type=float, default=140.0)
    parser.add_argument("--moods", nargs="+", default=["daylight", "night"])
    parser.add_argument("--pictures", type=Path)
    args = parser.parse_args()
    from playwright.sync_api import sync_playwright

    print("design, light, how: mean, median, 95th percentile of dE2000")
    with sync_playwright() as driver, tempfile.TemporaryDirectory() as folder:
        browser = driver.chromium.launch(executable_path=shutil.which("chromium"), args=FLAGS)
        for name in args.designs:
            made = spread.read(designs.path(name))
            memory = Memory()
            file = Path(folder) / f"{name}.html"
            save(file, quick_payload(made, moving(made, memory), memory))
            for mood in args.moods:
                address = f"{file.as_uri()}{likeness.address(args.opening)}"
                compare(browser, made, (name, mood), (address, args.opening), args.pictures)
        browser.close()


def compare(
    browser: Any,
    made: spread.Spread,
    what: tuple[str, str],
    where: tuple[str, float],
    folder: Path | None,
) -> None:
    """Print the lines of a design (name, mood) at an address and opening."""
    (name, mood), (address, opening) = what, where
    still = None
    for how in ("at rest", "moving"):
        page = browser.new_page(viewport=WINDOW, reduced_motion="reduce")
        page.goto(address + ("&draft" if how == "moving" else ""))
        page.wait_for_function("() => window.foldstage?.ready", timeout=120_000)
        page.evaluate(LIGHT, mood)
        shown = likeness.seen(page)
        page.close()
        if still is None:
            still = likeness.drawn(made, opening, shown.shape[1::-1], mood=mood)
        off = likeness.difference(shown, still)
        print(
            f"{name}, {mood}, {how}: {off.mean():.2f}, {np.median(off):.2f}, "
            f"{np.percentile(off, 95):.2f}",
            flush=True,
        )
        if folder is not None:
            folder.mkdir(parents=True, exist_ok=True)
            far = np.repeat(np.clip(10 * off, 0, 255)[..., None], 3, axis=2).astype(np.uint8)
            below = np.concatenate([shown, still, far])
            Image.fromarray(below).save(folder / f"{name}-{mood}-{how.replace(' ', '-')}.png")


if __name__ == "__main__":
    main()
