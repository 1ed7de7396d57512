"""The watcher shows the newest good scene, and says what is wrong with the file meanwhile."""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any

import pytest

from meshes import spread
from meshes.errors import DesignError, Mistake
from preview.errors import UseError
from preview.viewer.follow import Follower
from preview.viewer.watch import Build, State, Watcher, name_of, named_files
from tests.viewer.serving import unchecked

PATIENCE_S = 10.0


class Design:
    """A text file that is a scene unless it says "broken"."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.builds = 0
        self.ready = threading.Event()

    def build(self) -> Build:
        self.builds += 1
        text = self.path.read_text()
        if "broken" in text:
            mistakes = [
                Mistake("fern.toml", "is wrong", "fern", "at"),
                Mistake("fern.toml", "more"),
            ]
            raise DesignError(mistakes)
        found = [{"checked": True}] if "check" in text else []

        def news() -> list[dict[str, Any]]:
            return [found.pop()] if found and self.ready.is_set() else []

        return Build({"text": text}, (self.path,), news)


@pytest.fixture
def design(tmp_path: Path) -> Design:
    path = tmp_path / "fern.toml"
    path.write_text("one")
    return Design(path)


@pytest.fixture
def watcher(design: Design) -> Iterator[Watcher]:
    made = Watcher(design.build)
    made.start()
    yield made
    made.stop()


def after(watcher: Watcher, state: State) -> State:
    """The next state, or a failed test."""
    new = watcher.wait(state.news, PATIENCE_S)
    assert new.news > state.news
    return new


def test_a_saved_file_is_shown(watcher: Watcher, design: Design) -> None:
    first = watcher.state
    design.path.write_text("two")
    second = after(watcher, first)
    assert (second.scene, second.version, second.mistake) == ({"text": "two"}, 2, "")


def test_a_broken_file_keeps_the_last_good_scene_and_tells_its_mistakes(
    watcher: Watcher, design: Design
) -> None:
    first = watcher.state
    design.path.write_text("broken")
    second = after(watcher, first)
    assert second.scene == first.scene
    assert second.version == first.version
    assert second.mistake == "fern.toml: fern: at: is wrong\nfern.toml: more"
    design.path.write_text("mended")
    third = after(watcher, second)
    assert (third.scene, third.version, third.mistake) == ({"text": "mended"}, 2, "")


def test_a_file_that_is_away_for_a_moment_is_no_mistake_for_good(
    watcher: Watcher, design: Design
) -> None:
    """Editors save by writing a new file and renaming it over the old one."""
    state = watcher.state
    new = design.path.with_suffix(".part")
    new.write_text("renamed")
    os.replace(new, design.path)
    state = after(watcher, state)
    assert state.scene == {"text": "renamed"}
    design.path.unlink()
    state = after(watcher, state)
    assert "No such file" in state.mistake
    assert state.scene == {"text": "renamed"}
    design.path.write_text("back")
    state = after(watcher, state)
    assert (state.scene, state.mistake) == ({"text": "back"}, "")


@pytest.mark.parametrize("build", [1, 2])
def test_who_saves_while_the_scene_is_built_is_not_missed(tmp_path: Path, build: int) -> None:
    """In the first build, or in one that finds another file named."""
    path, reads, names = tmp_path / "mine.toml", [], '# "notes.svg"'
    text = 'title = "{}"\n[pieces.leaf]\nkind = "v-fold"\nat = 100\npage_angle = 38\n'
    text += 'panel_angle = 52\nbase = 24\noutline = {{ shape = "leaf", length = 80, width = 58 }}\n'
    path.write_text(text.format("first"))

    def read() -> spread.Spread:
        made = spread.read(path)
        reads.append(made.design.title)
        if len(reads) == build:  # an editor is quicker
            path.write_text(text.format("last") + names)
        return made

    follower = unchecked(Follower(path, read))
    watcher = Watcher(follower.build)
    watcher.start()
    if build == 2:
        (tmp_path / "notes.svg").write_text("<svg/>")
        path.write_text(text.format("second") + names)
    state = watcher.state
    while state.scene["title"] != "last":
        state = after(watcher, state)
    watcher.stop()
    follower.close()
    assert state.scene["made"] == name_of(path.read_text())


def test_a_touched_file_that_says_the_same_is_not_built_again(
    watcher: Watcher, design: Design
) -> None:
    state = watcher.state
    design.path.write_text("one")
    os.utime(design.path, (1, 1))
    assert watcher.wait(state.news, 0.5) is state
    assert design.builds == 1


def test_what_takes_longer_is_shown_later(watcher: Watcher, design: Design) -> None:
    state = watcher.state
    design.path.write_text("check")
    quick = after(watcher, state)
    assert quick.scene == {"text": "check"}
    design.ready.set()
    slow = after(watcher, quick)
    assert slow.scene == {"text": "check", "checked": True}
    assert slow.version == quick.version + 1
    # What was found is told by itself, and whoever looked away for longer is told all.
    assert slow.after(quick.version) == {"checked": True}
    assert slow.after(state.version) == slow.scene
    assert slow.after(slow.version) == {}


def test_who_has_written_a_file_need_not_wait_for_the_next_look(
    design: Design, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("preview.viewer.watch.LOOK_S", 1000.0)
    watcher = Watcher(design.build)
    watcher.start()
    design.path.write_text("two")
    first = watcher.state
    watcher.hurry()
    assert after(watcher, first).scene == {"text": "two"}
    watcher.stop()


def test_merging_what_has_changed_gives_the_scene_whenever_one_looks() -> None:
    """Random scenes, and a page that takes news now and then; None is what it makes of a gap."""
    random = Random(5)
    for _ in range(50):
        state = State({"a": 0})
        shown, version = dict(state.scene), state.version
        for _ in range(20):
            keys = random.sample("abcdef", 3)
            state = state.showing({key: random.choice([1, [2], {"x": 3}]) for key in keys})
            if random.random() < 0.4:
                told = state.after(version)
                assert all(shown.get(key) != value for key, value in told.items()) or version < (
                    state.version - 1
                )
                shown, version = {**shown, **told}, state.version
                assert {k: v for k, v in shown.items() if v is not None} == state.scene


def test_a_design_that_is_broken_from_the_start_is_the_callers_to_report(design: Design) -> None:
    design.path.write_text("broken")
    with pytest.raises(DesignError, match="is wrong"):
        Watcher(design.build)


def test_a_design_that_does_not_move_any_more_is_a_mistake_like_others(tmp_path: Path) -> None:
    path = tmp_path / "fern.toml"
    path.write_text("one")

    def build() -> Build:
        if path.read_text() == "stuck":
            raise UseError("this design does not move")
        return Build({"text": path.read_text()}, (path,))

    watcher = Watcher(build)
    watcher.start()
    path.write_text("stuck")
    assert after(watcher, watcher.state).mistake == "this design does not move"
    state = watcher.state
    path.write_text("two")
    assert after(watcher, state).scene == {"text": "two"}
    watcher.stop()


@pytest.mark.parametrize("where", ["build", "news"])
def test_an_error_that_nobody_foresaw_is_said_and_the_next_save_is_followed(
    tmp_path: Path, where: str
) -> None:
    """The thread that follows used to die of it, and the page never changed again."""
    path = tmp_path / "fern.toml"
    path.write_text("one")

    def fail(at: str) -> None:
        if at == where and path.read_text() == "two":
            raise ZeroDivisionError("no such\nnumber")

    def build() -> Build:
        fail("build")
        return Build({"text": path.read_text()}, (path,), lambda: fail("news") or ())

    watcher = Watcher(build)
    watcher.start()
    state = watcher.state
    path.write_text("two")
    while not state.mistake:
        state = after(watcher, state)
    assert "the program failed" in state.mistake
    assert "ZeroDivisionError: no such number" in state.mistake
    path.write_text("three")
    state = after(watcher, state)
    assert (state.scene, state.mistake) == ({"text": "three"}, "")
    watcher.stop()


def test_waiting_ends_when_the_watcher_stops(watcher: Watcher) -> None:
    watcher.stop()
    state: Any = watcher.wait(watcher.state.news, PATIENCE_S)
    assert state is watcher.state


def test_words_that_no_file_could_be_called_name_none(tmp_path: Path) -> None:
    """A long line in letters of several bytes ended `view` in a traceback."""
    design = tmp_path / "fern.toml"
    design.write_text('text = "{}"\n'.format("花" * 120), encoding="utf-8")
    assert named_files(design) == []


def test_drawings_and_images_that_a_design_names_are_watched(tmp_path: Path) -> None:
    for name in ("art/leaf.png", "drawn/boat.svg", "drawn/notes.txt", "fern.svg", "other.svg"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).touch()
    design = tmp_path / "fern.toml"
    design.write_text('file = "fern.svg"\nimage = "art/leaf.png"\nfile = "drawn"\nup = "../x"\n')
    found = [path.relative_to(tmp_path).as_posix() for path in named_files(design)]
    assert found == ["fern.svg", "art/leaf.png", "drawn/boat.svg"]
