"""The reference of the design file, written from its models, so that it can't go stale."""

from __future__ import annotations

import inspect
import math
import re
from collections.abc import Iterable
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from meshes import outline
from meshes.check.limits import Limits
from meshes.measure import Bounds, Pair
from meshes.pieces import KINDS
from meshes.pieces.artwork import ImageSpec, LetteringSpec
from meshes.pieces.curl import CurlSpec
from meshes.pieces.piece import FoldSpec, OnCrease, OnFacet, Piece

from .mistakes import allowed_for, models_in
from .model import PAPERS, PaperSettings, SpreadSettings
from .repeat import RepeatSettings
from .shots import ShotSettings

_SKIPPED = ("kind", "shape")
_VALUES = """#### `[values]`

Numbers with names of your own, which every number of the file may use, in any order: as a name
alone or in a calculation with `+ - * /` and brackets. `--set` changes one for a single run, `tune`
and variants of a catalog vary them.

| key | holds | default | meaning |
| --- | --- | --- | --- |
| any name | number, or a calculation as text | – | `tall = 60`, `wide = "tall / 2 + 4"`; then \
`length = "tall"` in a piece |"""
_SHEET = "Its sheet: how it moves, every measure, what stands well on it, what goes wrong"
# Models that pieces of every kind have.
_SHARED = (FoldSpec, ImageSpec, LetteringSpec, CurlSpec)


def reference_markdown() -> str:
    """Tables of every key of a design file, in Markdown."""
    parts = [
        "A default without a remark is our own choice: a size that looks well, or one that leaves "
        "things as they are. Where it is a habit of the trade or taken from a standard, its "
        "meaning says so."
    ]
    for title, model, shared in _tables():
        parts.append(_table(title, model, shared))
        if (kind := _topic(title)[0]) in KINDS:
            parts.append(f"[{_SHEET}](../../renders/gallery/kinds/{kind}.webp)")
        if model is PaperSettings:
            parts.append("Ready papers: " + ", ".join(f"`{name}`" for name in PAPERS) + ".")
            parts.append(_VALUES)
        if model is outline.Shape:
            parts.append("![Every outline with its origin](../../renders/gallery/outlines.png)")
    return "\n\n".join(parts) + "\n"


def topics() -> dict[str, str]:
    """What can be asked about, in the file's order: a word, and its tables in Markdown.

    The tables that only one kind of piece has are told with the kind.
    """
    found: dict[str, str] = {}
    for title, model, shared in _tables():
        name, of_kind = _topic(title)
        text = _table(title, model, shared)
        found[of_kind or name] = "\n\n".join(filter(None, (found.get(of_kind or name), text)))
        if model is PaperSettings:
            found["values"] = _VALUES
    return found


def _topic(title: str) -> tuple[str, str]:
    """The word for a table, and the kind of piece that alone has it, or nothing."""
    name = title.removeprefix("Keys of ").replace("kind = ", "").replace("shape = ", "")
    owner = title.partition(" of a ")[2].partition(",")[0]
    word = re.sub(r"[^a-z -]", "", name.partition("`:")[0].partition("` of")[0].partition(".")[0])
    return word.replace(" ", "-"), owner if owner in KINDS else ""


def models() -> list[type[BaseModel]]:
    """Every model that has a table."""
    return [model for _, model, _ in _tables()]


def _tables() -> Iterable[tuple[str, type[BaseModel], type[BaseModel] | None]]:
    """Title and model of each table, and the model whose keys it leaves out."""
    yield "`[spread]`", SpreadSettings, None
    yield "`[papers.NAME]`", PaperSettings, None
    yield "`[pieces.NAME]`: keys of every piece", Piece, None
    yield "Keys of pieces on a crease", OnCrease, Piece
    yield "Keys of pieces on a facet", OnFacet, Piece
    yield "`folds.NAME` of a piece", FoldSpec, None
    yield "`images` of a piece, a list", ImageSpec, None
    yield "`lettering` of a piece, a list", LetteringSpec, None
    yield "`curl` of a piece, a list", CurlSpec, None
    yield "`repeat` of a piece", RepeatSettings, None
    for name, kind in KINDS.items():
        base = OnCrease if issubclass(kind, OnCrease) else OnFacet
        yield f'`kind = "{name}"`', kind, base if issubclass(kind, base) else Piece
        for key, model in _nested(kind).items():
            yield f"`{key}` of a {name}", model, None
    yield "`[shots.NAME]`", ShotSettings, None
    yield "`[check]`", Limits, None
    yield "Keys of every outline", outline.Shape, None
    for shape in outline.SHAPES.values():
        yield f'`shape = "{_shape(shape)}"`', shape, outline.Shape


def _nested(kind: type[BaseModel]) -> dict[str, type[BaseModel]]:
    """The models that only this kind has, by the first key that holds one."""
    found: dict[str, type[BaseModel]] = {}
    for key, field in kind.model_fields.items():
        for model in models_in(field.annotation):
            if model not in _SHARED and not issubclass(model, outline.Shape):
                found.setdefault(key, model)
    return found


def _shape(model: type[BaseModel]) -> str:
    return str(model.model_fields["shape"].default)


def _table(title: str, model: type[BaseModel], shared: type[BaseModel] | None = None) -> str:
    """One model: what it is, then a row for each key that `shared` does not have."""
    rows = [
        _row(name, model, field)
        for name, field in model.model_fields.items()
        if name not in _SKIPPED and (shared is None or name not in shared.model_fields)
    ]
    text = _prose(model)
    head = ["| key | holds | default | meaning |", "| --- | --- | --- | --- |"]
    return "\n".join([f"#### {title}", "", text, *(["", *head, *rows] if rows else [])])


def _prose(model: type[BaseModel]) -> str:
    """The model's description, without the sections meant for programmers."""
    text = inspect.cleandoc(model.__doc__ or "").split("\n\nAttributes")[0]
    # A word may be parted after its hyphen.
    whole = re.sub(r"(?<=\w-)\n\s*(?=\w)", "", text)
    paragraphs = [" ".join(part.split()) for part in whole.split("\n\n")]
    return "\n\n".join(paragraphs).replace("``", "`").replace(":meth:", "")


def _row(name: str, model: type[BaseModel], field: FieldInfo) -> str:
    default = "required" if field.is_required() else default_of(field)
    cells = (f"`{name}`", _holds(model, name, field), default, field.description or "")
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def _holds(model: type[BaseModel], name: str, field: FieldInfo) -> str:
    text = allowed_for(model, name)
    if text:
        return text
    return "`#rrggbb`" if "{6}" in repr(field) else _kind(field.annotation)


def _kind(annotation: Any) -> str:
    """What a type is called; models are tables, those of shapes outlines."""
    origin, inner = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        return _kind(inner[0])
    if origin in (Union, UnionType):
        kinds = {_kind(choice): None for choice in inner if choice is not type(None)}
        # A number may be a calculation, which is text.
        return "number" if "number" in kinds else ", or ".join(kinds)
    if origin is dict:
        return f"{_several(_kind(inner[1]))} by name"
    if origin in (list, tuple):
        return f"list of {_several(_kind(inner[0]))}"
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return "outline" if issubclass(annotation, outline.Shape) else "table"
    return {bool: "true or false", int: "whole number", float: "number", str: "text"}[annotation]


def _several(kind: str) -> str:
    return (
        "lists" + kind.removeprefix("list")
        if kind.startswith("list")
        else (kind if kind == "text" else f"{kind}s")
    )


def default_of(field: FieldInfo) -> str:
    """What is taken where a key is left out, in words; a dash where that needs more than a few."""
    value: Any = field.get_default(call_default_factory=True)
    if value is None or value is PydanticUndefined or isinstance(value, list | dict | BaseModel):
        return "–"
    bounds = _bounds(field)
    if isinstance(value, tuple) and len(value) == 1:
        value = value[0]
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return f"{math.degrees(value):.4g}°" if bounds and bounds.what == "angle" else f"{value:g}"
    return f"`{value}`" if isinstance(value, str) else str(value)


def _bounds(field: FieldInfo) -> Bounds | None:
    for item in field.metadata:
        if isinstance(item, Bounds):
            return item
        if isinstance(item, Pair):
            return item.each
    return None
