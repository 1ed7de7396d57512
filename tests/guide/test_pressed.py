"""A press is shown before it is done: its side off its place, on its fold, with the glue on it."""

from __future__ import annotations

import numpy as np
import pytest

from preview.guide.flat import GLUE
from preview.guide.moves import moved_apart
from preview.guide.pictures import _inside, _seen_too
from preview.guide.scenes import step_scene
from preview.guide.studio import GuideStudio, StepTask
from preview.shot.camera import frame
from tests.building.shipped import shipped


@pytest.fixture(scope="module")
def pressed():
    """A studio, and each step of a shipped design in which a side is pressed on."""
    found, _, steps = shipped("hill-village")
    studio = GuideStudio.of(found, (64, 48))
    standing, tasks = frozenset([0]), []
    for step in steps:
        if step.action == "press":
            tasks.append(StepTask(step, standing, step.present))
        if step.on_page:
            standing |= step.present
    assert len(tasks) > 3
    return studio, tasks


def fold_in_space(studio, facet, surface):
    """Ends of the only fold of a facet where a surface has it, shape (2, 3); None for several."""
    piece, _, name = facet.partition(".")
    crossings = [c for s in studio.spread.sheets if s.piece == piece for c in s.crossings]
    folds = [c.fold for c in crossings if name in (c.left, c.right)]
    if len(folds) != 1:
        return None
    ends = np.array([folds[0].start, folds[0].end])
    return ends @ surface.rotation[:, :2].T + surface.translation


def test_a_pressed_side_hangs_on_its_fold_off_its_coloured_place(pressed):
    studio, tasks = pressed
    swung = 0
    for task in tasks:
        scene, _, _ = step_scene(studio, task.step, task.standing)
        loose, _ = moved_apart(studio, scene, task)
        before = {s.name: s for s in scene.surfaces}
        after = {s.name: s for s in loose.surfaces}
        for join in (studio.spread.joins[j] for j in task.step.joins):
            fold = fold_in_space(studio, join.facet, before[join.facet])
            if fold is None:
                continue
            swung += 1
            assert np.allclose(fold_in_space(studio, join.facet, after[join.facet]), fold)
            heights = (after[join.facet].corners - fold[0]) @ before[join.host].normal * join.side
            assert heights.max() > 2.0, "its outer edge is off the place"
            assert heights.min() > -0.1
            colour = "#{:02x}{:02x}{:02x}".format(*GLUE)
            for name in (join.facet, join.host):
                assert after[f"{name}.place"].front == colour
    assert swung >= 3


def test_a_picture_of_a_press_holds_an_arrow_and_is_about_what_is_pressed(pressed):
    studio, tasks = pressed
    for task in [task for task in tasks if task.step.on_page]:
        scene, focus, elevation = step_scene(studio, task.step, task.standing)
        loose, ways = moved_apart(studio, scene, task)
        points = np.concatenate([focus, *_seen_too(studio, loose, task, ways)])
        camera = frame(points, -1.2, np.radians(elevation), 64 / 48, margins=(0.08, 0.10))
        assert any(_inside(way, camera, (64, 48)) for way in ways)
        # No more than the piece, the room round it and one arrow.
        assert len(points) == len(focus) + len(ways[0])
