"""The closed spread against independent constructions: trigonometry, shapely, counting by hand.

The fold-over of a facet is here a mirror image in its fold, built with the affine transformations
of shapely (shapely.readthedocs.io, "Affine Transformations"), without any pose of the motion.
"""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import affinity
from shapely.geometry import Polygon, box

from meshes.check import Case
from meshes.check.thickness import height_map, layers_at, peak
from tests.check import worked as w


def case_of(*pieces):
    made = w.spread(*pieces)
    return Case("case", made.sheets, made.joins, made.linkage, made.motion)


def mirrored(shape, start, end):
    """The mirror image of a shape in the line through two points."""
    angle = np.degrees(np.arctan2(end[1] - start[1], end[0] - start[0]))
    turned = affinity.rotate(shape, -angle, origin=start)
    return affinity.rotate(affinity.scale(turned, yfact=-1, origin=start), angle, origin=start)


def test_closed_outline_of_a_v_is_the_union_of_its_folded_facets():
    length, base, apex = 80.0, 60.0, 100.0
    made = w.v_fold("v", (45, 60, 45, 60), length, apex, base=base)
    case = case_of(made)
    closed = shapely.unary_union(
        [Polygon(case.corners(k, 0.0)[:, [2, 1]]) for k in case.piece_facets("v")]
    )
    # Laid on the closed page by hand: the right panel with its tab, folded over at its foot.
    page_angle = np.radians(90 - 45)
    along = np.array([np.cos(page_angle), np.sin(page_angle)])
    foot = (0.0, apex), (float(along[0]), apex + float(along[1]))
    outline = {f.name: f.polygon for f in made.sheets[0].facets}
    placed = [
        affinity.translate(affinity.rotate(outline[name], 60 - 45, origin=(0, 0)), 0, apex)
        for name in ("tab-right", "right")
    ]
    expected = placed[0].union(mirrored(placed[1], *foot))
    assert closed.symmetric_difference(expected).area < 1e-3
    assert closed.hausdorff_distance(expected) < 1e-3


@pytest.mark.parametrize(("sides", "reach"), [((30, 40, 30, 40), 70.0), ((60, 25, 25, 60), 85.0)])
def test_closed_outline_of_a_tent_is_a_strip_to_its_ridge(sides, reach):
    case = case_of(w.tent("t", *sides, 80, 40))
    closed = shapely.unary_union(
        [Polygon(case.corners(k, 0.0)[:, [2, 1]]) for k in case.piece_facets("t")]
    )
    nearest = min(sides[0], sides[2])
    expected = box(nearest, 80, reach, 120)
    assert closed.symmetric_difference(expected).area < 1e-6


def test_three_tents_are_as_thick_as_their_stack_counted_by_hand():
    # Panels lie at 30…90, 20…70 and 10…50 from the gutter, tabs 6 mm wide outside each foot; at
    # 30…36 lie all six panels, both tabs of the outer tent and both pages.
    case = case_of(
        w.tent("a", 30, 60, 30, 60, 50, 40),
        w.tent("b", 20, 50, 20, 50, 55, 30),
        w.tent("c", 10, 40, 10, 40, 60, 20),
    )
    fields = height_map(case)
    assert peak(case) == pytest.approx(2 * 0.30 + 8 * 0.25)
    top = [field for field in fields if len(field.facets) == 10]
    assert sum(field.shape.area for field in top) == pytest.approx(6 * 20, abs=0.05)
    eight = [field for field in fields if len(field.facets) == 8]
    # 36…50 × 20: six panels. 20…26 × 20: tabs and panels of b, panels of c. 30…36, beside c, 10
    # long: tabs and panels of a, panels of b.
    by_hand = 14 * 20 + 6 * 20 + 6 * 10
    assert sum(f.shape.area for f in eight) == pytest.approx(by_hand, abs=0.05)
    names = layers_at(case, max(top, key=lambda field: field.shape.area))
    assert names.index("a.left") < names.index("b.left") < names.index("c.left")
    assert names.index("c.left") < names.index("c.right") < names.index("b.right")
    assert names[0] == "page.left"


def test_height_map_covers_the_page_once_and_agrees_with_counting_on_a_grid():
    case = case_of(w.tent("a", 30, 60, 30, 60, 50, 40), w.v_fold("v", (45, 60, 45, 60), 80, 120))
    fields = height_map(case)
    assert sum(field.shape.area for field in fields) == pytest.approx(148 * 210, abs=0.01)
    # Every half millimetre, the calipers of all facets over that point, without any overlay.
    x, y = np.meshgrid(np.arange(0.25, 148, 0.5), np.arange(0.25, 210, 0.5))
    counted = np.zeros_like(x)
    for facet in range(len(case.facets)):
        shape = Polygon(case.corners(facet, 0.0)[:, [2, 1]])
        counted += case.facets.caliper[facet] * shapely.contains_xy(shape, x, y)
    exact = sum(field.height * field.shape.area for field in fields)
    assert counted.sum() * 0.25 == pytest.approx(exact, rel=1e-3)
    assert counted.max() == pytest.approx(peak(case))


def test_volume_of_the_height_map_is_that_of_all_the_paper():
    # Folding changes no area, so heights times areas add up to the paper itself.
    case = case_of(w.tent("a", 20, 60, 40, 40, 50, 40), w.v_fold("v", (45, 60, 45, 60), 80, 120))
    paper = sum(sheet.outline.area * sheet.paper.caliper for sheet in case.sheets)
    volume = sum(field.height * field.shape.area for field in height_map(case))
    assert volume == pytest.approx(paper, rel=1e-6)
