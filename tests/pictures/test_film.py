"""The schedule of a film, and frames that wait on disk."""

from __future__ import annotations

import io
import pickle
from contextlib import suppress
from pathlib import Path

import numpy as np
import pytest

from preview.errors import UseError
from preview.films.frames import StoredFrames, drawn
from preview.shot.schedule import eased, film, one_after_another, open_and_close
from tests.spreads import MEADOW


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


def test_stored_frames_are_a_sequence_in_film_order():
    frames = StoredFrames(
        np.array([0, 1, 2, 2, 1, 0]), lambda pose: np.full((2, 2, 3), pose, np.uint8)
    )
    assert [int(frame[0, 0, 0]) for frame in frames] == [0, 1, 2, 2, 1, 0]
    assert [int(frame[0, 0, 0]) for frame in frames[1:3]] == [1, 2]
    assert len(frames) == 6


def shown(schedule):
    return np.degrees(schedule.poses[schedule.order, 0])


@pytest.mark.parametrize(("action", "ends"), [("open", (0, 180)), ("close", (180, 0))])
def test_a_film_can_go_one_way(action, ends):
    way = shown(film(action, 3, 20))
    assert (way[0], way[-1]) == pytest.approx(ends)
    assert (np.diff(way) * (1 if action == "open" else -1) >= 0).all()


def test_a_turntable_stands_open_and_turns_once_in_even_steps_that_loop():
    schedule = film("turntable", 3, 20)
    assert (shown(schedule) == 180).all()
    turns = np.degrees(schedule.poses[schedule.order, 1])
    steps = np.diff(np.append(turns, turns[0] + 360))
    assert steps == pytest.approx(np.full(60, 6.0))


def test_opening_while_turning_comes_back_to_where_it_began():
    schedule = film("open-close", 4, 20, turn=2 * np.pi)
    openings, turns = schedule.poses[schedule.order, :2].T
    assert openings.max() == pytest.approx(np.pi)
    assert turns[0] == 0
    assert np.degrees(turns[-1]) == pytest.approx(360 - 360 / 80)


@pytest.mark.parametrize(("action", "last"), [("open", 1.0), ("open-close", 0.0), ("stand", 0.0)])
def test_a_travelling_camera_arrives_or_comes_back_so_that_the_film_loops(action, last):
    schedule = film(action, 4, 20, travels=True)
    travel = schedule.poses[schedule.order, 2]
    assert travel[0] == 0
    assert travel.max() == pytest.approx(1, abs=0.01)
    assert travel[-1] == pytest.approx(last, abs=0.01)


def test_it_holds_where_it_is_asked_to_both_ways():
    schedule = film("open-close", 8, 20, holds=[(np.radians(90), 0.5), (np.radians(45), 0.25)])
    way = shown(schedule)
    assert np.isclose(way, 90).sum() == 2 * 10
    assert np.isclose(way, 45).sum() == 2 * 5
    top = int(np.argmax(way))
    assert (np.diff(way[: top + 1]) >= 0).all()
    assert way.max() == 180


@pytest.mark.parametrize(
    ("holds", "reason"),
    [([(np.pi, 1.0)], "can't pause at 180°"), ([(1.0, 60.0)], "leaves 0 frames to move in")],
)
def test_holds_that_cannot_be_met_are_refused(holds, reason):
    with pytest.raises(UseError, match=reason):
        film("open-close", 4, 20, holds=holds)


def test_an_interrupted_film_goes_on_from_the_poses_it_has(tmp_path, monkeypatch):
    """The second run draws only what the first one had not drawn, and then cleans up."""
    from meshes import spread
    from preview.films import film as films

    path = tmp_path / "start.toml"
    path.write_text(MEADOW)
    made, kept = spread.read(path), tmp_path / "kept"
    schedule = film("open", 1, 10)
    shot = films.shot_for(made, schedule, (32, 24), quality="draft")
    poses = []
    draw = films.Filming.draw

    def counted(self, pose, engine):
        if len(poses) == 3:
            raise KeyboardInterrupt
        poses.append(pose)
        return draw(self, pose, engine)

    monkeypatch.setattr(films.Filming, "draw", counted)
    with pytest.raises(KeyboardInterrupt), drawn(shot, schedule.order, 1, kept=kept):
        pass
    first = list(poses)
    poses.clear()
    monkeypatch.setattr(films.Filming, "draw", lambda s, p, e: poses.append(p) or draw(s, p, e))
    with drawn(shot, schedule.order, 1, kept=kept) as frames:
        assert len(frames) == 10
        assert frames[9].shape == (24, 32, 3)
    assert sorted(first + poses) == list(range(shot.poses))
    assert not list(kept.iterdir())


def test_what_a_palette_is_made_of_is_drawn_before_all_else(tmp_path, monkeypatch):
    from meshes import spread
    from preview.films import film as films

    path = tmp_path / "start.toml"
    path.write_text(MEADOW)
    schedule = film("open-close", 1, 12)
    shot = films.shot_for(spread.read(path), schedule, (32, 24), quality="draft")
    poses, draw = [], films.Filming.draw
    monkeypatch.setattr(films.Filming, "draw", lambda s, p, e: poses.append(p) or draw(s, p, e))
    with drawn(shot, schedule.order, 1) as frames:
        sampled = list(frames.sampled())
        first, shown = list(poses), [count for _, count in sampled]
        pictures = list(frames)
    assert first == sorted({*range(0, shot.poses, 2), shot.poses - 1})
    assert sum(shown) == len(frames) == len(pictures)
    assert sorted(poses) == list(range(shot.poses))
    for pose, picture in zip(schedule.order, pictures, strict=True):
        if pose in first:
            assert np.array_equal(picture, sampled[first.index(pose)][0])


class Trap:
    """What a stranger may put where a film expects its settings: reading it makes a file."""

    def __init__(self, sprung):
        self.sprung = sprung

    def __reduce__(self):
        return Path.touch, (self.sprung,)


def test_what_a_stranger_left_in_the_kept_frames_is_never_run(tmp_path):
    """Python's manual on pickle: "only unpickle data you trust"; a folder can come from anyone."""
    from meshes import spread
    from preview.films import film as films

    path, kept, sprung = tmp_path / "start.toml", tmp_path / "kept", tmp_path / "sprung"
    path.write_text(MEADOW)
    schedule = film("open", 1, 10)
    shot = films.shot_for(spread.read(path), schedule, (32, 24), quality="draft")
    with suppress(KeyboardInterrupt), drawn(shot, schedule.order, 1, kept=kept) as frames:
        whole = frames[9]
        raise KeyboardInterrupt
    files = [file for file in kept.rglob("*") if file.is_file()]
    assert files
    trap = io.BytesIO()
    np.save(trap, np.array([Trap(sprung)], object))
    for file in files:
        file.write_bytes(trap.getvalue() if file.suffix == ".npy" else pickle.dumps(Trap(sprung)))
    with drawn(shot, schedule.order, 1, kept=kept) as frames:
        assert (frames[9] == whole).all()
    assert not sprung.exists()


def test_two_runs_of_one_film_leave_each_other_their_frames(tmp_path):
    """The one that is done first removes what the other still reads from."""
    from meshes import spread
    from preview.films import film as films

    path, kept = tmp_path / "start.toml", tmp_path / "kept"
    path.write_text(MEADOW)
    schedule = film("open-close", 1, 10)
    shot = films.shot_for(spread.read(path), schedule, (32, 24), quality="draft")
    with drawn(shot, schedule.order, 1, kept=kept) as first:
        before = [np.array(first[k]) for k in range(5)]
        with drawn(shot, schedule.order, 1, kept=kept) as second:
            assert len(list(second)) == 10
        assert not list(kept.iterdir())
        after = list(first)
    assert all((a == b).all() for a, b in zip(before, after, strict=False))
    assert len(after) == 10


def test_caption_and_mark_stand_at_the_foot_of_the_picture_and_nowhere_else():
    from preview.films.film import lettered

    plain = np.full((120, 160, 3), 200, np.uint8)
    picture = lettered(plain, "October", "135°", "daylight")
    changed = (picture != plain).any(axis=2)
    assert changed.any()
    assert not changed[:100].any()
    assert changed[:, :60].any()
    assert changed[:, 120:].any()
    long = lettered(plain, "a very long caption " * 2, "135°", "daylight")
    beside = (long != lettered(plain, "", "135°", "daylight")).any(axis=2)
    assert beside[:, :100].any()
    assert not beside[:, 132:].any()


class Lamp:
    """An engine that notes for which viewer each scene is lit, and how its first page lies."""

    name = "lamp"

    def __init__(self):
        self.viewers, self.pages = [], []

    def draw(self, scene, camera, size, quality="film"):
        self.viewers.append(scene.viewer)
        self.pages.append(next(s for s in scene.surfaces if s.material == "page").rotation)
        return np.zeros((size[1], size[0], 3), np.uint8)


@pytest.mark.parametrize("view", ["reader", "right-corner", "edge-on"])
def test_the_light_stands_beside_the_camera_wherever_that_is(view, tmp_path):
    from meshes import spread
    from preview.films import film as films
    from preview.shot.camera import VIEWS

    path = tmp_path / "start.toml"
    path.write_text(MEADOW)
    made, lamp = spread.read(path), Lamp()
    films.shot_of(made, made.solve(np.array([2.0])), (32, 24), view).draw(0, lamp)
    assert lamp.viewers[0] == pytest.approx(VIEWS[view].azimuth)


def test_a_turntable_turns_under_a_light_that_stands_still(tmp_path):
    from meshes import spread
    from preview.films import film as films

    path = tmp_path / "start.toml"
    path.write_text(MEADOW)
    shot, lamp = films.shot_for(spread.read(path), film("turntable", 1, 10), (32, 24)), Lamp()
    for pose in range(shot.poses):
        shot.draw(pose, lamp)
    assert len(set(lamp.viewers)) == 1
    steps = [
        np.degrees(np.arccos((np.trace(a.T @ b) - 1) / 2))
        for a, b in zip(lamp.pages, lamp.pages[1:], strict=False)
    ]
    assert np.allclose(steps, 36)


def test_light_and_camera_travel_without_a_jump(tmp_path):
    from meshes import spread
    from preview.films import film as films

    path = tmp_path / "start.toml"
    path.write_text(MEADOW)
    schedule = film("still", 2, 20, travels=True)
    shot, lamp = (
        films.shot_for(spread.read(path), schedule, (32, 24), ("reader", "edge-on")),
        Lamp(),
    )
    for pose in schedule.order:
        shot.draw(int(pose), lamp)
    looped = np.degrees([*lamp.viewers, lamp.viewers[0]])
    assert np.ptp(looped) == pytest.approx(78, abs=1)
    assert np.abs(np.diff(looped)).max() < 10


def test_frames_are_handed_over_as_soon_as_they_are_drawn(tmp_path, monkeypatch):
    from meshes import spread
    from preview.films import film as films

    path, poses = tmp_path / "start.toml", []
    path.write_text(MEADOW)
    schedule = film("close", 1, 10)
    shot = films.shot_for(spread.read(path), schedule, (32, 24), quality="draft")
    draw = films.Filming.draw
    monkeypatch.setattr(films.Filming, "draw", lambda s, p, e: poses.append(p) or draw(s, p, e))
    with drawn(shot, schedule.order, 1) as frames:
        assert not poses
        assert frames[0].shape == (24, 32, 3)
        assert poses == [schedule.order[0]]
    assert sorted(poses) == list(range(shot.poses))


def test_pieces_of_a_row_move_one_after_the_other_each_in_its_time():
    times = one_after_another([("a", None), ("b", 1.0), ("c", None)], 4.0)
    assert times == {"a": (0.0, 0.375), "b": (0.375, 0.625), "c": (0.625, 1.0)}
    with pytest.raises(UseError, match="moving a, b takes 5 s or more, but there are 4 s"):
        one_after_another([("a", 5.0), ("b", None)], 4.0)


def test_pages_turn_in_the_order_that_is_asked_for(tmp_path):
    """A page begins only when the one before it lies on the other side."""
    from meshes import spread
    from preview.films import film as films

    path = tmp_path / "pages.toml"
    leaves = ["first", "second", "third"]
    tied = [f'after = "{before}"' if before else "" for before in ("", *leaves)]
    tables = [
        f'[pieces.{leaf}]\nkind = "flyleaf"\n{after}'
        for leaf, after in zip(leaves, tied, strict=False)
    ]
    path.write_text("\n".join(['title = "pages"', *tables]))
    made, schedule = spread.read(path), film("stand", 4, 10, driven=True)
    driven = one_after_another([(leaf, None) for leaf in leaves], 2.0)
    moves = films.hand_moves(made, driven, schedule.states[0][:, 1])
    rests = [moves[leaf][0] for leaf in leaves]
    done = np.array([abs(moves[leaf] - rest) for leaf, rest in zip(leaves, rests, strict=True)])
    assert (done.max(axis=1) == 1).all()
    assert ((done[:-1] == 1) | (done[1:] == 0)).all()
    assert films.motion_for(made, schedule, driven).solved.all()
    with pytest.raises(UseError, match="by hand third: flyleaves pass through each other"):
        films.motion_for(made, schedule, ["third"])
