"""A long row of flat art in several steps: none too long, nothing lost, equal pieces together."""

from __future__ import annotations

from itertools import pairwise
from types import SimpleNamespace

from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import box

from meshes.building.order import _MOST_AT_ONCE, _shares
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
