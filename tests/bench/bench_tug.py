"""A place, an angle and a length of every kind pulled: ``python -m tests.bench.bench_tug``.

``tests/viewer/test_tugging.py`` pulls at one kind; this pulls at all, in one page, and prints
by how much each number misses what the pixels meant, in mm or degrees: by half of one at most, as
numbers come whole.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

import meshes.designs
from tests.pull.kinds import HEAD, KINDS
from tests.viewer.tugging import each_followed, served, show

PIXELS = 40
WINDOW = {"width": 1280, "height": 800}


def main() -> None:
    """Print a line for each kind; name some to have only these."""
    shipped = Path(next(iter(meshes.designs.__path__)))
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as driver:
        file = Path(folder) / "kind.toml"
        shutil.copytree(shipped / "drawings", Path(folder) / "drawings")
        file.write_text(HEAD + KINDS["v-fold"])
        browser = driver.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--no-sandbox"]
        )
        with served(file) as server:
            page = browser.new_page(viewport=WINDOW, reduced_motion="reduce")
            page.goto(f"{server.address}#opening=110&draft=0.4")
            page.click("#shape")
            for kind in sys.argv[1:] or KINDS:
                show(page, file, HEAD + KINDS[kind])
                print(f"{kind}:", end=" ")
                try:
                    offs = [f"{name} {off:+.2f}" for name, off in each_followed(page, file, PIXELS)]
                    print(", ".join(offs))
                except Exception as error:  # the other kinds are told as well
                    print(f"{type(error).__name__}: {str(error).partition(chr(10))[0]}")
                    page.reload()
                    page.click("#shape")
        browser.close()


if __name__ == "__main__":
    main()
