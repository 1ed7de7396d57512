"""The whole spread of the first steps, by touch in Chromium and by mouse in Firefox.

Run ``python -m tests.bench.bench_whole_spread [mouse] [touch] [firefox]``. The mouse in Chromium is
in the tests (``tests/viewer/test_whole_spread.py``); here it can be had as well. It prints how long
each took, and fails where the check finds a problem or something is missing.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from preview import begin
from tests.viewer.by_hand import WINDOW, Hand, judge, make
from tests.viewer.firefox import firefox
from tests.viewer.tugging import served


def main() -> None:
    """Print a line for each hand."""
    for hand in sys.argv[1:] or ("touch", "firefox"):
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            file = folder / "garden.toml"
            begin.write(file, begin.blank("Garden", "A5"), {})
            start = time.monotonic()
            with served(file) as server, window(hand, folder) as page:
                address = f"{server.address}#opening=140&draft"
                page.goto(address, **(WINDOW if hand == "firefox" else {}))
                made = Hand(page, touch=hand == "touch")
                make(made)
            judge(file)
        print(f"{hand}: {made.gestures} gestures, {time.monotonic() - start:.0f} s, passes")


@contextmanager
def window(hand: str, folder: Path) -> Iterator[Any]:
    """A window of Firefox, or of Chromium with a mouse or a finger."""
    if hand == "firefox":
        profile = folder / "profile"
        profile.mkdir()
        with firefox(profile) as page:
            yield page
        return
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        browser = driver.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--no-sandbox"]
        )
        settings = {"viewport": WINDOW, "has_touch": hand == "touch", "reduced_motion": "reduce"}
        page = browser.new_page(**settings)
        page.set_default_timeout(120_000)
        yield page
        browser.close()


if __name__ == "__main__":
    main()
