"""A flat disc on legs: two halves on one hinge, which by symmetry stays over the crease."""

from __future__ import annotations

import numpy as np
import pytest

from .blossoms import flower, read

LEGS = (14.0, 9.0, 7.0)


@pytest.fixture(scope="module")
def disc(tmp_path_factory):
    top, foot, length = LEGS
    legs = f"legs = {{ hang_at = {top}, distance = {foot}, length = {length} }}"
    return read(tmp_path_factory.mktemp("disc"), flower(f"angle = 60\n{legs}"))


def angles(spread, openings_deg):
    motion = spread.solve(np.radians(openings_deg))
    assert motion.solved.all()
    assert motion.findings == ()
    names = [hinge.name.removeprefix("bloom.") for hinge in spread.linkage.hinges]
    return dict(zip(names, np.degrees(motion.angles).T, strict=True))


def test_a_flat_disc_stays_symmetric_and_rests_on_the_crease(disc):
    openings = np.array([60.0, 120.0, 178.0, 179.0, 179.5, 179.8, 179.9, 180.0])
    found = angles(disc, openings)
    for one, other in (
        ("fold-3", "fold-6"),
        ("leg-right-lower", "leg-left-lower"),
        ("leg-right-upper", "leg-left-upper"),
    ):
        np.testing.assert_allclose(found[one], found[other], atol=1e-4)
    # With its middle on the crease a half, its leg and the page are a triangle of three lengths:
    # by the law of cosines it rises by gamma over the page, and so the fold is known.
    top, foot, length = LEGS
    gamma = np.degrees(np.arccos((top**2 + foot**2 - length**2) / (2 * top * foot)))
    rise = gamma + 90 - openings[2:] / 2
    np.testing.assert_allclose(found["fold-3"][2:], -2 * rise, atol=1e-4)


def test_its_poses_do_not_depend_on_the_openings_that_are_asked_for(disc):
    alone, swept = angles(disc, [180.0]), angles(disc, [0.0, 90.0, 177.0, 179.3, 180.0])
    for name, path in alone.items():
        assert path[0] == pytest.approx(swept[name][-1], abs=1e-6)
