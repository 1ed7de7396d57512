"""The nodes: one for each piece, in it one for each body, and what goes along with them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from meshes.linkage import Linkage
from meshes.motion.keys import Keys
from meshes.solid import body_solids

from .chunk import ARRAY, ELEMENTS, Chunk, metres, turn
from .primitives import Substance, image_primitive, images, solid_primitives

Weights = Callable[[np.ndarray], np.ndarray]

# What bends has keys this far apart, radians: a corner 50 mm from the gutter then strays from its
# circle by 50 (1 - cos 0.5°) = 0.002 mm (each page turns by half of it).
BEND_STEP = float(np.radians(2.0))


@dataclass(frozen=True)
class Bender:
    """A node whose mesh bends.

    Parameters
    ----------
    weights : from openings of shape (S,), radians, to how much there is of each target, (S, m).
    step : its keys are so far apart, radians.
    """

    node: int
    weights: Weights
    step: float = BEND_STEP


@dataclass(frozen=True, eq=False)
class Companion:
    """Something that is not of the design's paper but goes with it, such as half a notebook.

    Parameters
    ----------
    piece : node under which it hangs.
    name : of its own node.
    colour : ``#rrggbb``.
    triangles : shape (n, 3, 3), mm, counter-clockwise from outside, in the frame of the body that
        it follows.
    follows : name of the body that it moves with; without one it stays in the frame of the motion.
    bends : how its corners move from there, one shape after the other, shape (m, n, 3, 3), mm.
    weights : from openings of shape (S,), radians, to how much of each bend there is, shape (S, m).
    """

    piece: str
    name: str
    colour: str
    triangles: np.ndarray
    follows: str = ""
    bends: np.ndarray = field(default_factory=lambda: np.zeros((0, 0, 3, 3)))
    weights: Weights | None = None


@dataclass
class NodeTree:
    """Nodes and meshes while they are collected.

    Parameters
    ----------
    nodes : the first is the root.
    pieces : for each piece (of paper or not) the numbers of its nodes.
    movers : for each body, in their order, the numbers of the nodes that move with it.
    benders : nodes whose mesh bends.
    """

    nodes: list[dict[str, Any]]
    meshes: list[dict[str, Any]] = field(default_factory=list)
    pieces: dict[tuple[str, bool], list[int]] = field(default_factory=dict)
    movers: list[list[int]] = field(default_factory=list)
    benders: list[Bender] = field(default_factory=list)

    def add(self, piece: str, is_paper: bool, node: dict[str, Any], mesh: dict[str, Any]) -> int:
        """Append a node with its mesh, of the same name, below a piece; returns its number."""
        self.nodes.append({**node, "mesh": len(self.meshes)})
        self.meshes.append({"name": node["name"], **mesh})
        number = len(self.nodes) - 1
        self.pieces.setdefault((piece, is_paper), []).append(number)
        return number

    def body(self, name: str) -> int:
        """The number of a body by its name; ValueError if there is none."""
        return [self.nodes[nodes[0]]["name"] for nodes in self.movers].index(name)

    def whole(self) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
        """All nodes, those of the pieces last, and all meshes."""
        first = len(self.nodes)
        root = {**self.nodes[0], "children": list(range(first, first + len(self.pieces)))}
        pieces = [{"name": name, "children": own} for (name, _), own in self.pieces.items()]
        return [root, *self.nodes[1:], *pieces], self.meshes


def add_bodies(
    tree: NodeTree, linkage: Linkage, keys: Keys, chunk: Chunk, materials: dict[Substance, int]
) -> None:
    """A node for each body, as it stands at the last key."""
    solids = body_solids(linkage)
    for b, body in enumerate(linkage.bodies):
        primitives = solid_primitives(
            [solid for solid in solids if solid.body == b], chunk, materials
        )
        primitives += [
            image_primitive(part, found, chunk) for part in body.parts for found in images(part)
        ]
        node = {
            "name": body.name,
            **stood(keys, b),
            "extras": {"facets": [part.id for part in body.parts]},
        }
        piece = body.parts[0].id.partition(".")[0]
        tree.movers.append([tree.add(piece, True, node, {"primitives": primitives})])


def stood(keys: Keys, body: int) -> dict[str, Any]:
    """Where a body stands at the last key."""
    return {
        "rotation": turn(keys.quaternions[-1, body]).tolist(),
        "translation": metres(keys.translations[-1, body]).tolist(),
    }


def add_companion(
    tree: NodeTree, companion: Companion, keys: Keys, chunk: Chunk, materials: dict[Substance, int]
) -> None:
    """A node for something besides the paper, below a node of its own piece.

    It has no normals: a reader must then shade each triangle flat (section 3.7.2.1), whichever way
    its corners are bent.
    """
    points = companion.triangles.reshape(-1, 3)
    primitive: dict[str, Any] = {
        "attributes": {"POSITION": chunk.add(metres(points), "VEC3", ARRAY)},
        "indices": chunk.add(np.arange(len(points)), "SCALAR", ELEMENTS),
        "material": materials.setdefault(Substance(companion.colour), len(materials)),
    }
    mesh: dict[str, Any] = {"primitives": [primitive]}
    if companion.weights is not None:
        primitive["targets"] = [
            {"POSITION": chunk.add(metres(bend.reshape(-1, 3)), "VEC3", ARRAY)}
            for bend in companion.bends
        ]
        mesh["weights"] = companion.weights(keys.openings[-1:])[0].tolist()
    body = tree.body(companion.follows) if companion.follows else None
    node = {"name": companion.name, **(stood(keys, body) if body is not None else {})}
    number = tree.add(companion.piece, False, node, mesh)
    if body is not None:
        tree.movers[body].append(number)
    if companion.weights is not None:
        tree.benders.append(Bender(number, companion.weights))
