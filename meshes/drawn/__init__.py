"""Sheets drawn by hand as SVG: read safely, in millimetres, told apart by plain class names."""

from .assemble import REACH_MM, DrawnArea, DrawnSheet, Move
from .match import placement
from .reader import Drawing, letters, read
from .tree import DrawingError

__all__ = [
    "REACH_MM",
    "Drawing",
    "DrawingError",
    "DrawnArea",
    "DrawnSheet",
    "Move",
    "letters",
    "placement",
    "read",
]
