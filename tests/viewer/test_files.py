"""What the page has made, and the view that it keeps: in a real browser."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from meshes import spread
from preview.films.film import shot_of
from preview.viewer.desk import Desk
from preview.viewer.errands.queue import Errands
from preview.viewer.follow import Follower
from preview.viewer.server import Server
from preview.viewer.watch import Watcher
from tests.viewer.serving import running, unchecked
from tests.viewer.test_access import violations


@pytest.fixture
def server(design: Path) -> Iterator[Server]:
    """As `foldstage view` makes it, with a stand-in for what takes long."""
    follower = unchecked(Follower(design, lambda: spread.read(design, blank=True)))
    watcher, desk = Watcher(follower.build), Desk(design)
    program = (sys.executable, str(Path(__file__).with_name("errand.py")))
    errands = Errands(design, desk.text_of, tell=watcher.tell, program=program)
    answers = {**follower.answers(), **desk.answers(), **errands.answers()}
    made = Server(watcher, 0, answers, desk.news, made=errands)
    with running(made):
        watcher.start()
        yield made
        watcher.stop()
    errands.close()
    follower.close()
    desk.close()


def test_a_file_is_made_saved_and_put_beside_the_design(
    open_page: Any, server: Server, design: Path, tmp_path: Path
) -> None:
    page = open_page(f"{server.address}#opening=117&draft=0.25", width=1440, height=900)
    page.get_by_role("tab", name="Files").click()
    page.get_by_role("button", name="Still", exact=True).press("Enter")
    page.get_by_role("tabpanel", name="Files").get_by_label("Size").select_option("1080x1920")
    page.get_by_label("Seen from").select_option("low")
    assert violations(page) == []
    page.get_by_role("button", name="Make the still").click()
    row = page.locator("[data-condition=ready]")
    row.wait_for()
    assert "117° open, 1080 × 1920 upright, Low, Daylight, Fine" in row.inner_text()
    assert "'--size=1080x1920', '--view=low'" in row.inner_text()
    with page.expect_download() as coming:
        row.get_by_role("link", name="still.png").click()
    coming.value.save_as(tmp_path / "saved.png")
    assert (tmp_path / "saved.png").read_bytes() == b"a picture"
    page.reload()
    page.get_by_role("tab", name="Files").click()
    row.get_by_role("button", name="Put it beside the design").click()
    row.get_by_text("Beside the design").wait_for()
    assert design.with_name("still.png").read_bytes() == b"a picture"
    assert violations(page) == []
    row.get_by_role("button", name="Throw away").click()
    row.wait_for(state="detached")


def test_what_is_ready_stays_so_when_an_older_word_comes_later(
    open_page: Any, server: Server
) -> None:
    """Who has wished for a file is answered after the news that it is made."""
    page = open_page(f"{server.address}#opening=117&draft=0.25", width=1440, height=900)
    page.get_by_role("tab", name="Files").click()
    page.get_by_role("button", name="Still", exact=True).press("Enter")
    held: list[Any] = []
    page.route("**/files/make", lambda route: held.append((route, route.fetch())))
    page.get_by_role("button", name="Make the still").click()
    row = page.locator("[data-condition=ready]")
    row.wait_for()
    ((route, answer),) = held
    assert answer.json()["listed"][0]["condition"] != "ready"
    route.fulfill(response=answer)
    page.wait_for_selector("#status >> text=is being made", state="attached")
    assert row.count() == 1
    page.unroute("**/files/make")


@pytest.mark.night
def test_what_is_being_made_can_be_stopped_after_a_reload(
    open_page: Any, server: Server, design: Path
) -> None:
    design.write_text(design.read_text() + "# do: never ends\n")
    page = open_page(f"{server.address}#opening=117&draft=0.25", width=390, height=844)
    page.click("#drawer")
    page.get_by_role("tab", name="Files").click()
    page.get_by_role("button", name="Guide", exact=True).click()
    page.get_by_label("Paper", exact=True).select_option("letter")
    page.get_by_role("button", name="Make the guide").click()
    page.get_by_text("Drawing, 1 of 4").wait_for()
    page.reload()
    page.click("#drawer")
    page.get_by_role("tab", name="Files").click()
    page.get_by_text("Drawing, 1 of 4").wait_for()
    page.get_by_role("button", name="Stop").click()
    page.locator(".errands li").wait_for(state="detached")


def test_a_view_is_kept_as_it_is_seen(open_page: Any, server: Server, design: Path) -> None:
    """Judge: where the page itself draws points, and where the camera of a still sees them."""
    page = open_page(f"{server.address}#opening=117&draft=0.25", width=1440, height=900)
    page.focus("#picture")
    for key in ("Shift+ArrowLeft", "Shift+ArrowLeft", "Shift+ArrowUp", "+", "+"):
        page.keyboard.press(key)
    pose = page.evaluate("foldstage.view()")
    page.get_by_role("button", name="Keep this view").click()
    page.get_by_label("Name of the view").fill("my  corner")
    assert violations(page) == []
    page.keyboard.press("Enter")
    page.get_by_role("button", name="my corner", exact=True).wait_for()
    area = page.evaluate("foldstage.area()")
    size = (round(area["width"]), round(area["height"]))
    found = spread.read(design)
    shot = shot_of(found, found.solve(np.radians([117.0])), size, "my corner")
    points = np.array([[-100.0, 10, 0], [0, 200, 0], [60, 40, 70], [0, 0, 0]])
    seen = [
        page.evaluate("point => foldstage.projectScene(point)", list(p)) for p in points.tolist()
    ]
    ours = shot.camera.project(points, size)
    assert np.abs(np.array(seen) - [area["left"], area["top"]] - ours).max() < 1.0
    page.click("[data-view=overhead]")
    page.get_by_role("button", name="my corner", exact=True).click()
    again = page.evaluate("foldstage.view()")
    assert np.allclose(again["eye"], pose["eye"], atol=0.02)
    page.get_by_role("button", name="Keep this view").click()
    page.get_by_label("Name of the view").fill("reader")
    page.keyboard.press("Enter")
    open_page.expected("422")
    page.get_by_text("reader is a view that every design has").wait_for()
    page.get_by_role("button", name="Keep this view").click()
    page.get_by_role("button", name="Forget my corner").click()
    page.get_by_role("button", name="my corner", exact=True).wait_for(state="detached")
    assert "my corner" not in design.read_text()
