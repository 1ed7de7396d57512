"""The schedule of a film, and frames that wait on disk."""

from __future__ import annotations

import numpy as np
import pytest

from preview.errors import UseError
from preview.film import StoredFrames, eased, open_and_close


@pytest.mark.parametrize(("seconds", "fps"), [(3, 20), (5, 25), (0.5, 16), (12, 50)])
def test_a_film_opens_from_closed_to_flat_and_back(seconds, fps):
    schedule = open_and_close(seconds, fps)
    shown = np.degrees(schedule.openings[schedule.order])
    assert len(shown) == round(seconds * fps)
    assert schedule.seconds == pytest.approx(seconds)
    assert shown[0] == shown[-1] == 0
    assert shown.max() == 180
    top = int(np.argmax(shown))
    assert (np.diff(shown[: top + 1]) >= 0).all()
    assert (np.diff(shown[top:]) <= 0).all()


def test_it_pauses_at_both_ends_for_as_long_as_asked():
    schedule = open_and_close(6, 20, pauses=(0.5, 1.0))
    last = len(schedule.openings) - 1
    assert (schedule.order == 0).sum() == 10
    assert (schedule.order == last).sum() in (20, 21)  # an odd frame goes to the open spread


def test_pauses_leave_two_thirds_of_a_short_film_to_the_motion():
    schedule = open_and_close(1, 20, pauses=(5, 5))
    last = len(schedule.openings) - 1
    still = np.isin(schedule.order, (0, last)).sum()
    assert still <= 20 / 3 + 2


def test_closing_shows_the_poses_of_opening_again_so_each_is_drawn_once():
    schedule = open_and_close(3, 20)
    assert len(schedule.openings) <= 60 // 2 + 1
    assert sorted(set(schedule.order)) == list(range(len(schedule.openings)))


def test_the_motion_is_the_path_of_least_jerk():
    """Its jerk integral is the least of all paths that start and end at rest: 720 for the unit
    path (Flash and Hogan 1985, from the Euler-Lagrange equation x'''''' = 0), more for others."""
    t = np.linspace(0, 1, 2001)
    jerk = np.gradient(np.gradient(np.gradient(eased(t), t), t), t)
    assert np.trapezoid(jerk[5:-5] ** 2, t[5:-5]) == pytest.approx(720, rel=0.03)
    assert eased(np.array([0.0, 0.5, 1.0])) == pytest.approx([0, 0.5, 1])


@pytest.mark.parametrize(("first", "last"), [(20, 180), (0, 97)])
def test_a_film_can_show_the_part_of_the_opening_that_works(first, last):
    schedule = open_and_close(2, 20, np.radians(first), np.radians(last))
    assert np.degrees(schedule.openings[[0, -1]]) == pytest.approx([first, last])


def test_a_film_too_short_to_move_is_refused():
    with pytest.raises(UseError, match="film of 5 frames is too short; it takes 8"):
        open_and_close(0.5, 10)


def test_stored_frames_are_a_sequence_in_film_order(tmp_path):
    for pose in range(3):
        np.save(tmp_path / f"{pose:05d}.npy", np.full((2, 2, 3), pose, np.uint8))
    frames = StoredFrames(tmp_path, np.array([0, 1, 2, 2, 1, 0]))
    assert [int(frame[0, 0, 0]) for frame in frames] == [0, 1, 2, 2, 1, 0]
    assert [int(frame[0, 0, 0]) for frame in frames[1:3]] == [1, 2]
    assert len(frames) == 6
