"""Which sheet takes a piece, whole or in parts, and what to try where none does."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING, NoReturn

import numpy as np
from shapely import affinity
from shapely.geometry import Polygon

from meshes.rectangle import sides_of, smallest_rectangle
from preview.errors import UseError

from .furniture import PrintArea
from .parts import CannotPart, parted
from .stock import MOST_MM, Stock, stock
from .template import Template

if TYPE_CHECKING:
    from .layout import Grain, Options

# The check bars must fit beside the pieces. Our choice.
LEAST_ROOM_MM = 110.0
# Pieces that fit no other way are tried at these turns. Our choice.
_ASKEW_DEG = 3.0
# What home and copy shops have, smallest first. Common practice, no source.
SIZES = ("A4", "A3", "Tabloid", "A2")


def frame_of(options: Options) -> PrintArea:
    """The room for pieces on a sheet; UseError if it is too small for the check bars."""
    margin = max(options.margin, options.register.margin if options.register else 0.0)
    frame = PrintArea(options.stock, margin, options.furnished)
    if options.furnished and min(frame.width, frame.height) < LEAST_ROOM_MM:
        raise UseError(
            f"sheet {options.stock.name} leaves {frame.width:.0f} × {frame.height:.0f} mm inside a "
            f"margin of {options.margin:g} mm, too little for the 100 mm check bars; allowed: at "
            f"least {LEAST_ROOM_MM:g} mm both ways; try --page A4"
        )
    return frame


def _turns(
    outline: Polygon, lengthwise: float | None, grain: Grain | None, stock: Stock
) -> tuple[float, ...]:
    """Rotations that the grain allows, radians, in page coordinates (y down).

    Parameters
    ----------
    lengthwise : direction of the longest fold, radians, y up.
    """
    if grain is None or lengthwise is None:
        first = _box_turn(outline)
        quarter = [k * np.pi / 2 for k in range(4)]
        more = [] if abs(math.sin(2 * first)) < 1e-3 else [first + q for q in quarter]
        return tuple(quarter + more)
    # In the page the drawing is upside down, so the fold's direction is mirrored.
    upright = (grain == "long") == (stock.height >= stock.width)
    turn = (math.pi / 2 if upright else 0.0) + lengthwise
    return (turn, turn + math.pi)


def turns_that_fit(
    outline: Polygon, lengthwise: float | None, room: tuple[float, float], options: Options
) -> tuple[float, ...]:
    """Rotations in which a piece fits on the sheet, askew where nothing else helps."""
    found = _turns(outline, lengthwise, options.grain, options.stock)
    if in_room(outline, np.array(found), room).any():
        return found
    if options.grain is not None and lengthwise is not None:
        return ()
    askew = np.radians(np.arange(0, 180, _ASKEW_DEG))
    return tuple(map(float, askew[in_room(outline, askew, room)]))


def in_room(outline: Polygon, turns: np.ndarray, room: tuple[float, float]) -> np.ndarray:
    """Whether an outline, y up, fits into a room, for each of some rotations of the page."""
    corners = np.asarray(outline.convex_hull.exterior.coords) * [1.0, -1.0]
    c, s = np.cos(turns), np.sin(turns)
    wide = np.ptp(corners @ np.array([c, -s]), axis=0)
    high = np.ptp(corners @ np.array([s, c]), axis=0)
    return np.asarray((wide <= room[0] + 1e-6) & (high <= room[1] + 1e-6))


def _box_turn(outline: Polygon) -> float:
    corners = smallest_rectangle(affinity.scale(outline, 1, -1, origin=(0, 0)))
    side = corners[1] - corners[0]
    return -float(np.arctan2(side[1], side[0]))


def in_parts(template: Template, options: Options, spare: Iterator[str]) -> list[Template]:
    """The piece, or its parts if it is larger than the sheet and may be parted.

    Raises
    ------
    UseError
        If neither fits: which sheet would take it.
    """
    if _fits_whole(template, options):
        return [template]
    if not options.split:
        _refuse_large(template, options)
    try:
        return _parts(template, options, spare)
    except CannotPart as error:
        width, height = room_of(options)
        raise UseError(
            f"{error}; {options.stock.name} has room for {width:.0f} × {height:.0f} mm; try "
            f"{_larger(template, options) or 'a smaller piece'}"
        ) from None


def _fits_whole(template: Template, options: Options) -> bool:
    room = room_of(options)
    return bool(turns_that_fit(template.outline, template.lengthwise, room, options))


def _parts(template: Template, options: Options, spare: Iterator[str]) -> list[Template]:
    room = room_of(options)

    def fits(outline: Polygon, lengthwise: float | None) -> bool:
        return bool(turns_that_fit(outline, lengthwise, room, options))

    return parted(template, fits, options.overlap, spare)


def _can_be_parted(template: Template, options: Options) -> bool:
    with suppress(CannotPart):
        return bool(_parts(template, options, map(str, itertools.count())))
    return False


def _refuse_large(template: Template, options: Options) -> NoReturn:
    """Say what would take a piece that fits on no sheet whole; only what has been tried."""
    long, short = sides_of(template.outline)
    width, height = room_of(options)
    tried = [_larger(template, options)]
    tried += ["--split"] if _can_be_parted(template, options) else []
    advice = ", or ".join(filter(None, tried)) or "a smaller piece"
    raise UseError(
        f"{template.title} is {long:.1f} × {short:.1f} mm and does not fit on "
        f"{options.stock.name} (room {width:.0f} × {height:.0f} mm, grain "
        f"{options.grain or 'free'}); try {advice}"
    )


def _larger(template: Template, options: Options) -> str:
    """The smallest sheet that takes a piece, as an option; empty if there is none.

    Where pieces may be parted that is one on which it can be; where no usual sheet takes it, one
    made to its measure.
    """
    sheets = [stock(name) for name in SIZES]
    long, short = sides_of(template.outline)
    around = np.array([options.stock.width, options.stock.height]) - frame_size(options)
    wide, high = np.ceil(np.array([short, long]) + around).astype(int)
    sheets += [stock(f"{wide}x{high}")] if max(wide, high) <= MOST_MM else []
    area = options.stock.width * options.stock.height
    for sheet in [sheet for sheet in sheets if sheet.width * sheet.height > area]:
        other = replace(options, stock=sheet)
        if _fits_whole(template, other) or (options.split and _can_be_parted(template, other)):
            return f"--page {sheet.option}"
    return ""


def frame_size(options: Options) -> tuple[float, float]:
    """Width and height of the room for pieces on the file's page, mm."""
    frame = frame_of(options)
    return frame.width, frame.height


def room_of(options: Options) -> tuple[float, float]:
    """Room for pieces, mm of true size: less where compensation makes the file's drawing larger."""
    width, height = frame_size(options)
    return width * min(1.0, options.scale[0]), height * min(1.0, options.scale[1])
