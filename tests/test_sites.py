"""A crease is one crease, from whichever side it is read."""

from __future__ import annotations

import numpy as np
import pytest

from meshes.hosts import Hosts
from meshes.sheet import Built
from meshes.site import CreaseSite, crease_site, from_behind
from tests.specimens import Pile, pages


def points(ground, length):
    """Some points of a site in the coordinates of the facet's sheet."""
    return ground.placement.apply(np.array([(0.0, 0.0), (0.0, length), (7.0, 3.0), (-2.0, 11.0)]))


def assert_same(one: CreaseSite, two: CreaseSite):
    assert (one.name, one.sign, one.length) == (two.name, two.sign, two.length)
    for side in ("left", "right"):
        mine, theirs = getattr(one, side), getattr(two, side)
        assert (mine.facet, mine.side) == (theirs.facet, theirs.side)
        np.testing.assert_allclose(points(mine, one.length), points(theirs, two.length), atol=1e-9)


@pytest.mark.parametrize("over", [False, True])
def test_a_ready_made_site_is_seen_from_behind_as_the_crease_of_a_sheet_is(over):
    sheet = pages()
    front, back = (crease_site(sheet, sheet.crossings[0], side, over) for side in (1, -1))
    assert_same(from_behind(front), back)
    assert_same(from_behind(from_behind(front)), front)


def test_a_piece_asks_a_ready_made_site_for_its_side():
    sheet = pages()
    ready = crease_site(sheet, sheet.crossings[0], 1)
    hosts = Hosts(sheet)
    before = hosts.crease("gutter", -1)
    hosts.add(Built((), (), creases=(ready,)), over=False)
    assert hosts.sites[ready.name] is ready
    assert_same(hosts.crease(ready.name, 1), ready)
    assert_same(hosts.crease(ready.name, -1), before)
    assert Pile().gutter.sign == -1
    assert before.sign == 1
