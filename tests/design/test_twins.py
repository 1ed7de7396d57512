"""Twins on the two pages: one table for both, or a table each, and the same paper either way."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from meshes import spread
from meshes.design.edit import EditError, Mirror, SetValue
from meshes.design.edit.names import pieces_of
from meshes.design.edit.twins import KeepTwin, twin_of

PAIR = """\
[spread]
page = "A5"

# A leaf with a dot.
[pieces.leaf]
kind = "flat"
on = "page.right"
x = 70
y = 90   # up
turn = 15
outline = { shape = "leaf", length = 64, width = 42 }

[pieces.dot]
kind = "flat"
on = "leaf-mirrored.art"
outline = { shape = "ellipse", length = 8 }

[pieces.tent]
kind = "tent"
at = 90
distance = 24
panel = 44
width = 30
"""
KEPT = PAIR.replace("width = 42 }\n", "width = 42 }\nrepeat = { both_pages = true }\n")
ALONE = PAIR.replace("leaf-mirrored.art", "leaf.art")


def places(text: str) -> dict[str, np.ndarray]:
    """Corners of every facet on the open spread, by piece."""
    made = spread.read(Path("twins.toml"), text=text)
    found = {}
    for body in made.linkage.bodies[:2]:
        for part in body.parts:
            x, y = part.polygon.centroid.coords[0]
            found[part.sheet.piece] = np.array([x, y, part.polygon.area])
    return found


def test_a_twin_that_is_let_go_stays_where_it_was_and_so_does_what_stands_on_it() -> None:
    let_go = KeepTwin(piece="leaf", kept=False).apply(KEPT)
    assert twin_of(pieces_of(KEPT), "leaf") == (True, None)
    assert twin_of(pieces_of(let_go), "leaf") == (False, "leaf-mirrored")
    before, after = places(KEPT), places(let_go)
    assert before.keys() == after.keys() == {"page", "leaf", "leaf-mirrored", "dot", "tent"}
    for name in before.keys() - {"page"}:
        assert after[name] == pytest.approx(before[name], abs=1e-6)
    # A mirror image: the same height, as far from the gutter on the other page.
    left, right = after["leaf-mirrored"], after["leaf"]
    assert left == pytest.approx(right * (-1, 1, 1), abs=1e-6)


def test_twins_that_are_kept_again_come_back_to_the_same_paper() -> None:
    let_go = KeepTwin(piece="leaf", kept=False).apply(KEPT)
    kept = KeepTwin(piece="leaf", kept=True, twin="leaf-mirrored").apply(let_go)
    assert pieces_of(kept) == pieces_of(KEPT)
    assert "y = 90   # up" in kept
    # Whatever the twin was called, what stands on it comes along.
    mirrored = Mirror(names={"leaf": "frond"}).apply(ALONE.replace("leaf.art", "frond.art"))
    assert twin_of(pieces_of(mirrored), "leaf") == (False, "frond")
    joined = KeepTwin(piece="leaf", kept=True, twin="frond").apply(mirrored)
    assert pieces_of(joined)["dot"]["on"] == "leaf-mirrored.art"
    assert places(joined)["dot"] == pytest.approx(places(mirrored)["dot"], abs=1e-6)


def test_one_edit_moves_both_that_are_kept() -> None:
    """And only one of two that go their own ways."""
    for text, both in ((KEPT, True), (KeepTwin(piece="leaf", kept=False).apply(KEPT), False)):
        before = places(text)
        after = places(SetValue(path=("pieces", "leaf", "x"), value=80).apply(text))
        moved = {name: after[name][0] - before[name][0] for name in ("leaf", "leaf-mirrored")}
        assert moved["leaf"] == pytest.approx(10, abs=1e-6)
        assert moved["leaf-mirrored"] == pytest.approx(-10 if both else 0, abs=1e-6)


def test_what_is_no_twin_is_not_kept() -> None:
    assert twin_of(pieces_of(KEPT), "tent") is None  # across the gutter, it is its own
    let_go = KeepTwin(piece="leaf", kept=False).apply(KEPT)
    pulled = SetValue(path=("pieces", "leaf", "turn"), value=16).apply(let_go)
    assert twin_of(pieces_of(pulled), "leaf") == (False, None)
    with pytest.raises(EditError, match="not the mirror image"):
        KeepTwin(piece="leaf", kept=True, twin="leaf-mirrored").apply(pulled)
    with pytest.raises(EditError, match="not kept mirrored"):
        KeepTwin(piece="leaf", kept=False).apply(ALONE)
    row = ALONE + "repeat = { count = 3, both_pages = true, add = { at = 9 } }\n"
    with pytest.raises(EditError, match="copies in a row"):
        KeepTwin(piece="tent", kept=False).apply(row)
