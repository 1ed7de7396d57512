"""What a pull has done is told beside the paper, not over it, and over nothing that lies there.

The judge of places is a search at every pixel.
"""

from __future__ import annotations

import json
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

from meshes import spread
from tests.pull.kinds import HEAD
from tests.required import NODE_MODULES, need

from .tugging import served

SOURCES = NODE_MODULES.parent / "source"
SCRIPT = """
import {{ freePlace }} from "{module}";
const rooms = {rooms};
const place = ({{ size, taken, within, near }}) => freePlace(size, taken, within, near);
console.log(JSON.stringify(rooms.map(place)));
"""
WIDE, HIGH, GAP = 120, 90, 10
SHEET = """[pieces.p]
kind = "flat"
on = "page.right"
x = 72
y = 105
outline = { shape = "ellipse", length = 150, width = 110 }
"""

# Where points of the right page, mm, are seen, pixels.
PLACES = "(all) => all.map((at) => foldstage.bodyPoint('page.right', [...at, 0]))"


def room(random: np.random.Generator) -> dict[str, Any]:
    corners = random.integers(-10, [WIDE, HIGH], (int(random.integers(1, 10)), 2))
    sizes = random.integers(5, 60, corners.shape)
    names = ("left", "top", "right", "bottom")
    boxes = [
        dict(zip(names, map(int, (*low, *(low + size))), strict=True))
        for low, size in zip(corners, sizes, strict=True)
    ]
    return {
        "size": random.integers(8, 60, 2).tolist(),
        "taken": boxes,
        "within": dict(zip(names, (0, 0, WIDE, HIGH), strict=True)),
        "near": random.integers(0, [WIDE, HIGH]).tolist(),
    }


def apart(place: tuple[float, float], size: list[int], near: list[int]) -> float:
    off = [max(p - n, 0, n - p - s) for p, s, n in zip(place, size, near, strict=True)]
    return float(np.hypot(*off))


def free(place: tuple[float, float], size: list[int], taken: list[dict], gap: int) -> bool:
    (left, top), (wide, tall) = place, size
    return not any(
        left < box["right"] + gap
        and box["left"] - gap < left + wide
        and top < box["bottom"] + gap
        and box["top"] - gap < top + tall
        for box in taken
    )


def test_the_nearest_free_place_is_taken() -> None:
    """Of random rooms: nothing is met, and no place with as much air is nearer."""
    need(shutil.which("node"), "the program node")
    random = np.random.default_rng(3)
    rooms = [room(random) for _ in range(60)]
    script = SCRIPT.format(module=SOURCES / "beside.js", rooms=json.dumps(rooms))
    words = ["node", "--no-warnings", "--input-type=module", "-e", script]
    run = subprocess.run(words, capture_output=True, text=True, check=True, timeout=60)
    places, full = json.loads(run.stdout), 0
    for one, found in zip(rooms, places, strict=True):
        size, taken, near = one["size"], one["taken"], one["near"]
        airy = [
            apart((left, top), size, near)
            for left in range(WIDE - size[0] + 1)
            for top in range(HIGH - size[1] + 1)
            if free((left, top), size, taken, GAP)
        ]
        if found is None:
            assert not airy
            full += 1
            continue
        place = (found["left"], found["top"])
        assert 0 <= place[0] <= WIDE - size[0]
        assert 0 <= place[1] <= HIGH - size[1]
        assert free(place, size, taken, 0)
        assert apart(place, size, near) <= min(airy, default=np.inf) + 1
    assert 5 < full < 45


@pytest.fixture
def sheet(tmp_path: Path) -> Iterator[tuple[Path, str]]:
    """A design of one sheet, and the address of its page."""
    file = tmp_path / "sheet.toml"
    file.write_text(HEAD + SHEET)
    with served(file, checked=True) as server:
        yield file, f"{server.address}#opening=180&draft=0.25"


@pytest.mark.night
def test_what_was_done_is_told_beside_the_paper(open_page: Any, sheet: tuple[Path, str]) -> None:
    file, address = sheet
    page = open_page(address, width=1600, height=800)
    page.click("#shape")
    page.focus("#picture")
    for _ in range(3):
        page.keyboard.press("+")  # the sheet is now wider than it is told beside a hand
    page.evaluate("foldstage.settled()")
    outline = outer(file)
    middle = outline.mean(axis=0)
    left = middle + 0.8 * (outline[outline[:, 0].argmin()] - middle)
    told = told_of_a_pull(page, left)
    x, y = told["x"], told["y"]
    covered = shapely.box(x, y, x + told["width"], y + told["height"])
    assert covered.disjoint(shapely.Polygon(page.evaluate(PLACES, outer(file).tolist())))
    page.click("#undo")


@pytest.mark.night
def test_a_small_window_tells_it_over_no_paper_where_there_is_room(
    open_page: Any, sheet: tuple[Path, str]
) -> None:
    file, address = sheet
    page = open_page(address, width=390, height=844)
    page.click("#shape")
    page.evaluate("foldstage.settled()")
    told = told_of_a_pull(page, outer(file).mean(axis=0))
    width, height = 148, 210
    corners = [[x, y] for x in (0, width) for y in (0, height)]
    seen = page.evaluate(PLACES, corners)
    top, bottom = min(y for _, y in seen), max(y for _, y in seen)
    assert told["y"] + told["height"] < top or told["y"] > bottom
    assert told["x"] >= 0
    assert told["x"] + told["width"] <= 390
    page.click("#undo")


def told_of_a_pull(page: Any, at: np.ndarray) -> Any:
    """Pull the paper at a point of the right page, mm, and where it is told what that has done."""
    ((x, y),) = page.evaluate(PLACES, [at.tolist()])
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 12, y, steps=3)
    page.wait_for_selector("#tug:visible")
    page.mouse.up()
    page.wait_for_selector("#tug.done")
    return page.locator("#tug").bounding_box()


def outer(file: Path) -> np.ndarray:
    """The outline of the piece p on the right page, shape (n, 2), mm."""
    body = next(one for one in spread.read(file).linkage.bodies if one.name == "page.right")
    part = next(one for one in body.parts if one.sheet.piece == "p")
    return np.array(part.polygon.exterior.coords)
