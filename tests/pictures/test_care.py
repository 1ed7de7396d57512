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
from tests.spreads import LEAF


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


def test_a_narrow_piece_has_its_whole_key(tmp_path):
    """Right of the last sample line stands its word, and then there is room."""
    file = tmp_path / "leaf.toml"
    file.write_text(LEAF)
    care.draw(spread.read(file), "leaf", tmp_path / "leaf.png")
    with Image.open(tmp_path / "leaf.png") as drawn:
        key = np.asarray(drawn.convert("RGB")).astype(int)[-50:]
    sample = (np.abs(key - (0x47, 0x7C, 0x98)).max(axis=2) < 12).any(axis=0)
    word = (key.max(axis=2) < 90).any(axis=0)
    assert sample.any()
    assert word[np.flatnonzero(sample)[-1] :].any()
    assert not word[-15:].any()
