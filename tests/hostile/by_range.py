"""Designs whose every number lies inside its documented range, drawn from the models themselves.

A key that is added to a model is tried here without a word; only what a text may be is told.
"""

from __future__ import annotations

import math
import random
import types
import typing
from collections.abc import Sequence
from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from meshes.design.model import PaperSettings, SpreadSettings
from meshes.measure import Bounds, Pair
from meshes.pieces import KINDS

# Text that means something, by the name of its key.
WORDS: dict[str, Sequence[str]] = {
    "text": ("A", "Grüße", " ", "\t", "W" * 200, "🌿 leaf", "\u2028", "fi\u0301"),
    "file": ("picture.png", "missing.png", "drawing.svg"),
    "font": ("missing.ttf",),
    "path": ("M0 0 L10 0 L5 9 Z", "M0 0 C 0 40 30 40 30 0 Z", "M0 0 H1e-7 V9 Z", "M0 0 10 10 Z"),
    "paper": ("card", "film", "paper"),
    "strut_paper": ("card", "film"),
    "facet": ("left", "panels.left"),
    "page": ("A5", "A6"),
}
_DEEPEST = 4


def design(chance: random.Random) -> dict[str, Any]:
    """The tables of a design of one to four pieces."""
    pieces: dict[str, Any] = {}
    for k in range(chance.choice((1, 1, 2, 3, 4))):
        kind = chance.choice(list(KINDS))
        pieces[f"piece-{k + 1}"] = piece(chance, kind, list(pieces))
    tables: dict[str, Any] = {"pieces": pieces}
    if chance.random() < 0.2:
        tables["spread"] = table(chance, SpreadSettings, 0.2)
        for key in ("width", "height"):
            tables["spread"].pop(key, None)
    if chance.random() < 0.2:
        tables["papers"] = {"card": table(chance, PaperSettings, 0.4)}
    return tables


def piece(chance: random.Random, kind: str, others: list[str]) -> dict[str, Any]:
    """One piece; most of its optional keys are left out, so that it often can be built."""
    model = KINDS[kind]
    keys = table(chance, model, chance.choice((0.0, 0.1, 0.4)))
    keys["kind"] = kind
    if model.stands_on == "crease":
        keys["on"] = chance.choice(("gutter", "gutter", *(f"{n}.ridge" for n in others)))
        if keys["on"] == "gutter" and chance.random() < 0.7:
            keys["at"] = _within(chance, 0, 210)
    else:
        places = ("page.left", "page.right", *(f"{n}.{s}" for n in others for s in ("left", "art")))
        keys["on"] = chance.choice(places)
    keys.pop("folds", None)
    return keys


def table(chance: random.Random, model: type[BaseModel], share: float, depth: int = 0) -> Any:
    """Values for all required keys of a model and for a share of the others."""
    values = {}
    for name, field in model.model_fields.items():
        if not field.is_required() and chance.random() >= share:
            continue
        if name in ("repeat", "on"):
            continue
        value = _value(chance, field.annotation, list(field.metadata), name, depth, field)
        if value is not None:
            values[name] = value
    return values


def _value(
    chance: random.Random,
    kind: Any,
    metadata: list[Any],
    name: str,
    depth: int,
    field: FieldInfo | None = None,
) -> Any:
    for item in metadata:
        if isinstance(item, Bounds):
            return _within(chance, item.low, item.high)
        if isinstance(item, Pair):
            one = _within(chance, item.each.low, item.each.high)
            return one if chance.random() < 0.6 else [one, _near(chance, one, item.each)]
    origin, inner = get_origin(kind), get_args(kind)
    if origin is typing.Annotated:
        return _value(chance, inner[0], [*inner[1:]], name, depth)
    if origin in (typing.Union, types.UnionType):
        some = [option for option in inner if option is not type(None)]
        if depth >= _DEEPEST:
            some = [o for o in some if "Union" not in repr(o)] or some
        return _value(chance, chance.choice(some), [], name, depth)
    if origin is Literal:
        return chance.choice(inner)
    low, high = _length(metadata)
    if origin is list:
        count = chance.choice((low, low, min(high, low + 1), min(high, low + 3)))
        return [_inner(chance, inner[0], name, depth + 1) for _ in range(count)]
    if origin is tuple:
        return [_inner(chance, option, name, depth) for option in inner]
    if origin is dict:
        return {}
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        return table(chance, kind, chance.choice((0.0, 0.3, 0.8)), depth + 1) | _shape_of(kind)
    if kind is bool:
        return chance.random() < 0.5
    if kind is int:
        low, high = _numbers(metadata)
        return chance.choice((low, high, chance.randint(low, high)))
    return _text(chance, metadata, name, field)


def _inner(chance: random.Random, kind: Any, name: str, depth: int) -> Any:
    """An entry of a list, which can't be left out."""
    value = _value(chance, kind, [], name, depth)
    return "left" if value is None else value


def _shape_of(model: type[BaseModel]) -> dict[str, str]:
    field = model.model_fields.get("shape")
    return {} if field is None or field.default is PydanticUndefined else {"shape": field.default}


def _text(
    chance: random.Random, metadata: list[Any], name: str, field: FieldInfo | None
) -> str | None:
    if "{6}" in repr(metadata) + repr(field):
        return chance.choice(("#000000", "#ffffff", "#7A9f33"))
    return chance.choice(WORDS[name]) if name in WORDS else None


def _length(metadata: list[Any]) -> tuple[int, int]:
    low = next((m.min_length for m in metadata if hasattr(m, "min_length")), 0)
    high = next((m.max_length for m in metadata if hasattr(m, "max_length")), 5)
    return int(low), int(high)


def _numbers(metadata: list[Any]) -> tuple[int, int]:
    low = next((m.ge for m in metadata if hasattr(m, "ge")), -5)
    high = next((m.le for m in metadata if hasattr(m, "le")), 50)
    return int(low), int(high)


def _within(chance: random.Random, low: float, high: float) -> float:
    """A number of the range: an end of it, a size that a piece may have, a very small one."""
    way = chance.random()
    if way < 0.06:
        return chance.choice((low, high))
    if way < 0.12:
        near = low + (high - low) * 10 ** chance.uniform(-9, -2)
        return min(max(near, low), high)
    if high <= 1 or high - low < 1.5 or high == 179 or high == 360:
        return (
            round(chance.uniform(low, high), chance.choice((0, 2, 6)))
            if high > 2
            else (chance.uniform(low, high))
        )
    top = min(high, 80.0)
    bottom = max(low, 2.0 if low >= 0 else -60.0)
    value = round(chance.uniform(min(bottom, top), top), chance.choice((0, 0, 2, 9)))
    return min(max(value, low), high)


def _near(chance: random.Random, one: float, bounds: Bounds) -> float:
    if chance.random() < 0.5:
        other = one + chance.choice((0.0, 1e-9, 1e-6, 1e-3, 0.5, 3.0, -1e-7, -2.0))
        return min(max(other, bounds.low), bounds.high)
    return _within(chance, bounds.low, bounds.high)


def finite(value: Any) -> bool:
    """Whether every number in a table is finite."""
    if isinstance(value, dict):
        return all(finite(inner) for inner in value.values())
    if isinstance(value, list):
        return all(finite(inner) for inner in value)
    return not isinstance(value, float) or math.isfinite(value)
