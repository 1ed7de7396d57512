"""What errors of the hand do, against plane geometry and spherical trigonometry.

Law of cosines for sides of a spherical triangle: cos c = cos a cos b + sin a sin b cos C
(I. Todhunter, Spherical Trigonometry, chapter IV). Plane triangles by Euclid, Elements, book II,
propositions 12 and 13.
"""

from __future__ import annotations

import numpy as np
import pytest

from meshes.exact.linear import linear
from meshes.exact.network import Network, networks
from meshes.exact.rows import sources
from meshes.exact.settle import Settled, stands_open
from meshes.motion.result import Motion
from meshes.motion.solve import solve
from tests.specimens import Pile, tent, v_fold

OPENINGS = np.radians([0.0, 20, 50, 90, 130, 160])


def sound(pile: Pile, openings: np.ndarray) -> tuple[Network, Motion, np.ndarray]:
    """The one network of a pile, its motion, and the poses of its bodies."""
    (network,) = networks(pile.sheets, pile.joins, pile.linkage)
    motion = solve(pile.linkage, openings)
    assert motion.solved.all()
    return network, motion, motion.matrices


def errors(network: Network, given: dict[tuple[str, str], float]) -> np.ndarray:
    """A row of errors, by the name of the fold or the glued facet and the way."""
    found = np.zeros(len(sources(network)))
    left = dict(given)
    for e, source in enumerate(sources(network)):
        name = network.seams[network.spots[source.spot].seams[0]].name
        found[e] = left.pop((name, source.way), 0.0)
    assert not left
    return found


def tent_of(right: float, left: float, right_side: float, left_side: float) -> Pile:
    pile = Pile()
    tent(pile, "t", pile.gutter, 60.0, (right, left), (right_side, left_side))
    return pile


def outwards(network: Network, side: str) -> tuple[str, float]:
    """The way, and its sign, that moves the glue of a tent's foot away from the gutter."""
    seam = next(seam for seam in network.seams if seam.name == f"t.tab-{side}")
    out = np.array([1.0 if side == "right" else -1.0, 0.0])
    along, across = seam.frames[0][:2, 0] @ out, seam.frames[0][:2, 1] @ out
    return ("along", np.sign(along)) if abs(along) > abs(across) else ("across", np.sign(across))


def test_a_foot_glued_along_the_gutter_opens_that_gap_at_every_opening():
    network, _, poses = sound(tent_of(30, 35, 50, 45), OPENINGS)
    way = "across" if outwards(network, "right")[0] == "along" else "along"
    answer = linear(network, OPENINGS, poses)
    e = int(np.flatnonzero(errors(network, {("t.tab-right", way): 1.0}))[0])
    # All folds are parallel, so that none moves paper along them: 1 mm stays 1 mm.
    for stage in range(len(OPENINGS)):
        gaps = np.linalg.norm(answer.gaps(stage)[..., e], axis=1)
        assert gaps == pytest.approx(np.ones(5), abs=1e-6)
    # Five seams share it, and they can turn against each other besides.
    given = np.linalg.norm(answer.gives[..., e], axis=2)
    assert (given <= 0.2 + 1e-9).all()


def test_a_side_that_is_longer_by_e_leaves_a_gap_e_closed_and_none_half_open():
    pile = tent_of(30, 35, 50, 45)
    network, _, poses = sound(pile, OPENINGS)
    way, _ = outwards(network, "left")
    answer = linear(network, OPENINGS, poses)
    e = int(np.flatnonzero(errors(network, {("t.tab-left", way): 1.0}))[0])
    # Closed, what lies on one line must be equally long both ways round: 30 + 50 = 35 + 45. Half
    # open, a triangle with the given sides always exists.
    gaps = [np.linalg.norm(answer.gaps(s)[..., e], axis=1).max() for s in range(len(OPENINGS))]
    assert gaps[0] == pytest.approx(1.0, abs=1e-6)
    assert gaps[1:] == pytest.approx([0.0] * 5, abs=1e-6)
    # A fold that moves by e makes one side longer and the other shorter: twice that.
    e = int(np.flatnonzero(errors(network, {("t.ridge", "moved"): 1.0}))[0])
    assert np.linalg.norm(answer.gaps(0)[..., e], axis=1) == pytest.approx(2 * np.ones(5), abs=1e-6)


@pytest.mark.parametrize("e", [0.4, 1.5])
def test_a_tent_that_is_too_short_tears_by_what_its_feet_are_farther_apart(e):
    openings = np.radians([140.0, 160, 168, 172, 176, 180])
    pile = tent_of(30, 30, 30, 30)
    network, motion, poses = sound(pile, openings)
    way, sign = outwards(network, "right")
    row = errors(network, {("t.tab-right", way): sign * e})
    settled = Settled(network, poses, motion.angles, np.tile(row, (6, 1)), openings < 0)
    feet = np.sqrt(30**2 + (30 + e) ** 2 - 2 * 30 * (30 + e) * np.cos(openings))
    expected = np.maximum(feet - 60, 0)
    assert expected[0] == 0 < expected[-1]
    # Two areas of glue and three folds lie on the straight line between the feet and share it, but
    # for what the tabs are lifted.
    assert settled.gives.sum(axis=1) == pytest.approx(expected, rel=0.02, abs=2e-3)


def standing(pile: Pile, given: dict[tuple[str, str], float], upto: float) -> float:
    """How far it stays open, degrees, if paper gives nothing."""
    openings = np.radians(np.linspace(0, upto, 121))
    network, motion, poses = sound(pile, openings)
    row = errors(network, given)
    return float(np.degrees(stands_open(network, openings, poses, motion.angles, row, 1e-4)))


@pytest.mark.parametrize("degrees", [0.6, -0.6])
@pytest.mark.parametrize(
    "sectors",
    [((45, 45), (60, 60)), ((30, 30), (45, 45)), ((50, 60), (70, 60)), ((35, 50), (65, 50))],
)
def test_an_unequal_v_fold_stays_open_as_spherical_trigonometry_says(sectors, degrees):
    pile, error = Pile(), np.radians(degrees)
    page, panel = np.radians(sectors[0]), np.radians(sectors[1])
    v_fold(pile, "v", pile.gutter, 80, tuple(page), tuple(panel))
    given = {("v.ridge", "turned"): error, ("v.ridge", "moved"): 30 * np.tan(error)}
    # The ridge, 60 mm long, is turned about the apex, so its middle moves with it. Seen from the
    # printed face the right panel lies right: a ridge turned to the left leaves it more.
    panel = panel + np.array([error, -error])
    # The feet can't be nearer to each other than the sectors beside the ridge differ.
    cosines = [(np.cos(panel[0] - panel[1]), page[0], page[1])]
    for here, there in ((0, 1), (1, 0)):
        # The panel lies on its page beyond its foot; the ridge is still that far from the other.
        cosines.append((np.cos(panel[there]), page[here] + panel[here], page[there]))
    ends = [
        (known - np.cos(one) * np.cos(two)) / (np.sin(one) * np.sin(two))
        for known, one, two in cosines
    ]
    # What would be met only beyond shut, at a cosine above one, stops nothing.
    expected = np.degrees(max(np.arccos(end) for end in ends if abs(end) <= 1))
    assert standing(pile, given, 30.0) == pytest.approx(expected, rel=0.02)
