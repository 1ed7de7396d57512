"""The page in a real browser, from a file, without a network."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from meshes import spread
from meshes.spread import Spread
from preview.roles import role
from preview.viewer.page import save
from preview.viewer.payload import quick_payload
from tests.designs import by_day
from tests.viewer import likeness


def opening(page: Any) -> float:
    return float(page.evaluate("foldstage.opening"))


def drag(page: Any, start: list[float], end: list[float]) -> None:
    page.mouse.move(*start)
    page.mouse.down()
    for share in (0.3, 0.6, 1.0):
        page.mouse.move(*(a + share * (b - a) for a, b in zip(start, end, strict=True)))
    page.mouse.up()


def test_page_opens_from_a_file_without_network_and_says_nothing(open_page: Any) -> None:
    page = open_page()
    assert page.title() == "Tulip & <friends>"
    assert opening(page) == pytest.approx(120)


def test_pulling_the_edge_of_a_page_half_way_opens_to_90_degrees(open_page: Any) -> None:
    page = open_page("#opening=150&draft=0.25")
    place = "([side, opening]) => foldstage.pagePoint(side, 140, 105, opening)"
    for view in ("reader", "overhead"):
        page.click(f"[data-view={view}]")
        for side in (1, -1):
            page.evaluate("foldstage.open(150)")
            start, end = (page.evaluate(place, [side, opened]) for opened in (150, 90))
            drag(page, start, end)
            assert opening(page) == pytest.approx(90, abs=2)


COVERED = """
[spread]
page = "A5"
[pieces.strip]
kind = "flat"
on = "page.right"
x = 124
y = 110
outline = { shape = "rectangle", length = 180, width = 34 }
[pieces.moon]
kind = "flat"
on = "strip.art"
x = 0
y = 20
front = "#f0c040"
outline = { shape = "ellipse", length = 30, width = 30 }
"""


def test_the_edge_can_be_pulled_where_paper_lies_on_it(open_page: Any, tmp_path: Path) -> None:
    """On bare paper, on a piece, and on a piece on a piece; from all views."""
    (tmp_path / "covered.toml").write_text(COVERED)
    made = spread.read(tmp_path / "covered.toml")
    motion = made.solve(np.radians(np.arange(181.0)))
    save(tmp_path / "covered.html", {**quick_payload(made, motion), "steps": []})
    page = open_page(f"{(tmp_path / 'covered.html').as_uri()}#opening=150&draft=0.25")
    place = "([y, opening]) => foldstage.pagePoint(1, 128, y, opening)"
    hit = "(point) => foldstage.drawnAt([point]).pieces[0]"
    lain_on = []
    for view, heights in (("reader", (8, 60, 130, 206)), ("overhead", (190,)), ("low", (130,))):
        page.click(f"[data-view={view}]")
        for y in heights:
            page.evaluate("foldstage.open(150)")
            start, end = (page.evaluate(place, [y, opened]) for opened in (150, 100))
            lain_on.append(page.evaluate(hit, start))
            drag(page, start, end)
            assert opening(page) == pytest.approx(100, abs=2), (view, y)
    assert {"page", "strip", "moon"} <= set(lain_on)


def test_dragging_elsewhere_turns_the_view_and_leaves_the_opening(open_page: Any) -> None:
    page = open_page()
    before = page.evaluate("foldstage.view()")
    drag(page, [60, 300], [110, 320])
    assert opening(page) == pytest.approx(120)
    assert page.evaluate("foldstage.view()")["eye"] != before["eye"]


def test_dial_follows_the_pointer(open_page: Any) -> None:
    page = open_page()
    box = page.locator("#dial svg").bounding_box()
    # The straight edge lies 106/122 down the drawing; straight above its middle is 90 degrees.
    middle = [box["x"] + box["width"] / 2, box["y"] + box["height"] * 106 / 122]
    drag(page, [middle[0] + 40, middle[1] - 60], [middle[0], middle[1] - 70])
    assert opening(page) == pytest.approx(90, abs=2)
    assert page.get_attribute("#dial", "aria-valuenow") == "90"


def test_keys_turn_the_dial(open_page: Any) -> None:
    page = open_page()
    page.focus("#dial")
    for keys, expected in (
        (["ArrowRight"], 121),
        (["ArrowLeft", "ArrowDown"], 118),
        (["Shift+ArrowLeft"] * 3, 90),
        (["PageDown", "PageDown"], 90),
        (["Home"], 0),
        (["End", "PageUp"], 180),
    ):
        page.evaluate("foldstage.open(120)")
        for key in keys:
            page.keyboard.press(key)
        assert opening(page) == pytest.approx(expected, abs=1e-4)
        assert page.get_attribute("#dial", "aria-valuetext") == f"{expected} degrees open"


def test_keys_on_the_picture_open_and_turn(open_page: Any) -> None:
    page = open_page()
    page.focus("#picture")
    page.keyboard.press("ArrowLeft")
    assert opening(page) == pytest.approx(119)
    before = page.evaluate("foldstage.view().eye")
    page.keyboard.press("Shift+ArrowUp")
    assert page.evaluate("foldstage.view().eye")[2] > before[2]
    assert opening(page) == pytest.approx(119)


def test_poses_in_the_scene_are_those_of_the_solver(open_page: Any, tulip: Spread) -> None:
    page = open_page()
    for degrees in (0.0, 33.3, 90.0, 141.7, 180.0):
        page.evaluate("opening => foldstage.open(opening)", degrees)
        seen = page.evaluate("foldstage.poses()")
        motion = tulip.solve(np.radians([degrees]))
        for b, body in enumerate(tulip.linkage.bodies):
            matrix = np.array(seen[body.name]).reshape(4, 4).T
            for part in body.parts:
                flat = np.asarray(part.polygon.exterior.coords)
                corners = np.column_stack([flat, np.full(len(flat), part.height)])
                solved = corners @ motion.rotations[0, b].T + motion.translations[0, b]
                shown = corners @ matrix[:3, :3].T + matrix[:3, 3]
                assert np.linalg.norm(shown - solved, axis=1).max() < 0.05


def test_hovering_names_the_piece_and_its_folds(open_page: Any) -> None:
    page = open_page("#opening=120&draft=0.25")
    x, y = page.evaluate("foldstage.pagePoint(1, 72, 74)")
    page.mouse.move(x, y)
    page.wait_for_selector("#label:visible")
    assert page.inner_text("#label strong") == "meadow"
    page.mouse.move(30, 400)  # the bare table
    page.wait_for_selector("#label", state="hidden")


def test_marking_a_piece_lists_its_fold_angles(open_page: Any, tulip: Spread) -> None:
    page = open_page("#opening=90&draft=0.25")
    page.click("[data-piece=tulip] .name")
    words = " ".join(page.inner_text("[data-piece=tulip] .folds").split())
    motion = tulip.solve(np.radians([90.0]))
    for hinge, angle in zip(tulip.linkage.hinges, np.degrees(motion.angles[0]), strict=True):
        way = "mountain" if angle > 0 else "valley"
        assert f"{role(hinge.name.split('.')[1])} {abs(angle):.0f}° {way}" in words


def test_hiding_a_piece_takes_it_out_of_the_picture(open_page: Any) -> None:
    page = open_page("#opening=120&draft=0.25")
    x, y = page.evaluate("foldstage.pagePoint(1, 72, 74)")
    page.click("[aria-label='Show meadow']")
    assert page.get_attribute("[aria-label='Show meadow']", "aria-pressed") == "false"
    page.mouse.move(x, y)
    page.evaluate(
        "() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))"
    )
    assert page.is_hidden("#label")


def test_a_finding_leads_to_its_opening_and_place(open_page: Any) -> None:
    page = open_page("#opening=120&draft=0.25")
    page.click("#tab-check")
    page.click(".finding")
    assert opening(page) == pytest.approx(75)
    assert page.get_attribute("[data-piece=tulip] .name", "aria-pressed") == "true"
    box = page.locator("#spot").bounding_box()
    view = page.evaluate("foldstage.view()")
    assert view["target"][:2] == pytest.approx([60, 140])
    # The place is what the view is about: the middle of the free part of the window.
    assert box["x"] + box["width"] / 2 == pytest.approx((860 - 340) / 2, abs=3)


def test_building_order_shows_what_is_there_after_each_step(open_page: Any) -> None:
    page = open_page()
    page.click("#tab-build")
    seen = {}
    for _ in page.query_selector_all("[data-step]"):
        page.click("#step-next")
        step = page.query_selector("[data-step][aria-current]")
        title = step.inner_text().split("\n")[0]
        assert page.inner_text("#status").endswith(step.inner_text().replace("\n", ". "))
        seen[title] = page.evaluate("foldstage.seen()")
    assert page.is_disabled("#step-next")
    # Made first, glued first: the meadow is there from its own step on.
    meadow = next(k for k, title in enumerate(seen) if "meadow" in title)
    assert [names == ["tulip"] for names in seen.values()] == [k < meadow for k in range(len(seen))]
    assert sorted(list(seen.values())[meadow]) == ["meadow", "tulip"]
    page.click("#step-leave")
    assert page.query_selector("[data-step][aria-current]") is None
    assert page.evaluate("foldstage.seen().sort()") == ["meadow", "tulip"]


FOLLOW = """() => {
  window.seen = [];
  const look = () => {
    seen.push(foldstage.poses()["tulip.left"][13]);
    requestAnimationFrame(look);
  };
  look();
}"""


def test_a_piece_flies_to_its_place(open_page: Any, tulip: Spread) -> None:
    page = open_page(reduced_motion="no-preference")
    page.click("#tab-build")
    titles = [step.inner_text() for step in page.query_selector_all("[data-step]")]
    glue = next(k for k, title in enumerate(titles) if "tulip to the" in title)
    page.evaluate(FOLLOW)
    page.click(f"[data-step='{glue}']")
    # Along the gutter the apex stays at 84 mm; the piece is held in the air before it is glued.
    page.wait_for_function("() => Math.min(...seen) < 70 && Math.abs(seen.at(-1) - 84) < 0.01")


LEAST = """() => {
  window.least = 180;
  const look = () => {
    least = Math.min(least, foldstage.opening);
    requestAnimationFrame(look);
  };
  look();
}"""


def test_pressing_glue_closes_the_book_and_opens_it_again(open_page: Any) -> None:
    page = open_page("#opening=146&draft=0.25", reduced_motion="no-preference")
    page.click("#tab-build")
    page.evaluate(LEAST)
    page.locator("[data-step]", has_text="Close the notebook").click()
    page.wait_for_function("() => least < 40 && foldstage.opening === 146")


def test_nothing_moves_by_itself_where_less_motion_is_asked_for(open_page: Any) -> None:
    page = open_page("#draft=0.25")
    start = opening(page)
    assert start == pytest.approx(146)
    page.evaluate("foldstage.settled()")
    assert opening(page) == start
    assert page.evaluate("foldstage.frames()") == 0


def test_the_book_opens_once_where_motion_is_welcome(open_page: Any) -> None:
    page = open_page("#draft=0.25", reduced_motion="no-preference")
    page.wait_for_function("() => foldstage.opening === 146")
    assert page.evaluate("foldstage.frames()") > 0


def test_play_and_pause(open_page: Any) -> None:
    page = open_page()
    page.click("#play")
    page.wait_for_function("() => Math.abs(foldstage.opening - 120) > 5")
    assert page.get_attribute("#play", "aria-label") == "Pause"
    page.click("#play")
    assert page.get_attribute("#play", "aria-label") == "Play"


def test_saved_picture_has_the_shape_of_the_frame(open_page: Any) -> None:
    page = open_page("#opening=120&draft")
    page.click("#tab-photo")
    for frame in ("16:9", "9:16", "1:1"):
        page.select_option("#frame-choice", frame)
        assert page.is_visible("#frame")
        with page.expect_download() as download:
            page.click("#save-picture")
        assert download.value.suggested_filename == "Tulip-friends.png"
        with Image.open(download.value.path()) as picture:
            across, down = (int(part) for part in frame.split(":"))
            assert picture.width / picture.height == pytest.approx(across / down, rel=0.02)
            low, high = picture.convert("L").getextrema()
            assert high - low > 100


@pytest.mark.parametrize("size", by_day(["window", "1080x1080"], ["window"]))
def test_a_clip_is_recorded_in_the_size_that_is_asked_for(open_page: Any, size: str) -> None:
    import imageio_ffmpeg

    page = open_page("#opening=120&draft", width=860, height=360)
    page.get_by_role("tab", name="Picture").click()
    page.get_by_label("Size").select_option(size)
    with page.expect_download() as download:
        page.evaluate("foldstage.record(1000)")
    name = download.value.suggested_filename
    assert name in ("Tulip-friends.webm", "Tulip-friends.mp4")
    # However slowly frames come, there is at least one, and it can be read.
    film = imageio_ffmpeg.read_frames(str(download.value.path()))
    told = next(film)
    wide, high = told["size"]
    # It has no end of many seconds in which nothing moves.
    assert told["duration"] < 10
    assert (wide, high) == ((1080, 1080) if size == "1080x1080" else (860, 360))
    pixels = np.frombuffer(next(film), np.uint8).reshape(high, wide, 3)
    assert pixels.std() > 15  # something is to be seen


def test_the_picture_is_that_of_a_still(open_page: Any, tulip: Spread) -> None:
    """Judge: the ray engine from the same camera, by CIEDE2000 (CIE 142-2001)."""
    page = open_page(likeness.address(140), width=700, height=420)
    seen = likeness.seen(page)
    still = likeness.drawn(tulip, 140, (seen.shape[1], seen.shape[0]))
    off = likeness.difference(seen, still)
    assert off.mean() < 1.5
    assert np.median(off) < 1.0


@pytest.mark.night
def test_the_picture_shows_the_colours_of_the_design(open_page: Any, tmp_path: Any) -> None:
    page = open_page("#opening=180&view=overhead", height=360)
    page.evaluate("foldstage.settled()")
    page.screenshot(path=tmp_path / "page.png")
    with Image.open(tmp_path / "page.png") as picture:
        seen = picture.convert("RGB")
        x, y = page.evaluate("foldstage.pagePoint(1, 95, 74)")
        # A level sheet in full light has the colour of the file, here #a9c48c.
        assert np.abs(np.subtract(seen.getpixel((int(x), int(y))), (0xA9, 0xC4, 0x8C))).max() < 6
