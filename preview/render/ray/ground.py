"""The table and what is behind it: no horizon, only light that fades."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.camera import Camera
from preview.colour import linear
from preview.scene import Scene

VIGNETTE = 0.10


@dataclass(frozen=True, eq=False)
class Ground:
    """What rays see that miss everything, one row a ray.

    Parameters
    ----------
    distance : to the table, mm; huge where the ray does not reach it.
    table : shape (n, 3), how much of the table's light is seen, by channel, float32.
    backdrop : shape (n, 3), light of the backdrop to add, float32.
    """

    distance: np.ndarray
    table: np.ndarray
    backdrop: np.ndarray


def look(scene: Scene, camera: Camera, directions: np.ndarray, rows: np.ndarray) -> Ground:
    """The ground along rays.

    Parameters
    ----------
    directions : shape (n, 3), unit, float32.
    rows : shape (n,), height in the picture, 0 top to 1 bottom.
    """
    down = np.minimum(directions[:, 2], np.float32(-1e-6))
    distance = (np.float32(scene.table - camera.eye[2]) / down).astype(np.float32)
    flat = np.array(camera.eye[:2], np.float32) + distance[:, None] * directions[:, :2]
    away = (flat - np.array(scene.centre, np.float32)) / np.float32(scene.scale)
    radius = np.hypot(away[:, 0], away[:, 1])
    forward = -np.array([np.cos(camera.azimuth), np.sin(camera.azimuth)], np.float32)
    depth = away @ forward
    shade = 1.0 - scene.mood.falloff * _smoothstep(radius, 170.0, 1070.0)
    blend = np.where(directions[:, 2] < -1e-3, _smoothstep(depth, 250.0, 1350.0), 1.0)
    table = (shade * (1.0 - blend))[:, None] * linear(scene.mood.table)
    tone = scene.mood.gain * (0.90 + 0.22 * rows) * blend
    backdrop = tone[:, None] * linear(scene.mood.backdrop)
    return Ground(distance, table.astype(np.float32), backdrop.astype(np.float32))


def vignette(size: tuple[int, int]) -> np.ndarray:
    """Darkening towards the corners, shape (h, w, 1), float32."""
    width, height = size
    x = (np.arange(width) + 0.5) / width * 2 - 1
    y = (np.arange(height) + 0.5) / height * 2 - 1
    radius = (x[None, :] ** 2 + y[:, None] ** 2) / 2
    return (1.0 - VIGNETTE * radius**1.5)[..., None].astype(np.float32)


def _smoothstep(x: np.ndarray, low: float, high: float) -> np.ndarray:
    t = np.clip((x - low) / (high - low), 0.0, 1.0)
    return t * t * (3.0 - 2.0 * t)
