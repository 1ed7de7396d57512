"""Table and lying as a design's shots say them, where the command line leaves them open."""

from __future__ import annotations

import io

import numpy as np
import pytest

from meshes import spread
from meshes.design import shots as design_shots
from meshes.errors import DesignError
from preview.cli import main
from preview.cli.terminal import Terminal
from preview.drawing import lying, scene
from preview.plan.shots import Gear, plan
from preview.report.page import film_eye
from preview.shot import asked, tables
from preview.shot.optics import SENSORS
from tests.spreads import MEADOW

SHOTS = """
[shots.plain]
view = "low"

[shots.wood]
table = "oak"
lying = "left"

[shots.green]
view = "overhead"
table = "#335544"
lying = "both"
"""


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    path = tmp_path_factory.mktemp("asked") / "meadow.toml"
    path.write_text(MEADOW + SHOTS)
    return spread.read(path)


def test_the_words_of_the_file_are_those_of_the_command_line():
    assert tuple(tables.TABLES) == design_shots.TABLE_NAMES
    assert set(lying.LYINGS) == set(design_shots.LyingName.__args__)


def test_a_named_shot_speaks_for_itself_and_the_first_that_says_it_for_all_others(made):
    shots = made.design.shots
    for views, table, lies in (
        (["green"], "#335544", "both"),
        (["wood"], "oak", "left"),
        (["plain"], "oak", "left"),
        (["reader"], "oak", "left"),
        ([], "oak", "left"),
    ):
        assert asked.table_for(None, shots, views) == table
        assert asked.lying_for(None, shots, "thicker", views) == lies
    assert asked.table_for("linen", shots, ["green"]) == "linen"
    assert asked.lying_for("right", shots, "both", ["green"]) == "right"
    assert asked.table_for(None, {}, ["reader"]) == tables.OF_MOOD
    assert asked.lying_for(None, {}, "thicker") == "thicker"


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ('table = "oka"', ["shots.a.table", "'oka'", "linen, oak, cutting-mat", "try: oak"]),
        ('table = "#12345"', ["shots.a.table", "'#12345'", "#aab79c"]),
        ('lying = "flat"', ["shots.a.lying", "'flat'", "thicker"]),
    ],
)
def test_a_wrong_table_or_lying_is_told_with_what_is_allowed(tmp_path, line, told):
    path = tmp_path / "wrong.toml"
    path.write_text(f"{MEADOW}\n[shots.a]\n{line}\n")
    with pytest.raises(DesignError) as error:
        spread.read(path)
    assert all(word in str(error.value) for word in ("wrong.toml", *told)), str(error.value)


def test_a_still_lies_as_its_shot_says(tmp_path, monkeypatch):
    seen = []
    original = scene.assemble

    def noted(*args):
        seen.append((args[5], args[6]))
        return original(*args)

    monkeypatch.setattr(scene, "assemble", noted)
    path = tmp_path / "meadow.toml"
    path.write_text(MEADOW + SHOTS)
    words = ["--size=32x24", "--quality=draft", "--opening=120", "-o", str(tmp_path / "a.png")]
    for view, table, lies in (("green", "#335544", "both"), ("reader", "#b08d64", "left")):
        seen.clear()
        terminal = Terminal(io.StringIO(), io.StringIO(), tmp_path, live=False)
        assert main(["still", str(path), f"--view={view}", "--jobs=1", *words], terminal) == 0
        assert {(mood.table, way) for mood, way in seen} == {(table, lies)}


def test_the_plan_stands_for_a_notebook_that_lies_as_in_the_film(made):
    found = {shot.name: shot for shot in plan(made, Gear(SENSORS["aps-c"], 35.0)).shots}
    assert {name: shot.lying for name, shot in found.items()} == {
        "plain": "left",
        "wood": "left",
        "green": "both",
    }
    both = {s.name: s for s in plan(made, Gear(SENSORS["aps-c"], 35.0), lying="both").shots}
    assert both["green"].camera == found["green"].camera
    assert both["wood"].camera != found["wood"].camera


def test_the_check_looks_from_where_the_film_is_seen(made):
    """A point of paper lies in the eye of the check where the film's camera has it in its picture:
    the notebook is turned about its gutter in one and the camera in the other."""
    from preview.films.film import shot_of

    motion = made.solve(np.radians([60.0, 130.0]))
    shot = shot_of(made, motion, (640, 480), lying="left")
    eye_of = film_eye(made, motion, "reader")
    for stage, opening in enumerate(motion.openings.tolist()):
        eye = eye_of(np.zeros((1, 3)), opening)
        corners = np.concatenate(
            [
                np.column_stack([c := np.asarray(part.polygon.exterior.coords)[:, :2], 0 * c[:, 0]])
                @ motion.rotations[stage, b].T
                + motion.translations[stage, b]
                for b, body in enumerate(made.linkage.bodies)
                for part in body.parts
            ]
        )
        x, y, z = ((corners - eye.place) @ eye.axes.T).T
        pixel = np.column_stack(
            [320 * (1 + x / z / eye.reach[0]), 240 * (1 - y / z / eye.reach[1])]
        )
        rest = lying.AtRest.of(shot.book, opening, "left")
        assert pixel == pytest.approx(shot.camera.project(rest.points(corners), (640, 480)))
