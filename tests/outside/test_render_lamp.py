"""Light of lit paper against closed formulas of radiative transfer.

Configuration factors from a small plane element to a rectangle with a corner on its normal. Source:
J. R. Howell, "A Catalog of Radiation Heat Transfer Configuration Factors": parallel planes, and
planes at right angles (formulas from memory).
"""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from meshes.sheet import Glow
from preview.drawing.colour import linear
from preview.drawing.render import draw
from preview.drawing.render.ray.lamps import Lamps, shaded
from preview.drawing.render.ray.trace import Tracer
from preview.drawing.scene import Scene, Surface
from preview.shot.camera import from_angles
from preview.shot.mood import MOODS

NIGHT = MOODS["night"]
# The lit side looks down.
OVER = np.diag([1.0, -1.0, -1.0])
EVERYWHERE = np.zeros((1, 3), np.float32)


def sheet(polygon, place, rotation=None, colour="#ffffff", **settings):
    turn = np.eye(3) if rotation is None else rotation
    return Surface("sheet", polygon, turn, np.array(place, float), colour, colour, **settings)


def lamp(polygon, place, rotation=OVER, strength=1.0, colour="#ffffff"):
    return sheet(polygon, place, rotation, glow=Glow(strength, colour))


def light_at(lamps, point, normal):
    place, up = (np.array([each], np.float32) for each in (point, normal))
    return lamps.falling(place, up, EVERYWHERE)[:, 0]


def parallel(a, b, c):
    """To a rectangle a × b in a parallel plane c away."""
    x, y = a / c, b / c
    one, two = np.hypot(1, x), np.hypot(1, y)
    return (x / one * np.arctan(y / one) + y / two * np.arctan(x / two)) / (2 * np.pi)


def upright(a, b, c):
    """To a rectangle that begins in the element's plane c away, b wide and a high."""
    x, y = b / c, a / c
    far = np.hypot(1, y)
    return (np.arctan(x) - np.arctan(x / far) / far) / (2 * np.pi)


@pytest.mark.parametrize(("a", "b", "c"), [(10, 20, 15), (40, 12, 30), (8, 8, 60), (60, 60, 25)])
def test_light_of_a_lit_sheet_is_that_of_the_formula(a, b, c):
    lamps = Lamps.of([lamp(shapely.box(0, -b, a, 0), (0, 0, c))], NIGHT, 2.0, 1000)
    found = light_at(lamps, (0, 0, 0), (0, 0, 1))
    assert found == pytest.approx([NIGHT.lamp * parallel(a, b, c)] * 3, rel=0.01)


@pytest.mark.parametrize(("a", "b", "c"), [(10, 20, 15), (40, 12, 30), (60, 60, 25)])
def test_light_of_a_lit_wall_on_the_floor_is_that_of_the_formula(a, b, c):
    wall = np.array([[0.0, 0, 1], [1, 0, 0], [0, 1, 0]])
    lamps = Lamps.of([lamp(shapely.box(0, 0, b, a), (-c, 0, 0), wall)], NIGHT, 2.0, 1000)
    found = light_at(lamps, (0, 0, 0), (0, 0, 1))
    assert found == pytest.approx([NIGHT.lamp * upright(a, b, c)] * 3, rel=0.015)


def test_behind_the_lamp_and_behind_the_paper_there_is_no_light():
    lamps = Lamps.of([lamp(shapely.box(0, 0, 9, 9), (0, 0, 20))], NIGHT, 3.0)
    assert light_at(lamps, (0, 0, 0), (0, 0, -1)).max() == 0
    through = lamps.falling(
        *(np.array([v], np.float32) for v in ((0, 0, 0), (0, 0, -1), (1, 1, 1)))
    )
    assert through[:, 0] == pytest.approx(light_at(lamps, (0, 0, 0), (0, 0, 1)))


def test_a_lamp_behind_a_window_shines_through_the_window_alone():
    wall = sheet(shapely.box(-30, -30, 30, 30).difference(shapely.box(-4, 0, 4, 10)), (0, 0, 0))
    behind = replace(lamp(shapely.box(-20, -20, 20, 20), (0, 0, -0.4)), rotation=np.eye(3))
    lamps = Lamps.of([wall, behind], NIGHT, 4.0)
    front = lamps.normals[:, 2] > 0
    assert lamps.areas[front].sum() == pytest.approx(80, rel=1e-3)
    assert lamps.areas[~front].sum() == pytest.approx(1600, rel=1e-3)


def test_what_a_sheet_hides_of_a_lamp_sends_no_light():
    lit = lamp(shapely.box(-20, -20, 20, 20), (0, 0, 60))
    lamps = Lamps.of([lit], NIGHT, 2.0, 1000)
    half = np.array(
        [[[0, -99, 30], [99, -99, 30], [99, 99, 30]], [[0, -99, 30], [99, 99, 30], [0, 99, 30]]]
    )
    place, up = np.zeros((1, 3), np.float32), np.array([[0, 0, 1]], np.float32)
    sums = lamps.seen(place, up, EVERYWHERE, Tracer(half.astype(np.float32)))
    found = shaded(lamps.falling(place, up, EVERYWHERE), sums)[:, 0]
    assert found == pytest.approx(light_at(lamps, (0, 0, 0), (0, 0, 1)) / 2, rel=0.01)


def lantern():
    """A lit square over the table, seen from above; its upper side is covered."""
    lit = lamp(shapely.box(-20, -20, 20, 20), (0, 0, 30), strength=0.3, colour="#ffb765")
    return Scene((lit,), NIGHT, table=0.0)


DOWN = from_angles((0.0, 0.0, 0.0), -np.pi / 2, np.pi / 2 - 1e-3, 500.0, np.radians(24))


@pytest.mark.parametrize("quality", ["draft", "film", "still"])
def test_lit_paper_shows_its_own_light_in_every_quality(quality):
    picture = draw(lantern(), DOWN, (60, 60), "ray", quality)
    dark = draw(
        replace(lantern(), surfaces=(sheet(shapely.box(-20, -20, 20, 20), (0, 0, 30)),)),
        DOWN,
        (60, 60),
        "ray",
        quality,
    )
    middle = np.s_[26:34, 26:34]
    red, green, blue = picture[middle].reshape(-1, 3).mean(axis=0)
    assert red > green > blue
    assert red > dark[middle][..., 0].mean() + 40
    beside = np.s_[28:32, 18:22]
    assert picture[beside].mean() > dark[beside].mean() + 3


def test_films_and_stills_agree_about_light_of_lamps():
    pictures = [
        draw(lantern(), DOWN, (60, 60), "ray", each).astype(int) for each in ("film", "still")
    ]
    film, shown = (picture[10:50, 10:22] for picture in pictures)
    assert np.abs(film - shown).mean() < 2.5


def test_where_no_lamp_is_none_is_looked_for():
    lamps = Lamps.of([sheet(shapely.box(0, 0, 9, 9), (0, 0, 0))], NIGHT, 3.0)
    assert lamps.count == 0


def test_light_through_coloured_paper_takes_its_colour():
    lit = lamp(shapely.box(0, 0, 9, 9), (0, 0, 20))
    red = replace(lit, front="#ff4040")
    shown = [Lamps.of([each], NIGHT, 3.0).light[0] for each in (lit, red)]
    assert shown[1] / shown[0] == pytest.approx(np.sqrt(linear("#ff4040")), rel=1e-4)


def test_lit_paper_sends_out_light_in_gltf_too():
    """glTF 2.0, 3.9.3: emissiveFactor is linear, 0 to 1 each."""
    from meshes.gltf.primitives import Substance, plain_material

    material = plain_material(Substance("#ffffff", glow=(1.0, 0.5, 0.25)))
    assert material["emissiveFactor"] == [1.0, 0.5, 0.25]
    assert "emissiveFactor" not in plain_material(Substance("#ffffff"))
