"""The desktop window: its scene and its keys, and the real window where there is a display."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from meshes.spread import Spread
from preview import window
from preview.errors import UseError
from tests.required import need
from tests.viewer.conftest import TULIP

STAGES = np.radians(np.arange(181.0))


@pytest.fixture(scope="module")
def display() -> Iterator[str]:
    """A screen that nobody sees."""
    need(shutil.which("Xvfb"), "the program Xvfb")
    reading, writing = os.pipe()
    with subprocess.Popen(
        ["Xvfb", "-displayfd", str(writing), "-screen", "0", "1280x900x24"],
        pass_fds=[writing],
        stderr=subprocess.DEVNULL,
    ) as server:
        os.close(writing)
        with os.fdopen(reading) as line:
            name = f":{line.readline().strip()}"
        yield name
        server.terminate()


DRIVE = """
import os
import sys
import numpy as np
import pyglet
from PIL import ImageGrab
from meshes import spread
from preview import window

window.SIZE = (480, 340)
stages = []
made = window.Stage.__init__
def remember(self, *args):
    made(self, *args)
    stages.append(self)
window.Stage.__init__ = remember

def opening():
    return round(float(np.degrees(stages[0].opening)), 3)

def act():
    "Press keys like a person: the next when the window has had time to draw."
    import pyglet.window.key as key
    (shown,) = pyglet.app.windows
    def press(symbol):
        shown.dispatch_event("on_key_press", symbol, 0)
    yield
    yield
    for symbol in (key.RIGHT, key.UP, key.LEFT, key.DOWN, key.DOWN):
        press(symbol)
        yield
    seen = np.asarray(ImageGrab.grab(xdisplay=os.environ["DISPLAY"]))[40:300, 40:440]
    print(opening(), int(np.ptp(seen)), flush=True)
    start = opening()
    press(key.SPACE)
    while opening() == start:
        yield
    press(key.SPACE)
    yield
    rest = opening()
    yield
    print(opening() == rest, flush=True)
    shown.on_close()

acts = []
def step(_):
    acts.append(acts.pop() if acts else act())
    next(acts[0], None)

read = spread.read(sys.argv[1])
motion = read.solve(np.radians(np.arange(181.0)))
pyglet.clock.schedule_interval(step, 0.15)
window.show(read, motion)
"""


@pytest.mark.night
def test_the_window_shows_the_spread_and_obeys_its_keys(display: str, tmp_path: Path) -> None:
    design, script = tmp_path / "tulip.toml", tmp_path / "drive.py"
    design.write_text(TULIP)
    script.write_text(DRIVE)
    run = subprocess.run(
        [sys.executable, str(script), str(design)],
        env={**os.environ, "DISPLAY": display, "PYTHONPATH": str(Path(__file__).parents[2])},
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert run.returncode == 0, run.stderr
    # From 146°: one up, ten up, one down, twice ten down; then it played until it was stopped.
    (opening, contrast), (stopped,) = [line.split() for line in run.stdout.splitlines()]
    assert float(opening) == pytest.approx(136)
    assert int(contrast) > 100
    assert stopped == "True"


def test_without_a_display_the_browser_is_proposed(
    tulip: Spread, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    for name in ("DISPLAY", "WAYLAND_DISPLAY"):
        monkeypatch.delenv(name, raising=False)
    with pytest.raises(UseError, match="leave --desktop out"):
        window.show(tulip, tulip.solve(STAGES))


class Scene:
    """Stands for pyrender's scene: meshes that are nodes, added and taken away."""

    def __init__(self, drawn: Any) -> None:
        self.mesh_nodes = [Node(surface, np.eye(4)) for surface in drawn.surfaces]

    def remove_node(self, node: Node) -> None:
        self.mesh_nodes.remove(node)

    def add(self, mesh: Any, pose: np.ndarray) -> None:
        self.mesh_nodes.append(Node(mesh, pose))


class Node:
    def __init__(self, mesh: Any, matrix: np.ndarray) -> None:
        self.mesh, self.matrix = mesh, matrix


def test_every_opening_is_drawn_as_the_solver_has_it(
    tulip: Spread, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(window, "_made", lambda drawn, camera: Scene(drawn))
    motion = tulip.solve(STAGES)
    stage = window.Stage(tulip, motion)
    assert np.degrees(stage.opening) == pytest.approx(146)
    for step, expected in ((-window.STRIDE, 136), (window.STEP, 137), (9.0, 180), (-9.0, 0)):
        stage.move(step)
        assert np.degrees(stage.opening) == pytest.approx(expected)
        (left,) = [n.mesh for n in stage.scene.mesh_nodes if n.mesh.name == "tulip.left"]
        body, _ = tulip.linkage.place("tulip.left")
        turn = motion.rotations[round(expected), body] @ np.array([0.0, 0.0, 1.0])
        assert abs(left.normal @ turn) == pytest.approx(1)
