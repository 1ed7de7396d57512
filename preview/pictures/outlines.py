"""The README's picture of the outlines, each with the origin of its coordinates."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from preview.drawing import lettering

if TYPE_CHECKING:
    from PIL import Image, ImageDraw
    from shapely.geometry import Polygon

# One of each kind; sizes are our choice. A polygon shows that its corners are its own.
EXAMPLES: Mapping[str, Mapping[str, Any]] = {
    "rectangle": {"length": 34, "width": 46, "round": 6},
    "ellipse": {"length": 48, "width": 36},
    "polygon": {"corners": [[-22, 0], [22, 0], [10, 44], [-16, 30]]},
    "petal": {"length": 54, "width": 32},
    "leaf": {"length": 56, "width": 28, "teeth": 5},
    "fern": {"length": 58, "width": 40},
    "heart": {"length": 42},
    "star": {"length": 50},
    "rosette": {"length": 50},
    "cloud": {"length": 34, "width": 52},
    "cap": {"length": 34, "width": 52},
    "drop": {"length": 52, "width": 32},
    "grass": {"length": 50, "width": 40},
    "moon": {"length": 50},
    "ring": {"length": 50, "width": 9},
    "path": {"path": "M0 0 C 30 -10 30 -40 4 -60 C -20 -50 -30 -20 0 0 Z", "length": 50},
    "joined": {
        "parts": [
            {"shape": "rectangle", "length": 36, "width": 6},
            {"shape": "cap", "length": 24, "width": 44, "y": 26},
        ]
    },
}
_GROUND, _PAPER, _INK, _MARK = "#fbf9f4", "#cfdcc6", "#2c2a26", "#a4472f"
_CELL, _COLUMNS, _SCALE = (300, 340), 6, 4.2  # our choice: pixels, pixels per mm


def shapes() -> dict[str, Polygon]:
    """One outline of each kind by name, mm, in its own coordinates."""
    from pydantic import TypeAdapter

    from meshes.measure import Units
    from meshes.outline import Outline

    adapter: TypeAdapter[Any] = TypeAdapter(Outline)
    return {
        name: adapter.validate_python({"shape": name, **keys}, context=Units()).polygon()
        for name, keys in EXAMPLES.items()
    }


def draw(path: Path) -> None:
    """Write the picture, rows of six."""
    from PIL import Image as Pillow
    from PIL import ImageDraw

    found = shapes()
    rows = -(-len(found) // _COLUMNS)
    image = Pillow.new("RGB", (_CELL[0] * _COLUMNS, _CELL[1] * rows), _GROUND)
    for k, (name, shape) in enumerate(found.items()):
        row, column = divmod(k, _COLUMNS)
        # The origins of a row stand on one line.
        origin = np.array([(column + 0.5) * _CELL[0], (row + 1) * _CELL[1] - 74.0])
        _one(image, ImageDraw.Draw(image), name, shape, origin)
    image.resize((image.width // 2, image.height // 2), Pillow.Resampling.LANCZOS).save(path)


def _one(
    image: Image.Image, draw: ImageDraw.ImageDraw, name: str, shape: Polygon, origin: np.ndarray
) -> None:
    def on_page(points: Any) -> list[tuple[float, float]]:
        moved = np.asarray(points) * (_SCALE, -_SCALE) + origin
        return [(float(x), float(y)) for x, y in moved]

    draw.polygon(on_page(shape.exterior.coords), fill=_PAPER)
    for ring in shape.interiors:
        draw.polygon(on_page(ring.coords), fill=_GROUND)
    for ring in (shape.exterior, *shape.interiors):
        draw.line(on_page(ring.coords), fill=_INK, width=3, joint="curve")
    for reach in ((16.0, 0.0), (0.0, 16.0)):
        draw.line(on_page([(-reach[0] / 4, -reach[1] / 4), reach]), fill=_MARK, width=4)
    x, y = on_page([(0, 0)])[0]
    draw.ellipse([x - 8, y - 8, x + 8, y + 8], fill=_MARK)
    lettering.write(image, name, (float(origin[0]), float(origin[1]) + 54), 32, _INK, anchor="mm")
