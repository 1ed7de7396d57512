"""Curled paper in the page: strips stand where pictures have them, and light runs over them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from meshes.curl import bent
from meshes.spread import Spread
from preview.viewer.page import save
from preview.viewer.payload import quick_payload
from tests.curl.designs import WAVE, written
from tests.curl.test_moved import PASSING


def test_strips_stand_in_the_page_as_in_pictures(open_page: Any, tmp_path: Path) -> None:
    read = written(WAVE, tmp_path)
    path = tmp_path / "wave.html"
    save(path, quick_payload(read, read.solve(np.radians(np.arange(181.0)))))
    page = open_page(path.as_uri() + "#draft=0.25")
    for degrees in (3.0, 61.5, 180.0):
        page.evaluate(f"foldstage.open({degrees})")
        as_in_pictures(page.evaluate("foldstage.poses()"), read, degrees)
    # In the closed spread a leaf is one layer, whatever part of it is rolled.
    names = [strip["name"] for strip in page.evaluate("foldstage.layers(160)")["strips"]]
    assert names == ["page.left", "leaf.art", "page.right"]


def test_they_are_pressed_down_as_a_hand_moves_paper(open_page: Any, tmp_path: Path) -> None:
    # A leaf between, so that each curl goes by its own wedge.
    text = PASSING + '[pieces.leaf]\nkind = "flyleaf"\n[pieces.petal]\nkind = "flat"\n'
    text += 'on = "leaf.sheet"\nx = 90\ny = 40\noutline = { shape = "ellipse", length = 40, '
    text += 'width = 20 }\ncurl = [{ facet = "art", line = [[12, 0], [-12, 0]], over = 20 }]\n'
    text = text.replace('on = "gutter"', 'on = "leaf.behind"')
    read = written(text, tmp_path)
    path = tmp_path / "passing.html"
    save(path, quick_payload(read, read.solve(np.radians(np.arange(181.0)))))
    page = open_page(path.as_uri() + "#draft=0.25")
    for degrees, pull, leaf in ((180.0, 0.3, 0.0), (150.0, 0.8, 0.4), (180.0, 0.1, 1.0)):
        page.evaluate(
            f"foldstage.put('pull', {pull}); foldstage.put('leaf', {leaf}); "
            f"foldstage.open({degrees})"
        )
        moved = {"pull": pull, "leaf": leaf}
        as_in_pictures(page.evaluate("foldstage.poses()"), read, degrees, moved)


def as_in_pictures(
    found: dict[str, list[float]],
    read: Spread,
    degrees: float,
    moved: dict[str, float] | None = None,
) -> None:
    """Every corner of the page's paper lies where pictures have it."""
    seen = bent(read, read.solve(np.radians([degrees]), moved))
    assert {body.name for body in seen.linkage.bodies} == set(found)
    for b, body in enumerate(seen.linkage.bodies):
        matrix = np.array(found[body.name]).reshape(4, 4).T
        points = np.vstack(
            [np.insert(np.asarray(p.polygon.exterior.coords), 2, p.height, 1) for p in body.parts]
        )
        drawn = points @ seen.motion.rotations[0, b].T + seen.motion.translations[0, b]
        shown = points @ matrix[:3, :3].T + matrix[:3, 3]
        assert np.linalg.norm(shown - drawn, axis=1).max() < 0.05, (degrees, moved, body.name)
