"""Images and lettering of a sheet, laid on the page where they will be printed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from .drawing import PrintedImage

if TYPE_CHECKING:
    from meshes.art import Art, Raster

    from .marks import Placed

# 300 dpi, the resolution that printers ask for. Common practice, no source.
PIXELS_PER_MM = 300 / 25.4


def with_bleed(shape: Polygon, bleed: float) -> BaseGeometry:
    """What is printed of a shape and beyond its cut, mm."""
    if bleed <= 0:
        return Polygon(shape.exterior)
    return Polygon(shape.exterior).buffer(bleed, join_style="mitre", mitre_limit=2)


def pictures(placed: Placed, bleed: float) -> list[PrintedImage]:
    """The art of the face that is drawn; one picture, or none.

    It ends `bleed` mm beyond the cut, and at the edge of the window of a split piece.
    """
    from meshes.art import raster

    sheet = placed.template.sheet
    if not sheet.art:
        return []
    shape = with_bleed(placed.template.outline, bleed)
    if placed.window is not None:
        back = np.linalg.inv(placed.matrix)
        window = shapely.transform(placed.window, lambda p: (p - placed.shift) @ back.T)
        shape = shape.intersection(window)
    found = raster(sheet.art, shape, 1 if placed.face == "front" else -1, PIXELS_PER_MM)
    if found is None:
        return []
    return [_laid(placed, _within(found, shape), found)]


def boxes(placed: Placed) -> list[Polygon]:
    """The rectangles on the page that hold the art of the face that is drawn."""
    return [box for _, box in _framed(placed)]


def lettered(placed: Placed) -> list[Polygon]:
    """The rectangles on the page that hold the lettering of the face that is drawn."""
    from meshes.art import Lettering

    return [box for item, box in _framed(placed) if isinstance(item, Lettering)]


def _framed(placed: Placed) -> Iterator[tuple[Art, Polygon]]:
    from meshes.art import Image, lettering_size

    side = 1 if placed.face == "front" else -1
    for item in placed.template.sheet.art:
        if item.side == side:
            size = (item.width, item.height) if isinstance(item, Image) else lettering_size(item)
            frame = shapely.box(-size[0] / 2, -size[1] / 2, size[0] / 2, size[1] / 2)
            yield item, placed.on_page(item.placement.polygon(frame))


def _within(found: Raster, shape: BaseGeometry) -> np.ndarray:
    """The pixels, transparent outside a shape in the coordinates of the sheet."""
    from PIL import Image, ImageDraw

    rows, columns = found.pixels.shape[:2]
    scale = np.array([columns / found.size[0], -rows / found.size[1]])
    corner = np.array([found.corner[0], found.corner[1] + found.size[1]])
    mask = Image.new("L", (columns, rows), 0)
    draw = ImageDraw.Draw(mask)
    for part in shapely.get_parts(shape):
        ring = (np.asarray(part.exterior.coords) - corner) * scale
        draw.polygon([(float(x), float(y)) for x, y in ring], fill=255)
    pixels = found.pixels.copy()
    pixels[..., 3] = np.minimum(pixels[..., 3], np.asarray(mask))
    return pixels


def _laid(placed: Placed, pixels: np.ndarray, found: Raster) -> PrintedImage:
    """The picture on the page; on the back it is seen mirrored, from the other side."""
    left, bottom = found.corner
    right, top = left + found.size[0], bottom + found.size[1]
    if placed.face == "back":
        pixels, left, right = pixels[:, ::-1], right, left
    (x, y), across = placed.apply(np.array([[left, top], [right, top]]))
    step = across - (x, y)
    angle = float(np.arctan2(-step[1], step[0]))
    return PrintedImage(
        np.ascontiguousarray(pixels), float(x), float(y), found.size[0], found.size[1], angle
    )
