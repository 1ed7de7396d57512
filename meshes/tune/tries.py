"""The tries of one search: each design is solved once, and the best is known at any time."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from os import PathLike
from typing import Any

import numpy as np

from .trial import Asked, Outcome, Variable, judge
from .wish import Wish

# Weight of the change against a mm that sticks out, so that the nearest values win.
CHANGE = 0.01

# A penalty below this is the rounding of what is just met.
_NOTHING = 1e-6

# Tries kept for full checks of what is found: one part in so many, and at most so many (our choice;
# values rounded to fit take one to eight, seldom more).
_KEPT_BACK, _MOST_KEPT_BACK = 8, 16

# Shares of the ranges as bytes, and whether collisions count.
Key = tuple[bytes, bool]


class Spent(Exception):
    """The tries are used up."""


# Do a task for many items, by as many processes as there are; results come in order.
Share = Callable[[Callable[[Any], Any], Iterable[Any]], Iterator[Any]]


@dataclass(frozen=True)
class TryStanding:
    """How a search stands after a try.

    Parameters
    ----------
    values : by path, in the unit of the file: the best so far; empty before there are any.
    penalty : of these, 0 if all is met.
    """

    values: Mapping[str, float]
    penalty: float = float("inf")


@dataclass
class Tries:
    """All tries of one search.

    Parameters
    ----------
    most : designs to try, the full checks of what is found among them.
    advance : told after each try how the search stands.
    share : see Share.
    earlier : outcomes of a search that was stopped; they count as tries, but take no time.
    """

    path: str | PathLike[str]
    variables: Sequence[Variable]
    wishes: Sequence[Wish]
    most: int
    advance: Callable[[TryStanding], object]
    share: Share = map
    earlier: Mapping[Key, Outcome] = field(default_factory=dict)
    known: dict[Key, Outcome] = field(default_factory=dict)
    count: int = 0
    standing: TryStanding = field(default_factory=lambda: TryStanding({}))
    _best: tuple[bool, float, bytes] | None = field(default=None, init=False)

    @property
    def to_search(self) -> int:
        """Tries until no more are searched, since the rest is kept for what was found."""
        return self.most - min(max(self.most // _KEPT_BACK, 1), _MOST_KEPT_BACK)

    def values(self, share: np.ndarray) -> dict[str, float]:
        """Values at shares 0…1 of the ranges."""
        return {
            v.path: float(v.low + s * (v.high - v.low))
            for v, s in zip(self.variables, np.clip(share, 0, 1), strict=True)
        }

    def outcome(self, share: np.ndarray, *, clashes: bool) -> Outcome:
        """What values at these shares of their ranges give."""
        return self.outcomes([share], clashes=clashes)[0]

    def outcomes(
        self,
        shares: Sequence[np.ndarray],
        *,
        clashes: bool,
        enough: Sequence[float] | None = None,
    ) -> list[Outcome]:
        """What several values give that do not wait for each other; see :class:`Asked`.

        Raises
        ------
        Spent
            If there are not enough tries left for all; those that are left have been made then.
        """
        keys: list[Key] = [(np.clip(share, 0, 1).tobytes(), clashes) for share in shares]
        limits = dict(zip(keys, enough or [float("inf")] * len(keys), strict=True))
        fresh = [key for key, limit in limits.items() if not _tells(self.known.get(key), limit)]
        fresh = fresh[: max(self.to_search - self.count, 0)]
        new = [key for key in fresh if not _tells(self.earlier.get(key), limits[key])]
        asked = [Asked(self.values(np.frombuffer(key[0])), clashes, limits[key]) for key in new]
        found = self.share(partial(judge, self.path, self.wishes), asked)
        ahead = set(new)
        for key in fresh:
            self.known[key] = next(found) if key in ahead else self.earlier[key]
            self._look_at(key)
            self.tried()
        if not all(key in self.known for key in keys):
            raise Spent
        return [self.known[key] for key in keys]

    def answers(self, asked: Sequence[Sequence[np.ndarray]]) -> list[list[Outcome]]:
        """What several searches ask for at a time, without collisions; see :meth:`outcomes`."""
        found = iter(self.outcomes([one for shares in asked for one in shares], clashes=False))
        return [[next(found) for _ in shares] for shares in asked]

    def may_fit(self, values: Mapping[str, float]) -> bool:
        """Try values without asking for collisions; whether nothing is wrong so far."""
        outcome = judge(self.path, self.wishes, Asked(values, clashes=False))
        self.tried()
        return outcome.penalty < _NOTHING

    def tried(self) -> None:
        """Count a try."""
        self.count += 1
        self.advance(self.standing)

    def _look_at(self, key: Key) -> None:
        # Only tries that were asked for collisions as well can be compared.
        outcome, share = self.known[key], np.frombuffer(key[0])
        total = outcome.penalty + CHANGE * self.change(share)
        rank = not (key[1] and outcome.whole), total, key[0]
        if self._best is None or rank < self._best:
            self._best, self.standing = rank, TryStanding(self.values(share), outcome.penalty)

    def totals(
        self, shares: Sequence[np.ndarray], enough: Sequence[float] | None = None
    ) -> list[float]:
        """Penalties with clashes, and a little for the change.

        Parameters
        ----------
        enough : what is clearly above this needs no exact figure.
        """
        changes = [CHANGE * self.change(share) for share in shares]
        if enough is not None:
            enough = [most - change for most, change in zip(enough, changes, strict=True)]
        found = self.outcomes(shares, clashes=True, enough=enough)
        return [one.penalty + change for one, change in zip(found, changes, strict=True)]

    def change(self, share: np.ndarray) -> float:
        """Squared distance from the present values, in shares of the ranges."""
        return float(((share - self.start) ** 2).sum())

    @property
    def start(self) -> np.ndarray:
        """The present values as shares of the ranges, inside them."""
        return np.array(
            [np.clip((v.start - v.low) / (v.high - v.low), 0, 1) for v in self.variables]
        )

    def best(self) -> list[np.ndarray]:
        """Shares of the best try, in a list; none before the first."""
        return [] if self._best is None else [np.frombuffer(self._best[2])]


def _tells(outcome: Outcome | None, enough: float) -> bool:
    """Whether an outcome tells all that is asked."""
    return outcome is not None and (outcome.whole or outcome.penalty > enough)
