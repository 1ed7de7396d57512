"""The numbers of a kind of piece: what each is called and means, and where it is seen."""

from __future__ import annotations

import tomllib
import types
import typing
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, get_args

from pydantic import BaseModel

from meshes import outline
from meshes.design.mistakes import models_in
from meshes.design.reference import default_of
from meshes.pieces import KINDS
from meshes.pieces.piece import Piece
from meshes.pull.marks import Mark, marks
from meshes.pull.sketch import Sketch

from .specimen import Specimen


@dataclass(frozen=True)
class Measure:
    """A number of a specimen.

    Parameters
    ----------
    name : its path below the piece, with dots.
    label : how it is written at its dimension line.
    value : in the file's unit or degrees.
    seen : where it is seen on the flat sheets, if it is.
    """

    name: str
    label: str
    value: float | None
    given: bool
    seen: Mark | None


@dataclass(frozen=True)
class Key:
    """A key that holds a number, or several, and what it means.

    Parameters
    ----------
    name : with the key of its table before it, as in ``legs.width``.
    value : what the specimen has there, or what is taken instead; in words.
    given : whether the specimen has it.
    """

    name: str
    value: str
    given: bool
    means: str


def measures(specimen: Specimen) -> list[Measure]:
    """All numbers of the specimen's piece that it has or that are taken instead."""
    sketch = Sketch(tomllib.loads(specimen.text), specimen.spread)
    seen = marks(sketch, specimen.piece)
    found = []
    for number in sketch.numbers(specimen.piece):
        if number.path[:2] != ("pieces", specimen.piece) or number.value is None:
            continue
        path = number.path[2:]
        shape = any(key in _shapes(specimen.kind) for key in path)
        # Zero that is not given says that something is left out.
        plain = number.given or (number.value != 0 and not shape)
        name = ".".join(map(str, path))
        unit = "°" if number.bounds.what == "angle" else ""
        label = f"{called(path)} = {number.value:g}{unit}"
        mark = seen.get(number.path) if plain else None
        found.append(Measure(name, label, number.value, number.given, mark))
    return found


def _shapes(kind: str) -> set[str]:
    """Keys that hold outlines."""
    return {
        key
        for key, field in KINDS[kind].model_fields.items()
        if any(issubclass(model, outline.Shape) for model in models_in(field.annotation))
    }


def called(path: Sequence[str | int]) -> str:
    """A number's path as a maker reads it: ``panels 2``, ``treads 1: at``."""
    words = ""
    for key in path:
        if isinstance(key, int):
            words += f" {key + 1}"
        else:
            words += f"{': ' if words else ''}{key}"
    return words


def keys(specimen: Specimen) -> list[Key]:
    """Every key of the kind's models that holds numbers, those of outlines excepted."""
    table = tomllib.loads(specimen.text)["pieces"][specimen.piece]
    return list(_keys(KINDS[specimen.kind], table, "", set()))


def _keys(
    model: type[BaseModel], table: Any, before: str, told: set[type[BaseModel]]
) -> Iterator[Key]:
    """Keys of a model, then those of the tables in it that were not told before."""
    known = {(name, field.description) for one in told for name, field in one.model_fields.items()}
    told.add(model)
    for name, field in model.model_fields.items():
        if name in Piece.model_fields or (name, field.description) in known:
            continue
        here = table.get(name) if isinstance(table, dict) else None
        if holds_numbers(field.annotation):
            value = _told(here) if here is not None else default_of(field).strip("–")
            given = here is not None or field.is_required()
            yield Key(before + name, value, given, field.description or "")
        for inner in models_in(field.annotation):
            if not issubclass(inner, outline.Shape) and inner not in told:
                first = here[0] if isinstance(here, list) and here else here
                yield from _keys(inner, first, f"{before}{name}: ", told)


def holds_numbers(annotation: Any) -> bool:
    """Whether a type is a number, or a list of such."""
    origin, inner = typing.get_origin(annotation), get_args(annotation)
    if origin is typing.Annotated:
        return holds_numbers(inner[0])
    if origin in (typing.Union, types.UnionType):
        return any(holds_numbers(choice) for choice in inner)
    if origin in (list, tuple):
        return any(holds_numbers(choice) for choice in inner if choice is not Ellipsis)
    return annotation in (int, float)


def _told(value: Any) -> str:
    if isinstance(value, list):
        return f"[{', '.join(map(_told, value))}]"
    return f"{value:g}" if isinstance(value, int | float) else str(value)
