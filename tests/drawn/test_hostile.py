"""Drawings from strangers are refused with one clear line."""

from __future__ import annotations

import pytest

from meshes.drawn import DrawingError, read

from .hostile import ALL


def test_there_are_a_hundred_of_them():
    assert len(ALL) >= 100


@pytest.mark.parametrize("name", ALL)
def test_a_hostile_drawing_is_refused_in_one_line(name):
    with pytest.raises(DrawingError) as caught:
        read(ALL[name])
    text = str(caught.value)
    assert 5 < len(text) < 250
    assert "\n" not in text
