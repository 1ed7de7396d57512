"""The front door: an SVG becomes drawn sheets with folds, facets and lettered areas."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from .assemble import DrawnArea, DrawnSheet, landings, sheets
from .strokes import Group, LeftAlone, Stroke, strokes, told_apart
from .tree import DrawingError, parse


@dataclass(frozen=True)
class Drawing:
    """All sheets of a drawing, and the places on the open spread beneath.

    Parameters
    ----------
    landings : places on the spread in its own coordinates: x to the right of the gutter (or
        whatever crease the drawing stands on), y up along it from where its line begins.
    """

    sheets: tuple[DrawnSheet, ...]
    landings: tuple[DrawnArea, ...]


def read(data: bytes | Sequence[bytes], scale: float | None = None) -> Drawing:
    """Read one drawing, or several files that make up one.

    Parameters
    ----------
    scale : mm in a user unit, for a file without a physical size.

    Raises
    ------
    DrawingError
        With a one-line reason that names the element.
    """
    made: list[DrawnSheet] = []
    landed: list[DrawnArea] = []
    for content in [data] if isinstance(data, bytes) else data:
        found = strokes(parse(content), scale)
        if not found:
            raise DrawingError(
                "has no line of class or layer cut, slit, valley, mountain, glue or place"
            )
        for group, members in _by_group(found):
            if group.word == "spread" or group.attributes.get("data-piece") == "page":
                landed += landings(members)
            else:
                made += sheets(group, members)
    if not made:
        raise DrawingError("has no sheet: no closed line of class or layer cut")
    return Drawing(_numbered(made), tuple(landed))


@dataclass(frozen=True)
class Account:
    """What every line of a drawing was taken for, before sheets are made of them."""

    strokes: tuple[Stroke, ...]
    left: tuple[LeftAlone, ...]


def account(data: bytes, scale: float | None = None) -> Account:
    """What the lines of a drawing are taken for, and what is left alone; raises as :func:`read`."""
    found, left = told_apart(parse(data), scale)
    return Account(tuple(found), tuple(left))


def _by_group(found: Sequence[Stroke]) -> list[tuple[Group, list[Stroke]]]:
    members: dict[str, tuple[Group, list[Stroke]]] = {}
    for stroke in found:
        members.setdefault(stroke.group.key, (stroke.group, []))[1].append(stroke)
    return list(members.values())


def _numbered(made: list[DrawnSheet]) -> tuple[DrawnSheet, ...]:
    """Every sheet with a name of its own."""
    names = Counter(sheet.name for sheet in made)
    seen: Counter[str] = Counter()
    result = []
    for sheet in made:
        seen[sheet.name] += 1
        number = f"-{seen[sheet.name]}" if names[sheet.name] > 1 else ""
        result.append(replace(sheet, name=sheet.name + number))
    return tuple(result)


def letters(areas: Sequence[DrawnArea]) -> dict[str, DrawnArea]:
    """Areas by letter; of several with the same letter the largest, which fixes a place best.

    Of several equal ones it is the first, so that a glue area and its place are one pair.
    """
    found: dict[str, DrawnArea] = {}
    for area in areas:
        if area.letter not in found or _size(area) > 1.0001 * _size(found[area.letter]):
            found[area.letter] = area
    return found


def _size(area: DrawnArea) -> float:
    x, y = area.corners.T
    return abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))))
