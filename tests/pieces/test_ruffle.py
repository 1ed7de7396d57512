"""Ruffles on legs: two of their folds hang down, and the legs must lift them off the crease.

The lengths are judged by solved motions, which know nothing of the rule that gives them.
"""

from __future__ import annotations

import re

import numpy as np
import pytest

from meshes.pieces.blossom.fan import Fan
from meshes.pieces.blossom.petals import PetalShape
from meshes.pieces.blossom.ruffle import Ruffle
from meshes.pieces.blossom.rules import LegSize

from .blossoms import flower, read

OPENINGS = np.radians([0.0, 30.0, 60.0, 120.0, 180.0])


def solved(folder, keys):
    spread = read(folder, flower(keys))
    return spread, spread.solve(OPENINGS)


@pytest.mark.parametrize("angle", [61, 66, 72])
def test_a_ruffle_with_the_usual_legs_closes_and_opens_all_the_way(tmp_path, angle):
    spread, motion = solved(tmp_path, f"angle = {angle}")
    assert not spread.warnings
    assert motion.findings == ()
    assert motion.solved.all()
    # No pleat is shut while the book is open.
    petals = [k for k, hinge in enumerate(spread.linkage.hinges) if "leg" not in hinge.name]
    assert np.degrees(np.abs(motion.angles[2:, petals])).max() < 150


def test_legs_a_little_shorter_than_the_least_jam_and_a_little_longer_do_not(tmp_path):
    fan, shape = Fan((np.radians(66),) * 6, (1,) * 6), PetalShape(40, 40 * 2 / 3)
    legs = LegSize(40 / 3, 80 / 9, 8, 6, 0, 8, 8)
    least = Ruffle(fan, shape).least_length(legs, 0.0)
    # Flat open, the carrying petals at psi: the hanging fold from the law of cosines on the sphere.
    psi = np.radians(np.arange(0.0, 45.0, 0.01))
    lateral = np.radians(33)
    turn = np.arctan2(np.cos(lateral) * np.sin(psi), np.sin(lateral))
    size = np.hypot(np.sin(lateral), np.cos(lateral) * np.sin(psi))
    hang = np.sin(np.arccos(np.cos(np.radians(66)) / size) - turn) * shape.parting
    foot = legs.top * np.cos(psi) - legs.foot
    by_hand = np.sqrt((hang + legs.top * np.sin(psi)) ** 2 + foot**2).min()
    # The petals beside that fold touch the pages a little earlier than its end the crease.
    assert by_hand < least < by_hand + 1
    for length, opens in ((least - 0.2, False), (least + 0.2, True)):
        spread, motion = solved(tmp_path, f"angle = 66\nlegs = {{ length = {length} }}")
        assert motion.solved.all() == opens
        assert bool(motion.findings) != opens
        if not opens:
            # The corner that meets the page is one of a petal beside a hanging fold.
            reason = next(one.reason for one in motion.findings if one.kind == "jam")
            assert re.match(r"bloom\.petal-[1346] is pressed against page\.(left|right)", reason)
        assert any("so the ruffle jams" in str(one) for one in spread.warnings) != opens


@pytest.mark.parametrize(
    ("count", "angle", "legs", "fold"),
    [(6, 61, (20.0, 10.0, 14.0), 26.0), (10, 36.5, (23, 4.6, 27), 35), (14, 26, (12, 6, 15), 17.5)],
)
def test_no_ruffle_has_more_room_than_its_closed_book_leaves(count, angle, legs, fold):
    """Closed, all lies flat on the page: from the crease out a foot, a leg to the carrying petal,
    back along that to the middle, and out along a fold a quarter of all paper away from it. These
    three, little more than a full turn, have their least room there.
    """  # fmt: skip
    top, foot, length = legs
    fan, shape = Fan((np.radians(angle),) * count, (1,) * count), PetalShape(1.6 * fold, fold)
    room = Ruffle(fan, shape).room(LegSize(top, foot, length, 4, 0, 8, 8))
    quarter = np.radians(count * angle / 4)
    assert room == pytest.approx(foot + length - top + fold * np.cos(quarter))


def test_the_cure_of_a_ruffle_that_jams_opens_it_all_the_way(tmp_path):
    spread = read(tmp_path, flower("angle = 64\nlegs = { length = 8 }"))
    (text,) = [str(one) for one in spread.warnings]
    for cure in text.partition("try: ")[2].split(", or "):
        keys = cure.replace(" and ", "\n")
        if not keys.startswith("legs"):
            keys += "\nlegs.length = 8"
        mended, motion = solved(tmp_path, f"angle = 64\n{keys}")
        assert not mended.warnings
        assert motion.findings == ()
        assert motion.solved.all()


def test_a_ruffle_that_no_legs_can_lift_has_no_cure_in_its_warning(tmp_path):
    spread = read(tmp_path, flower("angle = 80"))
    (text,) = [str(one) for one in spread.warnings]
    assert "try:" not in text


@pytest.mark.night
def test_a_ruffle_whose_pleats_are_all_shut_at_its_end_is_told_to_jam(tmp_path):
    """It rests at no other opening than its last, from which there is nowhere to go."""
    _, motion = solved(tmp_path, "angle = 66\nlegs = { length = 7.18 }")
    assert not motion.solved.all()
    jams = [one for one in motion.findings if one.kind == "jam"]
    assert ["cannot open further" in one.reason for one in jams] == [True]
