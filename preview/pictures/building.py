"""Moments of a building film side by side, as the README shows them."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from meshes.building import proved
from meshes.export import whole_file
from meshes.spread import Spread

_SIZE, _COLUMNS = (480, 400), 3  # our choice


def draw(spread: Spread, moments: Sequence[tuple[int, float]], path: Path) -> None:
    """Draw a strip of moments of the building film of a spread.

    Parameters
    ----------
    moments : number of a step, from 1, and how much of its time is over, 0 to 1.
    path : of the picture, a JPEG.
    """
    from PIL import Image

    from ..course.kept import course_on_table
    from ..drawing.render import renderer
    from ..films.building import shot_of

    whole = course_on_table(spread, proved(spread))
    shot = shot_of(whole, range(len(whole.steps)), len(whole.steps), (4.0, 20.0), _SIZE)
    engine = renderer("auto")
    frames = shot.poses // len(whole.steps)
    pictures = [
        shot.draw((step - 1) * frames + int(share * (frames - 1)), engine)
        for step, share in moments
    ]
    blank = [np.full_like(pictures[0], 255)] * (-len(pictures) % _COLUMNS)
    rows = [
        np.concatenate((pictures + blank)[k : k + _COLUMNS], axis=1)
        for k in range(0, len(pictures), _COLUMNS)
    ]
    with whole_file(path) as part:
        Image.fromarray(np.concatenate(rows)).save(part, "JPEG", quality=88)
