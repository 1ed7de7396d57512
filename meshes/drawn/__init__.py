"""Sheets drawn by hand as SVG: read safely, in millimetres, told apart by plain class names."""

from .assemble import REACH_MM, DrawnArea, DrawnSheet, Move
from .match import placement
from .reader import Account, Drawing, account, letters, read
from .tree import DrawingError

__all__ = [
    "REACH_MM",
    "Account",
    "Drawing",
    "DrawingError",
    "DrawnArea",
    "DrawnSheet",
    "Move",
    "account",
    "letters",
    "placement",
    "read",
]
