"""The shipped script is what its sources give, and its licence lies beside it."""

from __future__ import annotations

import shutil
import subprocess
from importlib.resources import files

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


def test_three_js_comes_with_its_licence() -> None:
    licence = (BUNDLE / "LICENSE-three.txt").read_text()
    assert licence.startswith("The MIT License")
    assert "three.js authors" in licence


def test_no_registry_is_named_in_the_lock() -> None:
    assert "://" not in (NODE_MODULES.parent / "package-lock.json").read_text()
