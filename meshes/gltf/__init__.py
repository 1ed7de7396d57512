"""Animated glTF 2.0."""

from .nodes import Companion
from .primitives import edge_colour, linear
from .write import glb, write_glb

__all__ = ["Companion", "edge_colour", "glb", "linear", "write_glb"]
