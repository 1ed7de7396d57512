"""What the camera of a shot sees at its start, in the middle and at its end."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from preview.drawing.render import EngineName, Quality, renderer
from preview.drawing.scene import build

if TYPE_CHECKING:
    from meshes.spread import Spread

    from .shots import Shot

PICTURES = 3  # our choice


def draw(
    spread: Spread,
    shot: Shot,
    size: tuple[int, int],
    mood: str = "daylight",
    engine: EngineName = "auto",
    quality: Quality = "film",
) -> list[np.ndarray]:
    """Pictures of a shot, each of shape (rows, columns, 3), uint8 sRGB.

    Three of a shot in which something moves, else one.
    """
    still = shot.settings.turn == 0 and np.ptp(shot.openings) == 0
    shares = [0.0] if still else np.linspace(0, 1, PICTURES)
    chosen = renderer(engine)
    pictures = []
    try:
        for share in shares:
            index = round(share * (len(shot.openings) - 1))
            motion = spread.solve(np.array([shot.openings[index]]))
            scene = build(spread, motion, 0, mood).turned(shot.settings.turn * float(share))
            lit = scene.lit_for(shot.camera.azimuth)
            pictures.append(chosen.draw(lit, shot.camera, size, quality))
    finally:
        chosen.close()
    return pictures
