"""Spreads that several modules build: with their motion and their proved order."""

import pytest

from .specimens import BOX, FLOWER, solved


@pytest.fixture(scope="module")
def flower(tmp_path_factory):
    return solved(FLOWER, tmp_path_factory.mktemp("flower"))


@pytest.fixture(scope="module")
def crate(tmp_path_factory):
    return solved(BOX, tmp_path_factory.mktemp("crate"))
