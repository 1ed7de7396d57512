"""Marks of a page as pixels, as they are printed: the same types of lines, the same typeface."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from preview.drawing import lettering

from . import font
from .drawing import Fill, Mark, PenStroke, PrintedImage, Text
from .line import INKS, dashes

if TYPE_CHECKING:
    from PIL import Image

# The lightest grey, of 255. Our choice.
_LIGHTEST = 230


@dataclass(frozen=True)
class Screen:
    """What marks are painted on.

    Parameters
    ----------
    size : width and height, mm as the marks are laid out.
    pixels : for each mm.
    ground : sRGB colour, ``#rrggbb``.
    heavier : how much wider lines are than in print, to be seen from farther.
    fine : lines are drawn so many times finer and made smaller, for smooth edges.
    """

    size: tuple[float, float]
    pixels: float
    ground: str = "#ffffff"
    heavier: float = 1.0
    fine: int = 2

    @property
    def scale(self) -> float:
        """Pixels for each mm while it is painted."""
        return self.pixels * self.fine


def painted(marks: Sequence[Mark], screen: Screen) -> Image.Image:
    """Marks in order, undermost first."""
    from PIL import Image

    wide, high = (round(side * screen.pixels) for side in screen.size)
    image = Image.new("RGB", (screen.fine * wide, screen.fine * high), screen.ground)
    for mark in marks:
        if isinstance(mark, PenStroke):
            _stroke(image, mark, screen)
        elif isinstance(mark, Text):
            _text(image, mark, screen)
        elif isinstance(mark, Fill):
            _fill(image, mark, screen)
        else:
            _picture(image, mark, screen)
    return image.resize((wide, high), Image.Resampling.LANCZOS)


def _grey(value: float) -> tuple[int, int, int]:
    level = round(_LIGHTEST * value)
    return level, level, level


def _stroke(image: Image.Image, mark: PenStroke, screen: Screen) -> None:
    from PIL import ImageDraw

    draw = ImageDraw.Draw(image)
    ink, scale = INKS[mark.role], screen.scale
    points = np.vstack([mark.points, mark.points[:1]]) if mark.closed else mark.points
    if ink.filled:
        draw.polygon([tuple(p) for p in points * scale], fill=_grey(ink.grey))
        return
    width = max(1, round(screen.heavier * ink.width * scale))
    for part in _dashed(points, dashes(mark.role, mark.length)):
        places = [(float(x), float(y)) for x, y in part * scale]
        draw.line(places, fill=_grey(ink.grey), width=width, joint="curve")


def _dashed(points: np.ndarray, pattern: Sequence[float]) -> Iterator[np.ndarray]:
    """The dashes of a line, each of shape (n, 2); itself if it has none."""
    if not pattern:
        yield points
        return
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    far = np.concatenate([[0.0], np.cumsum(steps)])
    at, k = 0.0, 0
    while at < far[-1] - 1e-6:
        end = min(at + pattern[k % len(pattern)], far[-1])
        if k % 2 == 0:
            inner = far[(far > at) & (far < end)]
            along = np.concatenate([[at], inner, [end]])
            yield np.column_stack([np.interp(along, far, points[:, axis]) for axis in (0, 1)])
        at, k = end, k + 1


def _fill(image: Image.Image, mark: Fill, screen: Screen) -> None:
    """An area by the even-odd rule: each ring turns what it holds inside out."""
    from PIL import Image, ImageChops, ImageDraw

    inside = Image.new("1", image.size, 0)
    for ring in mark.rings:
        one = Image.new("1", image.size, 0)
        ImageDraw.Draw(one).polygon([tuple(p) for p in ring * screen.scale], fill=1)
        inside = ImageChops.logical_xor(inside, one)
    image.paste(mark.colour, (0, 0), inside)


def _picture(image: Image.Image, mark: PrintedImage, screen: Screen) -> None:
    """An upright picture; one that is turned is turned about its upper left corner."""
    from PIL import Image

    wide, high = (max(1, round(side * screen.scale)) for side in (mark.width, mark.height))
    seen = Image.fromarray(mark.pixels).resize((wide, high), Image.Resampling.LANCZOS)
    corner = round(mark.x * screen.scale), round(mark.y * screen.scale)
    if mark.angle:
        half = int(np.hypot(wide, high)) + 1
        layer = Image.new("RGBA", (2 * half, 2 * half))
        layer.paste(seen, (half, half))
        seen = layer.rotate(np.degrees(mark.angle), Image.Resampling.BICUBIC)
        corner = corner[0] - half, corner[1] - half
    image.paste(seen, corner, seen)


def _text(image: Image.Image, mark: Text, screen: Screen) -> None:
    from PIL import Image, ImageDraw

    scale = screen.scale
    face = lettering.face(mark.size * scale, mark.bold)
    before = {"start": 0.0, "middle": 0.5, "end": 1.0}[mark.anchor]
    wide = font.width(mark.text, mark.size, mark.bold) * scale
    if not mark.angle:
        place = (mark.x * scale - before * wide, mark.y * scale)
        ImageDraw.Draw(image).text(place, mark.text, _grey(mark.grey), face, anchor="ls")
        return
    # Turned about its anchor, which lies in the middle of a layer of its own.
    half = int(wide + 2 * mark.size * scale)
    layer = Image.new("L", (2 * half, 2 * half), 0)
    ImageDraw.Draw(layer).text((half - before * wide, half), mark.text, 255, face, anchor="ls")
    turned = layer.rotate(np.degrees(mark.angle), Image.Resampling.BICUBIC)
    corner = (round(mark.x * scale) - half, round(mark.y * scale) - half)
    image.paste(Image.new("RGB", turned.size, _grey(mark.grey)), corner, turned)
