"""Lines and areas as operators of a PDF's page (ISO 32000-1, 8.5), from page coordinates in mm.

A page of a pattern has hundreds of lines, and all of them want the same few operators, so they are
written here, straight into the page, rather than through objects of the library that makes the
document.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from preview.drawing.colour import channels

from .font import MM_PER_POINT

# How the ends and corners of lines are drawn: butt caps, round joins (ISO 32000-1, 8.4.3).
_CAP, _JOIN = 0, 1


@dataclass(frozen=True)
class Pen:
    """How a path is painted.

    A colour is one number, grey, or red, green and blue, from 0 to 1; none paints nothing.

    Parameters
    ----------
    width : of the line, mm.
    dashes : lengths of dashes and gaps, mm.
    """

    line: tuple[float, ...] = ()
    area: tuple[float, ...] = ()
    width: float = 0.0
    dashes: tuple[float, ...] = ()


def of_hex(colour: str) -> tuple[float, ...]:
    """Red, green and blue of ``#rrggbb``, from 0 to 1."""
    return tuple(channel / 255 for channel in channels(colour))


def painted(
    rings: Iterable[tuple[np.ndarray, bool]], pen: Pen, page_height: float, even_odd: bool = False
) -> str:
    """Operators that paint a path and leave the page's graphics state as it was.

    Parameters
    ----------
    rings : points of shape (n, 2), page mm, y down, and whether the last is joined to the first.
    page_height : points.
    even_odd : an area's holes are its inner rings, whichever way they run.
    """
    words = ["q", *_state(pen)]
    for points, closed in rings:
        words.append(_path(points, closed, page_height))
    return "\n".join([*words, _paint(pen, even_odd), "Q"])


def _state(pen: Pen) -> list[str]:
    words = []
    if pen.line:
        words.append(f"{_point(pen.width)} w {_CAP} J {_JOIN} j {_colour(pen.line).upper()}")
        if pen.dashes:
            words.append(f"[{' '.join(map(_point, pen.dashes))}] 0 d")
    if pen.area:
        words.append(_colour(pen.area))
    return words


def _paint(pen: Pen, even_odd: bool) -> str:
    if not pen.area:
        return "S"
    return ("B" if pen.line else "f") + ("*" if even_odd else "")


def _path(points: np.ndarray, closed: bool, page_height: float) -> str:
    at = (np.asarray(points, float) / MM_PER_POINT * [1.0, -1.0] + [0.0, page_height]).tolist()
    steps = [f"{_number(x)} {_number(y)} {'l' if k else 'm'}" for k, (x, y) in enumerate(at)]
    return "\n".join([*steps, "h"] if closed else steps)


def _colour(parts: Sequence[float]) -> str:
    """Numbers and the operator of an area's colour; a line's is the same in capitals."""
    return " ".join([*map(_number, parts), "g" if len(parts) == 1 else "rg"])


def _point(millimetres: float) -> str:
    return _number(millimetres / MM_PER_POINT)


def _number(value: float) -> str:
    """Four decimals, a thirtieth of a micrometre on paper; PDF knows no exponents."""
    return f"{value:z.4f}".rstrip("0").rstrip(".")
