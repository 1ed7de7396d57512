"""The building course in the page: the same poses as the film's, buttons, keys, and no faults."""

from __future__ import annotations

import numpy as np
import pytest

from preview.course.course import course_of
from preview.course.figures import points
from preview.viewer.course import course_steps, numbered
from preview.viewer.page import save
from preview.viewer.payload import payload
from tests.building.specimens import FLOWER, solved
from tests.viewer.conftest import Opener
from tests.viewer.test_access import PHONE, violations


@pytest.fixture(scope="module", params=["right", pytest.param("both", marks=pytest.mark.night)])
def built(request, tmp_path_factory):
    found, _, steps = solved(FLOWER, tmp_path_factory.mktemp("rose"))
    return found, course_of(found, steps, lying=request.param)


@pytest.fixture(scope="module")
def page_of_it(built, tmp_path_factory):
    found, course = built
    scene = payload(found, found.solve(np.radians(np.arange(181.0))))
    scene["course"] = course_steps(course)
    path = tmp_path_factory.mktemp("page") / "rose.html"
    save(path, scene)
    return path


@pytest.fixture
def open_it(page_of_it, pages):
    opener = Opener(pages, page_of_it)
    yield opener
    assert opener.surprises == []


@pytest.mark.night
def test_the_page_shows_the_poses_of_the_course(built, open_it):
    _, course = built
    compare(course, open_it(), range(len(course.steps)))


def test_the_page_shows_the_notebook_shut_on_the_last_piece_as_the_course_does(built, open_it):
    _, course = built
    assert course.steps[-1].step.action == "press"
    compare(course, open_it(), [len(course.steps) - 1])


def compare(course, page, numbers):
    """Half way through each move of some steps, where a key pose is: their number is odd."""
    figures = course.table.figures
    names = numbered(figures.linkage)
    for number in numbers:
        moves = course.steps[number].moves
        weights = np.array([move.weight for move in moves])
        starts = np.concatenate([[0.0], np.cumsum(weights)]) / weights.sum()
        for k, move in enumerate(moves):
            at = (starts[k] + starts[k + 1]) / 2
            page.evaluate(f"foldstage.stand({number}, {at})")
            seen = page.evaluate("foldstage.facets()")
            pose, there, opening = course.table.pose(move, 0.5)
            assert page.evaluate("foldstage.opening") == pytest.approx(np.degrees(opening), abs=0.1)
            mine = np.flatnonzero(there).tolist()
            assert {names[figures.parts[i].id] for i in mine} == {int(name) for name in seen}
            for i in mine:
                matrix = np.array(seen[str(names[figures.parts[i].id])]).reshape(4, 4).T
                corners = np.column_stack([figures.corners[i], np.zeros(len(figures.corners[i]))])
                here = corners @ pose.rotation[i].T + pose.translation[i]
                shown = corners @ matrix[:3, :3].T + matrix[:3, 3]
                assert np.abs(here - shown).max() < 0.15, (number, move.kind)


def test_a_step_looks_at_the_page_that_is_turned_over_the_other(built):
    """It stands upright for a moment, as high as it is wide."""
    _, course = built
    step, told = course.steps[-1], course_steps(course)[-1]
    figures, width = course.table.figures, course.table.book.width
    top = 0.0
    for move in step.moves:
        for share in np.linspace(0.0, 1.0, 21):
            pose, _, _ = course.table.pose(move, float(share))
            top = max(top, float(points(figures, [0, 1], pose)[:, 2].max()))
    assert top > 0.9 * width
    assert told["box"][5] > 0.9 * top


def test_steps_are_played_and_gone_through_by_buttons_and_keys(built, open_it):
    _, course = built
    page = open_it(width=1000, height=700, reduced_motion="no-preference")
    page.click("#tab-build")
    page.click("#step-next")
    caption = page.locator("#caption")
    assert caption.inner_text().startswith("1 of ")
    assert page.evaluate("foldstage.walking")
    page.keyboard.press(".")
    page.click("#step-back")
    assert caption.inner_text().startswith("1 of ")
    page.click("#step-play")
    assert page.locator("#step-play").inner_text() == "Pause steps"
    page.click("#step-play")
    assert not page.evaluate("foldstage.walking")
    page.click("#step-leave")
    assert caption.is_hidden()
    everything = {int(name) for name in page.evaluate("foldstage.facets()")}
    assert everything == set(numbered(course.table.figures.linkage).values())


@pytest.mark.parametrize("size", [{"width": 1000, "height": 700}, PHONE], ids=["desk", "phone"])
def test_no_violation_while_a_step_is_shown(open_it, size):
    page = open_it(**size)
    page.evaluate("foldstage.stand(2, 0.5)")
    if page.is_visible("#drawer"):
        page.click("#drawer")
    page.click("#tab-build")
    assert violations(page) == []


@pytest.mark.night
def test_a_page_without_a_course_shows_steps_as_before(open_page):
    page = open_page(width=1000, height=700)
    page.click("#tab-build")
    assert page.locator("#step-play").is_hidden()
    page.click("#step-next")
    assert page.locator("#caption").is_hidden()


def test_who_wants_less_motion_sees_each_step_done(built, open_it):
    _, course = built
    page = open_it(width=1000, height=700)
    page.click("#tab-build")
    page.click("#step-next")
    page.wait_for_function("() => !foldstage.walking")
    move = course.steps[0].moves[-1]
    assert page.evaluate("foldstage.opening") == pytest.approx(
        np.degrees(move.openings[1]), abs=0.6
    )


def test_a_page_grows_by_little(built, page_of_it):
    """Key poses take a few bytes a facet and move: far less than the script of the page."""
    from preview.viewer.page import as_data

    _, course = built
    told = len(as_data({"title": "", "live": False, "course": course_steps(course)}))
    moves = sum(len(step.moves) for step in course.steps)
    facets = len(course.table.figures.parts)
    assert told < 900 * moves * facets
    assert told < 0.2 * page_of_it.stat().st_size
