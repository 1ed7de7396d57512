"""The colour difference of the benchmarks against its authors' test data.

G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 color-difference formula: implementation notes,
supplementary test data, and mathematical observations", Color Research and Application 30 (2005),
table 1: pairs that fail where hues are averaged or signs chosen wrongly.
"""

import numpy as np
import pytest

from ..bench.colour_difference import ciede2000, lab

PAIRS = [
    ((50, 2.6772, -79.7751), (50, 0, -82.7485), 2.0425),
    ((50, 3.1571, -77.2803), (50, 0, -82.7485), 2.8615),
    ((50, -1, 2), (50, 0, 0), 2.3669),
    ((50, 2.49, -0.001), (50, -2.49, 0.0009), 7.1792),
    ((50, 2.5, 0), (73, 25, -18), 27.1492),
    ((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
    ((2.0776, 0.0795, -1.1350), (0.9033, -0.0636, -0.5514), 0.9082),
]


@pytest.mark.parametrize(("one", "other", "difference"), PAIRS)
def test_colour_differences_are_those_of_the_paper(one, other, difference):
    a, b = np.array(one, float), np.array(other, float)
    assert ciede2000(a, b) == pytest.approx(difference, abs=5e-5)
    assert ciede2000(b, a) == pytest.approx(difference, abs=5e-5)


def test_white_and_black_are_a_hundred_steps_of_lightness_apart():
    """L* runs from 0 to 100 (CIE 15)."""
    white, black = lab(np.ones(3)), lab(np.zeros(3))
    assert white == pytest.approx([100, 0, 0], abs=1e-6)
    assert black == pytest.approx([0, 0, 0], abs=1e-6)
