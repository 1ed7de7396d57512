"""A small spread to look at."""

from __future__ import annotations

import pytest

from meshes import spread
from tests.spreads import MEADOW


@pytest.fixture(scope="session")
def start(tmp_path_factory):
    path = tmp_path_factory.mktemp("start") / "start.toml"
    path.write_text(MEADOW)
    return spread.read(path)
