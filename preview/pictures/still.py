"""One picture of the spread at one opening."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from meshes.export import write_whole

from ..drawing.render import renderer
from ..errors import UseError
from ..films.film import Size, read_any, shot_of
from ..films.frames import prepare
from ..parallel import ALONE, Crew, crew
from .notebook import Picture

if TYPE_CHECKING:
    from meshes.motion.result import Motion
    from meshes.spread import Spread
    from preview.shot.optics import LensStop

# ending: (Pillow's name, how to save)
FORMATS: dict[str, tuple[str, dict[str, Any]]] = {
    # Measured: squeezed by zlib's usual 6, a still takes 2.3 times as long for 4 % of its size.
    ".png": ("PNG", {"compress_level": 4}),
    ".jpg": ("JPEG", {"quality": 92, "subsampling": 0}),
    ".jpeg": ("JPEG", {"quality": 92, "subsampling": 0}),
    ".webp": ("WEBP", {"quality": 92, "method": 6}),
}


def take(
    design: str | PathLike[str] | Spread,
    opening_deg: float = 140.0,
    size: Size = (1280, 960),
    view: str = "reader",
    jobs: int = 1,
    **settings: Any,
) -> Picture:
    """Take a picture of a design, which a notebook shows.

    Parameters
    ----------
    design : a design file, the name of a shipped design, or a spread that has been read.
    opening_deg : degrees, 0 closed to 180 flat open.
    size, view, settings : see :func:`picture`.
    jobs : processes that draw; more than one only in a script that guards its main part, since
        each process imports that script.

    Raises
    ------
    DesignError
        With every mistake in the design.
    UseError
        If the spread does not reach that opening.
    """
    with crew(jobs, prepare) as workers:
        spread = read_any(design)
        motion = spread.solve(np.radians([opening_deg]))
        if not motion.solved.all():
            reason = motion.findings[0].reason if motion.findings else "it jams before"
            raise UseError(f"the spread does not reach an opening of {opening_deg:g}°: {reason}")
        wanted = {"quality": "still", **settings}
        return Picture(picture(spread, motion, size, view, workers, **wanted))


def check_ending(path: Path) -> None:
    """UseError if the file's ending is none of `FORMATS`."""
    if path.suffix.lower() not in FORMATS:
        raise UseError(f"a picture can't be saved as {path.name!r}; endings: {', '.join(FORMATS)}")


def picture(
    spread: Spread,
    motion: Motion,
    size: Size,
    view: str = "reader",
    workers: Crew = ALONE,
    advance: Callable[[], None] | None = None,
    stop: LensStop | None = None,
    **settings: Any,
) -> np.ndarray:
    """Draw the first stage of a motion, shape (rows, columns, 3), uint8 sRGB.

    Parameters
    ----------
    size : width and height, pixels.
    workers : processes that share the rows of a picture in the quality of a still.
    advance : called after each of the `preview.drawing.render.parts` of such a picture.
    stop : depth of field of a lens; else all of it is sharp.
    view, settings : see `preview.films.film.shot_of`.
    """
    shot = shot_of(spread, motion, size, view, **settings)
    if stop is not None:
        aspect = size[0] / size[1]
        open_wide = tuple(
            replace(c, aperture=stop.diameter(c.field, c.distance, aspect)) for c in shot.cameras
        )
        shot = replace(shot, cameras=open_wide)
    engine = renderer(shot.engine, workers, advance)
    try:
        return shot.draw(0, engine)
    finally:
        engine.close()


def save(picture: np.ndarray, path: Path) -> None:
    """Write a picture, shape (rows, columns, 3), uint8 sRGB, in the format of the file's ending."""
    check_ending(path)
    write_whole(path, encoded(picture, path.suffix.lower()))


def encoded(picture: np.ndarray, ending: str) -> bytes:
    """A picture, shape (rows, columns, 3), uint8 sRGB, in the format of one of the `FORMATS`."""
    from PIL import Image

    kind, settings = FORMATS[ending]
    data = io.BytesIO()
    Image.fromarray(picture).save(data, kind, **settings)
    return data.getvalue()
