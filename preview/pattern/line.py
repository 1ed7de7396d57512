"""Line types: what a stroke means is told by its pattern and width, in black, never by a colour.

The types are those of ISO 128-2 (numbers from memory: 01 continuous, 02 dashed, 04 long-dashed
dotted, 05 long-dashed double-dotted): cut 01 wide, valley 02 narrow, mountain 04 narrow, the line
from which on paper is rolled 05 narrow; a wide line is twice a narrow one. The
standard gives dash 12 d, long dash 24 d, gap 3 d and dot 0.5 d for a line of width d. Ours differ
in two places, so that a home printer shows them: the dot is 1 d, since 0.5 d is half the width of
an already thin line, and the gap is 4 d. Dashes are stretched or squeezed until a fold begins and
ends with a whole one, so its ends can be seen.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Role = Literal[
    "cut",
    "slit",
    "valley",
    "mountain",
    "valley-sign",
    "mountain-sign",
    "roll",
    "hatch",
    "place",
    "rule",
    "trim",
    "sign",
    "register",
    "drawn",
    "dimension",
    "terminator",
    "axis",
]

# From memory: 0.5, 0.25 and 0.13 are line widths of ISO 128, wide to narrow as 2 to 1.
CUT_WIDTH_MM, FOLD_WIDTH_MM = 0.5, 0.25


@dataclass(frozen=True)
class Ink:
    """How a role is drawn: width in mm, grey from 0 black to 1 white, and whether it is filled."""

    width: float
    grey: float = 0.0
    filled: bool = False


# From memory, as above; greys are our choice.
INKS: dict[Role, Ink] = {
    "cut": Ink(CUT_WIDTH_MM),
    "slit": Ink(CUT_WIDTH_MM),
    "valley": Ink(FOLD_WIDTH_MM),
    "mountain": Ink(FOLD_WIDTH_MM),
    "valley-sign": Ink(FOLD_WIDTH_MM),
    "mountain-sign": Ink(0.13, filled=True),
    "roll": Ink(FOLD_WIDTH_MM),
    "hatch": Ink(0.13, 0.5),
    "place": Ink(0.25, 0.2),
    "rule": Ink(0.13, 0.6),
    "trim": Ink(0.13, 0.35),
    "sign": Ink(0.25),
    "register": Ink(0.13, filled=True),
    # On drafting sheets: what earlier steps have drawn, dimension lines, their ends, axes.
    "drawn": Ink(0.25, 0.5),
    "dimension": Ink(0.13),
    "terminator": Ink(0.05, filled=True),
    "axis": Ink(0.13, 0.25),
}


_d = FOLD_WIDTH_MM
# From memory, as above; places and trims are our choice.
_PATTERNS: dict[Role, tuple[float, ...]] = {
    "valley": (12 * _d, 4 * _d),
    "mountain": (24 * _d, 4 * _d, 1 * _d, 4 * _d),
    "roll": (24 * _d, 4 * _d, 1 * _d, 4 * _d, 1 * _d, 4 * _d),
    "place": (0.3, 0.9),
    "trim": (0.6, 1.2),
    "axis": (24 * 0.13, 4 * 0.13, 1 * 0.13, 4 * 0.13),
}


def dashes(role: Role, length: float) -> tuple[float, ...]:
    """Dash and gap lengths (mm) for a line of `length` mm; empty where it is continuous.

    The pattern repeats a whole number of times and ends with its first dash.
    """
    if role not in _PATTERNS:
        return ()
    dash, *rest = _PATTERNS[role]
    repeats = max(1, round((length - dash) / (dash + sum(rest))))
    fitted = (length - repeats * sum(rest)) / (repeats + 1)
    if fitted >= dash / 3:
        return (fitted, *rest)
    # Too short for one repeat: the whole pattern shrinks.
    scale = length / (2 * dash + sum(rest))
    return tuple(part * scale for part in (dash, *rest))
