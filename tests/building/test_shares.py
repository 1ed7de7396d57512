"""A long row of flat art in several steps: none too long, nothing lost, equal pieces together."""

from __future__ import annotations

from itertools import pairwise
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import box

from meshes import spread
from meshes.building.order import _MOST_AT_ONCE, _shares, order
from meshes.building.step import Step


@given(st.lists(st.integers(1, 20), min_size=1, max_size=12))
@settings(max_examples=150, derandomize=True, deadline=None)
def test_shares_hold_all_art_in_order_and_keep_equal_pieces_together(runs):
    """`runs` counts equal pieces that lie beside each other."""
    kinds = [kind for kind, count in enumerate(runs) for _ in range(count)]
    sheets = [SimpleNamespace(outline=box(0, 0, 10 + kind, 20)) for kind in kinds]
    row = [
        Step("stick", f"art-{k}", (k,), (k,), "page", frozenset([0, k]), True)
        for k in range(len(kinds))
    ]
    shares = _shares(row, SimpleNamespace(sheets=sheets))
    assert [step for share in shares for step in share] == row
    assert len(shares) == -(-len(row) // _MOST_AT_ONCE), "no more steps than it takes"
    assert max(map(len, shares)) <= _MOST_AT_ONCE
    ends = [len(share) for share in shares]
    for k, (one, two) in enumerate(pairwise(shares)):
        parted = kinds[one[-1].sheets[0]] == kinds[two[0].sheets[0]]
        if parted:
            # Only where no place between unlike pieces leaves both sides short enough.
            start, rest = sum(ends[:k]), len(shares) - k - 1
            least = max(start + 1, len(row) - rest * _MOST_AT_ONCE)
            places = range(least, start + _MOST_AT_ONCE + 1)
            assert all(kinds[at - 1] == kinds[at] for at in places)


_LEAF = """
title = "One leaf"
units = "mm"

[pieces.leaf]
kind = "v-fold"
on = "gutter"
at = 100
page_angle = 50
panel_angle = 65
base = 30
outline = {{ shape = "leaf", length = 90, width = 70 }}

[pieces.spot]
kind = "flat"
on = "leaf.left"
side = "{side}"
x = {x}
y = 40
outline = {{ shape = "ellipse", length = 9 }}

[pieces.dot]
kind = "flat"
on = "leaf.right"
side = "{side}"
x = {other}
y = 40
outline = {{ shape = "ellipse", length = 9 }}
"""


@pytest.mark.parametrize(("side", "x", "count"), [("front", -12, 1), ("back", 12, 2)])
def test_art_on_backs_that_look_apart_is_glued_in_steps_of_its_own(tmp_path, side, x, count):
    """From the front one view shows both halves of a V-fold; from behind it shows one."""
    file = tmp_path / "leaf.toml"
    file.write_text(_LEAF.format(side=side, x=x, other=-x), encoding="utf-8")
    read = spread.read(file)
    motion = read.solve(np.radians([0.0, 90.0, 180.0]))
    steps = order(read.sheets, read.joins, read.linkage, motion)
    assert sum(step.action == "stick" for step in steps) == count
