"""The picture of what folds forgive tells, fold by fold, what the check tells."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image

from meshes import check, spread
from meshes.building import proved
from meshes.check import Hands
from meshes.exact import HandAccuracy, exactness
from preview.pictures import care
from tests import designs


def test_folds_are_drawn_by_what_they_forgive(tmp_path):
    read = spread.read(designs.path("moon-wheel"))
    within = care.forgiven(read)
    hands = Hands.of(proved(read), HandAccuracy())
    spots = exactness(check.case_of(read), hands.pressed).spots
    for spot in spots[3:]:  # the worst three are solved in full besides
        assert within[spot.name] == pytest.approx(spot.within_mm)
    care.draw(read, "hut", tmp_path / "hut.png")
    with Image.open(tmp_path / "hut.png") as drawn:
        pixels = np.asarray(drawn.convert("RGB")).reshape(-1, 3)
    # All its folds forgive more than half a millimetre: besides the key, none is red.
    red, blue = (
        (np.abs(pixels.astype(int) - colour).max(axis=1) < 12).sum()
        for colour in ((0xA4, 0x35, 0x2A), (0x47, 0x7C, 0x98))
    )
    assert blue > red > 0
