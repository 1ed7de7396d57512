"""What a maker does in the page with mouse and keys, in a real browser, down to the bytes."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from meshes import spread
from preview.viewer.desk import Desk
from preview.viewer.follow import Follower
from preview.viewer.server import Server
from preview.viewer.watch import Watcher
from tests.designs import by_day
from tests.viewer.serving import running, unchecked
from tests.viewer.test_access import violations


@contextmanager
def serving(follower: Follower, design: Path) -> Iterator[Server]:
    """As `foldstage view` makes it."""
    watcher, desk = Watcher(follower.build), Desk(design)
    answers = {**follower.answers(), **desk.answers()}
    made = Server(watcher, 0, answers, desk.news)
    with running(made):
        watcher.start()
        yield made
        watcher.stop()
    follower.close()
    desk.close()


@pytest.fixture
def server(design: Path) -> Iterator[Server]:
    """One that does not check meanwhile."""
    with serving(unchecked(Follower(design, lambda: spread.read(design, blank=True))), design) as s:
        yield s


@pytest.fixture
def planner(design: Path) -> Iterator[Server]:
    """One that checks, and plans the building."""
    with serving(Follower(design, lambda: spread.read(design, blank=True)), design) as made:
        yield made


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
    page = open_page(f"{server.address}#opening=120&draft=0.25")
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
    page = open_page(f"{server.address}#opening=120&draft=0.25")
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
    page = open_page(f"{server.address}#opening=120&draft=0.25")
    page.get_by_role("button", name="Bring it back").click()
    shows(page, "tulip.left", 50)
    page.wait_for_selector("#slip", state="hidden")
    assert not kept.exists()
    assert "at = 50" in design.read_text()


def test_what_is_typed_in_the_form_is_what_the_file_says(
    open_page: Any, server: Server, design: Path
) -> None:
    first = design.read_text()
    page = open_page(f"{server.address}#opening=120&draft=0.25", width=1440, height=900)
    page.get_by_role("button", name="tulip", exact=True).click()
    at = page.get_by_label("at", exact=True)
    assert at.input_value() == "84"
    at.fill("61.5")
    at.press("Enter")
    shows(page, "tulip.left", 61.5)
    assert design.read_text() == first.replace("at = 84", "at = 61.5")
    page.get_by_label("outline length").press("ArrowUp")
    page.get_by_label("outline length").press("Tab")
    page.wait_for_function("() => document.querySelector('#undo').title.includes('length = 75')")
    page.get_by_label("front #a9c48c").click()
    page.wait_for_function("() => document.querySelector('#undo').title.includes('front')")
    assert design.read_text() == first.replace("at = 84", "at = 61.5").replace(
        "length = 74", "length = 75"
    ).replace("#d9603b", "#a9c48c")
    at.fill("900")
    at.press("Enter")
    open_page.expected("422")
    page.wait_for_selector("#mistake:visible")
    assert "at: lies beyond the end of the crease" in page.inner_text("#mistake")
    page.wait_for_function(
        "() => document.querySelector('[id=value-pieces-tulip-at]').value === '61.5'"
    )
    for _ in range(3):
        page.click("#undo")
    page.wait_for_function("() => document.querySelector('#undo').disabled")
    assert design.read_text() == first


@pytest.mark.night
def test_pieces_are_renamed_doubled_mirrored_and_taken_away(
    open_page: Any, server: Server, design: Path
) -> None:
    first = design.read_bytes()
    page = open_page(f"{server.address}#opening=120&draft=0.25", width=1440, height=900)
    page.get_by_role("button", name="meadow", exact=True).click()
    page.get_by_label("Name", exact=True).fill("lawn")
    page.get_by_label("Name", exact=True).press("Enter")
    page.wait_for_selector("[data-piece=lawn] .values")
    page.get_by_role("button", name="Mirror", exact=True).click()
    page.wait_for_selector("[data-piece=lawn-2] .values")
    assert 'on = "page.left"\nx = -72' in design.read_text()
    page.get_by_role("button", name="Double", exact=True).click()
    page.wait_for_selector("[data-piece=lawn-3] .values")
    page.get_by_role("button", name="Take away", exact=True).click()
    page.wait_for_selector("[data-piece=lawn-3]", state="detached")
    for _ in range(4):
        page.focus("#picture")
        page.keyboard.press("Control+KeyZ")
    page.wait_for_function("() => document.querySelector('#undo').disabled")
    assert design.read_bytes() == first


def test_what_stands_on_a_piece_goes_with_it_after_saying_so(
    open_page: Any, server: Server, design: Path
) -> None:
    design.write_text(
        design.read_text()
        + '[pieces.dot]\nkind = "flat"\non = "tulip.left"\n'
        + 'outline = { shape = "ellipse", length = 6 }\n'
    )
    page = open_page(f"{server.address}#opening=120&draft=0.25", width=1440, height=900)
    page.wait_for_selector("[data-piece=dot]")
    page.get_by_role("button", name="tulip", exact=True).click()
    page.get_by_role("button", name="Take away", exact=True).click()
    assert page.inner_text("#slip p") == "dot stands on tulip and would go with it."
    page.get_by_role("button", name="Take all away").click()
    page.wait_for_selector("[data-piece=tulip]", state="detached")
    assert "[pieces.dot]" not in design.read_text()


def test_arrows_move_the_chosen_piece_by_a_millimetre(
    open_page: Any, server: Server, design: Path
) -> None:
    first = design.read_text()
    page = open_page(f"{server.address}#opening=120&draft=0.25", width=1440, height=900)
    page.click("#shape")
    page.get_by_role("button", name="meadow", exact=True).click()
    page.focus("#picture")
    for key in ("ArrowRight", "ArrowUp", "ArrowUp"):
        page.keyboard.press(key)
    page.wait_for_function("() => document.querySelector('#undo').title.includes('y = 76')")
    assert design.read_text() == first.replace("x = 72", "x = 73").replace("y = 74", "y = 76")


@pytest.mark.night
def test_the_building_is_planned_when_its_card_is_opened(open_page: Any, planner: Server) -> None:
    page = open_page(f"{planner.address}#opening=120&draft=0.25", width=1000, height=700)
    page.click("#tab-check")
    assert planner.watcher.state.scene["course"] is None
    page.click("#tab-build")
    page.wait_for_selector("#step-play:visible", timeout=60_000)
    assert len(planner.watcher.state.scene["course"]) == page.locator("[data-step]").count()


@pytest.mark.parametrize("width", by_day([1440, 820, 390], [390]))
def test_the_form_can_be_used_by_everybody(open_page: Any, server: Server, width: int) -> None:
    """Judge: axe-core, at three widths."""
    page = open_page(f"{server.address}#opening=120&draft=0.25", width=width, height=900)
    if width <= 820:
        page.click("#drawer")
    page.get_by_role("button", name="tulip", exact=True).click()
    page.wait_for_selector(".values summary")
    page.wait_for_selector(".flat:visible")
    page.mouse.move(0, 0)  # what slides below it would be marked instead
    page.locator("#value-pieces-tulip-at").focus()
    page.wait_for_selector(".flat circle.mark >> nth=1")
    page.click(".values summary")
    assert violations(page) == []
    cut = (
        "[...document.querySelectorAll('.cards, html')].filter(e => e.scrollWidth > e.clientWidth)"
    )
    assert page.evaluate(f"{cut}.length") == 0


def drag(page: Any, kind: str, where: str) -> None:
    """Draw a piece out of the drawer and lay it down, with the mouse.

    Parameters
    ----------
    where : what the page is asked for the place, once the drawer has taken its room.
    """
    box = page.locator(f"[data-kind={kind}]").bounding_box()
    to, before = page.evaluate(where), None
    while to != before:
        page.wait_for_timeout(100)
        to, before = page.evaluate(where), to
    page.mouse.move(box["x"] + 30, box["y"] + 30)
    page.mouse.down()
    page.mouse.move(to[0] - 30, to[1] - 10, steps=4)
    page.mouse.move(*to, steps=3)
    page.mouse.up()


def test_paper_from_the_drawer_is_laid_on_a_blank_notebook(
    open_page: Any, design: Path, request: Any
) -> None:
    """From nothing to a flower on the gutter and a leaf on the page, which the check passes."""
    design.write_text('title = "Mine"\n[spread]\npage = "A5"\n')
    server = request.getfixturevalue("server")
    page = open_page(f"{server.address}#opening=140&draft=0.25", width=1440, height=900)
    page.click("#paper-open")
    drag(page, "blossom", "foldstage.project([4, 50, 0])")
    page.wait_for_selector("[data-piece=blossom] .values")
    drag(page, "flat", "foldstage.bodyPoint('page.right', [100, 60, 0])")
    page.wait_for_selector("[data-piece=flat] .values")
    page.locator("[data-kind=v-fold]").focus()
    page.keyboard.press("Enter")  # it is in the hand, and the first place is meant
    page.wait_for_selector("#lights .meant")
    page.keyboard.press("Enter")
    page.wait_for_selector("[data-piece=v-fold]")
    made = spread.read(design)
    assert set(made.design.pieces) == {"blossom", "flat", "v-fold"}
    assert made.design.pieces["flat"].on == "page.right"
    assert violations(page) == []
    for _ in range(3):
        page.click("#undo")
    page.wait_for_function("() => document.querySelector('#undo').disabled")
    assert design.read_text() == 'title = "Mine"\n[spread]\npage = "A5"\n'


def test_size_cover_and_papers_are_chosen_on_the_sheet_of_the_notebook(
    open_page: Any, design: Path, request: Any
) -> None:
    text = 'title = "Mine"\n[spread]\npage = "A5" # hers\n'
    design.write_text(text)
    server = request.getfixturevalue("server")
    page = open_page(f"{server.address}#opening=140&draft=0.25", width=1440, height=900)
    page.click("#notebook-open")
    page.select_option("#notebook-size", "A6")
    # Source: ISO 216, A6 is 105 mm wide.
    corner = "foldstage.poses() && document.querySelector('#notebook-size').value"
    page.wait_for_function(f"() => {corner} === 'A6' && !document.querySelector('#undo').disabled")
    assert spread.read(design, blank=True).design.spread.width == 105
    page.select_option("#value-spread-ruling", "grid")
    page.wait_for_function("() => document.querySelector('#undo').ariaLabel.includes('ruling')")
    page.fill("#paper-name", "mint")
    page.click("text=Add this paper")
    page.wait_for_selector("[data-paper=mint]")
    made = spread.read(design, blank=True).design
    assert (made.spread.ruling, made.papers["mint"].front) == ("grid", "#f3e3c8")
    assert violations(page) == []
    page.select_option("#notebook-size", "own")
    page.fill("#notebook-width", "99")
    page.keyboard.press("Tab")
    page.wait_for_function("() => document.querySelector('#undo').ariaLabel.includes('width')")
    for _ in range(5):
        page.click("#undo")
    page.wait_for_function("() => document.querySelector('#undo').disabled")
    assert design.read_text() == text


@pytest.mark.night
def test_several_pieces_are_moved_doubled_and_taken_away_as_one_step(
    open_page: Any, server: Server, design: Path
) -> None:
    first = design.read_text()
    page = open_page(
        f"{server.address}#opening=120&draft=0.25", width=1440, height=900, has_touch=True
    )
    page.click("#shape")
    page.get_by_role("button", name="meadow", exact=True).click()
    page.get_by_role("button", name="tulip", exact=True).click(modifiers=["Shift"])
    assert "2 chosen" in page.inner_text("#several")
    page.focus("#picture")
    page.keyboard.press("ArrowUp")
    page.wait_for_function("() => document.querySelector('#undo').title.includes('1 more')")
    moved = spread.read(design).design.pieces
    assert (moved["tulip"].at, moved["meadow"].y) == (85, 75)
    page.click("text=Double all")
    page.wait_for_selector("[data-piece=tulip-2]")
    # The copies are what is chosen then.
    page.wait_for_function("() => document.querySelector('#several').innerText.includes('-2')")
    assert violations(page) == []
    page.click("text=Take all away")
    page.wait_for_selector("[data-piece=tulip-2]", state="detached")
    assert spread.read(design).design.pieces.keys() == moved.keys()
    for _ in range(3):  # one for each of them, however many pieces it was
        page.click("#undo")
    page.wait_for_function("() => document.querySelector('#undo').disabled")
    assert design.read_text() == first


@pytest.mark.night
def test_a_finger_that_rests_gathers_pieces(open_page: Any, server: Server) -> None:
    page = open_page(
        f"{server.address}#opening=140&draft=0.25", width=820, height=1000, has_touch=True
    )
    page.click("#shape")
    line = page.context.new_cdp_session(page)
    places = ["'page.right', [72, 74, 0]", "'tulip.right', [12, 40, 0]"]
    for place, rest in zip(places, (700, 60), strict=True):
        spot = page.evaluate(f"foldstage.bodyPoint({place})")
        touch = {"touchPoints": [{"x": spot[0], "y": spot[1]}]}
        line.send("Input.dispatchTouchEvent", {"type": "touchStart", **touch})
        page.wait_for_timeout(rest)
        line.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
        page.wait_for_selector("#several:visible")  # the spread has made room for it
    page.wait_for_function(
        "() => document.querySelector('#several').innerText.includes('2 chosen')"
    )
    page.click("text=Choose none")
    assert page.is_hidden("#several")


@pytest.mark.night
def test_a_twin_is_kept_mirrored_by_a_switch(open_page: Any, server: Server, design: Path) -> None:
    first = design.read_text()
    page = open_page(f"{server.address}#opening=120&draft=0.25", width=1440, height=900)
    page.get_by_role("button", name="meadow", exact=True).click()
    page.check("#value-twin")
    page.wait_for_selector("[data-piece=meadow-mirrored]")
    page.fill("#value-pieces-meadow-x", "60")
    page.keyboard.press("Tab")
    page.wait_for_function("() => document.querySelector('#undo').title.includes('x = 60')")
    places = {n: p.x for n, p in spread.read(design).design.pieces.items() if "meadow" in n}
    assert places == {"meadow": 60, "meadow-mirrored": -60}
    # What is clicked while the form is written anew is clicked twice by the driver.
    page.wait_for_selector("#value-pieces-meadow-x[value='60']")
    page.uncheck("#value-twin")
    page.wait_for_function("() => document.querySelector('#undo').title.includes('parted')")
    assert "[pieces.meadow-mirrored]" in design.read_text()
    for _ in range(3):
        page.click("#undo")
    page.wait_for_function("() => document.querySelector('#undo').disabled")
    assert design.read_text() == first


@pytest.mark.night
def test_the_version_before_is_traced_and_opens_along(
    open_page: Any, server: Server, design: Path
) -> None:
    """Where it stood is what the page itself showed before the change; where it would, too."""
    page = open_page(f"{server.address}#opening=120&draft=0.25", width=1100, height=700)
    page.get_by_role("tab", name="Look").click()
    before = page.get_by_role("button", name="Trace the version before")
    assert before.is_disabled()
    stood = {}
    for opening in (90, 120):
        page.evaluate(f"foldstage.open({opening})")
        stood[opening] = page.evaluate("foldstage.poses()")
    edit(page, put("pieces.tulip.at", 60))
    shows(page, "tulip.left", 60)
    before.click()
    assert "the version before, opened as far" in page.inner_text("#card-look .measured >> nth=1")
    for opening in (120, 90):
        page.evaluate(f"foldstage.open({opening})")
        traced = page.evaluate("foldstage.traced()")
        lift = traced["page.right"][14] - stood[opening]["page.right"][14]
        for name, matrix in traced.items():
            matrix[14] -= lift
            assert matrix == pytest.approx(stood[opening][name], abs=0.02), name
    # A remark changes nothing that is seen; then the spread as it is now is the version before.
    edit(page, put("title", "Later"))
    page.wait_for_function("() => document.title === 'Later'")
    before.click()
    again = page.evaluate("foldstage.traced()")
    assert again["tulip.left"][13] == pytest.approx(60, abs=0.01)
