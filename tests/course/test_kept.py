"""A course that comes from the cache is the one that was planned."""

from __future__ import annotations

from contextlib import nullcontext
from dataclasses import replace

import numpy as np
import pytest

from meshes.cache import Shelf
from preview.course import kept
from preview.course.course import BuildingCourse
from preview.course.proof import Meeting, moving_parts
from preview.viewer.course import course_steps
from tests.building.specimens import BOX, solved


@pytest.fixture
def shelved(tmp_path):
    found, _, steps = solved(BOX, tmp_path)
    return replace(found, shelf=Shelf(tmp_path / "shelf", None)), steps


def asked(monkeypatch, spread, steps, given, **wishes):
    """What a course is when it is asked for, and how often it was planned for that."""
    planned = []
    monkeypatch.setattr(kept, "course_of", lambda *_: planned.append(1) or given)
    course = kept.course_on_table(spread, steps, planning=lambda: nullcontext(None), **wishes)
    return course, len(planned)


def test_a_course_comes_back_as_it_was_planned(monkeypatch, shelved, crate):
    spread, steps = shelved
    met = Meeting("crate.lid", "secret.art", 1 / 3, 0.1)
    given = BuildingCourse(
        crate.table, (*crate.steps[:-1], replace(crate.steps[-1], met=(met,), under="leaf"))
    )
    first, planned = asked(monkeypatch, spread, steps, given, wish="both")
    assert (first, planned) == (given, 1)
    again, planned = asked(monkeypatch, spread, steps, None, wish="both")
    assert planned == 0
    assert again.table.lying == given.table.lying
    assert [(s.number, s.step, s.words, s.met, s.under, s.advice) for s in again.steps] == [
        (s.number, s.step, s.words, s.met, s.under, s.advice) for s in given.steps
    ]
    assert course_steps(again) == course_steps(given)
    for one, other in zip(given.steps, again.steps, strict=True):
        for mine, theirs in zip(one.moves, other.moves, strict=True):
            assert (mine.kind, mine.wet, mine.glued) == (theirs.kind, theirs.wet, theirs.glued)
            figures = given.table.figures
            assert np.array_equal(moving_parts(figures, mine), moving_parts(figures, theirs))
            for share in (0.0, 0.4, 1.0):
                a, b = given.table.pose(mine, share)[0], again.table.pose(theirs, share)[0]
                assert np.array_equal(a.rotation, b.rotation)
                assert np.array_equal(a.translation, b.translation)


def test_another_wish_is_planned_anew_and_some_steps_of_a_course_are_not_kept(
    monkeypatch, shelved, crate
):
    spread, steps = shelved
    for wishes in ({"wish": "both"}, {"wish": "left"}, {"wish": "right", "last": 2}):
        assert asked(monkeypatch, spread, steps, crate, **wishes)[1] == 1
    assert asked(monkeypatch, spread, steps, crate, wish="right")[1] == 1
    assert asked(monkeypatch, spread, steps, crate, wish="left")[1] == 0
