"""Runs the real command line in process and hands back what it said; one browser for all pages.

The browser is Debian's Chromium, driven by Playwright; `tests.viewer.firefox` has another. See
`tests.required` for what happens where one is missing.
"""

from __future__ import annotations

import gc
import io
import json
import shutil
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest

from preview.cli import main
from preview.cli.terminal import Terminal
from tests.required import need


@pytest.fixture(scope="session", autouse=True)
def _own_cache(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Tests keep nothing in the user's cache folder, and find nothing there."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("FOLDSTAGE_CACHE", str(tmp_path_factory.mktemp("cache")))
        yield


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Modules with long tests come first, small ones last, so that both processes end together."""
    of_pages = {"viewer", "catalog"}
    many = Counter(item.path for item in items)
    items.sort(key=lambda item: (item.path.parent.name not in of_pages, -many[item.path]))


def pytest_collection_finish() -> None:
    """What was collected stays to the end: it is not looked through for garbage again and again."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 20, 50)


# Longest wait for anything to happen on a page: tests wait for events, and how long these may take
# tells of the computer, not of the page.
LONGEST_MS = 300_000
BROWSER_FLAGS = [
    "--no-sandbox",
    "--disable-dev-shm-usage",
    # Chromium's own drawing, which takes longer than Mesa's and needs no driver of the system.
    "--enable-unsafe-swiftshader",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
]


def program() -> str | None:
    return shutil.which("chromium") or shutil.which("chromium-browser")


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """A browser for as long as the tests run: the driver can be started only once at a time."""
    need(program(), "the program chromium")
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        need(None, "the Python package playwright")
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=program(), args=BROWSER_FLAGS)
        yield started
        started.close()


@dataclass(frozen=True)
class Outcome:
    """What one call of the command line left behind."""

    code: int
    out: str
    err: str

    @property
    def json(self):
        return json.loads(self.out)


# Two panels, flat art and nothing that the solver must think about for long.
LEAF = """
title = "One leaf"

[pieces.leaf]
kind = "v-fold"
at = 100
page_angle = 38
panel_angle = 52
base = 24
front = "#3f7a5a"
outline = { shape = "leaf", length = 80, width = 58 }

[pieces.meadow]
kind = "flat"
on = "page.left"
front = "#b9cf9a"
outline = { shape = "ellipse", length = 50, width = 96 }
"""


@pytest.fixture
def leaf(tmp_path):
    """A small design, ``fresh.toml``, in the folder that `call` works in."""
    file = tmp_path / "fresh.toml"
    file.write_text(LEAF, encoding="utf-8")
    return file


@pytest.fixture
def call(tmp_path, monkeypatch):
    """Call ``foldstage`` with some arguments in an empty folder; `live` pretends a terminal."""
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.delenv("FOLDSTAGE_TRACEBACK", raising=False)
    # The tests take all cores already, and starting processes would be most of what many do.
    monkeypatch.setattr("os.cpu_count", lambda: 1)

    def run(*argv, live=False):
        out, err = io.StringIO(), io.StringIO()
        terminal = Terminal(out, err, tmp_path, live=live)
        code = main([str(word) for word in argv], terminal)
        return Outcome(code, out.getvalue(), err.getvalue())

    return run
