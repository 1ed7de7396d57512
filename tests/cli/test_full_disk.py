"""A full disk is one line, exit code 2, and nothing half written."""

from __future__ import annotations

import errno
import os

import pytest

COMMANDS = {
    "new": ["new", "second"],
    "still": ["still", "fresh.toml", "--size", "64x48", "--quality", "draft", "-o", "a.png"],
    "mesh": ["mesh", "fresh.toml", "--format", "glb", "-o", "a.glb"],
    "pattern": ["pattern", "fresh.toml", "-o", "a.pdf"],
}


@pytest.mark.parametrize("command", COMMANDS)
def test_a_full_disk_is_one_line_and_leaves_nothing(command, call, leaf, tmp_path, monkeypatch):
    def full(*paths):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(paths[-1]))

    monkeypatch.setattr(os, "replace", full)
    outcome = call(*COMMANDS[command])
    assert outcome.code == 2, outcome.err
    assert "No space left on device" in outcome.err.splitlines()[-1]
    assert "Traceback" not in outcome.err
    assert [path.name for path in tmp_path.iterdir()] == ["fresh.toml"]
