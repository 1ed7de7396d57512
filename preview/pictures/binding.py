"""A row of pictures of a notebook: shut, a page of it being turned, and opening on its table."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from ..shot.camera import VIEWS
from ..shot.leaf import AJAR
from . import still

if TYPE_CHECKING:
    from meshes.spread import Spread

    from ..drawing.scene import Scene

SIZE = (560, 420)
# Of the shut notebook; the others are seen from the reader's place. Our choice.
SHUT_VIEW = "left-corner"


def draw(spread: Spread, moments: Sequence[tuple[float, float]], path: Path) -> None:
    """Write the row.

    Parameters
    ----------
    moments : of a film that turns a page first: how far that is turned, 0 to 1, and how far the
        spread is open, radians.
    path : of the picture; its ending chooses the format.
    """
    from ..drawing.render import draw as drawn

    pictures = []
    for scene, name in _scenes(spread, moments):
        camera = VIEWS[name].frame(scene.points, SIZE[0] / SIZE[1])
        pictures.append(drawn(scene.lit_for(camera.azimuth), camera, SIZE, quality="fine"))
    still.save(np.hstack(pictures), path)


def _scenes(spread: Spread, moments: Sequence[tuple[float, float]]) -> Iterator[tuple[Scene, str]]:
    """What there is to see, and the view to see it from."""
    from ..drawing.leaf import leafed
    from ..drawing.scene import book_of, build

    openings = np.array([0.0, *(max(opening, AJAR) for _, opening in moments)])
    stages, which = np.unique(openings, return_inverse=True)
    motion, book = spread.solve(stages), book_of(spread)
    yield build(spread, motion, int(which[0]), lying="right"), SHUT_VIEW
    for (share, _), stage in zip(moments, which[1:].tolist(), strict=True):
        yield leafed(build(spread, motion, stage, lying="right"), book, share), "reader"
