"""Text on pictures, in the typeface that comes with the program."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from ..pattern import font
from .colour import channels
from .contrast import contrast_ratio, relative_luminance

if TYPE_CHECKING:
    from PIL import Image, ImageFont


@lru_cache(maxsize=64)
def face(size: float, bold: bool = False) -> ImageFont.FreeTypeFont:
    """The typeface at a size in pixels."""
    from PIL import ImageFont

    # Basic layout gives the same pixels whether or not a shaping library is installed.
    layout = ImageFont.Layout.BASIC
    return ImageFont.truetype(str(font.file(bold)), size, layout_engine=layout)


def write(
    image: Image.Image,
    text: str,
    place: tuple[float, float],
    size: int,
    colour: str,
    bold: bool = False,
    anchor: str = "ls",
) -> None:
    """Write one line of text onto an image.

    Parameters
    ----------
    place : column and row of the anchor, pixels.
    size : of the typeface, pixels.
    anchor : horizontal (l, m, r) and vertical (a, m, s, d) place of the anchor in the text.
    """
    from PIL import ImageDraw

    ImageDraw.Draw(image).text(place, text, fill=colour, font=face(size, bold), anchor=anchor)


def width(text: str, size: int, bold: bool = False) -> float:
    """How wide a line of text is, pixels."""
    return float(face(size, bold).getlength(text))


def ink_on(ground: str) -> str:
    """Dark or light ink, whichever has the greater WCAG contrast with a colour."""
    inks = ("#26231e", "#f6f1e6")
    base = relative_luminance(np.array(channels(ground), np.uint8))
    ratios = [
        float(contrast_ratio(base, relative_luminance(np.array(channels(ink), np.uint8))))
        for ink in inks
    ]
    return inks[int(np.argmax(ratios))]
