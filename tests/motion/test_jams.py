"""Where a piece of any kind jams, the fold that is blamed is at the end of its range there."""

from __future__ import annotations

import re
from typing import Any

import numpy as np
import pytest

from meshes import spread
from meshes.design import Design, SpreadSettings
from meshes.design.model import PAPERS
from meshes.measure import Units
from meshes.pieces import KINDS
from meshes.spread import Spread

STAGES = np.radians(np.arange(0, 181, 3.0))
EACH = 3
# The solver looks for the last pose to a few thousandths of a degree.
_BEFORE_RAD = float(np.radians(0.01))


def build(kind: str, table: dict[str, Any]) -> Spread:
    piece = KINDS[kind].model_validate({"kind": kind, "on": "gutter", **table}, context=Units())
    settings = SpreadSettings()
    papers = {name: settings.paper(name) for name, settings in PAPERS.items()}
    return spread.build(Design("test", "test", "mm", settings, papers, {"p": piece}, {}))


def numbers(kind: str, random: np.random.Generator) -> dict[str, Any]:
    """Sizes that do not care whether the piece folds flat."""

    def two(low: float, high: float) -> list[float]:
        return random.uniform(low, high, 2).tolist()

    tabs = str(random.choice(["out", "under"]))
    if kind == "tent":
        return {"distance": two(10, 40), "panel": two(15, 50), "width": 30, "tabs": tabs}
    if kind in ("v-fold", "zigzag"):
        sizes = {"page_angle": two(25, 75), "panel_angle": two(30, 110), "base": 15, "tabs": tabs}
        if kind == "v-fold":
            return {**sizes, "ridge": 40}
        shape = {"shape": "rectangle", "length": 60, "width": 30}
        return {**sizes, "levels": 3, "pleat": float(random.uniform(20, 50)), "outline": shape}
    if kind == "box":
        # Walls joined by a lid alone are free, and reach too little on one side.
        return {
            "distance": float(random.uniform(10, 30)),
            "height": float(random.uniform(8, 30)),
            "width": 20,
            "foot_end": "none",
            "head_end": "none",
            "lid": str(random.choice(["in", "out"])),
        }
    sizes = {"hang_at": 15, "distance": 10, "length": float(random.uniform(6, 10)), "width": 8}
    return {"angle": float(random.uniform(40, 58)), "length": 45, "legs": sizes}


@pytest.mark.parametrize("kind", ["v-fold", "tent", "zigzag", "box", "blossom"])
def test_the_fold_named_at_a_jam_is_at_its_end(kind: str) -> None:
    random = np.random.default_rng(8)
    for _ in range(EACH):
        paper = build(kind, numbers(kind, random))
        motion = paper.solve(STAGES)
        stuck = [finding for finding in motion.findings if finding.kind == "jam"]
        told = {finding.kind for finding in motion.findings}
        assert motion.solved.all() or told & {"jam", "cannot-assemble"}
        for finding in stuck:
            assert finding.cause in ("pulled", "flat", "shut", "leans", "taut")
            _check_end(paper, finding, motion.openings[motion.solved])


def _check_end(paper: Spread, finding: Any, reached: np.ndarray) -> None:
    closing = bool(finding.opening < reached.min() + 1e-9)
    assert ("cannot close" if closing else "cannot open") in finding.reason
    # Just before the end, the fold is all but at its limit; next to a turning point by a root.
    near = finding.opening + (_BEFORE_RAD if closing else -_BEFORE_RAD)
    motion = paper.solve(np.array([near]))
    names = [hinge.name for hinge in paper.linkage.hinges]
    angle = abs(float(motion.angles[0, names.index(finding.fold)]))
    if finding.cause in ("pulled", "flat"):
        assert angle < 0.05
    elif finding.cause == "shut":
        assert np.pi - angle < 0.05


def test_a_flower_that_stops_below_its_first_opening_cannot_open() -> None:
    """Its middle meets the crease: cos psi = 2 sin(angle / 2), a leg's triangle (law of cosines).

    Derived in `meshes/pieces/blossom/rules.py`; the first pose is sought at 120°.
    """
    legs = {"hang_at": 15, "distance": 10, "length": 5.6, "width": 8}
    motion = build("blossom", {"angle": 40, "length": 45, "legs": legs}).solve(STAGES)
    (finding,) = motion.findings
    lowest = np.degrees(np.arccos((15**2 + 10**2 - 5.6**2) / (2 * 15 * 10)))
    least = np.degrees(np.arccos(2 * np.sin(np.radians(20))))
    assert np.degrees(finding.opening) == pytest.approx(180 - 2 * (least - lowest), abs=1e-3)
    assert finding.opening < np.radians(120)
    assert (finding.cause, "cannot open further" in finding.reason) == ("leans", True)
    assert "0.00 mm" not in finding.reason
    # The middle is a corner of every petal; it is the pages that it meets.
    assert re.match(r"p\.petal-\d is pressed against page\.(left|right) at ", finding.reason)
