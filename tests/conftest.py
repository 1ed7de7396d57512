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
