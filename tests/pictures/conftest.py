"""The design that ``foldstage new`` writes, as a small spread to look at."""

from __future__ import annotations

import pytest

from meshes import designs, spread


@pytest.fixture(scope="session")
def start(tmp_path_factory):
    path = tmp_path_factory.mktemp("start") / "start.toml"
    path.write_text(designs.start("start", path.name))
    return spread.read(path)
