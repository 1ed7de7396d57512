"""Text on pictures, in the typeface that comes with the program."""

from __future__ import annotations

from functools import lru_cache
from importlib.resources import as_file, files
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PIL import Image, ImageFont

FACES = {False: "SourceSansPro-Regular.ttf", True: "SourceSansPro-Semibold.ttf"}


@lru_cache(maxsize=64)
def face(size: int, bold: bool = False) -> ImageFont.FreeTypeFont:
    """The typeface at a size in pixels."""
    from PIL import ImageFont

    with as_file(files("preview.fonts") / FACES[bold]) as path:
        # Basic layout gives the same pixels whether or not a shaping library is installed.
        return ImageFont.truetype(str(path), size, layout_engine=ImageFont.Layout.BASIC)


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
