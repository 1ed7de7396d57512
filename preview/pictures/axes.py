"""The picture of where x and y begin: on the pages, and on a facet of a piece.

It shows the design that ``foldstage new`` writes, so that its numbers can be read there.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from .sides import Arrow, Label, Look, draw

if TYPE_CHECKING:
    from meshes.spread import Spread

OPENING_DEG = 176.0
LOOKS = (
    Look(
        "On the pages",
        np.radians(-90),
        np.radians(86),
        (
            Label("x = 22, y = 88", "page.right", (0.74, 0.60), (22.0, 88.0)),
            Label("x = -22, y = 88", "page.left", (0.26, 0.60), (-22.0, 88.0)),
            Label("at = 148 on the gutter", "page.left", (0.26, 0.20), (0.0, 148.0)),
            Label("x = 0, y = 0", "page.left", (0.36, 0.93), (0.0, 0.0)),
        ),
        (
            Arrow("page.right", (0.0, 0.0), (120.0, 0.0), "x"),
            Arrow("page.right", (0.0, 0.0), (0.0, 50.0), "y"),
            Arrow("page.left", (0.0, 0.0), (-120.0, 0.0), "-x"),
        ),
        near=("page",),
    ),
    Look(
        "On a facet: leaf.right",
        np.radians(-80),
        np.radians(40),
        (
            Label("x = 0, y = 0", "leaf.right", (0.62, 0.88), (0.0, 0.0)),
            Label("x = 18, y = 50", "leaf.right", (0.80, 0.42), (18.0, 50.0)),
            Label("leaf.ridge", "leaf.right", (0.24, 0.20), (0.0, 74.0)),
            Label("leaf.left", "leaf.left", (0.16, 0.45), (-16.0, 40.0)),
        ),
        (
            Arrow("leaf.right", (0.0, 0.0), (0.0, 66.0), "y"),
            Arrow("leaf.right", (0.0, 26.0), (26.0, 26.0), "x"),
        ),
        near=("leaf",),
    ),
)
LEGEND = (
    ("", "lengths in mm; x runs to the right from the gutter or the ridge, y up from the foot"),
)


def show(spread: Spread, path: Path) -> None:
    """Draw the pages from above and one facet from near, with their axes."""
    draw(spread, path, LOOKS, OPENING_DEG, LEGEND)
