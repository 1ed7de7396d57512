"""Reports as plain data from which they can be had again, unlike the shorter ones for scripts."""

from __future__ import annotations

import dataclasses
from typing import Any

from .finding import Answer, Cure, Finding, Place, Report


def packed(report: Report) -> dict[str, Any]:
    """All of a report, as JSON can tell it."""
    return dataclasses.asdict(report)


def unpacked(data: dict[str, Any]) -> Report:
    """The report that was packed, after JSON made lists of its tuples."""
    return Report(data["title"], tuple(_answer(answer) for answer in data["answers"]))


def _answer(data: dict[str, Any]) -> Answer:
    return Answer(**{**data, "findings": tuple(_finding(one) for one in data["findings"])})


def _finding(data: dict[str, Any]) -> Finding:
    cures = (Cure(c["key"], _value(c["value"]), _value(c["now"])) for c in data["cures"])
    place = data["place"]
    whole = {
        **data,
        "parts": tuple(data["parts"]),
        "cures": tuple(cures),
        "place": None if place is None else _place(place),
    }
    return Finding(**whole)


def _place(data: dict[str, Any]) -> Place:
    return Place(
        data["kind"],
        data["opening_deg"],
        tuple((x, y, z) for x, y, z in data["points"]),
        _pair(data["turned"]),
        _pair(data["moved"]),
    )


def _pair(data: list[Any] | None) -> tuple[str, float] | None:
    return None if data is None else (data[0], data[1])


def _value(data: float | list[float]) -> float | tuple[float, ...]:
    return tuple(data) if isinstance(data, list) else data
