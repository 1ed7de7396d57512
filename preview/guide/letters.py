"""Letters on a picture: where the glue of a step goes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from preview.pattern import font

if TYPE_CHECKING:
    from PIL import Image

    from preview.shot.camera import Camera

    from .studio import Shown

# Radius of the disc behind a letter, as a share of the picture's height.
_RADIUS, _SMALL, _FEW = 0.033, 0.026, 6  # smaller where there are more than a few; our choice
INK = "#26231f"  # our choice
# Discs are drawn larger and scaled down, for smooth edges.
_FINE = 4


@dataclass(frozen=True)
class LetterSpot:
    """Where a letter belongs.

    Parameters
    ----------
    at : shape (3,), mm.
    corners : of what it lies on, shape (n, 3), mm.
    """

    letter: str
    at: np.ndarray
    corners: np.ndarray


def lettered(shown: Shown, spots: Sequence[LetterSpot]) -> np.ndarray:
    """The picture with a letter on each spot, uint8, shape (rows, columns, 3).

    It lies above what it would hide; letters that would hide each other are moved apart, with a
    line to their spots.
    """
    if not spots:
        return shown.pixels
    from PIL import Image

    rows, columns = shown.pixels.shape[:2]
    radius = (_RADIUS if len(spots) <= _FEW else _SMALL) * rows
    size = columns, rows
    places = np.array([_place(shown.camera, spot, size, radius) for spot in spots])
    picture = Image.fromarray(shown.pixels).convert("RGB")
    moved = _apart(places, 2.1 * radius, size)
    for (x, y), at in zip(places, moved, strict=True):
        if np.hypot(*(at - (x, y))) > radius:
            _leader(picture, (float(x), float(y)), (float(at[0]), float(at[1])), radius)
    for spot, (x, y) in zip(spots, moved, strict=True):
        disc = _disc(spot.letter, radius)
        half = disc.width / 2
        picture.paste(disc, (round(x - half), round(y - half)), disc)
    return np.asarray(picture)


def _place(camera: Camera, spot: LetterSpot, size: tuple[int, int], radius: float) -> np.ndarray:
    """Pixel of a letter: on its spot, or over what is hardly larger than the letter."""
    (place,) = camera.project(spot.at[None], size)
    corners = camera.project(spot.corners, size)
    if np.ptp(corners, axis=0).max() < _HIDES * radius:
        place = np.array([place[0], corners[:, 1].min() - 1.2 * radius])
    return np.asarray(place)


# What is smaller than so many radii would be hidden. Our choice.
_HIDES = 5.0


def _apart(places: np.ndarray, least: float, size: tuple[int, int]) -> np.ndarray:
    """Pixel positions, each as near to its own as may be and `least` from all earlier ones."""
    kept: list[np.ndarray] = []
    low, high = np.full(2, least / 2), np.array(size) - least / 2
    rings = [np.zeros((1, 2))]
    for far in np.arange(1, 24) * least / 4:
        turn = np.arange(16) * np.pi / 8
        rings.append(far * np.c_[np.cos(turn), np.sin(turn)])
    offsets = np.concatenate(rings)
    for place in places:
        tried = place + offsets
        clear = ((tried >= low) & (tried <= high)).all(axis=1)
        for other in kept:
            clear &= np.linalg.norm(tried - other, axis=1) >= least
        kept.append(tried[int(clear.argmax())])
    return np.array(kept)


def _leader(
    picture: Image.Image, spot: tuple[float, float], disc: tuple[float, float], radius: float
) -> None:
    """A thin line from a letter to the place that it was moved away from."""
    from PIL import ImageDraw

    draw = ImageDraw.Draw(picture)
    for colour, wide in (("#ffffff", 0.28), (INK, 0.12)):
        draw.line([spot, disc], fill=colour, width=max(1, round(wide * radius)))


def _disc(text: str, radius: float) -> Image.Image:
    from PIL import Image, ImageDraw, ImageFont

    side = round(2 * radius * _FINE)
    disc = Image.new("RGBA", (side, side), (0, 0, 0, 0))
    draw = ImageDraw.Draw(disc)
    draw.ellipse((1, 1, side - 2, side - 2), fill=INK)
    size = side * (0.62 if len(text) == 1 else 0.46)
    face = ImageFont.truetype(str(font.file(bold=True)), size)
    draw.text((side / 2, side / 2), text, fill=(255, 255, 255, 255), font=face, anchor="mm")
    return disc.resize((side // _FINE, side // _FINE), Image.Resampling.LANCZOS)
