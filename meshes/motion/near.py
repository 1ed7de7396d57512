"""The pose of a linkage that hardly differs from one whose pose is known, at one opening.

While a hand pulls at the paper, one number of the design changes a little from picture to picture.
Nothing has to be planned or marched for that: what must be solved together stays the same, and the
last pose is where to begin. Determined paper comes out as :func:`meshes.motion.solve.solve` would
find it; free paper comes to rest beside where it was, among its pages, hosts and named obstacles
only, so what else may stand in its way is left to the whole solve.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from meshes.linkage import Linkage

from .free.contact import find_contacts, with_obstacles
from .free.rest import ROUGHLY, Springs
from .loops.blocks import Block, adrift, gather
from .loops.closure import Closure
from .loops.march import FLAT_RAD, Marcher, in_range
from .loops.newton import MEETS_MM, newton
from .memory import Memory
from .order import Order
from .result import Motion
from .solve import PAGES, given_bodies, page_poses, plan

# Nearer to a flat state paper is not solved but taken to the limit, which needs a whole march.
LEAST_RAD, MOST_RAD = FLAT_RAD, float(np.pi - FLAT_RAD)


@dataclass(frozen=True)
class Together:
    """Folds that are solved at once, by name, and whether they leave their paper free."""

    folds: tuple[str, ...]
    free: bool


def groups(linkage: Linkage, memory: Memory) -> tuple[Together, ...]:
    """What must be solved together, hosts before what stands on them.

    Parameters
    ----------
    memory : of a solve of a linkage that holds these folds; without that they are marched here.
    """
    numbered = Order.of(linkage).linkage
    given = given_bodies(numbered, adrift(numbered, frozenset(PAGES)))
    blocks, _ = plan(numbered, given, Marcher(given.poses), memory)
    # Free paper comes last, as it may rest on any other.
    blocks = sorted(blocks, key=lambda block: block.free)
    return tuple(
        Together(tuple(numbered.hinges[k].name for k in block.hinges), block.free)
        for block in blocks
    )


def stand(
    linkage: Linkage, opening: float, parts: Sequence[Together], start: Mapping[str, float]
) -> Motion | None:
    """The pose of a linkage near a known one, as a motion with one opening.

    Parameters
    ----------
    opening : radians; nearer to a flat state than half a degree, it is solved there.
    parts : of the known linkage; those that have no fold here are passed over.
    start : angles of the folds there, radians.

    Returns
    -------
    None if the paper can't follow, or hangs together in another way than the known one did.
    """
    order = Order.of(linkage)
    found = _stand(order.linkage, float(np.clip(opening, LEAST_RAD, MOST_RAD)), parts, start)
    return None if found is None else order.before(found)


def _stand(
    linkage: Linkage, opening: float, parts: Sequence[Together], start: Mapping[str, float]
) -> Motion | None:
    number = {hinge.name: k for k, hinge in enumerate(linkage.hinges)}
    here = [group for group in parts if not number.keys().isdisjoint(group.folds)]
    if {fold for group in here for fold in group.folds} != number.keys():
        return None
    loose = adrift(linkage, frozenset(PAGES))
    rotations, translations = page_poses(len(linkage.bodies), np.array([opening]))
    rotations[:, loose], translations[:, loose] = np.eye(3), 0.0
    known, angles = frozenset([*PAGES, *loose]), np.full(len(linkage.hinges), np.nan)
    for group in here:
        block = gather(linkage, [number[fold] for fold in group.folds], known)
        if group.free:
            block = with_obstacles(linkage, block, () if set(block.hosts) <= set(loose) else PAGES)
        if not np.isfinite(translations[0, list(block.hosts)]).all():
            return None
        closure = block.closure(rotations[0], translations[0])
        first = np.array([start[linkage.hinges[k].name] for k in block.hinges])
        settled = (_rested if group.free else _closed)(linkage, block, closure, first)
        if settled is None:
            return None
        pose = closure.at(settled)
        own = slice(block.topology.known, None)
        rotations[0, list(block.own)] = pose.rotations[own]
        translations[0, list(block.own)] = pose.translations[own]
        angles[list(block.hinges)] = settled
        known = known.union(block.own)
    if not (np.isfinite(translations).all() and np.isfinite(angles).all()):
        return None
    return Motion(
        np.array([opening]),
        np.array([True]),
        rotations,
        translations,
        angles[None],
        np.zeros(1),
    )


def _closed(
    linkage: Linkage, block: Block, closure: Closure, start: np.ndarray
) -> np.ndarray | None:
    """Angles of a determined block, shape (n,), by Newton's method from the last ones."""
    batch = Closure.stack([closure])
    angles, gaps = newton(batch, start[None], iterations=20)
    if gaps[0] > MEETS_MM or not in_range(block, angles)[0]:
        return None
    return angles[0]


def _rested(
    linkage: Linkage, block: Block, closure: Closure, start: np.ndarray
) -> np.ndarray | None:
    """Angles of a free block at rest, shape (n,); the nearest that close if it finds no rest."""
    low, high = block.topology.bounds
    start = np.clip(start, low, high)
    pages = [page for page in PAGES if page in block.hosts]
    contacts = find_contacts(linkage, block, closure.at(start), pages)
    springs = Springs(block, closure, contacts)
    rest = springs.settle(start, ROUGHLY)
    if rest is not None:
        return rest.angles
    pose = springs.restore(start)
    return None if pose is None else pose.angles
