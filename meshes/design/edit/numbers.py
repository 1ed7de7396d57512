"""Changing single numbers of a design file by their paths, and telling two texts apart."""

from __future__ import annotations

import difflib
from collections.abc import Mapping

from meshes.measure import Units, evaluate

from .spans import spans
from .splice import Path, find, value_of, with_value


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
    node = find(text, spans(text), keys_of(path))
    if node is None:
        return None
    value = value_of(text, node)
    if isinstance(value, str):
        return evaluate(value, units)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError(f"{path} is not a number, so it can't be varied")
    return float(value)


def patched(text: str, values: Mapping[str, float | tuple[float, ...]]) -> str:
    """The text of a design file with some numbers or lists of numbers changed.

    They are added where a key is missing.

    Raises
    ------
    EditError
        If there is no table that the key could stand in, or a value is not finite.
    """
    for path, value in values.items():
        text = with_value(text, keys_of(path), list(value) if isinstance(value, tuple) else value)
    return text


def difference(name: str, old: str, new: str) -> str:
    """Both texts as a patch in the unified format, for ``patch`` or ``git apply``."""
    lines = difflib.unified_diff(
        old.splitlines(keepends=True), new.splitlines(keepends=True), f"a/{name}", f"b/{name}"
    )
    return "".join(lines)


def keys_of(path: str) -> Path:
    """The keys of a path as people write it; a name alone is one of ``[values]``."""
    return tuple(path.split(".")) if "." in path else ("values", path)
