"""The picture of the allowance shows as much cut off as is, and the stack as thick as it is."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from PIL import Image

from meshes.allowance import allowed
from preview.pictures import allowance
from tests.outside.test_shut_folds import barely, flaps

# Pixels for a millimetre in the enlarged part and in the section, in the picture as it is saved.
LARGE, THICK = 52.0, 55.0


def near(picture, colour):
    return np.abs(picture.astype(int) - colour).max(axis=2) < 12


def test_what_is_cut_off_is_shown_at_its_size(tmp_path):
    found = barely(flaps(0.6, 1))
    cut = allowed(found)
    number = next(k for k, s in enumerate(found.sheets) if s.piece == "leaf-0")
    off = found.sheets[number].outline.difference(cut.sheets[number].outline)
    spot = max(shapely.get_parts(off), key=lambda part: part.area).centroid
    allowance.draw(found, "leaf-0", tmp_path / "leaf.png")
    with Image.open(tmp_path / "leaf.png") as drawn:
        picture = np.asarray(drawn.convert("RGB"))
    shown = off.intersection(spot.buffer(3.6, quad_segs=64)).area
    # The lines about it cover some of it, half of their width each.
    drawn_mm2 = near(picture, (0xE6, 0xBF, 0xB4)).sum() / LARGE**2
    assert shown > 1.0
    assert drawn_mm2 == pytest.approx(shown, rel=0.25)
    # The page round the stack: from its outer rim to its outer rim, in the section's last column.
    tight = next(c for c in cut.changes if c.piece == "leaf-0" and c.pinches).tightest
    blue = near(picture, (0x47, 0x7C, 0x98))[400:]
    column = int(np.flatnonzero(blue.sum(axis=0) >= 10)[-1]) - 5
    rows = np.flatnonzero(blue[:, column])
    assert (rows[-1] - rows[0]) / THICK == pytest.approx(tight.stack, abs=0.35)
