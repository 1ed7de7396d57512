"""Curled paper in the page: strips stand where pictures have them, and light runs over them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from meshes.curl import bent
from preview.viewer.page import save
from preview.viewer.payload import quick_payload
from tests.curl.designs import WAVE, written


def test_strips_stand_in_the_page_as_in_pictures(open_page: Any, tmp_path: Path) -> None:
    read = written(WAVE, tmp_path)
    path = tmp_path / "wave.html"
    save(path, quick_payload(read, read.solve(np.radians(np.arange(181.0)))))
    page = open_page(path.as_uri() + "#draft=0.4")
    for degrees in (3.0, 61.5, 180.0):
        page.evaluate(f"foldstage.open({degrees})")
        found = page.evaluate("foldstage.poses()")
        seen = bent(read, read.solve(np.radians([degrees])))
        assert {body.name for body in seen.linkage.bodies} == set(found)
        for b, body in enumerate(seen.linkage.bodies):
            matrix = np.array(found[body.name]).reshape(4, 4).T
            points = np.vstack(
                [
                    np.insert(np.asarray(p.polygon.exterior.coords), 2, p.height, 1)
                    for p in body.parts
                ]
            )
            drawn = points @ seen.motion.rotations[0, b].T + seen.motion.translations[0, b]
            shown = points @ matrix[:3, :3].T + matrix[:3, 3]
            assert np.linalg.norm(shown - drawn, axis=1).max() < 0.05, (degrees, body.name)
    # In the closed spread a leaf is one layer, whatever part of it is rolled.
    names = [strip["name"] for strip in page.evaluate("foldstage.layers(160)")["strips"]]
    assert names == ["page.left", "leaf.art", "page.right"]
