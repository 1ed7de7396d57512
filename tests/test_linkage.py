"""Glue makes bodies, folds between bodies make hinges, and sites lie where creases are."""

from __future__ import annotations

import numpy as np
import pytest
from shapely.geometry import box

from meshes.linkage import GlueError, link
from meshes.sheet import Fold, Join, Paper, Placement, Sheet, cut
from meshes.site import crease_site

CARD = Paper("card", 200, 0.25, "#ffffff", "#eeeeee")


def make_sheet(piece, outline, folds, labels):
    facets, crossings = cut(outline, folds, labels)
    return Sheet(piece, piece, CARD, "#ffffff", "#eeeeee", facets, crossings)


def spread_sheet():
    gutter = Fold("gutter", (0, 0), (0, 210), -1)
    labels = {"left": (-10, 10), "right": (10, 10)}
    return make_sheet("page", box(-148, 0, 148, 210), [gutter], labels)


def flap_sheet(piece="flap"):
    """A strip with a tab below its fold at y = 0 and a panel above it."""
    fold = Fold("foot", (0, 0), (30, 0), -1)
    return make_sheet(piece, box(0, -8, 30, 40), [fold], {"tab": (15, -4), "panel": (15, 20)})


def test_the_pages_are_the_first_two_bodies_and_the_gutter_is_no_unknown():
    linkage = link([spread_sheet()], [])
    assert [body.name for body in linkage.bodies] == ["page.left", "page.right"]
    assert linkage.hinges == ()


def test_a_glued_tab_belongs_to_the_page_and_its_panel_swings_on_a_hinge():
    join = Join("flap.tab", "page.right", Placement(np.pi / 2, (50, 60)))
    linkage = link([spread_sheet(), flap_sheet()], [join])
    assert len(linkage.bodies) == 3
    (hinge,) = linkage.hinges
    assert hinge.facets == ("flap.panel", "flap.tab")
    assert hinge.bodies == (2, 1)
    assert np.allclose(hinge.origins[1], (50, 60, 0))
    assert np.allclose(hinge.frames[1][:, 0], (0, 1, 0))
    for frame in hinge.frames:
        assert np.allclose(frame.T @ frame, np.eye(3))
        assert np.linalg.det(frame) == pytest.approx(1)


def test_a_tab_glued_face_down_turns_the_normal_of_its_hinge():
    join = Join("flap.tab", "page.right", Placement(0.0, (50, 60), flipped=True))
    (hinge,) = link([spread_sheet(), flap_sheet()], [join]).hinges
    assert np.allclose(hinge.frames[1][:, 2], (0, 0, -1))
    assert np.allclose(hinge.frames[1][:, 0], (-1, 0, 0))


def test_glued_layers_lie_on_top_of_each_other_by_their_calipers():
    joins = [
        Join("one.tab", "page.right", Placement(0.0, (50, 60))),
        Join("two.tab", "one.tab", Placement(0.0, (0, 0))),
        Join("three.tab", "page.right", Placement(0.0, (50, 120)), side=-1),
    ]
    sheets = [spread_sheet(), flap_sheet("one"), flap_sheet("two"), flap_sheet("three")]
    linkage = link(sheets, joins)
    heights = {name: linkage.place(name)[1].height for name in ("one.tab", "two.tab", "three.tab")}
    assert heights == pytest.approx({"one.tab": 0.25, "two.tab": 0.5, "three.tab": -0.25})


def test_a_ring_that_does_not_meet_is_refused_with_its_gap():
    joins = [
        Join("flap.tab", "page.right", Placement(0.0, (50, 60))),
        Join("flap.tab", "page.right", Placement(0.0, (50.5, 60))),
    ]
    with pytest.raises(GlueError, match=r"flap\.tab is glued in two places that are 0\.500 mm"):
        link([spread_sheet(), flap_sheet()], joins)


def test_a_fold_glued_flat_on_one_page_is_locked():
    joins = [
        Join("flap.tab", "page.right", Placement(0.0, (50, 60))),
        Join("flap.panel", "page.right", Placement(0.0, (50, 60))),
    ]
    linkage = link([spread_sheet(), flap_sheet()], joins)
    assert linkage.locked == ("flap.foot",)
    assert linkage.hinges == ()


@pytest.mark.parametrize("side", [1, -1])
def test_a_crease_gives_the_same_left_and_right_facet_from_front_and_back(side):
    sheet = spread_sheet()
    site = crease_site(sheet, sheet.crossings[0], side)
    assert (site.left.facet, site.right.facet) == ("page.left", "page.right")
    assert site.sign == -side
    # one millimetre to the right and three up the crease, as that reader sees it
    expected = (1, 3) if side == 1 else (1, 207)
    assert np.allclose(site.right.placement.apply((1, 3)), expected)
    assert site.right.placement.up == side
