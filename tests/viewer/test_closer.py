"""What is laid over the spread or taken off it, against solids and orders known from elsewhere."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import trimesh

from meshes.spread import Spread
from tests.viewer.test_access import violations


def open_look(open_page: Any, opening: int) -> Any:
    page = open_page(f"#opening={opening}&draft=0.25", width=1440, height=900)
    page.get_by_role("tab", name="Look").click()
    return page


@pytest.mark.night
def test_a_tracing_stays_where_the_spread_was(open_page: Any) -> None:
    page = open_look(open_page, 110)
    before = page.evaluate("foldstage.poses()")
    page.get_by_role("button", name="Trace what I see").click()
    traced = page.evaluate("foldstage.traced()")
    # Poses are told without the lift of the book, of which the pages themselves know.
    lift = traced["page.right"][14] - before["page.right"][14]
    page.evaluate("foldstage.open(150)")
    assert page.evaluate("foldstage.traced()") == traced
    before["tulip.left"][14] += lift
    assert np.allclose(traced["tulip.left"], before["tulip.left"], atol=1e-4)
    assert "In blue: the spread at 110° open." in page.inner_text("#card-look")
    page.get_by_label("It opens and closes along").check()
    page.evaluate("foldstage.open(70)")
    now, traced = page.evaluate("[foldstage.poses(), foldstage.traced()]")
    for k in (0, 5, 12, 13):
        assert traced["tulip.left"][k] == pytest.approx(now["tulip.left"][k], abs=1e-4)
    assert violations(page) == []
    page.get_by_role("button", name="Take it off").click()
    assert page.evaluate("foldstage.traced()") == {}


def test_the_faces_of_a_cut_are_those_of_the_solids(open_page: Any, tulip: Spread) -> None:
    """Judge: trimesh cuts plates of the same outline and thickness, where the page has them."""
    page = open_look(open_page, 130)
    for opening, height in ((130, 40.0), (90, 62.5), (170, 12.0)):
        page.evaluate(f"foldstage.open({opening})")
        areas = page.evaluate("(height) => foldstage.cut(height)", height)
        wanted = cut_area(page, tulip, opening, height)
        assert wanted > 1
        assert areas["tulip"] == pytest.approx(wanted, rel=1e-3), opening


def cut_area(page: Any, tulip: Spread, opening: int, height: float) -> float:
    """What a level plane cuts of the tulip's plates, mm²."""
    poses = page.evaluate("foldstage.poses()")
    book = page.evaluate(
        "(() => { const { book } = JSON.parse(document.getElementById('scene').textContent); "
        "return [book.block, book.board, book.cloth, book.groove]; })()"
    )
    # Where the page stands on its table: a corner of a page in the scene, less itself unlifted.
    tilt = np.radians((180 - opening) / 2)
    block, board, cloth, groove = book
    depth = block + board
    # It stands on its spine, or on the edges of the boards beside it while they are lower.
    hinge = groove + (block + cloth / 2) * (np.pi / 2 - tilt)
    lift = max(block + cloth, depth * np.cos(tilt) - hinge * np.sin(tilt)) - depth
    wanted = 0.0
    for body in tulip.linkage.bodies:
        matrix = np.array(poses[body.name]).reshape(4, 4).T
        for part in body.parts:
            if part.sheet.piece != "tulip":
                continue
            plate = trimesh.creation.extrude_polygon(part.polygon, part.sheet.paper.caliper)
            plate.apply_translation([0, 0, part.height - part.sheet.paper.caliper / 2])
            plate.apply_transform(matrix)
            cut = plate.section([0, 0, 1], [0, 0, height - depth - lift])
            wanted += cut.to_2D()[0].area if cut is not None else 0.0
    return wanted


def test_the_cut_is_made_by_a_slider_and_by_keys(open_page: Any) -> None:
    page = open_look(open_page, 120)
    page.get_by_label("Cut level, and take off what is above").check()
    slider = page.get_by_label("Height of the cut")
    slider.press("ArrowRight")
    assert "30.5 mm over the table" in page.inner_text("#card-look")
    assert violations(page) == []
    # What is cut off is not there for the hand.
    tip = "foldstage.drawnAt([foldstage.bodyPoint('tulip.left', [0, 60, 0])])"
    assert page.evaluate(f"{tip}.pieces.length") == 1
    page.get_by_label("Cut level, and take off what is above").uncheck()


def test_the_layers_of_a_closed_v_fold_lie_as_they_are_folded(open_page: Any) -> None:
    """A v-fold lies between the pages, each panel on the page that it is glued to."""
    page = open_look(open_page, 120)
    found = page.evaluate("foldstage.layers(74)")
    assert found["sure"]
    names = [strip["name"] for strip in found["strips"]]
    tall = [name for name in names if name in ("tulip.left", "tulip.right") or "page" in name]
    assert tall == ["page.left", "tulip.left", "tulip.right", "page.right"]
    assert names.index("meadow.art") == names.index("page.right") - 1
    levels = [strip["level"] for strip in found["strips"]]
    assert levels == sorted(levels)
    assert found["strips"][0]["from"] == 0
    assert found["strips"][0]["to"] == pytest.approx(148)
    page.get_by_text("Shut, seen from its foot edge").click()
    page.locator(".order li").nth(3).wait_for(state="attached")
    assert "times as thick as it is" in page.inner_text("#card-look")
    assert violations(page) == []
