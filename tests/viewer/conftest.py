"""A real browser for the page, and designs to show in it.

The browser is Debian's Chromium, driven by Playwright. Where one is missing the tests are skipped
with the reason, but under ``CI=true`` they fail, since nobody would notice.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from meshes import spread
from preview.viewer.page import save
from preview.viewer.payload import payload

NODE_MODULES = Path(__file__).parents[2] / "preview" / "viewer" / "node_modules"
FLAGS = [
    "--no-sandbox",
    "--disable-dev-shm-usage",
    "--enable-unsafe-swiftshader",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
]
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
foot = 20
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


def need(found: Any, what: str) -> None:
    """Skip without `found`; fail instead where tests must run."""
    if found:
        return
    if os.environ.get("CI"):
        pytest.fail(f"{what} is missing, so this was not tested")
    pytest.skip(f"{what} is missing")


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
            "severity": "fail",
            "text": "the tulip touches the meadow",
        }
    ]
    save(path, scene)
    return path


@pytest.fixture(scope="session")
def chromium() -> Iterator[Any]:
    binary = shutil.which("chromium") or shutil.which("chromium-browser")
    need(binary, "the program chromium")
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        need(None, "the Python package playwright")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=binary, args=FLAGS)
        yield browser
        browser.close()


Open = Callable[..., Any]


@pytest.fixture
def open_page(chromium: Any, page_file: Path) -> Iterator[Open]:
    """Opens the page, or another address, offline; afterwards it must have said nothing."""
    contexts, said = [], []

    def opened(
        address: str = "#opening=120&draft", width: int = 860, height: int = 420, **settings: Any
    ) -> Any:
        settings = {"reduced_motion": "reduce", **settings}
        context = chromium.new_context(viewport={"width": width, "height": height}, **settings)
        contexts.append(context)
        local = address.startswith("http")
        context.set_offline(not local)
        page = context.new_page()
        page.on("console", lambda message: said.append(message.text))
        page.on("pageerror", lambda error: said.append(str(error)))
        page.goto(address if local else page_file.as_uri() + address)
        return page

    yield opened
    for context in contexts:
        context.close()
    assert [text for text in said if NOT_OURS not in text] == []
