"""Small designs with curled paper, and the paper of a spread as it lies at an opening."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from meshes.curl import bent
from meshes.spread import Spread, read

# A wave with rolled tips, one rolled aslant, a leaf that is glued by its base alone, and a tail
# that hangs on one fold.
WAVE = """\
title = "Wave"
units = "mm"

[spread]
page = "A5"

[pieces.wave]
kind = "v-fold"
on = "gutter"
points = "up"
at = 60
page_angle = 60
panel_angle = 80
base = 60
gusset = 10
front = "#3d88b8"
back = "#cfe6f2"
outline = { shape = "polygon", corners = [[0, 0], [60, 0], [60, 30], [50, 58], [40, 30], [30, 58], \
[20, 30], [10, 58], [0, 30], [-20, 30], [-25, 70], [-60, 60], [-60, 0]] }
curl = [
  { facet = "right", line = [[0, 32], [60, 32]], over = 9, kept = 0.5 },
  { facet = "left", line = [[-70, 10], [-20, 40]], over = 14, kept = 0.5 },
]

[pieces.leaf]
kind = "flat"
on = "page.left"
x = -80
y = 150
front = "#5fa37c"
back = "#a7cf8a"
outline = { shape = "ellipse", length = 50, width = 24 }
curl = [{ facet = "art", line = [[-12, 2], [12, 2]], over = 20 }]
"""


def written(text: str, folder: Path) -> Spread:
    """The spread of a text."""
    path = folder / "design.toml"
    path.write_text(text, encoding="utf-8")
    return read(path)


def paper_at(spread: Spread, opening_deg: float) -> dict[str, np.ndarray]:
    """Corners of every facet and strip, (n, 3), mm, where the middle of its paper lies."""
    seen = bent(spread, spread.solve(np.radians([opening_deg])))
    found = {}
    for k, body in enumerate(seen.linkage.bodies):
        for part in body.parts:
            flat = np.asarray(part.polygon.exterior.coords)[:-1, :2]
            points = np.column_stack([flat, np.full(len(flat), part.height)])
            place = points @ seen.motion.rotations[0, k].T + seen.motion.translations[0, k]
            found[part.id] = place
    return found
