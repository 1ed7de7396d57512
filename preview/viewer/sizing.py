"""Pieces made larger or smaller: lengths, which the models tell from angles, counts and shares."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any, TypeVar

from meshes.measure import Units
from meshes.pull.numbers import Number, numbers_of, replaced

_Tried = TypeVar("_Tried")

# The page for which the sizes of the drawer are meant, mm. Source: ISO 216, A5.
MEANT_FOR = (148.0, 210.0)
# Sizes in which a piece is tried. Below `_SMALLEST` mm a hand can't fold it. Our choice.
_SIZES = (1.0, 0.8, 0.65, 0.5, 0.4, 0.3, 0.22)
_SMALLEST, _SMALLEST_TAB = 4.0, 3
# On a larger page they begin larger, but no more than so much: our choice.
_LARGEST = 1.6


def sizes(page: tuple[float, float]) -> Iterator[float]:
    """By how much a piece meant for A5 is made larger or smaller, the largest first."""
    fit = min(fitting(page), _LARGEST)
    yield from (size * max(1.0, fit) for size in _SIZES)


def fitting(page: tuple[float, float]) -> float:
    """How many times as large as A5 a page is, in its narrower direction."""
    return min(side / meant for side, meant in zip(page, MEANT_FOR, strict=True))


def sized(tables: Mapping[str, Any], names: Iterable[str], size: float) -> dict[str, Any]:
    """A design's tables with the lengths of some pieces as large as they should be, in whole mm.

    Parameters
    ----------
    tables : in mm; what the pieces name in ``[values]`` becomes larger or smaller too.
    """
    tables = dict(tables)
    for number in {one.path: one for name in names for one in _lengths(tables, name)}.values():
        long = round((number.value or 0.0) * size)
        if number.path[-1] == "tab":
            long = max(_SMALLEST_TAB, long)
        tables = replaced(tables, number.path, long)
    for name in names:
        if "scale" in tables["pieces"][name]:
            scale = round(tables["pieces"][name]["scale"] * size, 2)
            tables = replaced(tables, ("pieces", name, "scale"), scale)
    return tables


def foldable(tables: Mapping[str, Any], names: Sequence[str]) -> bool:
    """Whether all that has a length at all, but for tabs, is long enough for a hand."""
    return all(
        number.value is None or number.value >= _SMALLEST
        for name in names
        for number in _lengths(tables, name)
        if number.bounds.low > 0 and number.path[-1] != "tab"
    )


def largest_of(tried: Sequence[_Tried], trouble: Callable[[_Tried], str]) -> tuple[int | None, str]:
    """The first of some ever smaller pieces that has no trouble, or what the smallest of them has.

    What fits in one size is taken to fit in all that are smaller, but for the smallest, which may
    be too small for itself; so a few of them are tried and not all.

    Returns
    -------
    Its number, or None and the reason.
    """
    if not tried:
        return None, "it would be too small to fold"
    reason = trouble(tried[0])
    if not reason:
        return 0, ""
    fits: list[int] = []
    for k in dict.fromkeys((len(tried) // 2, len(tried) - 1)):
        if not fits and k:
            reason = trouble(tried[k])
            fits += [] if reason else [k]
    low, high = 0, min(fits, default=0)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if trouble(tried[middle]) else (low, middle)
    return (high if fits else None), reason


def _lengths(tables: Mapping[str, Any], name: str) -> Iterator[Number]:
    """The lengths that the file says for a piece as plain numbers."""
    plain = {k: v for k, v in tables.get("values", {}).items() if isinstance(v, int | float)}
    for number in numbers_of(tables, name, Units(values=plain)):
        if number.given and not number.expression and number.bounds.what == "length":
            yield number
