"""Blossoms: flowers of sectors between folds, in layers."""

from .blossom import Blossom

__all__ = ["Blossom"]
