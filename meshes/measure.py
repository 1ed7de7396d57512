"""Lengths and angles as a design file writes them: numbers, units and simple arithmetic.

Only here and in :mod:`meshes.design` do the units of a file exist; what comes out is millimetres
and radians.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import Path
from typing import Annotated, Any

from pydantic import ValidationInfo
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

# International inch: exactly 25.4 mm. Source: ISO 31-1, annex; NIST SP 811, appendix B.8.
MM_PER_UNIT: Mapping[str, float] = {"mm": 1.0, "cm": 10.0, "in": 25.4}
DEGREES = ("deg", "°")

_TOKEN = re.compile(r"\s*(?:(\d+\.?\d*(?:[eE][+-]?\d+)?|\.\d+)|([^\W\d][\w-]*|°)|([-+*/()]))")
_MOST_TOKENS = 200  # our choice
_DEEPEST = 20  # our choice


@dataclass(frozen=True)
class Units:
    """What the numbers of a file mean; hand it to pydantic as the validation context.

    Parameters
    ----------
    length : name of the unit of bare numbers: mm, cm or in.
    values : numbers by name, as the file's ``[values]`` gives them.
    folder : of the design file; files that it names lie in it.
    """

    length: str = "mm"
    values: Mapping[str, float] = field(default_factory=dict)
    folder: Path = Path()

    @property
    def mm(self) -> float:
        """Millimetres in one unit of the file."""
        return MM_PER_UNIT[self.length]


def evaluate(text: str, units: Units, *, angle: bool = False) -> float:
    """The number that an expression such as ``"petal * 2 + 1.5 cm"`` stands for.

    Numbers with a unit are converted to the unit of the file, so bare numbers and values by name
    mix with them. Known: ``+ - * / ( )``, numbers, names.

    Parameters
    ----------
    angle : units are those of angles (``deg``, ``°``), not of lengths.

    Returns
    -------
    A number in the unit of the file, or in degrees.

    Raises
    ------
    ValueError
        With a reason that quotes the text.
    """
    reader = _ExpressionReader(text, units, angle)
    value = reader.sum(0)
    if reader.here < len(reader.tokens):
        raise ValueError(f"{text!r} is not understood from {reader.tokens[reader.here][1]!r} on")
    if not math.isfinite(value):
        raise ValueError(f"{text!r} is not a finite number")
    return value


class _ExpressionReader:
    """Recursive descent over sums, products, signs and brackets."""

    def __init__(self, text: str, units: Units, angle: bool) -> None:
        self.text, self.units, self.angle = text, units, angle
        self.tokens = _tokens(text)
        self.here = 0

    def sum(self, depth: int) -> float:
        if depth > _DEEPEST:
            raise ValueError("too many brackets")
        value = self.product(depth)
        while self._next("+-"):
            sign = 1 if self._take()[1] == "+" else -1
            value += sign * self.product(depth)
        return value

    def product(self, depth: int) -> float:
        value = self.signed(depth)
        while self._next("*/"):
            if self._take()[1] == "*":
                value *= self.signed(depth)
                continue
            divisor = self.signed(depth)
            if divisor == 0:
                raise ValueError(f"{self.text!r} divides by zero")
            value /= divisor
        return value

    def signed(self, depth: int) -> float:
        sign = 1
        while self._next("+-"):
            sign *= 1 if self._take()[1] == "+" else -1
        return sign * self.single(depth)

    def single(self, depth: int) -> float:
        if self.here >= len(self.tokens):
            raise ValueError(f"{self.text!r} stops too early")
        kind, word = self._take()
        if word == "(":
            value = self.sum(depth + 1)
            if not self._next(")"):
                raise ValueError(f"{self.text!r} lacks a closing bracket")
            self._take()
            return value
        if kind == "number":
            return float(word) * self._unit()
        if kind == "name":
            return self._named(word)
        raise ValueError(f"{self.text!r} is not understood at {word!r}")

    def _unit(self) -> float:
        """Factor of the unit that may follow a number."""
        if self.here >= len(self.tokens) or self.tokens[self.here][0] != "name":
            return 1.0
        word = self._take()[1]
        if self.angle and word in DEGREES:
            return 1.0
        if not self.angle and word in MM_PER_UNIT:
            return MM_PER_UNIT[word] / self.units.mm
        known = DEGREES if self.angle else tuple(MM_PER_UNIT)
        raise ValueError(f"{word!r} is not a unit here ({', '.join(known)})")

    def _named(self, word: str) -> float:
        if word in self.units.values:
            return self.units.values[word]
        near = get_close_matches(word, self.units.values, 1)
        hint = f", did you mean {near[0]!r}?" if near else ""
        raise ValueError(f"{word!r} is neither a number nor a name in [values]{hint}")

    def _next(self, words: str) -> bool:
        if self.here >= len(self.tokens):
            return False
        kind, word = self.tokens[self.here]
        return kind == "sign" and word in words

    def _take(self) -> tuple[str, str]:
        self.here += 1
        return self.tokens[self.here - 1]


def _tokens(text: str) -> list[tuple[str, str]]:
    tokens: list[tuple[str, str]] = []
    here, end = 0, len(text.rstrip())
    while here < end:
        match = _TOKEN.match(text, here)
        if match is None:
            raise ValueError(f"{text!r} is not understood at {text[here:].strip()[:1]!r}")
        kind = ("number", "name", "sign")[match.lastindex - 1] if match.lastindex else "sign"
        tokens.append((kind, match.group(match.lastindex or 0)))
        here = match.end()
        if len(tokens) > _MOST_TOKENS:
            raise ValueError("the expression is too long")
    return tokens


@dataclass(frozen=True)
class Bounds:
    """What a quantity may be, in mm or degrees; read by the checks and by the reference table."""

    low: float
    high: float
    what: str

    @property
    def text(self) -> str:
        """For a person, for example ``0.1 to 2000 mm``."""
        unit = {"length": " mm", "angle": "°", "number": ""}[self.what]
        return f"{self.low:g} to {self.high:g}{unit}"

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> CoreSchema:
        return core_schema.with_info_plain_validator_function(self.read)

    def read(self, value: Any, info: ValidationInfo[Any]) -> float:
        """Convert what the file says to mm or radians, or complain."""
        units = info.context if isinstance(info.context, Units) else Units()
        number = self._number(value, units)
        if self.what == "length":
            number *= units.mm
        # An expression such as 10 / 25.4 may miss its bound by a rounding error.
        if not self.low - 1e-9 <= number <= self.high + 1e-9:
            raise self.wrong("is out of range", value)
        return math.radians(number) if self.what == "angle" else number

    def _number(self, value: Any, units: Units) -> float:
        if isinstance(value, str):
            try:
                return evaluate(value, units, angle=self.what == "angle")
            except ValueError as error:
                raise complaint(str(error), allowed=self.text) from None
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self.wrong(f"is not a {self.what}", value)
        try:
            number = float(value)
        except OverflowError:
            raise self.wrong("is out of range", value) from None
        if not math.isfinite(number):
            raise self.wrong("is not a finite number", value)
        return number

    def wrong(self, problem: str, value: Any, allowed: str = "") -> PydanticCustomError:
        """The complaint about a value."""
        return complaint(problem, found=shown(value), allowed=allowed or self.text)


def shown(value: object) -> str:
    """A value for a person, cut short."""
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "..."


def complaint(
    problem: str, *, key: str = "", found: str = "", allowed: str = "", advice: str = ""
) -> PydanticCustomError:
    """What a validator raises so that the reader can say it like any other mistake.

    Parameters
    ----------
    key : which key of the model is to blame, for a complaint about a whole model.
    """
    context = {"problem": problem, "key": key, "found": found, "allowed": allowed, "advice": advice}
    return PydanticCustomError("design", "{problem}", context)


@dataclass(frozen=True)
class Pair:
    """Two quantities, left and right; one number stands for both.

    Parameters
    ----------
    same : one number is taken for both; else the right one is left open, as None.
    """

    each: Bounds
    same: bool = True

    @property
    def text(self) -> str:
        """For a person, for example ``0.1 to 2000 mm, or [left, right]``."""
        return f"{self.each.text}, or [left, right]"

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> CoreSchema:
        return core_schema.with_info_plain_validator_function(self.read)

    def read(self, value: Any, info: ValidationInfo[Any]) -> tuple[float, float | None]:
        """Convert both to mm or radians, or complain."""
        if not isinstance(value, list | tuple):
            number = self.each.read(value, info)
            return number, number if self.same else None
        if len(value) != 2:
            raise self.each.wrong(f"has {len(value)} numbers instead of two", value, self.text)
        return self.each.read(value[0], info), self.each.read(value[1], info)


def mm(low: float = 0.1, high: float = 2000.0) -> Bounds:
    """Metadata for ``Annotated[float, ...]``: a length between two bounds in mm, kept in mm."""
    return Bounds(low, high, "length")


def degrees(low: float, high: float) -> Bounds:
    """Metadata for an angle between two bounds in degrees, kept in radians."""
    return Bounds(low, high, "angle")


def number(low: float, high: float) -> Bounds:
    """Metadata for a plain number between two bounds."""
    return Bounds(low, high, "number")


Length = Annotated[float, mm()]
Shift = Annotated[float, mm(-2000, 2000)]  # our choice
Turn = Annotated[float, degrees(-360, 360)]  # our choice
