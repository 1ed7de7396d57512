"""``foldstage view`` and the animated mesh, as they are called."""

from __future__ import annotations

import re
import signal
import subprocess
import sys
import urllib.request
from pathlib import Path
from typing import Any

import pytest

GOOD = """title = "Fern"
[spread]
page = "A5"
[pieces.fern]
kind = "v-fold"
on = "gutter"
page_angle = 48
panel_angle = 62
base = 20
outline = { shape = "leaf", length = 60, width = 40 }
"""


@pytest.fixture
def fern(tmp_path: Path) -> Path:
    path = tmp_path / "fern.toml"
    path.write_text(GOOD)
    return path


def test_save_writes_one_page_and_names_it(call: Any, fern: Path, tmp_path: Path) -> None:
    outcome = call("view", "fern.toml", "--save", "out/fern.html")
    assert outcome.code == 0
    assert re.fullmatch(r"out/fern\.html \(\d+ kB\)\n", outcome.out.replace("\\", "/"))
    assert "<title>Fern</title>" in (tmp_path / "out" / "fern.html").read_text()


def test_a_saved_page_lists_the_fit_only_on_request(call: Any, fern: Path, tmp_path: Path) -> None:
    for options, checked in (((), "false"), (("--findings",), "true")):
        assert call("view", "fern.toml", "--save", "fern.html", *options).code == 0
        assert f'"checked":{checked}' in (tmp_path / "fern.html").read_text()


def test_a_broken_design_saves_nothing_and_says_why(call: Any, fern: Path, tmp_path: Path) -> None:
    fern.write_text(GOOD.replace("page_angle = 48", 'page_angle = "steep"'))
    outcome = call("view", "fern.toml", "--save", "fern.html")
    assert outcome.code == 1
    assert "fern" in outcome.err
    assert "page_angle" in outcome.err
    assert outcome.out == ""
    assert [path.name for path in tmp_path.iterdir()] == ["fern.toml"]


def test_save_and_desktop_exclude_each_other(call: Any, fern: Path) -> None:
    assert call("view", "fern.toml", "--save", "a.html", "--desktop").code == 2


def test_desktop_without_a_display_is_one_line(
    call: Any, fern: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    if not sys.platform.startswith("linux"):
        pytest.skip("other systems always have a display")
    monkeypatch.delenv("DISPLAY", raising=False)
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    outcome = call("view", "fern.toml", "--desktop")
    assert outcome.code == 2
    assert (
        outcome.err == "foldstage: there is no display here; leave --desktop out for the browser\n"
    )


def test_a_taken_port_is_one_line(call: Any, fern: Path) -> None:
    import socket

    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        outcome = call("view", "fern.toml", "--no-browser", "--port", port)
    assert outcome.code == 2
    assert f"port {port} is taken" in outcome.err


@pytest.mark.skipif(sys.platform == "win32", reason="Ctrl-C is another signal there")
def test_the_server_runs_until_it_is_interrupted(fern: Path) -> None:
    command = [sys.executable, "-m", "preview", "view", str(fern), "--no-browser"]
    # Whoever runs the tests in the background may ignore Ctrl-C, which would be inherited.
    with subprocess.Popen(
        command,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    ) as process:
        assert process.stdout is not None
        address = process.stdout.readline().strip()
        assert re.fullmatch(r"http://127\.0\.0\.1:\d+/", address)
        with urllib.request.urlopen(address, timeout=60) as answer:
            assert b"<title>Fern</title>" in answer.read()
        process.send_signal(signal.SIGINT)
        assert process.wait(timeout=60) == 0


def test_the_motion_is_written_as_one_animated_file(call: Any, fern: Path, tmp_path: Path) -> None:
    outcome = call("mesh", "fern.toml", "--format", "glb", "-o", "fern.glb")
    assert outcome.code == 0
    assert outcome.out.startswith("fern.glb (")
    assert (tmp_path / "fern.glb").read_bytes()[:4] == b"glTF"
    assert call("mesh", "fern.toml", "--format", "glb", "-o", "out").code == 0
    assert (tmp_path / "out" / "fern.glb").exists()
    assert call("mesh", "fern.toml", "--format", "glb", "--piece", "fern").code == 2
