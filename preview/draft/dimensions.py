"""Dimension lines on the ground of a picture.

As ISO 129-1 has them (all from memory): continuous narrow lines; filled arrowheads; extension lines
that begin a gap away from what they measure and go on a little beyond the dimension line; values
above the line and near its middle, to be read from below or from the right. Stations on the base
line are told by running dimensions from one origin, a small circle at A, with each value at its
arrowhead, along its extension line.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from preview.pattern import font
from preview.pattern.drawing import PenStroke, Text
from preview.pattern.lettering import upright

from .ground import PictureGround
from .plan import written

# Arrowheads, the gap at which extension lines begin, how far they go on, and how far values stand
# from their line, mm on the page. Our choice, near the standard's figures, from memory.
ARROW_MM, _HALF_MM, _GAP_MM, _BEYOND_MM, _LIFT_MM = 2.0, 0.36, 1.0, 1.0, 0.6
# Where a dimension line goes that would lie on another line, mm aside. Our choice.
_ASIDE_MM = (0.0, -4.0, 4.0, -7.5, 7.5)
_SHARES = (0.5, 0.36, 0.64, 0.22, 0.78)  # our choice


def arrow(ground: PictureGround, tip: np.ndarray, way: np.ndarray) -> None:
    """A filled arrowhead that points along a unit vector, page mm."""
    across = np.array([-way[1], way[0]])
    back = tip - ARROW_MM * way
    corners = np.array([tip, back + _HALF_MM * across, back - _HALF_MM * across])
    ground.marks.append(PenStroke("terminator", corners, closed=True))


def measured(
    ground: PictureGround,
    start: np.ndarray,
    end: np.ndarray,
    value: str,
    size: float,
    origin: bool = True,
) -> None:
    """A dimension line between two points of the page; its value waits for its place.

    Parameters
    ----------
    origin : whether it has an arrowhead at its start as well.
    """
    far = float(np.linalg.norm(end - start))
    if far < 1e-6:
        return
    way = (end - start) / far
    ground.draw(PenStroke("dimension", np.array([start, end])))
    if far >= 2.2 * ARROW_MM:
        arrow(ground, end, way)
        if origin:
            arrow(ground, start, -way)
    else:
        # Too short for arrowheads inside: they stand outside and point at each other.
        arrow(ground, end, -way)
        if origin:
            arrow(ground, start, way)
    ground.waiting.append(list(along(start, end, value, size)))


def offset(
    ground: PictureGround, start: np.ndarray, end: np.ndarray, value: str, size: float
) -> None:
    """How far a point lies off the base line, along the way there; points of the page, mm.

    Where a line is drawn on that way already, it stands beside it, with extension lines.
    """
    drawn = shapely.union_all(ground.lines)
    for aside in _ASIDE_MM:
        shift = np.array([aside, 0.0])
        way = shapely.LineString([start + shift, end + shift])
        if way.intersection(drawn.buffer(0.4)).length < 0.5 * way.length:
            break
    else:
        shift = np.zeros(2)
    if shift[0]:
        side = np.sign(shift[0]) * np.array([1.0, 0.0])
        for at in (start, end):
            ends = np.array([at + _GAP_MM * side, at + shift + _BEYOND_MM * side])
            ground.draw(PenStroke("dimension", ends))
    measured(ground, start + shift, end + shift, value, size, origin=bool(shift[0]))


def along(start: np.ndarray, end: np.ndarray, value: str, size: float) -> Iterator[Text]:
    """Texts above a line, then below it, then beyond its end, all along it."""
    way = (end - start) / np.linalg.norm(end - start)
    angle = upright(float(np.arctan2(-way[1], way[0])))
    above = np.array([-np.sin(angle), -np.cos(angle)])
    high = size * font.CAPITAL
    half = font.width(value, size) / 2
    for lift in (_LIFT_MM, -_LIFT_MM - high):
        for share in _SHARES:
            if min(share, 1 - share) * np.linalg.norm(end - start) < half + 0.3:
                continue
            x, y = start + share * (end - start) + lift * above
            yield Text(float(x), float(y), value, size, "middle", angle)
    for tip, side in ((end, 1.0), (start, -1.0)):
        for lift in (-high / 2, _LIFT_MM, -_LIFT_MM - high):
            x, y = tip + side * (half + ARROW_MM + 0.8) * way + lift * above
            yield Text(float(x), float(y), value, size, "middle", angle)


def below(
    ground: PictureGround, start: np.ndarray, end: np.ndarray, by: float, value: str, size: float
) -> None:
    """A dimension line under a level line, with extension lines; points of the page, mm."""
    track = float(start[1] + by)
    for at in (start, end):
        _extend(ground, at, track)
    down = np.array([0.0, by])
    measured(ground, start + down, end + down, value, size)


def grid(ground: PictureGround, low: np.ndarray, high: np.ndarray, size: float) -> None:
    """Graph paper behind an excerpt, with the distances along and up at its edges, mm."""
    every = next((e for e in (5.0, 10.0, 20.0) if ground.scale * e >= size), 50.0)
    told = 2 * every if ground.scale * every < 3.0 * size else every
    for x in np.arange(low[0], high[0] + 1e-6, every):
        ends = ground.at(np.array([[x, low[1]], [x, high[1]]]))
        ground.marks.append(PenStroke("rule" if x else "sign", ends))
        if abs(x % told) < 1e-6:
            at = (float(ends[0, 0]), float(ends[0, 1]) + 0.9 + size * font.CAPITAL)
            ground.write([Text(*at, f"{x:z.0f}", size, "middle", grey=0.35)])
    for y in np.arange(low[1], high[1] + 1e-6, every):
        ends = ground.at(np.array([[low[0], y], [high[0], y]]))
        ground.marks.append(PenStroke("rule" if y else "sign", ends))
        if abs(y % told) < 1e-6:
            words = f"{abs(y):z.0f}" + (" up" if y > 0 else " down" if y < 0 else "")
            at = (float(ends[0, 0]) - 0.9, float(ends[0, 1]) + size * font.CAPITAL / 2)
            ground.write([Text(*at, words, size, "end", grey=0.35)])
    middle = ground.at([(low[0] + high[0]) / 2, low[1]])
    under = float(middle[1]) + 1.8 + 2.2 * size * font.CAPITAL
    ground.write([Text(float(middle[0]), under, "along A–B", size, "middle", grey=0.35)])


def running(
    ground: PictureGround, stations: Sequence[tuple[float, float]], track: float, size: float
) -> None:
    """Running dimensions along the base line.

    Parameters
    ----------
    stations : how far along, mm, and how far up the lowest point there is, mm.
    track : height of the dimension line on the page, mm.
    """
    origin = np.array([ground.origin[0], track])
    turn = np.linspace(0, 2 * np.pi, 13)[:-1]
    ring = origin + 0.6 * np.column_stack([np.cos(turn), np.sin(turn)])
    ground.marks.append(PenStroke("dimension", ring, closed=True))
    _extend(ground, ground.at([0.0, 0.0]), track)
    ends = [ground.at([along, 0.0])[0] for along, _ in stations]
    for far in (min(ends), max(ends)):
        if abs(far - origin[0]) > 0.7:
            start = origin + np.array([0.6 * np.sign(far - origin[0]), 0.0])
            ground.draw(PenStroke("dimension", np.array([start, [far, track]])))
    last = [-np.inf, -np.inf]
    deep = max(font.width(written(abs(along)), size) for along, _ in stations) + 1.6
    for (along, low), x in sorted(zip(stations, ends, strict=True), key=lambda row: row[1]):
        row = next((k for k in (0, 1) if x - last[k] > size), None)
        if row is None:
            continue
        last[row] = x
        under = track + _BEYOND_MM + row * deep
        value = written(abs(along))
        half = font.width(value, size) / 2
        drop = size * font.CAPITAL / 2
        text = Text(x + drop, under + 0.5 + half, value, size, "middle", np.pi / 2)
        if ground.write([text]) is None:
            continue
        _extend(ground, np.array([x, ground.at([along, min(low, 0.0)])[1]]), under - _BEYOND_MM)
        if abs(x - origin[0]) > ARROW_MM:
            arrow(ground, np.array([x, track]), np.array([np.sign(x - origin[0]), 0.0]))


def _extend(ground: PictureGround, start: np.ndarray, track: float) -> None:
    """An extension line from a point of the page down to a dimension line, and beyond."""
    if track - start[1] > _GAP_MM:
        ends = np.array([[start[0], start[1] + _GAP_MM], [start[0], track + _BEYOND_MM]])
        ground.draw(PenStroke("dimension", ends))


def radius(
    ground: PictureGround, centre: np.ndarray, on: np.ndarray, value: float, size: float
) -> None:
    """The radius of an arc: a line from its centre with an arrowhead on it; points in sheet mm."""
    start, end = ground.at(centre), ground.at(on)
    cross(ground, start)
    measured(ground, start, end, f"R {written(value)}", size, origin=False)


def cross(ground: PictureGround, at: np.ndarray, half: float = 1.0) -> None:
    """A centre mark, page mm."""
    for step in ((half, 0.0), (0.0, half)):
        ends = np.array([at - np.array(step), at + np.array(step)])
        ground.marks.append(PenStroke("dimension", ends))


def angle(ground: PictureGround, far: float, degrees: float, size: float) -> None:
    """The angle at A between the base line and the next repeat, at a distance, mm of the sheet."""
    turn = np.radians(np.linspace(0, degrees, 24))
    ring = ground.at(far * np.column_stack([np.cos(turn), np.sin(turn)]))
    ground.draw(PenStroke("dimension", ring))
    for tip, near in ((ring[0], ring[2]), (ring[-1], ring[-3])):
        way = (tip - near) / np.linalg.norm(tip - near)
        arrow(ground, tip, way)
    value = f"{written(degrees)}°"
    middle = np.radians(degrees / 2)
    out = np.array([np.cos(middle), -np.sin(middle)])
    places = [ground.at([0.0, 0.0]) + (ground.scale * far + off) * out for off in (3.0, 5.0, -4.0)]
    ground.write(
        Text(float(x), float(y + size * font.CAPITAL / 2), value, size, "middle") for x, y in places
    )
