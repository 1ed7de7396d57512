"""The shop's page in a real browser: finding, the address, films, on a phone and on a desk."""

from __future__ import annotations

import io
from urllib.parse import unquote, urlsplit

import pytest
from PIL import Image

from preview.catalog import index, publish
from preview.catalog.shop import Offer, Shop, ShopSettings
from preview.catalog.store import Store
from tests.catalog.rows import figured
from tests.conftest import LONGEST_MS
from tests.viewer.test_access import violations

WORDS = ("fox", "bridge", "lantern")
WIDTHS = (390, 820, 1440)


def film():
    """Two small frames of an animated GIF."""
    data = io.BytesIO()
    frames = [Image.new("RGB", (6, 4), colour) for colour in ("#c8452f", "#24544e")]
    frames[0].save(data, "GIF", save_all=True, append_images=frames[1:], duration=500, loop=0)
    return data.getvalue()


def picture():
    data = io.BytesIO()
    Image.new("RGB", (12, 8), "#e8963f").save(data, "WEBP")
    return data.getvalue()


FILES = {
    "still.webp": picture(),
    "film.gif": film(),
    "stages.webp": picture(),
    "view.html": b"<!doctype html><html lang=en><title>by hand</title><h1>By hand</h1>",
}


def row(number):
    return {
        **figured(number, "file", "Spread", fails=number % 5 == 4),
        "words": [WORDS[number % 3]],
        "moved_by_hand": number % 2,
        "papers": [{"name": "stiff", "grammage": 200.0}],
        "steps": 12,
        "minutes": 30 * (20 - number),
        "printed_on": "A4",
        "printed_sheets": 3,
        "still": "still.webp",
        "film": "film.gif",
        "stages": "stages.webp",
        "view": "view.html",
    }


ROWS = [row(number) for number in range(15)]
SHOWN = [f"Spread {number}" for number in range(15) if number % 5 != 4]
HERS = Shop(
    ShopSettings(
        title="The Paper Window",
        introduction="Small stages.\n\nThe folding is yours.",
        contact="mailto:hello@paper-window.example",
        pack=["pattern", "guide"],
        designs={
            "shelf/file-00": Offer(
                about="It looks at you.", price="9 €", link="https://paper-window.example/0"
            )
        },
    )
)


@pytest.fixture(scope="module")
def catalog(tmp_path_factory):
    """The output folder of a catalog, with both pages."""
    folder = tmp_path_factory.mktemp("out")
    store = Store(folder / "private")
    for one in ROWS:
        store.keep(one["name"], "key", one, FILES)
    publish.publish(folder / "shop", store, ROWS, HERS)
    called = {one["name"]: one["title"] for one in ROWS if publish.shown(one, HERS)}
    (folder / "private" / "index.html").write_text(index.as_page("designs", ROWS, called), "utf-8")
    return folder


@pytest.fixture
def open_tab(browser, catalog):
    """Open a page of the catalog; whatever the browser complains of fails the test."""
    said, contexts = [], []

    def visit(name="shop/index.html", mark="", width=1200, **settings):
        context = browser.new_context(viewport={"width": width, "height": 800}, **settings)
        context.set_default_timeout(LONGEST_MS)
        contexts.append(context)
        tab = context.new_page()
        tab.on("console", lambda message: said.append(message.text))
        tab.on("pageerror", lambda error: said.append(str(error)))
        tab.on("requestfailed", lambda request: said.append(request.url))
        tab.goto((catalog / name).as_uri() + mark)
        return tab

    yield visit
    for context in contexts:
        context.close()
    assert said == []


def shown(tab):
    return tab.evaluate(
        "[...document.querySelectorAll('.card')].filter(c => !c.hidden)"
        ".map(c => c.querySelector('h2').textContent)"
    )


def test_words_of_pieces_find_a_spread_and_the_address_tells_what_is_shown(open_tab):
    tab = open_tab()
    assert shown(tab) == SHOWN
    tab.get_by_label("Find", exact=True).fill("lantern")
    found = [f"Spread {n}" for n in range(2, 15, 3) if n % 5 != 4]
    assert shown(tab) == found
    assert tab.locator("#count").text_content() == f"{len(found)} of 12 spreads"
    tab.get_by_label("Order").select_option("standing")
    tab.get_by_label("Stands up to").fill("60")
    tab.get_by_label("moves by hand").check()
    assert shown(tab) == ["Spread 5"]
    mark = urlsplit(tab.url).fragment
    again = open_tab(mark=f"#{mark}")
    assert shown(again) == ["Spread 5"]
    assert again.get_by_label("Find", exact=True).input_value() == "lantern"
    assert again.locator("#order").input_value() == "standing"
    tab.get_by_label("Find", exact=True).fill("zebra")
    tab.get_by_role("button", name="Show all").click()
    assert shown(tab) == SHOWN
    assert urlsplit(tab.url).fragment == ""


def test_a_changed_address_changes_what_is_shown_and_nonsense_shows_all(open_tab):
    tab = open_tab(mark="#page=B5&order=pieces")
    assert shown(tab) == [f"Spread {n}" for n in range(1, 15, 3) if n % 5 != 4]
    tab.evaluate("location.hash = 'page=A5'")
    expect(tab.locator("#page")).to_have_value("A5", timeout=LONGEST_MS)
    assert shown(tab) == [f"Spread {n}" for n in range(0, 15, 3) if n % 5 != 4]
    strange = open_tab(mark="#page=<script>&high=tall&order=x&hand=1&more=%")
    assert shown(strange) == SHOWN
    # A link to one spread is no choice among them.
    place = tab.locator("article").nth(3).get_attribute("id")
    one = open_tab(mark=f"#{place}")
    assert shown(one) == SHOWN
    assert one.evaluate(f"document.getElementById('{place}').matches(':target')")


def expect(locator):
    from playwright.sync_api import expect as expected

    return expected(locator)


def playing(tab):
    return tab.evaluate("[...document.querySelectorAll('.plays')].map(b => b.ariaLabel)")


def wait_for_films(tab, count):
    expect(tab.locator(".plays")).to_have_count(count, timeout=LONGEST_MS)


def test_a_film_plays_while_the_mouse_is_on_its_picture(open_tab):
    tab = open_tab()
    tab.locator("button.picture").first.hover()
    wait_for_films(tab, 1)
    assert playing(tab) == ["Film of Spread 0"]
    tab.locator("h1").hover()
    wait_for_films(tab, 0)
    assert tab.locator(".film").count() == 0


def test_one_film_plays_by_tap_or_key_and_ends_so(open_tab):
    tab = open_tab(width=390, has_touch=True)
    buttons = tab.locator("button.picture")
    buttons.nth(0).tap()
    wait_for_films(tab, 1)
    assert buttons.nth(0).get_attribute("aria-pressed") == "true"
    buttons.nth(1).focus()
    tab.keyboard.press("Enter")
    expect(buttons.nth(1)).to_have_class("picture plays", timeout=LONGEST_MS)
    assert playing(tab) == ["Film of Spread 1"]
    tab.keyboard.press("Enter")
    wait_for_films(tab, 0)
    assert buttons.nth(1).get_attribute("aria-pressed") == "false"


def test_who_wants_little_motion_sees_a_film_only_on_request(open_tab):
    tab = open_tab(reduced_motion="reduce")
    # By time on the page, since what is waited for is that nothing happens.
    tab.clock.install()
    first = tab.locator("button.picture").first
    first.hover()
    tab.clock.run_for(2000)
    assert tab.locator(".film").count() == 0
    first.click()
    wait_for_films(tab, 1)


@pytest.mark.parametrize("name", ["shop/index.html", "private/index.html"])
def test_no_page_is_wider_than_the_screen(open_tab, name):
    tab = open_tab(name)
    for width in (320, *WIDTHS):
        tab.set_viewport_size({"width": width, "height": 800})
        assert tab.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize(
    ("name", "scheme"),
    [
        ("shop/index.html", "light"),
        ("shop/index.html", "dark"),
        ("private/index.html", "light"),
        pytest.param("private/index.html", "dark", marks=pytest.mark.night),
    ],
)
def test_axe_finds_nothing_to_mend(open_tab, name, scheme):
    tab = open_tab(name, width=390, color_scheme=scheme)
    tab.evaluate("for (const more of document.querySelectorAll('details')) more.open = true")
    assert violations(tab) == []
    tab.set_viewport_size({"width": 1440, "height": 800})
    assert violations(tab) == []


def test_what_a_finger_must_hit_is_large_enough(open_tab):
    """Source: WCAG 2.2, 2.5.8 target size (minimum): 24 CSS pixels each way."""
    tab = open_tab(width=390, has_touch=True)
    tab.evaluate("document.getElementById('more').open = true")
    small = tab.evaluate(
        "[...document.querySelectorAll('button, input, select, summary, .ways a')]"
        ".map(e => [e.outerHTML, e.getBoundingClientRect()])"
        ".filter(([, box]) => box.width && (box.width < 24 || box.height < 24))"
        ".map(([html]) => html).filter(html => !html.includes('checkbox'))"
    )
    assert small == []


def test_every_link_of_both_pages_leads_somewhere(open_tab, catalog):
    """All that begins with a file of this folder is opened; the others lead to the web."""
    outside = set()
    for name in ("shop/index.html", "private/index.html"):
        tab = open_tab(name)
        found = tab.evaluate(
            "[...document.querySelectorAll('[href], [src], [data-film]')]"
            ".map(e => e.getAttribute('href') ?? e.getAttribute('src') ?? e.dataset.film)"
        )
        assert len(found) > 12
        for link in found:
            parts = urlsplit(link)
            if parts.scheme:
                outside.add(link)
            elif not parts.path:
                assert tab.locator(link).count() == 1
            else:
                assert ((catalog / name).parent / unquote(parts.path)).is_file(), link
    assert outside == {"mailto:hello@paper-window.example", "https://paper-window.example/0"}


def test_the_shop_does_not_lead_to_the_private_page(catalog):
    for path in (catalog / "shop").rglob("*"):
        if path.is_file():
            content = path.read_bytes()
            for word in (b"private", b"shelf", b"file-0", b"sticks out", b".toml", b"items/"):
                assert word not in content, (path, word)


def test_without_scripts_all_is_there_and_nothing_that_needs_them(open_tab):
    tab = open_tab(java_script_enabled=False)
    assert tab.locator("article").count() == 12
    assert tab.locator("#controls").is_hidden()
    assert tab.get_by_role("link", name="Open it by hand").first.is_visible()


def test_what_a_buyer_is_told(open_tab):
    tab = open_tab()
    first = tab.locator("article").first
    first.locator("summary").click()
    text = first.inner_text()
    for words in (
        *("9 €", "It looks at you.", "A5", "stands 5 cm high", "about 10 hours", "12 steps"),
        *("148 × 210 mm", "1.4 mm thick", "40 pieces, 40 facets, 30 folds", "200 g/m²"),
        *("3 sheets of A4", "How to build it, step by step", "Sheets to print at true scale"),
    ):
        assert words in text, words
