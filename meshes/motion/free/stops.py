"""What stops a free block: a fold at its end stop, paper that pulls taut, or something it meets."""

from __future__ import annotations

import numpy as np

from ..loops.blocks import Block, worst_fold
from ..loops.closure import BlockPose
from ..loops.march import Stop, Touch
from ..loops.travel import BlockState, StateAt, TravelEnd, end_of_travel
from .contact import Contacts
from .rest import ClosureAt, Rest, Springs


def forced(springs: Springs, angles: np.ndarray) -> tuple[BlockPose, float]:
    """The pose nearest to fitting from angles (n,), and by how much it fails, mm."""
    pose = springs.closure.at(springs.soften(angles, (0.1, 0.01)))
    below = 0.0
    if springs.contacts is not None:
        heights = springs.heights(pose) * springs.contacts.scale
        below = -float(heights.min(initial=0.0))
    return pose, max(float(pose.gap), below)


def find_stop(
    beyond: Springs, contacts: Contacts, closure_at: ClosureAt, rest: Rest, ends: tuple[float, bool]
) -> Stop:
    """Name what stops a block just past a resting pose.

    Parameters
    ----------
    beyond : the block at the end of its travel, or as near to that as its hosts get.
    ends : opening of the resting pose, and whether the spread is being closed.
    """
    block, (opening, closing) = beyond.block, ends
    pose, gap = forced(beyond, rest.angles)
    last = end_of_travel(_states(contacts, closure_at), opening, rest.angles, closing)
    if last is None:
        return Stop(
            opening, worst_fold(block, pose.residual, rest.angles)[0], gap, "unknown", closing
        )
    if last.demand is not None:
        return _leaning(block, contacts, closure_at, last, gap, closing)
    chord = worst_fold(block, pose.residual, np.zeros(len(rest.angles)))[0]
    hinge = chord if last.fold is None else block.hinges[last.fold]
    return Stop(last.opening, hinge, gap, last.cause, closing)


def _states(contacts: Contacts, closure_at: ClosureAt) -> StateAt:
    """States of a free block with everything that it must clear."""
    every = np.arange(len(contacts.vertex))

    def state_at(opening: float, angles: np.ndarray) -> BlockState | None:
        closure = closure_at(opening)
        if closure is None:
            return None
        pose = closure.at(angles)
        return BlockState(pose, contacts.heights(pose), contacts.gradients(pose, every))

    return state_at


def _leaning(
    block: Block,
    contacts: Contacts,
    closure_at: ClosureAt,
    last: TravelEnd,
    gap: float,
    closing: bool,
) -> Stop:
    """A stop by a contact row: its plane's body, and the fold that would move its corner most."""
    closure = closure_at(last.opening)
    assert closure is not None
    assert last.demand is not None
    pose, row = closure.at(last.angles), last.demand
    fold = int(np.argmax(np.abs(contacts.gradients(pose, np.array([row]))[0])))
    corner, plane = contacts.vertex[row], int(contacts.planes[contacts.plane[row]])
    there = pose.rotations[plane].T @ (contacts.vertices(pose)[corner] - pose.translations[plane])
    points = [(float(x), float(y)) for x, y in (contacts.points[corner, :2], there[:2])]
    bodies = block.bodies[int(contacts.bodies[corner])], block.bodies[plane]
    touch = Touch(bodies, (points[0], points[1]))
    return Stop(last.opening, block.hinges[fold], gap, "leans", closing, touch)
