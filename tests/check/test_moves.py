"""What the solver found about a motion, as the report tells it; and strips that are pulled taut."""

import dataclasses

import numpy as np
import pytest

from meshes import check, spread
from meshes.check import Limits
from meshes.check.makeable import _span, makeable
from meshes.check.moves import moves
from meshes.motion.result import MotionFinding as Stop

from .gallery import design, tent, v_fold


def case_of(folder, text, openings=check.STAGES):
    file = folder / "case.toml"
    file.write_text(text)
    made = spread.read(file)
    return check.case_of(made, made.solve(openings))


@pytest.mark.parametrize(
    ("kind", "obstacle", "told", "severity", "advice"),
    [
        ("snap", "", "snaps", "warning", ""),
        ("snap", "w", "snaps", "warning", ""),
        ("two-branches", "", "two ways to fold", "warning", ""),
        ("two-branches", "w", "two ways to fold", "warning", "lead it past w by hand"),
        ("not-followed", "w", "not followed", "warning", ""),
        ("jam", "", "jams", "problem", ""),
        ("cannot-assemble", "", "cannot be assembled", "problem", ""),
    ],
)
def test_what_the_solver_found_is_told_with_its_fold_and_opening(
    tmp_path, kind, obstacle, told, severity, advice
):
    """Each kind of finding has one name and one weight; only paper to be led has a hint."""
    case = case_of(tmp_path, design(v_fold("v", 45, 60, 80, 80)))
    at = np.radians(75.0)
    stop = Stop(kind, at, "v.ridge", 1.25, "because", obstacle=obstacle)
    case = dataclasses.replace(case, motion=dataclasses.replace(case.motion, findings=(stop,)))
    (found,) = moves(case, Limits())[0]
    assert (found.kind, found.severity, found.piece) == (told, severity, "v")
    assert (found.parts, found.text, found.amount) == (("v.ridge",), "because", 1.25)
    assert found.worst_deg == pytest.approx(75)
    assert found.advice.startswith(advice)
    assert bool(found.advice) == bool(advice)
    # The place is the fold itself: from the apex in the gutter, 80 mm long.
    ends = np.array(found.place.points)
    assert np.linalg.norm(ends[1] - ends[0]) == pytest.approx(80)
    assert ends[0] == pytest.approx([0, 80, 0], abs=1e-6)


def carrier(flap, distance):
    """A strip from the left page over the gutter; its crease lies on the right page."""
    return design(
        '[pieces.c]\nkind = "strap"\nat = 100\nwidth = 40\ndirections = "zigzag"\n'
        f"distance = [{distance}, {distance}]\npanels = [{flap}, {flap}]\n"
    )


@pytest.mark.parametrize(
    ("panel", "slack", "taut"), [(30, 0, True), (30.2, 0.4, True), (30.3, 0.6, False)]
)
def test_a_strip_as_long_as_its_span_is_taut(tmp_path, panel, slack, taut):
    """Two panels over feet 30 mm from the gutter span 60 mm when the book lies flat open; a V-fold
    before it in the file spans nothing.
    """  # fmt: skip
    v = v_fold("a", 45, 60, 40, 30)
    case = case_of(tmp_path, carrier(panel, 30).replace("[pieces.c]", f"{v}[pieces.c]"))
    found = [one for one in makeable(case, Limits())[0] if one.kind == "taut"]
    assert bool(found) == taut
    for one in found:
        assert (one.piece, one.severity, one.limit) == ("c", "note", 0.5)
        assert one.amount == pytest.approx(slack, abs=1e-3)
        assert "the 60.0 mm that it spans" in one.text
    short = case_of(tmp_path, carrier(panel, 30), np.radians([0.0, 60.0, 120.0]))
    assert not [one for one in makeable(short, Limits())[0] if one.kind == "taut"]


def test_only_what_spans_the_gutter_with_parallel_folds_can_be_taut(tmp_path):
    """The folds of a V meet at its apex, so that no paper is stretched between them; a box on one
    page is folded over nothing.
    """  # fmt: skip
    v = '[pieces.v]\nkind = "v-fold"\nat = 60\npage_angle = 45\npanel_angle = 60\nbase = 40\n'
    case = case_of(tmp_path, v + "ridge = 60\n")
    assert not [one for one in makeable(case, Limits())[0] if one.kind == "taut"]
    assert _span(case, "v", np.pi) is None
    # Both panels of the strip lie flat: what it spans is the paper between its outer folds.
    strip = case_of(tmp_path, carrier(30, 30))
    assert _span(strip, "c", np.pi) == pytest.approx((60, 60), abs=1e-3)


def test_of_two_tents_that_jam_the_first_to_do_so_stops_the_spread(tmp_path):
    """p's right panel comes to lie where 55.6 + 27.3, 17.6 and 68.7 mm make a triangle, at 32.45°;
    q's left one only at 7.28°, by the law of cosines too.
    """  # fmt: skip
    text = design(
        tent("p", [17.6, 55.6], [68.7, 27.3], 20, 60), tent("q", [35.2, 44.6], [45, 36.4], 20, 120)
    )
    case = case_of(tmp_path, text)
    (one,) = [f for f in check.report(case).findings if f.kind == "does not close"]
    (a, b, c) = (82.9, 17.6, 68.7)
    assert one.amount == pytest.approx(
        np.degrees(np.arccos((a * a + b * b - c * c) / (2 * a * b))), abs=0.1
    )
    assert one.piece == "p"
