"""Programs outside Python that some tests need."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest

# Filled by `npm ci` in preview/viewer.
NODE_MODULES = Path(__file__).parents[1] / "preview" / "viewer" / "node_modules"


def need(found: Any, what: str) -> None:
    """Skip the test without `found`; fail instead under ``CI``, where nobody would notice."""
    if found:
        return
    if os.environ.get("CI"):
        pytest.fail(f"{what} is missing, so this was not tested")
    pytest.skip(f"{what} is missing")
