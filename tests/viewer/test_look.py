"""Looking closely at the spread, and keeping what is seen: in a real browser."""

from __future__ import annotations

import base64
import io
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from meshes.spread import Spread
from preview.viewer.page import save
from preview.viewer.payload import payload
from tests.viewer.test_access import violations

# Of an A5 page, mm. Source: ISO 216.
WIDTH = 148.0


def click_at(page: Any, body: str, point: list[float], aside: float = 0.0) -> None:
    x, y = page.evaluate("([body, point]) => foldstage.bodyPoint(body, point)", [body, point])
    page.mouse.click(x + aside, y - abs(aside))


def test_two_points_are_as_far_apart_as_geometry_says(open_page: Any) -> None:
    """Corners of two pages of width w that are open by a: 2 w sin(a / 2), the chord of a circle."""
    page = open_page("#opening=100&draft=0.25", width=1440, height=900)
    page.get_by_role("tab", name="Look").click()
    page.get_by_role("button", name="Measure").click()
    assert page.evaluate("foldstage.measured()") is None
    click_at(page, "page.right", [WIDTH, 0, 0], -3)  # a corner is found from a little beside it
    click_at(page, "page.left", [-WIDTH, 0, 0], 3)
    for opening in (100, 60, 180, 0):
        page.evaluate("(opening) => foldstage.open(opening)", opening)
        found = page.evaluate("foldstage.measured()")
        assert found["apart"] == pytest.approx(
            2 * WIDTH * math.sin(math.radians(opening / 2)), abs=1e-3
        )
        assert found["flat"] == pytest.approx(2 * WIDTH)
    page.evaluate("foldstage.open(100)")
    chord = 2 * WIDTH * math.sin(math.radians(50))
    assert f"{chord:.1f} mm from a corner of page.right" in page.inner_text(".measured")
    assert "296.0 mm with the sheet laid flat" in page.inner_text(".measured")
    assert violations(page) == []
    # On two sheets nothing is said of a flat one.
    click_at(page, "page.right", [WIDTH - 20, 20, 0])
    click_at(page, "tulip.left", tulip_corner(page))
    assert page.evaluate("foldstage.measured().flat") is None


def tulip_corner(page: Any) -> list[float]:
    rings: list[float] = page.evaluate(
        "JSON.parse(document.getElementById('scene').textContent).bodies"
        ".find(({ name }) => name === 'tulip.left').facets[0].rings[0]"
    )
    corners = np.array(rings).reshape(-1, 2)
    x, y = corners.mean(axis=0)
    return [float(x), float(y), 0.0]


def test_points_of_one_folded_sheet_are_told_as_they_lie_flat(
    open_page: Any, tulip: Spread
) -> None:
    """Judge: the outline of the sheet as the pattern has it."""
    page = open_page("#opening=100&draft=0.25", width=1440, height=900)
    page.get_by_role("tab", name="Look").click()
    page.get_by_role("button", name="Measure").click()
    ends = []
    for name in ("left", "right"):
        body = next(
            b for b in tulip.linkage.bodies if any(p.id == f"tulip.{name}" for p in b.parts)
        )
        part = next(p for p in body.parts if p.id == f"tulip.{name}")
        corners = np.asarray(part.facet.polygon.exterior.coords)[:, :2]
        far = corners[int(np.abs(corners[:, 0]).argmax())]
        near = far + 0.02 * (corners.mean(axis=0) - far)
        x, y = part.placement.matrix @ near + part.placement.shift
        ends.append(far)
        click_at(page, body.name, [float(x), float(y), 0.0])
    found = page.evaluate("foldstage.measured()")
    assert found["flat"] == pytest.approx(float(np.linalg.norm(ends[0] - ends[1])), abs=0.01)
    assert found["apart"] < found["flat"]


def test_the_ruler_is_worked_by_keys(open_page: Any) -> None:
    page = open_page("#opening=170&draft=0.25&view=overhead", width=1440, height=900)
    page.get_by_role("tab", name="Look").press("Enter")
    page.get_by_role("button", name="Measure").press("Enter")
    assert page.evaluate("document.activeElement.id") == "picture"
    for key in [*["ArrowRight"] * 8, "Enter", *["ArrowLeft"] * 20, "Enter"]:
        page.keyboard.press(key)
    assert page.evaluate("foldstage.measured().apart") > 20
    assert page.evaluate("foldstage.opening") == 170
    page.keyboard.press("Backspace")
    assert page.evaluate("foldstage.measured()") is None


def test_the_address_keeps_where_one_stands(open_page: Any) -> None:
    page = open_page("#opening=100&draft=0.25", width=860, height=600)
    page.click("[data-view=low]")
    page.evaluate("foldstage.open(72)")
    page.wait_for_function("() => location.hash === '#draft=0.25&opening=72&view=low'")
    page.focus("#picture")
    for key in ("Shift+ArrowLeft", "Shift+ArrowUp", "+"):
        page.keyboard.press(key)
    page.wait_for_function("() => location.hash.includes('eye=')")
    pose = page.evaluate("foldstage.view()")
    page.reload()
    again = page.evaluate("foldstage.view()")
    assert page.evaluate("foldstage.opening") == 72
    for key in ("eye", "target"):
        assert again[key] == pytest.approx(pose[key], abs=0.02)
    page.evaluate("location.hash = '#draft=0.25&opening=30&view=overhead'")
    page.wait_for_function("() => foldstage.opening === 30 && foldstage.view().name === 'overhead'")
    # What makes no sense is left alone.
    page.evaluate("location.hash = '#draft=0.25&opening=x&eye=1,2&target=&field=900&hand.x=3'")
    page.wait_for_timeout(50)
    assert page.evaluate("foldstage.opening") == 30


def test_a_picture_has_the_size_that_is_asked_for_from_any_window(
    open_page: Any, tmp_path: Path
) -> None:
    page = open_page("#opening=120&draft", width=390, height=500)
    page.click("#drawer")
    page.get_by_role("tab", name="Picture").click()
    page.get_by_label("Size").select_option("1080x1920")
    before = page.evaluate("foldstage.view()")
    with page.expect_download() as coming:
        page.get_by_role("button", name="Save picture").click()
    coming.value.save_as(tmp_path / "p.png")
    picture = Image.open(tmp_path / "p.png").convert("L")
    assert picture.size == (1080, 1920)
    # The spread is in it, and not cut off: on all sides is the table, with its soft shadow at most.
    pixels = np.asarray(picture, float)
    edges = [pixels[:, 0], pixels[:, -1], pixels[0], pixels[-1]]
    assert max(np.abs(np.diff(edge)).max() for edge in edges) < 25
    assert pixels.std() > 15
    after = page.evaluate("foldstage.view()")
    assert after["name"] == before["name"]
    assert page.evaluate("document.getElementById('picture').width") == 390


def test_a_sent_page_shows_its_picture_until_the_spread_is_there(
    open_page: Any, tulip: Spread, tmp_path: Path
) -> None:
    data = io.BytesIO()
    Image.new("RGB", (40, 30), "teal").save(data, "JPEG")
    poster = f"data:image/jpeg;base64,{base64.b64encode(data.getvalue()).decode()}"
    scene = payload(tulip, tulip.solve(np.radians(np.arange(181.0))))
    save(tmp_path / "sent.html", {**scene, "poster": poster})
    text = (tmp_path / "sent.html").read_text()
    assert text.count(poster) == 1
    assert text.index(poster) < text.index('id="scene"')
    page = open_page(f"{(tmp_path / 'sent.html').as_uri()}#opening=90&draft=0.25")
    page.wait_for_function("() => foldstage.ready && !document.getElementById('poster')")
    assert page.evaluate("foldstage.opening") == 90
    assert page.is_hidden("#keep-open")
    assert page.locator("[data-file]").count() == 0


def test_the_spread_has_the_screen_to_itself(open_page: Any) -> None:
    page = open_page("#opening=120&draft=0.25", width=860, height=600)
    narrow = page.evaluate("foldstage.area()")
    page.get_by_role("button", name="Full screen").click()
    page.wait_for_function("() => !document.querySelector('#panel').checkVisibility()")
    assert page.evaluate("foldstage.area().width") > narrow["width"] + 300
    assert page.is_visible("#dial")
    assert violations(page) == []
    page.focus("#picture")
    page.keyboard.press("f")
    page.wait_for_function("() => document.querySelector('#panel').checkVisibility()")
