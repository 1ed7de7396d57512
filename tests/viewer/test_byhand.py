"""Leaves, wheels and slides in the page: each stands where the solver puts it, at every share."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from meshes import spread
from preview.viewer.page import save
from preview.viewer.payload import payload
from tests import designs
from tests.designs import by_day

STAGES = np.radians(np.arange(181.0))
MOVED = {"two-seasons": "year", "moon-wheel": "sky-wheel", "fox-in-the-grass": "fox-strip"}

# Where it is taken hold of, where nothing lies over it; in the coordinates of its sheet, mm.
PULLED = {"year": (130.0, 30.0), "sky-wheel": (28.0, 0.0), "fox-strip": (52.0, 0.0)}


@pytest.fixture(
    scope="module",
    params=by_day(["moon-wheel", "fox-in-the-grass", "two-seasons"], ["fox-in-the-grass"]),
)
def moved(request: Any, tmp_path_factory: pytest.TempPathFactory) -> Any:
    """A spread, the name of what moves in it, and its page."""
    read = spread.read(designs.path(request.param))
    path = tmp_path_factory.mktemp("page") / f"{request.param}.html"
    save(path, payload(read, read.solve(STAGES)))
    return read, MOVED[request.param], path


def corners(body: Any) -> np.ndarray:
    """Corners of all facets of a body, shape (n, 3), body coordinates, mm."""
    return np.vstack(
        [
            np.insert(np.asarray(part.polygon.exterior.coords), 2, part.height, axis=1)
            for part in body.parts
        ]
    )


def test_poses_are_those_of_the_solver_at_every_share(open_page: Any, moved: Any) -> None:
    read, name, path = moved
    page = open_page(path.as_uri() + "#draft=0.25")
    for degrees, share in ((180.0, 0.0), (150.0, 0.37), (64.5, 0.5), (120.3, 1.0), (3.0, 0.8)):
        page.evaluate(f"foldstage.put('{name}', {share}); foldstage.open({degrees})")
        seen = page.evaluate("foldstage.poses()")
        motion = read.solve(np.radians([degrees]), {name: share})
        for b, body in enumerate(read.linkage.bodies):
            matrix = np.array(seen[body.name]).reshape(4, 4).T
            points = corners(body)
            solved = points @ motion.rotations[0, b].T + motion.translations[0, b]
            shown = points @ matrix[:3, :3].T + matrix[:3, 3]
            assert np.linalg.norm(shown - solved, axis=1).max() < 0.05


def test_the_slider_moves_it(open_page: Any, moved: Any) -> None:
    _, name, path = moved
    page = open_page(path.as_uri() + "#opening=150&view=overhead&draft=0.25")
    slider = page.locator(f"[data-hand='{name}']")
    page.evaluate(f"foldstage.put('{name}', 0.4)")
    assert float(slider.input_value()) == pytest.approx(0.4)
    slider.focus()
    page.keyboard.press("ArrowRight")
    assert page.evaluate("foldstage.shares")[name] == pytest.approx(0.405)
    slider.fill("0.9")
    assert page.evaluate("foldstage.shares")[name] == pytest.approx(0.9)
    assert slider.get_attribute("aria-valuetext") == "90 percent of the way"


def test_the_pointer_pulls_it(open_page: Any, moved: Any) -> None:
    read, name, path = moved
    page = open_page(path.as_uri() + "#opening=150&view=overhead&draft=0.25", width=900, height=620)
    (drive,) = read.linkage.drives
    number, part = read.linkage.place(drive.join.facet)
    body = read.linkage.bodies[number].name
    spot = PULLED[name]
    point = [*part.placement.apply(spot).tolist(), part.height]
    ways = []
    for share in (0.2, 0.28):
        page.evaluate(f"foldstage.put('{name}', {share})")
        ways.append(
            page.evaluate("([body, point]) => foldstage.bodyPoint(body, point)", [body, point])
        )
    page.evaluate(f"foldstage.put('{name}', 0.2)")
    page.mouse.move(*ways[0])
    page.mouse.down()
    page.mouse.move(*ways[1], steps=3)
    page.mouse.up()
    assert page.evaluate("foldstage.shares")[name] == pytest.approx(0.28, abs=0.02)
    assert page.evaluate("foldstage.opening") == pytest.approx(150)
