"""Curled paper: a facet that is rolled bends as a cylinder does, and only where it has room."""

from .bent import Bent, bent
from .closing import Shares, close
from .roll import Rolled, rolled

__all__ = ["Bent", "Rolled", "Shares", "bent", "close", "rolled"]
