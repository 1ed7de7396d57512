"""Facets become watertight solids: per body, to be moved rigidly, and per piece, as one mesh.

The motion treats paper as having no thickness. Here every facet becomes a prism of its paper's
caliper about its middle plane, and every fold a round bead of half the caliper about its axis, so
that a piece looks closed at any angle. In the mesh of a whole piece the beads swell as the folds
shut, by as much as the layers inside the fold lose to each other, since folded paper keeps its
volume. Only where a fold is all but shut do its layers share one place, and hold less.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely.geometry import Polygon

from .linkage import Linkage, Part
from .motion.result import Motion
from .sheet import Crossing, Sheet

if TYPE_CHECKING:
    import manifold3d
    import trimesh

BEAD_SIDES = 16
# Beads and the rivets at their ends are a little thicker than the paper, also at their flat sides:
# they hide the lines in which facets only touch, which some programs take for a leak.
BEAD_SHARE, RIVET_SHARE, RIVET_SIDES = 1.03, 1.08, 12
# A fold that is all but shut would need a bead as thick as its facets are wide.
MOST_SWOLLEN = 2.5
# Glued layers press into each other by next to nothing, so that they share a space, not a face.
GLUED_SHARE = 0.995
# Slivers that a union leaves are flattened where that moves nothing by more than the first of
# these, or by more than the next where the mesh would not be closed otherwise.
SLIVERS_MM = (1e-4, 1e-3, 4e-3)
GRID_MM = 2.0**-16
RGBA = tuple[int, int, int, int]


@dataclass(frozen=True)
class Solid:
    """A closed mesh that moves with one body.

    Parameters
    ----------
    name : ``piece.facet`` of a prism, ``piece.fold`` of a bead.
    body : index of the body.
    sheet : the sheet it is cut from.
    up : +1 if the printed face looks along +z of the body, else -1.
    mesh : in body coordinates, mm.
    """

    name: str
    body: int
    sheet: Sheet
    up: int
    mesh: trimesh.Trimesh


def prism(polygon: Polygon, thickness: float, middle: float = 0.0) -> trimesh.Trimesh:
    """Extrude a polygon along z to a closed mesh.

    Parameters
    ----------
    polygon : in the plane z = 0, mm; holes allowed.
    thickness : mm.
    middle : height of the middle plane, mm.

    Raises
    ------
    ValueError
        If the polygon crosses itself or a hole touches its outline, so that no closed mesh exists.
    """
    import trimesh

    if not polygon.is_valid or polygon.is_empty:
        raise ValueError(f"no solid from this outline: {shapely.is_valid_reason(polygon)}")
    mesh = trimesh.creation.extrude_polygon(polygon, thickness, engine="earcut", mid_plane=True)
    if not mesh.is_watertight:
        raise ValueError("no solid from this outline: a hole touches its edge")
    mesh.apply_translation([0.0, 0.0, middle])
    return mesh


def bead(ends: np.ndarray, radius: float) -> trimesh.Trimesh:
    """A closed cylinder of `BEAD_SIDES` sides along a fold.

    Parameters
    ----------
    ends : of its axis, shape (2, 3), mm.
    radius : mm.
    """
    import trimesh

    along = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
    across = np.cross(along, np.eye(3)[np.argmin(np.abs(along))])
    across /= np.linalg.norm(across)
    turn = 2 * np.pi * (np.arange(BEAD_SIDES) + 0.5) / BEAD_SIDES
    ring = radius * (
        np.outer(np.cos(turn), across) + np.outer(np.sin(turn), np.cross(along, across))
    )
    k = np.arange(BEAD_SIDES)
    after, top = (k + 1) % BEAD_SIDES, BEAD_SIDES
    wall = [np.column_stack([k, after, top + after]), np.column_stack([k, top + after, top + k])]
    fan = np.column_stack([np.zeros(BEAD_SIDES - 2, int), k[1:-1], k[2:]])
    faces = np.vstack([*wall, fan[:, ::-1], fan + top])
    return trimesh.Trimesh(np.vstack([ends[0] + ring, ends[1] + ring]), faces, process=False)


def body_solids(linkage: Linkage) -> tuple[Solid, ...]:
    """Prisms and beads of every body, in body coordinates, glued layers kept apart.

    A fold whose two facets lie at different heights gets a bead at each of them.
    """
    parts = {part.id: (k, part) for k, body in enumerate(linkage.bodies) for part in body.parts}
    solids = [
        Solid(name, k, part.sheet, part.placement.up, _part_prism(part, part.height))
        for name, (k, part) in parts.items()
    ]
    for sheet, crossing in _crossings(linkage):
        ends = [parts[f"{sheet.piece}.{side}"] for side in (crossing.left, crossing.right)]
        level = abs(ends[0][1].height - ends[1][1].height) < 1e-9
        for k, part in ends[:1] if level else ends:
            mesh = bead(_fold_ends(part, crossing, part.height), _bead_radius(sheet))
            name = f"{sheet.piece}.{crossing.fold.name}"
            solids.append(Solid(name, k, sheet, part.placement.up, mesh))
    return tuple(solids)


def piece_mesh(linkage: Linkage, motion: Motion, stage: int, piece: str) -> trimesh.Trimesh:
    """One closed, coloured mesh of a piece as it stands at a stage of the motion.

    A sheet is meshed about its middle planes; what is glued on it and belongs to the same piece
    lies beside it.

    Parameters
    ----------
    stage : index into ``motion.openings``; it must be solved.
    piece : name of the piece; ``page`` for the two pages.

    Returns
    -------
    In the frame of the spread (y along the gutter, z towards the reader at 180), mm. Faces have the
    colours of the paper's sides.
    """
    import trimesh

    parts = [
        (k, p) for k, b in enumerate(linkage.bodies) for p in b.parts if p.sheet.piece == piece
    ]
    heights = _heights(parts)
    poses = motion.rotations[stage], motion.translations[stage]
    bare = _closed(_union(_placed(linkage, parts, poses, heights)))
    colours = _face_colours(bare, parts, poses, heights)
    return trimesh.Trimesh(bare.vertices, bare.faces, face_colors=colours, process=False)


def pieces(linkage: Linkage) -> list[str]:
    """Names of all pieces that have paper, the page first."""
    return list(dict.fromkeys(part.sheet.piece for body in linkage.bodies for part in body.parts))


def swelling(angle: float) -> float:
    """Radius of the bead that keeps the paper's volume in a fold, in halves of the caliper.

    In the section across a fold by the angle f, with the half caliper as unit, the two slabs share
    a kite of area tan(f/2) on the inside. A disc of radius r about the axis has the area pi r², of
    which each slab covers sqrt(r² - 1) + r² asin(1/r), both of them what of the kite lies in the
    disc; the radius is the one at which the rest of the disc is as large as the kite (plane
    trigonometry).

    Parameters
    ----------
    angle : by which the paper is folded, 0 (flat) to pi (shut), radians.

    Returns
    -------
    From 1 to `MOST_SWOLLEN`, which is reached at about 172 degrees.
    """
    return float(np.interp(angle, *_swellings()))


@cache
def _swellings() -> tuple[np.ndarray, np.ndarray]:
    """Angles in steps of half a degree, and the radius at each."""
    from scipy.optimize import brentq

    def spare(radius: float, angle: float) -> float:
        slab = np.sqrt(radius**2 - 1) + radius**2 * np.arcsin(1 / radius)
        reach = min(np.arccos(1 / radius), angle / 2)
        kite = np.tan(reach) + radius**2 * (angle / 2 - reach)
        return float(np.pi * radius**2 - 2 * slab + kite - np.tan(angle / 2))

    angles = np.radians(np.arange(0.5, 180.0, 0.5))
    radii = [
        MOST_SWOLLEN
        if spare(MOST_SWOLLEN, angle) < 0
        else brentq(spare, 1.0, MOST_SWOLLEN, args=(angle,))
        for angle in angles
    ]
    return np.append(0.0, angles), np.append(1.0, radii)


_Poses = tuple[np.ndarray, np.ndarray]
_Placed = tuple[int, Part]
_Heights = dict[str, float]


def _part_prism(part: Part, height: float) -> trimesh.Trimesh:
    try:
        return prism(part.polygon, part.sheet.paper.caliper, height)
    except ValueError as error:
        raise ValueError(f"{part.id}: {error}") from error


def _heights(parts: Sequence[_Placed]) -> _Heights:
    """Height of the middle plane of each part of a piece over its lowest on that body, mm, by name.

    What it is glued on belongs to other pieces and does not lift what is folded: a tab would else
    stand off its own fold, which would have to reach it with paper that there is not. Flat sheets
    of a piece of several that slide or turn on each other keep their heights.
    """
    alone = len({part.sheet.name for _, part in parts}) == 1
    lowered = {k for k, part in parts if alone or part.sheet.crossings}
    ground: dict[int, float] = {}
    for k, part in parts:
        ground[k] = min(part.height, ground.get(k, np.inf), key=abs)
    return {
        part.id: GLUED_SHARE * (part.height - (ground[k] if k in lowered else 0.0))
        for k, part in parts
    }


def _bead_radius(sheet: Sheet) -> float:
    return BEAD_SHARE * sheet.paper.caliper / 2


def _crossings(linkage: Linkage) -> Iterator[tuple[Sheet, Crossing]]:
    """Every fold once, with its sheet."""
    sheets = {
        (part.sheet.piece, part.sheet.name): part.sheet
        for body in linkage.bodies
        for part in body.parts
    }
    for sheet in sheets.values():
        for crossing in sheet.crossings:
            yield sheet, crossing


def _fold_ends(part: Part, crossing: Crossing, height: float) -> np.ndarray:
    """Both ends of a fold in the coordinates of the part's body, shape (2, 3), mm."""
    flat = part.placement.apply([crossing.fold.start, crossing.fold.end])
    return np.column_stack([flat, [height, height]])


def _placed(
    linkage: Linkage, parts: Sequence[_Placed], poses: _Poses, heights: _Heights
) -> Iterator[manifold3d.Manifold]:
    """The prisms and beads of some parts in the frame of the spread."""
    import manifold3d

    rotations, translations = poses
    home = {part.id: (k, part) for k, part in parts}
    for k, part in parts:
        mesh = _part_prism(part, heights[part.id])
        yield _manifold(mesh.vertices @ rotations[k].T + translations[k], mesh.faces)
    wanted = {(part.sheet.piece, part.sheet.name) for _, part in parts}
    for sheet, crossing in _crossings(linkage):
        if (sheet.piece, sheet.name) not in wanted:
            continue
        sides = [home[f"{sheet.piece}.{side}"] for side in (crossing.left, crossing.right)]
        radius = max(BEAD_SHARE, swelling(_folded(sides, rotations))) * sheet.paper.caliper / 2
        beads = []
        for k, part in sides:
            ends = _fold_ends(part, crossing, heights[part.id]) @ rotations[k].T + translations[k]
            mesh = bead(ends, radius)
            beads.append(_manifold(mesh.vertices, mesh.faces))
            yield from (_rivet(end, sheet.paper.caliper) for end in ends)
            if not any(heights[part.id] for _, part in sides):
                break
        # Glued layers keep the two facets of a fold at different heights: bridge them.
        yield beads[0] if len(beads) == 1 else manifold3d.Manifold.batch_hull(beads)


def _folded(sides: Sequence[_Placed], rotations: np.ndarray) -> float:
    """How far the paper between two facets of a sheet is folded, radians."""
    one, two = (part.placement.up * rotations[k][:, 2] for k, part in sides)
    return float(np.arccos(np.clip(one @ two, -1.0, 1.0)))


def _rivet(centre: np.ndarray, caliper: float) -> manifold3d.Manifold:
    """A ball at the end of a fold, where facets meet in a line only: some take that for a leak."""
    import manifold3d

    ball = manifold3d.Manifold.sphere(RIVET_SHARE * caliper / 2, RIVET_SIDES)
    return ball.rotate([20.0, 30.0, 40.0]).translate(centre.tolist())


def _manifold(vertices: np.ndarray, faces: np.ndarray) -> manifold3d.Manifold:
    import manifold3d

    mesh = manifold3d.Mesh64(
        np.ascontiguousarray(vertices, np.float64), np.ascontiguousarray(faces, np.uint64)
    )
    return manifold3d.Manifold(mesh)


def _union(solids: Iterable[manifold3d.Manifold]) -> manifold3d.Manifold:
    import manifold3d

    return manifold3d.Manifold.batch_boolean(list(solids), manifold3d.OpType.Add)


def _closed(union: manifold3d.Manifold) -> trimesh.Trimesh:
    """The mesh of a union, welded so that it stays closed wherever it goes.

    Where layers all but share their place, welding can pinch a sliver to a line of four triangles;
    then larger slivers are flattened first.
    """
    import trimesh

    for sliver in SLIVERS_MM:
        mesh = trimesh.Trimesh(*_welded(*_arrays(union.simplify(sliver))), process=False)
        if mesh.is_volume:
            return mesh
    return trimesh.Trimesh(*_arrays(union), process=False)


def _arrays(manifold: manifold3d.Manifold) -> tuple[np.ndarray, np.ndarray]:
    mesh = manifold.to_mesh64()
    return np.array(mesh.vert_properties[:, :3]), np.array(mesh.tri_verts, int)


def _welded(vertices: np.ndarray, faces: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The same mesh on a fine grid, each corner there once.

    So it stays closed in files of single precision, which holds multiples of 2⁻¹⁶ mm up to 256 mm
    exactly, and in programs that merge corners that are close. Triangles that collapse, and pairs
    that lie back to back, enclose nothing and are dropped.
    """
    vertices, place = np.unique(np.round(vertices / GRID_MM), axis=0, return_inverse=True)
    faces = place.reshape(-1)[faces]
    a, b, c = faces.T
    faces = faces[(a != b) & (b != c) & (c != a)]
    _, place, count = np.unique(
        np.sort(faces, axis=1), axis=0, return_inverse=True, return_counts=True
    )
    faces = faces[count[place.reshape(-1)] == 1]
    used, faces = np.unique(faces, return_inverse=True)
    return vertices[used] * GRID_MM, faces.reshape(-1, 3)


def _face_colours(
    mesh: trimesh.Trimesh, parts: Sequence[_Placed], poses: _Poses, heights: _Heights
) -> np.ndarray:
    """The colour of each face, shape (n, 4), 0 to 255: printed side, back, or the cut edge."""
    rotations, translations = poses
    colours = np.empty((len(mesh.faces), 4), np.uint8)
    colours[:] = _rim(parts[0][1].sheet)
    centres, normals = mesh.triangles_center, mesh.face_normals
    for k, part in parts:
        normal = rotations[k][:, 2]
        middle = normal @ translations[k] + heights[part.id]
        half = part.sheet.paper.caliper / 2
        facing = normals @ normal
        offset = centres @ normal - middle
        for way in (1, -1):
            seen = (way * facing > 0.9999) & (np.abs(way * offset - half) < 1e-3)
            side = part.sheet.front if way == part.placement.up else part.sheet.back
            colours[seen] = _rgba(side)
    return colours


def _rgba(colour: str) -> RGBA:
    red, green, blue = bytes.fromhex(colour.lstrip("#"))
    return red, green, blue, 255


def _rim(sheet: Sheet) -> np.ndarray:
    """Where paper is cut or folded, its core shows: its colour or the mean of both sides."""
    if sheet.paper.core:
        return np.array(_rgba(sheet.paper.core), np.uint8)
    return np.mean([_rgba(sheet.front), _rgba(sheet.back)], axis=0).astype(np.uint8)
