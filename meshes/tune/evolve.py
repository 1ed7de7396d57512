"""Differential evolution in which a whole generation is tried at once."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

# What to combine: the share of changed values, and the range of the weight of a difference, drawn
# anew for each generation (our choice, within what Storn and Price advise).
_CROSSED, _WEIGHTS = 0.7, (0.5, 1.0)
# A population whose totals differ by less than this share of their mean has come together.
_ALIKE = 1e-2

# Totals of points in the unit cube; what is above the second needs no exact figure.
Totals = Callable[[Sequence[np.ndarray], Sequence[float] | None], Sequence[float]]


def evolve(
    totals: Totals, first: np.ndarray, size: int, rounds: int, enough: float, seed: int
) -> np.ndarray:
    """What a population in the unit cube comes to, shape (size, n), the best first.

    R. Storn and K. Price, "Differential Evolution: a simple and efficient heuristic for global
    optimization over continuous spaces", Journal of Global Optimization 11, 1997, in the form in
    which the best member is varied. A trial only takes the place of one that it is better than, so
    of most it is enough to know that they are not.

    Parameters
    ----------
    first : a member to begin with, shape (n,); the others are spread evenly over each axis.
    size : of the population, four at least.
    rounds : generations after the first, at most.
    enough : a total that ends the search.
    """
    random = np.random.default_rng(seed)
    count = len(first)
    places = np.array([random.permutation(size) for _ in range(count)]).T
    members = (places + random.random((size, count))) / size
    members[0] = first
    found: np.ndarray = np.array(totals(list(members), None), float)
    for _ in range(rounds):
        spread = found.std() <= _ALIKE * abs(found.mean())
        if found.min() < enough or spread:
            break
        trials = _varied(members, int(found.argmin()), random)
        tried = np.array(totals(list(trials), found.tolist()), float)
        better = np.flatnonzero(tried <= found)
        members[better], found[better] = trials[better], tried[better]
    return members[np.argsort(found, kind="stable")]


def _varied(members: np.ndarray, best: int, random: np.random.Generator) -> np.ndarray:
    """One trial for each member, shape (size, n)."""
    size, count = members.shape
    weight = random.uniform(*_WEIGHTS)
    trials = members.copy()
    for k in range(size):
        others = np.delete(np.arange(size), k)
        one, two = random.choice(others, 2, replace=False)
        mutant = members[best] + weight * (members[one] - members[two])
        crossed = np.asarray(random.random(count) < _CROSSED)
        crossed[random.integers(count)] = True
        trials[k, crossed] = mutant[crossed]
        outside = (trials[k] < 0) | (trials[k] > 1)
        trials[k, outside] = random.random(int(outside.sum()))
    return trials
