"""Paper glued over the foot of other paper, which then rises through it: found, and only there.

The judge gives paper its thickness: where what rises from a fold, as the solver has it, cuts the
plane in which a layer of the same body lies, it looks whether that layer has paper there. Fold
directions, with which the check tells it, play no part in that.
"""

from __future__ import annotations

import numpy as np
import pytest
from shapely.geometry import LineString

from meshes import check, spread
from meshes.check.over_folds import over_folds

from .gallery import art, design, rect, tent, v_fold
from .random_spreads import random_design

STAGES = np.radians([60.0, 90.0, 120.0])
# What rises leaves the plane of a layer over its foot within the first, mm; the layer must reach
# so far to all sides of there, for so long.
NEAR_MM, RIM_MM, COUNTS_MM = 2.0, 1.0, 0.5


def case_of(folder, text):
    file = folder / "design.toml"
    file.write_text(text)
    made = spread.read(file)
    return made, check.case_of(made, made.solve(STAGES))


def told(case):
    """Pairs of pieces, the upper and the rising one, and by how much at most."""
    found = {}
    for one in over_folds(case):
        pair = one.piece, one.parts[1].partition(".")[0]
        found[pair] = max(found.get(pair, 0.0), one.amount)
    return found


def cut_line(corners, height):
    """Where a plane z = height cuts a flat outline, shape (n, 3), as a line; None if nowhere."""
    ahead = np.roll(corners, -1, axis=0)
    off, then = corners[:, 2] - height, ahead[:, 2] - height
    at = np.flatnonzero(off * then < 0)
    if len(at) < 2:
        return None
    share = (off[at] / (off[at] - then[at]))[:, None]
    return LineString((corners[at, :2] * (1 - share) + ahead[at, :2] * share)[[0, -1]])


def judged(made, case):
    """Pairs of pieces of which the second rises through a layer of the first."""
    places = {
        part.id: (k, part) for k, body in enumerate(made.linkage.bodies) for part in body.parts
    }
    motion, found = case.motion, set()
    for sheet in made.sheets:
        for crossing in sheet.crossings:
            ends = [f"{sheet.piece}.{name}" for name in (crossing.left, crossing.right)]
            for lower, rising in (ends, ends[::-1]):
                (body, foot), (other, panel) = places[lower], places[rising]
                if body == other:
                    continue
                fold = LineString(foot.placement.apply([crossing.fold.start, crossing.fold.end]))
                outline = np.asarray(panel.polygon.exterior.coords)[:-1]
                for stage in np.flatnonzero(motion.solved).tolist():
                    turns, shifts = motion.rotations[stage], motion.translations[stage]
                    world = outline @ turns[other][:, :2].T + shifts[other]
                    local = (world - shifts[body]) @ turns[body] + [0, 0, foot.height]
                    for layer in made.linkage.bodies[body].parts:
                        line = cut_line(local, layer.height) if layer is not foot else None
                        if line is None:
                            continue
                        # What leans over its own foot pinches paper that ends at the fold.
                        inside = line.intersection(layer.polygon.buffer(-RIM_MM))
                        if inside.intersection(fold.buffer(NEAR_MM)).length > COUNTS_MM:
                            found.add((layer.sheet.piece, sheet.piece))
    return found


def random_feet(seed):
    """Random pieces that stand close to each other, and art that was laid between them later."""
    random = np.random.default_rng(seed)
    pieces = [random_design(seed, most=3)]
    for k in range(2):
        x, y = random.uniform(12, 70), random.uniform(60, 150)
        side = random.choice(["left", "right"])
        x0 = -x - 14 if side == "left" else x
        pieces.append(art(f"leaf-{k}", f"page.{side}", rect(x0, y, x0 + 14, y + 18)))
    return "\n".join(pieces)


@pytest.mark.parametrize(
    "seeds", [range(0, 8), pytest.param(range(8, 60), marks=pytest.mark.night)]
)
def test_paper_over_feet_is_told_where_thick_paper_meets_it(seeds, tmp_path):
    met = 0
    for seed in seeds:
        made, case = case_of(tmp_path, random_feet(seed))
        wrong, found = judged(made, case), told(case)
        assert wrong <= set(found), seed
        assert {pair for pair, amount in found.items() if amount > NEAR_MM + RIM_MM} <= wrong, seed
        met += len(wrong)
    assert met > len(seeds) / 4


def feet(first, second):
    """A V-fold, and one 5 mm nearer to the foot of the page whose tabs reach under the first."""
    both = {
        "back": v_fold("back", 66, 82, 60, 150, foot=90, points="down"),
        "front": v_fold("front", 66, 82, 60, 146, foot=90, points="down"),
    }
    return design(both[first], both[second])


def test_what_is_first_in_the_file_lies_under_what_comes_later(tmp_path):
    made, case = case_of(tmp_path, feet("back", "front"))
    (one,) = over_folds(case)
    assert (one.severity, one.question, one.piece) == ("problem", "makeable", "front")
    # The feet lie 4 mm apart along the gutter; the tabs of the front are longer than that.
    assert one.amount == pytest.approx(4 * np.sin(np.radians(66)), abs=0.01)
    assert one.advice.startswith("put the table of front before that of back")
    assert judged(made, case) == {("front", "back")}
    made, case = case_of(tmp_path, feet("front", "back"))
    assert over_folds(case) == []
    assert judged(made, case) == set()


def test_art_over_the_foot_of_a_tent_belongs_under_it(tmp_path):
    mat = art("mat", "page.right", rect(10, 80, 60, 120))
    _, case = case_of(tmp_path, design(tent("t", 30, 40, 30, 100), mat))
    (one,) = over_folds(case)
    assert set(one.parts) == {"mat.art", "t.right", "t.right-tab", "t.right-base"}
    assert one.advice.startswith("put the table of mat before that of t")
