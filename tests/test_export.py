"""Files that appear whole or not at all, whoever else writes beside them."""

from __future__ import annotations

import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor

import pytest

from meshes import export
from meshes.export import whole_file, write_whole


def half_write(path, meanwhile=lambda: None):
    with whole_file(path) as part:
        part.write_text("half of")
        meanwhile()
        raise OSError("disk is full")


def test_after_an_error_all_is_as_it_was(tmp_path):
    old = tmp_path / "old.txt"
    old.write_text("before")
    for path in (old, tmp_path / "a" / "b" / "new.txt"):
        with pytest.raises(OSError, match="disk is full"):
            half_write(path)
    assert [path.name for path in tmp_path.rglob("*")] == ["old.txt"]
    assert old.read_text() == "before"


def test_a_folder_that_another_has_filled_meanwhile_stays(tmp_path):
    with pytest.raises(OSError, match="disk is full"):
        half_write(
            tmp_path / "a" / "mine", lambda: write_whole(tmp_path / "a" / "theirs", b"whole")
        )
    assert (tmp_path / "a" / "theirs").read_text() == "whole"


def test_many_may_make_the_same_folder_at_once(tmp_path, monkeypatch):
    """Another makes it just after this one has seen that it is missing."""
    from pathlib import Path

    mkdir = Path.mkdir

    def late(self, *args, **kwargs):
        os.makedirs(self, exist_ok=True)
        mkdir(self, *args, **kwargs)

    monkeypatch.setattr(Path, "mkdir", late)
    write_whole(tmp_path / "a" / "b" / "file", b"whole")
    assert (tmp_path / "a" / "b" / "file").read_bytes() == b"whole"


@pytest.mark.parametrize("name", ["x" * 251 + ".pdf", "ü" * 120 + ".pdf", ".hidden", "a\nb.txt"])
def test_any_name_that_the_system_takes_will_do(name, tmp_path):
    write_whole(tmp_path / name, b"whole")
    assert os.listdir(tmp_path) == [name]


@pytest.mark.skipif(os.name != "posix", reason="what runs is asked the POSIX way")
def test_what_a_killed_process_has_begun_is_swept_away_and_nothing_else(tmp_path):
    code = (
        "import os, signal, sys, pathlib; sys.path.insert(0, sys.argv[1])\n"
        "from meshes.export import whole_file\n"
        "with whole_file(pathlib.Path(sys.argv[2])) as part:\n"
        "    part.write_text('half'); os.kill(os.getpid(), signal.SIGKILL)"
    )
    root = os.path.dirname(os.path.dirname(export.__file__))
    target = tmp_path / "film.gif"
    subprocess.run([sys.executable, "-c", code, root, str(target)], check=False, timeout=60)
    (left,) = tmp_path.iterdir()
    assert left.name.startswith(".film.")
    others = {".film.gif", ".film.x.part.gif", "film.txt"}
    for name in others:
        (tmp_path / name).write_text("stays")
    with whole_file(target) as mine:
        mine.write_text("mine")
        with whole_file(target.with_name("film.mp4")) as beside:  # a living process's part stays
            beside.write_text("beside")
    assert {path.name for path in tmp_path.iterdir()} == others | {"film.gif", "film.mp4"}


def test_threads_may_write_different_files_at_once(tmp_path):
    with ThreadPoolExecutor(8) as pool:
        list(pool.map(lambda k: write_whole(tmp_path / f"{k}", bytes([k])), range(64)))
    assert all((tmp_path / f"{k}").read_bytes() == bytes([k]) for k in range(64))
