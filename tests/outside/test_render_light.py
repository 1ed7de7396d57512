"""Sky and key light against closed forms.

Configuration factors: J. R. Howell, "A Catalog of Radiation Heat Transfer Configuration Factors",
factors for a differential element and a long strip at right angles: the share of the hemisphere,
weighted by the cosine, that a very long wall of height h takes from a level point at distance d is
(1 - d / sqrt(d² + h²)) / 2. A sheet tilted by t sees (1 + cos t) / 2 of an even sky (solar
engineering: B. Y. H. Liu and R. C. Jordan, "Daily insolation on surfaces tilted towards the
equator", ASHRAE Journal 3 (1961) 53-59).
"""

import numpy as np
import pytest
import shapely

from preview.drawing.render.ray import light as lights
from preview.drawing.render.ray import still
from preview.drawing.render.ray.falling import key_shares, sky_light
from preview.drawing.render.ray.film import FILM, FilmFrame
from preview.drawing.render.ray.lens import Lens
from preview.drawing.scene import Scene, Surface
from preview.shot.camera import from_angles
from preview.shot.mood import WINDOW

HEIGHT = 60.0
UPRIGHT = np.array([[1.0, 0, 0], [0, 0, -1.0], [0, 1.0, 0]])


@pytest.fixture
def even_sky(monkeypatch):
    def even(directions, key):
        return np.ones(len(directions))

    monkeypatch.setattr(lights, "sky_radiance", even)
    lights._sky.cache_clear()
    yield
    lights._sky.cache_clear()


def wall():
    """A wall 8 m long along x, standing on the table at y = 0."""
    polygon = shapely.box(-4000, 0, 4000, HEIGHT)
    return Surface("wall", polygon, UPRIGHT, np.zeros(3), "#000000", "#000000")


def distances(points):
    return -points[1]


def expected(d):
    return 1 - (1 - d / np.hypot(d, HEIGHT)) / 2


@pytest.mark.parametrize("nearness", [4, 15, 40, 90])
def test_the_sky_beside_a_long_wall_in_a_film(even_sky, nearness):
    camera = from_angles((0.0, -50.0, 0.0), -np.pi / 2, np.radians(55), 400.0)
    frame = FilmFrame(Scene((wall(),), table=0.0), Lens(Scene(()), camera, (160, 120)), FILM)
    frame.linear()
    d = distances(frame.points)
    band = (frame.key == frame.table) & (np.abs(d - nearness) < 2)
    assert band.sum() > 100
    assert frame.sky[band].mean() == pytest.approx(expected(d[band]).mean(), abs=0.03)
    assert frame.sky[band].std() < 0.03


def test_the_sky_beside_a_long_wall_in_a_still(even_sky):
    camera = from_angles((0.0, -50.0, 0.0), -np.pi / 2, np.radians(55), 400.0)
    studio = still.RayStudio(Scene((wall(),), table=0.0), camera, (96, 72))
    recipe, dark = still.RECIPES["still"], np.zeros_like(studio.first_glow())
    view = still.view_of(studio, range(studio.drawn[1]))
    skies = (studio.sky(still.COARSE_SKY * recipe.sky, dark), studio.sky(recipe.sky, dark))
    light = sky_light(studio, view, skies, recipe.vary, recipe.refine)
    share = (light.T / studio.sky_light[-1]).mean(axis=1)
    d = distances(view.points.T)
    band = (view.key == studio.table) & (d > 5) & (d < 100)
    assert band.sum() > 1000
    assert np.abs(share - expected(np.abs(d)))[band].mean() < 0.01


@pytest.mark.parametrize("tilt_deg", [0, 20, 45, 90, 135, 180])
def test_a_tilted_sheet_under_an_even_sky(even_sky, tilt_deg):
    tilt = np.radians(tilt_deg)
    normal = np.array([[np.sin(tilt), 0.0, np.cos(tilt)]], np.float32)
    light = lights.Light.of(WINDOW, -np.pi / 2)
    assert light.open_sky(normal)[0] == pytest.approx((1 + np.cos(tilt)) / 2, abs=0.003)
    assert lights.from_below(normal)[0] == pytest.approx((1 - np.cos(tilt)) / 2, abs=1e-6)


def seen_by_a_film(scene, camera):
    """The table's points and the share of the key that they see, in a frame of a film."""
    frame = FilmFrame(scene, Lens(scene, camera, (240, 160)), FILM)
    frame.linear()
    table = frame.key == frame.table
    return frame.points[:, table].astype(float), frame.sun[table]


def seen_by_a_still(scene, camera):
    """The same in a still."""
    studio = still.RayStudio(scene, camera, (240, 160))
    view = still.view_of(studio, range(studio.drawn[1]))
    sun = key_shares(studio, view, studio.key_rays(still.RECIPES["still"].key))
    table = view.key == studio.table
    return view.points[table].T.astype(float), sun[table]


@pytest.mark.parametrize("seen", [seen_by_a_film, seen_by_a_still])
def test_the_key_fades_over_its_disc_as_a_circle_cut_by_a_line(seen):
    """Share hidden by a line at s radii from the middle: (acos(s) - s sqrt(1 - s²)) / pi.

    Area of a circular segment, any handbook of mathematics.
    """
    height = 100.0
    outline = shapely.box(-600, -300, 0, 300)
    roof = Surface("roof", outline, np.eye(3), np.array([0, 0, height]), "#888888", "#888888")
    camera = from_angles((60.0, 80.0, 0.0), -np.pi / 2, np.radians(18), 500.0)
    scene = Scene((roof,), table=0.0)
    points, sun = seen(scene, camera)
    key = lights.Light.of(scene.mood, scene.viewer).towards_key
    # A direction d from (x, y, 0) passes the roof's edge where n · d = 0, n = (height, 0, x).
    n = np.stack([np.full_like(points[0], height), np.zeros_like(points[0]), points[0]], axis=1)
    along = n @ key
    offset = along / np.linalg.norm(n - along[:, None] * key, axis=1) / np.tan(WINDOW.spread)
    near = (np.abs(offset) < 0.95) & (np.abs(points[1]) < 200)
    s = offset[near]
    share = 1 - (np.arccos(s) - s * np.sqrt(1 - s**2)) / np.pi
    assert near.sum() > 200
    assert np.abs(sun[near] - share).mean() < 0.02
    assert np.abs(sun[near] - share).max() < 0.08


@pytest.mark.parametrize(
    ("seen", "mean", "worst"), [(seen_by_a_film, 0.015, 0.16), (seen_by_a_still, 0.006, 0.04)]
)
def test_a_plate_smaller_than_the_light_hides_its_middle_without_a_hole(seen, mean, worst):
    """Judge: the light's disc in 2,000 equal parts, each projected to the plate's height."""
    height, radius = 200.0, 0.8 * 200.0 * np.tan(WINDOW.spread)
    outline = shapely.Point(0, 0).buffer(radius, 32)
    plate = Surface("plate", outline, np.eye(3), np.array([0, 0, height]), "#888888", "#888888")
    scene = Scene((plate,), table=0.0)
    key = lights.Light.of(scene.mood, scene.viewer).towards_key
    shadow = -height * key[:2] / key[2]
    camera = from_angles((*shadow, 0.0), -np.pi / 2, np.radians(60), 200.0)
    points, sun = seen(scene, camera)
    near = np.flatnonzero(np.hypot(*(points[:2] - shadow[:, None])) < 60)[::5]
    side = np.cross(key, [0, 0, 1]) / np.linalg.norm(np.cross(key, [0, 0, 1]))
    k = np.arange(2000) + 0.5
    far, turn = np.tan(WINDOW.spread) * np.sqrt(k / 2000), k * np.pi * (3 - np.sqrt(5))
    parts = key + np.outer(far * np.cos(turn), side)
    parts += np.outer(far * np.sin(turn), np.cross(side, key))
    met = points[:2, near, None] + height * (parts[:, :2] / parts[:, 2:]).T[:, None]
    share = (np.hypot(*met) > radius).mean(axis=1)
    assert (share < 0.8).sum() > 100
    error = np.abs(sun[near] - share)
    assert error.mean() < mean
    assert error.max() < worst
