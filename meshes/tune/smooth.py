"""The search among demands that change smoothly: from the present values, then from random ones."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress

import numpy as np

from .rounds import Ask, in_rounds
from .trial import Outcome
from .tries import Spent, Tries

# Random starts at most, how many run at a time, and steps of each.
_STARTS, _AT_ONCE, _STEPS = 12, 6, 25
# A step in the scaled range for slopes: wide enough to rise over the noise of the solver.
_SLOPE = 1e-4
# A penalty that counts as none.
_MET = 1e-3
# A start is given up after so many points in a row that come no nearer to what is wanted by more
# than this share. measured: in 120 searches of random spreads all but 4 of those that got there
# asked for at most 15 points.
_PATIENCE, _NEARER = 8, 0.01
# And after fewer where another start was given up at as large a penalty.
_WHERE_OTHERS_WERE = 3
# This phase may take one part in so many of the tries; where it fails, collisions decide.
_SHARE = 2
_SEED = 20

_AskOutcomes = Ask[Sequence[np.ndarray], Sequence[Outcome]]


class _GivenUp(Exception):
    """A start comes no nearer."""


class _Climb:
    """Sequential quadratic programming (D. Kraft's SLSQP, as SciPy has it) from one start.

    Parameters
    ----------
    change : of a point, what is to become least.
    slope : of that.
    given_up : penalties at which other starts were given up.
    """

    def __init__(
        self,
        start: np.ndarray,
        change: Callable[[np.ndarray], float],
        slope: Callable[[np.ndarray], np.ndarray],
        given_up: Sequence[float],
    ) -> None:
        self.start, self.change, self.slope = start, change, slope
        # The point with the least change of those that meet all demands.
        self.met: np.ndarray | None = None
        self._given_up, self._in_vain, self._length = given_up, 0, 1
        # Whether it is not met, and by how much; else its change.
        self.least = True, float("inf")
        self.ended = False

    def run(self, ask: _AskOutcomes) -> None:
        """Climb until nothing is gained any more."""
        from scipy.optimize import minimize

        (first,) = ask([self.start])
        if first.smooth is None:
            return
        self._length = len(first.smooth)
        with suppress(_GivenUp, ValueError):
            minimize(
                self.change,
                self.start,
                jac=self.slope,
                method="SLSQP",
                bounds=[(0, 1)] * len(self.start),
                constraints={
                    "type": "ineq",
                    "fun": lambda share: self._slacks(share, ask),
                    "jac": lambda share: self._slopes(share, ask),
                },
                options={"maxiter": _STEPS, "ftol": 1e-6},
            )
        self.ended = True

    def _slacks(self, share: np.ndarray, ask: _AskOutcomes) -> np.ndarray:
        (outcome,) = ask([share])
        self._look_at(share, outcome.penalty)
        return self._vector(outcome)

    def _slopes(self, share: np.ndarray, ask: _AskOutcomes) -> np.ndarray:
        steps = np.where(share + _SLOPE <= 1, _SLOPE, -_SLOPE)
        here, *there = map(self._vector, ask([share, *(share + np.diag(steps))]))
        return np.column_stack(
            [(one - here) / step for one, step in zip(there, steps, strict=True)]
        )

    def _vector(self, outcome: Outcome) -> np.ndarray:
        if outcome.smooth is None:
            return np.full(self._length, -outcome.penalty)
        return outcome.smooth

    def _look_at(self, share: np.ndarray, penalty: float) -> None:
        """Keep the best point; _GivenUp if there has been no better one for long."""
        # What meets all demands is better than what does not; then the least change is best.
        met = penalty < _MET
        rank = not met, self.change(share) if met else penalty
        most = self.least[0], self.least[1] * (1 - _NEARER)
        if met and rank < self.least:
            self.met = np.clip(share, 0, 1)
        self._in_vain = 0 if rank < most else self._in_vain + 1
        self.least = min(rank, self.least)
        stuck = any(abs(self.least[1] - one) < _NEARER * one for one in self._given_up)
        if self._in_vain >= (_WHERE_OTHERS_WERE if stuck and not met else _PATIENCE):
            raise _GivenUp


def smooth(tries: Tries) -> list[np.ndarray]:
    """The point nearest to the present values that meets the smooth demands, if one is found.

    Where the present values lead to one it is taken, whether it collides or not: slopes of smooth
    demands are no help against that. Else of those to which random starts lead, by the penalty of
    their collisions too, the best.
    """
    start = tries.start
    climbs: list[_Climb] = []

    def begin(share: np.ndarray) -> Callable[[_AskOutcomes], None]:
        # Those that run wait for answers meanwhile, so that this is the same each time.
        given_up = [one.least[1] for one in climbs if one.ended and one.met is None]
        climbs.append(_Climb(share, tries.change, lambda at: 2 * (at - start), given_up))
        return climbs[-1].run

    def others() -> Iterator[Callable[[_AskOutcomes], None]]:
        for share in np.random.default_rng(_SEED).random((_STARTS, len(start))):
            if all(one.met is None for one in climbs) and tries.count < tries.to_search // _SHARE:
                yield begin(share)

    totals: Sequence[float] = []
    with suppress(Spent):
        in_rounds([begin(start)], tries.answers, 1)
        if climbs[0].met is not None:
            return [climbs[0].met]
        in_rounds(others(), tries.answers, _AT_ONCE)
    met = sorted((one.met for one in climbs if one.met is not None), key=tries.change)
    with suppress(Spent):
        totals = tries.totals(met)
    return [met[int(np.argmin(totals))]] if len(totals) else met[:1]
