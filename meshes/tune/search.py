"""Values that make a design fit: a search over some of them, within ranges."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import product
from os import PathLike

import numpy as np

from ..check import questions
from ..check.finding import Finding
from ..errors import DesignError
from ..motion.memory import Memory
from .trial import Outcome, Variable, case_with, judge
from .wish import MET, Wish, measure

# Random starts of the smooth search, and steps of each.
_STARTS, _STEPS = 4, 25
# A step in the scaled range for slopes: wide enough to rise over the noise of the solver.
_SLOPE = 1e-4
_POPULATION = 6
# Values are rounded to a tenth, or else a hundredth, of the file's unit.
_ROUNDED = (0.1, 0.01, 0.001)
_MOST_ROUNDINGS = 32
# Weight of the change against a mm that sticks out, so that the nearest values win.
_CHANGE = 0.01
_SEED = 20
# What a failure without a figure counts when the nearest values are named.
_NO_FIGURE = 100.0
# Steps of the simplex method for each value that varies.
_SIMPLEX = 40


class _Spent(Exception):
    """The tries are used up."""


@dataclass(frozen=True)
class Found:
    """What a search came to.

    Parameters
    ----------
    values : by path, in the unit of the file: the best that was found.
    fits : whether they pass every check and meet every wish.
    reached : the measured value of each wish, mm or degrees; NaN where it could not be measured.
    failures : what still fails.
    tries : designs that were solved.
    stopped : whether the search was interrupted before it was done.
    """

    values: Mapping[str, float]
    fits: bool
    reached: tuple[float, ...]
    failures: tuple[Finding, ...]
    tries: int
    stopped: bool = False


@dataclass
class _Trials:
    """Solved designs of one search, each only once.

    Parameters
    ----------
    memory : what a design has in common with those before it is not solved again.
    """

    path: str | PathLike[str]
    variables: Sequence[Variable]
    wishes: Sequence[Wish]
    most: int
    advance: Callable[[], object]
    known: dict[tuple[bytes, bool], Outcome] = field(default_factory=dict)
    tries: int = 0
    memory: Memory = field(default_factory=Memory)

    def values(self, share: np.ndarray) -> dict[str, float]:
        """Values at shares 0…1 of the ranges."""
        return {
            v.path: float(v.low + s * (v.high - v.low))
            for v, s in zip(self.variables, np.clip(share, 0, 1), strict=True)
        }

    def outcome(self, share: np.ndarray, *, clashes: bool) -> Outcome:
        """What values at these shares of their ranges give."""
        key = (np.clip(share, 0, 1).tobytes(), clashes)
        if key not in self.known:
            if self.tries >= self.most:
                raise _Spent
            self.tries += 1
            self.advance()
            values = self.values(share)
            self.known[key] = judge(
                self.path, values, self.wishes, clashes=clashes, memory=self.memory
            )
        return self.known[key]

    def total(self, share: np.ndarray) -> float:
        """Penalty with clashes, and a little for the change."""
        return self.outcome(share, clashes=True).penalty + _CHANGE * self.change(share)

    def change(self, share: np.ndarray) -> float:
        """Squared distance from the present values, in shares of the ranges."""
        return float(((share - self.start) ** 2).sum())

    @property
    def start(self) -> np.ndarray:
        """The present values as shares of the ranges, inside them."""
        return np.array(
            [np.clip((v.start - v.low) / (v.high - v.low), 0, 1) for v in self.variables]
        )


def search(
    path: str | PathLike[str],
    variables: Sequence[Variable],
    wishes: Sequence[Wish] = (),
    tries: int = 400,
    advance: Callable[[], object] = lambda: None,
) -> Found:
    """Find the values nearest to the present ones that pass every check and meet every wish.

    Smooth demands come first: sequential quadratic programming with wishes and page edges as
    constraints, from the present values and from random ones. Where collisions decide,
    differential evolution on a penalty follows, then the simplex method of Nelder and Mead from its
    best. What is found is rounded and checked again in full. The same input gives the same answer.
    Ctrl-C ends the search with the best that was tried.

    Parameters
    ----------
    tries : designs to solve at most.
    advance : called after each.

    Raises
    ------
    DesignError
        If the design can't be built as it is.
    """
    case_with(path, {})
    trials = _Trials(path, variables, wishes, tries, advance)
    best: Found | None = None
    for candidates in (_present, _smooth, _global):
        try:
            shares = candidates(trials)
        except _Spent:
            shares = []
        except KeyboardInterrupt:
            return _best_so_far(trials)
        for share in shares or _best_known(trials):
            try:
                found = _rounded(trials, share)
            except KeyboardInterrupt:
                return _best_so_far(trials)
            if found.fits:
                return found
            if best is None or _misses_by(found) < _misses_by(best):
                best = found
        if trials.tries >= trials.most:
            break
    best = best or _full(trials, trials.values(trials.start))
    return replace(best, tries=trials.tries)


def _best_so_far(trials: _Trials) -> Found:
    """The best of the tries that were made, rounded, with what still fails."""
    share = next(iter(_best_known(trials)), trials.start)
    values = _roundings(trials.variables, trials.values(share), _ROUNDED[1])[0]
    return replace(_full(trials, values), stopped=True)


def _misses_by(found: Found) -> float:
    """Sum of what is over the limits; what has no figure counts as a hundred."""
    return sum(
        _NO_FIGURE if f.amount is None else abs(f.amount - (f.limit or 0.0)) for f in found.failures
    )


def _present(trials: _Trials) -> list[np.ndarray]:
    return [trials.start]


def _best_known(trials: _Trials) -> list[np.ndarray]:
    # Only trials that were asked for collisions as well can be compared.
    ranked = sorted(
        (not clashes, outcome.penalty + _CHANGE * trials.change(np.frombuffer(share)), share)
        for (share, clashes), outcome in trials.known.items()
    )
    return [np.frombuffer(share) for _, _, share in ranked[:1]]


def _smooth(trials: _Trials) -> list[np.ndarray]:
    """The point nearest to the present values that meets the smooth demands, if one is found."""
    from scipy.optimize import minimize

    random = np.random.default_rng(_SEED)
    count = len(trials.variables)
    starts = [trials.start, *random.random((_STARTS, count))]
    lengths = {len(o.smooth) for o in trials.known.values() if o.smooth is not None}

    def slacks(share: np.ndarray) -> np.ndarray:
        outcome = trials.outcome(share, clashes=False)
        if outcome.smooth is not None:
            lengths.add(len(outcome.smooth))
            return outcome.smooth
        return np.full(next(iter(lengths), 1), -outcome.penalty)

    for start in starts:
        if trials.outcome(start, clashes=False).smooth is None:
            continue
        try:
            result = minimize(
                trials.change,
                start,
                method="SLSQP",
                bounds=[(0, 1)] * count,
                constraints={"type": "ineq", "fun": slacks},
                options={"maxiter": _STEPS, "eps": _SLOPE, "ftol": 1e-6},
            )
        except (_Spent, ValueError):
            break
        if trials.outcome(result.x, clashes=False).penalty < 1e-3:
            # If it still collides, slopes of smooth demands do not help.
            return [result.x]
    return []


def _global(trials: _Trials) -> list[np.ndarray]:
    """The best of a search that counts collisions."""
    from scipy.optimize import differential_evolution, minimize

    count = len(trials.variables)
    half = max(1, (trials.most - trials.tries) // 2)
    rounds = max(1, half // (_POPULATION * count) - 1)
    known = _best_known(trials)
    try:
        result = differential_evolution(
            trials.total,
            [(0, 1)] * count,
            popsize=_POPULATION,
            maxiter=rounds,
            rng=_SEED,
            polish=False,
            x0=known[0] if known else trials.start,
            tol=1e-2,
            callback=lambda intermediate_result: intermediate_result.fun < _CHANGE * count,
        )
        best = result.x
        for _ in range(2 if count > 1 else 1):
            result = minimize(
                trials.total,
                best,
                method="Nelder-Mead",
                bounds=[(0, 1)] * count,
                options={"xatol": 1e-3, "fatol": 1e-4, "maxfev": _SIMPLEX * count},
            )
            best = result.x
    except _Spent:
        return _best_known(trials)
    return [best]


def _rounded(trials: _Trials, share: np.ndarray) -> Found:
    """The same values with few digits: the nearest ones that fit, if any do."""
    exact = trials.values(share)
    best: Found | None = None
    for step in _ROUNDED:
        for values in _roundings(trials.variables, exact, step):
            found = _full(trials, values)
            if found.fits:
                return found
            best = best or found
        if _far_off(best):
            break
    assert best is not None
    return best


def _far_off(found: Found | None) -> bool:
    """Whether rounding can't be what is wrong."""
    return found is not None and any(
        (f.amount or 0.0) - (f.limit or 0.0) > 1.0 or f.amount is None for f in found.failures
    )


def _roundings(
    variables: Sequence[Variable], exact: Mapping[str, float], step: float
) -> list[dict[str, float]]:
    """Values on a grid round the exact ones, the nearest first."""
    choices = []
    for variable in variables:
        at = exact[variable.path] / step
        near = {round(at), int(np.floor(at)), int(np.ceil(at))}
        inside = [n for n in near if variable.low - 1e-9 <= n * step <= variable.high + 1e-9]
        # A range may be narrower than the step.
        choices.append([round(n * step, 6) for n in inside] or [exact[variable.path]])
    rows = [dict(zip(exact, row, strict=True)) for row in product(*choices)]
    rows.sort(key=lambda row: sum(abs(row[path] - exact[path]) for path in exact))
    return rows[:_MOST_ROUNDINGS]


def _full(trials: _Trials, values: Mapping[str, float]) -> Found:
    """Check values with every question but the looks."""
    trials.tries += 1
    trials.advance()
    try:
        case, limits = case_with(trials.path, values, trials.memory)
    except DesignError as error:
        broken = Finding("moves", "problem", "cannot be built", "", (), str(error.mistakes[0]))
        return Found(dict(values), False, (), (broken,), trials.tries)
    report = questions.report(case, limits.model_copy(update={"looks": False}))
    failures = [finding for finding in report.findings if finding.fails]
    reached = []
    for wish in trials.wishes:
        try:
            reached.append(measure(wish, case))
        except ValueError as error:
            reached.append(float("nan"))
            failures.append(Finding("moves", "problem", "missed", wish.piece, (), str(error)))
            continue
        lack = -wish.slack(reached[-1])
        if lack > MET:
            text = f"{wish.text} is missed: it is {reached[-1]:z.2f}"
            failures.append(
                Finding("moves", "problem", "missed", wish.piece, (), text, amount=lack, limit=0.0)
            )
    return Found(dict(values), not failures, tuple(reached), tuple(failures), trials.tries)
