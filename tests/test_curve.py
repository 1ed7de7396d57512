"""Curves as corners: how few of them, and that nothing crosses that did not."""

from __future__ import annotations

import numpy as np
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from meshes.curve import TOLERANCE_MM, thin

waves = st.lists(st.floats(-3.0, 3.0), min_size=2, max_size=6)


def wavy(sizes: list[float], points: int = 500) -> np.ndarray:
    """A dense curve from left to right, shape (points, 2), mm."""
    x = np.linspace(0, 40, points)
    y = sum(size * np.sin((k + 1) * x / 9) for k, size in enumerate(sizes))
    return np.column_stack([x, y])


@settings(max_examples=60, deadline=None)
@given(waves)
def test_a_thinned_curve_stays_within_the_tolerance(sizes: list[float]) -> None:
    curve = wavy(sizes)
    thinned = thin(curve)
    np.testing.assert_array_equal(thinned[[0, -1]], curve[[0, -1]])
    assert len(thinned) <= len(curve)
    away = shapely.distance(shapely.linestrings(thinned), shapely.points(curve))
    assert away.max() <= TOLERANCE_MM / 2 + 1e-12
    assert {tuple(point) for point in thinned.tolist()} <= {tuple(p) for p in curve.tolist()}


def hairpin(sizes: list[float], apart: float) -> np.ndarray:
    """There and back again so far beside it, mm."""
    there = wavy(sizes, 160)
    shift = np.array([0.0, apart])
    turn = np.add(there[-1:], [[apart, apart / 2]])
    return np.concatenate([there, turn, np.add(there[::-1], shift)])


@settings(max_examples=60, deadline=None)
@given(waves, st.floats(0.002, 0.03))
def test_ways_close_to_each_other_do_not_come_to_cross(sizes: list[float], apart: float) -> None:
    curve = hairpin(sizes, apart)
    if shapely.linestrings(curve).is_simple:
        assert shapely.linestrings(thin(curve)).is_simple


def test_some_of_these_would_cross_if_each_bend_were_thinned_by_itself() -> None:
    lines = [shapely.linestrings(hairpin([1.7, -0.4, 0.9], k / 500)) for k in range(1, 16)]
    plain = [shapely.simplify(line, TOLERANCE_MM / 2, preserve_topology=False) for line in lines]
    pairs = zip(lines, plain, strict=True)
    assert any(line.is_simple and not thinned.is_simple for line, thinned in pairs)
