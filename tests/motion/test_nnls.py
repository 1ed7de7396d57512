"""Non-negative least squares beside those of SciPy, on systems of all kinds, and where they end."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import nnls as reference

from meshes.motion.free.nnls import nnls

KINDS = ("plain", "repeated", "whole numbers", "can be met")


@st.composite
def systems(draw):
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    rows, columns = draw(st.integers(1, 9)), draw(st.integers(0, 40))
    system, target = rng.normal(size=(rows, columns)), rng.normal(size=rows)
    kind = draw(st.sampled_from(KINDS))
    if kind == "repeated" and columns:
        system = system[:, rng.integers(0, columns, columns)]
    if kind == "whole numbers":
        system = np.round(system)
    if kind == "can be met":
        target = system @ np.maximum(rng.normal(size=columns), 0)
    return system, target


@settings(deadline=None, max_examples=150, derandomize=True)
@given(systems())
def test_no_other_answer_is_nearer(given_system):
    """The conditions of Kuhn and Tucker, which only the nearest answer meets (Lawson and Hanson,
    Solving Least Squares Problems, theorem 23.4), and SciPy's distance."""
    system, target = given_system
    found, left = nnls(system, target)
    rest = target - system @ found
    pull = system.T @ rest
    assert (found >= 0).all()
    assert np.count_nonzero(found) <= len(target)
    assert pull.max(initial=0.0) < 1e-10
    assert np.abs(pull[found > 0]).max(initial=0.0) < 1e-10
    assert left == pytest.approx(np.linalg.norm(rest), abs=1e-12)
    if system.shape[1]:
        assert left == pytest.approx(reference(system, target)[1], abs=1e-10)


def test_columns_that_point_away_are_left_out():
    found, left = nnls(np.array([[1.0, -1.0, 0.0]]), np.array([-2.0]))
    assert found.tolist() == [0.0, 2.0, 0.0]
    assert left == 0.0
