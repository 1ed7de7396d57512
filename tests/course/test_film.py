"""The building film: captions, camera, what is glued, and the command that makes it."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from PIL import Image

from preview.cli import ExitCode
from preview.course.cameras import _seen
from preview.course.course import course_of
from preview.course.figures import points
from preview.course.moves import OnTable
from preview.course.proof import moving_parts
from preview.course.scene import areas_of, scene_at
from preview.drawing.contrast import contrast_ratio, relative_luminance
from preview.films.building import band_height, captioned, shot_of
from preview.guide.moves import PLACE
from preview.shot.mood import MOODS
from tests.building.random_builds import random_design
from tests.building.specimens import BOX, solved

PACE = (4.0, 20.0)
SIZES = [(480, 480), (1080, 1920)]


@pytest.fixture(scope="module")
def shot(crate):
    return shot_of(crate, range(len(crate.steps)), len(crate.steps), PACE, (480, 480))


def test_each_step_takes_its_time(shot):
    assert shot.line.seconds == pytest.approx(PACE[0] * len(shot.course.steps))
    steps = [shot.line.moments[k].step for k in shot.line.order]
    assert [steps.count(k) for k in range(len(shot.course.steps))] == [80] * len(shot.course.steps)


def test_the_camera_never_jumps(shot):
    """What lies still in the picture moves by less than a twentieth of it from frame to frame."""
    x, y = np.meshgrid(np.arange(-300.0, 600.0, 20.0), np.arange(-200.0, 500.0, 20.0))
    still = np.column_stack([x.ravel(), y.ravel(), np.full(x.size, shot.course.table.top)])
    places = [shot.cameras[k].project(still, shot.size) for k in shot.line.order]
    most = 0.0
    for before, after in pairwise(places):
        inside = ((before > 0) & (before < shot.size) & (after > 0)).all(axis=1)
        most = max(most, float(np.abs(after - before)[inside].max()))
    assert most < 0.05 * min(shot.size)


def test_what_moves_stays_in_the_picture(shot):
    """But for paper that comes from outside, at four fifths of the moments all of it, else most."""
    band = band_height(shot.size, shot.captions)
    size = (shot.size[0], shot.size[1] - band)
    shares = []
    for k in range(0, shot.poses, 4):
        moment = shot.line.moments[k]
        move = shot.course.steps[moment.step].moves[moment.move]
        mine = moving_parts(shot.course.table.figures, move)
        if move.kind == "bring" or not len(mine):
            continue
        pose, _, _ = shot.course.table.pose(move, moment.share)
        seen = shot.cameras[k].project(points(shot.course.table.figures, mine, pose), size)
        shares.append(((seen >= 0) & (seen <= size)).all(axis=1).mean())
    assert np.mean(np.array(shares) == 1.0) > 0.8
    assert min(shares) > 0.5


def test_paper_from_far_off_comes_into_the_picture(crate):
    """Else the spread would be small at the rim of it, and all between the two bare table."""
    move, track = next(
        (move, track)
        for step in crate.steps
        if step.step.action == "glue"
        for move in step.moves
        for track in move.tracks
        if track.way is not None
    )
    for away, whole in ((crate.table.book.width, True), (2000.0, False)):
        seats = OnTable(track.seats[0].turn, (away, 100.0)), track.seats[1]
        there = replace(track, seats=seats)
        others = tuple(one for one in move.tracks if one is not track)
        seen = _seen(crate.table, replace(move, tracks=(*others, there)))[:, 0]
        assert (seen.max() > away) == whole
        lands = crate.table.tracked(move, track, 1.0, move.openings[1])
        ends = points(crate.table.figures, crate.table.figures.parts_of(track.sheets), lands)[:, 0]
        assert seen.min() < ends.min()
        assert ends.max() < seen.max() < 1000.0


def test_what_is_pressed_on_the_table_stays_in_the_picture(tmp_path):
    """While it is shut and held nothing else moves: the camera has nothing else to look at."""
    found, _, steps = solved(random_design(2), tmp_path)
    course = course_of(found, steps, last=4)
    step = course.steps[3].step
    assert (step.action, step.on_page) == ("press", False)
    film = shot_of(course, [3], 4, PACE, (480, 480))
    size = (film.size[0], film.size[1] - band_height(film.size, film.captions))
    figures = course.table.figures
    for k in range(0, film.poses, 8):
        moment = film.line.moments[k]
        pose, _, _ = course.table.pose(course.steps[3].moves[moment.move], moment.share)
        seen = film.cameras[k].project(points(figures, figures.parts_of(step.present), pose), size)
        middle = (seen.min(axis=0) + seen.max(axis=0)) / 2
        assert (np.abs(middle / size - 0.5) < 0.2).all(), moment


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("mood", sorted(MOODS))
def test_captions_are_read_easily_and_lie_under_the_picture(size, mood):
    """Contrast of 4.5 or more (WCAG 2.2, 1.4.3), and no pixel of the picture is changed."""
    captions = (("3 of 21", "Close the notebook on the houses"),)
    band = band_height(size, captions)
    picture = np.random.default_rng(1).integers(0, 256, (size[1] - band, size[0], 3), np.uint8)
    whole = captioned(picture, captions[0], band, mood)
    assert whole.shape == (size[1], size[0], 3)
    assert np.array_equal(whole[: size[1] - band], picture)
    rows = whole[size[1] - band :].reshape(-1, 3)
    colours, counts = np.unique(rows, axis=0, return_counts=True)
    ground = colours[counts.argmax()]
    ratios = contrast_ratio(relative_luminance(colours), relative_luminance(ground))
    assert ratios.max() >= 4.5
    inked = whole[size[1] - band :] != ground
    tall = np.flatnonzero(inked.any(axis=(1, 2)))
    wide = np.flatnonzero(inked.any(axis=(0, 2)))
    assert tall.min() > 0
    assert tall.max() < band - 1
    assert wide.max() < size[0] - 1


def test_glue_is_seen_until_it_is_covered(crate):
    areas = areas_of(crate.table)
    for step in crate.steps:
        for move in step.moves:
            glues = bool(move.glued[1] - move.glued[0])
            for share in (0.2, 1.0):
                scene = scene_at(crate.table, areas, move, share, "daylight")
                marks = [s for s in scene.surfaces if s.name.endswith(PLACE)]
                open_still = bool(move.wet) and not (glues and share == 1.0)
                assert bool(marks) == open_still


def test_paper_that_is_not_there_yet_is_not_drawn(crate):
    areas = areas_of(crate.table)
    scene = scene_at(crate.table, areas, crate.steps[0].moves[0], 0.5, "daylight")
    pieces = {s.name.partition(".")[0] for s in scene.surfaces} - {"book", "page"}
    assert pieces == {"crate"}


def test_the_command_films_some_steps(call, tmp_path):
    (tmp_path / "crate.toml").write_text(BOX)
    outcome = call(
        "film", "crate.toml", "--course", "build", "--steps", "1-2", "--step-seconds", "1",
        "--fps", "4", "--size", "96x96", "--quality", "draft", "--jobs", "1", "-o", "b.gif",
    )  # fmt: skip
    assert outcome.code == ExitCode.DONE, outcome.err
    assert outcome.out.startswith("b.gif: 8 frames, 2.0 s, 96 × 96, ")
    with Image.open(tmp_path / "b.gif") as film:
        assert film.size == (96, 96)
        assert film.n_frames > 4


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--steps", "2-9"), "allowed: 1 to 5"),
        (("--steps", "0"), "expected steps such as 5-9"),
        (("--turn", "90"), "--turn is for films of the finished spread"),
        (("--seconds", "3"), "--seconds is for films of the finished spread"),
    ],
)
def test_wishes_that_cannot_be_met(call, tmp_path, options, said):
    (tmp_path / "crate.toml").write_text(BOX)
    outcome = call("film", "crate.toml", "--course", "build", "-o", "b.gif", *options)
    assert outcome.code == ExitCode.WRONG_USE
    assert said in outcome.err
    assert not (tmp_path / "b.gif").exists()
