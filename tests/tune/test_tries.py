"""Tries of a search: shared between processes, taken from the present design, kept for later."""

from __future__ import annotations

import numpy as np
import pytest

from meshes.cache import Shelf
from meshes.check import case_of
from meshes.check.clash import collisions
from meshes.spread import read
from meshes.tune import trial
from meshes.tune.evolve import evolve
from meshes.tune.search import search
from meshes.tune.trial import Variable
from meshes.tune.wish import parse

from ..check.gallery import design, tent, v_fold


@pytest.fixture
def clashing(tmp_path):
    """Three tents in a row; the ridge of the inner one goes through the outer one's."""
    pieces = [
        tent("outer", 30, 40, 60, 80),
        tent("inner", 15, 48, 40, 80),
        tent("apart", 10, 14, 150, 30),
    ]
    file = tmp_path / "case.toml"
    file.write_text(design(*pieces), encoding="utf-8")
    return file


VARIABLES = [Variable("pieces.inner.panel", 16, 49, 48)]


# Panels shorter than their feet are apart tear, so that some of these get stuck.
NAMES = ("pieces.petal.ridge", "pieces.outer.panel", "pieces.petal.panel_angle")
LEAST, MOST = (40, 10, 45), (90, 60, 75)


def in_reverse(task, items):
    """Do the last item first, as another process might, each with nothing known before."""
    done = []
    for item in reversed(list(items)):
        trial._present.cache_clear()
        done.append(task(item))
    return iter(done[::-1])


def test_a_search_does_not_depend_on_who_makes_its_tries_and_in_which_order(clashing):
    found = search(clashing, VARIABLES, tries=8)
    assert found == search(clashing, VARIABLES, tries=8, share=in_reverse)


TEARING = [
    Variable("pieces.outer.panel", 20, 90, 30),
    Variable("pieces.outer.distance", 20, 60, 40),
]


@pytest.fixture
def tearing(tmp_path):
    """A tent that tears at its present values, so no slopes lead away from there."""
    file = tmp_path / "case.toml"
    file.write_text(design(tent("outer", 40, 30, 60, 80)), encoding="utf-8")
    return file


def test_random_starts_are_led_side_by_side(tearing):
    rounds = []

    def noting(task, items):
        rounds.append(list(items))
        return map(task, rounds[-1])

    found = search(tearing, TEARING, [parse("outer.height >= 30 at 180")], 30, share=noting)
    assert found.fits
    # At full opening the ridge of an even tent stands over the gutter, by Pythagoras.
    panel, distance = (found.values[one.path] for one in TEARING)
    assert panel**2 - distance**2 >= 30**2 - 1e-6
    assert found.tries <= 30
    assert max(len(one) for one in rounds) > 3


@pytest.mark.night
@pytest.mark.parametrize("most", [1, 3, 30, 90])
def test_no_search_takes_more_tries_than_there_are(tearing, most):
    wishes = [parse("outer.height >= 89")]
    found = search(tearing, TEARING, wishes, most)
    assert found.tries <= most
    # What could not be measured is NaN, which equals nothing.
    assert str(found) == str(search(tearing, TEARING, wishes, most, share=in_reverse))


def test_a_search_that_was_stopped_goes_on_where_it_was(clashing, tmp_path):
    shelf, asked = Shelf(tmp_path / "tries", None), []

    def counting(task, items):
        for item in items:
            asked.append((item.values, item.clashes))
            yield task(item)

    def stopping(standing):
        if len(asked) >= 5 and not stopped:
            stopped.append(standing)
            raise KeyboardInterrupt

    stopped: list[object] = []
    halfway = search(clashing, VARIABLES, (), 8, stopping, counting, shelf)
    assert halfway.stopped
    made = len(asked)
    whole = search(clashing, VARIABLES, (), 8, share=counting, shelf=shelf)
    assert whole == search(clashing, VARIABLES, (), 8)
    assert not [one for one in asked[made:] if one in asked[:made]]


def test_what_moves_as_before_collides_as_before(clashing):
    before = collisions(case_of(read(clashing, {})))
    assert before.contacts
    for values in ({"pieces.inner.panel": 49.0}, {"pieces.apart.at": 60.0}):
        case = case_of(read(clashing, values))
        afresh, taken = collisions(case), collisions(case, before)
        rows = [
            sorted(
                (c.contact.first, c.contact.second, c.contact.start, c.contact.end, c.push)
                for c in found.contacts
            )
            for found in (afresh, taken)
        ]
        assert rows[0]
        np.testing.assert_allclose(rows[1], rows[0], atol=1e-6)


def test_a_few_stages_tell_what_all_of_them_tell(tmp_path, monkeypatch):
    # Judge: the same trial with every stage of a check solved, as the full check does it.
    file = tmp_path / "case.toml"
    pieces = tent("outer", 30, 40, 60, 80), v_fold("petal", 50, 62, 70, 150, foot=40)
    file.write_text(design(*pieces), encoding="utf-8")
    wishes = [parse(f"petal.height >= {30 + k} at {at}") for k, at in enumerate((180, 77, 31.4))]
    wishes.append(parse("outer.foot-left >= 20 at 122.25"))
    random = np.random.default_rng(5)
    rows = [dict(zip(NAMES, row, strict=True)) for row in random.uniform(LEAST, MOST, (5, 3))]
    asked = [trial.Asked(values, clashes=False) for values in rows]
    quick = [trial.judge(file, wishes, one) for one in asked]
    monkeypatch.setattr(trial._TriedDesign, "quick", lambda self, wishes: self.whole)
    whole = [trial.judge(file, wishes, one) for one in asked]
    assert 1 <= sum(one.smooth is None for one in whole) <= 4
    for one, two in zip(quick, whole, strict=True):
        assert (one.smooth is None) == (two.smooth is None)
        assert one.penalty == pytest.approx(two.penalty, abs=1e-8)
        if one.smooth is not None:
            np.testing.assert_allclose(one.smooth, two.smooth, rtol=0, atol=1e-8)


def test_evolution_finds_the_least_of_a_bumpy_function():
    # L. A. Rastrigin's test function, with its least value 0 where all coordinates are alike.
    def totals(points, enough):
        shares = (np.array(points) - 0.37) * 8
        return (10 + shares**2 - 10 * np.cos(2 * np.pi * shares)).sum(axis=1).tolist()

    best = evolve(totals, np.array([0.9, 0.1]), 24, 100, 1e-6, 1)[0]
    np.testing.assert_allclose(best, 0.37, atol=1e-3)


def test_trials_that_cannot_win_need_no_exact_total():
    def exact(points, enough):
        return [float(((np.array(p) - 0.6) ** 2).sum()) for p in points]

    def lazy(points, enough):
        found = exact(points, None)
        if enough is None:
            return found
        # Anything above what is to be beaten will do.
        return [most * 1.001 if f > most else f for f, most in zip(found, enough, strict=True)]

    first = np.array([0.1, 0.9, 0.5])
    one, two = (evolve(totals, first, 12, 20, 0.0, 3) for totals in (exact, lazy))
    np.testing.assert_array_equal(one, two)
