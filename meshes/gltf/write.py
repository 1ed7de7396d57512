"""Animated glTF 2.0 (binary): a node for each piece, in it one for each body, moved by keys.

Written by hand against the glTF 2.0 specification of the Khronos Group, since the libraries at
hand write no animation. Coordinates become metres with y up, as section 3.4 asks:
(x, y, z) mm -> (x, z, -y) / 1000.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

import numpy as np

from meshes.export import write_whole
from meshes.linkage import Linkage
from meshes.motion.keys import Keys, Solve, choose_keys
from meshes.motion.result import Motion

from .chunk import Chunk, pack
from .clips import animation
from .nodes import Bender, Companion, NodeTree, add_bodies, add_companion
from .primitives import Substance, image_material, number_images, plain_material
from .skins import SharesOver, add_skins

if TYPE_CHECKING:
    from meshes.curl import Rolled, Shares


class Moves(Protocol):
    """What can be written: a spread, or anything with a linkage that can be solved."""

    @property
    def linkage(self) -> Linkage:
        """Bodies and hinges."""

    def solve(
        self, openings: np.ndarray, driven: Mapping[str, float | np.ndarray] | None = None
    ) -> Motion:
        """Poses at openings in radians, ascending, with parts moved by hand."""


def write_glb(
    path: Path,
    spread: Moves,
    motion: Motion,
    solve: Solve | None = None,
    companions: Sequence[Companion] = (),
) -> None:
    """Write a spread: its opening, and each part that a hand moves, as clips of four seconds.

    The nodes stand as the spread does when it is open. The clip ``opening`` opens it; the clip
    ``NAME by hand`` moves one part from its first place to its last while the spread is open.

    Parameters
    ----------
    motion : 1° apart or denser; keys are chosen from it, and solved in between where it is too
        coarse, so that no point is more than 0.05 mm from the solved pose.
    solve : as ``spread.solve``, perhaps with a memory of the solve that gave the motion.
    companions : what is drawn besides the paper.

    Raises
    ------
    ValueError
        If fewer than two openings are solved.
    """
    curling = getattr(spread, "curling", None)
    linkage = spread.linkage if curling is None else curling[0].held
    keys = choose_keys(linkage.bodies, motion, solve or spread.solve)
    last = float(keys.openings[-1])
    clips = {
        f"{drive.name} by hand": by_hand(spread, drive.name, last)
        for drive in spread.linkage.drives
    }
    curl = None
    if curling is not None:
        ways = np.linspace(0.0, np.pi, 181)
        over = {
            f"{drive.name} by hand": shares_over(
                spread, curling[1], _moving(spread, drive.name, last)(ways)
            )
            for drive in spread.linkage.drives
        }
        curl = curling[0], shares_over(spread, curling[1], motion), over
    write_whole(path, glb(linkage, keys, clips, companions, curl))


def by_hand(spread: Moves, name: str, opening: float) -> Keys:
    """The keys of one part that a hand moves, at an opening; its way counts as `openings` to pi."""
    solve = _moving(spread, name, opening)
    return choose_keys(spread.linkage.bodies, solve(np.linspace(0, np.pi, 91)), solve)


def _moving(spread: Moves, name: str, opening: float) -> Solve:
    """Solves a spread at an opening over a hand's way, which counts as `openings` to pi."""
    from dataclasses import replace

    def solve(way: np.ndarray) -> Motion:
        still = np.full(len(way), opening)
        return replace(spread.solve(still, {name: way / np.pi}), openings=way)

    return solve


def shares_over(spread: Moves, shares: Shares, motion: Motion) -> SharesOver:
    """The shares of curls over the openings of a motion, linear between them."""
    from meshes.curl.stances import stances

    known = motion.openings[motion.solved]
    found = shares.at(stances(spread.linkage, motion))[:, motion.solved]
    return lambda openings: np.stack([np.interp(openings, known, row) for row in found])


def glb(
    linkage: Linkage,
    keys: Keys,
    by_hand: Mapping[str, Keys] | None = None,
    companions: Sequence[Companion] = (),
    curling: tuple[Rolled, SharesOver, Mapping[str, SharesOver]] | None = None,
) -> bytes:
    """The bytes of a GLB file: header, JSON chunk, BIN chunk (glTF 2.0 section 4).

    Parameters
    ----------
    by_hand : further clips by name.
    companions : what is drawn besides the paper.
    curling : curled paper, its shares over the opening and over further clips by name; the linkage
        is then without it.
    """
    chunk = Chunk()
    materials: dict[Substance, int] = {}
    tree = NodeTree([{"name": "spread", "children": []}])
    add_bodies(tree, linkage, keys, chunk, materials)
    bending: Mapping[str, Sequence[Bender]] = {}
    if curling is not None:
        bending = add_skins(tree, *curling, keys, chunk, materials)
    for companion in companions:
        add_companion(tree, companion, keys, chunk, materials)
    nodes, meshes = tree.whole()
    plain = [plain_material(look) for look in materials]
    number_images(meshes, len(plain))
    document = {
        "asset": {"version": "2.0", "generator": "foldstage"},
        "scene": 0,
        "scenes": [{"name": "spread", "nodes": [0]}],
        "nodes": nodes,
        "meshes": meshes,
        "materials": plain + [image_material(k) for k in range(len(chunk.images))],
        "animations": [
            animation("opening", keys, chunk, tree.movers, tree.benders),
            *(
                animation(name, clip, chunk, tree.movers, bending.get(name, ()))
                for name, clip in (by_hand or {}).items()
            ),
        ],
        "accessors": chunk.accessors,
        "bufferViews": chunk.views,
        "buffers": [{"byteLength": len(chunk.data)}],
    }
    if chunk.images:
        document["images"] = [{"bufferView": k, "mimeType": "image/png"} for k in chunk.images]
        document["textures"] = [{"source": k} for k in range(len(chunk.images))]
    return pack(document, bytes(chunk.data))
