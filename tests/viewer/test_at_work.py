"""What a maker does in the page with mouse and keys, in a real browser, down to the bytes."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from meshes import spread
from preview.viewer.desk import Desk
from preview.viewer.follow import Follower
from preview.viewer.server import Reply, Server
from preview.viewer.watch import Watcher


@pytest.fixture
def server(design: Path) -> Iterator[Server]:
    """As `foldstage view` makes it."""
    follower = Follower(design, lambda: spread.read(design, blank=True))
    watcher, desk = Watcher(follower.build), Desk(design)
    answers = {"/pull": Reply(follower.puller.answer), **desk.answers()}
    made = Server(watcher, 0, answers, desk.news)
    thread = threading.Thread(target=made.serve_forever, args=(0.01,))
    thread.start()
    watcher.start()
    yield made
    watcher.stop()
    made.shutdown()
    thread.join()
    made.server_close()
    follower.close()
    desk.close()


def shows(page: Any, piece: str, y: float) -> None:
    """Wait until a piece stands where the file says."""
    page.wait_for_function(
        f"() => Math.abs(foldstage.poses()['{piece}']?.[13] - {y}) < 0.01", timeout=20_000
    )


def edit(page: Any, *edits: dict[str, Any]) -> None:
    assert page.evaluate("edits => foldstage.edit(edits)", list(edits))


def put(path: str, value: Any) -> dict[str, Any]:
    return {"edit": "set", "path": path.split("."), "value": value}


def test_steps_lead_back_and_on_by_button_and_by_key(
    open_page: Any, server: Server, design: Path
) -> None:
    first = design.read_bytes()
    page = open_page(f"{server.address}#opening=120&draft")
    assert page.is_disabled("#undo")
    edit(page, put("pieces.tulip.at", 60))
    shows(page, "tulip.left", 60)
    second = design.read_bytes()
    page.get_by_role("button", name="Undo: pieces.tulip.at = 60").click()
    shows(page, "tulip.left", 84)
    assert design.read_bytes() == first
    page.focus("#picture")
    page.keyboard.press("Control+Shift+KeyZ")
    shows(page, "tulip.left", 60)
    assert design.read_bytes() == second
    page.keyboard.press("Control+KeyZ")
    shows(page, "tulip.left", 84)
    assert design.read_bytes() == first
    assert page.is_hidden("#slip")  # it was this page that did it


def test_a_page_tells_what_others_have_changed(
    open_page: Any, server: Server, design: Path
) -> None:
    page = open_page(f"{server.address}#opening=120&draft")
    shows(page, "tulip.left", 84)
    design.write_text(design.read_text().replace("at = 84", "at = 70"))
    page.wait_for_selector("#slip:visible")
    assert "changed outside this page" in page.inner_text("#slip")
    page.get_by_role("button", name="Undo: changed outside the page").click()
    shows(page, "tulip.left", 84)


def test_what_an_earlier_session_left_is_offered(
    open_page: Any, design: Path, request: Any
) -> None:
    kept = design.with_name("tulip.toml.before-edits")
    kept.write_text(design.read_text().replace("at = 84", "at = 50"))
    server = request.getfixturevalue("server")
    page = open_page(f"{server.address}#opening=120&draft")
    page.get_by_role("button", name="Bring it back").click()
    shows(page, "tulip.left", 50)
    page.wait_for_selector("#slip", state="hidden")
    assert not kept.exists()
    assert "at = 50" in design.read_text()
