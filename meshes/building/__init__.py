"""In which order a spread can be put together, worked out from its joins and its motion."""

from .order import Action, BuildError, Step, order

__all__ = ["Action", "BuildError", "Step", "order"]
