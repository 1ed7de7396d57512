"""What a blossom finds wrong, gathered so that all of it can be told at once."""

from __future__ import annotations

from dataclasses import dataclass, field

from meshes.errors import DesignError, Mistake

from .model import Layer


@dataclass
class Complaints:
    """Mistakes and warnings of a flower, gathered so that all can be told at once."""

    several: bool
    mistakes: list[Mistake] = field(default_factory=list)
    warnings: list[Mistake] = field(default_factory=list)

    def mistake(
        self,
        layer: Layer,
        key: str,
        problem: str,
        found: str = "",
        allowed: str = "",
        advice: str = "",
    ) -> None:
        """Add something that can't be built."""
        self.mistakes.append(Mistake("", problem, "", self.key(layer, key), found, allowed, advice))

    def warning(
        self,
        layer: Layer,
        key: str,
        problem: str,
        found: str = "",
        allowed: str = "",
        advice: str = "",
    ) -> None:
        """Add something that can be built but will not work as wished."""
        self.warnings.append(Mistake("", problem, "", self.key(layer, key), found, allowed, advice))

    def stop(self) -> None:
        """Raise DesignError if there is any mistake."""
        if self.mistakes:
            raise DesignError(self.mistakes)

    def key(self, layer: Layer, key: str) -> str:
        """How a key of a layer is written in this flower."""
        return f"layers.{layer.name}.{key}" if self.several else key
