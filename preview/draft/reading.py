"""Lines drawn from nothing but the sentences of a plan, as a person with a ruler would draw them.

It shares no code with what finds a plan, so that what it draws tells whether the sentences do.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

_NUMBER = r"(\d+(?:\.\d+)?)"
_NAME = r"([A-Z]|\d+)"
Kind = Literal["cut", "valley", "mountain"]
_KINDS: dict[str, Kind] = {"Cut line": "cut", "Valley fold": "valley", "Mountain fold": "mountain"}
_KIND = rf"({'|'.join(_KINDS)})"
# A line is drawn in steps of so many degrees where it is round. Our choice.
_STEP_DEG = 2.0


class Unreadable(ValueError):
    """A sentence that tells nothing to draw."""


@dataclass(frozen=True)
class DrawnLine:
    """A line on the paper, shape of `points` (n, 2), mm along and up from A.

    Parameters
    ----------
    sentence : number of the sentence that it came with, from 0.
    """

    kind: Kind
    points: np.ndarray
    sentence: int


@dataclass
class DrawnPaper:
    """What is on the paper: points that have names, and lines."""

    points: dict[str, np.ndarray] = field(default_factory=dict)
    lines: list[DrawnLine] = field(default_factory=list)
    holes: list[str] = field(default_factory=list)


def read_plan(sentences: Iterable[str]) -> DrawnPaper:
    """Draw what sentences tell, one after the other.

    Raises
    ------
    Unreadable
        If a sentence is none of those that plans have, or names a point that is not there.
    """
    paper = DrawnPaper()
    for number, sentence in enumerate(sentences):
        for pattern, draw in _SENTENCES:
            found = re.fullmatch(pattern, sentence)
            if found:
                try:
                    draw(paper, number, *found.groups())
                except KeyError as error:
                    raise Unreadable(f"no point {error} yet: {sentence}") from None
                break
        else:
            raise Unreadable(sentence)
    return paper


def _base(paper: DrawnPaper, _: int, length: str) -> None:
    paper.points |= {"A": np.zeros(2), "B": np.array([float(length), 0.0])}


def _point(
    paper: DrawnPaper, _: int, name: str, along: str, back: str, up: str | None, way: str | None
) -> None:
    x = float(along) * (-1.0 if back == "back from A" else 1.0)
    y = 0.0 if up is None else float(up) * (1.0 if way == "up" else -1.0)
    paper.points[name] = np.array([x, y])


def _through(paper: DrawnPaper, number: int, kind: str, names: str) -> None:
    points = np.array([paper.points[name] for name in names.split(" – ")])
    paper.lines.append(DrawnLine(_KINDS[kind], points, number))


def _arc(
    paper: DrawnPaper,
    number: int,
    kind: str,
    centre: str,
    radius: str,
    start: str,
    end: str,
    way: str,
) -> None:
    middle, first, last = (paper.points[name] for name in (centre, start, end))
    begin, stop = (np.arctan2(*(p - middle)[::-1]) for p in (first, last))
    if way == "clockwise":
        stop = begin - (begin - stop) % (2 * np.pi)
    else:
        stop = begin + (stop - begin) % (2 * np.pi)
    ring = _ring(middle, float(radius), begin, stop)
    points = np.vstack([first, ring, last])
    paper.lines.append(DrawnLine(_KINDS[kind], points, number))


def _ring(middle: np.ndarray, radius: float, begin: float, stop: float) -> np.ndarray:
    count = max(2, int(np.ceil(abs(stop - begin) / np.radians(_STEP_DEG))) + 1)
    turn = np.linspace(begin, stop, count)
    return np.asarray(middle + radius * np.column_stack([np.cos(turn), np.sin(turn)]))


def _circle(paper: DrawnPaper, number: int, kind: str, centre: str, radius: str) -> None:
    ring = _ring(paper.points[centre], float(radius), 0.0, 2 * np.pi)
    paper.lines.append(DrawnLine(_KINDS[kind], ring, number))


def _rectangle(paper: DrawnPaper, number: int, kind: str, corner: str, along: str, up: str) -> None:
    far = np.array([float(along), float(up)])
    ways = np.array([(0, 0), (1, 0), (1, 1), (0, 1), (0, 0)])
    paper.lines.append(DrawnLine(_KINDS[kind], paper.points[corner] + ways * far, number))


def _hole(paper: DrawnPaper, _: int, name: str) -> None:
    if name not in paper.points:
        raise KeyError(name)
    paper.holes.append(name)


def _mirror(paper: DrawnPaper, number: int) -> None:
    paper.lines += [DrawnLine(one.kind, one.points * [1, -1], number) for one in paper.lines]


def _repeat(paper: DrawnPaper, number: int, count: str, step: str, times: str) -> None:
    if count != times or abs(float(step) - 360 / int(count)) > 0.05 + 1e-9:
        raise Unreadable(f"{count} times by {step}° is no full turn")
    drawn = list(paper.lines)
    for k in range(1, int(count)):
        turn = 2 * np.pi * k / int(count)
        c, s = np.cos(turn), np.sin(turn)
        matrix = np.array([[c, s], [-s, c]])
        paper.lines += [DrawnLine(one.kind, one.points @ matrix, number) for one in drawn]


_SENTENCES = (
    (rf"Draw the base line A–B, {_NUMBER} mm long\.", _base),
    (
        rf"Point {_NAME}: {_NUMBER} (along|back from A), "
        rf"(?:on the line|{_NUMBER} (up|down))\.",
        _point,
    ),
    (rf"{_KIND}, (?:straight|smooth): ((?:{_NAME[1:-1]})(?: – (?:{_NAME[1:-1]}))+)\.", _through),
    (
        rf"{_KIND}, arc about {_NAME}, radius {_NUMBER} mm: {_NAME} – {_NAME}, "
        r"(clockwise|anticlockwise)\.",
        _arc,
    ),
    (rf"{_KIND}, circle about {_NAME}, radius {_NUMBER} mm\.", _circle),
    (
        rf"{_KIND}, rectangle from {_NAME}: {_NUMBER} mm on along A–B, {_NUMBER} mm up\.",
        _rectangle,
    ),
    (rf"Prick a hole for a paper fastener at {_NAME}\.", _hole),
    (r"Mirror all lines about A–B: the same again on its other side\.", _mirror),
    (
        rf"Divide the full turn about A into (\d+), by {_NUMBER}°, and repeat all lines at each: "
        r"(\d+) times in all\.",
        _repeat,
    ),
)
