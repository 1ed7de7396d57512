"""Designs that tests rely on: those that only they use lie here, the others are shipped."""

from __future__ import annotations

from collections.abc import Container, Iterable
from pathlib import Path
from typing import Any

import pytest

from meshes import designs

_HERE = Path(__file__).parent
# Layers on film, a wheel with slides, and curled wings; of each mechanism one is enough by day.
DAILY = ("campfire-night", "fox-in-the-grass", "peacock-court")


def each() -> list[Any]:
    """The shipped designs as parameters: a few of them by day, the others in the night's tests."""
    return by_day(designs.names(), DAILY)


def by_day(values: Iterable[Any], daily: Container[Any]) -> list[Any]:
    """Parameters: those of `daily` are asked by day, the others in the night's tests."""
    return [pytest.param(one, marks=() if one in daily else pytest.mark.night) for one in values]


def path(name: str) -> Path:
    """The file of a design; KeyError if it lies neither here nor among the shipped ones."""
    file = _HERE / f"{name}.toml"
    return file if file.exists() else designs.path(name)
