from __future__ import annotations

import numpy as np
import pytest

from meshes.motion.solve import solve
from meshes.sheet import Placement
from tests.specimens import (
    Legs,
    Pile,
    box_on,
    carrier,
    cone,
    flower_in,
    flower_on,
    strip,
    tent,
    v_fold,
)

DEGREES = np.radians(np.arange(181.0))


def rad(*degrees):
    return tuple(np.radians(degrees))


def simple() -> Pile:
    pile = Pile()
    v_fold(pile, "v", pile.gutter, 60, rad(45, 45), rad(60, 60))
    return pile


def flower(gamma: float = 40.5, sectors: float = 52.0) -> Pile:
    """A six-sector cone on legs 14 mm up its sectors and 9.5 mm from the gutter."""
    pile = Pile()
    length = np.sqrt(14**2 + 9.5**2 - 2 * 14 * 9.5 * np.cos(np.radians(gamma)))
    size = [np.radians(sectors)] * 6
    flower_on(pile, "f", pile.gutter, 100, size, (29, 43), Legs(14, 9.5, float(length), 4.5))
    return pile


@pytest.mark.parametrize("degrees", [0, 0.01, 0.3, 1, 33.3, 120, 179, 179.7, 180])
def test_one_opening_gives_what_a_whole_sweep_gives(degrees):
    pile = simple()
    flower_on(pile, "f", pile.gutter, 150, rad(*[52] * 6), (29, 43), Legs(14, 9.5, 9.0, 4.5))
    linkage = pile.linkage
    alone = solve(linkage, np.radians([degrees]))
    swept = solve(linkage, np.radians(np.unique([*range(0, 181, 15), degrees])))
    k = int(np.argmin(np.abs(swept.openings - np.radians(degrees))))
    assert alone.solved.all()
    assert alone.openings[0] == np.radians(degrees)
    np.testing.assert_allclose(alone.angles[0], swept.angles[k], atol=1e-6)


@pytest.mark.parametrize(
    ("openings", "words"),
    [
        ([1.0, 0.5], "ascend"),
        ([-0.1], "between"),
        ([4.0], "between"),
        ([np.nan], "finite"),
        ([], "one"),
    ],
)
def test_openings_that_make_no_sense_are_refused(openings, words):
    with pytest.raises(ValueError, match=words):
        solve(simple().linkage, np.array(openings))


def test_a_spread_without_pieces_has_only_pages():
    motion = solve(Pile().linkage, DEGREES)
    assert motion.solved.all()
    assert motion.angles.shape == (181, 0)
    assert motion.gaps.max() == 0


def test_pages_tilt_alike_and_lie_flat_at_180():
    motion = solve(Pile().linkage, np.radians([0.0, 70.0, 180.0]))
    right, left = motion.rotations[:, 1, :, 0], -motion.rotations[:, 0, :, 0]
    half = np.radians([0, 35, 90])
    np.testing.assert_allclose(
        right, np.column_stack([np.sin(half), 0 * half, np.cos(half)]), atol=1e-15
    )
    np.testing.assert_allclose(left, right * [-1, 1, 1], atol=1e-15)


def test_the_hinge_equation_holds_for_every_fold():
    """R0 F0 Rx(phi) = R1 F1 and both sides' origins meet: what `Hinge` promises to others."""
    pile = simple()
    box_on(pile, "b", pile.gutter, 110, 20, 30, 25)
    linkage = pile.linkage
    motion = solve(linkage, DEGREES[::20])
    for k, hinge in enumerate(linkage.hinges):
        a, b = hinge.bodies
        cos, sin = np.cos(motion.angles[:, k]), np.sin(motion.angles[:, k])
        turn = np.zeros((len(cos), 3, 3))
        turn[:, 0, 0], turn[:, 1, 1], turn[:, 2, 2] = 1, cos, cos
        turn[:, 1, 2], turn[:, 2, 1] = -sin, sin
        near = motion.rotations[:, a] @ hinge.frames[0] @ turn
        np.testing.assert_allclose(near, motion.rotations[:, b] @ hinge.frames[1], atol=1e-10)
        here = motion.rotations[:, a] @ hinge.origins[0] + motion.translations[:, a]
        there = motion.rotations[:, b] @ hinge.origins[1] + motion.translations[:, b]
        np.testing.assert_allclose(here, there, atol=1e-9)


def test_loose_paper_stays_where_it_is_drawn_and_is_reported():
    pile = simple()
    strip(pile, "lost", [10, 30], [-1], ["tab", "leaf"], ["fold"], 20)
    motion = solve(pile.linkage, DEGREES[::30])
    assert motion.solved.all()
    (finding,) = motion.findings
    assert finding.kind == "cannot-assemble"
    assert "nothing holds lost.leaf" in finding.reason
    body, _ = pile.linkage.place("lost.leaf")
    np.testing.assert_array_equal(motion.rotations[:, body], np.tile(np.eye(3), (7, 1, 1)))


def flap() -> Pile:
    pile = Pile()
    strip(pile, "flap", [10, 30], [-1], ["tab", "leaf"], ["fold"], 20)
    pile.glue("flap.tab", pile.gutter.right, [(10, 0), (10, 20)], [(50, 50), (50, 70)])
    return pile


def test_a_flap_rests_at_its_rest_angle_until_a_page_presses_it():
    motion = solve(flap().linkage, DEGREES)
    assert motion.solved.all()
    assert not motion.findings
    angles = np.degrees(motion.angles[:, 0])
    # Upright and 30 long at 50 mm from the gutter: the other page reaches its tip at atan(30/50).
    touch = np.degrees(np.arctan(30 / 50))
    assert np.abs(angles[np.radians(touch + 0.5) < DEGREES] + 90).max() < 1e-5
    assert np.all(np.diff(angles[np.radians(touch - 0.5) > DEGREES]) < 0)
    assert angles[0] == pytest.approx(0, abs=1e-6)


def test_a_body_in_a_stack_of_flaps_follows():
    pile = flap()
    strip(pile, "more", [6, 15], [1], ["tab", "leaf"], ["fold"], 10)
    pile.joins.append(pile.site("flap", "fold").right.join("more.tab", Placement(0.0, (5.0, 5.0))))
    motion = solve(pile.linkage, DEGREES[::10])
    assert motion.solved.all()
    assert motion.gaps.max() < 1e-9


def test_past_a_jam_stages_are_unsolved_and_nan():
    pile = Pile()
    tent(pile, "t", pile.gutter, 50, (30, 20), (40, 35))
    motion = solve(pile.linkage, DEGREES)
    np.testing.assert_array_equal(motion.solved, np.arange(181) >= 46)
    assert np.isnan(motion.angles[~motion.solved]).all()
    assert np.isnan(motion.translations[~motion.solved]).all()
    assert np.isnan(motion.gaps[~motion.solved]).all()
    assert np.isfinite(motion.rotations[motion.solved]).all()
    (finding,) = motion.findings
    assert finding.kind == "jam"
    assert finding.fold == "t.foot-left"
    # Shut, the right half reaches 30 + 40 and the left half 20 + 35 from the gutter.
    assert finding.gap == pytest.approx(70 - 55, abs=0.1)


def test_what_stands_on_a_jammed_host_stops_with_it_and_is_not_blamed():
    pile = Pile()
    tent(pile, "t", pile.gutter, 50, (30, 20), (40, 35), height=40)
    v_fold(pile, "v", pile.site("t", "ridge"), 20, rad(45, 45), rad(60, 60), 12, 20)
    motion = solve(pile.linkage, DEGREES)
    assert {finding.fold for finding in motion.findings} == {"t.foot-left"}
    np.testing.assert_array_equal(motion.solved, np.arange(181) >= 46)


def test_paper_that_meets_at_no_opening_is_reported_with_its_gap():
    pile = Pile()
    tent(pile, "t", pile.gutter, 50, (40, 40), (5, 5))
    motion = solve(pile.linkage, DEGREES[::20])
    assert not motion.solved.any()
    (finding,) = motion.findings
    assert finding.kind == "cannot-assemble"
    # At 30°, the smallest opening tried, the glue lines are 80 sin 15° apart.
    assert finding.opening == pytest.approx(np.radians(30))
    assert finding.gap == pytest.approx(80 * np.sin(np.radians(15)) - 10, abs=0.01)


def test_only_the_piece_that_cannot_be_assembled_is_blamed():
    pile = simple()
    tent(pile, "t", pile.gutter, 120, (40, 40), (5, 5))
    motion = solve(pile.linkage, DEGREES[::20])
    assert [finding.fold for finding in motion.findings] == ["t.ridge"]


def test_equal_flowers_on_carriers_move_exactly_as_the_one_on_the_gutter():
    """A parallelogram's foot crease opens as the gutter does (opposite sides stay parallel)."""
    pile = flower()
    for name, at, distance in (("near", 0.0, 60.0), ("far", 140.0, 75.0)):
        carrier(pile, f"strip-{name}", pile.gutter, at, distance, 30, 60)
        site = pile.site(f"strip-{name}", "foot-right")
        length = np.sqrt(14**2 + 9.5**2 - 2 * 14 * 9.5 * np.cos(np.radians(40.5)))
        flower_on(pile, name, site, 30, rad(*[52] * 6), (29, 43), Legs(14, 9.5, float(length), 4.5))
    linkage = pile.linkage
    motion = solve(linkage, DEGREES[::10])
    assert motion.solved.all()
    assert not motion.findings
    named = {hinge.name: k for k, hinge in enumerate(linkage.hinges)}
    for fold in ("fold-0", "fold-1", "fold-4"):
        first = motion.angles[:, named[f"f.{fold}"]]
        for other in ("near", "far"):
            np.testing.assert_allclose(motion.angles[:, named[f"{other}.{fold}"]], first, atol=1e-6)


def test_a_flower_led_on_its_own_agrees_with_one_copied_from_its_twin():
    alone = Pile()
    carrier(alone, "strip", alone.gutter, 10, 60, 30, 60)
    legs = Legs(14, 9.5, 9.0, 4.5)
    flower_on(alone, "f", alone.site("strip", "foot-right"), 30, rad(*[52] * 6), (29, 43), legs)
    gutter = Pile()
    flower_on(gutter, "f", gutter.gutter, 30, rad(*[52] * 6), (29, 43), legs)
    stages = DEGREES[5:180:25]
    on_carrier, on_gutter = solve(alone.linkage, stages), solve(gutter.linkage, stages)
    np.testing.assert_allclose(on_carrier.angles[:, 3:], on_gutter.angles, atol=2e-6)


def test_a_cone_too_narrow_for_its_legs_jams_and_says_so():
    motion = solve(flower(gamma=30, sectors=46).linkage, DEGREES)
    assert not motion.solved.all()
    assert [finding.kind for finding in motion.findings] == ["jam"]


def test_an_inner_cone_never_leaves_the_outer_one():
    pile = Pile()
    wide, narrow = rad(*[52] * 6), rad(*[44] * 6)
    flower_on(pile, "outer", pile.gutter, 100, wide, (29, 43), Legs(14, 9.5, 7.95, 4.5))
    flower_in(pile, "inner", "outer", narrow, wide, (19, 31), Legs(9.5, 5.7, 7.29, 2.4))
    linkage = pile.linkage
    motion = solve(linkage, DEGREES[1::10])
    planes = [linkage.place(f"outer.petal-{k}")[0] for k in range(6)]
    for k in range(6):
        body, part = linkage.place(f"inner.petal-{k}")
        corners = np.column_stack(
            [np.asarray(part.polygon.exterior.coords), np.zeros(len(part.polygon.exterior.coords))]
        )
        points = np.einsum("sij,pj->spi", motion.rotations[:, body], corners)
        points = points + motion.translations[:, None, body]
        for plane in planes:
            offset = points - motion.translations[:, None, plane]
            height = np.einsum("spi,si->sp", offset, motion.rotations[:, plane, :, 2])
            assert height.min() > -1e-7


def test_a_tube_comes_to_rest_symmetrically():
    pile = Pile()
    strip(
        pile,
        "tube",
        [8, 35, 20, 20, 35, 8],
        [-1, 1, 1, 1, -1],
        ["tab-left", "wall-left", "lid-left", "lid-right", "wall-right", "tab-right"],
        ["foot-left", "edge-left", "lid", "edge-right", "foot-right"],
        30,
    )
    pile.glue("tube.tab-left", pile.gutter.left, [(8, 0), (8, 30)], [(-20, 50), (-20, 80)])
    pile.glue("tube.tab-right", pile.gutter.right, [(118, 0), (118, 30)], [(20, 50), (20, 80)])
    motion = solve(pile.linkage, DEGREES[::5])
    assert motion.solved.all()
    np.testing.assert_allclose(motion.angles[:, 0], motion.angles[:, 4], atol=1e-6)
    np.testing.assert_allclose(motion.angles[:, 1], motion.angles[:, 3], atol=1e-6)


def hat(sector: float) -> Pile:
    pile = Pile()
    cone(pile, "hat", rad(*[sector] * 6), 30, 40, np.radians(50))
    pile.joins.append(pile.gutter.right.join("hat.petal-0", Placement(0.0, (60.0, 100.0))))
    return pile


def test_a_stage_where_the_energy_is_level_to_its_last_digits_is_solved_too():
    """At 24° every start but those above it stalled just before rest."""
    assert solve(hat(52).linkage, DEGREES[20:29]).solved.all()


def test_a_cone_glued_by_one_sector_is_pressed_flat_by_the_other_page():
    motion = solve(hat(51).linkage, DEGREES)
    assert motion.solved.all()
    assert motion.gaps.max() < 1e-9
    # Left alone all folds are alike: the regular pyramid, sin(D/2) = cos(180/N) / cos(a/2).
    dihedral = 2 * np.arcsin(np.cos(np.pi / 6) / np.cos(np.radians(25.5)))
    np.testing.assert_allclose(motion.angles[90:], dihedral - np.pi, atol=1e-6)
    # Shut, two opposite folds are folded onto themselves and the others lie flat.
    assert sorted(np.degrees(motion.angles[0]).round(3)) == [-180, -180, 0, 0, 0, 0]
