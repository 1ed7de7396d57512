"""Curled paper: a facet that is rolled bends as a cylinder does, and only where it has room.

Names are fetched when they are first used: a design that curls nothing needs next to none of it.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from .closing import Shares, close
    from .roll import Rolled, rolled
    from .seen import Bent, bent

__all__ = ["Bent", "Rolled", "Shares", "bent", "close", "rolled"]

_MODULES = {
    **dict.fromkeys(("Bent", "bent"), "seen"),
    **dict.fromkeys(("Shares", "close"), "closing"),
    **dict.fromkeys(("Rolled", "rolled"), "roll"),
}


def __getattr__(name: str) -> Any:
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f".{_MODULES[name]}", __name__), name)
