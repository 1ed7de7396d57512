"""Folds that forgive little carry rings at their ends and say how little."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import Polygon

from meshes import spread
from preview.pattern import opening_page
from preview.pattern.drawing import PenStroke, Text
from preview.pattern.layout import Options, lay_out
from preview.pattern.lettering import text_box
from preview.pattern.marks import Show, marks
from preview.pattern.template import templates
from tests.spreads import LEAF


@pytest.fixture(scope="module")
def leaf():
    return spread.read("leaf.toml", text=LEAF)


def drawn(leaf, care, **show):
    made = templates(leaf.sheets, leaf.joins, care=care)
    pattern = lay_out("leaf", made, Options())
    placed = next(p for page in pattern.pages for p in page.placed if not p.template.is_page)
    return placed, marks(placed, replace(Show(), **show)), pattern


def circles(some):
    """Middles and radii of the closed strokes that are as far from their middle everywhere."""
    found = []
    for mark in some:
        if isinstance(mark, PenStroke) and mark.closed and len(mark.points) > 12:
            middle = mark.points.mean(axis=0)
            far = np.linalg.norm(mark.points - middle, axis=1)
            if np.ptp(far) < 1e-9:
                found.append((middle, far[0]))
    return found


def test_a_fold_that_needs_care_has_a_ring_at_each_end_and_its_tolerance(leaf):
    placed, some, _ = drawn(leaf, {"leaf.ridge": 0.35})
    fold = next(fold for fold in placed.template.folds if fold.name == "ridge")
    ends = placed.apply(np.array([fold.start, fold.end]))
    assert len(circles(some)) == 2
    for middle, radius in circles(some):
        # It touches the end of the fold from within.
        assert np.linalg.norm(ends - middle, axis=1).min() == pytest.approx(radius)
        assert abs(np.linalg.det([ends[1] - ends[0], middle - ends[0]])) < 1e-6
    texts = [mark for mark in some if isinstance(mark, Text)]
    (told,) = (mark for mark in texts if "±" in mark.text)
    assert told.text == "ridge ±0.35"
    # No words lie on a ring.
    for middle, radius in circles(some):
        turn = np.linspace(0, 2 * np.pi, 40)
        disc = Polygon(middle + radius * np.c_[np.cos(turn), np.sin(turn)])
        assert not any(text_box(mark).intersects(disc) for mark in texts)


def test_the_first_page_explains_rings_where_there_are_some(leaf):
    for care, named in (({"leaf.ridge": 0.35}, True), ({}, False)):
        _, some, pattern = drawn(leaf, care)
        assert bool(circles(some)) == named
        assert ("Care" in [sign.name for sign in opening_page._key(pattern)]) == named


def test_a_clean_front_and_a_cutting_machine_get_no_rings(leaf):
    for show in ({"clean": True}, {"lines": False}):
        assert not circles(drawn(leaf, {"leaf.ridge": 0.35}, **show)[1])
