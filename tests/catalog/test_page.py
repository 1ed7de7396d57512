"""The index page in a real browser: search, filters, order and films, on desktop and phone."""

from __future__ import annotations

import pytest

from preview.catalog import index
from tests.catalog.rows import figured
from tests.conftest import LONGEST_MS


def row(number):
    return figured(number, "design", "Design", fails=number % 5 == 0)


@pytest.fixture
def tab(browser, tmp_path):
    path = tmp_path / "index.html"
    path.write_text(index.as_page("shop", [row(number) for number in range(30)]))
    page = browser.new_page(viewport={"width": 1200, "height": 800})
    page.set_default_timeout(LONGEST_MS)
    said = []
    page.on("console", lambda message: said.append(message.text))
    page.goto(path.as_uri())
    yield page
    assert said == []
    page.close()


def shown(tab):
    return tab.evaluate(
        "[...document.querySelectorAll('.card')].filter(c => !c.hidden)"
        ".map(c => c.querySelector('h2').textContent)"
    )


def test_typing_narrows_the_list_and_says_how_many_are_left(tab):
    tab.get_by_label("Search").fill("design-2")
    assert set(shown(tab)) == {f"Design {n}" for n in range(20, 30)}
    assert tab.locator("#count").text_content() == "10 of 30 designs"
    tab.get_by_label("Search").fill("sticks out")
    assert len(shown(tab)) == 6


def test_filters_work_together(tab):
    tab.get_by_label("Page").select_option("A5")
    tab.get_by_label("Result").select_option("passes")
    tab.get_by_label("Height to").fill("62")
    expected = {f"Design {n}" for n in range(30) if n % 3 == 0 and n % 5 and 50 + n <= 62}
    assert set(shown(tab)) == expected


def test_nothing_found_says_what_to_do(tab):
    tab.get_by_label("Search").fill("zebra")
    assert shown(tab) == []
    assert tab.locator("#none").is_visible()


def test_the_order_can_be_changed(tab):
    tab.get_by_label("Order").select_option("standing")
    assert shown(tab)[0] == "Design 29"
    tab.get_by_label("Order").select_option("pieces")
    assert shown(tab)[0] == "Design 0"
    tab.get_by_label("Order").select_option("name")
    assert shown(tab)[:2] == ["Design 0", "Design 1"]


@pytest.mark.parametrize("width", [360, 768, 1600])
def test_nothing_is_wider_than_the_screen(tab, width):
    tab.set_viewport_size({"width": width, "height": 800})
    assert tab.evaluate("document.documentElement.scrollWidth") <= width
