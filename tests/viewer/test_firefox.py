"""The main gestures in Firefox, with real pointer events: as in Chromium, down to the bytes."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.pull.kinds import HEAD, KINDS
from tests.viewer.firefox import Firefox, firefox
from tests.viewer.test_pace import DEVICE, NEXT, SLOW, shown, unlike
from tests.viewer.test_page import drag, opening
from tests.viewer.test_tugging import leave_the_tip, pull_the_tip, type_the_number
from tests.viewer.tugging import served

pytestmark = pytest.mark.skipif(os.name != "posix", reason="its screen is one of X11")


@pytest.fixture(scope="module")
def window(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Firefox]:
    with firefox(tmp_path_factory.mktemp("firefox")) as made:
        yield made


@pytest.mark.night
def test_a_page_is_pulled_open_and_shut(window: Firefox, page_file: Path) -> None:
    window.goto(f"{page_file.as_uri()}#opening=150&draft=0.25", width=860, height=420)
    place = "([side, opening]) => foldstage.pagePoint(side, 140, 105, opening)"
    for side in (1, -1):
        window.evaluate("foldstage.open(150)")
        start, end = (window.evaluate(place, [side, opened]) for opened in (150, 90))
        drag(window, start, end)
        assert opening(window) == pytest.approx(90, abs=2)
    window.evaluate("document.querySelector('#picture').focus()")
    for key in ("Home", "PageUp", "ArrowRight"):
        window.keyboard.press(key)
    assert opening(window) == pytest.approx(16)


@pytest.mark.parametrize(
    "touch",
    [pytest.param(False, id="mouse"), pytest.param(True, id="touch", marks=pytest.mark.night)],
)
def test_the_tip_of_a_leaf_is_pulled_by_40_pixels(
    window: Firefox, tmp_path: Path, touch: bool
) -> None:
    file = tmp_path / "leaf.toml"
    file.write_text(HEAD + KINDS["v-fold"])
    page: Any = window
    with served(file) as server:
        window.goto(f"{server.address}#opening=110&draft=0.25")
        window.click("#shape")
        pull_the_tip(page, file, touch)
        if not touch:
            leave_the_tip(page, file)
            type_the_number(page, file)
        window.goto("about:blank")


@pytest.mark.night
def test_a_coarse_picture_shows_what_a_fine_one_does(window: Firefox, page_file: Path) -> None:
    window.goto(f"{page_file.as_uri()}#opening=120", width=640, height=480)
    window.evaluate(DEVICE, SLOW)
    window.evaluate("foldstage.play()")
    window.wait_for_function("() => foldstage.fineness === 0.25")
    window.evaluate("foldstage.pause()")
    coarse, _ = shown(window.evaluate(NEXT, 140))
    window.goto(f"{page_file.as_uri()}#opening=120&draft", width=640, height=480)
    fine, _ = shown(window.evaluate(NEXT, 140))
    assert unlike(coarse, fine) < 0.004
