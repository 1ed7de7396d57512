"""Cameras: framing, projection, orbits and paths."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from meshes import designs, spread
from preview.drawing.scene import build
from preview.drawing.visible import pieces_of
from preview.shot.camera import VIEWS, Camera, arc, close_up, frame, from_angles, path, turntable
from preview.shot.standing import standing

SIZE = (640, 360)
CLOUD = np.random.default_rng(3).uniform([-150, 0, -10], [150, 210, 120], (60, 3))


@pytest.mark.parametrize("view", VIEWS.values(), ids=VIEWS)
@pytest.mark.parametrize("size", [(640, 360), (400, 400), (270, 480)])
def test_a_view_holds_all_points_and_touches_its_margins(view, size):
    camera = view.frame(CLOUD, size[0] / size[1], margins=(0.05, 0.1))
    share = camera.project(CLOUD, size) / size
    assert share[:, 0].min() >= 0.05 - 1e-9
    assert share[:, 0].max() <= 0.95 + 1e-9
    assert share[:, 1].min() >= 0.1 - 1e-9
    assert share[:, 1].max() <= 0.9 + 1e-9
    slack = min(share[:, 0].min() - 0.05, share[:, 1].min() - 0.1)
    assert slack == pytest.approx(0, abs=1e-9)


@settings(max_examples=40, derandomize=True, deadline=None)
@given(st.floats(-3.1, 3.1), st.floats(-0.3, 1.5), st.floats(0.1, 1.2))
def test_framing_keeps_the_direction_asked_for(azimuth, elevation, field):
    camera = frame(CLOUD, azimuth, elevation, 1.5, field)
    towards = np.subtract(camera.eye, camera.target) / camera.distance
    flat = np.cos(elevation)
    wanted = [flat * np.cos(azimuth), flat * np.sin(azimuth), np.sin(elevation)]
    assert towards == pytest.approx(wanted, abs=1e-9)
    assert np.isfinite(camera.project(CLOUD, SIZE)).all()


def test_rays_through_projected_points_hit_them():
    camera = VIEWS["right-corner"].frame(CLOUD, 16 / 9)
    spots = camera.project(CLOUD, SIZE)
    rays = camera.rays(spots[:, 0], spots[:, 1], SIZE)
    straight = CLOUD - np.array(camera.eye)
    straight /= np.linalg.norm(straight, axis=1, keepdims=True)
    assert np.abs(rays - straight).max() < 1e-12


def test_points_behind_the_camera_have_no_place_in_the_picture():
    camera = Camera((0, -100, 0), (0, 0, 0))
    assert np.isnan(camera.project(np.array([[0, -200, 0]]), SIZE)).all()


def test_a_camera_that_looks_nowhere_is_refused():
    with pytest.raises(ValueError, match="same point"):
        Camera((1, 2, 3), (1, 2, 3))


def test_looking_straight_down_keeps_the_reader_s_right():
    camera = from_angles((0, 100, 0), -np.pi / 2, np.pi / 2, 500)
    assert camera.axes[0] == pytest.approx([1, 0, 0], abs=1e-9)
    assert camera.project(np.array([[50, 100, 0]]), SIZE)[0, 0] > SIZE[0] / 2


def test_a_turntable_comes_round_to_where_it_began():
    camera = VIEWS["reader"].frame(CLOUD, 1.0)
    around = turntable(camera, 24)
    assert around[0] == camera
    assert around[-1].orbit(2 * np.pi / 24).eye == pytest.approx(camera.eye)
    assert {round(c.distance, 6) for c in around} == {round(camera.distance, 6)}


def test_an_arc_is_even_about_its_camera_and_starts_and_stops_gently():
    camera = VIEWS["reader"].frame(CLOUD, 1.0)
    turns = np.unwrap([c.azimuth for c in arc(camera, 21, np.radians(40))])
    assert turns[10] == pytest.approx(camera.azimuth)
    assert turns[-1] - turns[0] == pytest.approx(np.radians(40))
    steps = np.diff(turns)
    assert steps[0] < steps[10] / 20


def test_a_path_passes_its_cameras_and_never_swings_past_them():
    stops = [VIEWS[name].frame(CLOUD, 1.0) for name in ("overhead", "reader", "right-corner")]
    cameras = path(stops, 41)
    for camera, stop in zip((cameras[0], cameras[20], cameras[40]), stops, strict=True):
        assert camera.eye == pytest.approx(stop.eye, abs=1e-6)
        assert camera.field == pytest.approx(stop.field)
    heights = [camera.eye[2] for camera in cameras]
    assert max(heights) <= max(stop.eye[2] for stop in stops) * 1.02


def test_a_close_up_fills_the_picture_with_its_piece():
    piece = CLOUD[:8] * 0.1
    spots = close_up(piece, 16 / 9).project(piece, SIZE) / SIZE
    assert np.ptp(spots, axis=0).max() == pytest.approx(0.72, abs=1e-6)


def test_zooming_in_enlarges_about_the_target():
    camera = VIEWS["reader"].frame(CLOUD, 16 / 9)
    middle = np.array(SIZE) / 2
    before = camera.project(CLOUD, SIZE) - middle
    assert camera.zoom(2).project(CLOUD, SIZE) - middle == pytest.approx(2 * before)


def test_the_near_view_has_all_that_stands_in_its_picture_and_comes_as_close_as_it_can():
    """Upright pictures of a wide spread once showed it small; flat art may run out of the near."""
    made = spread.read(designs.path("lighthouse-bay"))
    scene = build(made, made.solve(np.radians([140.0])), 0)
    aspect = 9 / 16
    near, whole = (standing(name, {}, [scene], aspect) for name in ("near", "reader"))
    names, pieces = pieces_of(scene, standing=True)
    assert "sky" in names
    assert "sea-left" not in names
    corners, owners = scene.corners
    share = near.project(corners[pieces[owners] >= 0], (900, 1600)) / (900, 1600)
    assert share.min() > 0.05
    assert share.max() < 0.95
    assert near.distance < 0.8 * whole.distance


def test_the_near_view_of_a_spread_on_which_nothing_stands_has_all_of_it():
    made = spread.read(designs.path("lighthouse-bay"))
    scene = build(made, made.solve(np.radians([140.0])), 0)
    flat = replace(
        scene, surfaces=tuple(s for s in scene.surfaces if s.material in ("page", "cover", "block"))
    )
    near = standing("near", {}, [flat], 1.0)
    assert near.distance > 1.2 * standing("near", {}, [scene], 1.0).distance
