"""Folds round one apex: what keeps a cone from winding round itself twice."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from meshes.linkage import Linkage

from ..loops.blocks import Block

# Folds of a simple cone sum to a full turn less its solid angle; starts keep clear of that.
MOST = 2 * np.pi
START = np.radians(315.0)
_SAME_MM = 1e-6


def find_rings(linkage: Linkage, block: Block) -> list[np.ndarray]:
    """Local indices of the folds of every closed ring of facets round an apex."""
    rings = []
    for corner in _corners(block):
        open_: set[int] = set()
        for chain in _group(corner, _shared_facets(linkage, block, corner)):
            if _closes(block, chain):
                rings.append(np.array(sorted(chain)))
            else:
                open_ |= chain
        if _closes(block, open_):
            rings.append(np.array(sorted(open_)))
    return rings


def shrink(rings: list[np.ndarray], angles: np.ndarray) -> np.ndarray:
    """Starting angles, shape (n,), made small enough for every ring, radians."""
    angles = angles.copy()
    for ring in rings:
        total = np.abs(angles[ring]).sum()
        angles[ring] *= min(1.0, START / total)
    return angles


def winds_once(rings: list[np.ndarray], angles: np.ndarray) -> bool:
    """Whether the folds at angles (n,), radians, turn no ring round more than once."""
    return all(abs(angles[ring].sum()) <= MOST for ring in rings)


def _corners(block: Block) -> list[set[int]]:
    """Folds that share an end point on some body."""
    links: dict[tuple[int, int], set[tuple[int, int]]] = {}
    ends: dict[int, list[tuple[tuple[int, int], np.ndarray]]] = {}
    for k, pair in enumerate(block.topology.sides):
        for side, body in enumerate(pair):
            start = block.geometry.origins[k, side]
            along = block.geometry.frames[k, side, :, 0] * block.geometry.lengths[k]
            for end, point in ((0, start), (1, start + along)):
                ends.setdefault(body, []).append(((k, end), point))
                links.setdefault((k, end), set())
    for members in ends.values():
        for one, p in members:
            for two, q in members:
                if one != two and np.abs(p - q).max() < _SAME_MM:
                    links[one].add(two)
    groups = _group(links, [(one, two) for one, others in links.items() for two in others])
    return [{k for k, _ in group} for group in groups if len(group) > 2]


def _shared_facets(linkage: Linkage, block: Block, folds: set[int]) -> list[tuple[int, int]]:
    facets = {k: set(linkage.hinges[block.hinges[k]].facets) for k in folds}
    return [(a, b) for a in folds for b in folds if a != b and facets[a] & facets[b]]


def _closes(block: Block, folds: set[int]) -> bool:
    """Whether every body between these folds touches exactly two of them."""
    bodies = [body for k in folds for body in block.topology.sides[k]]
    return len(folds) > 2 and all(bodies.count(body) == 2 for body in bodies)


def _group(items: Iterable, pairs: Iterable[tuple]) -> list[set]:
    """Sets of items that the pairs tie together."""
    groups = {item: {item} for item in items}
    for one, two in pairs:
        if groups[one] is not groups[two]:
            merged = groups[one] | groups[two]
            for member in merged:
                groups[member] = merged
    unique: list[set] = []
    for group in groups.values():
        if not any(group is other for other in unique):
            unique.append(group)
    return unique
