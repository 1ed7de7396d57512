"""The page follows the design file while it is edited; camera and opening stay."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from meshes import spread
from preview.viewer.follow import Follower
from preview.viewer.server import Server
from preview.viewer.watch import Watcher
from tests.viewer.serving import running


@pytest.fixture
def server(design: Path) -> Iterator[Server]:
    follower = Follower(design, lambda: spread.read(design))
    watcher = Watcher(follower.build)
    made = Server(watcher)
    with running(made):
        watcher.start()
        yield made
        watcher.stop()
    follower.close()


def test_saved_changes_and_mistakes_show_in_the_page(
    open_page: Any, server: Server, design: Path
) -> None:
    page = open_page(f"{server.address}#opening=77&draft=0.25")
    page.focus("#picture")
    page.keyboard.press("Shift+ArrowUp")
    view = page.evaluate("foldstage.view()")
    before = page.evaluate("foldstage.poses()['tulip.left']")
    text = design.read_text()

    design.write_text(text.replace("at = 84", "at = 60"))
    page.wait_for_function("() => Math.abs(foldstage.poses()['tulip.left'][13] - 60) < 0.01")
    assert before[13] == pytest.approx(84, abs=0.01)

    good = page.evaluate("foldstage.poses()['tulip.left']")
    design.write_text(text.replace("at = 84", "at = 840"))
    page.wait_for_selector("#mistake:visible")
    line = page.inner_text("#mistake")
    assert "tulip" in line
    assert "at" in line
    assert "\n" not in line
    assert page.evaluate("foldstage.poses()['tulip.left']") == good

    design.write_text(text.replace("[pieces.meadow]", "[pieces.lawn]"))
    page.wait_for_selector("#mistake", state="hidden")
    page.wait_for_selector("[data-piece=lawn]", state="attached")
    assert page.evaluate("foldstage.opening") == pytest.approx(77)
    now = page.evaluate("foldstage.view()")
    assert now["eye"] == pytest.approx(view["eye"])
    assert now["target"] == pytest.approx(view["target"])


def test_the_servers_policy_lets_the_page_run_and_nothing_else(
    open_page: Any, server: Server
) -> None:
    page = open_page(f"{server.address}#draft=0.25")
    ran = page.evaluate(
        """() => {
          window.ran = false;
          const script = document.createElement("script");
          script.textContent = "window.ran = true";
          return new Promise((done) => {
            document.addEventListener("securitypolicyviolation", () => done(window.ran));
            document.body.append(script);
          });
        }"""
    )
    assert ran is False
    said = page.evaluate("fetch('https://example.com/').then(() => 'sent', () => 'blocked')")
    assert said == "blocked"
    open_page.expected("Content Security Policy", "Fetch API cannot load")
