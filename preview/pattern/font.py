"""The typeface of all printed matter: Source Sans, shipped under the SIL Open Font License 1.1."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

import meshes

if TYPE_CHECKING:
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

FAMILY = "Source Sans"
# Source: ISO 32000-1, 8.3.2.3: a unit of user space is 1/72 in.
MM_PER_POINT = 25.4 / 72
# Height of capitals over the size, for centring letters.
# Source: the shipped typeface's own table OS/2, sCapHeight 660 of 1000.
CAPITAL = 0.66


def file(bold: bool = False) -> Path:
    """The font file."""
    name = "SourceSansPro-Semibold.ttf" if bold else "SourceSansPro-Regular.ttf"
    return Path(meshes.__file__).parent / "fonts" / name


@lru_cache(maxsize=2)
def _font(bold: bool) -> TTFont:
    from fontTools.ttLib import TTFont

    return TTFont(file(bold), lazy=True)


def printable(text: str, bold: bool = False) -> str:
    """The text with every character that the typeface lacks replaced by ``?``."""
    known = _font(bold).getBestCmap()
    return "".join(letter if ord(letter) in known else "?" for letter in text)


def lacking(text: str) -> str:
    """The characters of a text that the typeface lacks, each once, in order."""
    known = _font(False).getBestCmap()
    return "".join(letter for letter in dict.fromkeys(text) if ord(letter) not in known)


def width(text: str, size: float, bold: bool = False) -> float:
    """Width in mm of a text of `size` mm (the em, so 3.53 mm is 10 point)."""
    font = _font(bold)
    names, advances = font.getBestCmap(), font["hmtx"]
    units = sum(advances[names.get(ord(letter), ".notdef")][0] for letter in text)
    return float(units * size / font["head"].unitsPerEm)


def outlines(text: str, size: float, bold: bool = False) -> list[np.ndarray]:
    """Closed outlines of a text, each of shape (n, 2), mm, y up, from the pen position (0, 0).

    Curves are flattened to eight chords each: 0.01 mm at the sizes used on a pattern.
    """
    from fontTools.pens.recordingPen import (  # type: ignore[import-untyped]
        DecomposingRecordingPen,
    )

    font = _font(bold)
    names, glyphs, scale = font.getBestCmap(), font.getGlyphSet(), size / font["head"].unitsPerEm
    x, rings = 0.0, []
    for letter in text:
        name = names.get(ord(letter), ".notdef")
        pen = DecomposingRecordingPen(glyphs)
        glyphs[name].draw(pen)
        rings += [ring * scale + [x, 0.0] for ring in _rings(pen.value)]
        x += font["hmtx"][name][0] * scale
    return rings


def _rings(commands: list[tuple[str, tuple[tuple[float, float], ...]]]) -> list[np.ndarray]:
    rings: list[list[np.ndarray]] = []
    for command, points in commands:
        if command == "moveTo":
            rings.append([np.array(points[0], float)])
        elif command == "lineTo":
            rings[-1].append(np.array(points[0], float))
        elif command == "qCurveTo":
            rings[-1] += _quadratics(rings[-1][-1], [np.array(p, float) for p in points])
    return [np.array(ring) for ring in rings if len(ring) > 2]


def _quadratics(start: np.ndarray, points: list[np.ndarray]) -> list[np.ndarray]:
    """TrueType curves: between two control points lies an implied point on the curve."""
    chords, t = [], np.linspace(0, 1, 9)[1:, None]
    for k, control in enumerate(points[:-1]):
        end = points[-1] if k == len(points) - 2 else (control + points[k + 1]) / 2
        chords += list((1 - t) ** 2 * start + 2 * t * (1 - t) * control + t**2 * end)
        start = end
    return chords
