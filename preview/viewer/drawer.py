"""The paper drawer: pieces of every kind, with numbers that fit where they are laid.

A piece from the drawer is tried where the hand drops it: built, solved through the whole opening
and checked, together with what carries it and nothing else. What does not fit is tried again
smaller, and only one that fits comes into the file.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Annotated, Any

import numpy as np
from pydantic import BaseModel, ConfigDict, Field

from meshes.check import case_of, report
from meshes.design.edit import AddPiece, a_free_name
from meshes.design.edit.names import pieces_of
from meshes.errors import DesignError
from meshes.measure import MM_PER_UNIT
from meshes.pieces import KINDS
from meshes.pull.sketch import carrying
from meshes.spread import Spread, build
from preview.errors import UseError

from .values import meaning

Json = dict[str, Any]
_Name = Annotated[str, Field(max_length=200)]
_Finite = Annotated[float, Field(allow_inf_nan=False, ge=-1e5, le=1e5)]

# Sizes that fit a page of A5 with room to spare, mm and degrees: our choice, tried by the tests.
_PIECES: Mapping[str, Json] = {
    "v-fold": {
        "page_angle": 48,
        "panel_angle": 62,
        "base": 24,
        "tab": 8,
        "outline": {"shape": "petal", "length": 70, "width": 50},
    },
    "blossom": {"sectors": 6, "angle": 52, "length": 44},
    "tent": {"distance": 18, "panel": 40, "width": 44},
    "box": {"distance": 26, "height": 32, "width": 44},
    "carrier": {"distance": 30, "flap": 18, "width": 40},
    "strap": {"distance": 30, "panels": [34, 34], "width": 30},
    "zigzag": {"page_angle": 52, "panel_angle": 66, "base": 18, "levels": 4, "ridge": 80},
    "wheel": {"radius": 30},
    "slide": {"length": 80, "travel": 16},
    "flat": {"outline": {"shape": "ellipse", "length": 40, "width": 56}},
    "flyleaf": {},
}
# Keys that are counts, angles or names: they stay as they are when the paper becomes smaller.
_KEPT = ("page_angle", "panel_angle", "sectors", "angle", "levels", "shape")
_SIZES = (1.0, 0.8, 0.65, 0.5, 0.4, 0.3, 0.22)
# Below this a hand can't fold it: our choice, mm.
_SMALLEST, _SMALLEST_TAB = 4.0, 3


class Dropped(BaseModel):
    """A piece of the drawer and where the hand lets it go.

    Parameters
    ----------
    facet, place : what it is laid on, and where, in the coordinates of the facet's sheet, mm; or
    piece, body, local : what lies under the hand, and a point in the coordinates of its body.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    made: _Name
    page: _Name = ""
    kind: _Name
    facet: _Name = ""
    place: tuple[_Finite, _Finite] = (0.0, 0.0)
    piece: _Name = ""
    body: _Name = ""
    local: tuple[_Finite, _Finite, _Finite] = (0.0, 0.0, 0.0)


@dataclass(frozen=True)
class Footing:
    """A crease or facet that could carry a piece, and where on it the hand is."""

    on: str
    at: Mapping[str, float]


def drawer() -> list[Json]:
    """What the drawer holds: name, meaning, and whether it stands on a crease or a facet."""
    return [
        {
            "kind": kind,
            "means": meaning(KINDS[kind]),
            "stands": KINDS[kind].stands_on,
        }
        for kind in _PIECES
    ]


def added(text: str, spread: Spread, dropped: Dropped) -> AddPiece:
    """The edit that lays a piece of the drawer where the hand is.

    Raises
    ------
    UseError
        If no place near the hand can carry it, however small.
    """
    if dropped.kind not in _PIECES:
        raise UseError(f"there is no {dropped.kind} in the drawer")
    pieces = pieces_of(text)
    name = a_free_name(dropped.kind, pieces) if dropped.kind in pieces else dropped.kind
    per_unit = MM_PER_UNIT[spread.design.units]
    reason = ""
    if dropped.body:
        dropped = _under_the_hand(spread, dropped)
    for spot in _spots(spread, dropped):
        for size in _SIZES:
            table = _sized(_PIECES[dropped.kind], size)
            if table is None:
                break
            whole = {"kind": dropped.kind, "on": spot.on, **spot.at, **table}
            trouble = _trouble(spread, name, whole)
            reason = reason or trouble
            if not trouble:
                return AddPiece(name=name, table=_in_units(whole, per_unit))
    raise UseError(
        f"a {dropped.kind} finds no room here{': ' + reason if reason else ''}; try another place"
    )


def _under_the_hand(spread: Spread, dropped: Dropped) -> Dropped:
    """The same with the facet that lies under the hand, and the place on its sheet."""
    from shapely.geometry import Point

    found: list[tuple[float, Dropped]] = []
    for body in spread.linkage.bodies:
        for part in body.parts if body.name == dropped.body else ():
            if part.sheet.piece == dropped.piece:
                x, y = part.placement.inverse().apply([dropped.local[:2]])[0]
                away = part.facet.polygon.distance(Point(x, y))
                place = (float(x), float(y))
                there = dropped.model_copy(update={"facet": part.id, "place": place})
                found.append((away, there))
    if not found:
        raise UseError("the paper under the hand is not there any more; try again")
    return min(found, key=lambda one: one[0])[1]


def _spots(spread: Spread, dropped: Dropped) -> Iterator[Footing]:
    """Creases or facets that can carry it, the nearest first."""
    sheet, _, name = dropped.facet.partition(".")
    x, y = dropped.place
    found = [s for s in spread.sheets if s.piece == sheet and name in {f.name for f in s.facets}]
    if not found:
        raise UseError("the paper under the hand is not there any more; try again")
    if dropped.kind == "flyleaf":
        yield Footing("gutter", {})
        return
    if KINDS[dropped.kind].stands_on == "facet":
        yield Footing(dropped.facet, {"x": round(x), "y": round(y)})
        return
    creases = []
    for crossing in found[0].crossings:
        start, end = np.array(crossing.fold.start), np.array(crossing.fold.end)
        along = (end - start) / np.linalg.norm(end - start)
        at = float(np.clip((np.array([x, y]) - start) @ along, 0, np.linalg.norm(end - start)))
        away = float(np.linalg.norm(start + at * along - [x, y]))
        on = "gutter" if sheet == "page" else f"{sheet}.{crossing.fold.name}"
        creases.append((away, on, round(at)))
    for _, on, at in sorted(creases):
        yield Footing(on, {"at": at})
    if not creases:
        raise UseError(f"a {dropped.kind} stands on a crease, and {sheet} has none")


def _sized(table: Json, size: float) -> Json | None:
    """The table with its lengths smaller; None if it is too small to be folded."""
    changed: Json = {}
    for key, value in table.items():
        if key in _KEPT:
            changed[key] = value
        elif key == "tab":
            changed[key] = max(_SMALLEST_TAB, round(value * size))
        elif isinstance(value, dict):
            changed[key] = _sized(value, size)
        elif isinstance(value, list):
            changed[key] = [round(one * size) for one in value]
        else:
            changed[key] = round(value * size)
    numbers = [
        v for k, v in changed.items() if k not in (*_KEPT, "tab") and isinstance(v, int | float)
    ]
    return None if any(number < _SMALLEST for number in numbers) else changed


def _in_units(table: Json, per_unit: float) -> Json:
    """Lengths of a table in the unit of the file."""
    if per_unit == 1.0:
        return table
    changed: Json = {}
    for key, value in table.items():
        if isinstance(value, dict):
            changed[key] = _in_units(value, per_unit)
        elif isinstance(value, list):
            changed[key] = [round(one / per_unit, 3) for one in value]
        elif key in _KEPT or isinstance(value, str):
            changed[key] = value
        else:
            changed[key] = round(value / per_unit, 3)
    return changed


def _trouble(spread: Spread, name: str, table: Json) -> str:
    """Why a piece would not do there; empty if it closes flat, stays inside and hits nothing."""
    design = spread.design
    try:
        piece = KINDS[table["kind"]].model_validate(table)
        hosts = set(carrying(design.pieces, [piece]))
        pieces = {k: v for k, v in design.pieces.items() if k in hosts} | {name: piece}
        alone = build(replace(design, pieces=pieces, units="mm", shots={}))
        found = report(case_of(alone), trims=False)
    except DesignError as error:
        return error.mistakes[0].problem
    except ValueError as error:  # the model refuses the numbers
        return str(error).splitlines()[0]
    for one in found.findings:
        concerned = {one.piece, *(part.partition(".")[0] for part in one.parts)}
        if one.severity == "problem" and name in concerned:
            return one.text
    return ""
