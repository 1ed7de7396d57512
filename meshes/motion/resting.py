"""All free paper comes to rest: each piece by itself, and together with those that it touches."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from meshes.linkage import Linkage

from .among.crossing import Crossings, Surroundings, find_crossings, find_meetings, within_reach
from .among.fence import PlatePairs
from .among.fenced import MOST_WORK, FencedRoamer, effort
from .among.joint import Joint, put_together
from .footing import HostsAnywhere, Poised
from .free import roam
from .free.contact import Contacts, among, find_contacts
from .free.course import Course
from .free.rest import ClosureAt
from .free.rings import find_rings
from .free.roam import Roamer
from .free.twins import Stand
from .loops.blocks import Block, Misfit
from .loops.closure import BlockPose
from .loops.march import Marcher, Poses, ascending, fill
from .memory import Memory

if TYPE_CHECKING:
    from .beside import LedByOthers

_PAGES = (0, 1)
# So near to a flat state paper is too close to paper to tell which side it is on.
_AJAR_RAD = float(np.radians(0.2))
# Steps between two stages in which paper is followed that may have passed through other paper.
_STEPS = 8

# Places of free blocks in the list of all.
_Group = frozenset[int]


@dataclass(frozen=True)
class _Led:
    """A group of free blocks and how it goes among the paper that the folds determine."""

    group: _Group
    course: Course

    @property
    def stopped(self) -> bool:
        """Whether it is shown as if what stops it were not there."""
        return any(not stop.passed for stop in self.course.blocked)


class Resting:
    """Brings the free blocks of a linkage to rest.

    Parameters
    ----------
    openings : shape (S,), ascending, radians; see :class:`Roamer`.
    poses : of all bodies there; those of free blocks are written into it.
    """

    def __init__(
        self,
        linkage: Linkage,
        openings: np.ndarray,
        poses: Poses,
        marcher: Marcher,
        memory: Memory,
    ) -> None:
        self.linkage = linkage
        self.openings = openings
        self.poses = poses
        self.marcher = marcher
        self.memory = memory
        self.around = Surroundings(linkage)
        self.work = MOST_WORK * memory.patience
        self._starts: dict[tuple[int, ...], Poised] = {}
        self._beside: LedByOthers | None = None

    def bring(self, free: Sequence[Block]) -> tuple[list[Course], list[Misfit]]:
        """Courses of free blocks, and what rests nowhere.

        Blocks that would pass through each other are led together, so none of them comes first; so
        is one that leans or stops with what it stands on, which gives way.
        """
        owner = {body: k for k, block in enumerate(free) for body in block.own}
        groups = _merged([frozenset([k]) for k in range(len(free))], _kept_apart(free, owner))
        settled: dict[_Group, _Led | list[Misfit]] = {}
        self._share(free, owner)
        while True:
            groups = _hosts_first(groups, free, owner)
            for group in groups:
                if group not in settled:
                    settled[group] = self._lead(group, free, owner)
            led = [one for group in groups if isinstance(one := settled[group], _Led)]
            meetings = self._meetings(led, owner) + _pressed(led, free, owner)
            if not meetings:
                misfits = [settled[group] for group in groups]
                restless = [m for found in misfits if isinstance(found, list) for m in found]
                return [one.course for one in led], restless
            before = set(groups)
            groups = _merged(groups, meetings)
            moved = {body for g in set(groups) - before for k in g for body in free[k].own}
            settled = {
                group: found
                for group, found in settled.items()
                if group in groups and not moved.intersection(_below(group, free, owner))
            }

    def _lead(
        self, group: _Group, free: Sequence[Block], owner: Mapping[int, int]
    ) -> _Led | list[Misfit]:
        """Lead a group among what does not give: determined paper and what the group stands on."""
        members = [free[k] for k in sorted(group)]
        below = _below(group, free, owner)
        poses = self.poses[0].copy(), self.poses[1].copy()
        for part in poses:
            part[:, [body for body in owner if body not in below]] = np.nan
        courses = []
        for block in sorted(members, key=lambda block: block.level):
            course = self._course(block, poses)
            if isinstance(course, Misfit):
                return [course]
            fill([block], course.angles[None], poses)
            courses.append(course)
        members = [course.block for course in courses]
        folds = []
        if len(courses) > 1:
            joint = Joint.of(self.linkage, members)
            together = self._together(joint, courses, poses)
            if isinstance(together, Misfit):
                return [together]
            courses, folds = [together], list(joint.folds)
            fill([joint.block], together.angles[None], poses)
        course = self._kept_clear(courses[0], poses, folds)
        if course is not courses[0]:
            fill([course.block], course.angles[None], poses)
        own = list(course.block.own)
        for mine, theirs in zip(self.poses, poses, strict=True):
            mine[:, own] = theirs[:, own]
        return _Led(group, course)

    def _together(self, joint: Joint, courses: Sequence[Course], poses: Poses) -> Course | Misfit:
        """The course of several blocks as long as they pass through each other."""
        if not joint.tied:
            return joint.course(courses)
        block = joint.block
        contacts = put_together(block, [course.contacts for course in courses], joint.members)
        closure_at = self._closures(block, poses)
        rings = find_rings(self.linkage, block)
        return self._roamer(block, closure_at, contacts, rings).run()

    def _roamer(
        self, block: Block, closure_at: ClosureAt, contacts: Contacts, rings: list[np.ndarray]
    ) -> Roamer:
        brief = self.memory.patience < 1
        return Roamer(block, self.openings, closure_at, contacts, rings, brief)

    def _meetings(self, led: Sequence[_Led], owner: Mapping[int, int]) -> list[_Group]:
        """Groups that pass through each other, as sets of blocks."""
        going = [one for one in led if not one.stopped]
        group_of = {k: one.group for one in going for k in one.group}
        found = []
        for place, one in enumerate(going):
            looked = self._looked(one.course)
            # Most get everywhere, and are looked at together.
            alike: dict[bytes, tuple[np.ndarray, list[int]]] = {}
            for other in going[place + 1 :]:
                both = looked[np.isfinite(other.course.angles[looked]).all(axis=1)]
                alike.setdefault(both.tobytes(), (both, []))[1].extend(other.course.block.own)
            for both, others in alike.values():
                poses = self.poses[0][both], self.poses[1][both]
                met = find_meetings(self.around, one.course.block.own, others, poses)
                found += [one.group | group_of[owner[body]] for body in met]
        return found

    def _looked(self, course: Course) -> np.ndarray:
        """Stages at which a course is looked over, by index."""
        looked = np.searchsorted(self.openings, ascending(roam.walked(), [course.block.start]))
        ajar = self.openings[looked]
        fits = np.isfinite(course.angles[looked]).all(axis=1)
        return looked[fits & (ajar > _AJAR_RAD) & (ajar < np.pi - _AJAR_RAD)]

    def _kept_clear(self, course: Course, poses: Poses, members: Sequence[np.ndarray]) -> Course:
        """The course of a free block, led again where it would pass through paper."""
        block, around, looked = course.block, self.around, self._looked(course)
        if len(looked) < 2:
            return course
        there = poses[0][looked], poses[1][looked]
        crossings = find_crossings(around, block.own, there)
        if crossings.clear.all() and crossings.kept.all():
            return course
        near = among(block, within_reach(around, block, there))
        closure_at = self._closures(near, poses)
        kept = crossings.kept.copy()
        for row in np.flatnonzero(~kept).tolist():
            kept[row] = self._gets_on(near, closure_at, course, looked[row : row + 2])
        crossings = Crossings(crossings.clear, kept)
        if crossings.clear.all() and kept.all():
            return course
        rows = looked[:: max(1, len(looked) // 6)]
        pairs = PlatePairs.of(around, near, [_pose(near, course, poses, k) for k in rows.tolist()])
        free = replace(
            course, block=near, contacts=put_together(near, [course.contacts], [course.block])
        )
        rings = find_rings(self.linkage, near)
        roamer = FencedRoamer(
            free, rings, self.openings, closure_at, pairs, looked, crossings, members, self.work
        )
        led = roamer.lead()
        self.memory.rests += roamer.tried
        self.work -= roamer.tried * effort(near)
        return led or course

    def _gets_on(
        self, block: Block, closure_at: ClosureAt, course: Course, ends: np.ndarray
    ) -> bool:
        """Whether a block gets from one stage to another without passing through paper.

        Followed step by step: between the two, fold angles change evenly, which is much nearer to
        how corners move than a straight line is.
        """
        shares = np.linspace(0, 1, _STEPS + 1)
        openings = self.openings[ends[0]] + shares * np.diff(self.openings[ends])
        count = len(self.linkage.bodies)
        rotations = np.full((len(shares), count, 3, 3), np.nan)
        translations = np.full((len(shares), count, 3), np.nan)
        first, last = course.angles[ends]
        for k, share in enumerate(shares.tolist()):
            closure = closure_at(float(openings[k]))
            if closure is None:
                return False
            pose = closure.at((1 - share) * first + share * last)
            rotations[k, list(block.bodies)] = pose.rotations
            translations[k, list(block.bodies)] = pose.translations
        found = find_crossings(self.around, block.own, (rotations, translations))
        return bool(found.clear.all() and found.kept.all())

    def _closures(self, block: Block, poses: Poses) -> ClosureAt:
        """What gives the closure of a block at any opening, from poses at the stages."""
        return HostsAnywhere(block, self.openings, block.closure(*poses), self.marcher, self.memory)

    def _course(self, block: Block, poses: Poses) -> Course | Misfit:
        """Lead a free block through all stages, unless an equal one has been led before."""
        start = self._starts.pop(block.hinges, None) or self._start(block, poses)
        if isinstance(start, Misfit):
            return start
        walk = self.memory.walk(start.stand, self.openings, poses)
        course = self._beside.course(block) if self._beside is not None else None
        if course is None:
            course = start.roamer.run(walk)
        if isinstance(course, Course):
            self.memory.keep_course(start.stand, course)
        return course

    def _share(self, free: Sequence[Block], owner: Mapping[int, int]) -> None:
        """Have other processes begin with blocks that stand on nothing free."""
        if self.memory.beside is None or self.memory.has_courses:
            return
        from .beside import LedByOthers

        for k, block in enumerate(free):
            if not _below(frozenset([k]), free, owner):
                start = self._start(block, self.poses)
                if isinstance(start, Poised):
                    self._starts[block.hinges] = start
        self._beside = LedByOthers(self.memory.beside, [*self._starts.values()])

    def _start(self, block: Block, poses: Poses) -> Poised | Misfit:
        """Where a block stands, and what leads it from there."""
        closure_at = self._closures(block, poses)
        first = closure_at(block.start)
        if first is None:
            return Misfit(block.start, block.hinges[0], 0.0)
        contacts = find_contacts(self.linkage, block, first.at(block.rest), _pages(block))
        rings = find_rings(self.linkage, block)
        fixed = ascending(roam.stages(), [block.start])
        there = block.closure(*(part[np.searchsorted(self.openings, fixed)] for part in poses))
        stand = Stand(
            block,
            contacts,
            tuple(tuple(ring.tolist()) for ring in rings),
            fixed,
            there.rotations,
            there.translations,
        )
        return Poised(stand, self._roamer(block, closure_at, contacts, rings))


def _pages(block: Block) -> list[int]:
    return [page for page in _PAGES if page in block.hosts]


def _pose(block: Block, course: Course, poses: Poses, k: int) -> BlockPose:
    return block.closure(poses[0][k], poses[1][k]).at(course.angles[k])


def _below(group: _Group, free: Sequence[Block], owner: Mapping[int, int]) -> set[int]:
    """Bodies of other groups on which a group stands, and on which those stand in turn."""
    found: set[int] = set()
    wanted = [k for k in group]
    while wanted:
        for body in free[wanted.pop()].hosts:
            if body in owner and body not in found and owner[body] not in group:
                found.update(free[owner[body]].own)
                wanted.append(owner[body])
    return found


def _pressed(led: Sequence[_Led], free: Sequence[Block], owner: Mapping[int, int]) -> list[_Group]:
    """Groups that are pressed against something, each with the free blocks on which it stands."""
    pressed = [one for one in led if one.course.leans or one.course.stops or one.stopped]
    found = [(one.group, _below(one.group, free, owner)) for one in pressed]
    return [group | {owner[body] for body in below} for group, below in found if below]


def _kept_apart(free: Sequence[Block], owner: Mapping[int, int]) -> list[_Group]:
    """Blocks one of which may not pass the other, which therefore has to give way as well."""
    found = []
    for k, block in enumerate(free):
        known = block.topology.known
        feet = {
            block.bodies[body] for pair in block.topology.sides for body in pair if body < known
        }
        found += [frozenset((k, owner[b])) for b in set(block.hosts) - feet if b in owner]
    return found


def _merged(groups: Sequence[_Group], together: Sequence[_Group]) -> list[_Group]:
    """Groups, those that share a block with one of the others put into one."""
    merged = list(groups)
    for more in together:
        inside = [group for group in merged if group & more]
        merged = [group for group in merged if not group & more]
        merged.append(frozenset().union(more, *inside))
    return merged


def _hosts_first(
    groups: Sequence[_Group], free: Sequence[Block], owner: Mapping[int, int]
) -> list[_Group]:
    """Groups in the order in which they can be led; those that stand on each other become one."""
    left, ordered = sorted(groups, key=min), list[_Group]()
    done: set[int] = set()
    while left:
        for group in left:
            below = {owner[body] for body in _below(group, free, owner)}
            if below <= done:
                break
        else:
            group = frozenset().union(*left)
            left = [group]
        left.remove(group)
        ordered.append(group)
        done |= group
    return ordered
