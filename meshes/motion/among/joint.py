"""Free blocks that touch are brought to rest together: what each has, put into one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from meshes.linkage import Linkage

from ..free.contact import Contacts, among
from ..free.course import Course, Walk
from ..free.rest import Rest
from ..loops.blocks import Block, gather


@dataclass(frozen=True)
class Joint:
    """Several free blocks as one.

    Parameters
    ----------
    members : the blocks.
    block : with all their folds and bodies.
    folds : places of each member's folds among those of the block.
    """

    members: tuple[Block, ...]
    block: Block
    folds: tuple[np.ndarray, ...]

    @staticmethod
    def of(linkage: Linkage, members: Sequence[Block]) -> Joint:
        """Put blocks of a linkage into one."""
        own = {body for block in members for body in block.own}
        known = frozenset(range(len(linkage.bodies))) - own
        hinges = sorted(k for block in members for k in block.hinges)
        block = gather(linkage, hinges, known)
        hosts = {body for member in members for body in member.hosts}
        angles = np.concatenate([m.angles if m.angles is not None else m.rest for m in members])
        order = np.argsort([k for member in members for k in member.hinges])
        block = replace(
            among(block, hosts - own),
            free=True,
            level=max(member.level for member in members),
            start=max(member.start for member in members),
            angles=angles[order],
        )
        places = [np.searchsorted(hinges, member.hinges) for member in members]
        return Joint(tuple(members), block, tuple(places))

    @property
    def tied(self) -> bool:
        """Whether one of the blocks stands on another, or may not pass it."""
        return any(set(m.hosts) & set(self.block.own) for m in self.members)

    def course(self, courses: Sequence[Course]) -> Course:
        """What all members do as long as each goes as if it were alone."""
        contacts = put_together(self.block, [course.contacts for course in courses], self.members)
        firsts = np.cumsum([0, *(len(course.contacts.vertex) for course in courses)])[:-1]
        rests = self._rests([course.walk.every for course in courses], firsts.tolist())
        angles = np.empty((len(courses[0].angles), len(self.block.hinges)))
        for folds, course in zip(self.folds, courses, strict=True):
            angles[:, folds] = course.angles
        angles[np.isnan(angles).any(axis=1)] = np.nan
        return Course(
            self.block,
            contacts,
            angles,
            Walk(
                rests,
                {},
                tuple(stop for course in courses for stop in course.walk.stops),
                tuple(branch for course in courses for branch in course.walk.branches),
            ),
            tuple(stop for course in courses for stop in course.stops),
            tuple(snap for course in courses for snap in course.snaps),
            any(course.leans for course in courses),
        )

    def _rests(
        self, parts: Sequence[Mapping[float, Rest]], firsts: Sequence[int]
    ) -> dict[float, Rest]:
        stiffness = self.block.relative
        found = {}
        for opening in parts[0]:
            if not all(opening in part for part in parts):
                continue
            angles = np.empty(len(self.block.hinges))
            pressing = []
            for folds, first, part in zip(self.folds, firsts, parts, strict=True):
                angles[folds] = part[opening].angles
                pressing.append(first + part[opening].pressing)
            energy = float(0.5 * stiffness @ (angles - self.block.rest) ** 2)
            found[opening] = Rest(angles, energy, np.concatenate(pressing).astype(int))
        return found


def put_together(block: Block, contacts: Sequence[Contacts], members: Sequence[Block]) -> Contacts:
    """The contact rows of members, in turn, as those of a block that holds all their bodies."""
    local = {body: k for k, body in enumerate(block.bodies)}
    maps = [np.array([local[body] for body in member.bodies], int) for member in members]
    parts = list(zip(contacts, maps, strict=True))
    vertices = np.cumsum([0, *(len(one.bodies) for one in contacts)])
    planes = np.cumsum([0, *(len(one.planes) for one in contacts)])
    return Contacts(
        block.topology,
        np.concatenate([place[one.bodies] for one, place in parts]),
        np.concatenate([one.points for one in contacts]),
        np.concatenate([place[one.planes] for one, place in parts]),
        np.concatenate([one.sides for one in contacts]),
        np.concatenate([one.vertex + k for one, k in zip(contacts, vertices, strict=False)]),
        np.concatenate([one.plane + k for one, k in zip(contacts, planes, strict=False)]),
        np.concatenate([one.scale for one in contacts]),
    )
