"""A notebook with one half on the table: nothing but a rigid motion of what was solved."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from scipy.spatial import cKDTree
from scipy.spatial.distance import pdist

from meshes import spread
from preview.drawing.lying import LYINGS, thicker_half
from preview.drawing.scene import assemble, build
from preview.films import film as films
from preview.shot.schedule import film
from tests.spreads import MEADOW

from .vale import BOOK, notebook, page_poses

OPENINGS = [1, 17, 60, 90, 134, 171, 180]
SIDES = [("left", -1), ("right", 1)]


def lain(opening_deg, lying):
    opening = np.radians(opening_deg)
    return assemble(notebook(), BOOK, opening, *page_poses(opening), lying=lying)


def named(scene):
    return {surface.name: surface.corners for surface in scene.surfaces}


@pytest.fixture(scope="module")
def meadow(tmp_path_factory):
    path = tmp_path_factory.mktemp("meadow") / "meadow.toml"
    path.write_text(MEADOW)
    return spread.read(path)


@pytest.fixture(scope="module")
def motion(meadow):
    return meadow.solve(np.radians([0.0, 95.0, 150.0, 180.0]))


@pytest.mark.parametrize("lying", ["left", "right"])
def test_all_distances_stay_what_the_solver_made_them(meadow, motion, lying):
    """A motion is rigid if and only if it keeps every distance."""
    for stage in range(len(motion.openings)):
        both, laid = (
            np.concatenate(
                [s.corners for s in build(meadow, motion, stage, lying=way).surfaces
                 if not s.name.startswith(("book.spine", "book.fold"))]
            )
            for way in ("both", lying)
        )  # fmt: skip
        assert pdist(laid[::7]) == pytest.approx(pdist(both[::7]), abs=1e-9)
        turn = np.linalg.lstsq(both - both.mean(0), laid - laid.mean(0), rcond=None)[0]
        assert np.linalg.det(turn) == pytest.approx(1)  # turned, not mirrored


@pytest.mark.parametrize(("lying", "side"), SIDES)
@pytest.mark.parametrize("opening", OPENINGS)
def test_one_half_is_flat_and_nothing_reaches_into_the_table(opening, lying, side):
    scene = lain(opening, lying)
    corners = named(scene)
    page = next(s for s in scene.surfaces if s.name == f"page.{lying}")
    assert page.normal == pytest.approx([0, 0, 1])
    assert (side * page.corners[:, 0] > -1e-9).all()
    under = corners[f"book.{lying}-cover-bottom"]
    assert under[:, 2] == pytest.approx(np.full(len(under), scene.table))
    assert scene.points[:, 2].min() == pytest.approx(scene.table)


@pytest.mark.parametrize(("lying", "side"), SIDES)
def test_the_other_half_goes_round_the_gutter_by_the_opening(lying, side):
    """Its outer edge is on a circle, the page's width from the gutter, as far round as it is open
    (the definition of the opening: the angle between the pages)."""
    other = "left" if lying == "right" else "right"
    for opening in OPENINGS:
        edge = named(lain(opening, lying))[f"page.{other}"]
        far = edge[np.argmax(np.hypot(edge[:, 0], edge[:, 2]))]
        round_ = BOOK.width * np.array([np.cos(np.radians(opening)), np.sin(np.radians(opening))])
        assert far[[0, 2]] == pytest.approx(round_ * [side, 1], abs=0.1)


@pytest.mark.parametrize(("lying", "side"), SIDES)
def test_closed_it_lies_with_a_cover_up_and_the_spine_at_its_side(lying, side):
    scene = lain(0.0, lying)
    corners, other = named(scene), "left" if lying == "right" else "right"
    top = corners[f"book.{other}-cover-bottom"]
    assert top[:, 2] == pytest.approx(np.full(len(top), scene.table + 2 * BOOK.depth))
    assert scene.points[:, 2].max() == pytest.approx(top[0, 2])
    spine = np.concatenate([found for name, found in corners.items() if "spine-outer" in name])
    # Round the spine goes half a circle, about the gutter.
    assert (side * spine[:, 0]).min() == pytest.approx(-BOOK.block - BOOK.cloth, abs=0.02)
    assert np.ptp(spine[:, 2]) == pytest.approx(2 * (BOOK.block + BOOK.cloth), abs=0.02)


@pytest.mark.parametrize("lying", ["left", "right"])
@pytest.mark.parametrize("opening", OPENINGS)
def test_no_gap_opens_at_the_spine(opening, lying):
    feet = [
        shapely.Polygon(s.corners[:, [0, 2]])
        for s in lain(opening, lying).surfaces
        if s.name.startswith("book.") and s.name.endswith("foot")
    ]
    whole = shapely.unary_union([foot.buffer(0.02) for foot in feet])
    assert whole.geom_type == "Polygon"
    assert sum(hole.length for hole in whole.interiors) == 0


def test_the_half_with_more_paper_lies_and_a_tie_goes_to_the_right(tmp_path, meadow):
    """Paper laid on one page only makes that half thicker; mirrored, the other."""
    flat = '[pieces.{0}]\nkind = "flat"\non = "page.{1}"\nx = {2}\ny = 90\n'
    flat += 'outline = {{ shape = "ring", length = 60, width = 20 }}\n'

    def half(text):
        path = tmp_path / "half.toml"
        path.write_text(text)
        made = spread.read(path)
        wide = made.solve(np.array([np.pi]))
        return thicker_half(made.linkage, wide.rotations[0], wide.translations[0])

    start = 'title = "halves"\n'
    assert half(start + flat.format("disc", "left", -60)) == "left"
    assert half(start + flat.format("disc", "right", 60)) == "right"
    pair = flat.format("one", "left", -60) + flat.format("two", "right", 60)
    assert half(start + pair) == "right"


def test_paper_counts_on_the_side_on_which_it_lies(meadow, motion):
    """Judged by points strewn over the facets, each on one side of the gutter or the other."""
    rng, sides = np.random.default_rng(5), {"left": 0.0, "right": 0.0}
    from preview.drawing.lying import _sides

    for number, body in enumerate(meadow.linkage.bodies):
        turn, shift = motion.rotations[-2, number], motion.translations[-2, number]
        for part in body.parts:
            low, high = np.array(part.polygon.bounds).reshape(2, 2)
            points = low + rng.random((4000, 2)) * (high - low)
            inside = shapely.contains_xy(part.polygon, points)
            x = points[inside] @ turn[0, :2] + shift[0]
            share = (x > 0).mean()
            left, right = _sides(part.polygon, turn[0, :2], shift[0])
            assert left + right == pytest.approx(part.polygon.area)
            assert right / part.polygon.area == pytest.approx(share, abs=0.03)
            sides["right"] += right
    assert sides["right"] > 0


@pytest.mark.parametrize("lying", LYINGS)
def test_everything_stays_in_the_picture_through_the_whole_opening(meadow, lying):
    schedule = film("open", 1, 12)
    for size in ((64, 36), (36, 64)):
        shot = films.shot_for(meadow, schedule, size, lying=lying)
        for pose in range(shot.poses):
            seen = shot.camera.project(shot.scene(pose).points, size)
            assert (seen >= 0).all()
            assert (seen <= size).all()


@pytest.mark.parametrize("lying", ["both", "left", "right"])
@pytest.mark.parametrize("band", ["", "#202020"])
def test_what_a_camera_frames_reaches_as_far_as_all_that_it_sees(meadow, motion, lying, band):
    shot = films.shot_of(meadow, motion, (32, 24), lying=lying)
    shot = replace(shot, book=replace(shot.book, band=band))
    for pose in (0, 1, shot.poses // 2, shot.poses - 1):
        framed, seen = shot.points(pose), shot.scene(pose).points
        assert cKDTree(seen).query(framed)[0].max() < 1e-9
        for way in np.random.default_rng(pose).normal(size=(200, 3)):
            assert (framed @ way).max() == pytest.approx((seen @ way).max(), abs=1e-9)


def test_films_lay_the_thicker_half_down_and_stills_tilt_both(meadow, motion):
    assert films.shot_for(meadow, film("open", 1, 10), (32, 24)).lying == "right"
    assert films.shot_of(meadow, motion, (32, 24)).lying == "both"
