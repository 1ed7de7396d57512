"""The shipped script is what its sources give, and its licence lies beside it."""

from __future__ import annotations

import shutil
import subprocess
from importlib.resources import files
from pathlib import Path

import numpy as np

from meshes.spread import read
from preview.viewer.desk import Desk
from preview.viewer.follow import Follower
from preview.viewer.page import assemble
from preview.viewer.payload import payload
from preview.viewer.server import SECRET_HEADER
from tests.required import NODE_MODULES, need

BUNDLE = files("preview.viewer") / "bundle"


def test_the_bundle_is_what_the_sources_give() -> None:
    need(shutil.which("node"), "the program node")
    need((NODE_MODULES / "esbuild").exists(), "esbuild (npm ci in preview/viewer)")
    run = subprocess.run(
        ["node", "build.mjs", "--check"],
        cwd=NODE_MODULES.parent,
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert (run.returncode, run.stderr) == (0, "")


def test_a_page_to_send_holds_nothing_that_changes_a_design(tmp_path: Path) -> None:
    """Neither what the server is asked, nor what lies on the table of who works; the other does."""
    design = tmp_path / "t.toml"
    design.write_text('[pieces.t]\nkind = "tent"\nat = 90\ndistance = 20\npanel = 30\nwidth = 30\n')
    spread = read(design)
    scene = payload(spread, spread.solve(np.radians(np.arange(181.0))))
    follower, desk = Follower(design, lambda: spread), Desk(design)
    addresses = [*follower.answers(), *desk.answers(), "/files/make", "/scene.json", "/events"]
    words = [f'"{address}' for address in addresses]
    words += [SECRET_HEADER, "EventSource", "Shape the paper", "Paper drawer", "Light table"]
    words += ['id="tug"', 'id="mistake"', "#notebook", "#light-table", "#slip", ".cures"]
    words += ["while you pull", "<!--"]
    sent = assemble(scene)
    assert [word for word in words if word in sent] == []
    live = assemble({**scene, "live": True, "secret": "s", "version": 1}).replace("`/", '"/')
    absent = [word for word in words if word not in live]
    assert absent == ["<!--"]
    # A tenth of what the other has is not in it; without the scene, which both have.
    assert len(live) - len(sent) > 0.1 * len(live)


def test_three_js_comes_with_its_licence() -> None:
    licence = (BUNDLE / "LICENSE-three.txt").read_text()
    assert licence.startswith("The MIT License")
    assert "three.js authors" in licence


def test_no_registry_is_named_in_the_lock() -> None:
    assert "://" not in (NODE_MODULES.parent / "package-lock.json").read_text()
