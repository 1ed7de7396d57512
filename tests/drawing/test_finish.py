"""Kinds of paper: they look as they are, and yet show the colour of their file on the whole."""

from dataclasses import replace
from typing import get_args

import numpy as np
import pytest
import shapely

from meshes.sheet import Crossing, Finish, Fold, Paper
from preview.drawing import scene as scenes
from preview.drawing.colour import channels, linear
from preview.drawing.core import CoreLine, fold_angle
from preview.drawing.render import draw
from preview.drawing.render.ray.finish import FLECKED, flecks
from preview.drawing.render.ray.material import Texture, paint
from preview.drawing.render.ray.patches import RIM_SHADE, slabs
from preview.drawing.scene import Scene, Surface
from preview.shot.camera import from_angles

from ..bench.colour_difference import ciede2000, lab

FINISHES = get_args(Finish)
READER = from_angles((0.0, 0.0, 0.0), -np.pi / 2, np.radians(35), 420.0, np.radians(18))


def card(finish, colour="#b98f62", tilt=0.0, **settings):
    """A card of that finish, tilted about x, radians."""
    c, s = np.cos(tilt), np.sin(tilt)
    turn = np.array([[1.0, 0, 0], [0, c, -s], [0, s, c]])
    shape = shapely.box(-90, -70, 90, 70)
    place = np.array([0, 0, 3.0])
    return Surface("card", shape, turn, place, colour, colour, finish=finish, seed=77, **settings)


def look(surface, quality, size=(64, 48), camera=READER):
    return draw(Scene((surface,), table=0.0), camera, size, "ray", quality).astype(float)


def middle(picture):
    return picture[14:-14, 12:-12]


@pytest.mark.parametrize("quality", ["draft", "film", "still"])
@pytest.mark.parametrize("finish", FINISHES)
def test_a_level_sheet_shows_the_colour_of_its_file_on_the_whole(finish, quality):
    """CIEDE2000 of at most 1.0, the step that a practised eye sees (common practice)."""
    for colour in ("#b98f62", "#5f7f9a", "#2f6b4f"):
        shown = middle(look(card(finish, colour), quality)).mean(axis=(0, 1)) / 255
        file = np.array(channels(colour)) / 255
        assert ciede2000(lab(shown), lab(file)) <= 1.0, colour


@pytest.mark.parametrize("finish", ["watercolour", "kraft", "mulberry", "metallic"])
@pytest.mark.parametrize("quality", ["film", "still"])
def test_each_finish_is_told_from_smooth_card(finish, quality):
    near = replace(READER, field=np.radians(4))
    spread = [
        middle(look(card(each), quality, camera=near)).std(axis=(0, 1)).mean()
        for each in ("smooth", finish)
    ]
    assert spread[1] > 1.5 * spread[0] + 0.5


@pytest.mark.parametrize("finish", FLECKED)
@pytest.mark.parametrize("pixel", [0.05, 0.4, 1.5])
def test_what_lies_in_paper_leaves_its_colour_on_the_whole(finish, pixel):
    x, y = np.meshgrid(np.arange(0, 123, 0.5), np.arange(0, 123, 0.5))
    flat = np.stack([x.ravel(), y.ravel()], axis=1).astype(np.float32)
    factor = flecks(finish, flat, 5, pixel)
    assert factor.mean(axis=0) == pytest.approx([1, 1, 1], abs=0.01)
    assert np.array_equal(factor, flecks(finish, flat, 5, pixel))
    assert not np.array_equal(factor, flecks(finish, flat, 6, pixel))


def test_metal_changes_more_with_its_tilt_than_dull_card_does():
    dull, metal = (
        np.ptp([middle(look(card(each, tilt=t), "film")).mean() for t in (-0.3, 0.0, 0.3)])
        for each in ("smooth", "metallic")
    )
    assert metal > 1.5 * dull


def test_mulberry_paper_lets_half_the_light_through():
    thin = Paper("p", 40, 0.1, "#ffffff", "#ffffff")
    through = [scenes.translucency(replace(thin, finish=f)) for f in ("smooth", "mulberry")]
    assert through[1] == pytest.approx(0.55, abs=0.06)
    assert through[1] > 2 * through[0]


def test_cut_edges_show_the_core():
    plain, cored = card("smooth", thickness=0.3), card("smooth", thickness=0.3, core="#ffffff")
    rims = [slabs((each,)).albedo[2] for each in (plain, cored)]
    assert rims[0] == pytest.approx(RIM_SHADE * linear("#b98f62"), rel=1e-5)
    assert rims[1] == pytest.approx(RIM_SHADE * np.ones(3), rel=1e-5)


def across_fold(line, front=True):
    """Colours at steps of 0.02 mm across a fold, from 1 mm left of it to 1 mm right."""
    folded = card("smooth", core="#ffffff", lines=(line,))
    texture = Texture(0, folded, front, linear(folded.front), (0.02, 0.02))
    gaps = np.arange(-1, 1, 0.02)
    places = np.array([[gap, y, 0] for gap in gaps for y in np.arange(0, 20, 0.5)])
    points = (places + folded.translation).astype(np.float32)
    return paint(texture, points).reshape(len(gaps), -1, 3)


def test_the_core_shows_as_a_fine_line_on_the_outside_of_a_fold_alone():
    line = CoreLine((0.0, 0.0), (0.0, 20.0), True, 0.2)
    outside, inside = across_fold(line), across_fold(line, front=False)
    paper = linear("#b98f62")
    assert inside == pytest.approx(np.broadcast_to(paper, inside.shape), abs=1e-6)
    whiter = (outside - paper).mean(axis=(1, 2)) / (1 - paper).mean()
    # As much core as a line of twice the reach has, and none of it half a millimetre away.
    assert whiter.sum() * 0.02 == pytest.approx(0.4, rel=0.15)
    assert np.abs(whiter[:20]).max() < 1e-6
    # Ragged, not ruled.
    assert outside[45].std() > 0.01


@pytest.mark.parametrize("angle", [-1.2, -0.3, 0.5, 2.0])
def test_the_angle_of_a_fold_is_that_by_which_its_facets_turn(angle):
    """House convention: R0 F0 Rx(phi) = R1 F1, with F = [a, b, n], b = n × a."""
    fold = Fold("f", (3.0, 1.0), (-1.0, 9.0), 1)
    a = np.array([*np.subtract(fold.end, fold.start) / fold.length, 0])
    frame = np.column_stack([a, np.cross([0, 0, 1], a), [0, 0, 1]])
    c, s = np.cos(angle), np.sin(angle)
    left = np.linalg.qr(np.random.default_rng(3).normal(size=(3, 3)))[0]
    left *= np.sign(np.linalg.det(left))
    right = left @ frame @ np.array([[1, 0, 0], [0, c, -s], [0, s, c]]) @ frame.T
    turns = {"p.l": left, "p.r": right}
    assert fold_angle(Crossing(fold, "l", "r"), "p", turns) == pytest.approx(angle)


@pytest.mark.parametrize(
    ("settings", "asked"),
    [
        ({}, ""),
        ({"finish": "mulberry"}, "mulberry paper"),
        ({"finish": "kraft", "clear": True}, "clear film"),
    ],
)
def test_a_shop_is_asked_for_the_sort_of_paper(settings, asked):
    assert Paper("p", 40, 0.1, "#ffffff", "#ffffff", **settings).sort == asked
