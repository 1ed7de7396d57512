"""The README's picture of how exact a piece must be: its folds by what they forgive."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from meshes.check.exact import floored, spots_of
from preview.drawing import lettering

if TYPE_CHECKING:
    from PIL import Image, ImageDraw

    from meshes.sheet import Sheet
    from meshes.spread import Spread

_GROUND, _PAPER, _INK, _SIDE = "#fbf9f4", "#f3ead8", "#2c2a26", 40
_SCALE, _TEXT = 15.0, 34  # our choice: pixels per mm, pixels
_FOOT = 150  # our choice: room for the key, pixels


@dataclass(frozen=True)
class _Class:
    """Folds that forgive less than `below` mm, and how they are drawn.

    Parameters
    ----------
    dash : lengths of dash and gap, mm; nothing for a full line.
    """

    below: float
    words: str
    colour: str
    width: int
    dash: tuple[float, float] | None = None
    rings: bool = False


# Colours that the colour-blind tell apart; width, dashes and rings say the same. Our choice.
_CLASSES = (
    _Class(0.45, "less than 0.45 mm", "#a4352a", 11, rings=True),
    _Class(0.55, "less than 0.55 mm", "#c98a2b", 8),
    _Class(np.inf, "more", "#477c98", 5, dash=(1.6, 1.0)),
)


def draw(spread: Spread, piece: str, path: Path) -> None:
    """Write the picture of a piece of one sheet, laid flat."""
    from PIL import Image as Pillow
    from PIL import ImageDraw

    sheet = next(sheet for sheet in spread.sheets if sheet.piece == piece)
    left, low, right, high = sheet.outline.bounds
    wide = max(int((right - left) * _SCALE) + 2 * _SIDE, int(_key_ends()[-1]))
    size = (wide, int((high - low) * _SCALE) + _SIDE + _FOOT)
    image = Pillow.new("RGB", size, _GROUND)
    pen = ImageDraw.Draw(image)

    def on_page(points: Any) -> list[tuple[float, float]]:
        moved = (np.asarray(points) - (left, high)) * (_SCALE, -_SCALE) + _SIDE
        return [(float(x), float(y)) for x, y in moved]

    pen.polygon(on_page(sheet.outline.exterior.coords), fill=_PAPER, outline=_INK, width=6)
    for hole in sheet.outline.interiors:
        pen.line(on_page(hole.coords), fill=_INK, width=6)
    for ends, within in _folds(sheet, forgiven(spread)):
        _fold(image, pen, on_page, ends, within)
    _key(image, pen)
    image.resize((image.width // 2, image.height // 2), Pillow.Resampling.LANCZOS).save(path)


def forgiven(spread: Spread) -> dict[str, float]:
    """What each fold of a spread in a closed loop forgives, mm, by its name."""
    from meshes.building import proved

    return {
        name: spot.within_mm
        for spot in spots_of(spread, proved(spread))
        for name in (spot.name, *spot.more)
    }


def _folds(sheet: Sheet, within: dict[str, float]) -> Iterable[tuple[np.ndarray, float]]:
    for crossing in sheet.crossings:
        ends = np.array([crossing.fold.start, crossing.fold.end])
        yield ends, within.get(f"{sheet.piece}.{crossing.fold.name}", np.inf)


def _fold(
    image: Image.Image,
    pen: ImageDraw.ImageDraw,
    on_page: Callable[[Any], list[tuple[float, float]]],
    ends: np.ndarray,
    within: float,
) -> None:
    kind = next(kind for kind in _CLASSES if within < kind.below or kind is _CLASSES[-1])
    _line(pen, np.array(on_page(ends)), kind)
    if np.isfinite(within):
        (x, y), (wide, high) = np.mean(on_page(ends), axis=0), np.ptp(on_page(ends), axis=0)
        at, anchor = ((x + 18, y), "lm") if high > wide else ((x, y - 14), "ms")
        told = f"{floored(within):.2f}"
        lettering.write(image, told, at, _TEXT, kind.colour, bold=True, anchor=anchor)


def _line(pen: ImageDraw.ImageDraw, ends: np.ndarray, kind: _Class) -> None:
    far = float(np.linalg.norm(ends[1] - ends[0]))
    along = (ends[1] - ends[0]) / far
    dash, gap = (far, 0.0) if kind.dash is None else np.array(kind.dash) * _SCALE
    for start in np.arange(0.0, far - 1e-9, dash + gap):
        stretch = [tuple(ends[0] + t * along) for t in (start, min(start + dash, far))]
        pen.line(stretch, fill=kind.colour, width=kind.width)
    for x, y in ends if kind.rings else ():
        pen.ellipse([x - 15, y - 15, x + 15, y + 15], fill=_PAPER, outline=kind.colour, width=6)


def _key_ends() -> list[float]:
    """Where each kind of line begins in the key, and where the last one ends, pixels."""
    widths = [145 + lettering.width(kind.words, _TEXT) + 70 for kind in _CLASSES]
    return [float(x) for x in np.cumsum([_SIDE + 190.0, *widths])]


def _key(image: Image.Image, pen: ImageDraw.ImageDraw) -> None:
    """What lines of each kind forgive."""
    y = image.height - 50.0
    lettering.write(image, "forgives", (_SIDE, y), _TEXT, _INK, anchor="lm")
    for x, kind in zip(_key_ends(), _CLASSES, strict=False):
        _line(pen, np.array([[x, y], [x + 110.0, y]]), kind)
        lettering.write(image, kind.words, (x + 145, y), _TEXT, _INK, anchor="lm")
