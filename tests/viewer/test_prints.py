"""Pictures and words under a real hand: dropped, moved, turned, typed; the file says so."""

from __future__ import annotations

import base64
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from meshes import spread
from preview.viewer.prints import prints
from tests.designs import by_day

from .test_access import PHONE, violations
from .test_pictures import SVG, picture
from .tugging import Fingers, served, show

# A file is held over the page and let go, as a browser tells of a file from the desktop.
HOLD = """([x, y, data, name]) => {
  const bytes = Uint8Array.from(atob(data), (letter) => letter.charCodeAt(0));
  window.held = new DataTransfer();
  window.held.items.add(new File([bytes], name));
  const where = { bubbles: true, cancelable: true, clientX: x, clientY: y };
  window.tell = (kind) => document.elementFromPoint(x, y).dispatchEvent(
    new DragEvent(kind, { ...where, dataTransfer: window.held }));
  window.tell("dragover");
}"""
FRAME = "[...document.querySelector('#print polygon').points].map(({ x, y }) => [x, y])"


@pytest.fixture
def address(design: Path) -> Iterator[str]:
    with served(design) as server:
        yield f"{server.address}#opening=130&draft=0.25"


def place(page: Any, body: str, x: float, y: float) -> list[float]:
    found: list[float] = page.evaluate(f"foldstage.bodyPoint('{body}', [{x}, {y}, 0])")
    return found


def drop(page: Any, at: list[float], data: bytes, name: str) -> None:
    page.evaluate(HOLD, [*at, base64.b64encode(data).decode(), name])
    page.evaluate("window.tell('drop')")


def followed(page: Any, act: Any) -> None:
    """Do something, and wait until the page shows what has come of it."""
    made = page.evaluate("foldstage.made")
    act()
    page.wait_for_function("(made) => foldstage.made !== made", arg=made)


def images(design: Path, piece: str) -> Any:
    return tomllib.loads(design.read_text())["pieces"][piece]["images"]


def test_a_picture_is_dropped_moved_turned_and_undone(
    open_page: Any, address: str, design: Path
) -> None:
    first = design.read_bytes()
    page = open_page(address, width=1100, height=700)
    at = place(page, "tulip.right", 8, 38)
    page.evaluate(HOLD, [*at, base64.b64encode(picture()).decode(), "My bird.PNG"])
    assert page.inner_text("#over") == "Onto tulip"
    page.evaluate("window.tell('drop')")
    page.wait_for_selector("#print .corner:visible")
    assert page.is_hidden("#over")
    (one,) = images(design, "tulip")
    assert (one["file"], one["facet"]) == ("My-bird.png", "right")
    # Moved: as many mm as the pixels are on its paper.
    corners = np.array(page.evaluate(FRAME))
    middle = corners.mean(axis=0)
    across = (corners[1] - corners[0]) / one["width"]
    end = np.round(middle + 5 * across)
    fingers = Fingers(page)
    fingers.drag(np.round(middle), end)
    page.wait_for_selector("#print.held .corner:visible")
    followed(page, fingers.release)
    (two,) = images(design, "tulip")
    assert two["x"] == pytest.approx(one["x"] + 5, abs=1.01)
    assert two["y"] == pytest.approx(one["y"], abs=1.01)
    # The corner turns and sizes: to where the opposite corner's neighbour was, a quarter turn.
    corners = np.array(page.evaluate(FRAME))
    knob = page.evaluate(
        "(({ left, top, width, height }) => [left + width / 2, top + height / 2])"
        "(document.querySelector('#print .corner').getBoundingClientRect())"
    )
    middle = corners.mean(axis=0)
    fingers.drag(np.array(knob), np.round(middle + 1.5 * (np.array(knob) - middle)))
    followed(page, fingers.release)
    (three,) = images(design, "tulip")
    assert three["width"] == pytest.approx(1.5 * two["width"], rel=0.12)
    assert abs(three.get("turn", 0)) <= 2
    assert violations(page) == []
    # It is carried to other paper, where the hand lets it go.
    middle = np.array(page.evaluate(FRAME)).mean(axis=0)
    end = np.array(place(page, "page.right", 80, 70))
    fingers.drag(np.round(middle), np.round(end))
    page.wait_for_function(
        "() => document.querySelector('#print .tag').textContent === 'onto meadow'"
    )
    held = np.array(page.evaluate(FRAME)).mean(axis=0)
    assert np.hypot(*(held - end)) < 4
    followed(page, fingers.release)
    assert images(design, "tulip") == []
    (four,) = images(design, "meadow")
    assert (four["file"], four["width"]) == (three["file"], three["width"])
    assert (four["x"], four["y"]) == (pytest.approx(8, abs=2), pytest.approx(-4, abs=2))
    for _ in range(4):
        followed(page, lambda: page.click("#undo"))
    assert design.read_bytes() == first
    page.wait_for_selector("#slip >> text=My-bird.png stays beside the design")


@pytest.mark.parametrize("width", by_day([390, 820, 1100, 1440, 1920], [390, 1100]))
def test_the_slip_covers_no_button_and_not_what_it_tells_of(
    open_page: Any, address: str, width: int
) -> None:
    """It lay over Undo for a quarter of a minute."""
    page = open_page(address, width=width, height=760)
    drop(page, place(page, "tulip.right", 8, 38), picture(), "a.png")
    page.wait_for_selector("#slip >> text=Its frame moves it")
    page.wait_for_selector("#print .corner:visible")
    met = """() => {
      const { left, right, top, bottom } = document.getElementById("slip").getBoundingClientRect();
      const others = [...document.querySelectorAll("button, #print .edge, h1, #panel")];
      return others.filter((one) => !one.closest("#slip")).filter((one) => {
        const box = one.getBoundingClientRect();
        const across = box.left < right && left < box.right;
        return box.width && across && box.top < bottom && top < box.bottom;
      }).map((one) => one.outerHTML.slice(0, 80));
    }"""
    assert page.evaluate(met) == []
    followed(page, lambda: page.click("#undo"))


@pytest.mark.night
def test_keys_do_what_the_hand_does(open_page: Any, address: str, design: Path) -> None:
    page = open_page(address, width=1100, height=700)
    drop(page, place(page, "page.right", 72, 74), picture(), "a.png")
    page.wait_for_selector("#print .corner:visible")
    before = images(design, "meadow")[0]
    page.focus("#print .corner")
    for key in ("ArrowRight", "ArrowUp", "ArrowUp", "[", "+"):
        followed(page, lambda key=key: page.keyboard.press(key))
    after = images(design, "meadow")[0]
    assert after["x"] == before["x"] + 1
    assert after["y"] == before["y"] + 2
    assert after["turn"] == 5
    assert after["width"] == pytest.approx(1.05 * before["width"], abs=0.06)
    followed(page, lambda: page.keyboard.press("Delete"))
    assert images(design, "meadow") == []
    assert not page.is_visible("#print .corner")


def test_words_are_typed_on_the_paper(open_page: Any, address: str, design: Path) -> None:
    page = open_page(address, width=1100, height=700)
    page.click("#shape")
    at = place(page, "tulip.left", -9, 40)
    page.mouse.dblclick(*at)
    page.wait_for_selector("#letters:visible")
    assert violations(page) == []
    page.keyboard.type("May")
    followed(page, lambda: page.keyboard.press("Enter"))
    (line,) = [p for p in prints(spread.read(design)) if "text" in p]
    assert (line["text"], line["piece"], line["side"]) == ("May", "tulip", 1)
    # They stand under the hand: the middle of the frame is where the taps were.
    page.wait_for_selector("#print .corner:visible")
    middle = np.array(page.evaluate(FRAME)).mean(axis=0)
    assert np.hypot(*(middle - at)) < 6
    # Two taps on the words change them.
    page.wait_for_timeout(500)  # or the first of them would be the third
    page.mouse.dblclick(*middle)
    page.wait_for_selector("#letters:visible")
    page.keyboard.type("June")
    followed(page, lambda: page.keyboard.press("Enter"))
    assert [p["text"] for p in prints(spread.read(design))] == ["June"]
    # Escape leaves all as it is.
    text = design.read_bytes()
    page.wait_for_timeout(500)
    page.mouse.dblclick(*place(page, "page.left", -70, 150))
    page.wait_for_selector("#letters:visible")
    page.keyboard.type("nothing")
    page.keyboard.press("Escape")
    page.wait_for_selector("#letters", state="hidden")
    assert design.read_bytes() == text
    # Without pointing: T, on the chosen piece.
    page.focus("#picture")
    page.keyboard.press("t")
    page.wait_for_selector("#letters:visible")
    page.keyboard.type("<b>&")
    followed(page, lambda: page.keyboard.press("Enter"))
    assert [p["text"] for p in prints(spread.read(design))] == ["June", "<b>&"]


def test_what_is_no_picture_is_one_line_and_nothing_runs(
    open_page: Any, address: str, design: Path
) -> None:
    first = design.read_bytes()
    page = open_page(address, width=1100, height=700)
    open_page.expected("422")
    at = place(page, "tulip.right", 8, 38)
    for data, name, said in (
        (SVG, "<img src=x onerror=alert(1)>.svg", "saved as PNG first"),
        (b"", "empty.png", "is empty"),
        (picture()[:60], "half.jpg", "decoded"),
    ):
        drop(page, at, data, name)
        page.wait_for_function(
            "(said) => document.getElementById('mistake').innerText.includes(said)", arg=said
        )
        assert "\n" not in page.inner_text("#mistake")
    assert page.query_selector("#mistake img") is None
    page.evaluate(HOLD, [20, 20, "", "x.png"])
    page.evaluate("window.tell('drop')")
    assert "over the paper" in page.inner_text("#mistake")
    assert design.read_bytes() == first
    assert [p.name for p in design.parent.iterdir()] == ["tulip.toml"]


@pytest.mark.night
def test_on_a_phone_a_button_brings_the_picture_and_a_finger_moves_it(
    open_page: Any, address: str, design: Path
) -> None:
    page = open_page(address, **PHONE)
    x, y = place(page, "tulip.left", -9, 40)
    page.tap("#shape")
    page.touchscreen.tap(x, y)
    page.tap("#drawer")
    with page.expect_file_chooser() as choosing:
        page.tap("text=Print a picture on it")
    file = {"name": "photo.jpg", "mimeType": "image/jpeg", "buffer": picture(kind="JPEG")}
    followed(page, lambda: choosing.value.set_files(file))
    page.tap("#drawer")
    page.wait_for_selector("#print .corner:visible")
    page.evaluate("foldstage.settled()")
    (one,) = images(design, "tulip")
    corners = np.array(page.evaluate(FRAME))
    middle, up = corners.mean(axis=0), (corners[3] - corners[0])
    fingers = Fingers(page, touch=True)
    fingers.drag(middle, middle + 1.5 * up)
    followed(page, fingers.release)
    assert images(design, "tulip")[0]["y"] > one["y"] + 2
    assert violations(page) == []


def test_what_is_printed_is_read_once(open_page: Any, design: Path) -> None:
    """Paper that is cut anew keeps its print, in the picture that follows at once."""
    (design.parent / "bird.png").write_bytes(picture())
    print_ = '\nimages = [{ file = "bird.png", x = 0, y = 26, width = 20 }]\n'
    text = design.read_text().rstrip() + print_
    design.write_text(text)
    with served(design) as server:
        page = open_page(f"{server.address}#opening=130&draft=0.25", height=300)
        page.evaluate("foldstage.settled()")
        page.evaluate(
            """() => {
              const make = document.createElementNS;
              window.read = 0;
              document.createElementNS = function (space, name) {
                window.read += name === "img";
                return make.call(document, space, name);
              };
            }"""
        )
        for place in (70, 66):
            show(page, design, text.replace("y = 74", f"y = {place}"))
        assert page.evaluate("window.read") == 0
        # One of another size has other pixels.
        show(page, design, text.replace("width = 20", "width = 12"))
        page.wait_for_function("() => window.read > 0")
