"""V-folds against spherical trigonometry.

The four creases of a V-fold meet in one point, so their directions are the corners of a spherical
quadrilateral. Law of cosines for sides: cos c = cos a cos b + sin a sin b cos C (I. Todhunter,
Spherical Trigonometry, chapter IV). A V-fold that folds flat obeys the alternating-sum condition of
Kawasaki and Justin (T. C. Hull, Project Origami, activity on flat-foldable vertices).
"""

from __future__ import annotations

import numpy as np
import pytest

from meshes.motion.solve import solve
from tests.specimens import Pile, v_fold

# Shut, the creases of both pages coincide and the triangles are flat: see the test of its own.
OPENINGS = np.radians([15.0, 30, 60, 90, 120, 150, 180])
SWEEP = np.radians(np.arange(181.0))

# Angles in degrees: page sectors (right, left), panel sectors (right, left).
SETS = {
    "45 60": ((45, 45), (60, 60)),
    "60 90": ((60, 60), (90, 90)),
    "30 45": ((30, 30), (45, 45)),
    "asymmetric 50 60": ((50, 60), (70, 60)),
    "asymmetric 35 50": ((35, 50), (65, 50)),
    "asymmetric 66 58": ((66, 58), (82, 90)),
}


def v_linkage(page, panel):
    pile = Pile()
    v_fold(pile, "v", pile.gutter, 80, np.radians(page), np.radians(panel))
    return pile.linkage


def between_creases(page, opening):
    """Angle between the two glue creases."""
    a, b = page
    return np.arccos(np.cos(a) * np.cos(b) + np.sin(a) * np.sin(b) * np.cos(opening))


def ridge_direction(page, panel, opening):
    """Unit vector at the given angles from both glue creases, on the reader's side."""
    (a, b), (p, q) = page, panel
    half = opening / 2
    right = np.array([np.sin(half), 0.0, np.cos(half)])
    along = np.array([0.0, 1.0, 0.0])
    one = np.cos(a) * along + np.sin(a) * right
    two = np.cos(b) * along + np.sin(b) * right * [-1, 1, 1]
    cos = one @ two
    flat = ((np.cos(p) - cos * np.cos(q)) * one + (np.cos(q) - cos * np.cos(p)) * two) / (
        1 - cos**2
    )
    rise = np.sqrt(max(1 - flat @ flat, 0.0) / (1 - cos**2))
    return flat + rise * np.cross(one, two)


def corner(opposite, one, two):
    """Angle of a spherical triangle from its sides: the law of cosines in half angles.

    tan²(C/2) = sin(s - a) sin(s - b) / (sin s sin(s - c)) keeps its digits near 0 and 180°.
    """
    half = (opposite + one + two) / 2
    over = np.sin(half - one) * np.sin(half - two)
    under = np.sin(half) * np.sin(half - opposite)
    return 2 * np.arctan2(np.sqrt(max(over, 0)), np.sqrt(max(under, 0)))


@pytest.mark.parametrize("name", SETS)
def test_angles_and_ridge_at_seven_openings(name):
    page, panel = (np.radians(pair) for pair in SETS[name])
    linkage = v_linkage(*SETS[name])
    motion = solve(linkage, OPENINGS)
    named = {hinge.name: k for k, hinge in enumerate(linkage.hinges)}
    ridge = linkage.hinges[named["v.ridge"]]
    assert motion.solved.all()
    for k, opening in enumerate(OPENINGS):
        u = ridge_direction(page, panel, opening)
        gamma = corner(between_creases(page, opening), *panel)
        feet = [corner(np.arccos(u[1]), a, b) for a, b in zip(page, panel, strict=True)]
        expected = {"v.foot-right": -feet[0], "v.foot-left": -feet[1], "v.ridge": np.pi - gamma}
        for fold, angle in expected.items():
            assert motion.angles[k, named[fold]] == pytest.approx(angle, abs=1e-9)
        solved = motion.rotations[k, ridge.bodies[0]] @ ridge.frames[0][:, 0]
        np.testing.assert_allclose(solved, u, atol=1e-9)


@pytest.mark.parametrize(
    ("opening", "phi", "gamma", "foot"),
    [
        (30, 103.4371, 24.4000, 163.1015),
        (60, 98.5819, 48.1897, 145.1880),
        (90, 90.0000, 70.5288, 125.2644),
        (120, 77.3335, 90.0000, 102.6665),
        (150, 61.3106, 104.1237, 78.0776),
        (180, 45.0000, 109.4712, 54.7356),
    ],
)
def test_published_precision_of_the_45_60_fold(opening, phi, gamma, foot):
    """Rounded values worked out with the formulas above and confirmed by products of rotations."""
    linkage = v_linkage((45, 45), (60, 60))
    motion = solve(linkage, np.radians([opening]))
    named = {hinge.name: k for k, hinge in enumerate(linkage.hinges)}
    angles = np.degrees(motion.angles[0])
    assert 180 - angles[named["v.ridge"]] == pytest.approx(gamma, abs=6e-5)
    assert -angles[named["v.foot-right"]] == pytest.approx(foot, abs=6e-5)
    ridge = linkage.hinges[named["v.ridge"]]
    u = motion.rotations[0, ridge.bodies[0]] @ ridge.frames[0][:, 0]
    assert np.degrees(np.arctan2(u[2], u[1])) == pytest.approx(phi, abs=6e-5)


@pytest.mark.parametrize("name", SETS)
def test_shut_the_ridge_lies_where_the_sectors_add_up(name):
    """Flat, angles in the plane of the page just add: the ridge is at a + b from the gutter."""
    page, panel = SETS[name]
    linkage = v_linkage(page, panel)
    motion = solve(linkage, np.array([0.0]))
    named = {hinge.name: k for k, hinge in enumerate(linkage.hinges)}
    folded = {"v.foot-right": -180, "v.foot-left": -180, "v.ridge": 180}
    for fold, angle in folded.items():
        assert np.degrees(motion.angles[0, named[fold]]) == pytest.approx(angle, abs=1e-7)
    hinge = linkage.hinges[named["v.ridge"]]
    tip = motion.rotations[0, hinge.bodies[0]] @ (60 * hinge.frames[0][:, 0])
    total = np.radians(page[0] + panel[0])
    np.testing.assert_allclose(tip, [0, 60 * np.cos(total), 60 * np.sin(total)], atol=1e-7)


def test_run_down_the_page_it_is_the_mirror_image():
    up = v_linkage((45, 45), (60, 60))
    down = v_linkage((135, 135), (60, 60))
    one, two = solve(up, OPENINGS), solve(down, OPENINGS)
    np.testing.assert_allclose(two.angles[:, :2], -np.pi - one.angles[:, :2], atol=1e-9)
    np.testing.assert_allclose(two.angles[:, 2], -one.angles[:, 2], atol=1e-9)


def test_on_a_ridge_the_host_dihedral_takes_the_place_of_the_opening():
    pile = Pile()
    v_fold(pile, "host", pile.gutter, 80, np.radians((45, 45)), np.radians((60, 60)))
    site = pile.site("host", "ridge")
    page, panel = np.radians((45, 45)), np.radians((60, 60))
    v_fold(pile, "v", site, 30, page, panel, 12, 20)
    linkage = pile.linkage
    motion = solve(linkage, OPENINGS)
    named = {hinge.name: k for k, hinge in enumerate(linkage.hinges)}
    host = motion.angles[:, named["host.ridge"]]
    for k in range(len(host)):
        gamma = corner(between_creases(page, np.pi + host[k]), *panel)
        assert motion.angles[k, named["v.ridge"]] == pytest.approx(np.pi - gamma, abs=1e-9)


@pytest.mark.parametrize(
    ("page", "panel", "stop"),
    [
        # The right foot folds onto its page where the left triangle is drawn straight.
        ((50, 60), (40, 75), np.arccos(np.cos(np.radians(75)) / np.sin(np.radians(60)))),
        # The mirror image of the same design.
        ((60, 50), (75, 40), np.arccos(np.cos(np.radians(75)) / np.sin(np.radians(60)))),
    ],
)
def test_a_fold_that_cannot_fold_flat_jams_where_a_foot_is_folded_over(page, panel, stop):
    """With foot and page in line, gutter, ridge and the other crease form a triangle.

    Its sides are 50 + 40 = 90, 60 and 75 degrees, and its angle at the gutter is the opening.
    """
    motion = solve(v_linkage(page, panel), SWEEP)
    (finding,) = motion.findings
    assert finding.kind == "jam"
    assert finding.fold == ("v.foot-right" if page[0] == 50 else "v.foot-left")
    assert np.degrees(finding.opening) == pytest.approx(np.degrees(stop), abs=0.01)
    np.testing.assert_array_equal(motion.solved, stop < SWEEP)


@pytest.mark.parametrize(("page", "panel"), [((70, 70), (60, 60)), ((65, 75), (65, 55))])
def test_panels_too_narrow_for_the_open_page_tear(page, panel):
    """The glue creases may be no farther apart than both panels laid out flat."""
    a, b = np.radians(page)
    most = np.radians(sum(panel))
    stop = np.arccos((np.cos(most) - np.cos(a) * np.cos(b)) / (np.sin(a) * np.sin(b)))
    motion = solve(v_linkage(page, panel), SWEEP)
    (finding,) = motion.findings
    assert finding.kind == "jam"
    assert finding.fold == "v.ridge"
    assert finding.gap > 1
    assert np.degrees(finding.opening) == pytest.approx(np.degrees(stop), abs=0.01)
    np.testing.assert_array_equal(motion.solved, stop > SWEEP)
