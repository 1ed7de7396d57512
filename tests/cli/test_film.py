"""``foldstage film`` and ``foldstage still``: what is in the files, and what is not left behind."""

from __future__ import annotations

import shutil

import numpy as np
import pytest
from PIL import Image

from preview.cli import ExitCode

SMALL = ("--size", "96x72", "--quality", "draft", "--jobs", "1")

# Glue creases of 50° and 60° with panels of 40° and 75°: closure needs
# sin 60° cos θ <= cos 75° where the right foot is shut (spherical law of cosines), so it jams on
# the way down at θ = arccos(cos 75° / sin 60°) = 72.61°.
JAMS = """
[pieces.wedge]
kind = "v-fold"
page_angle = [50, 60]
panel_angle = [40, 75]
base = 30
ridge = 40
tabs = "out"
"""

# The feet are never nearer to each other than 60 - 10 = 50 mm (law of cosines with the book shut),
# and the panels are only 40 mm long together.
TEARS = """
[pieces.roof]
kind = "tent"
distance = [10, 60]
panel = [20, 20]
width = 30
"""


def frames_of(file):
    """Pictures (as numbers) and delays in ms, read back from an animation."""
    pictures, delays = [], []
    with Image.open(file) as film:
        for k in range(film.n_frames):
            film.seek(k)
            pictures.append(np.asarray(film.convert("RGB"), int))
            delays.append(film.info["duration"])
    return pictures, delays


def width_of_the_book(picture):
    """Columns in which something is not as bright as the table around it."""
    table = np.median(picture[:6].reshape(-1, 3), axis=0)
    return int((np.abs(picture - table).max(axis=2) > 60).any(axis=0).sum())


def far_off(one, other):
    """How far two pictures are from each other in the mean, levels."""
    return np.abs(one.astype(int) - other).mean()


def test_the_film_of_a_new_design_opens_and_closes(call, tmp_path):
    call("new", "fresh")
    timing = ("--seconds", "1.6", "--fps", "10")
    outcome = call("film", "fresh.toml", "--lying", "both", *timing, *SMALL)
    assert outcome.code == ExitCode.DONE, outcome.err
    assert outcome.out.startswith("renders/fresh.gif: 16 frames, 1.6 s, 96 × 72, ")
    pictures, delays = frames_of(tmp_path / "renders" / "fresh.gif")
    assert sum(delays) == 1600
    assert all(delay % 100 == 0 for delay in delays)  # whole frames of 1/10 s
    widths = [width_of_the_book(picture) for picture in pictures]
    top = int(np.argmax(widths))
    assert widths[0] < 40  # with its shadow
    assert max(widths) > 60
    # Within three pixels, as corners are round and smaller than one.
    assert (np.diff(widths[: top + 1]) >= -3).all()
    assert (np.diff(widths[top:]) <= 3).all()
    # It ends as it began, and half-way down looks as half-way up, but for the colours that the
    # palette of a GIF mixes and leaves as they were before: a tenth of what one step moves.
    assert far_off(pictures[0], pictures[-1]) < 0.1 * far_off(pictures[0], pictures[4])
    assert far_off(pictures[1], pictures[-2]) < 0.1 * far_off(pictures[1], pictures[5])


@pytest.mark.parametrize("ending", ["mp4", "webp", "apng"])
def test_every_format_holds_the_whole_film(call, leaf, tmp_path, ending):
    name = f"out.{ending}"
    outcome = call("film", "fresh.toml", "-o", name, "--seconds", "1", "--fps", "10", *SMALL)
    assert outcome.code == ExitCode.DONE, outcome.err
    file = tmp_path / name
    if ending == "mp4":
        import imageio_ffmpeg

        count, seconds = imageio_ffmpeg.count_frames_and_secs(str(file))
        assert (count, seconds) == (10, pytest.approx(1.0, abs=0.05))
    else:
        assert sum(frames_of(file)[1]) == 1000


def test_the_film_is_the_same_for_any_number_of_processes(call, leaf, tmp_path):
    for jobs in (1, 2):
        options = ("--seconds", "1", "--fps", "8", "--size", "48x36", "--quality", "draft")
        call("film", "fresh.toml", "-o", f"{jobs}.gif", "--jobs", jobs, *options)
    assert (tmp_path / "1.gif").read_bytes() == (tmp_path / "2.gif").read_bytes()


def test_a_jam_is_told_with_its_opening_and_nothing_is_written(call, tmp_path):
    (tmp_path / "jams.toml").write_text(JAMS, encoding="utf-8")
    outcome = call("film", "jams.toml", *SMALL)
    assert outcome.code == ExitCode.DESIGN_HAS_PROBLEMS
    assert outcome.out == ""
    assert any(
        line.startswith("jam: wedge.") and "72.6°" in line for line in outcome.err.splitlines()
    )
    assert sorted(file.name for file in tmp_path.iterdir()) == ["jams.toml"]


def test_the_part_that_works_is_filmed_when_asked_for(call, tmp_path):
    (tmp_path / "jams.toml").write_text(JAMS, encoding="utf-8")
    outcome = call(
        "film", "jams.toml", "--as-far-as-it-goes", "--seconds", "1", "--fps", "10", *SMALL
    )
    assert outcome.code == ExitCode.DESIGN_HAS_PROBLEMS
    assert "10 frames" in outcome.out
    pictures, _ = frames_of(tmp_path / "renders" / "jams.gif")
    assert width_of_the_book(pictures[0]) > 30  # it never closes


@pytest.mark.parametrize("extra", [(), ("--as-far-as-it-goes",)])
def test_what_cannot_be_assembled_says_by_how_many_millimetres(call, tmp_path, extra):
    (tmp_path / "tears.toml").write_text(TEARS, encoding="utf-8")
    outcome = call("still", "tears.toml", "--opening", "90", *SMALL[:4])
    assert outcome.code == ExitCode.DESIGN_HAS_PROBLEMS
    assert "cannot-assemble: roof." in outcome.err
    assert "mm" in outcome.err
    assert call("film", "tears.toml", *extra, *SMALL).code == ExitCode.DESIGN_HAS_PROBLEMS
    assert sorted(file.name for file in tmp_path.iterdir()) == ["tears.toml"]


def test_a_still_has_the_size_and_format_asked_for(call, leaf, tmp_path):
    outcome = call("still", "fresh.toml", "--opening", "120", *SMALL[:4])
    assert outcome.code == ExitCode.DONE, outcome.err
    with Image.open(tmp_path / "renders" / "fresh-120.png") as picture:
        assert (picture.size, picture.mode, picture.format) == ((96, 72), "RGB", "PNG")
        assert np.asarray(picture).std() > 10
    assert call("still", "fresh.toml", "-o", "a.jpg", *SMALL[:4]).code == ExitCode.DONE
    with Image.open(tmp_path / "a.jpg") as picture:
        assert picture.format == "JPEG"


@pytest.mark.parametrize(
    ("argv", "reason"),
    [
        (["film", "fresh.toml", "-o", "x.avi"], "x.avi"),
        (["film", "fresh.toml", "-o", "x"], "x"),
        (["still", "fresh.toml", "-o", "x.bmp"], "endings: .png"),
        (["film", "fresh.toml", "--seconds", "0.5", "--fps", "2"], "too short"),
        (["mesh", "fresh.toml", "--piece", "laef"], "pieces: page, leaf"),
        (["mesh", "fresh.toml", "-o", "fresh.toml"], "is a file"),
    ],
)
def test_wishes_that_cannot_be_met_write_nothing(call, leaf, tmp_path, argv, reason):
    outcome = call(*argv)
    assert outcome.code == ExitCode.WRONG_USE
    assert reason in outcome.err
    assert len(outcome.err.splitlines()) == 1
    assert [file.name for file in tmp_path.iterdir()] == ["fresh.toml"]


def test_a_value_can_be_set_for_once(call, leaf):
    first = call("angles", "fresh.toml", "--opening", "90", "--json").json
    other = call(
        "angles",
        "fresh.toml",
        "--opening",
        "90",
        "--json",
        "--set",
        "pieces.leaf.page_angle=[40, 36]",
    ).json
    changed = [a["fold"] for a, b in zip(first["folds"], other["folds"], strict=True) if a != b]
    assert changed
    assert all(name.startswith("leaf.") for name in changed)


def test_three_shapes_come_from_one_command(call, leaf, tmp_path):
    outcome = call("film", "fresh.toml", "--aspects", "1:1,16:9,9:16", "--action", "open",
                   "--seconds", "1", "--fps", "8", "--size", "48x48",
                   "--quality", "draft", "--jobs", "1", "--show-opening")  # fmt: skip
    assert outcome.code == ExitCode.DONE, outcome.err
    sizes = {}
    for file in (tmp_path / "renders").iterdir():
        with Image.open(file) as film:
            sizes[file.name] = film.size
    assert sizes == {
        "fresh-1x1.gif": (48, 48), "fresh-16x9.gif": (86, 48), "fresh-9x16.gif": (48, 86)
    }  # fmt: skip


def steady_frames(film, step_ms):
    """The frames of a film as they are seen, one every so many milliseconds."""
    pictures, delays = frames_of(film)
    return [
        picture.astype(np.uint8)
        for picture, delay in zip(pictures, delays, strict=True)
        for _ in range(round(delay / step_ms))
    ]


def test_no_film_flashes_more_than_three_times_a_second(call, leaf, tmp_path):
    """WCAG 2.2, success criterion 2.3.1, on the frames of a quick film."""
    from preview.drawing.contrast import most_flashes

    call("film", "fresh.toml", "--seconds", "1.2", "--fps", "20", *SMALL)
    frames = steady_frames(tmp_path / "renders" / "fresh.gif", 50)
    assert len(frames) == 24
    assert most_flashes(frames, 20) <= 3


def test_a_film_whose_light_goes_on_and_off_is_said_to_flash(call, leaf, tmp_path, monkeypatch):
    """The same film with every other pair of frames in the dark: five times a second."""
    from preview.drawing.contrast import most_flashes
    from preview.films import animation
    from preview.films.frames import StoredFrames

    lit = StoredFrames.__getitem__

    def flickering(frames, k):
        return lit(frames, k) // 8 if k % 4 > 1 else lit(frames, k)

    words = ("film", "fresh.toml", "--seconds", "1.2", "--fps", "20", *SMALL)
    assert "flashes" not in call(*words).err
    with monkeypatch.context() as patch:
        patch.setattr(StoredFrames, "__getitem__", flickering)
        # Here a pose has more than one picture.
        patch.setattr(animation, "SHOWN_BYTES", 0)
        outcome = call(*words)
    assert "warning: renders/fresh.gif flashes 5 times within a second" in outcome.err
    assert most_flashes(steady_frames(tmp_path / "renders" / "fresh.gif", 50), 20) == 5


@pytest.mark.parametrize(
    ("argv", "reason"),
    [
        (["--pause", "90"], "90:1.5"),
        (["--views", "reader"], "two views"),
        (["--views", "reader,abve"], "there is no view 'abve'; views: reader, near, overhead"),
        (["--aspects", "huge"], "16:9"),
        (["--action", "fly"], "open-close"),
    ],
)
def test_wrong_courses_of_a_film_are_told_in_one_line(call, leaf, argv, reason):
    outcome = call("film", "fresh.toml", *argv)
    assert outcome.code == ExitCode.WRONG_USE
    assert reason in outcome.err


def test_what_a_design_warns_of_is_said(call, tmp_path):
    from meshes import spread
    from tests.pieces.blossoms import BASE, flower, legs

    path = tmp_path / "bloom.toml"
    keys = 'name = "outer"\nangle = 52\nlength = 43\nparting = 29\n' + legs(14, 9.5, 5.0, 4.5)
    path.write_text(flower("", BASE, keys), encoding="utf-8")
    warnings = spread.read(path).warnings
    assert warnings
    outcome = call("pattern", "bloom.toml", "-o", "bloom.pdf")
    assert f"warning: {warnings[0]}" in outcome.err


@pytest.mark.parametrize("state", ["off", "as it was", "cut short", "other version", "vanishing"])
def test_whatever_state_the_cache_is_in_the_film_is_the_same(
    call, leaf, tmp_path, monkeypatch, state
):
    from meshes import program
    from preview.films import frames

    def film():
        outcome = call("film", leaf, "--seconds", "0.8", "--fps", "10", *SMALL)
        assert outcome.code == ExitCode.DONE, outcome.err
        return (tmp_path / "renders" / "fresh.gif").read_bytes()

    folder = tmp_path / "kept"
    monkeypatch.setenv("FOLDSTAGE_CACHE", str(folder))
    first = film()
    assert list(folder.glob("motions/*.entry"))
    if state == "off":
        monkeypatch.setenv("FOLDSTAGE_CACHE", "")
    if state == "cut short":
        for file in folder.rglob("*.entry"):
            file.write_bytes(file.read_bytes()[:-9])
    if state == "other version":
        monkeypatch.setattr(program, "digest", lambda: "another")
    if state == "vanishing":
        monkeypatch.setattr(frames._Reel, "draw", _while_the_cache_goes(frames._Reel.draw, folder))
        monkeypatch.setattr(frames, "LATELY_BYTES", 0)  # every frame is looked for there again
    assert film() == first


def _while_the_cache_goes(draw, folder):
    """Draw a pose, then empty the cache, as another program may at any moment."""

    def drawn(reel, *how):
        picture = draw(reel, *how)
        shutil.rmtree(folder, ignore_errors=True)
        return picture

    return drawn


def test_a_story_is_cut_in_two_shapes_and_takes_no_action(call, leaf, tmp_path):
    small = ("--size", "48", "--quality", "draft", "--jobs", "1", "--seconds", "15", "--fps", "1")
    outcome = call("film", "fresh.toml", "--course", "story", "--aspects", "16:9,9:16", *small)
    assert outcome.code == ExitCode.DONE, outcome.err
    assert "fresh-story-16x9.mp4: 15 frames, 15.0 s, 86 × 48" in outcome.out
    assert (tmp_path / "renders" / "fresh-story-9x16.mp4").exists()
    outcome = call("film", "fresh.toml", "--course", "story", "--turn", "30", *small)
    assert outcome.code == ExitCode.WRONG_USE
    assert "--turn is for films of the finished spread" in outcome.err
