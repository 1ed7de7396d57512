"""Runs the real command line in process and hands back what it said."""

from __future__ import annotations

import io
import json
from dataclasses import dataclass

import pytest

from preview.cli import main
from preview.cli.terminal import Terminal


@dataclass(frozen=True)
class Outcome:
    """What one call of the command line left behind."""

    code: int
    out: str
    err: str

    @property
    def json(self):
        return json.loads(self.out)


# Two panels, flat art and nothing that the solver must think about for long.
LEAF = """
title = "One leaf"

[pieces.leaf]
kind = "v-fold"
at = 100
page_angle = 38
panel_angle = 52
foot = 24
front = "#3f7a5a"
outline = { shape = "leaf", length = 80, width = 58 }

[pieces.meadow]
kind = "flat"
on = "page.left"
front = "#b9cf9a"
outline = { shape = "ellipse", length = 50, width = 96 }
"""


@pytest.fixture
def leaf(tmp_path):
    """A small design, ``fresh.toml``, in the folder that `call` works in."""
    file = tmp_path / "fresh.toml"
    file.write_text(LEAF, encoding="utf-8")
    return file


@pytest.fixture
def call(tmp_path, monkeypatch):
    """Call ``foldstage`` with some arguments in an empty folder; `live` pretends a terminal."""
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.delenv("FOLDSTAGE_TRACEBACK", raising=False)

    def run(*argv, live=False):
        out, err = io.StringIO(), io.StringIO()
        terminal = Terminal(out, err, tmp_path, live=live)
        code = main([str(word) for word in argv], terminal)
        return Outcome(code, out.getvalue(), err.getvalue())

    return run
