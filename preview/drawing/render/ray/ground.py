"""The table and what is behind it: no horizon, only light that fades."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.drawing.colour import linear
from preview.drawing.scene import Scene
from preview.shot.camera import Camera

from . import tabletop

VIGNETTE = 0.10


@dataclass(frozen=True, eq=False)
class Missed:
    """What rays see that miss everything, one column a ray.

    Parameters
    ----------
    distance : to the table, mm, shape (n,); huge where the ray does not reach it.
    table : shape (3, n), how much of the table's light is seen, by channel, float32.
    backdrop : shape (3, n), light of the backdrop to add, float32.
    """

    distance: np.ndarray
    table: np.ndarray
    backdrop: np.ndarray


def distance(scene: Scene, camera: Camera, directions: np.ndarray) -> np.ndarray:
    """How far the table is along unit rays (3, n), mm; huge where they do not reach it."""
    down = np.minimum(directions[2], np.float32(-1e-6))
    return np.asarray(np.float32(scene.table - camera.eye[2]) / down)


def look(
    scene: Scene, camera: Camera, directions: np.ndarray, rows: np.ndarray, angle: float
) -> Missed:
    """The ground along rays.

    Parameters
    ----------
    directions : shape (3, n), unit, float32.
    rows : shape (n,), height in the picture, 0 top to 1 bottom, float32.
    angle : of a pixel, radians.
    """
    away_mm = distance(scene, camera, directions)
    x, y = (
        (np.float32(camera.eye[k] - scene.centre[k]) + away_mm * directions[k])
        / np.float32(scene.scale)
        for k in range(2)
    )
    away = np.float32(np.cos(camera.azimuth)), np.float32(np.sin(camera.azimuth))
    shade = 1 - np.float32(scene.mood.falloff) * _smoothstep(np.hypot(x, y), 170.0, 1070.0)
    blend = _smoothstep(-(x * away[0] + y * away[1]), 250.0, 1350.0)
    blend[directions[2] > -1e-3] = 1.0
    shown = shade * (1 - blend)
    tone = np.float32(scene.mood.gain) * (np.float32(0.90) + np.float32(0.22) * rows) * blend
    far = linear(scene.mood.backdrop).astype(np.float32)
    if scene.mood.pattern == "plain":
        near = linear(scene.mood.table).astype(np.float32)[:, None]
        return Missed(away_mm, near * shown, far[:, None] * tone)
    table = np.zeros((3, len(shown)), np.float32)
    seen = np.flatnonzero(shown > 0)
    scale = np.float32(scene.scale)
    size = _pixels(directions[:, seen], away_mm[seen] * np.float32(angle))
    places = tabletop.Places(x[seen] * scale, y[seen] * scale, *size)
    table[:, seen] = tabletop.shown(scene.mood, places, scene.reach) * shown[seen]
    return Missed(away_mm, table, far[:, None] * tone)


def _pixels(directions: np.ndarray, across: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """How far pixels reach on the table in x and in y, mm, shape (n,) each.

    Parameters
    ----------
    directions : shape (3, n), unit, looking down.
    across : their size at right angles to the ray, mm, shape (n,).
    """
    flat = np.maximum(np.hypot(directions[0], directions[1]), np.float32(1e-6))
    away_x, away_y = directions[0] / flat, directions[1] / flat
    # A pixel's patch on the table is longer the flatter it is looked at.
    along = across / -directions[2]
    return np.hypot(along * away_x, across * away_y), np.hypot(along * away_y, across * away_x)


def vignette(size: tuple[int, int]) -> np.ndarray:
    """Darkening towards the corners, shape (h, w, 1), float32."""
    width, height = size
    x = (np.arange(width) + 0.5) / width * 2 - 1
    y = (np.arange(height) + 0.5) / height * 2 - 1
    radius = (x[None, :] ** 2 + y[:, None] ** 2) / 2
    # A root is found far sooner than a power.
    return (1.0 - VIGNETTE * radius * np.sqrt(radius))[..., None].astype(np.float32)


def _smoothstep(x: np.ndarray, low: float, high: float) -> np.ndarray:
    t = np.clip((x - np.float32(low)) * np.float32(1 / (high - low)), 0, 1)
    return t * t * (3 - 2 * t)
