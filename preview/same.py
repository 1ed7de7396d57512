"""Values told apart by which they are, not by what they hold: keys for caches of what lives long.

Comparing two linkages, or hashing an outline, takes longer than much of what is looked up.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, TypeVar

Value = TypeVar("Value")


@dataclass(frozen=True, eq=False)
class Same(Generic[Value]):
    """A value that equals only itself. It is kept alive, so that no other can take its place."""

    value: Value

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and self.value is other.value

    def __hash__(self) -> int:
        return id(self.value)
