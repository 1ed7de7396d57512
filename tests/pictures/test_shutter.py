"""Motion blur: how long the shutter is open, what it sees meanwhile, and how that adds up."""

from __future__ import annotations

import numpy as np
import pytest

from meshes import spread
from preview.drawing.render import renderer
from preview.films import film as films
from preview.films import story
from preview.films.shutter import averaged, enough
from preview.shot.schedule import MOMENTS, exposed, film
from preview.shot.story import cuts_of, schedule, takes_of
from tests.spreads import MEADOW


@pytest.fixture(scope="module")
def meadow(tmp_path_factory):
    path = tmp_path_factory.mktemp("meadow") / "meadow.toml"
    path.write_text(MEADOW)
    return spread.read(path)


@pytest.mark.parametrize(("angle_deg", "fps", "open_s"), [(180, 30, 1 / 60), (180, 120, 1 / 240)])
def test_the_shutter_is_open_for_as_long_as_its_maker_says(angle_deg, fps, open_s):
    """Both examples are those of the manufacturer's FAQ, sigma-global.com/en/faq/11788. A table
    that turns evenly tells the time."""
    plan = exposed(film("turntable", 2, fps), np.radians(angle_deg))
    a_second = 2 * np.pi / 2
    seen = np.sort(plan.during[..., 1], axis=1)
    assert np.ptp(seen, axis=1) / a_second == pytest.approx(
        np.full(2 * fps, open_s * (MOMENTS - 1) / MOMENTS)
    )
    # Around the middle of the frame's time.
    assert seen.mean(axis=1) == pytest.approx(plan.poses[:, 1])


def test_light_adds_up_and_levels_do_not():
    """Half black and half white is half the light, which sRGB writes as 188 (IEC 61966-2-1:
    255 (1.055 · 0.5^(1/2.4) - 0.055) = 187.5); the mean of the levels would be 128."""
    black, white = np.zeros((2, 2, 3), np.uint8), np.full((2, 2, 3), 255, np.uint8)
    assert set(averaged([black, white]).ravel().tolist()) == {188}
    every = np.arange(256, dtype=np.uint8).reshape(16, 16, 1)
    assert (averaged([every, every, every]) == every).all()


def test_there_are_as_many_moments_as_the_way_needs():
    assert enough(range(16), 0.0) == [8]
    assert enough(range(16), 3.1) == [2, 8, 13]
    assert enough(range(16), 500.0) == list(range(16))


class Counter:
    """An engine that counts what it draws."""

    def __init__(self):
        self.drawn = 0

    def draw(self, scene, camera, size, quality="film"):
        self.drawn += 1
        return np.zeros((size[1], size[0], 3), np.uint8)


def test_closing_is_the_blur_of_opening_again_and_rest_is_sharp(meadow):
    plain = film("open-close", 3, 20)
    plan = exposed(plain, np.pi)
    assert plan.seconds == plain.seconds
    assert (plan.openings[plan.order] == plain.openings[plain.order]).all()
    # Where rest and motion meet, half of a frame's time may be either.
    assert len(plan.poses) <= len(plain.poses) + 2
    shot, counts = films.shot_for(meadow, plan, (320, 240)), []
    for pose in (0, len(plan.poses) // 2, len(plan.poses) - 1):
        engine = Counter()
        shot.draw(pose, engine)
        counts.append(engine.drawn)
    assert counts[0] == counts[2] == 1
    assert counts[1] > 4


def test_what_a_shutter_sees_lies_between_the_frames_around(meadow):
    plan = exposed(film("open", 2, 15), 2 * np.pi)
    shown, seen = plan.openings[plan.order], plan.during[plan.order][..., 0]
    after = np.append(shown[1:], shown[-1])
    before = np.append(shown[0], shown[:-1])
    allowed = np.radians(0.05)
    assert (seen <= (shown + after)[:, None] / 2 + allowed).all()
    assert (seen >= (shown + before)[:, None] / 2 - allowed).all()
    assert seen.min() >= 0
    assert seen.max() <= np.pi


def test_no_exposure_reaches_over_a_cut(meadow):
    """The light of two takes would mix there."""
    plain = schedule(15.0, 8.0)
    plan = exposed(plain, 2 * np.pi, cuts_of(15.0, 8.0).tolist())
    shot = story.shot_for(meadow, plan, (32, 18), films.motion_for(meadow, plan))
    takes = takes_of(15.0, 8.0)
    for frame in np.flatnonzero(np.diff(takes)):
        for k in (frame, frame + 1):
            pose = int(plan.order[k])
            near = shot.cameras[pose]
            for moment in shot.exposure.moments(pose):
                assert moment.camera.azimuth == pytest.approx(near.azimuth)
                assert np.linalg.norm(np.subtract(moment.camera.eye, near.eye)) < 8
            at = plan.during[pose][:, 0]
            assert np.abs(at - plain.openings[k]).max() < np.radians(8)


def test_a_blurred_frame_is_the_mean_of_very_many_instants(meadow):
    """Judged by 30 instants, each a film of its own, averaged in linear light here as well."""
    size, angle, seconds, fps = (48, 36), np.pi, 1, 8
    plan = exposed(film("turntable", seconds, fps), angle)
    shot = films.shot_for(meadow, plan, size, quality="draft")
    engine = renderer("ray")
    middle = 3
    blurred = shot.draw(middle, engine).astype(float)
    turn = plan.poses[middle, 1]
    share = 2 * np.pi / (seconds * fps) * angle / (2 * np.pi)
    light = np.zeros((size[1], size[0], 3))
    for offset in (np.arange(30) + 0.5) / 30 - 0.5:
        scene = shot._scene(shot.stage(middle), turn + offset * share, middle)
        picture = engine.draw(scene.lit_for(shot.camera.azimuth), shot.camera, size, "draft")
        light += (picture / 255.0) ** 2.2 / 30
    truth = 255 * light ** (1 / 2.2)
    sharp = engine.draw(shot.scene(middle).lit_for(shot.camera.azimuth), shot.camera, size, "draft")
    assert np.abs(blurred - truth).mean() < 0.3 * np.abs(sharp - truth).mean()
