"""A folding scene put up by hand: V-folds of closed form over a notebook, without the solver."""

from __future__ import annotations

import zlib
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry import Polygon, box

from meshes.linkage import Linkage, link
from meshes.sheet import Fold, Paper, Sheet, cut
from preview.drawing.book import Book
from preview.drawing.scene import Scene, Surface, assemble

BOOK = Book(width=148.0, height=210.0)
PAPER = Paper("page", 100.0, 0.12, "#f6f1e4", "#f6f1e4")


def notebook() -> Linkage:
    """Nothing but the two pages."""
    facets, crossings = cut(
        box(-148, 0, 148, 210),
        [Fold("gutter", (0, 0), (0, 210), -1)],
        {"left": (-70, 100), "right": (70, 100)},
    )
    page = Sheet("page", "page", PAPER, PAPER.front, PAPER.back, facets, crossings)
    return link([page], [])


def page_poses(opening: float) -> tuple[np.ndarray, np.ndarray]:
    tilt = (np.pi - opening) / 2
    rotations = []
    for side in (-1, 1):
        c, s = np.cos(tilt), np.sin(tilt) * side
        rotations.append(np.array([[c, 0, -s], [0, 1, 0], [s, 0, c]]))
    return np.array(rotations), np.zeros((2, 3))


def v_fold(
    name: str,
    opening: float,
    apex: float,
    angles_deg: tuple[float, float],
    outline: Polygon,
    front: str,
    back: str = "#e8e2d2",
    **settings: object,
) -> list[Surface]:
    """Both halves of a V-fold, printed side to the reader.

    `angles_deg` are those of the glue crease with the gutter and of the crease with the ridge; the
    right half's outline has x along its crease and y up, the ridge at the second angle.
    """
    crease, ridge = np.radians(angles_deg)
    tilt = (np.pi - opening) / 2
    lean = np.hypot(np.cos(crease), np.sin(crease) * np.sin(tilt))
    middle = np.arctan2(np.sin(crease) * np.sin(tilt), np.cos(crease))
    up = middle + np.arccos(np.cos(ridge) / lean)
    spine = np.array([0.0, np.cos(up), np.sin(up)])
    far = [(900 * np.cos(a), 900 * np.sin(a)) for a in np.linspace(0, ridge, 5)]
    half = outline.intersection(Polygon([(0, 0), *far]))
    surfaces = []
    for side in (1, -1):
        along = np.array(
            [side * np.sin(crease) * np.cos(tilt), np.cos(crease), np.sin(crease) * np.sin(tilt)]
        )
        across = spine - along * (spine @ along)
        across /= np.linalg.norm(across)
        # Mirrored so that the printed side of both halves looks the same way.
        shape = half if side > 0 else shapely.transform(half, lambda p: p * [-1.0, 1.0])
        axis = along if side > 0 else -along
        rotation = np.column_stack([axis, across, np.cross(axis, across)])
        surfaces.append(
            Surface(
                f"{name}.{side}",
                shape,
                rotation,
                np.array([0.0, apex, BOOK.lift(opening)]),
                front,
                back,
                thickness=0.3,
                translucency=0.16,
                seed=zlib.crc32(name.encode()),
            )
        )
    return [replace(surface, **settings) for surface in surfaces]


def hill(width: float, height: float, phase: float) -> Polygon:
    x = np.linspace(0, width, 60)
    y = height * (0.66 + 0.3 * np.sin(x / width * 4.4 + phase)) * (1 - (x / width) ** 6)
    return Polygon([(0, 0), (width, 0), *zip(x[::-1], y[::-1], strict=True)]).buffer(0)


def vale(opening_deg: float, mood: str = "daylight") -> Scene:
    """Hills, a mast with a band, and a flag on clear film over an open notebook."""
    opening = np.radians(opening_deg)
    scene = assemble(notebook(), BOOK, opening, *page_poses(opening), mood)
    mast = Polygon([(0, 0), (22, 0), (14, 84), (-60, 84), (-60, 0)])
    band = Polygon([(-60, 26), (20, 26), (18, 46), (-60, 46)])
    flag = Polygon([(30, 0), (34, 0), (34, 60), (54, 54), (34, 74), (30, 74)])
    pieces = [
        *v_fold("far", opening, 176, (76, 80), hill(112, 66, 0.4), "#8ba870"),
        *v_fold("near", opening, 132, (72, 78), hill(104, 40, 2.0), "#568a62"),
        *v_fold("mast", opening, 96, (54, 66), mast, "#fbf7ee"),
        *v_fold("wave", opening, 52, (66, 74), hill(96, 24, 1.0), "#226f8c"),
        *v_fold("flag", opening, 84, (62, 72), flag, "#ffffff", material="film"),
    ]
    for piece in v_fold("band", opening, 96, (54, 66), band, "#e4473a"):
        pieces.append(replace(piece, translation=piece.translation + 0.4 * piece.normal))
    return replace(scene, surfaces=(*scene.surfaces, *pieces))
