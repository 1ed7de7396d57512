"""The parts of a step laid flat beside its picture: their numbers, folds, and where glue goes.

Each part is seen from the side that gets the glue; a part seen from its back is mirrored, as paper
is when it is turned over.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from meshes.building import Step
from meshes.sheet import Sheet
from preview.pattern import font
from preview.pattern.glue import GlueArea, letter

if TYPE_CHECKING:
    from PIL import ImageDraw

# Share of a picture's width that the flat parts take. Our choice, as are the colours.
SHARE = 0.36
GLUE = (214, 92, 46)
_GROUND, _INK, _RIM = (246, 243, 236), (38, 35, 31), (120, 112, 102)
# Drawn larger and scaled down, for smooth edges.
_FINE = 2
_TEXT = 0.034  # of the picture's height; our choice
# Small parts are drawn larger than at the scale of the largest: 0 not at all, 1 as large as it.
_LARGER = 0.7  # our choice


@dataclass(frozen=True)
class _Part:
    """One sheet as it is drawn: `mirrored` if its back is seen."""

    number: int
    outline: Polygon
    folds: tuple[tuple[np.ndarray, int], ...]
    glue: tuple[GlueArea, ...]
    colour: str
    side: str
    mirrored: bool


def beside(
    sheets: Sequence[Sheet], areas: Sequence[GlueArea], step: Step, size: tuple[int, int]
) -> np.ndarray:
    """The parts of a step, uint8 sRGB, shape (rows, columns, 3).

    Parameters
    ----------
    sheets : all sheets of the spread, as they are cut.
    areas : both sides of all glue of the spread.
    size : width and height, pixels.
    """
    from PIL import Image, ImageDraw

    width, height = size
    parts = _parts(sheets, areas, step)
    picture = Image.new("RGB", (width * _FINE, height * _FINE), _GROUND)
    draw = ImageDraw.Draw(picture)
    sides = {part.side for part in parts}
    if len(parts) > 1 and len(sides) == 1:
        # Said once for all of them, below.
        at = (width * _FINE / 2, (height - 1.3 * _TEXT * height) * _FINE)
        _words(draw, at, _glued(sides.pop()), _TEXT * height * _FINE, GLUE, bold=False)
        parts = [replace(part, side="") for part in parts]
        height = round(height * (1 - 2.2 * _TEXT))
    columns = _columns(parts, width, height)
    rows = math.ceil(len(parts) / columns)
    cell = (width * _FINE / columns, height * _FINE / rows)
    text = min(_TEXT * height * _FINE, 0.16 * cell[0], 0.2 * cell[1])
    common = min(_scale(part, cell, text) for part in parts)
    for k, part in enumerate(parts):
        at = ((k % columns + 0.5) * cell[0], (k // columns + 0.5) * cell[1])
        scale = common * (_scale(part, cell, text) / common) ** _LARGER
        _draw(draw, part, at, scale, text, cell)
    return np.asarray(picture.reduce(_FINE))


def _glued(side: str) -> str:
    return f"glue {side}" if side else ""


def _parts(sheets: Sequence[Sheet], areas: Sequence[GlueArea], step: Step) -> list[_Part]:
    letters = {letter(j) for j in step.joins}
    found = []
    for k in sorted(step.sheets):
        sheet = sheets[k]
        own = {f"{sheet.piece}.{facet.name}" for facet in sheet.facets}
        glue = tuple(a for a in areas if a.facet in own and a.letter in letters and not a.lands)
        back = bool(glue) and sum(a.face == "back" for a in glue) * 2 >= len(glue)
        face = "back" if back else "front"
        folds = tuple(
            (np.array([c.fold.start, c.fold.end]), -c.fold.sign if back else c.fold.sign)
            for c in sheet.crossings
        )
        seen = tuple(a for a in glue if a.face == face)
        side = "" if not glue else "on the back" if back else "on the printed side"
        colour = sheet.back if back else sheet.front
        found.append(_Part(k, sheet.outline, folds, seen, colour, side, back))
    return found


def _columns(parts: Sequence[_Part], width: int, height: int) -> int:
    """Columns in which the parts are drawn largest."""
    count = len(parts)

    def size(columns: int) -> float:
        cell = (width / columns, height / math.ceil(count / columns))
        return min(_scale(part, cell, 0.1 * min(cell)) for part in parts)

    return max(range(1, count + 1), key=size)


def _scale(part: _Part, cell: tuple[float, float], text: float) -> float:
    """Pixels per mm at which a part fits above its number."""
    low_x, low_y, high_x, high_y = part.outline.bounds
    wide, tall = max(high_x - low_x, 1.0), max(high_y - low_y, 1.0)
    return min(0.84 * cell[0] / wide, (0.92 * cell[1] - 2.9 * text) / tall)


def _draw(
    draw: ImageDraw.ImageDraw,
    part: _Part,
    at: tuple[float, float],
    scale: float,
    text: float,
    cell: tuple[float, float],
) -> None:
    low_x, low_y, high_x, high_y = part.outline.bounds
    middle = np.array([(low_x + high_x) / 2, (low_y + high_y) / 2])
    turn = np.array([-scale if part.mirrored else scale, -scale])
    centre = np.array([at[0], at[1] - 1.1 * text])

    def place(points: np.ndarray) -> list[tuple[float, float]]:
        moved = (np.asarray(points, float)[:, :2] - middle) * turn + centre
        return [(float(x), float(y)) for x, y in moved]

    rim = max(2, round(0.0035 * cell[1]))
    outline = place(np.asarray(part.outline.exterior.coords))
    draw.polygon([(x + 2 * rim, y + 3 * rim) for x, y in outline], fill=(226, 220, 209))
    draw.polygon(outline, fill=part.colour, outline=_RIM, width=rim)
    for ring in part.outline.interiors:
        draw.polygon(place(np.asarray(ring.coords)), fill=_GROUND, outline=_RIM, width=rim)
    for area in part.glue:
        corners = place(np.asarray(area.polygon.exterior.coords))
        draw.polygon(corners, fill=GLUE, outline=(255, 255, 255), width=rim)
    for ends, sign in part.folds:
        _fold(draw, place(ends), sign, rim)
    for area in part.glue:
        least = _FITS * text * (1 + len(area.letter)) / 2
        inside, room = _widest(area.polygon, least / scale)
        spot, out = np.array(place(inside))[0], np.zeros(2)
        if room * scale < least:
            lowest = max(y for _, y in outline) + 0.2 * text
            box = (at[0] - cell[0] / 2, at[1] - cell[1] / 2, at[0] + cell[0] / 2, lowest)
            out = _way_out(np.array(outline), spot, box, text)
            draw.line([tuple(spot), tuple(spot + out)], fill=GLUE, width=rim)
        ink = GLUE if out.any() else (255, 255, 255)
        x, y = spot + out * (1 + 0.6 * text / max(float(np.hypot(*out)), 1.0))
        _words(draw, (x, y), area.letter, text, ink, bold=True)
    foot = centre[1] + (high_y - low_y) / 2 * scale + 0.95 * text
    _words(draw, (at[0], foot), f"{part.number}", 1.25 * text, _INK, bold=True)
    if part.side:
        size = min(0.85 * text, 0.95 * cell[0] / (0.5 * len(_glued(part.side))))
        _words(draw, (at[0], foot + 1.15 * text), _glued(part.side), size, GLUE, bold=False)


def _widest(area: Polygon, least: float) -> tuple[np.ndarray, float]:
    """A point inside an area, shape (1, 2), and how far it is from its rim, mm.

    It is in the middle if it is `least` mm from the rim there, else as far from it as can be.
    """
    middle = area.representative_point()
    if area.exterior.distance(middle) >= least:
        return np.array(middle.coords), float(area.exterior.distance(middle))
    circle = shapely.maximum_inscribed_circle(area)
    return np.array(circle.coords)[:1], float(circle.length)


# A letter fits into a circle with this share of its height as radius. Our choice.
_FITS = 0.5


def _way_out(
    outline: np.ndarray, spot: np.ndarray, box: tuple[float, float, float, float], text: float
) -> np.ndarray:
    """From a spot on a part straight out of it, by the shortest way that leaves room for a letter.

    Parameters
    ----------
    outline, spot : shape (n, 2) and (2,), pixels.
    box : left, top, right and bottom of the room.
    text : height of the letter, pixels.
    """
    paper = Polygon(outline)
    ways = []
    for turn in np.arange(16) * np.pi / 8:
        along = np.array([np.cos(turn), np.sin(turn)])
        ends = shapely.get_coordinates(LineString([spot, spot + along * 1e4]).intersection(paper))
        out = along * (float(((ends - spot) @ along).max(initial=0.0)) + 0.4 * text)
        x, y = spot + out + along * 0.6 * text
        fits = box[0] + 0.7 * text < x < box[2] - 0.7 * text and box[1] + 0.5 * text < y < box[3]
        ways.append((not fits, float(np.hypot(*out)), out))
    return min(ways, key=lambda way: way[:2])[2]


def _fold(
    draw: ImageDraw.ImageDraw, ends: Sequence[tuple[float, float]], sign: int, rim: int
) -> None:
    """Dashes for a valley, dash and dot for a mountain, and the signs of the printed sheets."""
    start, end = (np.array(point) for point in ends)
    length = float(np.hypot(*(end - start)))
    if length < 1:
        return
    along = (end - start) / length
    pattern = (7.0, 3.0) if sign < 0 else (7.0, 2.5, 1.5, 2.5)
    at, k = 0.0, 0
    while at < length:
        step = min(pattern[k % len(pattern)] * rim, length - at)
        if k % 2 == 0:
            a, b = start + along * at, start + along * (at + step)
            draw.line([(a[0], a[1]), (b[0], b[1])], fill=(255, 255, 255), width=2 * rim)
            draw.line([(a[0], a[1]), (b[0], b[1])], fill=_INK, width=rim)
        at, k = at + step, k + 1
    size = min(5.0 * rim, 0.3 * length)
    up = np.array([along[1], -along[0]]) * (1 if along[0] >= 0 else -1)
    middle = (start + end) / 2
    feet = [middle - size * along, middle + size * along]
    if sign > 0:
        tent = [feet[0], middle + 1.6 * size * up, feet[1]]
        draw.polygon([tuple(p) for p in tent], fill=_INK, outline=(255, 255, 255))
    else:
        tips = [feet[0] + 1.6 * size * up, middle, feet[1] + 1.6 * size * up]
        for colour, wide in (((255, 255, 255), 2 * rim), (_INK, rim)):
            draw.line([tuple(p) for p in tips], fill=colour, width=wide, joint="curve")


def _words(
    draw: ImageDraw.ImageDraw,
    at: tuple[float, float],
    words: str,
    size: float,
    colour: tuple[int, int, int],
    bold: bool,
) -> None:
    from PIL import ImageFont

    face = ImageFont.truetype(str(font.file(bold=bold)), max(size, 6.0))
    draw.text(at, words, fill=colour, font=face, anchor="mm")


def joined(left: np.ndarray, right: np.ndarray) -> np.ndarray:
    """Two pictures side by side, shape (rows, columns, 3)."""
    return np.concatenate([left, right], axis=1)
