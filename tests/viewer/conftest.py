"""A real browser for the page, and designs to show in it.

The browser is that of all tests.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from meshes import spread
from preview.viewer.page import save
from preview.viewer.payload import payload
from tests.conftest import LONGEST_MS
from tests.viewer.serving import VISITORS

# What the driver says of the screenshots' own reading of pixels is not said by the page.
NOT_OURS = "GPU stall due to ReadPixels"

TULIP = """
title = "Tulip & <friends>"
[spread]
page = "A5"
ruling = "dots"
[pieces.tulip]
kind = "v-fold"
on = "gutter"
at = 84
page_angle = 48
panel_angle = 62
base = 20
front = "#d9603b"
outline = { shape = "petal", length = 74, width = 52 }
[pieces.meadow]
kind = "flat"
on = "page.right"
x = 72
y = 74
front = "#a9c48c"
outline = { shape = "ellipse", length = 52, width = 104 }
"""


@pytest.fixture
def design(tmp_path: Path) -> Path:
    path = tmp_path / "tulip.toml"
    path.write_text(TULIP)
    return path


@pytest.fixture(scope="session")
def tulip(tmp_path_factory: pytest.TempPathFactory) -> spread.Spread:
    path = tmp_path_factory.mktemp("design") / "tulip.toml"
    path.write_text(TULIP)
    return spread.read(path)


@pytest.fixture(scope="session")
def page_file(tulip: spread.Spread, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The tulip as a saved page, with one finding."""
    path = tmp_path_factory.mktemp("page") / "tulip.html"
    scene = payload(tulip, tulip.solve(np.radians(np.arange(181.0))))
    scene["findings"] = [
        {
            "opening_deg": 75.0,
            "place": [60.0, 140.0, 20.0],
            "pieces": ["tulip"],
            "severity": "problem",
            "sign": "✗",
            "text": "the tulip touches the meadow",
        }
    ]
    save(path, scene)
    return path


class Pages:
    """One page for each kind of window, used by one test after another; what it says is kept."""

    def __init__(self, browser: Any) -> None:
        self.browser = browser
        self.said: list[str] = []
        self._pages: dict[str, Any] = {}

    def page(self, offline: bool, settings: dict[str, Any]) -> Any:
        """A page that shows nothing yet."""
        key = f"{offline} {sorted(settings.items())}"
        if key not in self._pages:
            context = self.browser.new_context(**settings)
            context.set_offline(offline)
            page = context.new_page()
            page.set_default_timeout(LONGEST_MS)
            page.on("console", lambda one: self.said.append(f"{one.text} ({one.location['url']})"))
            page.on("pageerror", lambda error: self.said.append(str(error)))
            self._pages[key] = page
        page = self._pages[key]
        page.goto("about:blank")
        page.mouse.move(0, 0)
        return page

    def leave(self, address: str) -> None:
        """Show nothing of a server any more."""
        for page in self._pages.values():
            if page.url.startswith(address):
                page.goto("about:blank")


@pytest.fixture(scope="session")
def pages(browser: Any) -> Iterator[Pages]:
    made = Pages(browser)
    VISITORS.append(made.leave)
    yield made
    VISITORS.remove(made.leave)


class Opener:
    """Opens pages for one test."""

    def __init__(self, pages: Pages, file: Path) -> None:
        self.pages, self.file = pages, file
        self.opened: list[Any] = []
        self.allowed = [NOT_OURS]
        pages.said.clear()

    def expected(self, *parts: str) -> None:
        """Messages with one of these parts were provoked by the test."""
        self.allowed += parts

    @property
    def surprises(self) -> list[str]:
        return [text for text in self.pages.said if not any(p in text for p in self.allowed)]

    def __call__(
        self,
        address: str = "#opening=120&draft=0.25",
        width: int = 860,
        height: int = 420,
        **settings: Any,
    ) -> Any:
        viewport = {"width": width, "height": height}
        settings = {"viewport": viewport, "reduced_motion": "reduce", **settings}
        page = self.pages.page(not address.startswith("http"), settings)
        self.opened.append(page)
        own = address.startswith(("http", "file:"))
        page.goto(address if own else self.file.as_uri() + address)
        # A page with a picture of itself shows that first and draws the spread a moment later.
        page.wait_for_function("() => !window.foldstage || foldstage.ready")
        return page


@pytest.fixture
def open_page(pages: Pages, page_file: Path) -> Iterator[Opener]:
    """Opens the saved page offline, or another address; afterwards it must have said nothing."""
    opener = Opener(pages, page_file)
    yield opener
    for page in opener.opened:
        page.goto("about:blank")
    assert opener.surprises == []
