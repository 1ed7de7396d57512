"""Values that make a design fit: a search over some of them, within ranges."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import partial
from itertools import product
from os import PathLike

import numpy as np

from ..cache import Shelf
from ..check import questions
from ..check.finding import Finding
from ..errors import DesignError
from . import kept
from .evolve import evolve
from .rounds import Ask, in_rounds
from .smooth import smooth
from .trial import Variable, case_with, present
from .tries import CHANGE, Share, Spent, Tries, TryStanding
from .wish import MET, Wish, measure

# Members of a population for each value, and at least.
_POPULATION, _FEWEST = 6, 5
# Values are rounded to a tenth, or else a hundredth, of the file's unit.
_ROUNDED = (0.1, 0.01, 0.001)
_MOST_ROUNDINGS = 32
_SEED = 20
# What a failure without a figure counts when the nearest values are named.
_NO_FIGURE = 100.0
# Simplexes at a time, and their steps for each value that varies: first, and once more from where
# they came to.
_SIMPLEXES, _SIMPLEX, _AGAIN = 2, 40, 20


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


def search(
    path: str | PathLike[str],
    variables: Sequence[Variable],
    wishes: Sequence[Wish] = (),
    tries: int = 400,
    advance: Callable[[TryStanding], object] = lambda standing: None,
    share: Share = map,
    shelf: Shelf | None = None,
) -> Found:
    """Find the values nearest to the present ones that pass every check and meet every wish.

    Smooth demands come first: sequential quadratic programming with wishes and page edges as
    constraints, from the present values, then from random ones, several at a time. Where collisions
    decide, differential evolution on a penalty follows, then the simplex method of Nelder and Mead
    from its two best. What is found is rounded and checked again in full. The same input gives the
    same answer, by any number of processes. Ctrl-C ends the search with the best that was tried.

    Parameters
    ----------
    tries : designs to solve at most.
    advance : told after each try how the search stands.
    share : spreads tries over processes; the built-in ``map`` makes them all here.
    shelf : where outcomes of tries are kept, so that the same search goes on where it was stopped.

    Raises
    ------
    DesignError
        If the design can't be built as it is.
    """
    present(path)
    all_tries = Tries(path, variables, wishes, tries, advance, share)
    if shelf is None:
        return _search(all_tries)
    name = kept.name_of(path, variables, wishes)
    all_tries.earlier = kept.outcomes(shelf, name)
    try:
        return _search(all_tries)
    finally:
        kept.keep(shelf, name, {**all_tries.earlier, **all_tries.known})


def _search(tries: Tries) -> Found:
    best: Found | None = None
    for candidates in (_present, smooth, _global):
        try:
            shares = candidates(tries)
        except Spent:
            shares = []
        except KeyboardInterrupt:
            return _best_so_far(tries)
        for share in shares or tries.best():
            try:
                found = _rounded(tries, share)
            except KeyboardInterrupt:
                return _best_so_far(tries)
            if found.fits:
                return found
            if best is None or _misses_by(found) < _misses_by(best):
                best = found
        if tries.count >= tries.to_search:
            break
    best = best or _full(tries, tries.values(tries.start))
    return replace(best, tries=tries.count)


def _best_so_far(tries: Tries) -> Found:
    """The best of the tries that were made, rounded, with what still fails."""
    share = next(iter(tries.best()), tries.start)
    values = _roundings(tries.variables, tries.values(share), _ROUNDED[1])[0]
    return replace(_full(tries, values), stopped=True)


def _misses_by(found: Found) -> float:
    """Sum of what is over the limits; what has no figure counts as a hundred."""
    return sum(
        _NO_FIGURE if f.amount is None else abs(f.amount - (f.limit or 0.0)) for f in found.failures
    )


def _present(tries: Tries) -> list[np.ndarray]:
    return [tries.start]


def _global(tries: Tries) -> list[np.ndarray]:
    """The best of a search that counts collisions."""
    count = len(tries.variables)
    size = max(_POPULATION * count, _FEWEST)
    rounds = max(1, (tries.to_search - tries.count) // 2 // size - 1)
    known = tries.best()
    first = known[0] if known else tries.start
    with suppress(Spent):
        members = evolve(tries.totals, first, size, rounds, CHANGE * count, _SEED)
        # A single value is found at once.
        simplexes = min(count, _SIMPLEXES)
        begun = [partial(_simplex, share, _SIMPLEX) for share in members[:simplexes]]
        in_rounds(begun, tries.totals, simplexes)
        if count > 1:
            in_rounds([partial(_simplex, tries.best()[0], _AGAIN)], tries.totals, 1)
    return tries.best()


def _simplex(start: np.ndarray, steps: int, ask: Ask[np.ndarray, float]) -> None:
    """The simplex method of Nelder and Mead, with so many steps for each value."""
    from scipy.optimize import minimize

    minimize(
        ask,
        start,
        method="Nelder-Mead",
        bounds=[(0, 1)] * len(start),
        options={"xatol": 1e-3, "fatol": 1e-4, "maxfev": steps * len(start)},
    )


def _rounded(tries: Tries, share: np.ndarray) -> Found:
    """The same values with few digits: the nearest ones that fit, if any do."""
    exact = tries.values(share)
    best: Found | None = None
    for step in _ROUNDED:
        for values in _roundings(tries.variables, exact, step):
            if best is not None and tries.count >= tries.most:
                return best
            # Few of them fit if the first does not, and cheap questions tell most of the others.
            if best is not None and not tries.may_fit(values):
                continue
            found = _full(tries, values)
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


def _full(tries: Tries, values: Mapping[str, float]) -> Found:
    """Check values with every question but the looks."""
    tries.tried()
    try:
        case, limits = case_with(tries.path, values, present(tries.path))
    except DesignError as error:
        broken = Finding("moves", "problem", "cannot be built", "", (), str(error.mistakes[0]))
        return Found(dict(values), False, (), (broken,), tries.count)
    report = questions.report(case, limits.model_copy(update={"looks": False}))
    failures = [finding for finding in report.findings if finding.fails]
    reached = []
    for wish in tries.wishes:
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
    return Found(dict(values), not failures, tuple(reached), tuple(failures), tries.count)
