"""Table tops: true scale, the same everywhere, and calm under the paper."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from preview.drawing.colour import linear
from preview.drawing.render import draw
from preview.drawing.render.ray.tabletop import GRID_MM, Places, shown
from preview.errors import UseError
from preview.shot.camera import Camera
from preview.shot.mood import MOODS, Mood
from preview.shot.tables import TABLES, mood_on

from .vale import vale

REACH = (151.5, 108.5)


def square(side, step, pixel, corner=(40.0, -300.0)):
    """Places of a square of that side, so many mm apart, seen by pixels of a size."""
    x, y = np.meshgrid(np.arange(0, side, step) + corner[0], np.arange(0, side, step) + corner[1])
    flat = [each.ravel().astype(np.float32) for each in (x, y)]
    return Places(*flat, *(np.full(x.size, pixel, np.float32) for _ in range(2)))


def test_squares_of_the_mat_are_ten_millimetres_in_a_picture():
    """Measured in pixels of a camera that looks straight down: a table z mm away shows
    rows / (2 z tan(field / 2)) pixels a mm (similar triangles)."""
    scene = replace(vale(180), mood=mood_on("studio", "cutting-mat"))
    eye = 700.0
    camera = Camera((0.0, 0.0, eye), (0.0, 0.0, 0.0), np.radians(36.0).item())
    picture = draw(scene, camera, (960, 720), "ray", "film").astype(float).mean(axis=2)
    per_mm = 720 / 2 / ((eye - scene.table) * np.tan(np.radians(18.0)))
    # Before the book there is nothing but the mat, and no line across in these rows.
    low = int(360 + per_mm * 27)
    strip = picture[low : low + int(6 * per_mm)].mean(axis=0)
    wide = int(215 * per_mm)
    strip = strip[480 - wide : 480 + wide] - np.median(strip[480 - wide : 480 + wide])
    peaks = 1 + np.flatnonzero((strip[1:-1] > strip[:-2]) & (strip[1:-1] >= strip[2:]))
    near = np.clip([strip[k - 2 : k + 3] for k in peaks if strip[k] > 5], 0, None)
    off = (near * np.arange(-2, 3)).sum(axis=1) / near.sum(axis=1)
    places = (peaks[strip[peaks] > 5] + off + 0.5 - wide) / per_mm
    assert len(places) == 43
    # A pixel is 0.64 mm; a straight line through all places is far better than one of them.
    assert np.polyfit(np.arange(-21, 22), places, 1) == pytest.approx([10.0, 0.0], abs=0.02)
    assert places == pytest.approx(10.0 * np.arange(-21, 22), abs=0.4)


def test_every_fifth_line_of_the_mat_is_bold():
    mood, line = mood_on("studio", "cutting-mat"), GRID_MM * np.arange(-10, 11)
    here = Places(line.astype(np.float32), np.full(21, -103.0, np.float32),
                  *(np.full(21, 0.1, np.float32) for _ in range(2)))  # fmt: skip
    light = shown(mood, here, REACH).mean(axis=0)
    bold = np.arange(-10, 11) % 5 == 0
    assert light[bold].min() > 1.15 * light[~bold].max()


@pytest.mark.parametrize("name", ["linen", "oak"])
def test_in_the_mean_a_table_has_the_colour_that_it_is_said_to_have(name):
    """The paper is lit by that colour."""
    mood = mood_on("daylight", name)
    mean = shown(mood, square(900, 2.3, 0.6, (-450, -450)), REACH).mean(axis=1)
    assert mean == pytest.approx(linear(mood.table), rel=0.04)


@pytest.mark.parametrize("name", TABLES)
def test_a_place_looks_the_same_whatever_is_worked_out_with_it(name):
    mood, all_ = mood_on("daylight", name), square(60, 0.7, 0.5)
    some = np.arange(5, len(all_.x), 17)
    part = Places(*(each[some] for each in (all_.x, all_.y, all_.across, all_.along)))
    assert (shown(mood, all_, REACH)[:, some] == shown(mood, part, REACH)).all()


@pytest.mark.parametrize("name", ["linen", "oak"])
def test_large_pixels_show_what_small_ones_show_in_the_mean_and_do_not_shimmer(name):
    """Judged by 16 × 16 small ones averaged: over a few pixels there is the same light, and from
    one pixel to the next no more change than there is in truth."""
    mood, side, pixel = mood_on("daylight", name), 48.0, 2.0
    fine = shown(mood, square(side, pixel / 16, pixel / 16), REACH)[1]
    count = round(side / pixel)
    true = fine.reshape(count, 16, count, 16).mean(axis=(1, 3))
    middle = pixel / 2 - pixel / 32
    large = shown(mood, square(side, pixel, pixel, (40 + middle, -300 + middle)), REACH)[1]
    large = large.reshape(count, count)
    blocks = [each.reshape(4, 6, 4, 6).mean(axis=(1, 3)) for each in (true, large)]
    assert blocks[1] == pytest.approx(blocks[0], rel=0.03)
    for axis in (0, 1):
        assert np.diff(large, axis=axis).std() < 1.05 * np.diff(true, axis=axis).std()


@pytest.mark.parametrize("name", ["linen", "oak"])
def test_a_table_is_calmer_than_the_paper_on_it(name):
    """At the scale of a film its lightness L* (CIE 15:2004) strays by less than 3, while two
    papers side by side differ by tens."""
    mood = mood_on("daylight", name)
    light = shown(mood, square(300, 0.6, 0.6, (-150, -400)), REACH)
    luminance = np.array([0.2126, 0.7152, 0.0722]) @ light
    assert (116 * np.cbrt(luminance) - 16).std() < 3


def test_no_part_of_a_table_comes_again():
    """A tile would: shifted by its size, the picture would match itself."""
    mood = mood_on("daylight", "linen")
    here = shown(mood, square(100, 1.0, 0.4, (0, 0)), REACH)[1]
    for shift in (64, 128, 256, 512, 1024):
        there = shown(mood, square(100, 1.0, 0.4, (shift, 0)), REACH)[1]
        assert abs(np.corrcoef(here, there)[0, 1]) < 0.5


def test_a_plain_colour_is_shown_as_it_is_and_a_mat_lies_on_the_table_of_its_mood():
    plain = mood_on("daylight", "#8a9a88")
    assert shown(plain, square(5, 1, 0.5), REACH)[:, 0] == pytest.approx(linear("#8a9a88"))
    mat = mood_on("dusk", "cutting-mat")
    far = Places(*(np.array([value], np.float32) for value in (700.0, 0.0, 0.5, 0.5)))
    assert shown(mat, far, REACH)[:, 0] == pytest.approx(linear(MOODS["dusk"].table), rel=1e-3)


@pytest.mark.parametrize("wrong", ["marble", "#12345", "red", "#ggg"])
def test_what_is_neither_table_nor_colour_is_refused_with_those_that_are(wrong):
    with pytest.raises(UseError, match=r"linen, oak, cutting-mat, or a colour"):
        mood_on("daylight", wrong)


def test_a_mood_keeps_its_own_table_and_its_light():
    assert mood_on("rose") is MOODS["rose"]
    oak: Mood = mood_on("rose", "oak")
    assert (oak.key == MOODS["rose"].key).all()
