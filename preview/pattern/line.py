"""Line types: what a stroke means is told by its pattern, in black, and never by a colour.

The types are those of ISO 128-2 (numbers from memory: 01 continuous, 02 dashed, 04 long-dashed
dotted): cut 01, valley 02, mountain 04. The standard gives dash 12 d, long dash 24 d, gap 3 d and
dot 0.5 d for a line of width d. Ours differ in two places, so that a home printer shows them: the
dot is 1 d, since 0.5 d is half the width of an already thin line, and the gap is 4 d. Each pattern
is stretched or squeezed until a fold begins and ends with a whole dash, so its ends can be seen.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Role = Literal[
    "cut", "slit", "valley", "mountain", "glue", "hatch", "place", "bleed", "rule", "trim", "sign"
]

FOLD_WIDTH_MM = 0.25
_DASH, _LONG, _GAP, _DOT = 12.0, 24.0, 4.0, 1.0


@dataclass(frozen=True)
class Ink:
    """How a role is drawn: width in mm and grey, 0 black to 1 white."""

    width: float
    grey: float = 0.0


INKS: dict[Role, Ink] = {
    "cut": Ink(0.25),
    "slit": Ink(0.25),
    "valley": Ink(FOLD_WIDTH_MM),
    "mountain": Ink(FOLD_WIDTH_MM),
    "glue": Ink(0.13, 0.45),
    "hatch": Ink(0.13, 0.5),
    "place": Ink(0.25, 0.2),
    "bleed": Ink(0.0),
    "rule": Ink(0.13, 0.6),
    "trim": Ink(0.13, 0.35),
    "sign": Ink(0.25),
}


def dashes(role: Role, length: float) -> tuple[float, ...]:
    """Dash and gap lengths (mm) for a line of `length` mm; empty where it is continuous.

    The pattern repeats a whole number of times and ends with its first dash.
    """
    d = FOLD_WIDTH_MM
    if role == "valley":
        unit = [_DASH * d, _GAP * d]
    elif role == "mountain":
        unit = [_LONG * d, _GAP * d, _DOT * d, _GAP * d]
    elif role == "place":
        unit = [0.3, 0.9]
    elif role == "trim":
        unit = [0.6, 1.2]
    else:
        return ()
    period = sum(unit)
    repeats = max(1, round((length - unit[0]) / period))
    scale = length / (repeats * period + unit[0])
    # Far shorter than one repeat, a pattern could not be told from another: keep dots visible.
    return tuple(max(part * scale, 0.1) for part in unit)
