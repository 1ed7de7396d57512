"""Lenses against published formulas and worked tables.

Field of view: the pinhole formula of any optics textbook. Depth of field: A. R. Greenleaf,
Photographic Optics (1950), pp. 25-27; circles of confusion 0.03, 0.02 and 0.011 mm are common
practice, no source. The figures were worked out apart from the code, with 10-digit arithmetic.
"""

from __future__ import annotations

import math

import pytest

from preview.shot import optics

FULL, APSC, INCH = (optics.SENSORS[k] for k in ("full-frame", "aps-c", "one-inch"))


@pytest.mark.parametrize(
    ("sensor", "focal", "across", "down"),
    [
        (FULL, 24, 73.740, 53.130),
        (FULL, 50, 39.598, 26.991),
        (FULL, 85, 23.913, 16.071),
        (APSC, 35, 37.115, 25.127),
        (APSC, 50, 26.449, 17.733),
        (INCH, 24, 30.753, 20.778),
        (INCH, 100, 7.552, 5.039),
    ],
)
def test_field_of_view_is_that_of_the_table(sensor, focal, across, down):
    assert math.degrees(optics.field_of_view(sensor.width, focal)) == pytest.approx(
        across, abs=5e-4
    )
    assert math.degrees(optics.field_of_view(sensor.height, focal)) == pytest.approx(down, abs=5e-4)


@pytest.mark.parametrize(
    ("frame", "across", "down"),
    [
        (FULL.crop(16 / 9), 39.598, 22.895),
        (FULL.crop(9 / 16), 15.377, 26.991),
        (FULL.upright().crop(9 / 16), 22.895, 39.598),
        (FULL.crop(1.0), 26.991, 26.991),
    ],
)
def test_a_frame_cut_from_the_sensor_sees_less(frame, across, down):
    assert math.degrees(optics.field_of_view(frame.width, 50)) == pytest.approx(across, abs=5e-4)
    assert math.degrees(optics.field_of_view(frame.height, 50)) == pytest.approx(down, abs=5e-4)


@pytest.mark.parametrize(
    ("width", "sensor", "focal", "distance"),
    [(420, FULL, 50, 633.33), (355.2, FULL, 50, 543.33), (355.2, APSC, 35, 564.02),
     (355.2, INCH, 24, 669.82)],
)  # fmt: skip
def test_distance_for_a_spread_is_that_of_the_thin_lens(width, sensor, focal, distance):
    found = optics.distance_for_width(width, sensor.width, focal)
    assert found == pytest.approx(distance, abs=5e-3)
    assert optics.covered_width(found, sensor.width, focal) == pytest.approx(width)


@pytest.mark.parametrize(
    ("focal", "stop", "confusion", "distance", "hyperfocal", "near", "far"),
    [
        (50, 8, 0.03, 1000, 10466.67, 916.422, 1100.352),
        (50, 2.8, 0.03, 1000, 29811.90, 969.067, 1032.972),
        (35, 8, 0.02, 800, 7691.25, 727.327, 888.808),
        (24, 4, 0.011, 800, 13114.91, 755.232, 850.410),
    ],
)
def test_depth_of_field_is_that_of_the_worked_examples(
    focal, stop, confusion, distance, hyperfocal, near, far
):
    sharp = optics.focus(focal, stop, confusion, distance)
    assert sharp.hyperfocal == pytest.approx(hyperfocal, abs=5e-3)
    assert sharp.near == pytest.approx(near, abs=5e-4)
    assert sharp.far == pytest.approx(far, abs=5e-4)
    assert sharp.depth == pytest.approx(far - near, abs=1e-3)


def test_at_the_hyperfocal_distance_everything_behind_is_sharp():
    sharp = optics.focus(50, 8, 0.03, optics.focus(50, 8, 0.03, 1000).hyperfocal)
    assert math.isinf(sharp.far)
    # Half the hyperfocal distance is the near limit there: Greenleaf, same pages.
    assert sharp.near == pytest.approx(sharp.hyperfocal / 2, rel=1e-6)


def test_a_subject_inside_the_focal_length_is_refused():
    with pytest.raises(ValueError, match="farther away than the focal length"):
        optics.focus(50, 8, 0.03, 40)
