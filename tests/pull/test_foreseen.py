"""What a number does to the held point is foreseen as the whole solver then finds it."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from meshes.pieces import KINDS as REGISTER
from meshes.pull.choose import Ray, Tug, numbers, pulls

from .kinds import HEAD, KINDS, LEAF
from .pulling import held, outermost, sketched, whole

PLACES = ("at", "x", "y", "from_foot")
# Kinds that have no number of a sort, or none that moves what is held here.
WITHOUT = {
    ("tent", "angle"),
    ("carrier", "angle"),
    ("strap", "angle"),
    ("box", "angle"),
    ("platform", "angle"),
    ("stair", "angle"),
    ("mouth", "angle"),
    ("flyleaf", "angle"),
    ("drawn", "angle"),
    ("drawn", "length"),
}


def sort(number):
    what = number.bounds.what
    if what == "length" and number.path[-1] in PLACES and len(number.path) == 3:
        return "place"
    return what


def test_every_kind_has_a_specimen():
    assert list(KINDS) == list(REGISTER)


@pytest.mark.parametrize("kind", KINDS)
def test_one_place_one_angle_and_one_length_of_every_kind(kind):
    """A mm or a degree moves the point within half a mm of what the whole solver then finds."""
    sketch = sketched(HEAD + KINDS[kind])
    part, point = outermost(sketch, "p")
    hold = held(sketch, part, point, 110)
    best = {}
    wanted = [one for one in numbers(hold)[0] if one.given or len(one.path) == 3]
    for pull in pulls(hold, wanted):
        before = best.get(sort(pull.number))
        if before is None or np.linalg.norm(pull.way) > np.linalg.norm(before.way) + 1e-9:
            best[sort(pull.number)] = pull
    assert {"place", "angle", "length"} - best.keys() == {
        what for own, what in WITHOUT if own == kind
    }
    for what in ("place", "angle", "length"):
        if what in best:
            pull = best[what]
            there = whole(hold, {pull.number.path: pull.value + 1})
            assert np.linalg.norm(there - hold.place - pull.way) < 0.5, pull


TWO = HEAD + KINDS["tent"].replace("pieces.p", "pieces.host").replace("width = 30", "width = 60")


@settings(max_examples=16, deadline=None, derandomize=True, database=None)
@given(
    opening=st.floats(25, 170),
    share=st.tuples(st.floats(0.05, 0.95), st.floats(0.05, 0.95)),
    ridge=st.floats(10, 50),
    which=st.integers(0, 100),
)
def test_random_points_at_random_openings_own_numbers_and_those_of_the_host(
    opening, share, ridge, which
):
    sketch = sketched(
        TWO + f'\n[pieces.p]\nkind = "v-fold"\non = "host.ridge"\nat = {ridge}\npage_angle = 40\n'
        f"panel_angle = 60\nbase = 10\noutline = {LEAF}\n"
    )
    facet = next(
        part for body in sketch.spread.linkage.bodies for part in body.parts if part.id == "p.left"
    ).polygon
    low, high = np.array(facet.bounds).reshape(2, 2)
    point = low + np.array(share) * (high - low)
    if not facet.contains(shapely.Point(point)):
        point = np.array(facet.representative_point().coords[0])
    hold = held(sketch, "p.left", point, opening)
    own, others = numbers(hold)
    names = {".".join(map(str, number.path)) for number in [*own, *others]}
    assert {"pieces.p.at", "pieces.host.at", "pieces.host.panel"} <= names
    given_ones = [number for number in [*own, *others] if number.given]
    number = given_ones[which % len(given_ones)]
    # Of some numbers the paper there knows nothing.
    for pull in pulls(hold, [number]):
        step = 0.005 if number.bounds.what == "number" else 0.5
        there = whole(hold, {number.path: pull.value + step})
        assert np.linalg.norm(there - hold.place - step * pull.way) < 0.5, pull


def test_the_ridge_of_a_tent_rises_as_the_theorem_of_pythagoras_has_it():
    """Feet at a from the gutter, panels p: the ridge is a cos + sqrt(p² - a² sin²) over the gutter.

    Elementary geometry of the section: both feet lie at half the opening from the middle plane.
    """
    sketch = sketched(HEAD + KINDS["tent"])
    half = np.radians(110 / 2)
    a, p = 24.0, 44.0
    left = next(
        part for body in sketch.spread.linkage.bodies for part in body.parts if part.id == "p.left"
    )
    on_ridge = left.placement.apply(np.array([0.0, 5.0]))
    hold = held(sketch, "p.left", on_ridge, 110)
    height = a * np.cos(half) + np.sqrt(p**2 - (a * np.sin(half)) ** 2)
    assert hold.place == pytest.approx([0, 95, height], abs=1e-6)
    rise = p / np.sqrt(p**2 - (a * np.sin(half)) ** 2)
    ways = {pull.number.path[-1]: pull.way for pull in pulls(hold, numbers(hold)[0])}
    assert ways["panel"] == pytest.approx([0, 0, rise], abs=5e-3)
    assert ways["at"] == pytest.approx([0, 1, 0], abs=1e-6)
    # Of half the width in front of the middle, a third of it is where 5 of 15 mm are.
    assert ways["width"] == pytest.approx([0, 1 / 6, 0], abs=1e-6)


@pytest.mark.night
def test_a_long_step_past_the_hand_comes_back_to_it():
    """The way of a petal's tip bends: at once it would end where the flower can't open wider."""
    sketch = sketched(HEAD + KINDS["blossom"])
    part, point = outermost(sketch, "p", inwards=0.1)
    hold = held(sketch, part, point, 110)
    pull = next(one for one in pulls(hold, numbers(hold)[0]) if one.number.path[-1] == "angle")
    # The hand is where the tip is seen at 57 degrees.
    target = whole(hold, {pull.number.path: 57.0})
    eye = target + np.array([0.0, -400.0, 300.0])
    tug, ray = Tug(hold, pull), Ray(eye, target)
    # The page asks at every move of the hand, and once more when it lets go.
    assert all(abs(tug.to(ray).value - 57) <= 2 for _ in range(3))
