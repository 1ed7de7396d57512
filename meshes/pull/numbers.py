"""The numbers that a piece has in its design file, found from the models alone."""

from __future__ import annotations

import math
import types
import typing
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, get_args

from pydantic import BaseModel

from meshes.design import repeat
from meshes.design.mistakes import about, models_in
from meshes.design.values import names_in
from meshes.measure import Bounds, Pair, Units, evaluate, mm
from meshes.named import texts_in
from meshes.pieces import KINDS

# From the top of the file: keys of tables, and places in lists from 0.
Path = tuple[str | int, ...]

# Keys that hold what is printed on paper or how it is rolled; they move no fold.
_PRINTED = ("images", "lettering", "curl")
# Our choice, as of any other length that shifts something.
_AROUND = mm(0, 2000)


@dataclass(frozen=True)
class Number:
    """One number of a design file.

    Parameters
    ----------
    path : where it stands, from the top of the file.
    bounds : what it may be, in mm, degrees or a plain number.
    value : what it is, in the unit of the file or degrees; None if the key is left out and what is
        taken instead is not known from the models.
    given : whether the file says it, rather than leaving the key out.
    pair : whether it stands alone for a left and a right number.
    expression : what the file says instead of a number, as in ``petal * 2``.
    through : where the expression stands that names it, if it is one of ``[values]``.
    """

    path: Path
    bounds: Bounds
    value: float | None
    given: bool = True
    pair: bool = False
    expression: str = ""
    through: Path = ()

    def limits(self, units: Units) -> tuple[float, float]:
        """Least and largest value, in the unit of the file or degrees."""
        scale = units.mm if self.bounds.what == "length" else 1.0
        return self.bounds.low / scale, self.bounds.high / scale


def numbers_of(tables: Mapping[str, Any], name: str, units: Units) -> list[Number]:
    """Every number of a piece's table, those that its keys name in ``[values]`` included.

    Keys that are left out are among them where the models say what is taken instead.
    """
    table = tables["pieces"][name]
    own = list(_in_model(KINDS[table["kind"]], table, ("pieces", name), units))
    if isinstance(table.get("repeat"), dict):
        own += _repeated(table["repeat"], own, ("pieces", name, "repeat"), units)
    found: dict[Path, Number] = {}
    for number in own:
        for leaf in _named(tables, number, units):
            found.setdefault(leaf.path, leaf)
        found.setdefault(number.path, number)
    return list(found.values())


def used_by(tables: Mapping[str, Any], value: str) -> list[str]:
    """Tables of pieces that use a name of ``[values]``, directly or through another."""
    names = {value}
    values = tables.get("values", {})
    while more := {k for k, v in values.items() if k not in names and names & names_in(v)}:
        names |= more
    pieces = tables.get("pieces", {})
    return [
        name
        for name, table in pieces.items()
        if any(names & names_in(text) for text in texts_in(table))
    ]


def replaced(tables: Mapping[str, Any], path: Path, value: Any) -> dict[str, Any]:
    """A copy of some tables with what stands at a path changed; what it shares is not copied."""
    head, *rest = path
    inner = tables.get(head) if isinstance(head, str) else None
    return {**tables, head: _put(inner, rest, value)}  # type: ignore[dict-item]


def _put(node: Any, path: Sequence[str | int], value: Any) -> Any:
    if not path:
        return value
    head, *rest = path
    if isinstance(head, int):
        return [*node[:head], _put(node[head], rest, value), *node[head + 1 :]]
    return {**node, head: _put(node.get(head), rest, value)}


def _in_model(model: type[BaseModel], table: Any, path: Path, units: Units) -> Iterator[Number]:
    if not isinstance(table, dict):
        return
    for key, field in model.model_fields.items():
        if key in _PRINTED:
            continue
        here = (*path, key)
        if key in table:
            yield from _at(field.annotation, field.metadata, table[key], here, units)
            continue
        bounds = _bounds(field.annotation, field.metadata)
        default: Any = field.get_default(call_default_factory=True)
        if bounds is not None and not field.is_required():
            known = isinstance(default, int | float)
            value = _in_file(float(default), bounds, units) if known else None
            yield Number(here, bounds, value, given=False)


def _at(
    annotation: Any, metadata: Iterable[Any], raw: Any, path: Path, units: Units
) -> Iterator[Number]:
    """The numbers in what a key holds, by the type that the model gives it."""
    metadata = list(metadata)
    own = [item for item in metadata if isinstance(item, Bounds | Pair)]
    origin, inner = typing.get_origin(annotation), get_args(annotation)
    if own:
        yield from _leaves(own[0], raw, path, units)
    elif origin is typing.Annotated:
        yield from _at(inner[0], inner[1:], raw, path, units)
    elif origin in (typing.Union, types.UnionType):
        for choice in inner:
            if found := list(_at(choice, [], raw, path, units)):
                yield from found
                return
    elif isinstance(raw, list):
        for k, item in enumerate(raw):
            for choice in _items(annotation, k):
                yield from _at(choice, [], item, (*path, k), units)
    elif origin is tuple and len(inner) == 2 and inner[1] is Ellipsis:
        yield from _at(inner[0], [], raw, path, units)
    elif isinstance(raw, dict):
        yield from _in_table(annotation, raw, path, units)


def _items(annotation: Any, k: int) -> Iterator[Any]:
    """What the kth item of a list may be."""
    origin, inner = typing.get_origin(annotation), get_args(annotation)
    if origin is list or (origin is tuple and inner[-1] is Ellipsis):
        yield inner[0]
    elif origin is tuple and k < len(inner):
        yield inner[k]


def _in_table(annotation: Any, raw: dict[str, Any], path: Path, units: Units) -> Iterator[Number]:
    if typing.get_origin(annotation) is dict:
        for key, item in raw.items():
            yield from _at(get_args(annotation)[1], [], item, (*path, key), units)
        return
    for model in models_in(annotation):
        shape = model.model_fields.get("shape")
        if shape is None or shape.default == raw.get("shape"):
            yield from _in_model(model, raw, path, units)
            return


def _leaves(own: Bounds | Pair, raw: Any, path: Path, units: Units) -> Iterator[Number]:
    if isinstance(own, Bounds):
        yield from _leaf(own, raw, path, units)
    elif isinstance(raw, list):
        for k, item in enumerate(raw):
            yield from _leaf(own.each, item, (*path, k), units)
    else:
        for number in _leaf(own.each, raw, path, units):
            yield replace(number, pair=own.same)


def _leaf(bounds: Bounds, raw: Any, path: Path, units: Units) -> Iterator[Number]:
    if isinstance(raw, str):
        try:
            value = evaluate(raw, units, angle=bounds.what == "angle")
        except ValueError:
            return
        yield Number(path, bounds, value, expression=raw)
    elif isinstance(raw, int | float) and not isinstance(raw, bool):
        yield Number(path, bounds, float(raw))


def _repeated(
    table: dict[str, Any], own: Sequence[Number], path: Path, units: Units
) -> Iterator[Number]:
    """How far copies of a piece lie apart; each step is bounded as the key that it is added to."""
    yield from (
        number for number in _in_model(repeat.RepeatSettings, table, path, units) if number.given
    )
    if "around" in table:
        yield from _leaf(_AROUND, table["around"], (*path, "around"), units)
    kinds = {".".join(map(str, number.path[2:])): number.bounds for number in own}
    steps = table.get("add", {})
    for key, step in steps.items() if isinstance(steps, dict) else ():
        if key in kinds:
            both = replace(kinds[key], low=-kinds[key].high)
            yield from _leaf(both, step, (*path, "add", key), units)


def _bounds(annotation: Any, metadata: Iterable[Any]) -> Bounds | None:
    """The bounds of a key that holds one number, if it does."""
    found = (*metadata, *about(annotation))
    return next((item for item in found if isinstance(item, Bounds)), None)


def _in_file(value: float, bounds: Bounds, units: Units) -> float:
    if bounds.what == "angle":
        return math.degrees(value)
    return value / units.mm if bounds.what == "length" else value


def _named(tables: Mapping[str, Any], number: Number, units: Units) -> Iterator[Number]:
    """The plain numbers in ``[values]`` on which an expression depends."""
    values = tables.get("values", {})
    seen: set[str] = set()
    waiting = sorted(names_in(number.expression))
    while waiting:
        name = waiting.pop(0)
        if name in seen or name not in values:
            continue
        seen.add(name)
        raw = values[name]
        if isinstance(raw, str):
            waiting += sorted(names_in(raw))
        elif isinstance(raw, int | float):
            wide = replace(number.bounds, low=-math.inf, high=math.inf)
            yield Number(("values", name), wide, float(raw), through=number.path)
