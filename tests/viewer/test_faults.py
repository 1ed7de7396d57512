"""What goes wrong around the page is said in it; equal pieces are one row; the zoom has ends."""

from __future__ import annotations

import threading
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from meshes import spread
from preview.viewer.page import save
from preview.viewer.payload import payload, poster
from preview.viewer.server import Server
from preview.viewer.watch import Build, Watcher
from tests.conftest import LONGEST_MS

# Equal pieces, which differ by a number alone.
FILLING = """
[pieces.dot-{k}]
kind = "flat"
on = "page.left"
x = -{x}
y = {y}
front = "#3060a0"
outline = {{ shape = "ellipse", length = 6, width = 6 }}
"""


@pytest.fixture(scope="module")
def dotted(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("dotted")
    dots = [FILLING.format(k=k, x=20 + 9 * (k % 10), y=20 + 9 * (k // 10)) for k in range(60)]
    (folder / "dots.toml").write_text('title = "Dots"\n' + "".join(dots))
    made = spread.read(folder / "dots.toml")
    motion = made.solve(np.radians(np.arange(181.0)))
    save(folder / "dots.html", {**payload(made, motion), **poster(made, motion)})
    return folder / "dots.html"


def test_equal_pieces_are_one_row_that_opens(open_page: Any, dotted: Path) -> None:
    page = open_page(f"{dotted.as_uri()}#opening=150&draft=0.25")
    assert page.locator(".group").count() == 1
    assert page.inner_text(".group summary").split() == ["dot", "×", "60"]
    page.click(".eye[data-group]")
    assert page.evaluate("foldstage.seen().filter((name) => name.startsWith('dot')).length") == 0
    page.click(".eye[data-group]")
    assert page.evaluate("foldstage.seen().filter((name) => name.startsWith('dot')).length") == 60


def test_the_zoom_has_ends(open_page: Any) -> None:
    page = open_page()
    far = "(({ eye, target }) => Math.hypot(...eye.map((e, k) => e - target[k])))(foldstage.view())"
    start = page.evaluate(far)
    page.focus("#picture")
    for key, least, most in (("+", 0.05, 0.5), ("-", 1.5, 4.0)):
        # Sixty at once: the driver waits for a picture after each key of its own.
        page.evaluate(
            """(key) => {
              const event = () => new KeyboardEvent("keydown", { key, bubbles: true });
              for (let k = 0; k < 60; k++) document.activeElement.dispatchEvent(event());
            }""",
            key,
        )
        once = page.evaluate(far)
        page.keyboard.press(key)
        assert page.evaluate(far) == pytest.approx(once)
        assert least < once / start < most


def test_a_browser_that_cannot_draw_shows_a_picture_and_says_so(browser: Any, dotted: Path) -> None:
    page = browser.new_page()
    page.set_default_timeout(LONGEST_MS)
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.add_init_script("HTMLCanvasElement.prototype.getContext = () => null")
    page.goto(dotted.as_uri())
    page.wait_for_selector("#instead img:visible")
    assert "WebGL 2 is missing" in page.inner_text("#instead")
    assert page.evaluate("document.querySelector('#instead img').naturalWidth") == 800
    assert not page.is_visible("#dial")
    assert errors == []
    page.close()


def test_a_drawing_that_the_driver_takes_away_is_said_and_comes_back(open_page: Any) -> None:
    page = open_page()
    open_page.expected(
        "Context Lost", "Context Restored", "context lost", "this context", "CONTEXT_LOST"
    )
    page.evaluate(
        "window.lose = document.getElementById('picture').getContext('webgl2')"
        ".getExtension('WEBGL_lose_context'); lose.loseContext()"
    )
    page.wait_for_selector("#instead:visible")
    assert "taken the drawing away" in page.inner_text("#instead")
    page.evaluate("lose.restoreContext()")
    page.wait_for_selector("#instead", state="hidden")
    page.evaluate("foldstage.settled()")


def test_a_server_that_has_stopped_is_said(
    open_page: Any, tulip: spread.Spread, tmp_path: Path
) -> None:
    file = tmp_path / "spread.toml"
    file.write_text("")
    scene = payload(tulip, tulip.solve(np.radians(np.arange(181.0))))
    watcher = Watcher(lambda: Build(scene, (file,)))
    server = Server(watcher)
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.01})
    thread.start()
    page = open_page(f"{server.address}#opening=90&draft=0.25")
    page.wait_for_function("() => document.readyState === 'complete'")
    open_page.expected("ERR_CONNECTION", "Failed to load resource", "ERR_")
    watcher.stop()
    server.shutdown()
    thread.join()
    server.server_close()
    page.wait_for_selector("#mistake:visible")
    assert "server has been stopped" in page.inner_text("#mistake")


def test_the_licence_of_what_the_page_contains_goes_with_it(page_file: Path) -> None:
    """The MIT licence asks for its notice "in all copies or substantial portions"."""
    text = page_file.read_text()
    assert "three.js authors" in text
    assert "Permission is hereby granted, free of charge" in text
