"""What commands have found of a design is kept until anything changes that it depends on."""

from __future__ import annotations

import json

import numpy as np
import pytest

from meshes import check, designs, spread
from meshes.answers import Answers
from meshes.check.kept import packed, unpacked
from meshes.source import source
from preview.pictures import thumbnail

from .check.gallery import CARRIER, art, design, v_fold
from .check.test_commands import JAM

# Each with findings of its own: a place, cures, figures.
SOUND = design(v_fold("v", 45, 60, 80, 100))
CLASH = design(CARRIER, art("leaf", "t.left", [[-45, -10], [-5, -10], [-5, 10], [-45, 10]]))
LONG = design(v_fold("v", 45, 60, 150, 100))


@pytest.fixture
def file(tmp_path):
    (tmp_path / "beside").mkdir()
    (tmp_path / "folder").mkdir()
    (tmp_path / "beside" / "picture.png").write_bytes(b"one")
    (tmp_path / "other.png").write_bytes(b"one")
    path = tmp_path / "folder" / "case.toml"
    path.write_text('[deep]\nlist = [1, { image = "../beside/picture.png" }]\n')
    return path


def test_a_source_changes_with_the_design_with_what_it_names_and_with_values(file):
    before = source(file, {})
    assert source(file, {}) == before
    (file.parents[1] / "other.png").write_bytes(b"two")
    assert source(file, {}) == before
    found = {before, source(file, {"a": "1"}), source(file, {"a": 1.0})}
    picture = file.parents[1] / "beside" / "picture.png"
    picture.write_bytes(b"two")
    found.add(source(file, {}))
    picture.unlink()
    found.add(source(file, {}))
    file.write_text(file.read_text() + "\n")
    found.add(source(file, {}))
    assert len(found) == 6
    assert None not in found


def test_a_source_changes_with_every_drawing_of_a_folder_that_is_named(file):
    """Once only files were looked at: `check` then said of a changed drawing what it had said."""
    file.write_text('[pieces.fern]\nkind = "drawn"\nfile = "sheets"\n')
    sheets = file.parent / "sheets"
    sheets.mkdir()
    found = {source(file, {})}
    for name, text in (("a.svg", "one"), ("b.svg", "two"), ("a.svg", "three")):
        (sheets / name).write_text(text)
        found.add(source(file, {}))
    (sheets / "b.svg").rename(sheets / "c.svg")
    found.add(source(file, {}))
    assert len(found) == 5


@pytest.mark.parametrize("text", ["[", "a = \xff", '[a]\nb = "x"\n[a]\n'])
def test_what_is_no_toml_has_no_source(tmp_path, text):
    (tmp_path / "a.toml").write_bytes(text.encode("latin-1"))
    assert source(tmp_path / "a.toml", {}) is None


def test_dotted_keys_nest_deeper_than_calls_may_be(tmp_path):
    (tmp_path / "a.toml").write_text(".".join("a" * 5000) + ' = "b.png"\n')
    before = source(tmp_path / "a.toml", {})
    assert before is not None
    (tmp_path / "b.png").write_bytes(b"one")
    assert source(tmp_path / "a.toml", {}) not in (None, before)


def test_an_answer_holds_for_what_was_asked_of_that_file(file):
    first = Answers(file, {})
    assert first.get("what", 1) is None
    first.put({"z": [1.5, None], "a": "b"}, "what", 1)
    again = Answers(file, {}).get("what", 1)
    assert list(again.items()) == [("z", [1.5, None]), ("a", "b")]
    assert Answers(file, {}).get("what", 2) is None
    assert Answers(file, {"a": "1"}).get("what", 1) is None
    copy = file.with_name("copy.toml")
    copy.write_bytes(file.read_bytes())
    assert Answers(copy, {}).get("what", 1) is None
    file.write_text("")
    assert Answers(file, {}).get("what", 1) is None


def test_without_a_file_or_a_cache_folder_there_are_no_answers(tmp_path, file, monkeypatch):
    missing = Answers(tmp_path / "none.toml", {})
    missing.put(1, "what")
    assert missing.get("what") is None
    monkeypatch.setenv("FOLDSTAGE_CACHE", "")
    nowhere = Answers(file, {})
    nowhere.put(1, "what")
    assert nowhere.get("what") is None


@pytest.mark.parametrize("text", [SOUND, CLASH, LONG])
def test_a_report_is_the_same_after_it_was_kept(tmp_path, text):
    (tmp_path / "case.toml").write_text(text)
    made = spread.read(tmp_path / "case.toml")
    case = check.case_of(made)
    report = check.report(case, made.design.check)
    report = check.cured(made, case, report, made.design.check, {})
    again = unpacked(json.loads(json.dumps(packed(report))))
    assert again == report
    assert again.findings == report.findings


@pytest.mark.parametrize("text", [SOUND, CLASH, JAM])
def test_a_second_look_says_the_same_and_checks_nothing(call, tmp_path, monkeypatch, text):
    (tmp_path / "case.toml").write_text(text)
    words = [
        [name, "case.toml", *more] for name in ("check", "angles") for more in ([], ["--json"])
    ]
    first = [call(*line) for line in words]

    def never(*_, **__):
        raise AssertionError("it is checked again")

    monkeypatch.setattr(spread, "read", never)
    assert [call(*line) for line in words] == first
    with pytest.raises(AssertionError, match="checked again"):
        call("check", "case.toml", "--limit", "thickest=2")
    with pytest.raises(AssertionError, match="checked again"):
        call("angles", "case.toml", "--every", "45")
    with pytest.raises(AssertionError, match="checked again"):
        call("check", "case.toml", "--view", "overhead")


@pytest.mark.parametrize(
    "words",
    [
        ["plan", "case.toml", "--json"],
        ["thumbnail", "case.toml", "--json", "--size", "64x36", "--quality", "draft"],
    ],
)
def test_a_second_look_finds_the_same_thumbnail_and_tries_none(call, tmp_path, monkeypatch, words):
    (tmp_path / "case.toml").write_text(SOUND)
    first = call(*words, "--jobs", "1")
    assert first.code == 0

    def never(*_, **__):
        raise AssertionError("another way is tried")

    monkeypatch.setattr(thumbnail, "propose", never)
    assert call(*words, "--jobs", "1") == first
    with pytest.raises(AssertionError, match="is tried"):
        call(*words, "--jobs", "1", "--mood", "dusk")


def test_proposals_for_a_thumbnail_come_back_as_they_were():
    made = spread.read(designs.path("fox-in-the-grass"))
    motion = made.solve(np.radians([90.0, 150.0]))
    found = thumbnail.propose(made, motion, count=2)
    told = json.loads(json.dumps(thumbnail.told(found)))
    again = thumbnail.retold(told, made, motion)
    for one, other in zip(found, again, strict=True):
        assert (one.camera, one.score, one.opening) == (other.camera, other.score, other.opening)
        assert (
            thumbnail.silhouettes(one, (160, 90)) == thumbnail.silhouettes(other, (160, 90))
        ).all()
