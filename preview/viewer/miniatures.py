"""Small pictures of what lies in the paper drawer; those of pieces open and close.

Each piece is built as it comes out of the drawer, in a little notebook of its own, and posed at a
few openings. A page draws the facets as filled outlines, the farthest first, and moves them from
one opening to the next.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from meshes import designs
from meshes.design.edit import AddPiece
from meshes.export import write_whole
from meshes.linkage import Part
from meshes.motion.result import Motion
from meshes.outline import SHAPES
from meshes.spread import Spread, read

from .stock import Item, stock

Json = dict[str, Any]

SHIPPED = Path(__file__).parent / "bundle" / "drawer.json"

# A notebook a little larger than what stands in it, mm; openings from nearly shut to flat, as far
# apart as a straight step between them does not show; the side of a picture, its own units.
# All our choice.
_NOTEBOOK = "[spread]\nwidth = 92\nheight = 128\nmargin = 0\n"
_MARGIN = 9.0
_AT, _ON_PAGE = 58.0, (46.0, 30.0)
_OPENINGS = np.radians(np.arange(30.0, 181.0, 10.0))
_SIDE, _RIM = 100.0, 4.0
# From where they are seen: from the reader's place, a little from the right. Our choice.
_AZIMUTH, _ELEVATION = np.radians(14.0), np.radians(34.0)
_LIGHT = np.array([-0.35, -0.45, 0.82])
_MOST_CORNERS = 40
_NEAR_MM = 0.6


@cache
def miniatures() -> list[Json]:
    """Everything in the drawer with its picture, as :func:`drawn` drew them for this version."""
    found: list[Json] = json.loads(SHIPPED.read_text(encoding="utf-8"))
    return found


def drawn(names: Iterable[str]) -> list[Json]:
    """Things in the drawer with a picture.

    Returns
    -------
    For each item what :meth:`~preview.viewer.stock.Item.told` says, and either ``outline``, a path
    in a square of 100 units, or ``faces``: for each opening the corners of each facet as x, y, x,
    y … in such a square, ``shades`` from 0 to 100 and the ``order`` in which they are drawn; the
    first two facets are the pages.
    """
    return [{**stock()[name].told(), **_picture(stock()[name])} for name in names]


def _picture(item: Item) -> Json:
    if item.group == "outlines":
        return {"outline": _path(item)}
    return _moving(item)


def _path(item: Item) -> str:
    """The outline of a shape as a path."""
    table = item.table["outline"]
    polygon = SHAPES[table["shape"]].model_validate(table).polygon()
    points = np.asarray(polygon.simplify(0.1).exterior.coords)[:, :2] * (1, -1)
    low, high = points.min(axis=0), points.max(axis=0)
    scale = (_SIDE - 4 * _RIM) / (high - low).max()
    placed = (points - (low + high) / 2) * scale + _SIDE / 2
    holes = [np.asarray(ring.coords)[:, :2] * (1, -1) for ring in polygon.interiors]
    rings = [placed, *((ring - (low + high) / 2) * scale + _SIDE / 2 for ring in holes)]
    return "".join("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in ring[:-1]) + "Z" for ring in rings)


def _moving(item: Item) -> Json:
    """A piece at every opening."""
    made = _little_notebook(item)
    motion = made.solve(_OPENINGS)
    faces: list[np.ndarray] = []
    normals: list[np.ndarray] = []
    ground = _ground(made, motion)
    for body, part in _parts(made):
        corners = _few_corners(
            part.polygon.intersection(ground) if part.sheet.piece == "page" else part.polygon
        )
        local = np.column_stack([corners, np.full(len(corners), part.height)])
        turn, shift = motion.rotations[:, body], motion.translations[:, body, None]
        faces.append(local @ turn.swapaxes(1, 2) + shift)
        normals.append(turn[:, :, 2])
    seen = [_seen(face) for face in faces]
    every = np.concatenate(seen, axis=1)[..., :2].reshape(-1, 2)
    low, high = every.min(axis=0), every.max(axis=0)
    scale = (_SIDE - 2 * _RIM) / (high - low).max()
    flat = [(face[..., :2] - (low + high) / 2) * (scale, -scale) + _SIDE / 2 for face in seen]
    depths = np.array([face[..., 2].mean(axis=1) for face in seen]).T
    # What lies on a page is drawn after it, however long the page.
    depths[:, :2] += 1e6
    shades = np.round(100 * np.abs(np.array(normals) @ _LIGHT)).T.astype(int)
    return {
        "faces": [
            [np.round(face[k], 1).ravel().tolist() for face in flat] for k in range(len(_OPENINGS))
        ],
        "shades": shades.tolist(),
        "order": np.argsort(-depths, axis=1, kind="stable").tolist(),
    }


def _little_notebook(item: Item) -> Spread:
    """An item alone; an arm swings on a V-fold."""
    table, text = {"kind": item.kind, **item.table}, _NOTEBOOK
    if item.kind == "arm":
        host = {"kind": "v-fold", "at": _AT - 20, **stock()["v-fold"].table}
        text = AddPiece(name="host", table=host).apply(text)
        table |= {"on": "host.right", "x": 14, "y": 34, "turn": -35}
    elif item.stands == "facet":
        table |= {"on": "page.right", "x": _ON_PAGE[0], "y": _ON_PAGE[1]}
    elif item.kind != "flyleaf":
        table |= {"on": "gutter", "at": _AT if item.kind != "zigzag" else 20}
    text = AddPiece(name=item.name, table=table).apply(text)
    # Drawings are found beside the shipped designs.
    return read(designs.path(designs.names()[0]), text=text)


def _ground(spread: Spread, motion: Motion) -> shapely.Polygon:
    """As much of the open pages as what stands on them takes up, and a rim, mm."""
    points = []
    for body, part in _parts(spread):
        if part.sheet.piece != "page":
            corners = _few_corners(part.polygon)
            local = np.column_stack([corners, np.zeros(len(corners))])
            points.append(local @ motion.rotations[-1, body].T + motion.translations[-1, body])
    across, along = np.concatenate(points)[:, :2].T
    wide = float(np.abs(across).max()) + _MARGIN
    return shapely.box(-wide, along.min() - _MARGIN, wide, along.max() + _MARGIN)


def _parts(spread: Spread) -> Iterator[tuple[int, Part]]:
    """Facets, each with its body, the two pages first."""
    found = [(k, part) for k, body in enumerate(spread.linkage.bodies) for part in body.parts]
    yield from sorted(found, key=lambda one: one[1].sheet.piece != "page")


def _few_corners(polygon: shapely.Polygon) -> np.ndarray:
    """The outline of a facet in corners that are enough for a small picture, shape (n, 2), mm."""
    near = _NEAR_MM
    simple = polygon
    while len(simple.exterior.coords) > _MOST_CORNERS or near == _NEAR_MM:
        simple, near = polygon.simplify(near), near * 2
    return np.asarray(simple.exterior.coords)[:-1, :2]


def _seen(points: np.ndarray) -> np.ndarray:
    """Points (S, n, 3) as they are seen: to the right, up, and how far away, mm."""
    turn = np.array(
        [
            [np.cos(_AZIMUTH), np.sin(_AZIMUTH), 0.0],
            [
                -np.sin(_AZIMUTH) * np.sin(_ELEVATION),
                np.cos(_AZIMUTH) * np.sin(_ELEVATION),
                np.cos(_ELEVATION),
            ],
            [
                -np.sin(_AZIMUTH) * np.cos(_ELEVATION),
                np.cos(_AZIMUTH) * np.cos(_ELEVATION),
                -np.sin(_ELEVATION),
            ],
        ]
    )
    return points @ turn.T


if __name__ == "__main__":
    pictures = ",\n".join(json.dumps(one, separators=(",", ":")) for one in drawn(stock()))
    write_whole(SHIPPED, f"[\n{pictures}\n]\n".encode())
