"""Where V-folds jam and which fold stops them, against spherical trigonometry.

The creases of a V-fold meet in one point, so their directions are the corners of a spherical
quadrilateral with sides page, page, panel, panel (a, b, p, q) and the opening as its angle at the
gutter. Its diagonal c between the glue creases follows from cos c = cos a cos b + sin a sin b cos
(opening), the law of cosines for sides (I. Todhunter, Spherical Trigonometry, chapter IV), and cuts
it into two triangles. Each end of the travel is a quadrilateral that has become a triangle:

- the ridge is pulled flat where c = p + q, or folded shut where c = |p - q|;
- a foot lies on its page where page and panel are one arc: for the right one
  cos q = cos b cos(a + p) + sin b sin(a + p) cos(opening).
"""

from __future__ import annotations

import numpy as np
import pytest

from meshes.motion.solve import solve
from tests.specimens import Pile, v_fold

SWEEP = np.radians(np.arange(181.0))
# Openings, degrees, at which a first pose is sought, in that order.
STARTS = (120, 90, 150, 60, 30)
FEW, SEED = 16, 3


def corner(opposite, one, two):
    """Angle of a spherical triangle from its sides, in half angles; NaN if there is none."""
    half = (opposite + one + two) / 2
    over = np.sin(half - one) * np.sin(half - two)
    under = np.sin(half) * np.sin(half - opposite)
    with np.errstate(invalid="ignore"):
        return 2 * np.arctan2(np.sqrt(over), np.sqrt(under))


def room(page, panel, opening):
    """How far the V-fold is from each end of its travel, radians; negative past it."""
    (a, b), (p, q) = page, panel
    c = np.arccos(np.cos(a) * np.cos(b) + np.sin(a) * np.sin(b) * np.cos(opening))
    right = corner(b, a, c) + corner(q, p, c)
    left = corner(a, b, c) + corner(p, q, c)
    return {
        ("ridge", "pulled"): min(p + q, 2 * np.pi - p - q) - c,
        ("ridge", "shut"): c - abs(p - q),
        ("foot-right", "shut"): np.pi - right,
        ("foot-left", "shut"): np.pi - left,
    }


def fits(page, panel, opening):
    return all(value >= 0 for value in room(page, panel, opening).values())


def end_of_travel(page, panel, start, end):
    """Opening at which the travel from a start to an end stops, and what stops it; else None."""
    openings = np.linspace(start, end, 400)
    first = next((k for k, o in enumerate(openings) if not fits(page, panel, o)), None)
    if first is None:
        return None
    good, bad = openings[first - 1], openings[first]
    while abs(bad - good) > 1e-13:
        middle = (good + bad) / 2
        good, bad = (middle, bad) if fits(page, panel, middle) else (good, middle)
    here = room(page, panel, good)
    return good, min(here, key=lambda name: here[name])


def expected_stops(page, panel):
    """Ends of the travel, ascending: opening, fold and cause; None if it cannot be assembled."""
    starts = [np.radians(start) for start in STARTS]
    start = next((s for s in starts if fits(page, panel, s)), None)
    if start is None:
        return None
    ends = [end_of_travel(page, panel, start, end) for end in np.radians([1e-3, 180 - 1e-3])]
    return [stop for stop in ends if stop is not None]


def solved_stops(page, panel):
    pile = Pile()
    v_fold(pile, "v", pile.gutter, 80, page, panel)
    motion = solve(pile.linkage, SWEEP)
    assert all(finding.kind == "jam" for finding in motion.findings)
    return motion, [
        (finding.opening, (finding.fold.partition(".")[2], finding.cause))
        for finding in motion.findings
    ]


# Angles in degrees (right, left): page, panel, opening where it stops, fold, cause, way it stops.
WORKED = {
    "left foot, closing": ((40, 50), (75, 60), 30.43, "foot-left", "shut", "close"),
    "right foot, closing": ((50, 60), (40, 75), 72.61, "foot-right", "shut", "close"),
    "right foot, mirrored": ((50, 40), (60, 75), 30.43, "foot-right", "shut", "close"),
    "left foot, mirrored": ((60, 50), (75, 40), 72.61, "foot-left", "shut", "close"),
    "ridge, opening": ((60, 60), (40, 40), 95.84, "ridge", "pulled", "open"),
}


@pytest.mark.parametrize("name", WORKED)
def test_the_fold_that_has_reached_its_end_is_named(name):
    page, panel, degrees, fold, cause, way = WORKED[name]
    (stop,) = expected_stops(*(np.radians(pair) for pair in (page, panel)))
    assert np.degrees(stop[0]) == pytest.approx(degrees, abs=0.005)
    motion, found = solved_stops(*(np.radians(pair) for pair in (page, panel)))
    ((opening, what),) = found
    assert opening == pytest.approx(stop[0], abs=1e-8)
    assert what == stop[1] == (fold, cause)
    words = {"shut": "is folded shut (180°)", "pulled": "is pulled flat (0°)"}[cause]
    reason = motion.findings[0].reason
    assert reason.startswith(f"v.{fold} {words} at {degrees:.2f}°, so the spread cannot {way} ")


def random_v_folds(count, seed):
    random = np.random.default_rng(seed)
    while count:
        page, panel = random.uniform(15, 80, 2), random.uniform(15, 140, 2)
        if page.sum() > 170 or panel.sum() < abs(page[0] - page[1]) + 5:
            continue
        stops = expected_stops(np.radians(page), np.radians(panel))
        if stops:
            count -= 1
            yield np.radians(page), np.radians(panel), stops


def mismatches(count, seed):
    """Random V-folds that jam elsewhere, or by another fold, than trigonometry says."""
    wrong = []
    for page, panel, stops in random_v_folds(count, seed):
        _, found = solved_stops(page, panel)
        same = len(found) == len(stops) and all(
            abs(one[0] - two[0]) < 1e-6 and one[1] == two[1]
            for one, two in zip(sorted(found), sorted(stops), strict=False)
        )
        if not same:
            wrong.append((np.degrees(page), np.degrees(panel), stops, found))
    return wrong


def test_random_v_folds_jam_where_and_by_what_trigonometry_says():
    assert mismatches(FEW, SEED) == []


def test_the_cure_for_each_cause_cures_it():
    """Kawasaki and Justin's condition lets it close; p + q > a + b lets it open (triangle)."""
    for page, panel, stops in random_v_folds(8, SEED + 1):
        for _, (fold, cause) in stops:
            cured = panel.copy()
            if cause == "pulled":
                cured *= 1.05 * page.sum() / panel.sum()
                (before,) = (stop for stop in stops if stop[1][1] == "pulled")
                after = [stop for stop in solved_stops(page, cured)[1] if stop[1][1] == "pulled"]
                assert not after or after[0][0] > before[0]
                continue
            # The way over the fold that stops is the shorter one.
            short = ("foot-right", "foot-left").index(fold)
            total = page + panel
            assert total[short] < total[1 - short]
            cured[short] += total[1 - short] - total[short]
            if cured.sum() < np.pi:
                assert not any(what[1] == "shut" for _, what in solved_stops(page, cured)[1])
