"""Layered flowers on legs, glued by hand from sheets; numbers of our own choice, degrees and mm.

Legs are longer than the cone limit asks for, so that every flower opens flat.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from tests.specimens import Legs, Pile, flower_in, flower_on


@dataclass(frozen=True)
class Layer:
    """A cone: its sectors from the carrying one on, fold and petal length, its legs if any."""

    sectors: tuple[float, ...]
    fold: float
    tip: float
    legs: Legs | None = None

    @property
    def angles(self) -> tuple[float, ...]:
        """Sectors in radians."""
        return tuple(np.radians(self.sectors))


BUD = [
    Layer((52,) * 6, 29, 43, Legs(14, 9.5, 9.0, 4.5)),
    Layer((47,) * 6, 21, 33),
    Layer((41,) * 6, 14, 23, Legs(8.5, 5.5, 6.7, 2.2)),
]
PAIR = [
    Layer((52,) * 6, 29, 43, Legs(14, 9.5, 7.95, 4.5)),
    Layer((44,) * 6, 19, 31, Legs(9.5, 5.7, 7.29, 2.4)),
]
TEN = [
    Layer((33,) * 10, 31, 45, Legs(17, 12, 8.83, 3.8)),
    Layer((30,) * 10, 21, 32),
]
WIDE = [
    Layer((86, 43, 43) * 2, 29, 44, Legs(14, 9, 8.7, 5.5)),
    Layer((80, 40, 40) * 2, 21, 32),
]
FLOWERS = {"bud": BUD, "pair": PAIR, "ten": TEN, "wide": WIDE}
AT = 98.0


def build(layers: Sequence[Layer]) -> Pile:
    """The first layer on legs on the gutter, the others in it, named A, B, C."""
    pile = Pile()
    first = layers[0]
    assert first.legs is not None
    flower_on(pile, "A", pile.gutter, AT, first.angles, (first.fold, first.tip), first.legs)
    for name, below, layer in zip("BC", layers, layers[1:], strict=False):
        size = layer.fold, layer.tip
        flower_in(pile, name, chr(ord(name) - 1), layer.angles, below.angles, size, layer.legs)
    return pile


BUILDERS: dict[str, Callable[[], Pile]] = {
    name: lambda layers=layers: build(layers) for name, layers in FLOWERS.items()
}
