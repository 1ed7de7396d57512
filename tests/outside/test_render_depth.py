"""Depth of field of pictures against the thin lens.

The disc over which a point out of focus spreads, from similar triangles behind a thin lens: any
optics textbook; limits of sharpness from A. R. Greenleaf, Photographic Optics (1950), pp. 25-27.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely

from preview.drawing.render import draw
from preview.drawing.render.ray.depth import blur
from preview.drawing.scene import Scene, Surface
from preview.shot import optics
from preview.shot.camera import from_angles

DOWN = from_angles((0.0, 0.0, 0.0), -np.pi / 2, np.pi / 2 - 1e-6, 500.0, np.radians(3))
SIZE = (96, 72)


def test_the_disc_is_as_large_as_the_circle_of_confusion_where_sharpness_ends():
    """Two formulas that were derived apart: at Greenleaf's near and far limits the disc is c."""
    for focal, stop, confusion, focused in ((50, 2.8, 0.03, 900), (35, 8, 0.02, 600)):
        limits = optics.focus(focal, stop, confusion, focused)
        for end in (limits.near, limits.far):
            found = optics.blur_circle(focal, stop, focused, end)
            # Greenleaf's hyperfocal distance neglects a focal length beside the distance.
            assert found == pytest.approx(confusion, rel=0.01)


def test_the_focal_length_is_that_of_the_thin_lens():
    """1 / f = 1 / v + 1 / d; at infinity the field is the pinhole formula's."""
    focal = optics.focal_length(math.radians(27), 24, 700)
    behind = 24 / (2 * math.tan(math.radians(13.5)))
    assert 1 / focal == pytest.approx(1 / behind + 1 / 700)
    far = optics.focal_length(optics.field_of_view(24, 50), 24, 1e9)
    assert far == pytest.approx(50, rel=1e-6)


@pytest.mark.parametrize("distance", [300.0, 460.0, 800.0])
def test_the_disc_in_the_picture_is_that_on_the_sensor(distance):
    side, stop = 24.0, 2.8
    focal = optics.focal_length(DOWN.field, side, DOWN.distance)
    camera = replace(DOWN, aperture=focal / stop)
    on_sensor = optics.blur_circle(focal, stop, DOWN.distance, distance)
    found = blur(camera, np.array([distance]), 1000)[0]
    assert found * side / 1000 == pytest.approx(on_sensor, rel=1e-9)


def card(height, left=-200.0):
    polygon = shapely.box(left, -200, 200, 200)
    return Surface("card", polygon, np.eye(3), np.array([0, 0, height]), "#000000", "#000000")


def picture(height, aperture):
    """A black card with an edge in the middle, over a white one far below."""
    white = replace(card(-60.0), front="#c0c0c0", name="ground")
    scene = Scene((card(height, left=0.0), white), table=-80.0)
    return draw(scene, replace(DOWN, aperture=aperture), SIZE, "ray", "still").astype(float)


def test_an_edge_out_of_focus_is_as_wide_as_the_disc():
    """Across an edge light rises as the disc is covered: all of it within one diameter, half of
    it within 0.404 of that (the half-area chords of a circle).
    """
    height, aperture = 40.0, 40.0
    wide = blur(replace(DOWN, aperture=aperture), np.array([DOWN.distance - height]), SIZE[1])[0]
    shown = picture(height, aperture)[30:42].mean(axis=(0, 2)) / 255
    light = np.where(shown <= 0.04045, shown / 12.92, ((shown + 0.055) / 1.055) ** 2.4)
    rise = (light - light.min()) / (light[20:30].mean() - light.min())
    quarter, three = (np.interp(-level, -rise[20:76], np.arange(20, 76)) for level in (0.75, 0.25))
    assert wide > 8
    assert three - quarter == pytest.approx(0.404 * wide, rel=0.2)


def test_what_is_in_focus_stays_sharp():
    sharp, through = picture(0.0, 0.0), picture(0.0, 20.0)
    assert np.abs(sharp - through)[:, 40:60].max() <= 30
    edge = np.abs(np.diff(through.mean(axis=(0, 2)))).max()
    assert edge > 0.7 * np.abs(np.diff(sharp.mean(axis=(0, 2)))).max()
