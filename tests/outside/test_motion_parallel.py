"""Folds parallel to the gutter against plane geometry.

A tent is a planar four-bar linkage in the section square to the gutter: law of cosines in two
triangles over the line between the glue lines. A carrier is a parallelogram: opposite sides stay
parallel (Euclid, Elements I.33-34), which makes its crease open as the gutter does. Change-point
condition for folding flat: shortest + longest = sum of the others (Chang, Lin and Wu, A note on
Grashof's theorem, J. Marine Science and Technology 13(4), 2005, 239-248).
"""

from __future__ import annotations

import numpy as np
import pytest

from meshes.motion.solve import solve
from tests.specimens import Pile, box_on, carrier, tent

OPENINGS = np.radians([0.0, 30, 60, 90, 120, 150, 180])
SWEEP = np.radians(np.arange(181.0))


def solved(build, openings=OPENINGS):
    pile = Pile()
    build(pile)
    linkage = pile.linkage
    motion = solve(linkage, openings)
    named = {hinge.name: motion.angles[:, k] for k, hinge in enumerate(linkage.hinges)}
    return linkage, motion, named


def point(linkage, motion, facet, place):
    """Where a point (x, y) of a facet's sheet is at every stage."""
    body, part = linkage.place(facet)
    local = np.append(part.placement.apply(np.asarray(place, float)), 0.0)
    return motion.rotations[:, body] @ local + motion.translations[:, body]


def four_bar(feet, legs, opening):
    """Angle at the ridge, and ridge position by intersecting two circles."""
    half = opening / 2
    one = feet[0] * np.array([np.sin(half), np.cos(half)])
    two = feet[1] * np.array([-np.sin(half), np.cos(half)])
    apart = np.linalg.norm(two - one)
    cos = (legs[0] ** 2 + legs[1] ** 2 - apart**2) / (2 * legs[0] * legs[1])
    along = (legs[0] ** 2 - legs[1] ** 2 + apart**2) / (2 * apart)
    way = (two - one) / apart
    rise = np.sqrt(max(legs[0] ** 2 - along**2, 0))
    return np.arccos(np.clip(cos, -1, 1)), one + along * way + rise * np.array([way[1], -way[0]])


@pytest.mark.parametrize(
    ("feet", "legs"),
    [
        ((30, 30), (40, 40)),
        ((20, 30), (40, 30)),
        ((25, 40), (45, 30)),
        ((40, 25), (25, 40)),
        ((12, 12), (60, 60)),
    ],
)
def test_tents_follow_the_law_of_cosines(feet, legs):
    linkage, motion, named = solved(lambda pile: tent(pile, "t", pile.gutter, 60, feet, legs))
    assert motion.solved.all()
    for k, opening in enumerate(OPENINGS[1:], start=1):
        gamma, ridge = four_bar(feet, legs, opening)
        # The law of cosines has a square root at 180°.
        assert named["t.ridge"][k] == pytest.approx(np.pi - gamma, abs=1e-7)
        place = point(linkage, motion, "t.right", (8 + legs[1], 5))
        np.testing.assert_allclose(place[k, [0, 2]], ridge, atol=1e-6)
        total = named["t.foot-right"][k] + named["t.foot-left"][k] - (np.pi - named["t.ridge"][k])
        # Convex: opening, ridge and both foot dihedrals fill a full turn.
        assert total == pytest.approx(opening - 2 * np.pi, abs=1e-9)
    reach = point(linkage, motion, "t.right", (8 + legs[1], 5))[0]
    np.testing.assert_allclose(reach[[0, 2]], [0, feet[0] + legs[0]], atol=1e-7)


@pytest.mark.parametrize(
    ("opening", "height", "gamma", "foot"),
    [
        (0, 70.0, 0.0, 180.0),
        (30, 68.2169, 22.3860, 153.8070),
        (60, 63.0618, 44.0486, 127.9757),
        (90, 55.1249, 64.0555, 102.9722),
        (120, 45.4138, 81.0107, 79.4946),
        (150, 35.3379, 92.8453, 58.5774),
        (180, 26.4575, 97.1808, 41.4096),
    ],
)
def test_the_30_40_tent_in_figures(opening, height, gamma, foot):
    """Rounded values worked out with the formulas above."""
    linkage, motion, named = solved(
        lambda pile: tent(pile, "t", pile.gutter, 60, (30, 30), (40, 40)), np.radians([opening])
    )
    assert point(linkage, motion, "t.right", (48, 0))[0, 2] == pytest.approx(height, abs=6e-5)
    assert 180 - np.degrees(named["t.ridge"][0]) == pytest.approx(gamma, abs=6e-5)
    assert -np.degrees(named["t.foot-left"][0]) == pytest.approx(foot, abs=6e-5)


def test_a_carrier_is_a_parallelogram_whose_crease_opens_as_the_gutter():
    linkage, motion, named = solved(lambda pile: carrier(pile, "c", pile.gutter, 60, 40, 25), SWEEP)
    np.testing.assert_allclose(named["c.foot-right"], SWEEP - np.pi, atol=1e-9)
    np.testing.assert_allclose(named["c.foot-left"], SWEEP - np.pi, atol=1e-9)
    np.testing.assert_allclose(named["c.ridge"], np.pi - SWEEP, atol=1e-9)
    half = SWEEP / 2
    right = np.column_stack([np.sin(half), np.cos(half)])
    left = right * [-1, 1]
    ridge = point(linkage, motion, "c.right", (8 + 40, 0))[:, [0, 2]]
    # The fourth corner of a parallelogram is the vector sum of its neighbours.
    np.testing.assert_allclose(ridge, 40 * right + 25 * left, atol=1e-9)
    body, _ = linkage.place("c.right")
    page = motion.rotations[:, 0]
    moved = np.einsum("sij,skj->sik", motion.rotations[:, body], page)
    np.testing.assert_allclose(moved, np.tile(moved[0], (181, 1, 1)), atol=1e-9)


@pytest.mark.parametrize(
    ("feet", "legs", "expected"),
    [((30, 20), (40, 35), 45.2), ((30, 30), (40, 28), 40.05), ((25, 40), (40, 30), None)],
)
def test_a_tent_that_cannot_fold_flat_jams(feet, legs, expected):
    """The shorter half is folded over where foot + leg, the other foot and leg form a triangle."""
    short = int(feet[0] + legs[0] > feet[1] + legs[1])
    reach, foot, leg = feet[short] + legs[short], feet[1 - short], legs[1 - short]
    exact = np.degrees(np.arccos((reach**2 + foot**2 - leg**2) / (2 * reach * foot)))
    if expected is not None:
        assert exact == pytest.approx(expected, abs=0.05)
    _, motion, _ = solved(lambda pile: tent(pile, "t", pile.gutter, 60, feet, legs), SWEEP)
    (finding,) = motion.findings
    assert finding.kind == "jam"
    assert finding.fold == ("t.foot-right", "t.foot-left")[short]
    assert np.degrees(finding.opening) == pytest.approx(exact, abs=0.01)
    np.testing.assert_array_equal(motion.solved, np.radians(exact) < SWEEP)


@pytest.mark.parametrize(("foot", "leg"), [(40, 30), (40, 22), (50, 45)])
def test_a_tent_with_short_legs_tears(foot, leg):
    """Both legs in one line span the chord between the glue lines."""
    exact = 2 * np.arcsin(leg / foot)
    _, motion, _ = solved(
        lambda pile: tent(pile, "t", pile.gutter, 60, (foot, foot), (leg, leg)), SWEEP
    )
    (finding,) = motion.findings
    assert finding.kind == "jam"
    assert finding.fold == "t.ridge"
    assert np.degrees(finding.opening) == pytest.approx(np.degrees(exact), abs=0.01)
    # At the end of the travel, 178.5° open, the chord is longer than both legs by this.
    missing = 2 * foot * np.sin(np.radians(178.5) / 2) - 2 * leg
    assert finding.gap == pytest.approx(missing, abs=0.05)
    np.testing.assert_array_equal(motion.solved, exact > SWEEP)


def test_a_box_stands_upright_at_every_opening():
    """Its front's middle crease is shared by two rectangles, so its walls stay parallel to it."""
    e, h = 20.0, 35.0
    linkage, motion, named = solved(
        lambda pile: box_on(pile, "b", pile.gutter, 60, e, h, 30), SWEEP
    )
    assert motion.solved.all()
    half = SWEEP / 2
    foot = point(linkage, motion, "b.wall-right", (0, 0))
    top = point(linkage, motion, "b.wall-right", (0, h))
    np.testing.assert_allclose(foot[:, 0], e * np.sin(half), atol=1e-9)
    np.testing.assert_allclose(foot[:, 2], e * np.cos(half), atol=1e-9)
    np.testing.assert_allclose(top[:, 0], e * np.sin(half), atol=1e-9)
    np.testing.assert_allclose(top[:, 2], h + e * np.cos(half), atol=1e-9)
    ridge = point(linkage, motion, "b-lid.right", (8 + e, 0))
    np.testing.assert_allclose(ridge[:, 2], h + 2 * e * np.cos(half), atol=1e-9)
    np.testing.assert_allclose(named["b.foot-right"], -(np.pi - half), atol=1e-9)
    np.testing.assert_allclose(named["b-lid.top"], np.pi - SWEEP, atol=1e-9)
    np.testing.assert_allclose(named["b-lid.edge-left"], half, atol=1e-9)
    middle = point(linkage, motion, "b.back-left", (30 + e, 0))
    np.testing.assert_allclose(middle[:, 1], 90 + e * np.cos(half), atol=1e-9)
