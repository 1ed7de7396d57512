"""In which order a spread can be put together, worked out from its joins and its motion."""

from .kept import proved
from .order import order, refused
from .proof import Fault, faults
from .step import Action, BuildError, Step, left_loose

__all__ = [
    "Action",
    "BuildError",
    "Fault",
    "Step",
    "faults",
    "left_loose",
    "order",
    "proved",
    "refused",
]
