"""Motions that are kept on disk: the very same ones, or none."""

from __future__ import annotations

import pickle
import subprocess
import sys
from dataclasses import fields, replace
from importlib import metadata

import numpy as np
import pytest

from meshes import program, spread
from meshes.cache import Shelf
from meshes.motion import kept

OPENINGS = np.radians([0.0, 40, 90, 135, 180])
DESIGN = """title = "kept"
[spread]
page = "A5"
[papers.blue]
front = "#335577"
[pieces.roof]
kind = "tent"
at = 60
distance = 30
panel = 42
width = 36
paper = "blue"
[pieces.bloom]
kind = "blossom"
at = 130
angle = 53
length = 34
[pieces.disc]
kind = "wheel"
on = "page.right"
x = 100
y = 160
radius = 20
"""


@pytest.fixture
def shelf(tmp_path):
    return Shelf(tmp_path / "motions", 1 << 22)


@pytest.fixture
def read(tmp_path, shelf):
    def from_text(text=DESIGN):
        (tmp_path / "kept.toml").write_text(text, encoding="utf-8")
        return replace(spread.read(tmp_path / "kept.toml"), shelf=shelf)

    return from_text


@pytest.fixture
def solves(monkeypatch):
    """Counts what the solver is asked."""
    from meshes import drive

    asked = []
    solve = drive.solve

    def counting(*arguments):
        asked.append(arguments)
        return solve(*arguments)

    monkeypatch.setattr(drive, "solve", counting)
    return asked


def same(one, two):
    for name in (field.name for field in fields(one)):
        first, second = getattr(one, name), getattr(two, name)
        if name == "findings":
            assert first == second
        else:
            assert first.dtype == second.dtype
            assert first.shape == second.shape
            assert first.tobytes() == second.tobytes()


def test_a_kept_motion_is_the_solved_one_bit_for_bit(read, solves):
    first = read().solve(OPENINGS)
    second = read().solve(OPENINGS)
    assert len(solves) == 1
    same(first, second)
    same(first, replace(read(), shelf=None).solve(OPENINGS))


def test_findings_are_kept_as_well(read, solves):
    jammed = DESIGN.replace("length = 34", "length = 34\nlegs = { lowest_angle = 20 }")
    first, second = read(jammed).solve(OPENINGS), read(jammed).solve(OPENINGS)
    assert len(solves) == 1
    assert first.findings
    same(first, second)
    assert not second.solved.all()


def test_what_decides_a_motion_makes_another_entry(read, solves):
    plain = read()
    plain.solve(OPENINGS)
    read().solve(OPENINGS[1:])
    plain.solve(OPENINGS, {"disc": 0.5})
    plain.solve(OPENINGS, {"disc": np.linspace(0, 1, len(OPENINGS))})
    read(DESIGN.replace("panel = 42", "panel = 42.001")).solve(OPENINGS)
    read(DESIGN.replace("angle = 53", "angle = 53\nrest = 44")).solve(OPENINGS)
    assert len(solves) == 6


def test_a_colour_does_not(read, solves):
    read().solve(OPENINGS)
    blue = read(DESIGN.replace("335577", "112233")).solve(OPENINGS)
    assert len(solves) == 1
    same(blue, replace(read(), shelf=None).solve(OPENINGS))


def test_another_program_solves_anew(read, solves, monkeypatch):
    read().solve(OPENINGS)
    monkeypatch.setattr(program, "digest", lambda: "0.0+another")
    read().solve(OPENINGS)
    assert len(solves) == 2


@pytest.mark.parametrize("harm", ["cut short", "a bit turned", "empty", "gone", "folder gone"])
def test_a_damaged_entry_costs_time_only(read, solves, shelf, harm):
    first = read().solve(OPENINGS)
    (entry,) = shelf.folder.iterdir()
    data = entry.read_bytes()
    if harm == "cut short":
        entry.write_bytes(data[:-100])
    elif harm == "a bit turned":
        entry.write_bytes(data[:-200] + bytes([data[-200] ^ 1]) + data[-199:])
    elif harm == "empty":
        entry.write_bytes(b"")
    else:
        entry.unlink()
        if harm == "folder gone":
            shelf.folder.rmdir()
    same(first, read().solve(OPENINGS))
    assert len(solves) == 2
    same(first, read().solve(OPENINGS))
    assert len(solves) == 2


def test_a_disk_that_takes_nothing_costs_time_only(read, solves, tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("no folder")
    for _ in range(2):
        motion = replace(read(), shelf=Shelf(blocked / "motions", 1 << 22)).solve(OPENINGS)
        assert motion.solved.all()
    assert len(solves) == 2


def test_there_is_no_shelf_where_the_user_wants_none(monkeypatch):
    monkeypatch.setenv("FOLDSTAGE_CACHE", "")
    assert kept.shelf() is None


LIGHT = """
import sys
from preview.cli import main
main(["angles", "toadstool-glade", "--opening", "90"])
heavy = {"scipy.optimize", "PIL", "trimesh", "meshes.motion.solve", "meshes.check.case"}
sys.exit(", ".join(sorted(heavy & set(sys.modules))) or 0)
"""


def test_the_second_look_at_a_design_loads_no_solver():
    """Start-up is what a person waits for most often; it is kept short by what is not loaded."""
    looks = [
        subprocess.run([sys.executable, "-c", LIGHT], capture_output=True, text=True, check=False)
        for _ in range(2)
    ]
    assert "meshes.motion.solve" in looks[0].stderr
    assert looks[1].returncode == 0, looks[1].stderr
    assert looks[0].stdout == looks[1].stdout


def test_other_openings_of_one_spread_start_from_what_was_solved(read, monkeypatch):
    from meshes.motion.free.roam import Roamer

    led, lead = [], Roamer._lead
    monkeypatch.setattr(Roamer, "_lead", lambda self, flat: led.append(1) or lead(self, flat))
    made, others = read(), np.radians([20.0, 77, 120])
    made.solve(OPENINGS)
    walks = len(led)
    again = made.solve(others)
    assert walks
    assert len(led) == walks
    alone = replace(made, shelf=None).solve(others)
    assert len(led) == 2 * walks
    for field in fields(again):
        one, two = getattr(again, field.name), getattr(alone, field.name)
        assert np.array_equal(one, two), field.name


def test_what_was_solved_does_not_travel_to_another_process(read):
    made = read()
    made.solve(OPENINGS)
    sent = pickle.dumps(made)
    assert len(sent) < 1.01 * len(pickle.dumps(read()))
    assert np.array_equal(pickle.loads(sent).solve(OPENINGS).angles, made.solve(OPENINGS).angles)


@pytest.mark.parametrize("library", ["numpy", "scipy", "shapely", "foldstage"])
def test_a_version_read_from_the_name_of_its_record_is_that_in_the_record(library):
    assert program.version(library) == metadata.version(library)


def test_a_library_without_such_a_record_is_looked_up(monkeypatch):
    program.version.cache_clear()
    monkeypatch.setattr(program, "_recorded", lambda folder: ())
    assert program.version("numpy") == np.__version__


def test_a_part_of_a_motion_is_what_is_solved_for_it_alone(read, solves):
    # Judge: the same openings asked of a spread that knows nothing yet.
    some = np.radians([0.0, 7.0, 90.0, 133.0, 180.0])
    spread_of_all = read()
    spread_of_all.solve(np.radians(np.arange(0.0, 181.0, 1.0)))
    count = len(solves)
    part = spread_of_all.solve(some)
    assert len(solves) == count
    alone = replace(read(), shelf=None).solve(some)
    for field in fields(part):
        one, two = getattr(part, field.name), getattr(alone, field.name)
        if field.name != "findings":
            np.testing.assert_allclose(one, two, rtol=0, atol=1e-12)
    # What is not a part of it, or moved by hand, is solved.
    spread_of_all.solve(np.radians([0.0, 7.5]))
    spread_of_all.solve(some, {"disc": 0.25})
    assert len(solves) > count


def test_of_paper_that_gets_stuck_every_motion_is_solved(read):
    jammed = DESIGN.replace("length = 34", "length = 34\nlegs = { lowest_angle = 20 }")
    whole = read(jammed).solve(OPENINGS)
    assert whole.findings
    assert whole.part(OPENINGS[:2]) is None
