"""Equal free blocks on hosts that move alike are solved once."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from .blocks import Block
from .contact import Contacts
from .march import Poses
from .roam import Course

_SAME_MM = 1e-9
_CLEAR = 5e-9
# Next to the closed state both sides of the space for a piece coincide.
_OPEN_RAD = float(np.radians(0.5))


def twin_course(
    course: Course, block: Block, contacts: Contacts, openings: np.ndarray, poses: Poses
) -> Course | None:
    """The course of a block that moves as another one does, or None if it need not.

    Parameters
    ----------
    course : of the other block, over the same openings, shape (S,), radians.
    contacts : of this block.
    poses : of all bodies of the linkage that have been placed.
    """
    other = course.block
    if course.leans or not _same_shape(other, block):
        return None
    if _own_rows(other, course.contacts) != _own_rows(block, contacts):
        return None
    if not _same_points(course.contacts, contacts) or not _same_hosts(other, block, poses):
        return None
    rows = np.isfinite(course.angles).all(axis=1)
    pose = block.closure(poses[0][rows], poses[1][rows]).at(course.angles[rows])
    heights = contacts.heights(pose).min(axis=1, initial=0.0)
    clear = (heights > -_CLEAR) | (openings[rows] < _OPEN_RAD)
    if not clear.all() or pose.gap.max(initial=0.0) > _SAME_MM:
        return None
    index = dict(zip(other.hinges, block.hinges, strict=True))
    return replace(
        course,
        block=block,
        contacts=contacts,
        stops=tuple(replace(stop, hinge=index[stop.hinge]) for stop in course.stops),
        snaps=tuple(replace(snap, hinge=index[snap.hinge]) for snap in course.snaps),
    )


def _relative(block: Block, body: int) -> int:
    """A body's index with free bodies counted from 0 and hosts from -1 downwards."""
    known = block.topology.known
    return body - known if body >= known else -1 - body


def _same_shape(one: Block, two: Block) -> bool:
    """Whether folds, bodies, springs and everything on free bodies agree."""
    if one.topology.signs != two.topology.signs or len(one.own) != len(two.own):
        return False
    pairs = [
        [tuple(_relative(block, body) for body in pair) for pair in block.topology.sides]
        for block in (one, two)
    ]
    if pairs[0] != pairs[1]:
        return False
    free = np.array(pairs[0]) >= 0
    return all(
        np.allclose(a, b, rtol=0, atol=_SAME_MM)
        for a, b in (
            (one.rest, two.rest),
            (one.stiffness, two.stiffness),
            (one.geometry.lengths, two.geometry.lengths),
            (one.geometry.frames[free], two.geometry.frames[free]),
            (one.geometry.origins[free], two.geometry.origins[free]),
        )
    )


def _own_rows(block: Block, contacts: Contacts) -> set[tuple[int, int, int]]:
    """Contact rows against free bodies and hosts with folds: vertex, plane's body, side."""
    touched = {body for pair in block.topology.sides for body in pair}
    return {
        (int(vertex), _relative(block, int(contacts.planes[plane])), int(contacts.sides[plane]))
        for vertex, plane in zip(contacts.vertex, contacts.plane, strict=True)
        if int(contacts.planes[plane]) in touched
    }


def _same_points(one: Contacts, two: Contacts) -> bool:
    return one.points.shape == two.points.shape and np.allclose(
        one.points, two.points, rtol=0, atol=_SAME_MM
    )


def _same_hosts(one: Block, two: Block, poses: Poses) -> bool:
    """Whether the folds on hosts lie alike to each other at every stage."""
    parts = []
    for block in (one, two):
        frames, origins = [], []
        for k, pair in enumerate(block.topology.sides):
            for side, body in enumerate(pair):
                if body < block.topology.known:
                    host = block.bodies[body]
                    frames.append(poses[0][:, host] @ block.geometry.frames[k, side])
                    origin = poses[0][:, host] @ block.geometry.origins[k, side]
                    origins.append(origin + poses[1][:, host])
        if not frames:
            return False
        back = np.swapaxes(frames[0], -1, -2)
        parts += [back @ frame for frame in frames]
        parts += [(back @ (origin - origins[0])[..., None])[..., 0] for origin in origins]
    half = len(parts) // 2
    return all(
        np.allclose(a, b, rtol=0, atol=_SAME_MM, equal_nan=True)
        for a, b in zip(parts[:half], parts[half:], strict=True)
    )
