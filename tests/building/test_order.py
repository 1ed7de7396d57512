"""The building order: rings, hosts, slits, what hides what, and circles that nobody can build."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import Polygon, box

from meshes import spread
from meshes.building import BuildError, order
from meshes.building.paper import BuildPaper
from meshes.linkage import link
from meshes.motion.result import MotionFinding
from meshes.sheet import Fold, Join, Placement

from .by_hand import OPENINGS, flat_motion, page, sheet


def built(sheets, joins, lifts=None):
    linkage = link(sheets, joins)
    return order(sheets, joins, linkage, flat_motion(linkage, lifts))


def actions(steps):
    return [(step.action, step.piece) for step in steps]


def test_flat_art_goes_on_before_the_art_that_lies_on_it():
    sheets = [page(), sheet("mat", box(0, 0, 60, 60)), sheet("dot", box(0, 0, 10, 10))]
    joins = [
        Join("mat.all", "page.right", Placement(shift=(20, 20))),
        Join("dot.all", "mat.all", Placement(shift=(5, 5))),
    ]
    steps = built(sheets, joins)
    assert actions(steps) == [("stick", "mat"), ("stick", "dot")]
    assert steps[-1].on_page
    assert steps[-1].present == frozenset({0, 1, 2})
    assert steps[0].present == frozenset({0, 1})


def test_flat_art_on_one_host_is_one_step_and_on_two_pages_two():
    dots = [sheet(f"dot-{k}", box(0, 0, 10, 10)) for k in range(1, 6)]
    sides = ["left", "left", "left", "right", "right"]
    joins = [
        Join(
            f"dot-{k + 1}.all",
            f"page.{side}",
            Placement(shift=(-60 if side == "left" else 30, 20 * k)),
        )
        for k, side in enumerate(sides)
    ]
    steps = built([page(), *dots], joins)
    assert [(step.action, step.sheets) for step in steps] == [
        ("stick", (1, 2, 3)),
        ("stick", (4, 5)),
    ]


def wide_page_pieces():
    strip = sheet(
        "strip",
        box(-30, 0, 30, 10),
        [Fold("a", (-20, 0), (-20, 10), 1), Fold("b", (20, 0), (20, 10), 1)],
        {"left": (-25, 5), "top": (0, 5), "right": (25, 5)},
    )
    return strip, [
        Join("strip.left", "page.left", Placement()),
        Join("strip.right", "page.right", Placement()),
    ]


def test_the_second_side_is_pressed_on_by_closing():
    strip, joins = wide_page_pieces()
    steps = built([page(), strip], joins)
    assert actions(steps) == [("make", "strip"), ("glue", "strip"), ("press", "strip")]
    assert steps[1].joins == (0,)
    assert steps[2].joins == (1,)


def test_a_ring_is_closed_before_it_is_mounted():
    ring = sheet(
        "ring",
        box(0, 0, 50, 10),
        [Fold(f"f{k}", (10 * k, 0), (10 * k, 10), 1) for k in range(1, 5)],
        {"tab": (45, 5), "end": (5, 5)},
    )
    joins = [
        Join("ring.tab", "ring.end", Placement(shift=(-40, 0))),
        Join("ring.end", "page.left", Placement(shift=(-60, 20)), 1),
    ]
    assert actions(built([page(), ring], joins)) == [
        ("make", "ring"),
        ("close", "ring"),
        ("glue", "ring"),
    ]


def test_what_a_roof_hides_is_glued_before_the_roof():
    sheets = [
        page(),
        sheet("far", box(200, 200, 300, 300)),
        sheet("roof", box(20, 20, 60, 60)),
        sheet("seed", box(0, 0, 10, 10)),
    ]
    joins = [
        Join("far.all", "page.left", Placement(shift=(-280, -180))),
        Join("roof.all", "far.all", Placement(shift=(200, 200))),
        Join("seed.all", "page.right", Placement(shift=(30, 30))),
    ]
    # In a motion the roof would hang from folds; here it is a body of its own.
    linkage = link(sheets, [joins[0], joins[2]])

    def sequence(height):
        steps = order(sheets, joins, linkage, flat_motion(linkage, {"roof.all": height}))
        done = actions(steps)
        return done.index(("stick", "seed")) < done.index(("stick", "roof"))

    assert sequence(6.0)
    paper = BuildPaper(linkage, joins, flat_motion(linkage, {"roof.all": 6.0}))
    assert len(paper.blockers(2)) == 1
    paper = BuildPaper(linkage, joins, flat_motion(linkage, {"roof.all": 60.0}))
    assert paper.blockers(2) == set()
    assert len(paper.covers(2)) == 1


def hidden_pair():
    """Two pieces on carriers of their own, each close over the other's glue."""
    sheets = [
        page(),
        sheet("east", box(0, 0, 80, 20)),
        sheet("east-foot", box(200, 0, 280, 20)),
        sheet("west", box(0, 0, 80, 20)),
        sheet("west-foot", box(400, 0, 480, 20)),
    ]
    joins = [
        Join("east.all", "east-foot.all", Placement(shift=(200, 0))),
        Join("west.all", "west-foot.all", Placement(shift=(400, 0)), -1),
    ]
    return sheets, joins


def test_pieces_that_hide_each_others_glue_are_refused_by_name():
    sheets, joins = hidden_pair()
    linkage = link(sheets, joins)
    motion = flat_motion(linkage)
    # West hangs 5 mm over east, face down: each can only be pressed from the other's side.
    motion.translations[:, linkage.place("east.all")[0], 2] = 30
    motion.translations[:, linkage.place("west.all")[0], 2] = 35
    with pytest.raises(BuildError, match="hides the other's glue") as caught:
        order(sheets, joins, linkage, motion)
    assert set(caught.value.pieces) == {"east", "west"}


def test_pieces_that_stand_on_each_other_are_refused_by_name():
    sheets = [page(), sheet("cup", box(0, 0, 20, 20)), sheet("cap", box(0, 0, 20, 20))]
    joins = [
        Join("cup.all", "cap.all", Placement()),
        Join("cap.all", "cup.all", Placement()),
    ]
    with pytest.raises(BuildError, match="cup on cap on cup") as caught:
        built(sheets, joins)
    assert caught.value.pieces == ("cup", "cap")


def test_what_passes_a_slit_is_threaded_before_its_glue():
    slit = Polygon([(40, 40), (60, 40), (60, 42), (40, 42)])
    leaf = sheet("leaf", box(20, 20, 80, 80).difference(slit), labels={"all": (25, 25)})
    stem = sheet("stem", box(-5, -30, 5, 30))
    sheets = [page(), leaf, stem, sheet("foot", box(0, 0, 20, 20))]
    joins = [
        Join("leaf.all", "page.right", Placement()),
        Join("foot.all", "page.left", Placement(shift=(-50, 10))),
        Join("stem.all", "foot.all", Placement()),
    ]
    linkage = link(sheets, [joins[0], joins[1]])
    motion = flat_motion(linkage)
    body = linkage.place("stem.all")[0]
    # Upright through the slit.
    motion.rotations[:, body] = np.array([[1, 0, 0], [0, 0, -1], [0, 1, 0]], float)
    motion.translations[:, body] = (50, 41, 0)
    steps = order(sheets, joins, linkage, motion)
    done = actions(steps)
    assert ("thread", "stem") in done
    assert done.index(("thread", "stem")) < done.index(("glue", "stem"))
    assert steps[done.index(("thread", "stem"))].host == "leaf"


def test_a_spread_that_jams_is_refused():
    strip, joins = wide_page_pieces()
    linkage = link([page(), strip], joins)
    motion = flat_motion(linkage)
    stuck = replace(
        motion,
        findings=(MotionFinding("jam", np.radians(20), "strip.a", 0.0, "it folds onto itself"),),
    )
    with pytest.raises(BuildError, match=r"strip\.a does not go through at 20°"):
        order([page(), strip], joins, linkage, stuck)
    open_only = replace(motion, solved=np.array([False, True, True, True, True]))
    with pytest.raises(BuildError, match="can't reach 0°"):
        order([page(), strip], joins, linkage, open_only)


DESIGN = """
title = "t"
[spread]
page = "A5"
[pieces.arch]
kind = "tent"
on = "gutter"
at = 60
distance = 30
panel = 42
width = 36
[pieces.bud]
kind = "v-fold"
on = "arch.ridge"
at = 18
page_angle = 50
panel_angle = 60
base = 12
outline = { shape = "leaf", length = 30, width = 20 }
[pieces.flower]
kind = "blossom"
on = "gutter"
at = 150
"""


@pytest.fixture(scope="module")
def garden(tmp_path_factory):
    file = tmp_path_factory.mktemp("order") / "garden.toml"
    file.write_text(DESIGN)
    found = spread.read(file)
    motion = found.solve(OPENINGS)
    return found, motion, order(found.sheets, found.joins, found.linkage, motion)


def test_every_join_is_glued_exactly_once(garden):
    found, _, steps = garden
    glued = [join for step in steps for join in step.joins]
    assert sorted(glued) == list(range(len(found.joins)))


def test_in_a_real_spread_rings_close_first_and_the_page_comes_last(garden):
    found, _, steps = garden
    done = actions(steps)
    assert done.index(("glue", "bud")) < done.index(("glue", "arch"))
    ring = next(k for k, step in enumerate(steps) if step.action == "close")
    flower = [k for k, step in enumerate(steps) if step.piece == "flower" and step.on_page]
    assert ring < min(flower)
    last = [step for step in steps if step.piece in ("arch", "flower")][-1]
    assert last.action == "press"
    assert steps[-1].present == frozenset(range(len(found.sheets)))


def test_at_each_step_the_glue_can_be_reached_past_the_paper_that_is_there(garden):
    """Replays the order against the motion: a step's first join is free of all earlier paper."""
    found, motion, steps = garden
    paper = BuildPaper(found.linkage, found.joins, motion)
    there: frozenset[int] = frozenset()
    for step in steps:
        if step.action in ("glue", "close"):
            hidden = {
                next(k for k, s in enumerate(found.sheets) if s is paper.sheets[b])
                for b in paper.blockers(step.joins[0])
            }
            assert not hidden & there - {0, *step.sheets}
        there |= step.present if step.action != "make" else frozenset()


def test_a_step_says_only_of_connected_paper_that_it_is_there(garden):
    found, _, steps = garden
    piece = [sheet.piece for sheet in found.sheets]
    for step in steps:
        if step.on_page:
            assert 0 in step.present
        elif step.action == "make":
            assert {piece[k] for k in step.present} == {step.piece}
