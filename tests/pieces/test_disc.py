"""A flat disc on legs: two halves on one hinge, which by symmetry stays over the crease."""

from __future__ import annotations

import numpy as np
import pytest

from meshes.pieces.blossom.fan import Fan, _flap
from meshes.pieces.blossom.petals import PetalShape

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


def test_between_a_flap_and_the_first_petal_of_its_sheet_two_degrees_stay_free():
    """A flap of 8 mm at 20 mm from the middle would turn by 21.8°; six times 57.6° leave 14.4°."""
    fan = Fan((np.radians(57.6),) * 6, (1,) * 6)
    (span,) = fan.sheets()
    (_, _, tip, *_) = _flap(fan, PetalShape(30, 20), span).exterior.coords
    behind = np.degrees(np.arctan2(tip[1], tip[0]) - fan.edges[0]) % 360
    ahead = np.degrees(np.arctan2(tip[1], tip[0]) - fan.edges[span.stop]) % 360
    assert sorted([min(behind, 360 - behind), min(ahead, 360 - ahead)]) == pytest.approx([2, 12.4])


@pytest.mark.parametrize(("angle", "count"), [(57.6, 1), (57.8, 2)])
def test_a_sheet_leaves_room_for_its_flap_of_twelve_degrees_and_two_more(angle, count):
    """6 × 57.6 + 12 + 2 = 359.6 degrees lie flat in one sheet, 6 × 57.8 + 12 + 2 = 360.8 do not."""
    assert len(Fan((np.radians(angle),) * 6, (1,) * 6).sheets()) == count
