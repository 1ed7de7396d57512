"""The values of one piece as a form: what each key is, what it may be, what it is now."""

from __future__ import annotations

import types
import typing
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from typing import Annotated, Any, Literal, get_args, get_origin

from pydantic import BaseModel, ConfigDict, Field
from pydantic.fields import FieldInfo

from meshes.design.edit import SetValue, a_free_name, standing_on
from meshes.design.edit.edits import units_of
from meshes.design.edit.names import meant, tables_of
from meshes.design.edit.twins import twin_of
from meshes.design.mistakes import about, allowed_for, models_in
from meshes.design.read import drafted
from meshes.design.reference import default_of
from meshes.measure import Bounds, Pair, Units, evaluate
from meshes.pieces import KINDS
from meshes.pieces.piece import OnCrease, OnFacet
from meshes.pull.sketch import carrying
from meshes.spread import Spread, hosts_of
from preview.errors import UseError

Json = dict[str, Any]
_Name = Annotated[str, Field(max_length=200)]

_SKIPPED = ("kind", "shape", "repeat")
_DEEPEST = 3
# Whole tenths of a millimetre at most, as the page shows them.
_DECIMALS = 2


class Chosen(BaseModel):
    """The page asks about the piece that is chosen in it."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    piece: _Name


class Nudge(BaseModel):
    """Arrow keys: the chosen pieces are moved, in units of the file.

    Parameters
    ----------
    right, up : on a facet as its sheet is printed; along a crease only `up` counts.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    made: _Name
    page: _Name = ""
    pieces: Annotated[list[_Name], Field(min_length=1, max_length=200)]
    right: Annotated[float, Field(ge=-100, le=100)] = 0.0
    up: Annotated[float, Field(ge=-100, le=100)] = 0.0


def form(text: str, file: str, piece: str) -> Json:
    """The form of a piece.

    Returns
    -------
    Its table's ``name`` and ``kind``, in words what that is, which pieces stand on it, names for
    copies of them all, the colours of the design, and ``fields``; see :func:`_field`. Nothing for a
    piece that is not there any more.
    """
    tables = tables_of(text)
    name = meant(piece, list(tables.get("pieces", {})))
    if name is None:
        return {}  # a page may ask before it has heard that the piece was renamed or taken away
    table = tables["pieces"][name]
    kind = KINDS.get(str(table.get("kind"))) if isinstance(table, dict) else None
    if kind is None:
        raise UseError(f"{name} is of no known kind")
    going = standing_on(text, [name])
    units = units_of(text)
    fields = list(fields_of(kind, table, ("pieces", name), units))
    papers = drafted(tables, file).design.papers
    return {
        "name": name,
        "twin": _twin(tables["pieces"], name),
        "kind": kind.model_fields["kind"].default,
        "means": meaning(kind),
        "standing": [one for one in going if one != name],
        "copies": _copies(tables["pieces"], going),
        "colours": colours_of(tables),
        "papers": {name: paper.front for name, paper in sorted(papers.items())},
        "fields": sorted(fields, key=lambda field: not field["given"]),
    }


def _twin(pieces: Json, name: str) -> Json | None:
    """Whether a piece is kept mirrored on the other page, and its separate twin, if it has one."""
    found = twin_of(pieces, name)
    return None if found is None else {"kept": found[0], "other": found[1]}


class Several(BaseModel):
    """The page asks about the pieces that are chosen in it."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    pieces: Annotated[list[_Name], Field(min_length=1, max_length=200)]


def several(text: str, wanted: Sequence[str]) -> Json:
    """What can be done with some pieces together.

    Returns
    -------
    Their tables' ``names``, which others stand on them (``standing``), and names for ``copies`` of
    them all.
    """
    pieces = tables_of(text).get("pieces", {})
    names = list(dict.fromkeys(filter(None, (meant(one, list(pieces)) for one in wanted))))
    going = standing_on(text, names)
    return {
        "names": names,
        "standing": [one for one in going if one not in names],
        "copies": _copies(pieces, going),
    }


def _copies(pieces: Json, going: Iterable[str]) -> dict[str, str]:
    """Free names for copies of pieces."""
    copies: dict[str, str] = {}
    for one in going:
        copies[one] = a_free_name(one, pieces, copies.values())
    return copies


def meaning(kind: type[BaseModel]) -> str:
    """What a kind of piece is, in a sentence."""
    return " ".join((kind.__doc__ or "").split("\n\n")[0].replace("`", "").split())


def colours_of(tables: Any) -> list[str]:
    """The colours that the design has, most used first."""
    found: dict[str, int] = {}

    def look(value: Any) -> None:
        if isinstance(value, dict | list):
            for inner in value.values() if isinstance(value, dict) else value:
                look(inner)
        elif isinstance(value, str) and len(value) == 7 and value.startswith("#"):
            found[value.lower()] = found.get(value.lower(), 0) + 1

    look(tables)
    return sorted(found, key=lambda colour: -found[colour])[:12]


def fields_of(
    model: type[BaseModel], table: Any, path: tuple[str, ...], units: Units
) -> Iterator[Json]:
    """The keys of a table, and those of the tables in it that the file has."""
    if not isinstance(table, dict) or len(path) > 2 + _DEEPEST:
        return
    for key, field in model.model_fields.items():
        if key in _SKIPPED:
            continue
        here, value = (*path, key), table.get(key)
        inner = list(models_in(field.annotation))
        if not inner:
            yield from _field(model, key, field, here, value, units)
        elif isinstance(value, dict):
            tagged = [one for one in inner if _shape(one) in (None, value.get("shape"))]
            if get_origin(field.annotation) is dict:
                for name, one in value.items():
                    yield from fields_of(inner[0], one, (*here, name), units)
            elif tagged:
                yield from fields_of(tagged[0], value, here, units)
        elif isinstance(value, list):
            for number, one in enumerate(value, 1):
                yield from fields_of(inner[0], one, (*here, str(number)), units)


def _shape(model: type[BaseModel]) -> str | None:
    field = model.model_fields.get("shape")
    return field.default if field is not None else None


def _field(
    model: type[BaseModel],
    key: str,
    field: FieldInfo,
    path: tuple[str, ...],
    value: Any,
    units: Units,
) -> Iterator[Json]:
    """One key; nothing for one that a single line cannot hold.

    Returns
    -------
    ``path``, ``holds`` (number, truth, choice, colour or text), ``value`` (None where it is left
    out), ``means``, ``unit``, ``allowed`` and ``default`` in words, ``choices``; for an expression
    its ``number``.
    """
    pair = any(isinstance(item, Pair) for item in field.metadata)
    if pair and isinstance(value, list):
        for number, one in enumerate(value, 1):
            side = ("left", "right")[number - 1] if len(value) == 2 else str(number)
            found = _one(model, key, field, (*path, str(number)), one, units)
            if found:
                yield {**found, "key": f"{key.replace('_', ' ')} {side}"}
        return
    found = _one(model, key, field, path, value, units)
    if found:
        yield found


def _one(
    model: type[BaseModel],
    key: str,
    field: FieldInfo,
    path: tuple[str, ...],
    value: Any,
    units: Units,
) -> Json | None:
    holds, choices = _holds(key, field)
    if holds is None or isinstance(value, list | dict):
        return None
    bounds = _bounds(field)
    angle = bounds is not None and bounds.what == "angle"
    length = bounds is not None and bounds.what == "length"
    found: Json = {
        "path": list(path),
        "key": " ".join(path[2:]).replace("_", " "),
        "holds": holds,
        "value": value,
        "given": value is not None,
        "means": (field.description or "").replace("`", ""),
        "unit": "°" if angle else units.length if length else "",
        "allowed": allowed_for(model, key).replace("`", "") if holds == "number" else "",
        "default": "" if field.is_required() else default_of(field).replace("`", ""),
        "choices": choices,
    }
    if holds == "number" and isinstance(value, str):
        with suppress(ValueError):
            found["number"] = round(evaluate(value, units, angle=angle), _DECIMALS)
    return found


def _holds(key: str, field: FieldInfo) -> tuple[str | None, list[str]]:
    """What a key holds, as a form asks for it, and among what it chooses."""
    if _bounds(field) is not None:
        return "number", []
    if "{6}" in repr(field):
        return "colour", []
    kinds = _plain_types(field.annotation)
    literals = [value for kind in kinds for value in get_args(kind) if get_origin(kind) is Literal]
    if literals and all(isinstance(value, str) for value in literals):
        return "choice", literals
    if bool in kinds:
        return "truth", []
    if kinds & {int, float}:
        return "number", []
    if kinds == {str}:
        return ("paper" if key.endswith("paper") else "text"), []
    return None, []


def _bounds(field: FieldInfo) -> Bounds | None:
    """What the number of a key, or each of its two, may be; None if it holds no such number."""
    for item in (*field.metadata, *about(field.annotation)):
        if isinstance(item, Bounds | Pair):
            return item if isinstance(item, Bounds) else item.each
    return None


def _plain_types(annotation: Any) -> set[Any]:
    origin = get_origin(annotation)
    if origin is Annotated:
        return _plain_types(get_args(annotation)[0])
    if origin in (typing.Union, types.UnionType):
        return set().union(*map(_plain_types, get_args(annotation))) - {type(None)}
    return {annotation}


def nudged(text: str, spread: Spread, wanted: Nudge) -> list[SetValue]:
    """The edits that move pieces by some units of the file.

    Raises
    ------
    UseError
        If one of them has no place that could be moved.
    """
    tables, units = tables_of(text), units_of(text)
    edits: dict[tuple[str, ...], SetValue] = {}
    carried = _carried(spread, wanted.pieces)
    for piece in wanted.pieces:
        if piece in carried:
            continue
        name = meant(piece, list(tables.get("pieces", {})))
        if name is None:
            raise UseError(f"there is no piece {piece} any more")
        mirrored = piece.endswith("-mirrored") and piece != name
        right = -wanted.right if mirrored else wanted.right
        steps = _steps(spread, piece, right, wanted.up)
        if not steps:
            raise UseError(f"{name} has no place of its own that could be moved")
        for key, (now, by) in steps.items():
            path = ("pieces", name, key)
            value = tables["pieces"][name].get(key)
            if path in edits:
                continue  # a twin, or a copy in a row, that goes with the first
            edits[path] = SetValue(path=path, value=further(value, now / units.mm, by))
    return list(edits.values())


def _carried(spread: Spread, pieces: Sequence[str]) -> set[str]:
    """Those of some pieces that stand on another of them, and move with it."""
    known = spread.design.pieces
    return {
        one
        for one in pieces
        if one in known and not set(carrying(known, [known[one]])).isdisjoint(pieces)
    }


def _steps(spread: Spread, piece: str, right: float, up: float) -> dict[str, tuple[float, float]]:
    """Where a piece is by its keys, mm, and by how much each of them changes."""
    found = spread.design.pieces.get(piece)
    hosts = hosts_of(spread)
    if isinstance(found, OnCrease):
        site = hosts.crease(found.on, 1 if found.side == "front" else -1)
        return {"at": (site.length / 2 if found.at is None else found.at, up)} if up else {}
    if not isinstance(found, OnFacet):
        return {}
    ground = hosts.facet(found.on, 1 if found.side == "front" else -1)
    x, y = ground.placement.inverse().apply([hosts.middle(found.on)])[0]
    here = {"x": (float(x) if found.x is None else found.x, right)}
    here["y"] = (float(y) if found.y is None else found.y, up)
    return {key: step for key, step in here.items() if step[1]}


def further(value: Any, now: float, by: float) -> float | str:
    """A number moved on; an expression keeps its name and gets an amount behind it."""
    if not isinstance(value, str):
        return round(now + by, _DECIMALS)
    stem, amount = _amount(value)
    total = round(amount + by, _DECIMALS)
    if total == 0:
        return stem
    return f"{stem} {'+' if total > 0 else '-'} {abs(total):g}"


def _amount(text: str) -> tuple[str, float]:
    """An expression without a plain number that is added at its end, and that number."""
    for sign in (" + ", " - "):
        stem, found, last = text.rpartition(sign)
        try:
            if found and "(" not in last:
                return stem, float(last) * (1 if sign == " + " else -1)
        except ValueError:
            continue
    return text, 0.0
