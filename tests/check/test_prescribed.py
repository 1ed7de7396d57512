"""Motions that no solver would give, so that the checks are judged alone.

Poses are closed forms; every expected number follows from them by hand.
"""

from __future__ import annotations

from dataclasses import replace
from math import acos, degrees, radians

import numpy as np
import pytest
from shapely.geometry import Point, Polygon, box

from meshes.check import Case, Limits, questions
from meshes.check.clash import collisions
from meshes.check.poses import poses_of
from meshes.check.trim import best_trim

from . import worked as w

HALF = np.arange(20.0, 181.0)


def case_of(made):
    return Case("case", made.sheets, made.joins, made.linkage, made.motion)


def clashes(made, **limits):
    report = questions.report(case_of(made), Limits(**limits))
    return [f for f in report.answer("clash").findings if f.severity == "problem"]


def over_right_page(height):
    """A plate parallel to the right page at a height that depends on the opening."""

    def pose(opening):
        turn, _ = w.page_pose(1)(opening)
        return turn, turn[:, 2] * height(opening)

    return pose


def page_with_slit(slit):
    sheet = w.page_sheet()
    facets = tuple(
        replace(f, polygon=f.polygon.difference(slit)) if f.name == "right" else f
        for f in sheet.facets
    )
    return replace(sheet, facets=facets)


def strap_through_page(low, high):
    """A strap that stands across the right page."""
    return w.plate("strap", box(-20, low, 30, high), slanted)


def test_strap_wider_than_its_slit_is_pushed_and_trimmed_by_the_excess():
    page = page_with_slit(box(59.5, 91, 60.5, 109))
    found = clashes(w.spread(strap_through_page(90, 110), openings_deg=HALF, page=page))
    assert len(found) == 1
    assert found[0].amount == pytest.approx(1.0, abs=0.001)
    assert "take 1.00 mm off the free edges of strap.flat" in found[0].advice


def test_strap_inside_its_slit_passes():
    page = page_with_slit(box(59, 89, 61, 109))
    assert clashes(w.spread(strap_through_page(90, 108), openings_deg=HALF, page=page)) == []


@pytest.mark.parametrize("seed", range(4))
def test_a_trim_frees_and_takes_no_more_than_a_straight_cut(seed):
    """The plate meets the page along x = 0 at every opening: cut there it is free of it."""
    random = np.random.default_rng(seed)
    low, high = random.uniform(3, 12), random.uniform(8, 30)
    left, right = random.uniform(40, 60, 2)
    corners = [(-low, 95), (-0.4 * low, 95 - left / 4), (high, 90 - left / 4)]
    corners += [(0.8 * high, 100 + right / 4), (-low, 98 + right / 8)]

    def found(outline):
        plate = w.plate("strap", outline, slanted)
        return collisions(case_of(w.spread(plate, openings_deg=np.arange(40.0, 141.0, 4.0))))

    before = found(Polygon(corners))
    (clash,) = [c for c in before.contacts if before.pairs.facets.is_page(c.contact.first)]
    trim = best_trim(before.pairs, clash.contact, clash.tried, 0.05)
    assert trim is not None
    assert trim.amount <= min(low, high) + 0.01
    assert trim.outline.area < Polygon(corners).area
    after = found(trim.outline)
    assert all(c.push <= 0.05 for c in after.contacts)
    # Half of what was cut off, put back on, clashes again.
    again = found(Polygon(corners).intersection(trim.outline.buffer(trim.amount / 2)))
    assert any(c.push > 0.05 for c in again.contacts)


def test_a_disc_that_turns_half_below_the_page_has_no_trim():
    """Each half of it is below the page at one opening or another: no cut leaves anything."""

    def turning(opening):
        frame, shift = slanted(opening)
        x = frame @ [np.cos(4 * opening), np.sin(4 * opening), 0]
        return w.frame(x, np.cross(frame[:, 2], x)), shift + 100 * w.Y

    plate = w.plate("disc", Point(0, 0).buffer(20), turning)
    before = collisions(case_of(w.spread(plate, openings_deg=np.arange(60.0, 121.0, 2.0))))
    (clash,) = [c for c in before.contacts if before.pairs.facets.is_page(c.contact.first)]
    assert clash.push > 1
    assert best_trim(before.pairs, clash.contact, clash.tried, 0.05) is None


def slanted(opening):
    """Standing on the right page 60 mm from the gutter, at half its angle."""
    turn, _ = w.page_pose(1)(opening)
    up = turn @ np.array([np.cos(opening / 2), 0.0, np.sin(opening / 2)])
    return w.frame(up, w.Y), turn @ np.array([60.0, 0.0, 0.0])


def test_the_deepest_contact_comes_first():
    made = [w.plate(name, box(-low, y, 30, y + 9), slanted) for name, low, y in DEPTHS]
    found = collisions(case_of(w.spread(*made, openings_deg=np.arange(60.0, 121.0, 5.0))))
    pushes = [one.push for one in found.contacts]
    assert len(pushes) == 3
    # A strip that reaches through by less than its width is freed by drawing it out: low sin(t/2).
    assert pushes == pytest.approx(
        [3 * np.sin(radians(60)), 2 * np.sin(radians(60)), np.sin(radians(60))], abs=0.01
    )


DEPTHS = (("middle", 2.0, 80), ("shallow", 1.0, 100), ("deep", 3.0, 120))


def test_a_motion_of_one_stage_has_no_contact_on_its_way():
    made = w.spread(strap_through_page(90, 110), openings_deg=np.array([90.0]))
    assert collisions(case_of(made)).contacts == ()


def test_parallel_plates_that_change_sides_are_found_without_a_chord():
    made = w.spread(
        w.plate("a", box(40, 40, 80, 80), over_right_page(lambda t: 30 * np.sin(t))),
        w.plate("b", box(40, 40, 80, 80), over_right_page(lambda t: 25 * np.sin(t / 2))),
        openings_deg=HALF,
    )
    found = clashes(made)
    assert [f.kind for f in found] == ["changes sides"]
    # 30 sin θ = 25 sin(θ/2) where cos(θ/2) = 25/60
    assert found[0].worst_deg == pytest.approx(2 * degrees(acos(25 / 60)), abs=0.1)
    assert found[0].amount == pytest.approx(1600, abs=1)


def test_parallel_plates_that_keep_their_distance_are_sound():
    made = w.spread(
        w.plate("a", box(40, 40, 80, 80), over_right_page(lambda t: 24 * np.sin(t))),
        w.plate("b", box(40, 40, 80, 80), over_right_page(lambda t: 24 * np.sin(t) + 0.6)),
        openings_deg=HALF,
    )
    assert clashes(made) == []


def test_foot_beyond_the_end_of_its_fold_goes_through_the_page():
    # The glued stretch of the right foot ends at 20; from 25 to 35 the panel reaches 6 below the
    # base line. Push 6 sin ε, most where the panel stands square to the page.
    made = w.v_fold("v", (45, 60, 45, 60), 80, 100, base=20)
    angle = radians(30)
    along = np.array([np.cos(angle), np.sin(angle)])
    below = np.array([along[1], -along[0]])
    foot = [25 * along, 25 * along + 6 * below, 35 * along + 6 * below, 35 * along]
    spike = Polygon([*foot, [15.0, 45.0], [8.0, 40.0]])
    made = w.Made(
        (*made.sheets, *w.art("spike", spike, "v.right").sheets),
        (*made.joins, *w.art("spike", spike, "v.right").joins),
        made.poses,
    )
    found = [f for f in clashes(w.spread(made)) if "page.right" in f.parts]
    assert len(found) == 1
    assert found[0].amount == pytest.approx(6.0, abs=0.01)
    assert found[0].worst_deg == pytest.approx(136, abs=1.0)
    assert "cut 6.00 mm off spike.flat" in found[0].advice


def test_the_same_foot_cut_at_the_base_line_is_sound():
    made = w.v_fold("v", (45, 60, 45, 60), 80, 100, base=20)
    angle = radians(30)
    along = np.array([np.cos(angle), np.sin(angle)])
    above = np.array([-along[1], along[0]]) * 0.5
    spike = w.art(
        "spike",
        Polygon([25 * along + above, 35 * along + above, [15.0, 45.0], [8.0, 40.0]]),
        "v.right",
    )
    made = w.Made((*made.sheets, *spike.sheets), (*made.joins, *spike.joins), made.poses)
    assert clashes(w.spread(made)) == []


def test_contact_shorter_than_one_stage_is_found():
    # A bar of 1 mm crosses a plate's edge at 2.5 mm/°: together for 0.4°, between two stages.
    def bar(opening):
        across = 2.5 * (degrees(opening) - 60.5)
        return w.frame(np.array([0.0, 0.0, 1.0]), w.Y), np.array([across, 0.0, 50.0])

    made = w.spread(
        w.plate("bar", box(0, 40, 20, 60), bar),
        w.plate("sliver", box(-0.5, 30, 0.5, 70), above_gutter),
        openings_deg=np.arange(30.0, 91.0),
    )
    found = [f for f in clashes(made) if set(f.parts) == {"bar.flat", "sliver.flat"}]
    assert len(found) == 1
    assert found[0].from_deg == pytest.approx(60.3, abs=0.1)
    assert found[0].to_deg == pytest.approx(60.7, abs=0.1)
    assert found[0].amount == pytest.approx(0.5, abs=0.02)


def test_no_brief_contact_slips_between_two_tests():
    random = np.random.default_rng(1)
    for speed, width, middle in random.uniform((0.5, 0.12, 60), (4, 1, 61), (40, 3)):

        def bar(opening, speed=speed, middle=middle):
            across = speed * (degrees(opening) - middle)
            return w.frame(np.array([0.0, 0.0, 1.0]), w.Y), np.array([across, 0.0, 50.0])

        made = w.spread(
            w.plate("bar", box(0, 40, 20, 60), bar),
            w.plate("sliver", box(-width / 2, 30, width / 2, 70), above_gutter),
            openings_deg=np.arange(58.0, 64.0),
        )
        case = case_of(made)
        found = [
            push
            for contact, push in collided(case)
            if not case.facets.is_page(contact.first) and not case.facets.is_page(contact.second)
        ]
        assert found == [pytest.approx(width / 2, abs=0.02)]


def above_gutter(_):
    return np.eye(3), np.array([0.0, 0.0, 60.0])


def collided(case):
    return [(one.contact, one.push) for one in collisions(case).contacts]


def test_raised_facet_is_told_with_its_distance():
    made = w.spread(
        w.plate("a", box(40, 40, 80, 80), over_right_page(lambda t: 2.0 + 30 * np.sin(t)))
    )
    found = questions.report(case_of(made)).answer("flat").findings
    assert [f.kind for f in found] == ["stands off"]
    assert found[0].amount == pytest.approx(2.0, abs=1e-6)


def test_tilted_facet_is_told_with_its_angle():
    tilt = radians(3.0)

    def pose(opening):
        turn, _ = w.page_pose(1)(opening)
        x = turn @ np.array([np.cos(tilt), 0.0, np.sin(tilt)])
        return w.frame(x, w.Y), np.zeros(3)

    found = (
        questions.report(case_of(w.spread(w.plate("a", box(10, 40, 50, 80), pose))))
        .answer("flat")
        .findings
    )
    assert len(found) == 1
    assert found[0].amount == pytest.approx(3.0, abs=0.001)


def test_unsolved_stages_are_reported_and_not_judged():
    made = w.spread(w.tent("t", 30, 40, 30, 40, 80, 40))
    motion = made.motion
    solved = motion.openings > radians(20.5)
    rotations = motion.rotations.copy()
    rotations[~solved] = np.nan
    stopped = replace(made, motion=replace(motion, solved=solved, rotations=rotations))
    report = questions.report(case_of(stopped))
    assert [f.kind for f in report.answer("moves").findings] == ["jams"]
    assert report.answer("flat").findings[0].amount == pytest.approx(21.0)
    assert report.answer("inside").verdict == "unknown"
    assert report.answer("thickness").verdict == "unknown"


def test_switched_off_questions_are_not_asked():
    made = w.spread(w.tent("t", 70, 90, 70, 90, 80, 40))
    report = questions.report(case_of(made), Limits(inside=False, looks=False))
    assert report.passes
    assert report.answer("inside").verdict == "not-asked"


def test_poses_between_stages_follow_the_closed_form():
    made = w.spread(w.v_fold("v", (45, 60, 45, 60), 80, 100))
    body, _ = made.linkage.place("v.right")
    poses = poses_of(made.motion)
    worst = 0.0
    for opening in np.radians(np.arange(2.5, 178.0, 5.0)):
        turn, shift = w.v_fold("v", (45, 60, 45, 60), 80, 100).poses["v.right"](opening)
        pose = poses.at(np.array([opening]), np.array([body]))
        tip = np.array([0.0, 80.0, 0.0])
        here = pose.rotation[0] @ tip + pose.translation[0]
        worst = max(worst, float(np.linalg.norm(here - (turn @ tip + shift))))
    assert worst < 1e-5


def test_hidden_share_of_a_plate_behind_a_plate():
    # Seen from the reader's place, 40° above the table, a plate right behind one half as high.
    def upright(y):
        return lambda opening: (
            np.column_stack([[1.0, 0, 0], [0, 0, 1.0], [0, -1.0, 0]]),
            np.array([-20.0, y, 5.0]),
        )

    made = w.spread(
        w.plate("front", box(0, 0, 40, 20), upright(99.9)),
        w.plate("behind", box(0, 0, 40, 40), upright(100.0)),
        openings_deg=np.arange(100.0, 181.0),
    )
    shares = questions.report(case_of(made)).answer("looks").measures["hidden_percent"]
    # A little under a half: the upper half is nearer to the eye.
    assert shares["180"]["behind"] in (45, 50)
    assert shares["180"]["front"] <= 5, "shares are told to 5 %"


def test_a_plate_that_is_never_seen_is_told_and_one_half_seen_is_not():
    """Limit: 60 % hidden at all openings that are looked at, our choice."""

    def upright(y):
        return lambda opening: (
            np.column_stack([[1.0, 0, 0], [0, 0, 1.0], [0, -1.0, 0]]),
            np.array([-20.0, y, 5.0]),
        )

    made = w.spread(
        w.plate("front", box(0, 0, 40, 30), upright(99.9)),
        w.plate("lost", box(5, 2, 35, 20), upright(100.0)),
        w.plate("half", box(20, 0, 60, 30), upright(100.0)),
        openings_deg=np.arange(60.0, 181.0, 20.0),
    )
    report = questions.report(case_of(made))
    hidden = [one.piece for one in report.findings if one.kind == "hidden"]
    assert hidden == ["lost"]
