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
_RADIUS = 0.033
# Discs are drawn larger and scaled down, for smooth edges.
_FINE = 4


@dataclass(frozen=True)
class Spot:
    """Where a letter belongs.

    Parameters
    ----------
    at : shape (3,), mm.
    corners : of what it lies on, shape (n, 3), mm.
    """

    letter: str
    at: np.ndarray
    corners: np.ndarray


def lettered(shown: Shown, spots: Sequence[Spot]) -> np.ndarray:
    """The picture with a letter on each spot, uint8, shape (rows, columns, 3).

    It lies above what it would hide; letters nearer to each other than a disc are moved apart
    sideways.
    """
    if not spots:
        return shown.pixels
    from PIL import Image

    rows, columns = shown.pixels.shape[:2]
    radius = _RADIUS * rows
    places = np.array([_place(shown.camera, spot, (columns, rows), radius) for spot in spots])
    picture = Image.fromarray(shown.pixels).convert("RGB")
    for spot, (x, y) in zip(spots, _apart(places, 2.1 * radius), strict=True):
        disc = _disc(spot.letter, radius)
        half = disc.width / 2
        picture.paste(disc, (round(x - half), round(y - half)), disc)
    return np.asarray(picture)


def _place(camera: Camera, spot: Spot, size: tuple[int, int], radius: float) -> np.ndarray:
    """Pixel of a letter: on its spot, or over what is hardly larger than the letter."""
    (place,) = camera.project(spot.at[None], size)
    corners = camera.project(spot.corners, size)
    if np.ptp(corners, axis=0).max() < _HIDES * radius:
        place = np.array([place[0], corners[:, 1].min() - 1.2 * radius])
    return np.asarray(place)


# What is smaller than so many radii would be hidden. Our choice.
_HIDES = 5.0


def _apart(places: np.ndarray, least: float) -> np.ndarray:
    """Pixel positions, none nearer than `least` to an earlier one."""
    kept: list[np.ndarray] = []
    for place in places:
        moved = np.array(place, float)
        while any(np.linalg.norm(moved - other) < least for other in kept):
            moved[0] += least / 2
        kept.append(moved)
    return np.array(kept)


def _disc(text: str, radius: float) -> Image.Image:
    from PIL import Image, ImageDraw, ImageFont

    side = round(2 * radius * _FINE)
    disc = Image.new("RGBA", (side, side), (0, 0, 0, 0))
    draw = ImageDraw.Draw(disc)
    draw.ellipse((1, 1, side - 2, side - 2), fill=(38, 35, 31, 255))
    size = side * (0.62 if len(text) == 1 else 0.46)
    face = ImageFont.truetype(str(font.file(bold=True)), size)
    draw.text((side / 2, side / 2), text, fill=(255, 255, 255, 255), font=face, anchor="mm")
    return disc.resize((side // _FINE, side // _FINE), Image.Resampling.LANCZOS)
