"""Letters of single lines for a pen, drawn by us: a machine's pen follows lines, not outlines.

Each letter is a few strokes on a grid 4 wide and 6 high, written as pairs of digits (across, up);
a capital is 6 high. Small letters are drawn as capitals, accents are left out.
"""

from __future__ import annotations

import unicodedata

import numpy as np

from . import font
from .drawing import Text

_HIGH, _SPACE, _APART = 6, 2.5, 1.5  # our choice
_GLYPHS = {
    "A": "00 26 40;12 32",
    "B": "03 33 44 45 36 06 00 30 41 42 33",
    "C": "45 36 16 05 01 10 30 41",
    "D": "00 06 26 44 42 20 00",
    "E": "46 06 00 40;03 33",
    "F": "46 06 00;03 33",
    "G": "45 36 16 05 01 10 30 41 43 23",
    "H": "00 06;40 46;03 43",
    "I": "00 06",
    "J": "36 31 20 10 01",
    "K": "00 06;46 03 40",
    "L": "06 00 40",
    "M": "00 06 23 46 40",
    "N": "00 06 40 46",
    "O": "10 01 05 16 36 45 41 30 10",
    "P": "00 06 36 45 44 33 03",
    "Q": "10 01 05 16 36 45 41 30 10;22 40",
    "R": "00 06 36 45 44 33 03;23 40",
    "S": "45 36 16 05 04 13 33 42 41 30 10 01",
    "T": "06 46;26 20",
    "U": "06 01 10 30 41 46",
    "V": "06 20 46",
    "W": "06 10 24 30 46",
    "X": "00 46;06 40",
    "Y": "06 23 46;23 20",
    "Z": "06 46 00 40",
    "0": "10 01 05 16 36 45 41 30 10;01 45",
    "1": "05 16 10",
    "2": "05 16 36 45 44 00 40",
    "3": "05 16 36 45 44 33 42 41 30 10 01;13 33",
    "4": "30 36 02 42",
    "5": "46 06 03 33 42 41 30 10 01",
    "6": "45 36 16 05 01 10 30 41 42 33 13 02",
    "7": "06 46 10",
    "8": "13 04 05 16 36 45 44 33 13 02 01 10 30 41 42 33",
    "9": "01 10 30 41 45 36 16 05 04 13 33 44",
    "(": "16 05 01 10",
    ")": "06 15 11 00",
    "-": "03 33",
    ",": "11 00",
    ".": "00 01",
    ":": "01 02;04 05",
    "/": "00 46",
    "'": "06 05",
    "+": "03 43;25 21",
    "?": "05 16 36 45 44 23 22;20 21",
    "°": "05 16 25 14 05",
    "#": "10 16;30 36;02 42;04 44",
}


def _plain(letter: str) -> str:
    base = unicodedata.normalize("NFD", letter.upper())[0]
    return base if base in _GLYPHS or base == " " else "?"


def _strokes(letter: str) -> list[np.ndarray]:
    return [
        np.array([[int(pair[0]), int(pair[1])] for pair in stroke.split()], float)
        for stroke in _GLYPHS[letter].split(";")
    ]


def written(text: Text) -> list[np.ndarray]:
    """The strokes of a text, each of shape (n, 2), page mm, no wider than it is in print."""
    x, lines = 0.0, []
    for letter in map(_plain, text.text):
        if letter == " ":
            x += _SPACE
            continue
        strokes = _strokes(letter)
        lines += [stroke + np.array([x, 0.0]) for stroke in strokes]
        x += max(stroke[:, 0].max() for stroke in strokes) + _APART
    if not lines:
        return []
    long = x - _APART
    high = text.size * font.CAPITAL / _HIGH
    wide = min(high, font.width(text.text, text.size, text.bold) / max(long, 1e-9))
    start = {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor] * long
    c, s = np.cos(text.angle), np.sin(text.angle)
    turn = np.array([[c, -s], [-s, -c]])
    return [((line - [start, 0.0]) * [wide, high]) @ turn.T + [text.x, text.y] for line in lines]
