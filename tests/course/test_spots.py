"""Where loose paper waits on the table: beside the notebook and other paper, and never far off."""

from __future__ import annotations

import itertools
from types import SimpleNamespace

import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from preview.course.spots import Spots

BOOK = SimpleNamespace(reach=180.0, height=250.0)
SIZES = st.lists(st.tuples(st.floats(5, 300), st.floats(5, 300)), min_size=1, max_size=8)


@settings(max_examples=25)
@example([(300.0, 300.0)] * 8, set())
@given(SIZES, st.sets(st.integers(0, 7)))
def test_paper_lies_apart_and_no_farther_than_in_one_row(sizes, away):
    """A table with much paper on it was full once: what came next lay 80 m away."""
    spots = Spots(BOOK)
    boxes = {}
    for k, (wide, high) in enumerate(sizes):
        x, y = spots.find(frozenset([k]), wide, high)
        boxes[k] = shapely.box(x - wide / 2, y - high / 2, x + wide / 2, y + high / 2)
        if k in away:
            spots.leave(frozenset([k]))
            boxes.pop(k)
        for one, two in itertools.combinations(boxes.values(), 2):
            assert one.distance(two) >= 12.0 - 1e-6
        in_a_row = sum(wide + 12.0 for wide, _ in sizes[: k + 1])
        for box in boxes.values():
            assert box.bounds[0] > BOOK.reach
            assert box.bounds[2] <= BOOK.reach + 26.0 + in_a_row
