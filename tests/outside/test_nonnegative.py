"""Least squares without negative unknowns, beside SciPy and the conditions that tell the answer.

Sources: `scipy.optimize.nnls`; the Karush-Kuhn-Tucker conditions of the problem, as in C. L. Lawson
and R. J. Hanson, Solving Least Squares Problems (SIAM 1995), theorem 23.4.
"""

from __future__ import annotations

from pathlib import Path

import hypothesis.strategies as some
import numpy as np
import pytest
from hypothesis import given, settings
from scipy.optimize import nnls

from meshes.motion.nonnegative import nonnegative


@some.composite
def problems(draw: some.DrawFn) -> tuple[np.ndarray, np.ndarray]:
    """Wide, tall, rounded to whole numbers, with columns that repeat, oppose or vanish."""
    rows, columns = draw(some.integers(1, 8)), draw(some.integers(0, 24))
    rng = np.random.default_rng(draw(some.integers(0, 1 << 32)))
    system, target = rng.normal(size=(rows, columns)), rng.normal(size=rows)
    if draw(some.booleans()):
        system, target = np.round(system), np.round(target)
    for change in draw(some.lists(some.sampled_from(["same", "against", "none"]), max_size=4)):
        if columns > 1:
            one, two = rng.integers(columns, size=2)
            system[:, two] = {"same": 1, "against": -1, "none": 0}[change] * system[:, one]
    return system, target


@given(problems())
@settings(max_examples=400, deadline=None, derandomize=True)
def test_nothing_is_nearer(problem: tuple[np.ndarray, np.ndarray]) -> None:
    system, target = problem
    found, left = nonnegative(system, target)
    rest = target - system @ found
    assert (found >= 0).all()
    assert left == pytest.approx(np.linalg.norm(rest), abs=1e-12)
    slopes = rest @ system
    assert slopes.max(initial=0.0) < 1e-9
    assert np.abs(slopes * found).max(initial=0.0) < 1e-9
    if system.shape[1]:
        assert left == pytest.approx(nnls(system, target, maxiter=1000)[1], abs=1e-9)


def test_what_scipy_finds_where_only_one_answer_is_best() -> None:
    rng = np.random.default_rng(1)
    for rows in range(2, 12):
        system, target = rng.normal(size=(rows, rows)), rng.normal(size=rows)
        theirs, _ = nnls(system, target)
        np.testing.assert_allclose(nonnegative(system, target)[0], theirs, atol=1e-9)


def test_a_column_that_rounding_spans_when_another_goes_is_left_out() -> None:
    """A strip of forty pleats pressed between pages: once, what was found was then too long.

    Rounding to one digit less hides it, so the numbers lie in a file.
    """
    with np.load(Path(__file__).with_name("forty_pleats.npz")) as kept:
        system, target = kept["system"], kept["target"]
    found, left = nonnegative(system, target)
    assert (found >= 0).all()
    assert left == pytest.approx(np.linalg.norm(target - system @ found), abs=1e-9)
    assert left == pytest.approx(nnls(system, target, maxiter=1000)[1], abs=1e-6)


def test_nothing_to_choose_from() -> None:
    found, left = nonnegative(np.zeros((3, 0)), np.array([0.0, 3.0, 4.0]))
    assert found.shape == (0,)
    assert left == pytest.approx(5.0)


@pytest.mark.parametrize("noise", [1e-12, -1e-12])
def test_of_two_equal_columns_the_first_is_taken_whatever_rounding_says(noise: float) -> None:
    """Corners that are mirror images push alike, and which one is said to must not be chance."""
    one = np.array([0.6, 0.8])
    found, left = nonnegative(np.column_stack([one, (1 + noise) * one]), 2 * one)
    assert found[0] == pytest.approx(2)
    assert found[1] == 0
    assert left < 1e-12
