"""What no sheet can be made of is refused by its key, and the nearest that works is not.

Limits are those of plane geometry: where lines meet, what covers what, Kawasaki's theorem. Where a
limit is the program's own choice, its row says so.
"""

from __future__ import annotations

from typing import Any

import pytest
import tomlkit

from meshes import spread
from meshes.errors import DesignError

from .test_pieces import BOX, MOUTH, STAIR, STRAP, TENT, V

IN = {"foot_end": "in", "head_end": "none", "lid": "in"}
STEPS = STAIR["treads"]
ON_RIGHT = {"shape": "rectangle", "length": 120, "width": 20, "x": 40, "y": -60}
WIDE = {"shape": "rectangle", "length": 120, "width": 140, "y": -60}
WHEEL = {"kind": "wheel", "on": "page.right", "x": 80, "y": 100, "radius": 30}
LEAF_PAGE = {"kind": "flyleaf", "height": 150}
PIVOT = V | {"kind": "pivot", "arm": 50}
PLAIN_V = {key: V[key] for key in V if key != "ridge"}


def disc(across: float) -> dict[str, Any]:
    return {"shape": "ellipse", "length": across, "width": across, "y": -across / 2}


# name: what is refused, the key that is blamed, the nearest that is made
CASES: dict[str, tuple[dict[str, Any], str, dict[str, Any]]] = {
    "place beyond the crease": (TENT | {"at": 210.1}, "at", TENT | {"at": 210}),
    "box of two loose walls": (
        BOX | {"foot_end": "none", "head_end": "none", "lid": "none"},
        "lid",
        BOX | {"foot_end": "none", "head_end": "none", "lid": "in"},
    ),
    # Closed, a lid that folds in hangs as deep as a wall is far from the crease; 1 mm: our choice.
    "box too low for its sinking lid": (
        BOX | IN | {"height": 20.9},
        "height",
        BOX | IN | {"height": 21},
    ),
    "window in a wall that is not there": (
        BOX | IN | {"holes": {"head-end-left": [disc(5)]}},
        "holes.head-end-left",
        BOX | {"holes": {"right": [{"shape": "ellipse", "length": 5, "y": 12}]}},
    ),
    "stair on one side only": (STAIR | {"outline": ON_RIGHT}, "outline", STAIR | {"outline": WIDE}),
    "tread beyond the liner": (
        STAIR | {"treads": [*STEPS[:2], STEPS[2] | {"at": 75.1}]},
        "treads.3",
        STAIR | {"treads": [*STEPS[:2], STEPS[2] | {"at": 75}]},
    ),
    "tread before the liner": (
        STAIR | {"treads": [STEPS[0] | {"at": -0.1}]},
        "treads.1",
        STAIR | {"treads": [STEPS[0] | {"at": 0}]},
    ),
    "treads over each other": (
        STAIR | {"treads": [STEPS[0], STEPS[1] | {"at": 39.9}]},
        "treads.2",
        STAIR | {"treads": [STEPS[0], STEPS[1] | {"at": 40}]},
    ),
    "treads over each other, upper first": (
        STAIR | {"treads": [STEPS[1] | {"at": 39.9}, STEPS[0]]},
        "treads.2",
        STAIR | {"treads": [STEPS[1] | {"at": 40}, STEPS[0]]},
    ),
    # Lips under 1 mm: our choice.
    "lip too small": (MOUTH | {"lower": 0.9}, "lower", MOUTH | {"lower": 1}),
    "no lip": (MOUTH | {"upper": 0, "lower": 0}, "upper", MOUTH | {"upper": 0}),
    # Laid up and down, 34 + 10 - 44 leads from one foot to the other; 0.05 mm are our choice.
    "strap that misses its foot": (
        STRAP | {"panels": [34, 10, 44.06]},
        "panels",
        STRAP | {"panels": [34, 10, 44.04]},
    ),
    "strap with too few directions": (
        STRAP | {"directions": ["valley"]},
        "directions",
        STRAP | {"directions": ["mountain", "valley"]},
    ),
    # 180° are a straight line.
    "creases that make no V": (
        V | {"page_angle": [90, 90], "panel_angle": 95},
        "page_angle",
        V | {"page_angle": [88, 90], "panel_angle": 95},
    ),
    # On a valley aR + bR = aL + bL (Kawasaki): bR = 39.9 + 20 - 60 is none.
    "V-fold without a right panel": (
        V | {"page_angle": [20, 60], "panel_angle": 39.9},
        "panel_angle",
        V | {"page_angle": [20, 60], "panel_angle": 45},
    ),
    "V-fold without a shape": (PLAIN_V, "outline", PLAIN_V | {"ridge": 1}),
    # The overlay must cover half of the radius on all sides: our choice.
    "overlay that bares the wheel": (
        WHEEL | {"overlay": disc(29.9)},
        "overlay",
        WHEEL | {"overlay": disc(30.3)},
    ),
    "window without an overlay": (
        WHEEL | {"window": disc(5)},
        "window",
        WHEEL | {"window": disc(5), "overlay": disc(56)},
    ),
    "flyleaf over the head of the page": (
        LEAF_PAGE | {"from_foot": 60.1},
        "height",
        LEAF_PAGE | {"from_foot": 60},
    ),
    "paper of a part that is not there": (
        PIVOT | {"arm_paper": "tin"},
        "paper",
        PIVOT | {"arm_paper": "clear-film"},
    ),
}


def made(folder, table):
    file = folder / "one.toml"
    file.write_text(tomlkit.dumps({"title": "one", "pieces": {"piece": table}}))
    return spread.read(file)


@pytest.mark.parametrize("name", CASES)
def test_it_is_refused_by_its_key_and_the_nearest_that_works_is_made(name, tmp_path):
    wrong, key, right = CASES[name]
    with pytest.raises(DesignError) as caught:
        made(tmp_path, wrong)
    (mistake,) = caught.value.mistakes
    assert (mistake.piece, mistake.key) == ("piece", key), str(mistake)
    assert any(sheet.piece == "piece" for sheet in made(tmp_path, right).sheets)


def test_a_flyleaf_of_a_drawn_edge_is_that_of_the_same_size(tmp_path):
    """A rectangle on its base: width runs up the gutter, length away from it."""
    drawn = {"shape": "rectangle", "length": 90, "width": 150}
    for foot in ({}, {"from_foot": 20}):
        sized = made(tmp_path, LEAF_PAGE | {"width": 90} | foot)
        edged = made(tmp_path, {"kind": "flyleaf", "edge": drawn} | foot)
        one, other = (found.sheets[1].outline for found in (sized, edged))
        assert one.symmetric_difference(other).area < 1e-6
        low = foot.get("from_foot", 30.0)
        assert one.bounds == pytest.approx((0, low, 90, low + 150))
