"""The numbers of a design file that a cure may change: in keys, in lists, and in ``[values]``."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from ..design.values import names_in
from ..measure import DEGREES, MM_PER_UNIT, Units, evaluate
from ..named import texts_in
from .finding import Cure, Value

# Whole numbers of things, which no cure makes more or fewer of.
_COUNTS = ("count", "rays")
_UNITS = "|".join((*MM_PER_UNIT, *DEGREES))
# One number with its unit; what is worked out from several stays as it is written.
_SINGLE = re.compile(rf"\s*-?\s*(?:\d+\.?\d*|\.\d+)\s*({_UNITS})?\s*")


@dataclass(frozen=True)
class KeyNumber:
    """A number of a design file: what a key holds, or one of its list.

    Parameters
    ----------
    key : its path, or a name in ``[values]``.
    now : its value, in the unit of the file.
    listed, place : the list and where in it the number stands; empty if it stands alone.
    """

    key: str
    now: float
    listed: tuple[float, ...] = ()
    place: int = 0

    def put(self, value: float) -> Value:
        """What the key holds with this number instead."""
        if not self.listed:
            return value
        return (*self.listed[: self.place], value, *self.listed[self.place + 1 :])

    def cure(self, value: float) -> Cure:
        """The cure that gives it this value."""
        return Cure(self.key, self.put(value), self.put(self.now))


def numbers_of(
    tables: Mapping[str, Any], pieces: Iterable[str], units: Units
) -> Iterator[KeyNumber]:
    """The numbers in the tables of pieces and of their papers, then those that these name.

    Parameters
    ----------
    tables : of the whole file.
    units : of the file.
    """
    own = _tables_of(tables, pieces)
    for path, table in own.items():
        yield from _walk(path, table, units)
    named = tables.get("values", {})
    for name in _named(named, own.values()):
        number = _number(named[name], units)
        if number is not None:
            yield KeyNumber(name, number)


def _tables_of(tables: Mapping[str, Any], pieces: Iterable[str]) -> dict[str, dict[str, Any]]:
    """Tables of pieces and of the papers that they are cut from, by their paths."""
    kinds, papers = tables.get("pieces", {}), tables.get("papers", {})
    found: dict[str, dict[str, Any]] = {}
    for name in (_table_of(kinds, piece) for piece in pieces):
        if name is not None:
            found[f"pieces.{name}"] = kinds[name]
            paper = kinds[name].get("paper")
            if isinstance(paper, str) and isinstance(papers.get(paper), dict):
                found[f"papers.{paper}"] = papers[paper]
    return found


def _table_of(tables: Mapping[str, Any], piece: str) -> str | None:
    """The table of a piece, which may be a copy that `repeat` made."""
    while piece and piece not in tables:
        piece = piece.rpartition("-")[0]
    return piece or None


def _walk(path: str, table: Mapping[str, Any], units: Units) -> Iterator[KeyNumber]:
    for key, value in table.items():
        number = _number(value, units)
        if number is not None and key not in _COUNTS:
            yield KeyNumber(f"{path}.{key}", number)
        elif isinstance(value, dict):
            yield from _walk(f"{path}.{key}", value, units)
        elif isinstance(value, list) and all(isinstance(one, dict) for one in value):
            for k, one in enumerate(value, 1):
                yield from _walk(f"{path}.{key}.{one.get('name', k)}", one, units)
        elif isinstance(value, list):
            yield from _listed(f"{path}.{key}", [_number(one, units) for one in value])


def _listed(key: str, row: list[float | None]) -> Iterator[KeyNumber]:
    """The numbers of a list, if it holds nothing else."""
    listed = tuple(one for one in row if one is not None)
    if len(listed) == len(row):
        yield from (KeyNumber(key, now, listed, k) for k, now in enumerate(listed))


def _number(value: Any, units: Units) -> float | None:
    """A number as it is written, with or without a unit; None of anything else."""
    if isinstance(value, str):
        single = _SINGLE.fullmatch(value)
        return evaluate(value, units, angle=single[1] in DEGREES) if single else None
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


def _named(values: Mapping[str, Any], tables: Iterable[Any]) -> list[str]:
    """Names in ``[values]`` from which something in tables is worked out, in their order there."""
    found: set[str] = set()
    texts = {text for table in tables for text in texts_in(table)}
    waiting = {name for text in texts for name in names_in(text)}
    while waiting:
        found |= waiting & set(values)
        waiting = {name for one in found for name in names_in(values[one])} & set(values) - found
    return [name for name in values if name in found]
