"""Many builds of a spread by hand, and what would make more of them close."""

from __future__ import annotations

import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from .linear import Linear
from .rows import Source, sources

# So many are built. Our choice.
BUILDS = 1000


@dataclass(frozen=True)
class HandAccuracy:
    """How exactly a hand works, and how much paper forgives.

    Parameters
    ----------
    shift, turn : standard deviations of where glue and folds come to lie, mm and radians.
    give : what paper takes up at each fold and each glue area by stretching or buckling, mm.
    """

    # Cutting, scoring and gluing by hand: common practice, no source.
    shift: float = 0.3
    turn: float = float(np.radians(0.3))
    # Common practice, no source.
    give: float = 0.3

    def of(self, source: Source) -> float:
        """The standard deviation of one error, mm or radians."""
        return self.turn if source.turns else self.shift


def errors_of(answer: Linear, hand: HandAccuracy) -> np.ndarray:
    """Normally distributed errors of all builds, shape (E, BUILDS), mm and radians.

    Each source has a fixed series of its own, started from its name, so that the order of a design
    does not matter.
    """
    series = []
    for source in sources(answer.network):
        name = answer.network.seams[answer.network.spots[source.spot].seams[0]].name
        start = zlib.crc32(f"{name} {source.way}".encode())
        normal = np.random.Generator(np.random.PCG64(start)).standard_normal(BUILDS)
        series.append(hand.of(source) * normal)
    return np.array(series)


@dataclass(frozen=True)
class Builds:
    """How many builds close.

    Parameters
    ----------
    close : how many of all.
    without : how many would if one place were exact: name of the glued facet or fold to that.
    """

    close: int
    without: Mapping[str, int]


def build(answers: Sequence[Linear], hand: HandAccuracy, stages: np.ndarray) -> Builds:
    """Build a spread by hand, again and again.

    Parameters
    ----------
    answers : one for each network.
    stages : at which openings a build must meet within what paper gives, shape (S,), booleans.
    """
    fine: list[np.ndarray] = []
    better: list[dict[str, np.ndarray]] = []
    for answer in answers:
        gives, errors = answer.gives[stages], errors_of(answer, hand)
        given = gives @ errors
        fine.append(_fits(given, hand.give))
        groups: dict[str, list[int]] = {}
        for e, source in enumerate(sources(answer.network)):
            if e not in answer.pressed:
                first = answer.network.spots[source.spot].seams[0]
                groups.setdefault(answer.network.seams[first].name, []).append(e)
        better.append(
            {
                name: _fits(given - gives[..., some] @ errors[some], hand.give)
                for name, some in groups.items()
            }
        )
    every = np.array(fine).reshape(-1, BUILDS)
    without = {}
    for k, gained in enumerate(better):
        others = np.delete(every, k, axis=0).all(axis=0)
        without.update({name: int((others & one).sum()) for name, one in gained.items()})
    return Builds(int(every.all(axis=0).sum()), without)


def _fits(given: np.ndarray, most: float) -> np.ndarray:
    """Which builds fit, from what seams must give, shape (S, Q, 6, BUILDS), mm."""
    return (np.einsum("sqib,sqib->sqb", given, given) <= most**2).all(axis=(0, 1))
