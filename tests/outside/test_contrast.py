"""Contrast against the ratios of WCAG 2.2 and flashes against its success criterion 2.3.1.

Pairs and ratios follow from the definitions of relative luminance and contrast ratio in the
Guidelines; 21 : 1 and the two greys around 4.5 : 1 and 3 : 1 are widely published with them.
"""

from __future__ import annotations

import numpy as np
import pytest

from preview.drawing import contrast


def grey(level, size=(40, 60)):
    return np.full((*size, 3), level, np.uint8)


def colour(code):
    return np.array([int(code[k : k + 2], 16) for k in (0, 2, 4)], np.uint8)


@pytest.mark.parametrize(
    ("first", "second", "ratio"),
    [
        ("FFFFFF", "000000", 21.0),
        ("767676", "FFFFFF", 4.5422),
        ("777777", "FFFFFF", 4.4781),
        ("949494", "FFFFFF", 3.0335),
        ("959595", "FFFFFF", 2.9953),
        ("FF0000", "FFFFFF", 3.9985),
        ("0000FF", "FFFFFF", 8.5925),
        ("FF0000", "0000FF", 2.1489),
    ],
)
def test_contrast_ratios_are_those_of_the_guidelines(first, second, ratio):
    luminance = [contrast.relative_luminance(colour(code)) for code in (first, second)]
    assert float(contrast.contrast_ratio(*luminance)) == pytest.approx(ratio, abs=5e-5)


def test_four_flashes_within_a_second_are_counted():
    frames = [grey(0), *[grey(level) for _ in range(4) for level in (255, 0)]]
    assert contrast.most_flashes(frames, fps=10) == 4


def test_the_same_flashes_spread_over_four_seconds_are_one_a_second():
    frames = [grey(0), *[grey(level) for _ in range(4) for level in (255, 0)]]
    assert contrast.most_flashes(frames, fps=2) == 1


def test_a_slow_fade_does_not_flash():
    assert contrast.most_flashes([grey(level) for level in range(0, 256, 5)], fps=25) == 0


def test_flashing_on_less_than_a_quarter_of_the_field_does_not_count():
    dark, light = grey(0), grey(0)
    light[:1, :20] = 255  # 0.8 % of the picture, under 21,824 of 1024 × 768
    assert contrast.most_flashes([dark, light] * 8, fps=25) == 0


def test_bright_flicker_above_the_dark_limit_does_not_count():
    # both states over 0.80 relative luminance: 0xE7 is 0.799, so stay above it
    assert contrast.most_flashes([grey(0xEA), grey(0xFF)] * 8, fps=25) == 0


def test_changes_under_a_tenth_do_not_count():
    assert contrast.most_flashes([grey(100), grey(110)] * 8, fps=25) == 0
