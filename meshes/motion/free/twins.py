"""Free blocks that are equal and stand alike are solved once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace

import numpy as np

from ..loops.blocks import Block
from ..loops.march import Poses
from .contact import Contacts
from .course import Course, Walk
from .rest import Rest

_SAME_MM = 1e-9
# What is the same up to the order of floating point sums.
_EQUAL = 1e-11
_CLEAR = 5e-9
# Next to the closed state both sides of the space for a piece coincide.
_OPEN_RAD = float(np.radians(0.5))


@dataclass(frozen=True)
class Stand:
    """All that decides how a free block goes, whatever openings are asked for.

    Parameters
    ----------
    rings : local indices of the folds of its rings.
    openings : at which every block rests, shape (F,), radians.
    rotations, translations : of its hosts there, shapes (F, known, 3, 3) and (F, known, 3), mm.
    """

    block: Block
    contacts: Contacts
    rings: tuple[tuple[int, ...], ...]
    openings: np.ndarray
    rotations: np.ndarray
    translations: np.ndarray

    def equals(self, other: Stand) -> bool:
        """Whether the other one goes exactly as this one does."""
        one, two = self.block, other.block
        if (one.topology, one.start, self.rings) != (two.topology, two.start, other.rings):
            return False
        pairs = [
            (one.rest, two.rest),
            (one.stiffness, two.stiffness),
            (one.geometry.lengths, two.geometry.lengths),
            (one.geometry.frames, two.geometry.frames),
            (one.geometry.origins, two.geometry.origins),
            (self.openings, other.openings),
            (self.rotations, other.rotations),
            (self.translations, other.translations),
        ]
        names = [field.name for field in fields(self.contacts) if field.name != "topology"]
        pairs += [(getattr(self.contacts, n), getattr(other.contacts, n)) for n in names]
        return all(_near(a, b, _EQUAL) for a, b in pairs)


def alike(one: Stand, other: Stand) -> bool:
    """Whether one of two blocks may go as the other does."""
    return _same_shape(one.block, other.block)


def twin_walk(
    course: Course, other: Stand, stand: Stand, openings: np.ndarray, poses: Poses
) -> Walk | None:
    """The walk of a block that moves as another one does, or None if it need not.

    Parameters
    ----------
    course, other : of the other block.
    openings : shape (S,), radians.
    poses : of all bodies of the linkage at these openings, as far as they have been placed.
    """
    if course.leans or not _same_shape(other.block, stand.block):
        return None
    theirs, ours = (_own_rows(one.block, one.contacts) for one in (other, stand))
    if theirs.keys() != ours.keys():
        return None
    if not _near(other.contacts.points, stand.contacts.points, _SAME_MM):
        return None
    if not _same_hosts(other, stand):
        return None
    rows = {theirs[name]: ours[name] for name in theirs}
    walk = _with_rows(course.walk, rows, openings)
    if walk is None or not _fits(walk, stand, openings, poses):
        return None
    fold = dict(zip(other.block.hinges, stand.block.hinges, strict=True))
    return walk.renamed(fold, _same_bodies(other.block, stand.block))


def _with_rows(walk: Walk, rows: Mapping[int, int], openings: np.ndarray) -> Walk | None:
    """A walk with other numbers of contact rows, between its rests only at some openings."""
    here = set(openings.tolist())
    found = []
    for rests in (walk.rests, {k: rest for k, rest in walk.between.items() if k in here}):
        moved = {}
        for opening, rest in rests.items():
            pressing = [rows.get(row, -1) for row in rest.pressing.tolist()]
            if -1 in pressing or opening not in here:
                return None
            moved[opening] = Rest(rest.angles, rest.energy, np.array(pressing, int))
        found.append(moved)
    return replace(walk, rests=found[0], between=found[1])


def _fits(walk: Walk, stand: Stand, openings: np.ndarray, poses: Poses) -> bool:
    """Whether the poses of a walk close here, above everything that must be cleared."""
    rests = {**walk.rests, **walk.between}
    index = {opening: k for k, opening in enumerate(openings.tolist())}
    rows = [index[opening] for opening in rests]
    angles = np.array([rest.angles for rest in rests.values()])
    pose = stand.block.closure(poses[0][rows], poses[1][rows]).at(angles)
    heights = stand.contacts.heights(pose).min(axis=1, initial=0.0)
    clear = (heights > -_CLEAR) | (openings[rows] < _OPEN_RAD)
    return bool(clear.all() and pose.gap.max(initial=0.0) <= _SAME_MM)


def _labels(block: Block) -> dict[int, int]:
    """Free bodies counted from 0 and hosts from -1 downwards, as the folds come to them.

    Hosts that no fold touches have no label.
    """
    known, hosts = block.topology.known, 0
    labels = {body: body - known for body in range(known, block.topology.bodies)}
    for pair in block.topology.sides:
        for body in pair:
            if body not in labels:
                hosts += 1
                labels[body] = -hosts
    return labels


def _same_bodies(one: Block, two: Block) -> dict[int, int]:
    """Bodies of the linkage that play the same part in two blocks, as far as folds touch them."""
    here = {label: two.bodies[body] for body, label in _labels(two).items()}
    return {one.bodies[body]: here[label] for body, label in _labels(one).items()}


def _same_shape(one: Block, two: Block) -> bool:
    """Whether folds, bodies, springs and everything on free bodies agree."""
    if one.topology.signs != two.topology.signs or len(one.own) != len(two.own):
        return False
    pairs = []
    for block in (one, two):
        labels = _labels(block)
        pairs.append([tuple(labels[body] for body in pair) for pair in block.topology.sides])
    if pairs[0] != pairs[1]:
        return False
    free = np.array(pairs[0]) >= 0
    return all(
        _near(a, b, _SAME_MM)
        for a, b in (
            (one.rest, two.rest),
            (one.stiffness, two.stiffness),
            (one.geometry.lengths, two.geometry.lengths),
            (one.geometry.frames[free], two.geometry.frames[free]),
            (one.geometry.origins[free], two.geometry.origins[free]),
        )
    )


def _own_rows(block: Block, contacts: Contacts) -> dict[tuple[int, int, int], int]:
    """Contact rows against free bodies and hosts with folds, by vertex, plane's body and side."""
    labels = _labels(block)
    return {
        (int(vertex), labels[int(contacts.planes[plane])], int(contacts.sides[plane])): row
        for row, (vertex, plane) in enumerate(zip(contacts.vertex, contacts.plane, strict=True))
        if int(contacts.planes[plane]) in labels
    }


def _near(one: np.ndarray, two: np.ndarray, reach: float) -> bool:
    return one.shape == two.shape and np.allclose(one, two, rtol=0, atol=reach, equal_nan=True)


def _same_hosts(one: Stand, two: Stand) -> bool:
    """Whether the folds on hosts lie alike to each other at every stage."""
    parts = []
    for stand in (one, two):
        frames, origins = [], []
        geometry, known = stand.block.geometry, stand.block.topology.known
        for k, pair in enumerate(stand.block.topology.sides):
            for side, host in enumerate(pair):
                if host < known:
                    turn = stand.rotations[:, host]
                    frames.append(turn @ geometry.frames[k, side])
                    origins.append(turn @ geometry.origins[k, side] + stand.translations[:, host])
        if not frames:
            return False
        back = np.swapaxes(frames[0], -1, -2)
        parts += [back @ frame for frame in frames]
        parts += [(back @ (origin - origins[0])[..., None])[..., 0] for origin in origins]
    half = len(parts) // 2
    return all(_near(a, b, _SAME_MM) for a, b in zip(parts[:half], parts[half:], strict=True))
