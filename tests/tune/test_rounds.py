"""Searches that run side by side, in rounds."""

from __future__ import annotations

from functools import partial
from threading import active_count

import numpy as np
import pytest
from scipy.optimize import minimize, rosen

from meshes.tune.rounds import in_rounds


def counting(steps, kept, ask):
    for step in range(steps):
        kept.append(ask(step))


def test_each_round_asks_one_question_of_every_search_that_runs():
    # Worked out by hand: lengths 3, 1, 4, 2, two at a time.
    kept: list[list[int]] = [[] for _ in range(4)]
    rounds: list[list[int]] = []

    def answer(asked):
        rounds.append(list(asked))
        return [10 * one for one in asked]

    in_rounds([partial(counting, n, k) for n, k in zip((3, 1, 4, 2), kept, strict=True)], answer, 2)
    assert rounds == [[0, 0], [1, 0], [2, 1], [2, 0], [3, 1]]
    assert kept == [[0, 10, 20], [0], [0, 10, 20, 30], [0, 10]]


def test_searches_side_by_side_come_to_what_each_comes_to_alone():
    # Judge: SciPy's own simplex method, with a function that it calls itself.
    starts = np.random.default_rng(1).uniform(-1, 1, (5, 2))
    found = {}

    def lead(k, ask):
        found[k] = minimize(ask, starts[k], method="Nelder-Mead").x

    tasks = [partial(lead, k) for k in range(len(starts))]
    in_rounds(tasks, lambda asked: [rosen(point) for point in asked], 3)
    for k, start in enumerate(starts):
        np.testing.assert_array_equal(found[k], minimize(rosen, start, method="Nelder-Mead").x)


@pytest.mark.parametrize("stop", [KeyboardInterrupt, RuntimeError])
def test_whoever_answers_may_stop_all(stop):
    kept: list[list[int]] = [[] for _ in range(3)]
    before, left = active_count(), iter(range(4))

    def answer(asked):
        if next(left, None) is None:
            raise stop
        return asked

    with pytest.raises(stop):
        in_rounds([partial(counting, 99, one) for one in kept], answer, 3)
    assert kept == [[0, 1, 2, 3]] * 3
    assert active_count() == before


def test_what_goes_wrong_in_a_search_is_told():
    def wrong(ask):
        raise ValueError(f"no {ask(3)}")

    before = active_count()
    with pytest.raises(ValueError, match="no 3"):
        in_rounds([partial(counting, 99, []), wrong], lambda asked: asked, 2)
    assert active_count() == before
