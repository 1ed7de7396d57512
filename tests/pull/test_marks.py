"""Where a number is drawn on the flat sheet: there the paper measures what the file says."""

from __future__ import annotations

import math
import tomllib

import numpy as np
import pytest

from meshes import spread
from meshes.pull.marks import Mark, figures, marks
from meshes.pull.sketch import Sketch
from tests.pull.kinds import FILE, HEAD, KINDS

# What shows on no flat paper: how far a hand moves something, a base that the pages' angle hides
# under the panels, sizes that an outline takes the place of, and how an arm stands on its panel.
NOWHERE = {
    "travel": "slide",
    "outline.base": "v-fold zigzag",
    "reach": "mouth",
    "length": "mouth",
    "arm_turn": "pivot",
}


def of(text: str) -> tuple[Sketch, dict[str, Mark]]:
    sketch = Sketch(tomllib.loads(text), spread.read(FILE, text=text))
    return sketch, {".".join(map(str, path[2:])): m for path, m in marks(sketch, "p").items()}


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_marked_is_as_long_as_the_file_says(kind: str) -> None:
    """By Pythagoras between the ends of the line, by the law of cosines at the corner."""
    sketch, found = of(HEAD + KINDS[kind])
    shown = len(figures(sketch.spread, "p"))
    for number in sketch.numbers("p"):
        name = ".".join(map(str, number.path[2:]))
        if number.path[:2] != ("pieces", "p") or not number.given:
            continue
        if kind in NOWHERE.get(name, "").split():
            assert name not in found
            continue
        mark = found[name]
        assert mark.figure < shown
        if mark.kind == "length":
            one, two = mark.points
            far = float(np.linalg.norm(two - one))
            assert far == pytest.approx(abs(number.value), rel=0.02, abs=0.12), name
        elif mark.kind == "angle":
            one, corner, two = mark.points
            a, b, c = math.dist(corner, one), math.dist(corner, two), math.dist(one, two)
            angle = math.degrees(math.acos((a * a + b * b - c * c) / (2 * a * b)))
            # A line has two ends: the angle, or what is missing to a straight one.
            turn = abs(number.value) % 180
            assert min(abs(angle - turn), abs(180 - angle - turn)) < 0.05, name
        else:
            assert mark.points.shape[1] == 2
            assert len(mark.points) >= 2


def test_a_line_that_measures_nothing_is_never_drawn() -> None:
    """Lengths of a tent, as its sheet and the page have them."""
    sketch, found = of(HEAD + KINDS["tent"])
    sheet, ground = figures(sketch.spread, "p")
    assert (sheet.piece, ground.piece) == ("p", "page")
    assert {name: (m.kind, m.figure) for name, m in found.items() if name in ("at", "panel")} == {
        "at": ("length", 1),
        "panel": ("length", 0),
    }
    # The gutter is x = 0 on the page, and `at` is measured along it from its foot.
    assert sorted(found["at"].points[:, 1]) == pytest.approx([0, 90])
    # The panel reaches from its ridge to its glue crease, and not over the tab.
    ridge = [points for points, _ in sheet.folds]
    assert any(np.allclose(found["panel"].points[:, 0].min(), p[:, 0].min()) for p in ridge)


def test_the_turn_of_flat_art_is_seen_on_the_art_and_not_far_off_where_lines_meet():
    """Its upright meets the gutter some 260 mm above its middle, beyond the page."""
    _, found = of(HEAD + KINDS["flat"])
    mark = found["turn"]
    assert mark.points[1] == pytest.approx([70, 90])
    assert np.linalg.norm(mark.points - mark.points[1], axis=1).max() < 250
    ends = mark.points[[0, 2]] - mark.points[1]
    turns = np.degrees(np.arctan2(ends[:, 1], ends[:, 0]))
    assert sorted(turns) == pytest.approx([90, 105])
