"""Wheels, slides and leaves: laid on their place before what holds them, and marked for it."""

from __future__ import annotations

import numpy as np
import pytest

from meshes import spread
from meshes.building import order
from preview.drawing.visible import Sight
from preview.guide.pictures import with_leaves
from preview.guide.plan import compose
from preview.guide.scenes import step_scene
from preview.guide.studio import GuideStudio, StepTask, ids
from preview.guide.words import words
from preview.pattern.drawing import PenStroke
from preview.pattern.layout import Options, lay_out
from preview.pattern.marks import Placed, Show, marks
from preview.pattern.template import templates
from preview.shot.camera import frame

WHEEL = """
title = "t"
[spread]
page = "A5"
[pieces.sky]
kind = "wheel"
on = "page.right"
x = 74
y = 110
radius = 40
overlay = { shape = "ellipse", length = 110, width = 110 }
[pieces.cloud]
kind = "flat"
on = "sky.disc"
x = 0
y = 20
outline = { shape = "ellipse", length = 10, width = 20 }
"""
SLIDE = """
title = "t"
[spread]
page = "A5"
[pieces.fox]
kind = "slide"
on = "page.right"
length = 90
travel = 25
"""
LEAF = """
title = "t"
[spread]
page = "A5"
[pieces.year]
kind = "flyleaf"
[pieces.bud]
kind = "v-fold"
on = "year.before"
at = 80
page_angle = 50
panel_angle = 60
base = 12
outline = { shape = "leaf", length = 30, width = 20 }
"""


def read(text, tmp_path):
    file = tmp_path / "t.toml"
    file.write_text(text)
    found = spread.read(file)
    motion = found.solve(np.radians([0, 60, 120, 180.0]))
    return found, order(found.sheets, found.joins, found.linkage, motion)


def titles(found, steps):
    return [words(step, found.sheets, found.joins, {}).title for step in steps]


def test_a_wheel_is_pinned_with_its_art_on_before_its_cover(tmp_path):
    found, steps = read(WHEEL, tmp_path)
    assert titles(found, steps) == [
        "Make the sky",
        "Glue the cloud to the disc of the sky",
        "Pin the disc of the sky on the page",
        "Glue the overlay of the sky to the right page",
    ]
    assert [step.moves for step in steps] == ["", "", "turn", ""]


def test_a_slide_is_laid_before_its_loops(tmp_path):
    found, steps = read(SLIDE, tmp_path)
    assert titles(found, steps)[:2] == ["Make the fox", "Lay the strip of the fox on the page"]
    assert [step.action for step in steps[2:]] == ["glue", "glue"]


def test_a_leaf_is_hinged_before_what_stands_beside_it(tmp_path):
    found, steps = read(LEAF, tmp_path)
    told = titles(found, steps)
    assert told.index("Hinge the year in the gutter") < told.index("Make the bud")
    assert steps[-1].action == "press"


def test_what_stands_behind_a_leaf_is_glued_to_its_back(tmp_path):
    found, steps = read(LEAF.replace("year.before", "year.behind"), tmp_path)
    assert "Glue the bud to the back of the year" in titles(found, steps)
    (step,) = [step for step in steps if step.action == "glue"]
    said = words(step, found.sheets, found.joins, {}).sentences[1]
    assert said.startswith("Lay it on place A, on the back of the year, ")
    found, steps = read(LEAF, tmp_path)
    assert not [title for title in titles(found, steps) if "back of" in title]


def test_what_is_needed_to_move_things_is_on_the_list(tmp_path):
    found, steps = read(WHEEL, tmp_path)
    made = templates(found.sheets, found.joins, None, found.linkage.drives)
    grey = np.zeros((4, 4, 3), np.uint8)
    pattern = lay_out("t", made, Options())
    guide = compose(found, pattern, steps, grey, [grey] * len(steps))
    names = [item.name for item in guide.materials]
    assert "paper fastener" in names
    assert "foam pads" in names


def test_the_pattern_marks_where_the_fastener_goes_on_disc_and_page(tmp_path):
    found, _ = read(WHEEL, tmp_path)
    made = templates(found.sheets, found.joins, None, found.linkage.drives)
    disc = next(t for t in made if t.sheet.name == "disc")
    page = next(t for t in made if t.is_page and t.laid)
    assert disc.pivots == ((0.0, 0.0),)
    assert page.pivots == (pytest.approx((74.0, 110.0)),)
    assert page.laid[0].area == pytest.approx(disc.outline.area, rel=1e-9)
    placed = Placed(page, np.diag([1.0, -1.0]), np.array([0.0, 210.0]))
    signs = [m for m in marks(placed, Show()) if isinstance(m, PenStroke) and m.role == "sign"]
    assert len(signs) == 3
    assert np.abs(np.mean(signs[0].points, axis=0) - [74.0, 100.0]).max() < 1e-9


def test_no_glue_comes_under_what_must_turn_or_slide(tmp_path):
    found, steps = read(WHEEL, tmp_path)
    made = templates(found.sheets, found.joins, None, found.linkage.drives)
    page = next(t for t in made if t.is_page and t.laid)
    (rim,) = [a for a in page.glue if a.other == "sky.overlay"]
    assert rim.polygon.intersection(page.laid[0]).area < 1e-9
    assert rim.polygon.area > 100
    cover = next(step for step in steps if step.action == "glue")
    told = words(cover, found.sheets, found.joins, {}).sentences
    assert "Glue only where it is hatched, on foam pads 1 mm thick" in " ".join(told)
    found, _ = read(SLIDE, tmp_path)
    made = templates(found.sheets, found.joins, None, found.linkage.drives)
    page = next(t for t in made if t.is_page and t.laid)
    # Each loop is glued at both ends, beside the strip.
    assert len(page.glue) == 4
    assert all(area.polygon.disjoint(page.laid[0]) for area in page.glue)


def test_what_stands_behind_a_leaf_is_drawn_with_the_leaf_turned(tmp_path):
    """Once those pictures showed the front of the leaf, and of the paper behind it nothing."""
    behind = LEAF[LEAF.index("[pieces.bud]") :].replace("bud", "bulb").replace("before", "behind")
    found, steps = read(LEAF + behind, tmp_path)
    studio = GuideStudio.of(found, (64, 48))
    standing, seen = frozenset([0]), {}
    for step in steps:
        if step.on_page and step.piece != "year":
            way = with_leaves(studio, StepTask(step, standing, step.present))
            scene, focus, _ = step_scene(way, step, standing)
            leaf = next(s for s in scene.surfaces if s.name.startswith("year."))
            names = ids(found, frozenset(step.sheets))
            camera = frame(focus, np.radians(-72.0), np.radians(45.0), 1.0)
            shown = Sight(scene).surfaces(camera, (80, 80))
            mine = [k for k, surface in enumerate(scene.surfaces) if surface.name in names]
            assert np.isin(shown, mine).sum() > 20
            seen.setdefault(step.piece, set()).add(leaf.corners[:, 0].mean() > 0)
        if step.on_page:
            standing |= step.present
    assert seen == {"bud": {True}, "bulb": {False}}
