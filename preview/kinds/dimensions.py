"""Dimension lines in all the ways in which they could be drawn, as of ISO 129-1 (from memory).

Continuous narrow lines with filled arrowheads; extension lines that begin a gap away from what they
measure and go on a little beyond; values along the line, to be read from below or from the right.
What is no length or angle gets an arrow the way the paper goes as the number grows.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from preview.draft.dimensions import ARROW_MM, along
from preview.pattern import font
from preview.pattern.drawing import PenStroke, Text

from .placing import WayToDraw

TEXT_MM = 2.45
# How far aside a dimension line lies from what it measures, page mm. Our choice.
_ASIDE = (0.0, 4.5, 7.5, 10.5, 13.5, 17.0, 21.0)
_BEYOND_EDGE = (4.5, 8.0, 11.5)  # of the paper, page mm; our choice
# The gap at which extension lines begin, how far they go on, half of an arrowhead's width. Our
# choice, near the standard's figures, from memory.
_GAP_MM, _BEYOND_MM, _HALF_MM = 1.0, 1.0, 0.36
_RADII = (7.0, 9.0, 11.0, 13.5, 16.0, 5.5)  # of an angle's arc, page mm; our choice
_STEM_MM = 5.5  # of an arrow; our choice
# How far a text with a line to it may stand off. Our choice.
_LEADERS = (5.0, 8.0, 12.0, 17.0, 23.0)
_LEADER_COST, _BEYOND_COST, _FARTHER = 6.0, 3.0, 0.15
# A line that leans less than that is drawn upright or level: it is as long within a two-hundredth,
# which nobody measures on a drawing. Our choice.
_LEANS = 0.1


def length(
    start: np.ndarray, end: np.ndarray, words: str, bounds: Sequence[float]
) -> Iterator[WayToDraw]:
    """Ways to dimension the distance of two points of the page, shape (2,), mm.

    Parameters
    ----------
    bounds : of the paper on which it is: left, top, right, bottom.
    """
    start, end = _straightened(start, end)
    far = float(np.linalg.norm(end - start))
    way = (end - start) / max(far, 1e-9)
    normal = np.array([-way[1], way[0]])
    for aside, shift in _shifts(start, normal, bounds):
        ends = start + shift, end + shift
        strokes, heads = _measured(*ends, way)
        lines = [_extension(at, shift) for at in (start, end)] if aside else []
        drawn = tuple(lines), tuple(heads)
        for k, text in enumerate(along(*ends, words, TEXT_MM)):
            share = (np.array([text.x, text.y]) - ends[0]) @ way / far
            beyond = _BEYOND_COST * (not 0 <= share <= 1)
            yield WayToDraw(tuple(strokes), *drawn, text, _FARTHER * aside + 0.05 * k + beyond)
        if abs(way[1]) > 0.8 and far < font.width(words, TEXT_MM):
            for k, text in enumerate(_beside(np.mean(ends, axis=0), words)):
                yield WayToDraw(tuple(strokes), *drawn, text, _FARTHER * aside + 1.0 + 0.1 * k)
        if aside <= _ASIDE[3]:
            for text, leader, cost in _led(np.mean(ends, axis=0), words):
                yield WayToDraw((*strokes, leader), *drawn, text, _FARTHER * aside + cost)


def _beside(at: np.ndarray, words: str) -> Iterator[Text]:
    """Level texts right and left of an upright line that is too short for them."""
    low = float(at[1]) + TEXT_MM * font.CAPITAL / 2
    yield Text(float(at[0]) + 1.0, low, words, TEXT_MM, "start")
    yield Text(float(at[0]) - 1.0, low, words, TEXT_MM, "end")


def _shifts(
    start: np.ndarray, normal: np.ndarray, bounds: Sequence[float]
) -> Iterator[tuple[float, np.ndarray]]:
    """How far a dimension line is shifted and where to: a little, or beyond the paper's edge."""
    yield 0.0, np.zeros(2)
    left, top, right, bottom = bounds
    corners = np.array([(left, top), (right, top), (right, bottom), (left, bottom)])
    for side in (1.0, -1.0):
        edge = float(((corners - start) @ (side * normal)).max())
        beyond = [edge + off for off in _BEYOND_EDGE if edge + off > _ASIDE[-1]]
        for aside in (*_ASIDE[1:], *beyond):
            yield aside, side * aside * normal


def _straightened(start: np.ndarray, end: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    across, along = np.abs(end - start)
    if across < _LEANS * along:
        return start, np.array([start[0], end[1]])
    if along < _LEANS * across:
        return start, np.array([end[0], start[1]])
    return start, end


def angle(ends: np.ndarray, degrees: float, words: str) -> Iterator[WayToDraw]:
    """Ways to dimension the angle at the second of three points of the page, shape (3, 2), mm."""
    corner = ends[1]
    arms = [ends[k] - corner for k in (0, 2)]
    long = [float(np.linalg.norm(arm)) for arm in arms]
    first, second = (float(np.arctan2(*arm[::-1])) for arm in arms)
    turn = (second - first + np.pi) % (2 * np.pi) - np.pi
    flipped = abs(abs(np.degrees(turn)) - abs(degrees) % 180) > 1.0
    # A fold goes on on the other side of the corner, and there the paper has the angle.
    for back in ((True, False), (False, True)) if flipped else ((False, False),):
        begin = first + np.pi * back[0]
        sweep = (second + np.pi * back[1] - begin + np.pi) % (2 * np.pi) - np.pi
        reach = [0.0 if turned else far for turned, far in zip(back, long, strict=True)]
        for radius in _RADII:
            yield from _arc(corner, begin, sweep, radius, reach, words)


def _arc(
    corner: np.ndarray, begin: float, sweep: float, radius: float, reach: list[float], words: str
) -> Iterator[WayToDraw]:
    turns = begin + sweep * np.linspace(0.0, 1.0, 17)
    ring = corner + radius * np.column_stack([np.cos(turns), np.sin(turns)])
    arc, lines = PenStroke("dimension", ring), []
    for turn, far in zip((begin, begin + sweep), reach, strict=True):
        way = np.array([np.cos(turn), np.sin(turn)])
        if far < radius:
            ends = corner + np.outer([max(far + _GAP_MM * (far > 0), 0.0), radius + 0.5], way)
            lines.append(PenStroke("dimension", ends))
    inside = radius * abs(sweep) > 2.2 * ARROW_MM
    heads = []
    for tip, near in ((ring[0], ring[2]), (ring[-1], ring[-3])):
        way = (tip - near) / np.linalg.norm(tip - near)
        heads.append(_head(tip, way if inside else -way))
    high = TEXT_MM * font.CAPITAL
    half = font.width(words, TEXT_MM) / 2
    for share in (0.5, 0.35, 0.65, 0.2, 0.8):
        turn = begin + share * sweep
        way = np.array([np.cos(turn), np.sin(turn)])
        # Just so far that the text's box is clear of the arc, without and within.
        off = half * abs(way[0]) + high / 2 * abs(way[1]) + 0.9
        for lift, cost in ((off, 0.0), (-off, 0.6), (off + 1.2, 0.5)):
            x, y = corner + (radius + lift) * way
            text = Text(float(x), float(y + high / 2), words, TEXT_MM, "middle")
            yield WayToDraw((arc,), tuple(lines), tuple(heads), text, 0.1 * radius + cost)
    for text, leader, cost in _led(ring[8], words):
        yield WayToDraw((arc, leader), tuple(lines), tuple(heads), text, 0.1 * radius + cost)


def arrow(start: np.ndarray, way: np.ndarray, words: str) -> Iterator[WayToDraw]:
    """Ways to show where a point of the page goes as a number grows; `way` a unit vector."""
    tip = start + _STEM_MM * way
    stroke = PenStroke("dimension", np.array([start, tip - ARROW_MM * way]))
    heads = (_head(tip, way), _dot(start))
    high = TEXT_MM * font.CAPITAL
    half = font.width(words, TEXT_MM) / 2
    for turn in np.radians([0.0, 40.0, -40.0, 80.0, -80.0]):
        c, s = np.cos(turn), np.sin(turn)
        aside = np.array([c * way[0] - s * way[1], s * way[0] + c * way[1]])
        off = half * abs(aside[0]) + high / 2 * abs(aside[1]) + 0.8
        x, y = tip + off * aside
        yield WayToDraw(
            (stroke,), (), heads, Text(float(x), float(y + high / 2), words, TEXT_MM, "middle"), 1.0
        )
    for text, leader, cost in _led(start + 0.5 * _STEM_MM * way, words):
        yield WayToDraw((stroke, leader), (), heads, text, 1.0 + cost)


def named(at: np.ndarray, words: str, size: float) -> Iterator[WayToDraw]:
    """Ways to name a point of the page from afar."""
    for text, leader, cost in _led(at, words, size):
        yield WayToDraw((leader,), (), (_dot(at),), text, cost)


def _led(
    at: np.ndarray, words: str, size: float = TEXT_MM
) -> Iterator[tuple[Text, PenStroke, float]]:
    """Level texts that stand off a point, each with a line to it and what that costs."""
    high, half = size * font.CAPITAL, font.width(words, size) / 2
    for far in _LEADERS:
        for turn in np.radians(np.arange(0.0, 360.0, 22.5)):
            way = np.array([np.cos(turn), np.sin(turn)])
            end = at + far * way
            # Beyond the line's end, on the side to which it leads.
            side = 1.0 if way[0] >= 0 else -1.0
            middle = end + np.array([side * (half + 0.8), 0.0])
            if abs(way[0]) < 0.3:
                middle = end + np.array([0.0, np.sign(way[1]) * (high / 2 + 0.8)])
            text = Text(float(middle[0]), float(middle[1] + high / 2), words, size, "middle")
            yield text, PenStroke("dimension", np.array([at, end])), _LEADER_COST + 0.3 * far


def _measured(
    start: np.ndarray, end: np.ndarray, way: np.ndarray
) -> tuple[list[PenStroke], list[PenStroke]]:
    """The dimension line and its arrowheads, which stand outside where it is short."""
    far = float(np.linalg.norm(end - start))
    if far >= 2.2 * ARROW_MM:
        return [PenStroke("dimension", np.array([start, end]))], [
            _head(end, way),
            _head(start, -way),
        ]
    out = (ARROW_MM + 1.2) * way
    line = PenStroke("dimension", np.array([start - out, end + out]))
    return [line], [_head(end, -way), _head(start, way)]


def _extension(at: np.ndarray, shift: np.ndarray) -> PenStroke:
    way = shift / np.linalg.norm(shift)
    return PenStroke("dimension", np.array([at + _GAP_MM * way, at + shift + _BEYOND_MM * way]))


def _head(tip: np.ndarray, way: np.ndarray) -> PenStroke:
    across = np.array([-way[1], way[0]])
    back = tip - ARROW_MM * way
    corners = np.array([tip, back + _HALF_MM * across, back - _HALF_MM * across])
    return PenStroke("terminator", corners, closed=True)


def _dot(at: np.ndarray) -> PenStroke:
    turn = np.linspace(0.0, 2 * np.pi, 13)[:-1]
    ring = at + 0.4 * np.column_stack([np.cos(turn), np.sin(turn)])
    return PenStroke("terminator", ring, closed=True)
