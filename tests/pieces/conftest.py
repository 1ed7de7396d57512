"""Spreads made of a few pieces, without a file."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from meshes import spread
from meshes.design import Design, SpreadSettings
from meshes.design.model import PAPERS
from meshes.measure import Units
from meshes.pieces import KINDS
from meshes.spread import Spread

Make = Callable[..., Spread]


@pytest.fixture
def make() -> Make:
    """Build a spread from tables by name, as they would stand in a file."""

    def build(**tables: dict[str, Any]) -> Spread:
        pieces = {
            name: KINDS[table["kind"]].model_validate(table, context=Units())
            for name, table in tables.items()
        }
        papers = {name: settings.paper(name) for name, settings in PAPERS.items()}
        settings = SpreadSettings()
        return spread.build(Design("test", "test", "mm", settings, papers, pieces, {}))

    return build
