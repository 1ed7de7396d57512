"""The JSON that commands write for scripts: each says which schema it keeps, and in which version.

The schemas lie beside this module, a file for each command, in the terms of JSON Schema 2020-12.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from importlib import resources
from typing import Any

# Raised by one when a script that read the earlier form could trip over the new one.
VERSION = 1


def marked(name: str, data: Mapping[str, Any]) -> dict[str, Any]:
    """The data of a command with the name and version of its schema before it."""
    return {"schema": f"foldstage-{name}", "version": VERSION, **data}


def names() -> list[str]:
    """Commands that have a schema, sorted."""
    files = resources.files("preview.schemas").iterdir()
    return sorted(f.name.removesuffix(".json") for f in files if f.name.endswith(".json"))


def schema(name: str) -> dict[str, Any]:
    """The schema of a command's JSON; FileNotFoundError if it writes none."""
    text = resources.files("preview.schemas").joinpath(f"{name}.json").read_text("utf-8")
    return dict(json.loads(text))
