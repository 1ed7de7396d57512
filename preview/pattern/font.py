"""The typeface of all printed matter: Source Sans, shipped under the SIL Open Font License 1.1."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache, partial
from pathlib import Path
from typing import TYPE_CHECKING

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
    units = sum([_advance(letter, bold) for letter in text])
    return float(units * size / _em(bold))


def wrapped(text: str, size: float, most: float, bold: bool = False) -> list[str]:
    """The text in lines of at most `most` mm, broken between words."""
    return broken(text, most, partial(width, size=size, bold=bold))


def broken(text: str, most: float, wide: Callable[[str], float]) -> list[str]:
    """The text in lines that are at most so wide, broken between words; no words are one line."""
    rows, row = [], ""
    for word in text.split():
        longer = f"{row} {word}".strip()
        if row and wide(longer) > most:
            rows.append(row)
            row = word
        else:
            row = longer
    return [*rows, row]


@lru_cache(maxsize=2)
def _em(bold: bool) -> int:
    """The em in the typeface's units."""
    return int(_font(bold)["head"].unitsPerEm)


@lru_cache(maxsize=4096)
def _advance(letter: str, bold: bool) -> int:
    """How far a letter moves the pen, in the typeface's units."""
    font = _font(bold)
    return int(font["hmtx"][font.getBestCmap().get(ord(letter), ".notdef")][0])
