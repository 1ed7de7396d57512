"""Sheets drawn by hand as SVG: read safely, in millimetres, told apart by plain class names."""

from .assemble import DrawnArea, DrawnSheet
from .match import placement
from .reader import Drawing, letters, read
from .tree import DrawingError

__all__ = [
    "Drawing",
    "DrawingError",
    "DrawnArea",
    "DrawnSheet",
    "letters",
    "placement",
    "read",
]
