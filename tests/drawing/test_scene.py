"""Scenes: the book on its table, sheets in their places, moods."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
import shapely

from meshes import designs, spread
from meshes.motion.result import Motion
from meshes.sheet import Paper, Placement
from preview.drawing import scene as scenes
from preview.drawing.colour import linear
from preview.drawing.render import draw
from preview.shot.camera import VIEWS
from preview.shot.mood import MOODS, sky_radiance

from .vale import BOOK, notebook, page_poses, vale

OPENINGS = [0, 3, 20, 60, 90, 140, 179, 180]


@pytest.mark.parametrize("opening", OPENINGS)
def test_the_book_rests_on_its_table_at_every_opening(opening):
    scene = vale(max(opening, 1))
    lowest = min(s.corners[:, 2].min() for s in scene.surfaces if s.name.startswith("book"))
    assert lowest == pytest.approx(scene.table, abs=0.3)


@pytest.mark.parametrize("opening", OPENINGS)
def test_faces_of_the_book_look_outwards(opening):
    scene = vale(max(opening, 1))
    for surface in scene.surfaces:
        if surface.name.startswith("book.") and "-cover-bottom" in surface.name:
            assert surface.normal[2] < 1e-9
        if surface.name.endswith("-foot"):
            assert surface.normal[1] == pytest.approx(-1)
        if surface.name.endswith("-head"):
            assert surface.normal[1] == pytest.approx(1)


@pytest.mark.parametrize("opening", OPENINGS)
def test_no_gap_is_left_between_the_halves_of_the_book(opening):
    """From the foot, the outlines of blocks, covers, fold and spine cover the whole section."""

    scene = vale(max(opening, 1))
    feet = [
        shapely.Polygon(s.corners[:, [0, 2]])
        for s in scene.surfaces
        if s.name.startswith("book.") and s.name.endswith("foot")
    ]
    whole = shapely.unary_union([foot.buffer(0.02) for foot in feet])
    assert whole.geom_type == "Polygon"
    assert sum(hole.length for hole in whole.interiors) == 0


@pytest.mark.parametrize("side", [-1, 1])
def test_a_cover_is_a_closed_board_with_two_round_corners(side):
    """A closed surface has every edge twice, once each way, and its faces look outwards: the
    divergence theorem then gives its volume, that of a board less what rounding takes of a square
    corner, (1 - pi / 4) r² each (a circle's sector is cut into chords here, a little less)."""
    from preview.drawing.book import CORNER_MM, COVERS, cover_faces

    found = cover_faces(BOOK, side, np.pi / 2)
    # What slopes up to it is a solid of its own.
    faces = [face for name, face in found.items() if not name.startswith("slope")]
    edges = [
        (tuple(a), tuple(b))
        for face in faces
        for a, b in zip(np.round(face, 9), np.round(np.roll(face, -1, axis=0), 9), strict=True)
    ]
    assert sorted(edges) == sorted((b, a) for a, b in edges)
    fans = np.array([[f[0], f[k], f[k + 1]] for f in faces for k in range(1, len(f) - 1)])
    volume = np.linalg.det(fans).sum() / 6
    across = BOOK.width + BOOK.overhang - COVERS["hard"].groove
    whole = across * (BOOK.height + 2 * BOOK.overhang)
    cut = 2 * (1 - np.pi / 4) * CORNER_MM**2
    assert volume / BOOK.board == pytest.approx(whole - cut, abs=0.8)


def test_placements_become_proper_rotations():
    for flipped in (False, True):
        rotation = scenes.in_space(Placement(0.7, (1, 2), flipped))
        assert np.linalg.det(rotation) == pytest.approx(1)
        assert rotation[:2, :2] == pytest.approx(Placement(0.7, flipped=flipped).matrix)


def test_turning_a_scene_leaves_table_and_light_alone():
    scene = vale(120)
    turned = scene.turned(np.radians(90))
    assert turned.table == scene.table
    pivot = np.array([*scene.centre, 0])
    before, after = scene.points - pivot, turned.points - pivot
    assert after[:, 0] == pytest.approx(-before[:, 1])
    assert after[:, 1] == pytest.approx(before[:, 0])


def test_an_unsolved_stage_cannot_be_built():
    rotations, translations = page_poses(1.0)
    motion = Motion(
        np.array([1.0]), np.array([False]), rotations[None], translations[None],
        np.empty((1, 0)), np.zeros(1),
    )  # fmt: skip
    spread = SimpleNamespace(linkage=notebook())
    with pytest.raises(ValueError, match=r"57\.3°"):
        scenes.build(spread, motion, 0)


def test_an_unknown_mood_is_answered_with_the_known_ones():
    with pytest.raises(ValueError, match=r"daylight.*dusk"):
        scenes.assemble(notebook(), BOOK, 1.0, *page_poses(1.0), "noon")


def test_thin_paper_lets_more_light_through_than_card_and_film_none_of_this_kind():
    thin, card = (
        scenes.translucency(Paper("p", grammage, 0.2, "#ffffff", "#ffffff"))
        for grammage in (80, 250)
    )
    assert 0.2 <= thin <= 0.25
    assert card < 0.16
    assert scenes.translucency(Paper("f", 140, 0.1, "#ffffff", "#ffffff", clear=True)) == 0


@pytest.mark.parametrize("mood", MOODS.values(), ids=MOODS)
def test_a_level_sheet_gets_exactly_its_own_light_in_every_mood(mood):
    towards = mood.towards_key()
    assert np.linalg.norm(towards) == pytest.approx(1)
    total = mood.key * towards[2] + mood.sky
    assert total == pytest.approx([mood.gain] * 3)
    assert (mood.sky > 0).all()


@pytest.mark.parametrize("mood", MOODS.values(), ids=MOODS)
def test_the_key_stands_on_the_viewer_s_side_for_every_viewer(mood):
    for viewer in (-np.pi / 2, 0.3, 2.0):
        eye = np.array([np.cos(viewer), np.sin(viewer)])
        assert mood.towards_key(viewer)[:2] @ eye > 0.3


def test_the_sky_is_scaled_to_a_level_sheet():
    rng = np.random.default_rng(1)
    height, around = np.sqrt(rng.random(200_000)), 2 * np.pi * rng.random(200_000)
    flat = np.sqrt(1 - height**2)
    directions = np.stack([flat * np.cos(around), flat * np.sin(around), height], axis=1)
    for mood in MOODS.values():
        assert sky_radiance(directions, mood.towards_key()).mean() == pytest.approx(1, abs=0.005)


def test_the_ground_has_the_colours_of_what_lies_on_the_pages():
    """Against what random places of both pages show; films once took the bare paper's colour."""
    made = spread.read(designs.path("two-seasons"))
    rng = np.random.default_rng(4)
    seen = []
    for body in made.linkage.bodies[:2]:
        page = next(part for part in body.parts if part.sheet.piece == "page")
        low, high = np.reshape(page.polygon.bounds, (2, 2))
        places = shapely.points(rng.uniform(low, high, (4000, 2)))
        shown = np.full((len(places), 3), np.nan)
        for part in sorted(body.parts, key=lambda one: one.height):
            on = shapely.contains(part.polygon, places)
            if not part.sheet.paper.clear:
                own = part.sheet.front if part.placement.up > 0 else part.sheet.back
                shown[on] = linear(own)
        seen.append(shown[shapely.contains(page.polygon, places)])
    assert np.allclose(
        scenes.colour_of_ground(made.linkage), np.concatenate(seen).mean(axis=0), atol=0.02
    )


def test_frames_of_a_coloured_floor_come_near_to_its_stills():
    """Light from the pages has the colour of what lies on them: the scene without it is farther."""
    made = spread.read(designs.path("winter-market"))
    scene = scenes.build(made, made.solve(np.radians([130.0])), 0)
    bare = replace(scene, ground=tuple(linear(made.design.spread.paper)))
    camera = VIEWS["reader"].frame(scene.points, 4 / 3)
    truth = draw(scene, camera, (64, 48), "ray", "still").astype(float)
    off = [
        np.abs(draw(each, camera, (64, 48), "ray", "film") - truth).mean() for each in (scene, bare)
    ]
    assert off[0] < 0.9 * off[1]
