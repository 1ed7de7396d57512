"""News of a change may come before the answer to who has asked for it: both are waited for.

Here every answer is held back until the page shows what it tells of, as it happens now and then on
a computer that has much to do. Tests once stood still of it, and a picture lay there untaken.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from .by_hand import Hand, hills
from .test_pictures import picture
from .test_prints import FRAME, drop, followed, images, place
from .tugging import Fingers, served, show


@pytest.fixture
def page(open_page: Any, design: Path) -> Iterator[Any]:
    with served(design) as server:
        yield open_page(f"{server.address}#opening=130&draft=0.25", width=1200, height=800)


@contextmanager
def late(page: Any, address: str) -> Iterator[None]:
    """What is asked at an address meanwhile is answered once the page has had the news of it."""
    held: list[Any] = []
    page.route(f"**{address}", lambda route: held.append((route, route.fetch())))
    before = page.evaluate("foldstage.made")
    yield
    page.wait_for_function("(before) => foldstage.made !== before", arg=before)
    assert len(held) == 1
    route, answer = held[0]
    route.fulfill(response=answer)
    page.unroute(f"**{address}")


def test_a_picture_is_taken_under_the_hand(page: Any, design: Path) -> None:
    with late(page, "/picture/print"):
        drop(page, place(page, "tulip.right", 8, 38), picture(), "a.png")
    page.wait_for_selector("#print .corner:visible")
    assert len(images(design, "tulip")) == 1


def test_a_print_that_is_carried_stays_under_the_hand(page: Any, design: Path) -> None:
    drop(page, place(page, "tulip.right", 8, 38), picture(), "a.png")
    page.wait_for_selector("#print .corner:visible")
    fingers = Fingers(page)
    with late(page, "/print/carry"):
        fingers.drag(middle(page), np.round(place(page, "page.right", 80, 70)))
        fingers.release()
    page.wait_for_selector("#print:not(.held) .corner:visible")
    assert len(images(design, "meadow")) == 1
    # And can be carried on.
    fingers.drag(middle(page), np.round(place(page, "tulip.right", 8, 38)))
    followed(page, fingers.release)
    assert len(images(design, "tulip")) == 1


def test_a_print_that_stays_where_it_was_is_let_go(page: Any, design: Path) -> None:
    """Less than a step: the file stays as it is, so there is no news of it."""
    drop(page, place(page, "page.right", 80, 70), picture(), "a.png")
    page.wait_for_selector("#print .corner:visible")
    text, fingers = design.read_bytes(), Fingers(page)
    start = middle(page)
    fingers.drag(start, start + 40)
    fingers.move(start + 0.4)
    fingers.release()
    page.wait_for_selector("#print:not(.held) .corner:visible")
    assert design.read_bytes() == text
    fingers.drag(start, start + 40)
    followed(page, fingers.release)
    assert design.read_bytes() != text


def test_a_piece_is_chosen_by_its_new_name(page: Any) -> None:
    page.get_by_role("button", name="meadow", exact=True).click()
    page.get_by_label("Name", exact=True).fill("lawn")
    with late(page, "/edits"):
        page.get_by_label("Name", exact=True).press("Enter")
    page.wait_for_selector("[data-piece=lawn] .values")


def test_a_name_that_was_refused_chooses_nothing_later(
    page: Any, design: Path, open_page: Any
) -> None:
    open_page.expected("422")
    page.get_by_role("button", name="meadow", exact=True).click()
    page.get_by_label("Name", exact=True).fill("tulip")
    page.get_by_label("Name", exact=True).press("Enter")
    page.wait_for_selector("#mistake:visible")
    show(page, design, design.read_text().replace("x = 72", "x = 60"))
    pressed = {
        name: page.get_by_role("button", name=name, exact=True).get_attribute("aria-pressed")
        for name in ("meadow", "tulip")
    }
    assert pressed == {"meadow": "true", "tulip": "false"}


def test_paper_from_the_drawer_is_chosen(page: Any) -> None:
    page.click("#paper-open")
    page.locator("[data-kind=flat]").focus()
    page.keyboard.press("Enter")
    page.wait_for_selector("#lights .meant")
    with late(page, "/drop"):
        page.keyboard.press("Enter")
    page.wait_for_selector("[data-piece=flat] .values")


def test_another_number_follows_instead(page: Any, design: Path) -> None:
    """The first goes back, and the other is pulled once that is shown."""
    first = design.read_text()
    page.click("#shape")
    fingers, start = Fingers(page), np.round(place(page, "page.right", 72, 74))
    fingers.drag(start, start + np.array([30, 0]))
    page.wait_for_selector("#tug:visible")
    followed(page, fingers.release)
    page.wait_for_selector("#tug.done .buttons button >> nth=1")
    one = design.read_text()
    assert one != first
    with late(page, "/undo"):
        page.click("#tug.done .buttons button >> nth=0")
    page.wait_for_selector("#tug.done .buttons button >> nth=1")
    page.wait_for_function("() => document.querySelector('#redo').disabled")
    assert design.read_text() not in (first, one)


def test_a_drawing_stays_on_the_light_table_while_the_one_before_is_laid(page: Any) -> None:
    hand = Hand(page)
    hand.chooses("one.png", hills())
    hand.tap("#light-table label >> text=Printed as it is")
    with late(page, "/picture/print"):
        hand.draw("#light-table .look", "page.left", -95, 160)
        hand.chooses("two.png", hills())
    page.wait_for_selector("#status >> text=lies on the paper", state="attached")
    assert page.is_visible("#light-table")


def middle(page: Any) -> np.ndarray:
    """Where the middle of the print under the hand is, whole pixels."""
    return np.round(np.array(page.evaluate(FRAME)).mean(axis=0))
