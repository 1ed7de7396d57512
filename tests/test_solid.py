"""Solids are closed, hold the paper's volume, and show the fold angles that the motion has."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
import shapely
import trimesh
from shapely import affinity
from shapely.geometry import Point, Polygon, box

from meshes import export, solid
from meshes.linkage import link
from meshes.motion.result import Motion
from meshes.sheet import Fold, Join, Paper, Placement, Sheet, cut

CARD = Paper("card", 200, 0.25, "#d04020", "#f0e8d0")
LEGS, FEET = (40.0, 40.0), (30.0, 30.0)  # of the tent below, mm


def page():
    facets, crossings = cut(
        box(-148, 0, 148, 210),
        [Fold("gutter", (0, 0), (0, 210), -1)],
        {"left": (-10, 10), "right": (10, 10)},
    )
    return Sheet("page", "page", CARD, "#ffffff", "#eeeeee", facets, crossings)


def tent(slit: bool = False):
    """A strip across the gutter: tab, leg, leg, tab, with its folds parallel to the gutter."""
    outline = box(-50, 0, 50, 31)
    if slit:
        outline = outline.difference(box(10, 10, 20, 11))
    folds = [
        Fold("left-base", (-40, 0), (-40, 31), -1),
        Fold("ridge", (0, 0), (0, 31), 1),
        Fold("right-base", (40, 0), (40, 31), -1),
    ]
    labels = {
        "left-tab": (-45, 5),
        "left-leg": (-20, 5),
        "right-leg": (20, 5),
        "right-tab": (45, 5),
    }
    facets, crossings = cut(outline, folds, labels)
    return Sheet("tent", "tent", CARD, CARD.front, CARD.back, facets, crossings)


def tent_linkage(slit: bool = False):
    joins = [
        Join("tent.left-tab", "page.left", Placement(0.0, (LEGS[0] - FEET[0], 80))),
        Join("tent.right-tab", "page.right", Placement(0.0, (FEET[1] - LEGS[1], 80))),
    ]
    return link([page(), tent(slit)], joins)


def turn(axis, angle):
    return trimesh.transformations.rotation_matrix(angle, axis)[:3, :3]


def tent_motion(linkage, openings_deg):
    """The pose of the symmetric tent by the planar law of cosines."""
    rotations, translations, angles = [], [], []
    for opening in np.radians(openings_deg):
        half = opening / 2
        foot = FEET[0] * np.array([np.sin(half), 0, np.cos(half)])
        top = np.array([0, 0, foot[2] + np.sqrt(LEGS[0] ** 2 - foot[0] ** 2)])
        lean = np.arcsin(foot[0] / LEGS[0])  # of a leg against the middle plane
        poses = {"page.left": (turn((0, 1, 0), np.pi / 2 - half), np.zeros(3))}
        poses["page.right"] = (turn((0, 1, 0), half - np.pi / 2), np.zeros(3))
        up = np.array([0.0, 80.0, 0.0])
        poses["tent.left-leg"] = (turn((0, 1, 0), lean - np.pi / 2), top + up)
        poses["tent.right-leg"] = (turn((0, 1, 0), np.pi / 2 - lean), top + up)
        rotations.append([poses[body.name][0] for body in linkage.bodies])
        translations.append([poses[body.name][1] for body in linkage.bodies])
        ridge, at_foot = np.pi - 2 * lean, lean - np.pi + half
        angles.append([ridge if h.name == "tent.ridge" else at_foot for h in linkage.hinges])
    stages = len(openings_deg)
    return Motion(
        np.radians(openings_deg),
        np.ones(stages, bool),
        np.array(rotations),
        np.array(translations),
        np.array(angles),
        np.zeros(stages),
    )


def test_the_hand_made_tent_meets_at_its_folds():
    """Otherwise the tests below would measure nothing."""
    linkage = tent_linkage()
    motion = tent_motion(linkage, [40, 90, 150])
    for hinge, stage in itertools.product(linkage.hinges, range(3)):
        a, b = (
            motion.rotations[stage, body] @ origin + motion.translations[stage, body]
            for body, origin in zip(hinge.bodies, hinge.origins, strict=True)
        )
        assert np.allclose(a, b, atol=1e-12)


# Extruded quadrilateral, by the shoelace formula and by counting: area 2100, 8 corners, 18 edges,
# 12 triangles; the plate with a hole has the topology of a ring.
@pytest.mark.parametrize(
    ("polygon", "thickness", "volume", "euler"),
    [
        (Polygon([(0, 0), (40, 0), (60, 30), (0, 50)]), 0.25, 525.0, 2),
        (box(0, 0, 30, 20).difference(box(10, 5, 20, 15)), 0.3, 150.0, 0),
        (Polygon([(0, 0), (10, 0), (20, 0), (20, 10), (0, 10)]), 0.1, 20.0, 2),
    ],
)
def test_a_prism_is_closed_and_holds_area_times_caliper(polygon, thickness, volume, euler):
    mesh = solid.prism(polygon, thickness, middle=2.0)
    assert mesh.is_watertight
    assert mesh.is_volume
    assert mesh.euler_number == euler
    assert mesh.volume == pytest.approx(volume, rel=1e-9)
    assert np.allclose(mesh.bounds[:, 2], (2 - thickness / 2, 2 + thickness / 2))


@pytest.mark.parametrize(
    ("polygon", "reason"),
    [
        (Polygon([(0, 0), (10, 10), (10, 0), (0, 10)]), "Self-intersection"),
        (Polygon([(0, 0), (9, 0), (0, 9)], [[(0, 0), (2, 1), (1, 2)]]), "hole touches its edge"),
    ],
)
def test_an_outline_without_a_closed_solid_is_refused(polygon, reason):
    with pytest.raises(ValueError, match=reason):
        solid.prism(polygon, 0.25)


@pytest.mark.parametrize("end", [(0, 30, 0), (20, -5, 8), (0, 0, -12)])
def test_a_bead_is_a_closed_cylinder(end):
    ends = np.array([(1.0, 2.0, 3.0), np.add((1, 2, 3), end)])
    mesh = solid.bead(ends, 0.5)
    assert mesh.is_volume
    assert mesh.euler_number == 2
    # A regular polygon of n corners fills n/(2 pi) sin(2 pi/n) of its circle.
    share = solid.BEAD_SIDES / (2 * np.pi) * np.sin(2 * np.pi / solid.BEAD_SIDES)
    expected = np.pi * 0.25 * np.linalg.norm(end) * share
    assert mesh.volume == pytest.approx(expected, rel=1e-9)


def test_the_solids_of_a_body_hold_the_whole_paper_and_lie_at_their_glued_heights():
    linkage = tent_linkage()
    solids = solid.body_solids(linkage)
    prisms = {s.name: s for s in solids if s.name.rpartition(".")[2] not in FOLDS}
    paper = sum(s.mesh.volume for s in prisms.values() if s.sheet.piece == "tent")
    assert paper == pytest.approx(100 * 31 * 0.25, rel=1e-9)
    assert np.allclose(prisms["tent.left-tab"].mesh.bounds[:, 2], (0.125, 0.375))
    assert np.allclose(prisms["tent.left-leg"].mesh.bounds[:, 2], (-0.125, 0.125))
    assert all(s.mesh.is_volume for s in solids)
    # A glued tab lies higher than its leg, so their fold has a bead at each of them.
    beads = [s.name for s in solids if s.name == "tent.left-base"]
    assert len(beads) == 2


FOLDS = {"gutter", "left-base", "right-base", "ridge"}


@pytest.mark.parametrize("slit", [False, True])
@pytest.mark.parametrize("opening", [30, 90, 150, 180])
def test_the_mesh_of_a_folded_piece_is_closed_and_holds_its_paper(opening, slit):
    linkage = tent_linkage(slit)
    mesh = solid.piece_mesh(linkage, tent_motion(linkage, [opening]), 0, "tent")
    assert mesh.is_watertight
    assert mesh.is_volume
    assert mesh.euler_number == (0 if slit else 2)
    area = 100 * 31 - (10 if slit else 0)
    assert mesh.volume == pytest.approx(area * CARD.caliper, rel=0.01)


@pytest.mark.parametrize("angle_deg", [20, 60, 90, 120, 150, 165])
def test_a_swollen_bead_fills_outside_a_fold_what_its_slabs_share_inside(angle_deg):
    """Against areas by shapely: two slabs 2 wide and 20 long that meet at the axis, and a disc."""
    radius = solid.swelling(np.radians(angle_deg))
    slab = box(0, -1, 20, 1)
    other = affinity.rotate(slab, 180 - angle_deg, origin=(0, 0))
    disc = Point(0, 0).buffer(radius, quad_segs=256)
    assert shapely.union_all([slab, other, disc]).area == pytest.approx(80, rel=2e-5)


def test_a_bead_swells_steadily_and_not_beyond_bounds():
    radii = [solid.swelling(angle) for angle in np.linspace(0, np.pi, 400)]
    assert radii[0] == 1.0
    assert np.diff(radii).min() >= 0
    assert radii[-1] == solid.MOST_SWOLLEN


@pytest.mark.parametrize("opening", [16, 30, 90])
def test_a_folded_sheet_keeps_its_volume(opening):
    """Up to folds of 164 degrees: the bead outside is as large as what overlaps inside."""
    linkage = tent_linkage()
    mesh = solid.piece_mesh(linkage, tent_motion(linkage, [opening]), 0, "tent")
    # A bead is a polygon of 16 sides, and no thinner than a few µm more than the paper.
    assert mesh.volume == pytest.approx(100 * 31 * 0.25, rel=1e-3)


def test_the_flat_page_is_one_plate():
    linkage = tent_linkage()
    mesh = solid.piece_mesh(linkage, tent_motion(linkage, [180]), 0, "page")
    assert mesh.is_volume
    assert mesh.euler_number == 2
    assert mesh.volume == pytest.approx(296 * 210 * CARD.caliper, rel=1e-5)


def faces_of(mesh, colour):
    return np.flatnonzero((mesh.visual.face_colors[:, :3] == colour).all(1))


def printed_normals(mesh):
    """Area and mean normal of each flat part of the printed side, told apart by direction."""
    red = faces_of(mesh, (0xD0, 0x40, 0x20))
    groups: list[list[int]] = []
    for face in red:
        for group in groups:
            if mesh.face_normals[group[0]] @ mesh.face_normals[face] > 1 - 1e-9:
                group.append(face)
                break
        else:
            groups.append([face])
    return {
        round(float(mesh.area_faces[g].sum())): np.average(
            mesh.face_normals[g], axis=0, weights=mesh.area_faces[g]
        )
        for g in groups
    }


@pytest.mark.parametrize("ending", ["ply", "stl", "obj"])
def test_fold_angles_measured_on_the_exported_mesh_are_those_of_the_motion(tmp_path, ending):
    linkage = tent_linkage()
    motion = tent_motion(linkage, [45, 120])
    ridge = [h.name for h in linkage.hinges].index("tent.ridge")
    for stage in range(2):
        file = tmp_path / f"tent-{stage}.{ending}"
        export.write(solid.piece_mesh(linkage, motion, stage, "tent"), file)
        back = trimesh.load(file, process=ending == "stl")
        big = back.area_faces > 100  # facets, not rims
        directions = np.unique(np.round(back.face_normals[big], 6), axis=0)
        measured = np.degrees(np.arccos(np.clip(directions @ directions.T, -1, 1)))
        wanted = np.degrees(motion.angles[stage, ridge])
        assert np.abs(measured - wanted).min() < 0.01
        if ending == "ply":  # which keeps colours, so that the printed side is known
            assert back.is_volume
            assert len(printed_normals(back)) >= 1


# Dihedral angles of the regular solids {p, q}: sin(D/2) = cos(180°/q) / sin(180°/p)
# (H. S. M. Coxeter, Regular Polytopes, section 2.4).
@pytest.mark.parametrize(
    ("mesh", "p", "q"),
    [
        (trimesh.creation.box(), 4, 3),
        (trimesh.creation.icosahedron(), 3, 5),
        (trimesh.convex.convex_hull(np.vstack([np.eye(3), -np.eye(3)])), 3, 4),
        (
            trimesh.convex.convex_hull(
                np.array([(1, 1, 1), (1, -1, -1), (-1, 1, -1), (-1, -1, 1)], float)
            ),
            3,
            3,
        ),
        (trimesh.convex.convex_hull(trimesh.creation.icosahedron().triangles_center), 5, 3),
    ],
)
def test_the_way_angles_are_measured_gives_the_regular_solids(mesh, p, q):
    sharp = mesh.face_adjacency_angles[mesh.face_adjacency_angles > 1e-6]
    dihedral = 180 - np.degrees(sharp)
    expected = 2 * np.degrees(np.arcsin(np.cos(np.pi / q) / np.sin(np.pi / p)))
    assert np.allclose(dihedral, expected, atol=1e-5)


def fail_half_way(file):
    with export.whole_file(file) as part:
        part.write_bytes(b"half")
        raise RuntimeError("disk full")


def test_a_failed_write_leaves_the_old_file_and_nothing_else(tmp_path):
    file = tmp_path / "new" / "mesh.ply"
    with pytest.raises(RuntimeError, match="full"):
        fail_half_way(file)
    assert list(tmp_path.iterdir()) == []
    export.write_whole(file, b"one")
    with pytest.raises(RuntimeError, match="full"):
        fail_half_way(file)
    assert [f.name for f in file.parent.iterdir()] == ["mesh.ply"]
    assert file.read_bytes() == b"one"


def test_an_unknown_mesh_format_names_the_known_ones(tmp_path):
    with pytest.raises(ValueError, match=r"'\.xyz'; allowed: ply, stl, obj"):
        export.write(trimesh.creation.box(), tmp_path / "mesh.xyz")
    assert list(tmp_path.iterdir()) == []
