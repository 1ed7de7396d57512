"""Outlines from path data and from the transparency of images, against known areas."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image, ImageDraw
from shapely.geometry import Point

from meshes import spread
from meshes.errors import DesignError
from meshes.traced import from_image, from_path

ART = '[pieces.art]\nkind = "flat"\non = "page.left"\noutline = {{ {} }}\n'


def read(folder, outline):
    path = folder / "a.toml"
    path.write_text('title = "a"\n' + ART.format(outline))
    return spread.read(path)


def test_a_path_is_scaled_to_its_length_and_stands_on_its_foot():
    shape = from_path("M0,0 L10,0 L10,20 L0,20 Z", 50)
    assert shape.bounds == pytest.approx((-12.5, 0, 12.5, 50))


def test_path_data_runs_down_the_page_as_in_svg():
    """SVG 2, section 8.2: the y axis of the initial coordinate system points down."""
    shape = from_path("M-10,0 L10,0 L0,30 Z", 30)
    assert shape.contains(Point(0, 1))
    assert not shape.contains(Point(-8, 1))
    assert shape.contains(Point(-8, 29))


def test_a_circle_of_four_arcs_has_the_area_of_a_circle():
    data = "M 20 0 A 20 20 0 0 1 0 20 A 20 20 0 0 1 -20 0 A 20 20 0 0 1 0 -20 A 20 20 0 0 1 20 0 Z"
    shape = from_path(data, 40)
    # Chords within 0.05 mm of the arc lie inside it; the area lacks less than length × 0.05.
    assert np.pi * 400 - 0.05 * 2 * np.pi * 20 < shape.area <= np.pi * 400 + 0.5
    middle = Point(0, 20)
    radii = [middle.distance(Point(p)) for p in shape.exterior.coords]
    assert radii == pytest.approx([20] * len(radii), abs=0.05)


def test_a_line_inside_the_outline_is_a_hole():
    shape = from_path("M0,0 L40,0 L40,40 L0,40 Z M10,10 L20,10 L20,20 L10,20 Z", 40)
    assert shape.area == pytest.approx(1600 - 100)


@pytest.mark.parametrize(
    ("data", "reason"),
    [
        ("M0,0 L10,0 L10,10", "no closed line"),
        ("M0,0 L10,10 L10,0 L0,10 Z", "crosses itself"),
        ("M0,0 L10,0 L10,10 Z M30,30 L40,30 L40,40 Z", "not a hole in the first"),
        ("M0,0 L10,nan L10,10 Z", "not understood"),
        ("hello", "not understood"),
        ("M0,0 L10,0 L20,0 Z", "no height"),
    ],
)
def test_paths_that_make_no_outline_are_refused(data, reason):
    with pytest.raises(ValueError, match=reason):
        from_path(data, 40)


@pytest.fixture
def disc(tmp_path):
    """A disc 240 pixels across on a transparent ground, with a hole of 60."""
    image = Image.new("RGBA", (300, 260), (0, 0, 0, 0))
    draw = ImageDraw.Draw(image)
    draw.ellipse((30, 10, 269, 249), fill=(200, 80, 60, 255))
    draw.ellipse((120, 100, 179, 159), fill=(0, 0, 0, 0))
    image.save(tmp_path / "disc.png")
    return tmp_path / "disc.png"


def test_the_edge_of_an_image_is_followed(disc):
    shape = from_image(disc, 60)
    assert shape.bounds == pytest.approx((-30, 0, 30, 60), abs=0.15)
    middle = Point(0, 30)
    radii = np.array([middle.distance(Point(p)) for p in shape.exterior.coords])
    # A quarter of a millimetre is a pixel here.
    assert np.abs(radii - 30).max() < 0.15
    assert len(shape.interiors) == 1
    assert shape.area == pytest.approx(np.pi * (30**2 - 7.5**2), rel=0.005)


def test_a_border_can_be_left_around_it(disc):
    shape = from_image(disc, 60, grow=3)
    left, foot, right, top = shape.bounds
    assert (right - left, top - foot) == pytest.approx((60, 60), abs=0.3)
    inner = max(Point(0, 30).distance(Point(p)) for p in shape.interiors[0].coords)
    # The picture was scaled so that it fills the length with its border.
    assert inner == pytest.approx((7.5 - 3) * 60 / 66, abs=0.2)


@pytest.mark.parametrize(
    ("mode", "colour", "reason"),
    [("RGB", (9, 9, 9), "no transparent ground"), ("RGBA", (0, 0, 0, 0), "all transparent")],
)
def test_images_without_an_edge_are_refused(tmp_path, mode, colour, reason):
    Image.new(mode, (20, 20), colour).save(tmp_path / "a.png")
    with pytest.raises(ValueError, match=reason):
        from_image(tmp_path / "a.png", 30)


def test_a_design_uses_both(disc):
    made = read(disc.parent, 'shape = "traced", file = "disc.png", length = 60')
    assert made.sheets[1].outline.area == pytest.approx(np.pi * (30**2 - 7.5**2), rel=0.005)
    made = read(disc.parent, 'shape = "path", path = "M0 0 L10 0 L10 10 Z", length = 60')
    assert made.sheets[1].outline.area == pytest.approx(1800)


@pytest.mark.parametrize(
    ("outline", "line"),
    [
        ('shape = "traced", file = "../disc.png", length = 60', "outside the design's folder"),
        ('shape = "traced", file = "none.png", length = 60', "none.png there is no such file"),
        ('shape = "traced", file = "a.toml", length = 60', "not an image that can be read"),
        ('shape = "path", path = "M0 0 L9 9", length = 60', "no closed line"),
        ('shape = "path", path = "M0 0 L9 9 Z", length = -1', "length"),
    ],
)
def test_mistakes_are_one_clear_line(disc, outline, line):
    with pytest.raises(DesignError) as caught:
        read(disc.parent, outline)
    assert len(caught.value.mistakes) == 1
    assert line in str(caught.value)
