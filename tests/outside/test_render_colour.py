"""Colour conversion against the sRGB standard.

IEC 61966-2-1:1999, "Default RGB colour space - sRGB": decode v / 12.92 up to 0.04045, else
((v + 0.055) / 1.055)^2.4. The listed values follow from these formulas by hand calculation; the
published check value oetf(0.18) = 0.46135613 is in the documentation of the library
colour-science, function ``eotf_inverse_sRGB``.
"""

import numpy as np
import pytest

from preview.drawing.colour import channels, develop, linear, linear_to_srgb, srgb_to_linear

STANDARD = {
    0: 0.0,
    1: 0.00030353,
    10: 0.00303527,
    11: 0.00334654,
    64: 0.05126946,
    128: 0.21586050,
    188: 0.50288646,
    255: 1.0,
}


@pytest.mark.parametrize(("level", "light"), STANDARD.items())
def test_eight_bit_values_decode_as_the_standard_says(level, light):
    assert srgb_to_linear(np.array(level / 255)) == pytest.approx(light, abs=5e-9)


def test_middle_grey_encodes_as_published():
    assert linear_to_srgb(np.array(0.18)) == pytest.approx(0.46135613, abs=5e-9)


def test_encoding_undoes_decoding_for_every_level():
    levels = np.arange(256)
    assert np.rint(255 * linear_to_srgb(srgb_to_linear(levels / 255))).tolist() == levels.tolist()


def test_the_table_gives_every_level_below_the_shoulder_exactly():
    levels = np.arange(237)  # 0.85 of full light is level 237
    assert develop(srgb_to_linear(levels / 255).astype(np.float32)).tolist() == levels.tolist()


def test_highlights_roll_off_and_never_fall():
    light = np.linspace(0, 3, 2000, dtype=np.float32)
    shown = develop(light).astype(int)
    assert (np.diff(shown) >= 0).all()
    assert develop(np.array([1.0], np.float32))[0] in range(245, 253)
    assert shown[-1] == 255


def test_files_may_say_colours_short_or_long():
    assert channels("#d9a441") == (217, 164, 65)
    assert channels("#fa0") == (255, 170, 0)
    assert linear("#808080") == pytest.approx([STANDARD[128]] * 3, abs=5e-9)


@pytest.mark.parametrize("wrong", ["d9a441", "#d9a44", "#", ""])
def test_anything_else_is_no_colour(wrong):
    with pytest.raises(ValueError, match="not a colour"):
        channels(wrong)
