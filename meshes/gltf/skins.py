"""Curled paper: a skin for each facet, with the shapes between which it bends as morph targets."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import partial
from typing import Any

import numpy as np

from meshes.curl import Rolled
from meshes.curl.skin import Skin, shapes, skin_triangles, skins, weights
from meshes.linkage import Part
from meshes.motion.keys import Keys

from .chunk import ELEMENTS, Chunk
from .nodes import Bender, NodeTree, stood
from .primitives import Substance, image_primitive, images, looks, morphs

# Keys of a curl, radians: its shares are known so far apart.
STEP = float(np.radians(1.0))

# Shares of all curls (E, S) at openings of a clip (S,), radians.
SharesOver = Callable[[np.ndarray], np.ndarray]

Bend = Callable[[np.ndarray, np.ndarray], tuple[np.ndarray, np.ndarray]]


def add_skins(
    tree: NodeTree,
    paper: Rolled,
    shares: SharesOver,
    by_hand: Mapping[str, SharesOver],
    keys: Keys,
    chunk: Chunk,
    materials: dict[Substance, int],
) -> dict[str, list[Bender]]:
    """A node for each curled facet below its piece, that moves with the facet's body and bends.

    Parameters
    ----------
    by_hand : the shares over further clips.

    Returns
    -------
    What bends in those.
    """
    bending: dict[str, list[Bender]] = {name: [] for name in by_hand}
    for skin in skins(paper):
        known = shapes(paper, skin)
        primitives = list(_primitives(paper, skin, known, chunk, materials))
        share = partial(_weights, shares, skin.entry, known)
        mesh = {"primitives": primitives, "weights": share(keys.openings[-1:])[0].tolist()}
        node = {
            "name": f"{skin.id} curl",
            **stood(keys, skin.body),
            "extras": {"facets": [skin.id]},
        }
        number = tree.add(skin.id.partition(".")[0], True, node, mesh)
        tree.movers[skin.body].append(number)
        tree.benders.append(Bender(number, share, STEP))
        for name, over in by_hand.items():
            own = partial(_weights, over, skin.entry, known)
            bending[name].append(Bender(number, own, STEP))
    return bending


def _weights(shares: SharesOver, entry: int, known: np.ndarray, openings: np.ndarray) -> np.ndarray:
    return weights(shares(openings)[entry], known)


def _primitives(
    paper: Rolled, skin: Skin, known: np.ndarray, chunk: Chunk, materials: dict[Substance, int]
) -> Iterator[dict[str, Any]]:
    """One primitive for each look of a skin, then one for each image on each strip."""
    found: dict[Substance, list[tuple[np.ndarray, np.ndarray]]] = {}
    for strip, part, triangles in skin_triangles(paper, skin):
        normals = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
        normals /= np.linalg.norm(normals, axis=1, keepdims=True)
        for look, chosen in _looks(part, normals):
            points, wide = triangles[chosen].reshape(-1, 3), np.repeat(normals[chosen], 3, axis=0)
            found.setdefault(look, []).append(_bent(paper, strip, points, wide, known))
    for look, pieces in found.items():
        places, normals = (np.concatenate(each, axis=1) for each in zip(*pieces, strict=True))
        yield {
            **_morphed(places, normals, chunk),
            "material": materials.setdefault(look, len(materials)),
        }
    for strip, parts in skin.strips:
        for part in parts:
            for picture in images(part):
                bend = partial(_bent, paper, strip, known=known)
                yield image_primitive(part, picture, chunk, bend)


def _looks(part: Part, normals: np.ndarray) -> Iterator[tuple[Substance, np.ndarray]]:
    upright = normals[:, 2] * part.placement.up
    sides = (upright > 0.5, upright < -0.5, np.abs(upright) <= 0.5)
    for look, chosen in zip(looks(part.sheet), sides, strict=True):
        if chosen.any():
            yield look, chosen


def _bent(
    paper: Rolled, strip: int, points: np.ndarray, normals: np.ndarray, known: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Places and normals of points of a strip in each shape, shapes (m, n, 3)."""
    return (
        paper.bend(strip, points, known),
        paper.bend_normals(strip, points, normals, known),
    )


def _morphed(places: np.ndarray, normals: np.ndarray, chunk: Chunk) -> dict[str, Any]:
    """Attributes, indices and targets of corners (m, n, 3); equal corners are one."""
    rows = np.concatenate([places, normals], axis=2).astype("f4").transpose(1, 0, 2)
    _, first, indices = np.unique(
        rows.reshape(len(rows), -1), axis=0, return_index=True, return_inverse=True
    )
    return {
        **morphs(places[:, first], normals[:, first], chunk),
        "indices": chunk.add(indices.ravel(), "SCALAR", ELEMENTS),
    }
