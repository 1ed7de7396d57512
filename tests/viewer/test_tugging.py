"""A hand pulls at the paper in a real browser; the file says what the pixels meant."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from meshes import spread
from tests.pull.kinds import HEAD, KINDS

from .tugging import (
    OPENING,
    Fingers,
    choose,
    chosen,
    each_followed,
    meant,
    one_of_each,
    pulled,
    seen,
    served,
    show,
    take,
    value_of,
)

PIXELS = 40


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("tug") / "leaf.toml"
    path.write_text(HEAD + KINDS["v-fold"])
    return path


@pytest.fixture(scope="module")
def address(file: Path) -> Iterator[str]:
    with served(file) as server:
        yield server.address


def tip(file: Path) -> Any:
    """The tip of the leaf, held."""
    made = spread.read(file)
    part = next(p for body in made.linkage.bodies for p in body.parts if p.id == "p.right")
    corners = np.asarray(part.facet.polygon.exterior.coords)
    highest = corners[int(np.linalg.norm(corners, axis=1).argmax())]
    # A pixel or so inside, where a pointer surely meets it.
    middle = np.array(part.facet.polygon.centroid.coords[0])
    return take(file, "p.right", part.placement.apply(highest + 0.03 * (middle - highest)))


def pull_the_tip(page: Any, file: Path, touch: bool) -> None:
    """By 40 pixels: the number says so, no other byte has changed, and Undo brings all back."""
    text = file.read_bytes()
    hold = tip(file)
    pull = one_of_each(hold)["length"]
    fingers = Fingers(page, touch)
    hold, end = pulled(page, fingers, hold, pull, PIXELS)
    assert chosen(page) == "pieces.p.outline.length"
    fingers.release()
    page.wait_for_selector("#tug.done")
    value = value_of(file, pull)
    assert value == pytest.approx(meant(page, hold, pull, end, value), abs=0.5)
    # So do the pixels of a mm along the leaf, and the mm that it goes on for each of its length.
    gear = float(np.linalg.norm(pull.way))
    start, mm = seen(page, hold.place), np.arange(1.0, 60.0)
    far = np.linalg.norm(end - start)
    apart = [np.linalg.norm(seen(page, hold.place + k * pull.way / gear) - start) for k in mm]
    assert (value - 64) * gear == pytest.approx(np.interp(far, apart, mm), abs=0.5)
    assert gear == pytest.approx(1, abs=0.05)
    assert file.read_bytes() == text.replace(b"length = 64", b"length = %d" % value)
    undone(page, file, text)


def undone(page: Any, file: Path, text: bytes) -> None:
    page.click("#tug >> text=Undo")
    # A page that has not shown the change yet shows the text still.
    for _ in range(2000):
        if file.read_bytes() == text:
            break
        page.wait_for_timeout(10)
    assert file.read_bytes() == text
    made = hashlib.sha256(text).hexdigest()[:16]
    page.wait_for_function("(made) => foldstage.made === made", arg=made)


def leave_the_tip(page: Any, file: Path) -> None:
    """Escape puts everything back."""
    text, poses = file.read_bytes(), page.evaluate("foldstage.poses()")
    hold = tip(file)
    fingers = Fingers(page)
    pull = one_of_each(hold)["place"]
    pulled(page, fingers, hold, pull, PIXELS)
    choose(page, pull)
    page.wait_for_function(
        "(before) => foldstage.poses()['p.right'][13] > before + 10", arg=poses["p.right"][13]
    )
    page.keyboard.press("Escape")
    fingers.release()
    assert page.is_hidden("#tug")
    # Nearly: while the page is looked at, its poses are refined.
    for name, pose in page.evaluate("foldstage.poses()").items():
        assert pose == pytest.approx(poses[name], abs=0.1)
    assert file.read_bytes() == text


@pytest.mark.night
def test_paper_that_is_held_still_stays_where_it_was_pulled(open_page: Any, file: Path) -> None:
    """Though the page hears more of the same design meanwhile, as it does after every save."""
    with served(file) as server:
        page = open_page(f"{server.address}#opening=110&draft=0.25", height=640)
        page.click("#shape")
        fingers, hold = Fingers(page), tip(file)
        pull = one_of_each(hold)["place"]
        before = page.evaluate("foldstage.poses()['p.right'][13]")
        pulled(page, fingers, hold, pull, PIXELS)
        choose(page, pull)
        moved = "(before) => foldstage.poses()['p.right'][13] > before + 10"
        page.wait_for_function(moved, arg=before)
        server.watcher._publish(server.watcher._enriched({"title": "Heard"}))
        page.wait_for_function("() => document.title === 'Heard'")
        assert page.evaluate(f"({moved})({before})")
        page.keyboard.press("Escape")
        fingers.release()


def type_the_number(page: Any, file: Path) -> None:
    """While it is held, a number that is typed is taken exactly."""
    text = file.read_bytes()
    hold = tip(file)
    fingers = Fingers(page)
    pulled(page, fingers, hold, one_of_each(hold)["length"], PIXELS)
    for key in "71.25":
        page.keyboard.press(key)
    page.keyboard.press("Enter")
    page.wait_for_selector("#tug.done")
    fingers.release()
    assert file.read_bytes() == text.replace(b"length = 64", b"length = 71.25")
    undone(page, file, text)


def turn_the_view(page: Any, file: Path, point: np.ndarray) -> None:
    """Where the hand may not pull at paper, or finds none, it turns the view."""
    text, before = file.read_bytes(), page.evaluate("foldstage.view()")
    fingers = Fingers(page)
    fingers.drag(point, point + np.array([40.0, -25.0]))
    fingers.release()
    assert page.evaluate("foldstage.view()") != before
    assert page.is_hidden("#tug")
    assert file.read_bytes() == text
    page.keyboard.press("1")


def test_a_mouse_pulls_the_tip_of_a_leaf_only_where_it_may(
    open_page: Any, address: str, file: Path
) -> None:
    page = open_page(f"{address}#opening=110&draft=0.25", height=640)
    turn_the_view(page, file, seen(page, tip(file).place))
    page.click("#shape")
    turn_the_view(page, file, np.array([60.0, 300.0]))
    pull_the_tip(page, file, touch=False)
    leave_the_tip(page, file)
    type_the_number(page, file)


@pytest.mark.night
def test_a_finger_pulls_the_tip_of_a_leaf(open_page: Any, address: str, file: Path) -> None:
    page = open_page(f"{address}#opening=110&draft=0.25", height=640, has_touch=True)
    page.click("#shape")
    pull_the_tip(page, file, touch=True)


def test_a_place_an_angle_and_a_length_follow_the_hand(
    open_page: Any, address: str, file: Path
) -> None:
    page = open_page(f"{address}#opening=110&draft=0.25", width=1280, height=800)
    page.click("#shape")
    # Several bodies of a tent are cut anew by one pull; none of them is left over afterwards.
    tent = HEAD + KINDS["tent"]
    show(page, file, tent)
    bodies = page.evaluate("Object.keys(foldstage.poses()).length")
    assert next(each_followed(page, file, PIXELS))[0] == "place"
    assert file.read_text() == tent
    show(page, file, HEAD + KINDS["flat"])
    assert page.evaluate("Object.keys(foldstage.poses()).length") < bodies
    page.evaluate("foldstage.open(90)")
    page.evaluate(f"foldstage.open({OPENING})")
    # The other kinds take minutes: ``python -m tests.bench.bench_tug``.
    sorts = [sort for sort, _ in each_followed(page, file, PIXELS)]
    assert sorts == ["place", "angle", "length"]
    show(page, file, HEAD + KINDS["v-fold"])


OUT = """\
[spread]
page = "A5"
[pieces.p]
kind = "flat"
on = "page.right"
x = 138 # beyond the edge
y = 90
outline = { shape = "rectangle", length = 40, width = 30 }
[pieces.tent]
kind = "tent"
at = 80
distance = 24
panel = 40
width = 30
"""


def test_what_the_check_found_is_pinned_to_the_paper_with_its_cure(
    open_page: Any, tmp_path: Path
) -> None:
    file = tmp_path / "out.toml"
    file.write_text(OUT)
    with served(file, checked=True) as server:
        page = open_page(f"{server.address}#opening=110&draft=0.25")
        page.click("#shape")
        page.click("#pins button.problem")
        assert "sticks out past the fore-edge" in page.inner_text("#pin")
        page.click("#pin .cure >> nth=0")
        page.wait_for_selector("#pins button", state="detached")
    # 8 mm too far out, as 138 + 15 mm lie beyond 148 mm less the margin of 3 mm.
    assert file.read_text() == OUT.replace("x = 138", "x = 130")


def test_a_sent_page_lets_nobody_shape_anything(open_page: Any) -> None:
    page = open_page()
    assert page.is_hidden("#shape")
    assert page.evaluate("foldstage.made") is None
