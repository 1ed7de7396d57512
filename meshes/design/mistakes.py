"""From what pydantic found to one clear line for each mistake."""

from __future__ import annotations

import types
import typing
from collections.abc import Iterable, Sequence
from difflib import get_close_matches
from typing import Any, get_args

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from meshes.errors import Mistake
from meshes.measure import Bounds, Pair, shown

from .meant import meant

_SHOULD_BE = {
    "model_type": "should be a table",
    "model_attributes_type": "should be a table",
    "dict_type": "should be a table",
    "list_type": "should be a list",
    "tuple_type": "should be a pair of numbers",
    "string_type": "should be text",
    "bool_type": "should be true or false",
    "bool_parsing": "should be true or false",
    "int_type": "should be a whole number",
    "int_parsing": "should be a whole number",
    "int_from_float": "should be a whole number",
    "finite_number": "is not a finite number",
}
_MISSING, _UNKNOWN = "is missing", "is not a known key"
# As alike as a slip of the finger leaves two keys; "apex_y" and "paper" have 0.55. Our choice.
_ALIKE = 0.6


def from_pydantic(
    error: ValidationError, model: type[BaseModel], file: str, piece: str, prefix: str = ""
) -> list[Mistake]:
    """One mistake for each error; `piece` and `prefix` say where the model stands in the file."""
    mistakes = []
    for found in error.errors(include_url=False):
        keys, owner, last = _walk(model, found["loc"])
        context: dict[str, Any] = found.get("ctx", {})
        if context.get("key"):
            keys.append(str(context["key"]))
        problem, seen, allowed, advice = _said(found, context, owner, last)
        key = ".".join([prefix, *keys] if prefix else keys)
        mistakes.append(Mistake(file, problem, piece, key, seen, allowed, advice))
    # A key that is misspelt is not missing as well.
    misspelt = {_beside(m.key, m.advice) for m in mistakes if m.problem == _UNKNOWN}
    return [m for m in mistakes if m.problem != _MISSING or m.key not in misspelt]


def _beside(key: str, other: str) -> str:
    head, dot, _ = key.rpartition(".")
    return head + dot + other


def nearest(word: str, known: Iterable[str], alike: float = 0.5) -> str:
    """The known word that is nearest to `word`, in meaning or in spelling, or nothing.

    Parameters
    ----------
    alike : how alike two words are at least, as difflib has it.
    """
    words = list(known)
    same = meant(word, words)
    if same:
        return same
    near = get_close_matches(word, words, 1, alike)
    return near[0] if near else ""


def listed(words: Iterable[str], most: int = 12) -> str:
    """Words for a person, at most so many."""
    names = list(words)
    return ", ".join(names[:most]) + (" …" if len(names) > most else "")


def _walk(
    model: type[BaseModel], location: Sequence[str | int]
) -> tuple[list[str], type[BaseModel], str]:
    """Keys as they stand in the file, the model that holds the last one, and that one."""
    owner, keys, annotation = model, [], None
    choices: list[type[BaseModel]] = []
    for part in location:
        tagged = [choice for choice in choices if part == _tag(choice)]
        if tagged:
            owner, choices = tagged[0], []
            continue
        if isinstance(part, int):
            keys.append(str(part + 1))
            continue
        if len(choices) == 1 and annotation is not None:
            owner = choices[0]
        keys.append(str(part))
        field = owner.model_fields.get(str(part))
        annotation = field.annotation if field else None
        choices = list(models_in(annotation))
    return keys, owner, keys[-1] if keys else ""


def models_in(annotation: Any) -> Iterable[type[BaseModel]]:
    """The models that a type is made of."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for argument in get_args(annotation):
        yield from models_in(argument)


def about(annotation: Any) -> Iterable[Any]:
    """What is said about a type, or about one of those it may be; not about what a list holds."""
    if typing.get_origin(annotation) is typing.Annotated:
        yield from get_args(annotation)[1:]
        yield from about(get_args(annotation)[0])
    elif typing.get_origin(annotation) in (typing.Union, types.UnionType):
        for choice in get_args(annotation):
            yield from about(choice)


def _tag(model: type[BaseModel]) -> str | None:
    for name in ("shape", "kind"):
        if name in model.model_fields:
            default = model.model_fields[name].default
            return default if isinstance(default, str) else None
    return None


def _said(
    found: Any, context: dict[str, Any], owner: type[BaseModel], key: str
) -> tuple[str, str, str, str]:
    """Problem, found, allowed, advice."""
    kind, value = found["type"], found["input"]
    if kind == "design":
        return context["problem"], context["found"], context["allowed"], context["advice"]
    if kind == "missing":
        return _MISSING, "", allowed_for(owner, key), ""
    if kind == "extra_forbidden":
        known = list(owner.model_fields)
        near = nearest(key, known, _ALIKE)
        return _UNKNOWN, "", "" if near else listed(known, 30), near
    if kind == "literal_error":
        options = [
            text.strip("' ") for text in context["expected"].replace(" or ", ", ").split(",")
        ]
        return (
            "is not one of its choices",
            shown(value),
            listed(options),
            nearest(str(value), options),
        )
    if kind == "union_tag_invalid":
        options = [text.strip("' ") for text in context["expected_tags"].split(",")]
        return (
            "is not a known shape",
            repr(context["tag"]),
            listed(options, 30),
            nearest(str(context["tag"]), options),
        )
    if kind == "union_tag_not_found":
        return "does not say which shape it is", shown(value), "", 'shape = "leaf"'
    if kind == "string_pattern_mismatch":
        return "is not a colour", shown(value), "#rrggbb", "#5a8f69"
    if kind in _SHOULD_BE:
        return _SHOULD_BE[kind], shown(value), allowed_for(owner, key), ""
    return _plain(found["msg"]), shown(value), "", ""


def _plain(message: str) -> str:
    """Pydantic's own words, less its capitals and its jargon."""
    message = message.removeprefix("Value error, ").replace("Input should be", "should be")
    return message[:1].lower() + message[1:]


def allowed_for(model: type[BaseModel], key: str) -> str:
    """What a key may hold, in words; empty where that needs more than a few."""
    field = model.model_fields.get(key)
    if field is None:
        return ""
    for item in (*field.metadata, *_metadata(field.annotation)):
        if isinstance(item, Bounds | Pair):
            return _framed(field.annotation, item.text)
    whole = _whole(field)
    if whole:
        return _framed(field.annotation, whole)
    return _choices(field.annotation)


def _framed(annotation: Any, one: str) -> str:
    """What a key holds whose numbers are each `one`: one of them, a list, pairs."""
    origin, inner = typing.get_origin(annotation), get_args(annotation)
    if origin is typing.Annotated:
        return _framed(inner[0], one)
    if origin in (typing.Union, types.UnionType):
        framed = (_framed(choice, one) for choice in inner if choice is not type(None))
        return next((said for said in framed if said != one), one)
    if origin is list:
        pairs = typing.get_origin(inner[0]) is tuple
        return f"list of pairs, each {one}" if pairs else f"list, each {one}"
    if origin is tuple and inner[-1] is Ellipsis:
        return f"{one}, or a list of such"
    if origin is tuple and "[left, right]" not in one:
        return f"list of three, each {one}" if len(inner) == 3 else f"pair, each {one}"
    return one


def _whole(field: FieldInfo) -> str:
    """The range of a whole number, or of those in a list; empty for other keys."""
    bounds = [item for item in (*field.metadata, *_metadata(field.annotation)) if item is not None]
    bounds += [inner for item in bounds for inner in getattr(item, "metadata", ())]
    low = next((item.ge for item in bounds if hasattr(item, "ge")), None)
    high = next((item.le for item in bounds if hasattr(item, "le")), None)
    if low is None or high is None or "int" not in repr(field.annotation):
        return ""
    return f"whole number, {low} to {high}"


def _choices(annotation: Any) -> str:
    """The words that a key may hold, and those that a list may."""
    origin, inner = typing.get_origin(annotation), get_args(annotation)
    if origin is typing.Annotated:
        return _choices(inner[0])
    if origin is list and typing.get_origin(inner[0]) is typing.Literal:
        return f"list of {listed([str(o) for o in get_args(inner[0])], 30)}"
    if origin in (typing.Union, types.UnionType):
        said = [text for choice in inner if (text := _choices(choice))]
        return ", or ".join(sorted(said, key=lambda text: text.startswith("list")))
    return listed([str(option) for option in _literals(annotation)], 30)


def _metadata(annotation: Any) -> Iterable[Any]:
    yield from getattr(annotation, "__metadata__", ())
    for argument in get_args(annotation):
        yield from _metadata(argument)


def _literals(annotation: Any) -> Iterable[Any]:
    if typing.get_origin(annotation) is typing.Literal:
        yield from get_args(annotation)
        return
    for argument in get_args(annotation):
        yield from _literals(argument)
