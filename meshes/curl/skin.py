"""Each curled facet as one closed skin that bends: for files that know morph targets."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from meshes.linkage import Part, flat_id

from .roll import Rolled

# Corners this near to a border between two strips lie on it, mm.
_ON_BORDER_MM = 1e-6
# Shapes between which a skin goes straight: as many as keep every corner this near to its course,
# mm, and never more. Our choice.
TOLERANCE_MM, MOST_SHAPES = 0.025, 64


@dataclass(frozen=True, eq=False)
class Skin:
    """The paper of a curled facet beyond its line.

    Parameters
    ----------
    id : of the facet.
    body : that it follows.
    entry : of the curl.
    strips : index of each strip and its parts, flat, from the line outwards.
    """

    id: str
    body: int
    entry: int
    strips: tuple[tuple[int, tuple[Part, ...]], ...]


def skins(paper: Rolled) -> list[Skin]:
    """The skins of all curled facets."""
    flat = len(paper.linkage.bodies) - len(paper.parents)
    found: dict[str, list[tuple[int, tuple[Part, ...]]]] = {}
    for j, body in enumerate(paper.linkage.bodies[flat:]):
        found.setdefault(flat_id(body.parts[0]), []).append((j, body.parts))
    return [
        Skin(name, int(paper.parents[own[0][0]]), int(paper.entry[own[0][0]]), tuple(own))
        for name, own in found.items()
    ]


def skin_triangles(paper: Rolled, skin: Skin) -> Iterator[tuple[int, Part, np.ndarray]]:
    """The closed skin, flat: strip, part and triangles (n, 3, 3) of it in body coordinates, mm.

    Where two strips meet there is no wall.
    """
    from meshes.solid import prism

    last = max(j for j, _ in skin.strips)
    for j, parts in skin.strips:
        for part in parts:
            mesh = prism(part.polygon, part.sheet.paper.caliper, part.height)
            triangles = np.asarray(mesh.triangles)
            beyond = paper.beyond(j, triangles)
            wall = np.zeros(len(triangles), bool)
            for border in (0.0, paper.width[j]):
                if (border == 0.0 and paper.place[j] > 0) or (border > 0.0 and j != last):
                    wall |= (np.abs(beyond - border) < _ON_BORDER_MM).all(axis=1)
            yield j, part, triangles[~wall]


def shapes(paper: Rolled, skin: Skin) -> np.ndarray:
    """Shares at which a skin's shape is wanted, from 0 to 1, so that it can go straight between.

    A corner that turns by the angle a from one shape to the next leaves the chord of its circle by
    its radius times 1 - cos(a / 2); here the error is measured in the middle between shapes.
    """
    corners = np.concatenate([t.reshape(-1, 3) for _, _, t in skin_triangles(paper, skin)])
    which = np.concatenate([np.full(3 * len(t), j) for j, _, t in skin_triangles(paper, skin)])
    count = 1
    while True:
        shares = np.linspace(0, 1, 2 * count + 1)
        at = np.zeros((len(shares), len(corners), 3))
        for j in np.unique(which):
            own = which == j
            at[:, own] = paper.bend(j, corners[own], shares)
        off = np.linalg.norm(at[1::2] - (at[:-1:2] + at[2::2]) / 2, axis=2).max()
        if off <= TOLERANCE_MM or count >= MOST_SHAPES:
            return shares[::2]
        count = min(int(np.ceil(count * np.sqrt(off / TOLERANCE_MM))) or 1, MOST_SHAPES)


def weights(share: np.ndarray, known: np.ndarray) -> np.ndarray:
    """How much there is of each shape but the flat one, shape (S, len(known) - 1).

    Parameters
    ----------
    share : of the curl, shape (S,).
    known : shares at which the shapes are taken.
    """
    return np.stack([np.interp(share, known, row) for row in np.eye(len(known))[1:]], axis=1)
