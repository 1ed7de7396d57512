"""What the browser page costs: bytes, script a frame, and the time from saving to seeing.

Run it as a script, with the names of shipped designs or design files (default: all shipped). It
needs chromium and playwright. Script time is processor time of the page's own main thread, so that
other work on the machine does not count. The calls that make the graphics card draw are left out:
a machine without one spends all its time in them, and then runs too few frames to warm up.
"""

from __future__ import annotations

import argparse
import re
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from meshes import designs

FLAGS = ["--no-sandbox", "--disable-dev-shm-usage", "--enable-unsafe-swiftshader"]
SECONDS = 6
# The first measure that changes a shape: a length, else a width or a height.
LENGTH = re.compile(r"\b((?:length|width|height) = )([\d.]+)")
NO_DRAWING = """for (const name of ["drawArrays", "drawElements"]) {
  WebGL2RenderingContext.prototype[name] = () => {};
}"""


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("designs", nargs="*", default=designs.names())
    args = parser.parse_args()
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright, tempfile.TemporaryDirectory() as folder:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=FLAGS)
        for name in args.designs:
            measure(browser, name, Path(folder))
        browser.close()


def measure(browser: Any, name: str, folder: Path) -> None:
    path = designs.path(name) if name in designs.names() else Path(name)
    text = path.read_text(encoding="utf-8")
    shutil.copytree(path.parent, folder, dirs_exist_ok=True)  # with the drawings it uses
    copy = folder / path.name
    file = folder / "page.html"
    command = [sys.executable, "-m", "preview", "view", str(copy)]
    subprocess.run([*command, "--save", str(file)], check=True, stdout=subprocess.DEVNULL)
    page = browser.new_page(viewport={"width": 1280, "height": 800})
    page.goto(f"{file.as_uri()}#opening=90&draft")
    page.evaluate("foldstage.settled()")
    page.evaluate(NO_DRAWING)
    metrics = page.context.new_cdp_session(page)
    metrics.send("Performance.enable", {"timeDomain": "threadTicks"})
    page.evaluate("foldstage.play()")
    page.wait_for_timeout(1000)  # the first frames are compiled
    script, frames = script_seconds(metrics), page.evaluate("foldstage.frames()")
    page.wait_for_timeout(1000 * SECONDS)
    script = script_seconds(metrics) - script
    frames = page.evaluate("foldstage.frames()") - frames
    page.close()
    seen = reload_time(browser, [*command, "--no-browser"], copy, text)
    size, cost = file.stat().st_size / 1e6, 1000 * script / frames
    print(
        f"{path.stem}: page {size:.2f} MB; script {cost:.2f} ms a frame "
        f"({frames} frames); from saving to seeing {seen:.2f} s"
    )


def longer(found: re.Match[str]) -> str:
    return f"{found[1]}{1.02 * float(found[2]):.2f}"


def script_seconds(metrics: Any) -> float:
    found = metrics.send("Performance.getMetrics")["metrics"]
    return next(entry["value"] for entry in found if entry["name"] == "ScriptDuration")


def reload_time(browser: Any, command: list[str], copy: Path, text: str) -> float:
    """Seconds from saving a longer piece and another title to their showing in the page."""
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL) as server:
        assert server.stdout is not None
        address = server.stdout.readline().decode().strip()
        page = browser.new_page(viewport={"width": 860, "height": 480})
        page.goto(f"{address}#opening=90&draft")
        page.wait_for_function("() => document.querySelector('#card-check .good, .finding')")
        page.wait_for_timeout(3000)  # until nothing is worked on any more
        old = page.title()
        fresh = LENGTH.sub(longer, text.replace(old, f"{old} again", 1), count=1)
        copy.write_text(fresh, encoding="utf-8")
        start = time.perf_counter()
        page.wait_for_function("old => document.title === `${old} again`", arg=old, timeout=60000)
        seconds = time.perf_counter() - start
        page.close()
        server.terminate()
    return seconds


if __name__ == "__main__":
    main()
