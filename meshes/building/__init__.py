"""In which order a spread can be put together, worked out from its joins and its motion."""

from .kept import proved, proved_order
from .order import check_closes, order, refused
from .proof import Fault, faults
from .step import Action, BuildError, Step, left_loose

__all__ = [
    "Action",
    "BuildError",
    "Fault",
    "Step",
    "check_closes",
    "faults",
    "left_loose",
    "order",
    "proved",
    "proved_order",
    "refused",
]
