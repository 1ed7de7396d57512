"""A page that is turned before the spread opens: bent without stretching, above all other paper."""

from __future__ import annotations

import io
from itertools import pairwise

import numpy as np
import pytest
import shapely

from meshes import designs, spread
from preview.cli import main
from preview.cli.terminal import Terminal
from preview.drawing.leaf import (
    BEND,
    BLOCK_UNDER_MM,
    DOUBLED_MM,
    LEAF_OFF_MM,
    STRIPS,
    bent_page,
)
from preview.errors import UseError
from preview.films import film
from preview.shot import leaf
from tests.spreads import MEADOW

SHARES = np.linspace(0.0, 1.0, 181)


@pytest.fixture(scope="module")
def shot(tmp_path_factory):
    path = tmp_path_factory.mktemp("leaf") / "meadow.toml"
    path.write_text(MEADOW)
    made, plan = spread.read(path), leaf.schedule(6.0, 12.0)
    return film.leafed_for(made, plan, (64, 40), "reader", film.motion_for(made, plan))


def leaves(scene):
    found = {s.name: s for s in scene.surfaces if s.name.startswith("book.leaf-")}
    return [found[f"book.leaf-{k}"] for k in range(STRIPS)]


def test_every_length_on_the_page_stays_and_its_strips_hang_together(shot):
    """Distances within a strip are those of the sheet, since it only turns and shifts; and the edge
    of each is that of the next, so that any path over the page is as long as on the flat sheet."""
    for pose in range(shot.poses):
        strips = leaves(shot.scene(pose))
        sheet = shapely.union_all([strip.polygon for strip in strips])
        assert sheet.bounds == pytest.approx((0, 0, 148, 210))
        assert sheet.area == pytest.approx(148 * 210, rel=1e-12)
        for strip in strips:
            assert strip.rotation.T @ strip.rotation == pytest.approx(np.eye(3), abs=1e-12)
            assert np.linalg.det(strip.rotation) == pytest.approx(1)
        for one, after in pairwise(strips):
            border = np.array([[one.polygon.bounds[2], y] for y in (0.0, 210.0)])
            there = [border @ s.rotation[:, :2].T + s.translation for s in (one, after)]
            assert there[0] == pytest.approx(there[1], abs=1e-9)


def test_it_bends_along_the_gutter_only_and_is_flat_at_both_ends():
    """A cylinder has no curvature along its rulings: all strips turn about the same direction. It
    leads by its fore-edge, by no more than is said."""
    for share in SHARES:
        turns, _ = bent_page(148.0, share)
        lead = turns[-1] - turns[0]
        assert -1e-9 <= lead <= BEND
        assert np.ptp(np.diff(turns)) < 1e-9  # one radius at a time
    assert np.ptp(bent_page(148.0, 0.0)[0]) < 1e-12
    assert np.ptp(bent_page(148.0, 1.0)[0]) < 1e-12
    assert bent_page(148.0, 1.0)[0] == pytest.approx(np.pi)


def test_it_never_jumps():
    """At an even pace no point goes farther in a step than the arc of the whole page's width, for
    the turn and for the bend that comes or goes."""
    ends = np.array([bent_page(148.0, share)[1] for share in SHARES])
    steps = np.linalg.norm(np.diff(ends, axis=0), axis=2)
    assert steps.max() < 148 * (np.pi + BEND / 2 * np.pi) / (len(SHARES) - 1)


def test_it_stays_over_the_spread_and_over_the_table(shot):
    """Paper of the shut spread lies in the wedge between its pages; the turned page is outside it,
    farther round the gutter, as far as the left half."""
    for pose in range(shot.poses):
        if shot.leaves[pose] < 1 and shot.openings[pose] < 2 * leaf.AJAR:
            scene = shot.scene(pose)
            points = np.concatenate([strip.corners for strip in leaves(scene)])
            off = LEAF_OFF_MM * (1 - 2 * shot.leaves[pose])
            round_ = np.arctan2(points[:, 2] - off, points[:, 0])
            far = np.hypot(points[:, 0], points[:, 2]) > 5
            assert round_[far].min() > shot.openings[pose] + np.radians(0.3)
            # Over the other side of the left page, whose front is at that opening.
            s, c = np.sin(shot.openings[pose]), np.cos(shot.openings[pose])
            over = c * points[:, 2] - s * points[:, 0]
            beside = points[:, 0] > 0
            if shot.leaves[pose] < 0.01:
                assert over[beside].min() > DOUBLED_MM
            assert points[:, 2].min() > -BLOCK_UNDER_MM
        assert shot.scene(pose).points[:, 2].min() == pytest.approx(shot.scene(pose).table)


@pytest.mark.night
@pytest.mark.parametrize("name", designs.names())
def test_folded_paper_of_shipped_designs_is_under_the_turned_page(name):
    made = spread.read(designs.path(name))
    motion = made.solve(np.array([leaf.AJAR]))
    low = bent_page(148.0, 0.0)[0][0]
    for b, body in enumerate(made.linkage.bodies):
        for part in body.parts:
            flat = np.asarray(part.polygon.exterior.coords)[:, :2]
            local = np.column_stack([flat, np.zeros(len(flat))])
            there = local @ motion.rotations[0, b].T + motion.translations[0, b]
            # Both pages are tilted alike: the plane x = 0 halves the wedge.
            away = np.hypot(there[:, 0], there[:, 2])
            aside = np.arctan2(np.abs(there[:, 0]), there[:, 2])
            height = away * np.sin(np.maximum(aside - leaf.AJAR / 2, 0.0))
            room = away * np.sin(low - leaf.AJAR)
            assert (height < room + 0.5).all(), part.id


def test_the_page_is_turned_first_and_then_the_spread_opens(shot):
    plan = leaf.schedule(6.0, 12.0)
    turned, opening = plan.poses[plan.order, 2], plan.poses[plan.order, 0]
    assert (turned[0], turned[-1]) == (0, 1)
    assert (np.diff(turned) >= 0).all()
    assert (np.diff(opening) >= 0).all()
    assert not ((turned > 0) & (turned < 1) & (opening > leaf.AJAR)).any()
    assert opening[-1] == pytest.approx(np.pi)


def test_everything_stays_in_the_picture(shot):
    for pose in range(shot.poses):
        seen = shot.camera.project(shot.scene(pose).points, shot.size)
        assert (seen >= 0).all()
        assert (seen <= shot.size).all()


def test_the_command_makes_it_and_refuses_what_does_not_go_with_it(tmp_path):
    (tmp_path / "meadow.toml").write_text(MEADOW)
    words = ["film", "meadow.toml", "--course", "page-turn", "--jobs", "1", "--size", "48x32"]

    def said(*more):
        out, err = io.StringIO(), io.StringIO()
        return main([*words, *more], Terminal(out, err, tmp_path, live=False)), err.getvalue()

    code, _ = said("--seconds", "3", "--fps", "4", "--quality", "draft", "-o", "turn.gif")
    assert code == 0
    assert (tmp_path / "turn.gif").stat().st_size > 1000
    for more, word in ((["--lying", "left"], "--lying"), (["--seconds", "1"], "3 s and more")):
        code, err = said(*more)
        assert code == 2
        assert word in err


def test_a_spread_that_hardly_opens_is_refused():
    with pytest.raises(UseError, match="opens to 2°"):
        leaf.schedule(6.0, 12.0, (0.0, float(np.radians(2.0))))
