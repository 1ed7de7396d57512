"""The cut list of a story: between two cuts nothing jumps, and nothing leaves the picture."""

from __future__ import annotations

import numpy as np
import pytest

from meshes import spread
from preview.errors import UseError
from preview.films import film, story
from preview.shot.story import STORY, schedule, takes_of
from tests.spreads import MEADOW

FPS = 10.0


@pytest.fixture(scope="module")
def shots(tmp_path_factory):
    path = tmp_path_factory.mktemp("meadow") / "meadow.toml"
    path.write_text(MEADOW)
    made, plan = spread.read(path), schedule(20.0, FPS)
    motion = film.motion_for(made, plan)
    return {size: story.shot_for(made, plan, size, motion=motion) for size in ((64, 36), (36, 64))}


def paths(shot):
    """What camera, table and hand do in each frame: shape (F, 9)."""
    turns = shot.turns[:, None] * 100
    eyes = [[*c.eye, *c.target, 1000 * c.field] for c in shot.cameras]
    return np.hstack([eyes, turns, 100 * shot.openings[:, None]])


def test_camera_and_table_jump_at_the_four_cuts_and_nowhere_else(shots):
    """A jump of place or of pace shows in second differences, which a smooth path of F frames
    makes smaller by F² (Taylor's theorem): no more than 5.8 times its length over F², what the
    path of least jerk has at most (10 / sqrt 3, from its second derivative)."""
    for shot in shots.values():
        takes, moved = takes_of(20.0, FPS), paths(shot)
        cuts = np.flatnonzero(np.diff(takes))
        assert len(cuts) == 4
        step = np.linalg.norm(np.diff(moved[:, :7], axis=0), axis=1)
        assert step[cuts].min() > 4 * np.delete(step, cuts).max()
        for number, take in enumerate(STORY):
            mine = moved[takes == number]
            # A hand that rests first and last moves in the time that is left.
            frames = (1 - sum(take.rests)) * (len(mine) - 1)
            reach = np.ptp(mine, axis=0)
            assert (np.abs(np.diff(mine, 2, axis=0)) <= 5.8 * reach / frames**2 + 1e-9).all()


def test_the_light_stands_still_between_cuts(shots):
    """It goes with the side from which the camera looks."""
    for shot in shots.values():
        takes = takes_of(20.0, FPS)
        for number in range(len(STORY)):
            sides = [c.azimuth for c, take in zip(shot.cameras, takes, strict=True)
                     if take == number]  # fmt: skip
            assert np.ptp(sides) < 1e-9


def test_all_that_a_take_is_about_stays_in_the_picture(shots):
    for size, shot in shots.items():
        takes = takes_of(20.0, FPS)
        for pose in range(0, shot.poses, 3):
            if STORY[takes[pose]].about == "spread":
                seen = shot.cameras[pose].project(shot.scene(pose).points, size)
                assert ((seen >= 0) & (seen <= size)).all()


def test_it_tells_a_closed_cover_an_opening_a_turn_a_close_up_and_a_closing(shots):
    shot, takes = shots[64, 36], takes_of(20.0, FPS)
    ends = [np.degrees(shot.openings[takes == k][[0, -1]]) for k in range(len(STORY))]
    assert ends[0] == pytest.approx([0, 0])
    assert ends[1] == pytest.approx([0, 180])
    assert ends[2] == pytest.approx([180, 180])
    assert ends[4] == pytest.approx([180, 0])
    assert np.ptp(np.degrees(shot.turns[takes == 2])) > 60
    near = [np.tan(c.field / 2) * c.distance for c in shot.cameras]
    assert np.argmin(near) in np.flatnonzero(takes == 3)
    assert shot.lying == "right"


@pytest.mark.parametrize(("seconds", "fps"), [(15, 25), (22, 30), (30, 12)])
def test_it_lasts_as_long_as_asked_and_shares_its_time_out(seconds, fps):
    plan = schedule(seconds, fps)
    assert plan.seconds == pytest.approx(seconds)
    counts = np.bincount(takes_of(seconds, fps))
    whole = sum(take.seconds for take in STORY)
    assert counts == pytest.approx([take.seconds / whole * seconds * fps for take in STORY], abs=1)


@pytest.mark.parametrize("seconds", [14.9, 31])
def test_what_nobody_watches_to_its_end_is_refused(seconds):
    with pytest.raises(UseError, match="allowed: 15 to 30 seconds"):
        schedule(seconds, 25)


def test_a_band_is_round_the_closed_cover_and_goes_at_a_cut(tmp_path):
    """Within a take it would be gone from one frame to the next."""
    path = tmp_path / "banded.toml"
    path.write_text(MEADOW.replace("[spread]\n", '[spread]\nband = "#202020"\n'))
    made, plan = spread.read(path), schedule(15.0, 4.0)
    shot = story.shot_for(made, plan, (48, 27), motion=film.motion_for(made, plan))
    takes = takes_of(15.0, 4.0)
    banded = [
        any("-band-" in surface.name for surface in shot.scene(pose).surfaces)
        for pose in range(shot.poses)
    ]
    assert any(banded)
    assert {STORY[take].name for take in takes[banded]} == {"closed cover"}
    assert all(banded[k] for k in np.flatnonzero(takes == 0))
