"""The README's picture of the allowance for thickness: what is cut off a sheet, and why."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from shapely.affinity import scale, translate
from shapely.geometry import LineString, Point, Polygon, box
from shapely.ops import substring

from meshes.allowance import Change, allowed
from meshes.sheet import Sheet
from preview.drawing import lettering
from preview.pattern.allowance import said
from preview.pattern.font import broken
from preview.roles import plain

if TYPE_CHECKING:
    from PIL import Image, ImageDraw

    from meshes.allowance.shut import Pinch
    from meshes.spread import Spread

_GROUND, _PAPER, _INK, _OFF, _FOLD = "#fbf9f4", "#f3ead8", "#2c2a26", "#a4352a", "#477c98"
# Pixels, twice as many as in the picture: all of it, the column with the sheet, the border.
_SIZE, _COLUMN, _SIDE = (2000, 1140), 1080, 40  # our choice
_TEXT, _LINE = 34, 46  # our choice
# Pixels per mm in the enlarged part and in the section; radius of the enlarged part, mm.
_LARGE, _THICK, _LOUPE = 104.0, 110.0, 3.6  # our choice
# Height of the sheet, and of the middle of the section. Our choice.
_SHEET_HIGH, _SECTION_Y = 470, 880


@dataclass(frozen=True)
class _View:
    """A part of the picture: mm times `scale` from `middle`, which lies at a place in pixels."""

    scale: float
    middle: tuple[float, float]
    at: tuple[float, float]

    def __call__(self, points: Any) -> list[tuple[float, float]]:
        moved = (np.asarray(points)[:, :2] - self.middle) * (self.scale, -self.scale) + self.at
        return [(float(x), float(y)) for x, y in moved]


def draw(spread: Spread, piece: str, path: Path) -> None:
    """Write the picture of a piece of one sheet of which strips beside a fold are cut off."""
    from PIL import Image as Pillow
    from PIL import ImageDraw

    number = next(k for k, sheet in enumerate(spread.sheets) if sheet.piece == piece)
    found = allowed(spread)
    change = next(one for one in found.changes if one.piece == piece and one.pinches)
    designed, cut = spread.sheets[number], found.sheets[number]
    image = Pillow.new("RGB", _SIZE, _GROUND)
    pen = ImageDraw.Draw(image)
    off = _largest(designed.outline.difference(cut.outline))
    spot = off.centroid.x, off.centroid.y
    _whole(pen, designed, cut, spot)
    _enlarged(image, designed, cut, spot)
    _section(image, pen, change.tightest)
    _words(image, change)
    image.resize((image.width // 2, image.height // 2), Pillow.Resampling.LANCZOS).save(path)


def _largest(shape: Any) -> Polygon:
    return max(shapely.get_parts(shape).tolist(), key=lambda part: float(part.area))


def _whole(
    pen: ImageDraw.ImageDraw, designed: Sheet, cut: Sheet, spot: tuple[float, float]
) -> None:
    """The sheet as it is cut, and round what is enlarged a ring."""
    left, low, right, high = designed.outline.bounds
    fits = min((_COLUMN - 2 * _SIDE) / (right - left), _SHEET_HIGH / (high - low))
    middle = (left + right) / 2, (low + high) / 2
    view = _View(fits, middle, (_COLUMN / 2, _SIDE + _SHEET_HIGH / 2))
    _paper(pen, view, cut, 4)
    ((x, y),) = view([spot])
    radius = _LOUPE * fits
    pen.ellipse([x - radius, y - radius, x + radius, y + radius], outline=_OFF, width=5)


def _paper(pen: ImageDraw.ImageDraw, view: _View, sheet: Sheet, width: int) -> None:
    pen.polygon(view(sheet.outline.exterior.coords), fill=_PAPER)
    for fold in sheet.crossings:
        ends = view([fold.fold.start, fold.fold.end])
        _dashed(pen, ends, _FOLD, width, (18, 12))
    for ring in (sheet.outline.exterior, *sheet.outline.interiors):
        pen.line(view(ring.coords), fill=_INK, width=width, joint="curve")


def _enlarged(image: Image.Image, designed: Sheet, cut: Sheet, spot: tuple[float, float]) -> None:
    """A round excerpt: what is cut off, between the lines as designed and as cut."""
    from PIL import Image as Pillow
    from PIL import ImageDraw

    radius = int(_LOUPE * _LARGE)
    view = _View(_LARGE, spot, (radius, radius))
    patch = Pillow.new("RGB", (2 * radius, 2 * radius), _GROUND)
    pen = ImageDraw.Draw(patch)
    _paper(pen, view, cut, 8)
    for part in shapely.get_parts(designed.outline.difference(cut.outline)).tolist():
        pen.polygon(view(part.exterior.coords), fill="#e6bfb4")
        _dashed(pen, view(part.exterior.coords), _OFF, 6, (16, 10))
    pen.line(view(cut.outline.exterior.coords), fill=_INK, width=8, joint="curve")
    mask = Pillow.new("L", patch.size, 0)
    ImageDraw.Draw(mask).ellipse([0, 0, 2 * radius - 1, 2 * radius - 1], fill=255)
    corner = (_COLUMN + _SIZE[0]) // 2 - radius, _SIDE
    image.paste(patch, corner, mask)
    ring = [*corner, corner[0] + 2 * radius - 1, corner[1] + 2 * radius - 1]
    ImageDraw.Draw(image).ellipse(ring, outline=_OFF, width=6)


def _dashed(
    pen: ImageDraw.ImageDraw,
    points: list[tuple[float, float]],
    colour: str,
    width: int,
    dash: tuple[float, float],
) -> None:
    """A line of dashes and gaps of so many pixels."""
    line, period = LineString(points), sum(dash)
    for start in np.arange(0.0, line.length, period):
        stretch = substring(line, start, min(start + dash[0], line.length))
        pen.line(list(stretch.coords), fill=colour, width=width)


def _words(image: Image.Image, change: Change) -> None:
    """What the guide says of it, and what the lines of the excerpt are."""
    from PIL import ImageDraw

    pen = ImageDraw.Draw(image)
    left, y = _COLUMN + 60.0, float(_SIDE + 2 * _LOUPE * _LARGE + 50)
    for words, colour, dash in (("as designed", _OFF, (16, 10)), ("as cut", _INK, (200, 1))):
        _dashed(pen, [(left, y), (left + 110, y)], colour, 7, dash)
        lettering.write(image, words, (left + 140, y), _TEXT, _INK, anchor="lm")
        left += 200 + lettering.width(words, _TEXT) + 20
    measure = partial(lettering.width, size=_TEXT)
    told = said(change)
    lines = broken(told[0].upper() + told[1:], _SIZE[0] - _COLUMN - 60 - _SIDE, measure)
    lettering.write(image, plain(change.piece), (_COLUMN + 60.0, y + 80), _TEXT, _INK, True)
    for row, line in enumerate(lines):
        at = (_COLUMN + 60.0, y + 80 + (row + 1) * _LINE)
        lettering.write(image, line, at, _TEXT, _INK)


def _section(image: Image.Image, pen: ImageDraw.ImageDraw, pinch: Pinch) -> None:
    """The shut fold, cut across: half a circle round the stack, which ends where that begins."""
    wide = pinch.stack
    view = _View(_THICK, (0.0, 0.0), (_SIDE + 260.0, _SECTION_Y))
    for strip in _layers(pinch):
        pen.polygon(view(strip.exterior.coords), fill=_PAPER, outline=_INK, width=3)
    reach = _REACH
    around = (
        Point(0, 0)
        .buffer(wide / 2 + _GAP, quad_segs=48)
        .union(box(0, -wide / 2 - _GAP, reach, wide / 2 + _GAP))
    )
    rim = around.exterior.intersection(box(-wide, -wide, reach - 1e-6, wide))
    for line in shapely.get_parts(shapely.line_merge(rim)).tolist():
        pen.line(view(line.coords), fill=_FOLD, width=14, joint="curve")
    fold = view([(-wide / 2 - _GAP, 0.0)])[0]
    pen.ellipse([fold[0] - 13, fold[1] - 13, fold[0] + 13, fold[1] + 13], fill=_OFF)
    arc = scale(_quarter(wide / 2 + _GAP + 0.22), 1.0, -1.0, origin=(0, 0))
    pen.line(view(arc.coords), fill=_OFF, width=5, joint="curve")
    lettering.write(
        image, f"{pinch.keep:.1f} mm", (fold[0] - 20, fold[1] + 118), _TEXT, _OFF, True, "rs"
    )
    lettering.write(image, "fold", (fold[0] - 40, fold[1]), _TEXT, _OFF, anchor="rm")
    (x, y), _ = view([(reach, -wide / 2), (0.0, 0.0)])
    told = f"{pinch.layers} layers, {wide:.1f} mm"
    lettering.write(image, told, (x, y + 62), _TEXT, _INK, anchor="rs")


# Between the stack and what is folded round it, so that both are seen, mm. Our choice.
_GAP = 0.07
# So much of the stack is shown, mm. Our choice.
_REACH = 5.6


def _layers(pinch: Pinch) -> Iterator[Polygon]:
    """The layers of the stack, which end where the half circle begins."""
    each = pinch.stack / pinch.layers
    for k in range(pinch.layers):
        yield translate(box(0.0, 0.0, _REACH, each), 0.0, k * each - pinch.stack / 2)


def _quarter(radius: float) -> LineString:
    turns = np.linspace(np.pi / 2, np.pi, 24)
    return LineString(np.stack([np.cos(turns), np.sin(turns)], axis=1) * radius)
