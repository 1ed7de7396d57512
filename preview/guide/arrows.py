"""Arrows on a picture: which way something is laid, pushed or closed."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from preview.shot.camera import Camera

# Of the picture's height. Our choice, as are the colours.
_WIDE, _HEAD = 0.011, 0.042
INK, _HALO = (22, 92, 104), (255, 255, 255)
_OF_LENGTH = 0.55  # most of an arrow that its head takes
_FINE = 2


def with_arrows(picture: np.ndarray, camera: Camera, ways: Sequence[np.ndarray]) -> np.ndarray:
    """The picture with an arrow along each way, uint8, shape (rows, columns, 3).

    Parameters
    ----------
    ways : points that an arrow follows, each of shape (n, 3), mm.
    """
    if not ways:
        return picture
    from PIL import Image, ImageDraw

    rows, columns = picture.shape[:2]
    layer = Image.new("RGBA", (columns * _FINE, rows * _FINE), (0, 0, 0, 0))
    draw = ImageDraw.Draw(layer)
    for way in ways:
        line = np.asarray(camera.project(way, (columns, rows))) * _FINE
        # A short arrow is a thin one, so that it still has a shaft.
        length = float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum())
        size = min(_HEAD * rows * _FINE, _OF_LENGTH * length)
        wide = _WIDE * rows * _FINE * size / (_HEAD * rows * _FINE)
        tip, body = _head(line, size)
        for colour, more in ((_HALO, 2.2), (INK, 0.0)):
            grown = more * _FINE
            points = [(float(x), float(y)) for x, y in body]
            draw.line(points, fill=(*colour, 255), width=round(wide + 2 * grown), joint="curve")
            middle = tip.mean(axis=0)
            out = tip + (tip - middle) / np.linalg.norm(tip - middle, axis=1)[:, None] * 1.6 * grown
            draw.polygon([(float(x), float(y)) for x, y in out], fill=(*colour, 255))
    small = layer.reduce(_FINE)
    base = Image.fromarray(picture).convert("RGBA")
    return np.asarray(Image.alpha_composite(base, small).convert("RGB"))


def _head(line: np.ndarray, size: float) -> tuple[np.ndarray, np.ndarray]:
    """Corners (3, 2) of an arrow's head, and the line (n, 2) up to it, pixels."""
    end, before = line[-1], line[-2]
    along = (end - before) / max(float(np.hypot(*(end - before))), 1e-9)
    across = np.array([-along[1], along[0]])
    neck = end - along * size
    tip = np.array([end, neck + across * size * 0.5, neck - across * size * 0.5])
    return tip, np.concatenate([line[:-1], [neck + along * size * 0.15]])
