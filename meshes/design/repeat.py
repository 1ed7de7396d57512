"""Copies of a piece: along a line, around a point, mirrored across the gutter."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from meshes.errors import Mistake
from meshes.measure import Pair, Turn, Units, complaint
from meshes.pieces import KINDS

from .mistakes import from_pydantic, nearest

_MOST_COPIES = 200  # our choice
_SIDES = {"left": "right", "right": "left"}


class RepeatSettings(BaseModel):
    """Copies of a piece, named `fern-1`, `fern-2` and so on; `*` in a text is the copy's number."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    count: Annotated[int, Field(ge=1, le=_MOST_COPIES)] = Field(1, description="number of copies")
    add: dict[str, float | str] = Field(
        default_factory=dict,
        description="what is added to a key from copy to copy, as in `{ at = 20, turn = 15 }`",
    )
    around: float | str | None = Field(
        None, description="radius of a circle about x, y on which the copies lie, each turned"
    )
    first: Turn = Field(0.0, description="direction of the first copy on the circle, from +y")
    arc: Turn = Field(
        2 * math.pi, description="part of the circle over which the copies are spread"
    )
    both_pages: bool = Field(
        False,
        description="add a copy on the other page, mirrored left for right, named `fern-mirrored`",
    )

    @model_validator(mode="after")
    def _does_something(self) -> RepeatSettings:
        if self.count == 1 and not self.both_pages:
            raise complaint(
                "does nothing", key="count", allowed=f"2 to {_MOST_COPIES}, or both_pages"
            )
        return self


def expand(
    tables: Mapping[str, Any], units: Units, file: str
) -> tuple[dict[str, Any], list[Mistake], set[str]]:
    """Replace every piece that has ``repeat`` by its copies.

    Returns
    -------
    The tables of all pieces, what is wrong, and the names of the pieces whose repeat is wrong.
    """
    done: dict[str, Any] = {}
    mistakes: list[Mistake] = []
    broken: set[str] = set()
    for name, table in tables.items():
        if not isinstance(table, dict) or "repeat" not in table:
            done[name] = table
            continue
        found = _copies(name, table, units, file)
        if isinstance(found, list):
            mistakes += found
            broken.add(name)
            continue
        for copy in found.keys() & ((tables.keys() - {name}) | done.keys()):
            mistakes.append(Mistake(file, f"makes a second piece {copy}", name, "repeat"))
        done |= found
    return {name: _on_whole_host(table, done) for name, table in done.items()}, mistakes, broken


def _copies(
    name: str, table: dict[str, Any], units: Units, file: str
) -> dict[str, Any] | list[Mistake]:
    base = {key: value for key, value in table.items() if key != "repeat"}
    try:
        settings = RepeatSettings.model_validate(table["repeat"], context=units)
    except ValidationError as error:
        return from_pydantic(error, RepeatSettings, file, name, "repeat")
    wrong = _check(name, base, settings, file)
    if wrong:
        return wrong
    copies: dict[str, Any] = {}
    for k in range(settings.count):
        own = f"{name}-{k + 1}" if settings.count > 1 else name
        copy = _numbered(base, str(k + 1))
        for path, amount in settings.add.items():
            copy = _added(copy, path.split("."), f"{k} * ({amount})")
        if settings.around is not None:
            copy = _around(copy, settings, k)
        copies[own] = copy
        if settings.both_pages:
            copies[f"{own}-mirrored"] = mirrored(copy)
    return copies


def _check(name: str, base: dict[str, Any], settings: RepeatSettings, file: str) -> list[Mistake]:
    wrong = []
    for path in settings.add:
        if _value(base, path.split(".")) is None:
            wrong.append(
                Mistake(
                    file,
                    "is not a number of this piece",
                    name,
                    f"repeat.add.{path}",
                    advice=nearest(path, base) or "giving the key itself, as in at = 0",
                )
            )
    if settings.around is not None and not {"x", "y"} <= base.keys():
        wrong.append(
            Mistake(file, "needs the middle of the circle", name, "repeat.around", advice="x and y")
        )
    pairs = _pairs(base)
    given = [key for key in pairs if isinstance(base.get(key), list)]
    for key, pair in pairs.items():
        if settings.both_pages and given and not pair.same and not isinstance(base.get(key), list):
            problem = "cannot tell left from right: one number is given for both"
            wrong.append(Mistake(file, problem, name, key, advice=f"{key} = [left, right]"))
    return wrong


def _value(table: Any, path: list[str]) -> Any:
    for part in path:
        table = table.get(part) if isinstance(table, dict) else None
    return None if isinstance(table, bool | dict) else table


def _numbered(value: Any, number: str) -> Any:
    """Put the copy's number where a text has a star after a word: ``fern-*.ridge``."""
    if isinstance(value, dict):
        return {key: _numbered(item, number) for key, item in value.items()}
    if isinstance(value, list):
        return [_numbered(item, number) for item in value]
    return value.replace("-*", f"-{number}") if isinstance(value, str) else value


def _added(table: dict[str, Any], path: list[str], amount: str) -> dict[str, Any]:
    head, *rest = path
    if rest:
        return {**table, head: _added(table[head], rest, amount)}
    return {**table, head: _sum(table[head], amount)}


def _sum(value: Any, amount: str) -> Any:
    return (
        [_sum(item, amount) for item in value]
        if isinstance(value, list)
        else f"({value}) + {amount}"
    )


def _around(table: dict[str, Any], settings: RepeatSettings, k: int) -> dict[str, Any]:
    whole = math.isclose(abs(settings.arc), 2 * math.pi)
    parts = settings.count if whole else max(settings.count - 1, 1)
    turn = settings.first + settings.arc * k / parts
    radius = f"({settings.around})"
    return {
        **table,
        "x": _sum(table["x"], f"{radius} * ({-math.sin(turn):.12f})"),
        "y": _sum(table["y"], f"{radius} * ({math.cos(turn):.12f})"),
        "turn": _sum(table.get("turn", 0), f"({math.degrees(turn):.12f})"),
    }


def mirrored(table: dict[str, Any]) -> dict[str, Any]:
    """The same piece on the other side of the gutter: left for right, turned the other way."""
    pairs = _pairs(table)
    changed: dict[str, Any] = {}
    for key, value in table.items():
        if key in pairs or key in ("panels", "directions"):
            value = value[::-1] if isinstance(value, list) else value
        elif key in ("x", "turn"):
            value = f"-({value})"
        elif key in ("images", "lettering") and isinstance(value, list):
            value = [_printed(item, key) for item in value]
        elif key == "page":
            value = _SIDES.get(str(value), value)
        elif key == "on":
            value = _mirrored_host(str(value))
        elif key == "curl" and isinstance(value, list):
            value = [_mirrored_curl(entry) for entry in value]
        else:
            value = _flipped(value)
        changed[other_side(key, "_")] = value
    return changed


def _printed(item: Any, key: str) -> Any:
    """Art in the mirrored place; a picture is mirrored too, and letters are still to be read."""
    if not isinstance(item, dict):
        return item
    changed = {k: f"-({v})" if k in ("x", "turn") else v for k, v in item.items()}
    if isinstance(item.get("facet"), str):
        changed["facet"] = other_side(item["facet"], "-")
    return changed | {"flip": not item.get("flip", False)} if key == "images" else changed


def _mirrored_curl(entry: Any) -> Any:
    """A curl left for right; its line runs the other way, with the same paper left of it."""
    if not isinstance(entry, dict):
        return entry
    line = entry.get("line")
    changed = {**entry, "facet": other_side(str(entry.get("facet", "")), "-")}
    if isinstance(line, list) and all(isinstance(p, list) and len(p) == 2 for p in line):
        changed["line"] = [[f"-({x})", y] for x, y in reversed(line)]
    return changed


def _pairs(table: Mapping[str, Any]) -> dict[str, Pair]:
    """The keys of this kind that hold a left and a right number."""
    kind = KINDS.get(str(table.get("kind")))
    fields = kind.model_fields if kind else {}
    found = {}
    for key, field in fields.items():
        for item in field.metadata:
            if isinstance(item, Pair):
                found[key] = item
    return found


def other_side(name: str, between: str) -> str:
    """A name with left for right in its words, which `between` parts."""
    return between.join(_SIDES.get(word, word) for word in name.split(between))


def _mirrored_host(on: str) -> str:
    """``page.left`` for ``page.right``; the crease of a mirrored piece for that of a piece."""
    piece, dot, part = on.partition(".")
    if piece == "gutter":
        return on
    own = piece if piece == "page" else f"{piece}-mirrored"
    return f"{own}{dot}{other_side(part, '-')}"


def _on_whole_host(table: Any, pieces: Mapping[str, Any]) -> Any:
    """The piece, moved from a mirrored host that is not there to the other side of the host itself.

    A piece that stands across the gutter is its own mirror image: what is glued on its left half
    has its copy on its right half.
    """
    if not isinstance(table, dict):
        return table
    host, dot, part = str(table.get("on", "")).partition(".")
    whole = host.removesuffix("-mirrored")
    if whole == host or host in pieces or whole not in pieces:
        return table
    return {**table, "on": f"{whole}{dot}{part}"}


def _flipped(value: Any) -> Any:
    """Outlines left for right, wherever they stand, and facets and folds by their other name."""
    if isinstance(value, list):
        return [_flipped(item) for item in value]
    if not isinstance(value, dict):
        return value
    if "shape" in value:
        return {**value, "flip": not value.get("flip", False)}
    return {other_side(key, "-"): _flipped(item) for key, item in value.items()}
