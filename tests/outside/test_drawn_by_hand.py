"""Mechanisms drawn to a hundredth of a millimetre close, open and obey the spherical formulas.

A V-fold is a spherical four-bar. With page sectors a and panel sectors b on both sides, the angle
delta between the glue creases and the dihedral angle gamma at the ridge follow from the spherical
law of cosines (any textbook of spherical trigonometry):
cos delta = cos² a + sin² a cos theta, cos gamma = (cos delta - cos² b) / sin² b.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from meshes import spread

DESIGN = """title = "drawn"
[spread]
page = "A5"
[pieces.fold]
kind = "drawn"
file = "fold.svg"
at = {at}
"""


def direction(degrees):
    return np.array([math.cos(math.radians(degrees)), math.sin(math.radians(degrees))])


def turned(points, degrees, shift):
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return points @ np.array([[c, s], [-s, c]]) + shift


def path(role, points, name, digits, closed=True):
    """A path on a page 300 mm high, y up turned into y down, as a drawing program rounds it."""
    steps = " L ".join(f"{round(x, digits)} {round(300 - y, digits)}" for x, y in points)
    return f'<path class="{role}" id="{role}-{name}" d="M {steps}{" Z" if closed else ""}"/>'


def v_fold(a, b, digits, blunder=0.0):
    """An SVG of a V-fold beside the open spread on which its tabs land."""
    apex, gutter, long = np.array([60.0, 60.0]), np.array([220.0, 80.0]), 40.0
    edge = {side: 90 - side * b for side in (1, -1)}
    tabs = {
        side: np.array(
            [
                apex,
                apex + long * direction(edge[side]),
                apex + (long - 4) * direction(edge[side] - side * 14),
                apex + 8 * direction(edge[side] - side * 14),
            ]
        )
        for side in (1, -1)
    }
    outline = [*tabs[1][[0, 3, 2, 1]], apex + 55 * direction(90), *tabs[-1][[1, 2, 3]]]
    body = [path("cut", outline, "edge", digits)]
    body.append(path("mountain", [apex, apex + 55 * direction(90)], "ridge", digits, False))
    places = []
    for side, name in ((1, "right"), (-1, "left")):
        body.append(path("valley", [apex, tabs[side][1]], name, digits, False))
        body.append(path("glue", tabs[side], name, digits))
        turn = 90 - side * a - edge[side] + (blunder if side > 0 else 0.0)
        places.append(path("place", turned(tabs[side] - apex, turn, gutter), name, digits))
    line = path("gutter", [gutter, gutter + np.array([0, 100])], "line", digits, False)
    inside = "".join(body)
    under = "".join(places)
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="300mm" '
        f'viewBox="0 0 400 300"><g id="sheet-fold">{inside}</g>'
        f'<g id="spread">{under}{line}</g></svg>'
    )


def motion_of(folder, svg, openings):
    (folder / "fold.svg").write_text(svg)
    (folder / "fold.toml").write_text(DESIGN.format(at=80))
    found = spread.read(folder / "fold.toml")
    return found, found.solve(openings)


@pytest.mark.parametrize("digits", [1, 2, 3])
@pytest.mark.parametrize(("a", "b"), [(45, 60), (60, 90), (30, 45)])
def test_a_v_fold_drawn_by_hand_moves_as_the_formula_says(a, b, digits, tmp_path):
    openings = np.radians([0.0, 30, 60, 90, 120, 150, 180])
    found, motion = motion_of(tmp_path, v_fold(a, b, digits), openings)
    assert motion.solved.all()
    ridge = [hinge.name for hinge in found.linkage.hinges].index("fold.ridge")
    a, b = math.radians(a), math.radians(b)
    delta = np.cos(a) ** 2 + np.sin(a) ** 2 * np.cos(openings)
    gamma = np.arccos(np.clip((delta - np.cos(b) ** 2) / np.sin(b) ** 2, -1, 1))
    drawn = np.pi - motion.angles[:, ridge]
    # Rounding turns a 40 mm crease by up to 0.7 of its last digit.
    allowed = 4 * 0.7 * 10**-digits / 40
    assert np.abs(drawn - gamma).max() < allowed


def test_what_is_drawn_wrong_is_not_made_right(tmp_path):
    """Four degrees are no slip of the hand: the left and the right side then close differently."""
    openings = np.radians([0.0, 5, 30, 90, 150, 180])
    _, motion = motion_of(tmp_path, v_fold(45, 60, 3, blunder=4.0), openings)
    assert not motion.solved.all()
    assert motion.findings
