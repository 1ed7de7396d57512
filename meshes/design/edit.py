"""Changing single values of a design file and nothing else in it: comments stay where they are."""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping
from typing import Any

from ..measure import Units, evaluate
from .values import place_in


def value_at(text: str, path: str, units: Units) -> float | None:
    """The number at a path in a design file, in the unit of the file; None if there is none.

    Parameters
    ----------
    path : such as ``pieces.fern.ridge`` or ``pieces.rose.layers.outer.length``, or a name in
        ``[values]``.
    units : of the file, with its values by name, for expressions.

    Raises
    ------
    ValueError
        If what is there is no number.
    """
    import tomlkit

    node: Any = tomlkit.parse(text).unwrap()
    for key in _keys(path):
        node = _inside(node, key)
        if node is None:
            return None
    if isinstance(node, str):
        return evaluate(node, units)
    if isinstance(node, bool) or not isinstance(node, int | float):
        raise ValueError(f"{path} is not a number, so it can't be varied")
    return float(node)


def patched(text: str, values: Mapping[str, float | tuple[float, ...]]) -> str:
    """The text of a design file with some numbers or lists of numbers changed.

    They are added where a key is missing.

    Raises
    ------
    ValueError
        If the table that the key belongs to is not there, or is no table, or a value not finite.
    """
    import tomlkit

    document = tomlkit.parse(text)
    for path, value in values.items():
        numbers = value if isinstance(value, tuple) else (value,)
        if not all(map(math.isfinite, numbers)):
            raise ValueError(f"{path}: {value} is not a finite number")
        *tables, key = _keys(path)
        node: Any = document
        for table in tables:
            node = _inside(node, table)
        if node is None or not hasattr(node, "add"):
            raise ValueError(f"{path}: there is no table {'.'.join(tables)} in the file")
        short = [int(one) if float(one).is_integer() else one for one in numbers]
        number = short if isinstance(value, tuple) else short[0]
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


def _inside(node: Any, key: str) -> Any:
    """What a table, or a list of tables, holds at a key; None if nothing."""
    if isinstance(node, list):
        place = place_in(node, key)
        return None if place is None else node[place]
    return node.get(key) if isinstance(node, dict) else None


def difference(name: str, old: str, new: str) -> str:
    """Both texts as a patch in the unified format, for ``patch`` or ``git apply``."""
    lines = difflib.unified_diff(
        old.splitlines(keepends=True), new.splitlines(keepends=True), f"a/{name}", f"b/{name}"
    )
    return "".join(lines)


def _keys(path: str) -> list[str]:
    return path.split(".") if "." in path else ["values", path]
