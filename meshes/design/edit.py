"""Changing single values of a design file and nothing else in it: comments stay where they are."""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping
from typing import Any

from ..measure import Units, evaluate


def value_at(text: str, path: str, units: Units) -> float | None:
    """The number at a path in a design file, in the unit of the file; None if there is none.

    Parameters
    ----------
    path : such as ``pieces.fern.ridge``, or a name in ``[values]``.
    units : of the file, with its values by name, for expressions.

    Raises
    ------
    ValueError
        If what is there is no number.
    """
    import tomlkit

    node: Any = tomlkit.parse(text).unwrap()
    for key in _keys(path):
        if not isinstance(node, dict) or key not in node:
            return None
        node = node[key]
    if isinstance(node, str):
        return evaluate(node, units)
    if isinstance(node, bool) or not isinstance(node, int | float):
        raise ValueError(f"{path} is not a number, so it can't be varied")
    return float(node)


def patched(text: str, values: Mapping[str, float]) -> str:
    """The text of a design file with some numbers changed, or added where a key is missing.

    Raises
    ------
    ValueError
        If the table that the key belongs to is not there, or is no table, or a value not finite.
    """
    import tomlkit

    document = tomlkit.parse(text)
    for path, value in values.items():
        if not math.isfinite(value):
            raise ValueError(f"{path}: {value} is not a finite number")
        *tables, key = _keys(path)
        node: Any = document
        for table in tables:
            node = node.get(table) if isinstance(node, dict) else None
        if node is None or not hasattr(node, "add"):
            raise ValueError(f"{path}: there is no table {'.'.join(tables)} in the file")
        number: float | int = int(value) if float(value).is_integer() else value
        if key in node:
            # Keep what follows the number on its line: its comment.
            old = node[key]
            item = tomlkit.item(number)
            if hasattr(old, "trivia"):
                item.trivia.comment = old.trivia.comment
                item.trivia.comment_ws = old.trivia.comment_ws
                item.trivia.indent = old.trivia.indent
                item.trivia.trail = old.trivia.trail
            node[key] = item
        else:
            node.add(key, number)
    return tomlkit.dumps(document)


def difference(name: str, old: str, new: str) -> str:
    """Both texts as a patch in the unified format, for ``patch`` or ``git apply``."""
    lines = difflib.unified_diff(
        old.splitlines(keepends=True), new.splitlines(keepends=True), f"a/{name}", f"b/{name}"
    )
    return "".join(lines)


def _keys(path: str) -> list[str]:
    return path.split(".") if "." in path else ["values", path]
