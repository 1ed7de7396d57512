"""Every command of the first steps is run as it stands there, in its order; none is left out.

Lines that Windows wants otherwise are told beside those that are run.
"""

from __future__ import annotations

import os
import re
import shlex
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from meshes import spread
from meshes.check import case_of, report
from preview.gallery import CHANGES, OTHERS
from tests.bench.bench_first_steps import LEAF, PAGE, lines

ROOT = Path(__file__).parents[1]
SET_UP = "python3 -m venv .venv && .venv/bin/pip install ."
VIEWS = ["foldstage view my-flower.toml", "foldstage view"]


def test_every_line_is_run_or_served_or_sets_up():
    """Those that begin with something else would be run by nobody."""
    told = lines()
    served = [line for line in told if line.startswith("foldstage view")]
    run = [line for line in told if line.startswith("foldstage ") and line not in served]
    assert [line for line in told if line not in (SET_UP, *VIEWS, *run)] == []
    assert served == VIEWS
    assert len(run) + len(served) + 1 == len(told)


def test_commands_within_sentences_are_among_those():
    text = PAGE.read_text("utf-8")
    blocks = re.sub(r"```.*?```", "", text, flags=re.DOTALL)
    known = {" ".join(shlex.split(line)[:2]) for line in lines()} | {"foldstage help"}
    found = [" ".join(one.split()[:2]) for one in re.findall(r"`(foldstage [^`]+)`", blocks)]
    assert [one for one in found if one not in known] == []


def test_each_change_of_the_table_is_one_of_the_picture(call, tmp_path):
    table = re.findall(r"^\| `(.*?)` \|", PAGE.read_text("utf-8"), re.MULTILINE)
    pictured = [change.removeprefix("pieces.bloom.") for change in CHANGES]
    assert [one.replace('"', "") for one in table] == pictured
    call("new", "my-flower")
    text = (tmp_path / "my-flower.toml").read_text("utf-8")
    for change in table:
        key = change.partition(" = ")[0]
        changed = re.sub(rf"^{key} = .*$", change, text, count=1, flags=re.MULTILINE)
        assert changed != text
        assert spread.read(tmp_path / "my-flower.toml", text=changed).sheets


def test_every_picture_is_made_by_the_gallery():
    names = re.findall(r"renders/gallery/([\w-]+)\.", PAGE.read_text("utf-8"))
    assert len(names) == 3
    assert set(names) <= set(OTHERS)


@pytest.mark.parametrize(
    "line", [line for line in lines() if " new " in line and "--kind" not in line]
)
def test_what_is_quick_is_run_by_day(line, call):
    assert call(*shlex.split(line)[1:]).code == 0


def test_the_leaf_that_is_added_stands_well(call, tmp_path):
    call("new", "my-flower")
    design = tmp_path / "my-flower.toml"
    design.write_text(design.read_text("utf-8") + "\n" + LEAF, "utf-8")
    found = report(case_of(spread.read(design)), trims=False).findings
    assert [one.text for one in found if one.severity != "note"] == []


@pytest.mark.night
def test_all_of_it_runs_in_its_order(tmp_path):
    """As a beginner's computer does it: each line in a shell, one after the other."""
    program = tmp_path / "bin" / "foldstage"
    program.parent.mkdir()
    program.write_text(f'#!/bin/sh\nexec {shlex.quote(sys.executable)} -m preview "$@"\n')
    program.chmod(0o755)
    paths = {"PATH": f"{program.parent}{os.pathsep}{os.environ['PATH']}", "PYTHONPATH": str(ROOT)}
    for line in lines():
        if line == SET_UP:
            continue
        if line in VIEWS:
            _served(line, tmp_path, os.environ | paths)
            continue
        ended = subprocess.run(
            line, shell=True, cwd=tmp_path, env=os.environ | paths, capture_output=True, check=False
        )
        assert ended.returncode == 0, (line, ended.stderr.decode())
    made = {path.suffix for path in tmp_path.rglob("*") if path.is_file()}
    assert {".toml", ".png", ".mp4", ".pdf"} <= made


def _served(line: str, folder: Path, surroundings: dict[str, str]) -> None:
    """The page is served until Ctrl-C, which ends it well."""
    words = [*shlex.split(line), "--no-browser"]
    running = subprocess.Popen(
        words,
        cwd=folder,
        env=surroundings,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        start_new_session=True,
    )
    assert running.stdout is not None
    try:
        assert any("http://127.0.0.1" in said for said in iter(running.stdout.readline, ""))
    finally:
        os.killpg(running.pid, signal.SIGINT)
        assert running.wait(timeout=60) in (0, 130)


@pytest.mark.night
def test_the_line_that_sets_it_up_does(tmp_path):
    """In a copy of the project; what it needs comes from where this computer has packages from."""
    own = ["pyproject.toml", "README.md", "LICENSE", "meshes", "preview"]
    for name in own:
        one = ROOT / name
        copy = shutil.copytree if one.is_dir() else shutil.copy
        copy(one, tmp_path / name)
    ended = subprocess.run(SET_UP, shell=True, cwd=tmp_path, capture_output=True, check=False)
    assert ended.returncode == 0, ended.stderr.decode()
    assert (tmp_path / ".venv" / "bin" / "foldstage").exists()
