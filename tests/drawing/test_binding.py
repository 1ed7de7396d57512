"""How a notebook is bound: sheets that keep their length, solids that are closed and apart.

Judges: the length of an arc (radius times angle), trimesh (closed surfaces, what is inside),
manifold3d (what two solids share).
"""

from __future__ import annotations

from itertools import combinations, pairwise

import manifold3d
import numpy as np
import pytest
import trimesh

from meshes import designs, spread
from preview.drawing.binding import BAND_MM, BAND_THICK_MM, cloth_solid, fold_solid, middle_boards
from preview.drawing.book import COVERS, Book, block_faces, cover_faces, half_boards, tilt_of
from preview.drawing.scene import assemble, book_of

from .vale import notebook, page_poses

BOOKS = [
    Book(width=148.0, height=210.0, block=4.0),
    Book(width=105.0, height=148.0, block=12.0),
    Book(width=148.0, height=105.0, block=4.0, binding="soft"),
    Book(width=60.0, height=80.0, block=0.5, binding="soft"),
]
by_book = pytest.mark.parametrize("book", BOOKS, ids=lambda b: f"{b.binding}-{b.block:g}")
STRIPS = 12


def scene_of(book, opening_deg, lying="both"):
    opening = np.radians(opening_deg)
    return assemble(notebook(), book, opening, *page_poses(opening), lying=lying)


def named(scene):
    return {surface.name: surface.corners for surface in scene.surfaces}


def solid(faces):
    fans = [[f[0], f[k], f[k + 1]] for f in faces for k in range(1, len(f) - 1)]
    mesh = trimesh.Trimesh(**trimesh.triangles.to_kwargs(np.array(fans)))
    mesh.merge_vertices()
    mesh.update_faces(mesh.nondegenerate_faces())
    return mesh


def solids(book, opening_deg, under=0.0):
    """Pages, boards, fold and cloth of a notebook, in the frame of the motion.

    Pages and fold begin `under` the uppermost page, mm.
    """
    opening = np.radians(opening_deg)
    tilt, turns = tilt_of(opening), page_poses(opening)[0]
    found = {}
    for k, (side, which) in enumerate(((-1, "left"), (1, "right"))):
        pages = block_faces(book, side, tilt, -under).values()
        found[f"{which}-pages"] = solid([face @ turns[k].T for face in pages])
        board = cover_faces(book, side, tilt).values()
        found[f"{which}-board"] = solid([face @ turns[k].T for face in board])
    found["cloth"] = solid(cloth_solid(book, tilt, STRIPS))
    if tilt > 0:
        fold = fold_solid(book, tilt, STRIPS)
        found["fold"] = solid([face - [0.0, 0.0, under] for face in fold])
    return found


@by_book
def test_the_sheet_of_the_cover_is_as_long_at_every_opening(book):
    """Shut it is two boards, two grooves and half a turn about the gutter, in the middle of its
    thickness over the spine: radius times pi."""
    cover = COVERS[book.binding]
    board = book.width + cover.overhang - cover.groove
    whole = 2 * (board + cover.groove) + np.pi * (book.block + cover.cloth / 2)
    for opening in range(0, 181):
        tilt = tilt_of(np.radians(opening))
        corners = {board.name: board.corners for board in middle_boards(book, tilt)}
        middle = 0.0
        for name in (name for name in corners if "spine-outer" in name):
            a, _, _, b = corners[name]
            d, _, _, c = corners[name.replace("outer", "inner")]
            middle += float(np.linalg.norm((a + c) / 2 - (b + d) / 2))
        for side in (-1, 1):
            ends = {b.name: b.corners.mean(axis=0) for b in half_boards(book, side, tilt)}
            middle += float(np.linalg.norm(ends["cover-fore"] - ends["cover-hinge"]))
        assert middle == pytest.approx(whole, rel=1e-6), opening


@by_book
def test_every_leaf_is_as_long_at_every_opening_and_all_end_in_one_plane_when_shut(book):
    """From the gutter round its arc and along the half to the slanted fore-edge."""
    for opening in (0, 1, 33, 90, 147, 180):
        tilt = tilt_of(np.radians(opening))
        fore = block_faces(book, 1, tilt)["fore"]
        low, high = fore[fore[:, 2].argmin()], fore[fore[:, 2].argmax()]
        for share in (0.0, 0.31, 0.5, 1.0):
            edge = high + share * (low - high)
            deep = -edge[2]
            length = edge[0] + deep * tilt
            assert length == pytest.approx(book.width + deep * np.pi / 2, rel=1e-12)
    assert np.ptp(block_faces(book, 1, np.pi / 2)["fore"][:, 0]) == 0


@by_book
@pytest.mark.parametrize("opening", [0, 3, 60, 141, 180])
def test_pages_and_cover_are_closed_and_nowhere_in_each_other(book, opening):
    parts = solids(book, opening)
    for name, mesh in parts.items():
        assert mesh.is_watertight, name
        assert mesh.volume > 0, name
    shapes = {
        name: manifold3d.Manifold(
            manifold3d.Mesh64(
                np.ascontiguousarray(mesh.vertices), np.ascontiguousarray(mesh.faces, np.uint64)
            )
        )
        for name, mesh in parts.items()
    }
    for one, other in combinations(shapes, 2):
        shared = (shapes[one] ^ shapes[other]).volume()
        # Chords of one arc reach into those of the next by less than 0.005 mm.
        assert shared < 0.005 * np.pi * book.kept * book.height, (one, other)


@by_book
def test_the_cover_is_as_thick_on_its_arc_as_beside_it(book):
    length = 2 * COVERS[book.binding].groove + np.pi * book.kept
    height = book.height + 2 * book.overhang
    for opening in (0, 40, 123, 180):
        cloth = solids(book, opening)["cloth"]
        assert cloth.volume == pytest.approx(length * book.cloth * height, rel=3e-3)


@by_book
def test_nothing_jumps_from_one_degree_to_the_next(book):
    """A corner goes round the gutter by half a degree, and creeps by that angle times its depth."""
    before = None
    farthest = np.hypot(book.reach, book.height + book.depth)
    most = np.radians(0.5) * (farthest + book.kept)
    for opening in range(0, 181):
        radians = np.radians(opening)
        tilt, turns = tilt_of(radians), page_poses(radians)[0]
        corners = [
            board.corners @ turns[k].T
            for k, side in enumerate((-1, 1))
            for board in half_boards(book, side, tilt)
        ]
        corners += [*cloth_solid(book, tilt, STRIPS), *fold_solid(book, tilt, STRIPS)]
        now = np.concatenate(corners)
        if before is not None:
            assert np.linalg.norm(now - before, axis=1).max() < most, opening
        before = now


@by_book
def test_it_rests_on_its_table_and_sinks_or_rises_without_a_jump(book):
    lifts = [book.lift(np.radians(opening)) for opening in range(181)]
    assert max(abs(b - a) for a, b in pairwise(lifts)) < np.radians(0.5) * book.reach
    for opening in (0, 5, 45, 100, 160, 175, 180):
        scene = scene_of(book, opening)
        assert scene.points[:, 2].min() == pytest.approx(scene.table, abs=0.02)


@pytest.mark.parametrize("lying", ["both", "left", "right"])
def test_a_band_holds_the_shut_notebook_and_is_away_while_it_is_open(lying):
    book = Book(width=148.0, height=210.0, block=4.0, band="#202020")
    shut, ajar = (named(scene_of(book, opening, lying)) for opening in (0, 1))
    band = [corners for name, corners in shut.items() if "-band-" in name]
    assert not [name for name in ajar if "-band-" in name]
    points = np.concatenate(band)
    loop = book.height + 2 * book.overhang + 2 * BAND_THICK_MM
    assert np.ptp(points[:, 1]) == pytest.approx(loop)
    if lying == "both":
        assert np.ptp(points[:, 0]) == pytest.approx(2 * book.depth + 2 * BAND_THICK_MM)
        assert np.ptp(points[:, 2]) == pytest.approx(BAND_MM)
    else:  # It goes over the cover, and down to the table at both ends.
        assert np.ptp(points[:, 0]) == pytest.approx(BAND_MM)
        assert np.ptp(points[:, 2]) == pytest.approx(2 * book.depth + BAND_THICK_MM)
    # Round the pages and the boards, in none of them.
    rim = book.height / 2 + book.overhang
    inside = (np.abs(points[:, 1] - book.height / 2) < rim - 1e-9).any()
    assert not inside


def paper_in_notebook(made, openings_deg):
    """Facets of pieces with a place in pages or cover, by name, and how many places were tried."""
    book, motion = book_of(made), made.solve(np.radians(openings_deg))
    bad, tried = set(), 0
    for k, opening in enumerate(openings_deg):
        if not motion.solved[k]:
            continue
        points, names = [], []
        for b, body in enumerate(made.linkage.bodies):
            for part in body.parts:
                if part.sheet.piece == "page":
                    continue
                ring = part.polygon.exterior
                flat = [
                    ring.interpolate(s, normalized=True).coords[0] for s in np.linspace(0, 1, 24)
                ]
                flat.append(part.polygon.representative_point().coords[0])
                # Without its thickness, as it moves: layers in a fold share their place.
                local = np.column_stack([flat, np.zeros(len(flat))])
                points.append(local @ motion.rotations[k, b].T + motion.translations[k, b])
                names += [part.id] * len(flat)
        points = np.concatenate(points)
        tried += len(points)
        # Paper that is glued to a page touches it.
        for mesh in solids(book, opening, under=0.1).values():
            bad |= {names[k] for k in np.flatnonzero(mesh.contains(points))}
    return bad, tried


def test_no_paper_reaches_into_pages_or_cover():
    bad, tried = paper_in_notebook(spread.read(designs.path("spring-nest")), [20, 140])
    assert bad == set()
    assert tried > 1000


@pytest.mark.night
@pytest.mark.parametrize("name", designs.names())
def test_no_paper_of_any_shipped_design_reaches_into_pages_or_cover(name):
    bad, tried = paper_in_notebook(spread.read(designs.path(name)), [0, 2, 30, 75, 120, 160, 180])
    assert bad == set()
    assert tried > 1000
