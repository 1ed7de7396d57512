"""A piece as lines of a design file, each with a remark on what it means, taken from the models."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from textwrap import wrap
from typing import Any

from pydantic import BaseModel

from meshes.design.edit.splice import written, written_key
from meshes.design.mistakes import models_in
from meshes.outline import Shape
from meshes.pieces import KINDS

# Columns of a line, and the least from which a remark begins. Our choice.
_WIDTH, _FROM = 100, 24
# What a description says beyond its first thought.
_BEYOND = re.compile(r"\s*(?:[;(]|, (?:else|as in|at most|see)\b).*", re.DOTALL)


def lines(name: str, table: Mapping[str, Any], about: str) -> list[str]:
    """The lines of a piece under its header.

    Parameters
    ----------
    table : its keys as the file should have them.
    about : what it is, in a sentence or two, which stands above.
    """
    model = KINDS[table["kind"]]
    header = f"pieces.{written_key(name)}"
    found = [f"# {line}" for line in wrap(about, _WIDTH - 2)] + [f"[{header}]"]
    lists = {key: value for key, value in table.items() if _is_list_of_tables(model, key)}
    for key, value in table.items():
        if key not in lists:
            found += _entry(model, key, value)
    for key, value in lists.items():
        inner = next(iter(models_in(model.model_fields[key].annotation)))
        for entry in value:
            found += ["", f"[[{header}.{key}]]"]
            found += [line for one in entry for line in _entry(inner, one, entry[one])]
    return found


def _is_list_of_tables(model: type[BaseModel], key: str) -> bool:
    """Whether the entries of a list have headers of their own: tables that are no outlines."""
    models = list(models_in(model.model_fields[key].annotation))
    holds = "list[" in repr(model.model_fields[key].annotation)
    return holds and bool(models) and not any(issubclass(one, Shape) for one in models)


def _entry(model: type[BaseModel], key: str, value: Any) -> Iterator[str]:
    """A key with its remark behind it, or above it where there is no room."""
    remark = remark_of(model, key)
    if isinstance(value, list) and value and isinstance(value[0], Mapping):
        yield f"{written_key(key)} = [" + (f"  # {remark}" if remark else "")
        yield from (f"    {written(one)}," for one in value)
        yield "]"
        return
    line = f"{written_key(key)} = {written(value)}"
    if not remark:
        yield line
        return
    beside = f"{line:<{_FROM}}# {remark}" if len(line) < _FROM else f"{line}  # {remark}"
    if len(beside) <= _WIDTH:
        yield beside
    else:
        yield from (f"# {part}" for part in wrap(remark, _WIDTH - 2))
        yield line


def remark_of(model: type[BaseModel], key: str) -> str:
    """What a key means, in its first thought."""
    description = model.model_fields[key].description or ""
    if key == "kind":
        return "the kind of piece"
    return _BEYOND.sub("", description).replace("`", "").strip()
