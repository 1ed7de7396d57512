"""Whether ruffles of more than six sectors jam, decided by an independent rigid-body engine.

MuJoCo: E. Todorov, T. Erez and Y. Tassa, A physics engine for model-based control, IROS 2012. What
the engine is told is in `spread_engine`. Both ruffles have legs so short that their hanging folds
would reach the crease if the sectors between leg and crease stayed in one plane.
"""

from __future__ import annotations

import numpy as np
import pytest

from meshes.pieces.blossom.fan import Fan
from meshes.pieces.blossom.petals import PetalShape
from meshes.pieces.blossom.ruffle import Ruffle
from meshes.pieces.blossom.rules import LegSize
from tests.outside.spread_engine import Engine
from tests.outside.test_random_motions import WITHIN_DEG, WITHIN_MM
from tests.pieces.blossoms import flower, read

LENGTH, PARTING = 40.0, 80 / 3


def ruffle(folder, angle, top, foot, length):
    legs = LegSize(top, foot, length, 1.5, 0.0, 6.0, 8.0)
    fan = Fan((np.radians(angle),) * 10, (1,) * 10)
    assert Ruffle(fan, PetalShape(LENGTH, PARTING)).room(legs) < 0
    keys = f"legs = {{ length = {length}, hang_at = {top}, distance = {foot}, width = 3 }}"
    return read(folder, flower(f"sectors = 10\nangle = {angle}\n{keys}"))


def settled(linkage, opening_deg, angles, off_deg):
    """Where the engine comes to rest from a pose that is disturbed fold by fold."""
    engine = Engine(linkage, float(np.radians(opening_deg)), corners=True)
    off = np.radians(np.random.default_rng(0).uniform(-off_deg, off_deg, len(angles)))
    ends = np.array([sorted((0.0, hinge.sign * np.pi)) for hinge in linkage.hinges])
    engine.put(np.clip(angles + off, *ends.T))
    return engine.settle(), engine.slip


def test_ten_sectors_bend_out_of_the_way_and_are_not_warned_of(tmp_path):
    made = ruffle(tmp_path, 42.7, 14.4, 11.1, 21.7)
    assert not made.warnings
    motion = made.solve(np.radians([0.0, 30.0, 90.0, 150.0, 180.0]))
    assert motion.solved.all()
    assert motion.findings == ()
    for k, opening in ((1, 30), (2, 90), (3, 150)):
        found, slip = settled(made.linkage, opening, motion.angles[k], 3)
        assert np.degrees(np.abs(found - motion.angles[k])).max() < WITHIN_DEG
        assert slip < WITHIN_MM


@pytest.mark.night
def test_ten_sectors_that_stop_are_told_by_their_motion_and_have_no_pose_beyond_it(tmp_path):
    made = ruffle(tmp_path, 42.6, 14.0, 13.9, 17.7)
    motion = made.solve(np.radians([110.0, 115.0, 150.0]))
    assert motion.solved.tolist() == [False, True, True]
    (jam,) = [one for one in motion.findings if one.kind == "jam"]
    assert 110 < np.degrees(jam.opening) < 115
    # Beyond, the engine finds rest only in quite another pose, which the solver tells of too.
    other, _ = settled(made.linkage, 110, motion.angles[1], 0)
    assert np.degrees(np.abs(other - motion.angles[1])).max() > 20
    assert "two-branches" in {one.kind for one in motion.findings}
