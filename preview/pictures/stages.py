"""The picture of stages: the spread at chosen openings side by side, each marked with its angle."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from ..drawing import lettering
from ..films.film import Size, shot_of
from ..films.frames import drawn
from ..shot.mood import mood_of

if TYPE_CHECKING:
    from meshes.spread import Spread

# Openings from shut to flat that show the most of how a spread rises.
USUAL_DEG = (0.0, 30.0, 60.0, 90.0, 135.0, 180.0)
LETTERS = 0.075  # height of the letters against that of a cell
GAP = 0.02


def draw(
    spread: Spread,
    openings: Sequence[float],
    size: Size = (480, 360),
    columns: int | None = None,
    view: str = "reader",
    jobs: int = 1,
    advance: Callable[[], None] = lambda: None,
    kept: Path | None = None,
    **settings: Any,
) -> np.ndarray:
    """Draw the strip, shape (rows, columns, 3), uint8 sRGB.

    Parameters
    ----------
    openings : radians, in the order in which they shall be shown; all must be solvable.
    size : width and height of one picture, pixels.
    columns : pictures in a row; all in one row if left out.
    kept : a folder from which an interrupted strip goes on; see `preview.films.frames.drawn`.
    settings : mood, lying, engine and quality; see `preview.films.film.shot_of`.

    Raises
    ------
    ValueError
        If there is no opening, or the motion does not reach one of them.
    """
    if not len(openings):
        raise ValueError("a picture of stages needs at least one opening")
    stages, order = np.unique(np.asarray(openings, float), return_inverse=True)
    motion = spread.solve(stages)
    if not motion.solved.all():
        where = np.degrees(stages[~motion.solved][0])
        raise ValueError(f"the spread does not reach an opening of {where:.1f}°")
    shot = shot_of(spread, motion, size, view, **settings)
    with drawn(shot, order, jobs, advance, kept) as frames:
        pictures = [frames[k] for k in range(len(frames))]
    labels = [f"{np.degrees(opening):.4g}°" for opening in openings]
    return arrange(pictures, labels, columns or len(openings), mood_of(shot.mood).table)


def arrange(
    pictures: Sequence[np.ndarray], labels: Sequence[str], columns: int, ground: str
) -> np.ndarray:
    """Pictures of one size in rows, each with its label under it, on a ground of that colour."""
    from PIL import Image

    height, width = pictures[0].shape[:2]
    letters = max(9, round(LETTERS * height))
    gap, foot = max(2, round(GAP * height)), round(2.0 * letters)
    rows = -(-len(pictures) // columns)
    columns = min(columns, len(pictures))
    sheet = Image.new(
        "RGB",
        (columns * width + (columns + 1) * gap, rows * (height + foot) + gap),
        ground,
    )
    ink = lettering.ink_on(ground)
    for number, (picture, label) in enumerate(zip(pictures, labels, strict=True)):
        left = gap + number % columns * (width + gap)
        top = gap + number // columns * (height + foot)
        sheet.paste(Image.fromarray(picture), (left, top))
        place = (left + width / 2, top + height + foot / 2)
        lettering.write(sheet, label, place, letters, ink, bold=True, anchor="mm")
    return np.asarray(sheet)
