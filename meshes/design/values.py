"""The numbers that a design gives names to, and what the command line sets instead."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import Any

from meshes.errors import Mistake
from meshes.measure import MM_PER_UNIT, Units, evaluate, shown

from .mistakes import listed, nearest

# What a key is set to instead of what the file says.
Setting = str | float | tuple[float, ...]

_NAME = re.compile(r"[^\W\d][\w-]*")


def resolve(
    table: Any, units: str, file: str, overrides: Mapping[str, Setting]
) -> tuple[dict[str, float], list[Mistake]]:
    """Evaluate ``[values]``; values may build on each other in any order.

    Returns
    -------
    Numbers by name, in the unit of the file, and what is wrong.
    """
    if not isinstance(table, dict):
        return {}, [Mistake(file, "should be a table", key="values", found=shown(table))]
    raw = {**table, **overrides}
    mistakes: list[Mistake] = []
    done: dict[str, float] = {}
    waiting = dict(raw)
    while waiting:
        ready = {n: v for n, v in waiting.items() if not names_in(v) & set(waiting)}
        if not ready:
            mistakes.append(
                Mistake(file, f"go round in a circle: {listed(sorted(waiting))}", key="values")
            )
            break
        for name, value in ready.items():
            del waiting[name]
            try:
                done[name] = _number(name, value, Units(units, done))
            except ValueError as error:
                # Keep on with a number, so that what uses it is not blamed as well.
                done[name] = 1.0
                mistakes.append(Mistake(file, str(error), key=f"values.{name}"))
    return done, mistakes


def names_in(value: Any) -> set[str]:
    """Words of an expression that can be names in ``[values]``; none in a number."""
    return set(_NAME.findall(value)) if isinstance(value, str) else set()


def _number(name: str, value: Any, units: Units) -> float:
    if not _NAME.fullmatch(name) or name in MM_PER_UNIT or name == "deg":
        raise ValueError("is not a name for a value: letters, digits, - and _, and no unit")
    if isinstance(value, str):
        return evaluate(value, units)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError(f"is not a number; found {shown(value)}")
    if not math.isfinite(float(value)):
        raise ValueError(f"is not a finite number; found {shown(value)}")
    return float(value)


def apply(
    tables: dict[str, Any], overrides: Mapping[str, Setting], file: str
) -> tuple[dict[str, Any], dict[str, Setting], list[Mistake]]:
    """Set keys by their path, such as ``pieces.fern.at``; plain names are left for the values.

    Returns
    -------
    The tables with the keys set, the overrides of values, and what is wrong.
    """
    mistakes = []
    names: dict[str, Setting] = {}
    known = tables.get("values", {})
    for path, value in overrides.items():
        if "." in path:
            changed = _set({"spread": {}, "papers": {}, **tables}, path.split("."), value)
            if changed is not None:
                tables = changed
                continue
        elif isinstance(known, dict) and path in known:
            names[path] = value
            continue
        advice = nearest(path, known) if isinstance(known, dict) else ""
        mistakes.append(
            Mistake(
                file,
                "cannot be set: it is neither a name in [values] nor a key of a table",
                key=path,
                allowed=listed(known) if isinstance(known, dict) else "",
                advice=advice or "pieces.NAME.KEY=VALUE",
            )
        )
    return tables, names, mistakes


def _set(tables: dict[str, Any], path: list[str], value: Setting) -> dict[str, Any] | None:
    """A copy with the key at `path` set, or None if the tables on the way are not there.

    In a list of tables, such as the layers of a blossom, the way leads by `name` or number.
    """
    head, *rest = path
    if not rest:
        return {**tables, head: _typed(value)}
    inner = tables.get(head)
    if isinstance(inner, list):
        place = place_in(inner, rest[0])
        changed = _set(inner[place], rest[1:], value) if place is not None and rest[1:] else None
        if place is None or changed is None:
            return None
        return {**tables, head: [*inner[:place], changed, *inner[place + 1 :]]}
    if not isinstance(inner, dict):
        return None
    changed = _set(inner, rest, value)
    return None if changed is None else {**tables, head: changed}


def place_in(tables: list[Any], key: str) -> int | None:
    """Where in a list of tables the one with a `name` stands, or that of a number from 1."""
    names = [table.get("name") if isinstance(table, dict) else None for table in tables]
    if key in names:
        return names.index(key)
    numbered = key.isdecimal() and 1 <= int(key) <= len(tables)
    return int(key) - 1 if numbered and isinstance(tables[int(key) - 1], dict) else None


def _typed(value: Setting) -> Any:
    """A value from the command line as TOML would read it, or else the text itself."""
    import tomllib

    if not isinstance(value, str):
        return value
    try:
        return tomllib.loads(f"value = {value}")["value"]
    except tomllib.TOMLDecodeError:
        return value
