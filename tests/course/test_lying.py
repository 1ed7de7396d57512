"""Courses of a notebook of which one half lies on the table, as films have it."""

from __future__ import annotations

from contextlib import nullcontext
from types import SimpleNamespace

import numpy as np
import pytest

from preview.course import course as courses
from preview.course import kept
from preview.course.course import BuildingCourse, course_of
from preview.course.kept import course_on_table
from preview.course.proof import Meeting
from preview.course.scene import areas_of, scene_at
from preview.course.ways import sides
from tests.building.specimens import BOX, FLOWER, solved
from tests.course.passing import steps_through

SHARES = np.linspace(0.0, 1.0, 9)


@pytest.fixture(
    scope="module",
    params=[
        pytest.param((BOX, "right"), id="crate-right"),
        pytest.param((BOX, "left"), id="crate-left", marks=pytest.mark.night),
        pytest.param((FLOWER, "left"), id="rose-left", marks=pytest.mark.night),
    ],
)
def lain(request, tmp_path_factory):
    text, lying = request.param
    found, _, steps = solved(text, tmp_path_factory.mktemp("lain"))
    return course_of(found, steps, lying=lying), lying


def posed(course):
    for step in course.steps:
        for move in step.moves:
            for share in SHARES:
                yield (move, float(share), *course.table.pose(move, float(share)))


def test_no_sheet_passes_through_another_on_its_way(lain):
    course, _ = lain
    assert not [step.advice for step in course.steps if step.advice]
    assert steps_through(course) == {}


def test_the_half_that_lies_stays_and_the_other_goes_round_the_gutter(lain):
    course, lying = lain
    still, turned = (1, 0) if lying == "right" else (0, 1)
    for _, _, pose, _, opening in posed(course):
        assert np.allclose(pose.rotation[still], np.eye(3), atol=1e-9)
        assert np.allclose(pose.translation[still], 0.0, atol=1e-9)
        # A point of the other page 100 mm out, on the arc of a hand: plane geometry.
        out = 100.0 if turned else -100.0
        x, y, z = pose.rotation[turned] @ [out, 0.0, 0.0] + pose.translation[turned]
        away = -np.cos(opening) if turned else np.cos(opening)
        assert (x, y, z) == pytest.approx((100 * away, 0.0, 100 * np.sin(opening)), abs=1e-9)


def test_nothing_is_in_the_table_or_in_the_half_that_lies(lain):
    course, lying = lain
    figures, book = course.table.figures, course.table.book
    way = 1.0 if lying == "right" else -1.0
    lowest, looked = np.inf, 0
    for _, _, pose, there, _ in posed(course):
        for k in np.flatnonzero(there)[2:].tolist():
            rim = np.asarray(figures.parts[k].polygon.exterior.coords)
            spots = rim @ pose.rotation[k][:, :2].T + pose.translation[k]
            x, y, z = way * spots[:, 0], spots[:, 1], spots[:, 2]
            lowest, looked = min(lowest, float(z.min())), looked + 1
            over = (x > 0.1) & (x < book.width - 0.1) & (y > 0.1) & (y < book.height - 0.1)
            assert (z[over] > -0.05).all(), figures.parts[k].id
    assert looked > 100
    # Paper that waits lies on the table, and none is in it.
    assert -book.depth - 0.05 < lowest < -book.depth + 1.0


def test_the_picture_shows_paper_where_the_course_has_it(lain):
    course, _ = lain
    areas = areas_of(course.table)
    moves = [move for step in course.steps for move in step.moves]
    for move in moves[:: max(len(moves) // 4, 1)]:
        pose, there, _ = course.table.pose(move, 0.5)
        sunk = course.table.sunk(move, 0.5)
        shown = {s.name: s for s in scene_at(course.table, areas, move, 0.5, "daylight").surfaces}
        for k in np.flatnonzero(there)[2:].tolist():
            part = course.table.figures.parts[k]
            turn = pose.rotation[k]
            place = pose.translation[k] + turn[:, 2] * (part.height - sunk[k])
            spot = part.placement.apply([0.0, 0.0])
            place = place + turn[:, :2] @ spot
            assert shown[part.id].translation == pytest.approx(place, abs=1e-6)


@pytest.mark.parametrize(
    ("lying", "bent", "taken", "plans"),
    [
        ("thicker", {"thicker": 0, "both": 0}, "thicker", 1),
        ("thicker", {"thicker": 1, "both": 0}, "both", 2),
        ("thicker", {"thicker": 1, "both": 1}, "thicker", 2),
        ("thicker", {"thicker": 3, "both": 2}, "both", 2),
        ("thicker", {"thicker": 1, "both": 2}, "thicker", 2),
        ("right", {"right": 2}, "right", 1),
    ],
)
def test_both_halves_are_tilted_only_where_that_bends_less(monkeypatch, lying, bent, taken, plans):
    def planned(_spread, steps, advance, _last, how, most=None):
        for _ in steps:
            advance()
        assert most == (bent[lying] - 1 if how != lying else None)
        met = [SimpleNamespace(met=("paper",) if k < bent[how] else ()) for k in range(3)]
        return BuildingCourse(SimpleNamespace(lying=how), tuple(met))

    monkeypatch.setattr(kept, "course_of", planned)
    told = []
    bars = lambda: nullcontext(lambda: told.append(1))  # noqa: E731
    course = course_on_table(SimpleNamespace(shelf=None), "abc", lying, None, bars)
    assert course.table.lying == taken
    assert len(told) == 3 * plans


def test_a_course_ends_where_more_of_its_steps_bend_paper_than_it_may(tmp_path, monkeypatch):
    met = Meeting("crate.lid", "secret.art", 1.0, 0.5)
    bends = {"make": 0, "stick": 1, "close": 0, "glue": 1, "press": 0}
    hands = {
        action: lambda bench, step: bench.met.extend([met] * bends[step.action]) for action in bends
    }
    monkeypatch.setattr(courses, "_HANDS", hands)
    found, _, steps = solved(BOX, tmp_path)
    assert [step.action for step in steps] == list(bends)
    assert len(course_of(found, steps).steps) == 5
    assert [len(course_of(found, steps, most=most).steps) for most in (0, 1, 2)] == [2, 4, 5]


def test_what_can_be_reached_with_both_halves_tilted_can_be_with_one_that_lies():
    """Among the ways of the notebook that was turned are those that it had, turned with it."""
    random = np.random.default_rng(4)
    for tilt in random.uniform(0.0, np.pi / 2, 20):
        c, s = np.cos(tilt), np.sin(tilt)
        turn = np.array([[c, 0.0, s], [0.0, 1.0, 0.0], [-s, 0.0, c]])
        normal = random.normal(size=3)
        normal /= np.linalg.norm(normal)
        before = list(sides(normal, np.eye(3)))
        after = np.array(list(sides(turn @ normal, turn)))
        assert all((after @ turn @ side).max() > np.cos(np.radians(15.0)) for side in before)
        assert np.allclose(np.linalg.norm(after, axis=1), 1.0)
