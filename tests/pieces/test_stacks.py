"""Random stacks of pieces: on the gutter, on each other's creases, to depth four."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from meshes.spread import Spread

Make = Callable[..., Spread]
DEEPEST = 4
OPENINGS = np.radians(np.arange(0, 181, 20.0))

# Folds of each kind on which another piece may stand, all shut when the book is closed: name, side,
# and whether it is a mountain for the reader of that side.
SITES = {
    "v-fold": [("ridge", "front", True), ("ridge", "back", False), ("left-base", "front", False)],
    "tent": [("ridge", "front", True), ("ridge", "back", False), ("right-base", "front", False)],
    "carrier": [("crease", "front", False), ("ridge", "front", True)],
    "platform": [("crease", "front", False)],
    "stair": [("tread-1-ridge", "front", True), ("tread-1-left-base", "front", False)],
    "mouth": [("upper-ridge", "front", True)],
    "box": [("lid", "front", True), ("foot-end", "front", True), ("left-base", "front", False)],
    "zigzag": [("ridge-1", "front", True), ("ridge-2", "front", False)],
}
# What folds flat on a mountain too, without further thought.
ON_MOUNTAINS = ("v-fold", "tent")


@st.composite
def stacks(draw: st.DrawFn) -> dict[str, dict[str, Any]]:
    """Tables of one to six pieces by name."""
    tables: dict[str, dict[str, Any]] = {}
    # Name of a crease, side, is it a mountain, its depth, how large pieces on it may be.
    open_sites = [("gutter", "front", False, 0, 1.0)]
    for k in range(draw(st.integers(1, 6))):
        name, side, mountain, depth, size = draw(st.sampled_from(open_sites))
        kind = draw(st.sampled_from(ON_MOUNTAINS if mountain else tuple(SITES)))
        table = {"kind": kind, "on": name, "side": side, **numbers(draw, kind, mountain, size)}
        if name == "gutter":
            table["at"] = draw(st.floats(60, 150))
        tables[f"piece-{k}"] = table
        if depth + 1 < DEEPEST:
            for fold, where, is_mountain in SITES[kind]:
                open_sites.append((f"piece-{k}.{fold}", where, is_mountain, depth + 1, size * 0.5))
    return tables


def numbers(draw: st.DrawFn, kind: str, mountain: bool, size: float) -> dict[str, Any]:
    def length(low: float, high: float) -> float:
        return draw(st.floats(low, high)) * size

    if kind == "v-fold":
        page = [draw(st.floats(20, 70)), draw(st.floats(20, 70))]
        # On a valley both panels reach further than their creases, on a mountain past them.
        panel = max(page) + draw(st.floats(10, 35)) + (page[0] - min(page) if mountain else 0)
        return {
            "page_angle": page,
            "panel_angle": min(panel, 175 - max(page)),
            "base": length(10, 25),
            "ridge": length(20, 50),
            "tabs": draw(st.sampled_from(["out", "under"])),
        }
    if kind == "tent":
        feet = [length(10, 25), length(10, 25)]
        panel = max(feet) + length(8, 25) + (feet[0] - min(feet) if mountain else 0)
        return {"distance": feet, "panel": panel, "width": length(15, 40)}
    if kind == "carrier":
        page = draw(st.sampled_from(["left", "right"]))
        return {
            "lies": page,
            "distance": length(30, 60),
            "flap": length(12, 28),
            "width": length(20, 40),
        }
    if kind == "platform":
        wide, distance = length(60, 80), length(10, 20)
        return {
            "distance": distance,
            "height": distance + 1 + length(2, 20),
            "width": length(15, 25),
            "outline": {"shape": "rectangle", "length": wide, "width": wide, "y": -wide / 2},
        }
    if kind == "mouth":
        cut = [length(10, 30), length(10, 30)]
        return {"reach": 45 * size, "length": 80 * size, "cut": cut, "upper": length(15, 30)}
    if kind == "box":
        distance = length(10, 20)
        ways = draw(st.sampled_from(["in", "out"]))
        return {
            "distance": distance,
            "height": length(10, 30),
            "width": length(15, 30),
            "foot_end": "out",
            "head_end": ways,
            "lid": "out",
        }
    if kind == "zigzag":
        return {
            "page_angle": draw(st.floats(20, 60)),
            "panel_angle": draw(st.floats(65, 100)),
            "base": length(10, 20),
            "levels": draw(st.integers(2, 4)),
            "pleat": draw(st.floats(20, 50)),
            "outline": {"shape": "rectangle", "length": 60 * size, "width": 30 * size},
        }
    near, far = length(15, 30), length(15, 30)
    step = {"at": 10 * size, "length": 30 * size, "distance": [near, far]}
    return {"reach": 45 * size, "length": 60 * size, "treads": [step]}


@settings(
    derandomize=True,
    max_examples=30,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(tables=stacks())
def test_random_stacks_stay_closed_and_keep_their_fold_directions(
    make: Make, tables: dict[str, dict[str, Any]]
) -> None:
    spread = make(**tables)
    motion = spread.solve(OPENINGS)
    assert motion.solved.all(), motion.findings
    assert motion.gaps.max() <= 1e-9
    signs = np.array([hinge.sign for hinge in spread.linkage.hinges])
    assert (motion.angles * signs >= -1e-6).all()
    # No sudden jump: less than 8 degrees for each degree of opening.
    assert np.abs(np.diff(motion.angles, axis=0)).max() < np.radians(8 * 20)
