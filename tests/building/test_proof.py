"""Orders that hands can carry out: shipped and random ones are proved, impossible ones are not.

What is impossible is planted by exchanging steps that any maker would refuse to exchange; no source
but paper, scissors and glue.
"""

from __future__ import annotations

from dataclasses import replace

import networkx
import numpy as np
import pytest
from shapely.geometry import box

from meshes.building import BuildError, Step, faults, order
from meshes.building.chains import chains
from meshes.building.proof import Proof
from meshes.linkage import link
from meshes.sheet import Fold, Join, Placement
from tests.designs import each

from .by_hand import flat_motion, page, sheet
from .random_builds import random_design
from .shipped import OPENINGS, shipped
from .specimens import FLOWER, joined, solved


def reasons(found, motion, steps):
    return {f.reason for f in faults(steps, found.sheets, found.joins, found.linkage, motion)}


def test_feet_pass_their_slits_and_go_on_together_with_the_layer_over_them(flower):
    found, motion, steps = flower
    assert reasons(found, motion, steps) == set()
    (thread,) = [k for k, step in enumerate(steps) if step.action == "thread"]
    assert {found.sheets[k].name for k in steps[thread].sheets} == {
        "cone-leg-right",
        "cone-leg-left",
    }
    for side in ("right", "left"):
        foot = joined(found, steps, f"rose.cone-leg-{side}-lower-tab")
        assert foot > thread
        assert foot == joined(found, steps, f"rose.bed-{side}")


def test_feet_lie_under_the_layer_that_they_pass(flower):
    found, _, _ = flower
    for side in ("right", "left"):
        _, foot = found.linkage.place(f"rose.cone-leg-{side}-lower-tab")
        _, layer = found.linkage.place(f"rose.bed-{side}")
        assert 0 < foot.height < layer.height


def test_feet_that_were_never_passed_through_are_refused(flower):
    found, motion, steps = flower
    without = [step for step in steps if step.action != "thread"]
    assert reasons(found, motion, without) == {"not threaded"}


def test_feet_that_are_glued_before_they_pass_are_refused(flower):
    found, motion, steps = flower
    (thread,) = [step for step in steps if step.action == "thread"]
    assert reasons(found, motion, [s for s in steps if s is not thread] + [thread]) == {"stuck"}


def test_feet_after_the_layer_that_covers_their_place_are_refused(flower):
    found, motion, steps = flower
    planted = []
    for step in steps:
        layer = tuple(j for j in step.joins if found.joins[j].facet.startswith("rose.bed-"))
        feet = tuple(j for j in step.joins if j not in layer)
        if layer and feet:
            planted += [replace(step, joins=layer), replace(step, joins=feet)]
        else:
            planted.append(step)
    assert reasons(found, motion, planted) == {"covered"}


def test_nothing_is_glued_into_a_box_that_is_shut(crate):
    found, motion, steps = crate
    assert reasons(found, motion, steps) == set()
    art = steps[joined(found, steps, "secret.art")]
    on_page = [k for k, step in enumerate(steps) if step.on_page]
    rest = [step for step in steps if step is not art]
    last = [*rest, art]
    assert reasons(found, motion, last) == {"hidden"}
    shut = max(joined(found, steps, "crate.flap"), joined(found, steps, "crate.lid-tab"))
    assert steps.index(art) < shut < min(on_page)


def test_a_lid_can_still_be_shut_from_below_but_not_on_the_page(crate):
    found, motion, steps = crate
    lid = joined(found, steps, "crate.lid-tab")
    planted = []
    late = None
    for k, step in enumerate(steps):
        if k != lid:
            planted.append(step)
            continue
        own = tuple(j for j in step.joins if found.joins[j].facet == "crate.lid-tab")
        late = replace(step, joins=own)
        rest = tuple(j for j in step.joins if j not in own)
        planted += [replace(step, joins=rest)] if rest else []
    assert late is not None
    # Open above, a hand gets at the inside of the wall; so it does on the page.
    assert reasons(found, motion, [*planted, late]) == set()


def test_paper_that_is_not_made_or_glued_twice_or_left_out_is_refused(crate):
    found, motion, steps = crate
    assert "missing" in reasons(found, motion, [s for s in steps if s.action != "make"])
    assert "missing" in reasons(found, motion, [s for s in steps if s.action != "press"])
    assert "twice" in reasons(found, motion, [*steps, steps[-1]])


def test_paper_that_does_not_meet_its_place_is_refused(tmp_path):
    """A card laid wholly beside the panel that should hold it: no step can glue it."""
    design = """
[pieces.tent]
kind = "v-fold"
at = 100
page_angle = 40
panel_angle = 60
base = 40
ridge = 50

[pieces.card]
kind = "flat"
on = "tent.right"
x = {x}
y = 10
outline = {{ shape = "rectangle", width = 12, length = 8 }}
"""
    assert solved(design.format(x=12), tmp_path)[2]
    with pytest.raises(BuildError, match=r"card\.art lies wholly beside tent\.right") as caught:
        solved(design.format(x=300), tmp_path)
    assert caught.value.pieces == ("card", "tent")


def test_what_cannot_be_built_in_any_order_is_refused_with_its_pieces(tmp_path):
    """A closed ring of paper with an end that is wider than the slit it should pass."""
    found, _, _ = solved(FLOWER, tmp_path)
    sheets = list(found.sheets)
    for k, one in enumerate(sheets):
        if one.name == "cone-leg-right":
            facets = [
                replace(f, polygon=f.polygon.buffer(4)) if f.name.endswith("-lower-tab") else f
                for f in one.facets
            ]
            sheets[k] = replace(one, facets=tuple(facets))
    linkage = link(sheets, found.joins, found.linkage.obstacles)
    wide = found.solve(OPENINGS)
    with pytest.raises(BuildError, match="has to pass the slit") as caught:
        order(sheets, found.joins, linkage, wide)
    assert caught.value.pieces == ("rose",)


@pytest.mark.parametrize("name", each())
def test_the_orders_of_shipped_designs_are_proved(name):
    found, motion, steps = shipped(name)
    assert faults(steps, found.sheets, found.joins, found.linkage, motion) == ()
    assert sorted(j for step in steps for j in step.joins) == list(range(len(found.joins)))
    assert sum(step.action == "lay" for step in steps) == len(found.linkage.drives)
    last = max(steps, key=lambda step: len(step.present))
    assert last.present == frozenset(range(len(found.sheets)))


def test_random_orders_are_proved(tmp_path):
    """`tests/bench/bench_building.py` does the same for fifty."""
    for seed in range(8):
        found, motion, steps = solved(random_design(seed), tmp_path)
        assert faults(steps, found.sheets, found.joins, found.linkage, motion) == ()


def test_closed_chains_are_those_of_a_library():
    """Against networkx (`networkx.k_edge_components`) on random graphs with double edges."""
    random = np.random.default_rng(4)
    for _ in range(60):
        count = int(random.integers(2, 14))
        edges = [
            (int(a), int(b)) for a, b in random.integers(0, count, (random.integers(1, 20), 2))
        ]
        edges = [(a, b) for a, b in edges if a != b]
        # A double edge is a ring: put a node into every edge, so that the graph is a simple one.
        graph = networkx.Graph()
        graph.add_nodes_from(range(count))
        for k, (a, b) in enumerate(edges):
            graph.add_edges_from([(a, ("edge", k)), (("edge", k), b)])
        part = chains(count, edges)
        mine = {frozenset(k for k in range(count) if part[k] == p) for p in part}
        theirs = {
            frozenset(k for k in group if isinstance(k, int))
            for group in networkx.k_edge_components(graph, 2)
        }
        assert mine == {group for group in theirs if group}


def under_a_low_roof(depth):
    """A strip across the gutter whose right side lies `depth` mm under the edge of a low roof."""
    strip = sheet(
        "strip",
        box(-30, 0, 70, 12),
        [Fold("a", (-16, 0), (-16, 12), 1), Fold("b", (56, 0), (56, 12), 1)],
        {"left": (-25, 5), "top": (0, 5), "right": (65, 5)},
    )
    roof = sheet(
        "roof",
        box(5, 30, 120, 90),
        [Fold("c", (20, 30), (20, 90), 1), Fold("d", (105, 30), (105, 90), 1)],
        {"near": (10, 35), "top": (50, 35), "far": (110, 35)},
    )
    foot = Placement()
    joins = [
        Join("roof.near", "page.right", foot),
        Join("roof.far", "page.right", foot),
        Join("strip.left", "page.left", Placement(shift=(0, 90 - depth))),
        Join("strip.right", "page.right", Placement(shift=(0, 90 - depth))),
    ]
    sheets = [page(), strip, roof]
    linkage = link(sheets, joins)
    motion = flat_motion(linkage, {"roof.top": 5.0, "strip.top": 1.0})
    return Proof(sheets, joins, linkage, motion)


def test_a_side_is_slipped_to_its_place_where_no_finger_follows():
    """The notebook is closed on it and presses: common practice, no source."""
    proof = under_a_low_roof(14)
    roof, left, right = {0, 1}, 2, 3
    assert proof.slips(right, {*roof, left})
    assert proof.reaches(right, {*roof, left})
    # With nothing that leads it there, it could only be laid on by hand.
    assert not proof.reaches(right, roof)
    # Without the roof a finger gets there.
    assert proof.reaches(right, {left})
    assert not proof.slips(right, {left})
    steps = [
        Step("press", "strip", (1,), (right,), "page", frozenset([0, 1, 2]), True),
    ]
    assert not proof.with_slips(steps)[0].slips
    before = Step("glue", "roof", (2,), (0, 1, left), "page", frozenset([0, 1, 2]), True)
    assert [step.slips for step in proof.with_slips([before, *steps])] == [False, True]


def test_a_side_too_far_under_a_roof_is_hidden():
    proof = under_a_low_roof(30)
    assert not proof.reaches(3, {0, 1, 2})
