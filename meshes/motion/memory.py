"""What solves have found, kept so that after a change only what has changed is solved again."""

from __future__ import annotations

import hashlib
from collections import OrderedDict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING, TypeVar

import numpy as np

from meshes.linkage import Linkage

from .asked import asked, measures
from .free.course import Course, Walk
from .free.twins import Stand, twin_walk
from .loops.blocks import Block, Misfit
from .loops.march import Poses, Track
from .result import Motion

if TYPE_CHECKING:
    from meshes.others import Others

_COURSES, _PLANS, _MOTIONS = 96, 512, 8
# Openings of a course that are kept; beyond, only those that every course visits.
_OPENINGS = 4000

Kept = TypeVar("Kept")


@dataclass(frozen=True)
class SolvePlan:
    """Blocks of one component, what cannot be assembled, and how its determined blocks move.

    Hinges and bodies are numbered within the component.
    """

    blocks: tuple[Block, ...]
    misfits: tuple[Misfit, ...]
    tracks: tuple[Track, ...] = ()


class Memory:
    """Give the same memory to one solve after another: what did not change is not solved again.

    It serves one solve at a time, keeps a bounded number of pieces and motions, and can be thrown
    away at any moment. What it gives back is what the solver would find without it.

    Parameters
    ----------
    patience : how much of the solver's usual work its solves may spend on leading free paper past
        other paper, 0 to 1; what is not found with it is told as not followed. With less than all
        of it, a pose to begin with is sought only where most free paper has one.
    heed : called again and again while free paper is led, by far the longest part of a solve; what
        it raises ends the solve. Neither a copy nor another process has it.
    motions : how many whole motions it keeps, to give them back as they are.
    beside : other processes, which lead some of the free paper meanwhile, in the first
        solve; the motion is the same to the bit. Likewise only this one has them.

    Attributes
    ----------
    rests : how often free paper has been brought to rest beside other paper, in all solves so far:
        a measure of the work done that is the same on every computer.
    """

    def __init__(
        self,
        patience: float = 1.0,
        heed: Callable[[], None] = lambda: None,
        motions: int = _MOTIONS,
        beside: Others | None = None,
    ) -> None:
        self.patience, self.heed, self._most, self.beside = patience, heed, motions, beside
        self.rests = 0
        self._courses: OrderedDict[int, tuple[Stand, Course]] = OrderedDict()
        self._plans: OrderedDict[bytes, SolvePlan] = OrderedDict()
        self._motions: OrderedDict[bytes, Motion] = OrderedDict()
        self._count = 0

    def __reduce__(self) -> tuple[Callable[[], Memory], tuple[()]]:
        """Another process begins with an empty one: solving again costs less than sending all."""
        return partial(Memory, self.patience, motions=self._most), ()

    def copy(self) -> Memory:
        """A memory of the same solves, which learns nothing from what this one does from now on."""
        other = Memory(self.patience, motions=self._most)
        other._courses, other._plans = self._courses.copy(), self._plans.copy()
        other._motions, other._count = self._motions.copy(), self._count
        return other

    def motion(self, linkage: Linkage, openings: np.ndarray) -> Motion | None:
        """An earlier motion of an equal linkage over the same openings, shape (S,), radians."""
        motion = _recall(self._motions, asked(linkage, openings)) if self._most else None
        return motion.copy() if motion is not None else None

    def keep_motion(self, linkage: Linkage, motion: Motion) -> None:
        """Keep a motion of a linkage."""
        if self._most:
            _keep(self._motions, asked(linkage, motion.openings), motion.copy(), self._most)

    def plan(
        self, linkage: Linkage, hinges: Sequence[int], loose: Iterable[int]
    ) -> SolvePlan | None:
        """An earlier plan of an equal component, numbered as in this linkage."""
        key, order = _component(linkage, hinges, loose)
        plan = _recall(self._plans, key)
        if plan is None:
            return None
        return _renumbered(plan, dict(enumerate(hinges)), dict(enumerate(order)))

    def keep_plan(
        self, linkage: Linkage, hinges: Sequence[int], loose: Iterable[int], plan: SolvePlan
    ) -> None:
        """Keep the plan of a component."""
        key, order = _component(linkage, hinges, loose)
        number = {body: k for k, body in enumerate(order)}
        place = {hinge: k for k, hinge in enumerate(hinges)}
        _keep(self._plans, key, _renumbered(plan, place, number), _PLANS)

    @property
    def has_courses(self) -> bool:
        """Whether it knows how any free paper goes."""
        return bool(self._courses)

    def walk(self, stand: Stand, openings: np.ndarray, poses: Poses) -> Walk | None:
        """How an equal block on equal hosts went, or one whose hosts lie alike to each other.

        Parameters
        ----------
        openings : shape (S,), radians.
        poses : of all bodies at these openings.
        """
        for key, (other, course) in self._courses.items():
            if other.equals(stand):
                self._courses.move_to_end(key)
                fold = dict(zip(other.block.hinges, stand.block.hinges, strict=True))
                body = dict(zip(other.block.bodies, stand.block.bodies, strict=True))
                return course.walk.renamed(fold, body)
        for other, course in self._courses.values():
            walk = twin_walk(course, other, stand, openings, poses)
            if walk is not None:
                return walk
        return None

    def keep_course(self, stand: Stand, course: Course) -> None:
        """Keep how a block goes."""
        for key, (other, _) in self._courses.items():
            if other.equals(stand):
                del self._courses[key]
                break
        if len(course.walk.between) > _OPENINGS:
            course = replace(course, walk=replace(course.walk, between={}))
        self._count += 1
        self._courses[self._count] = stand, replace(course, angles=np.empty(0))
        while len(self._courses) > _COURSES:
            self._courses.popitem(last=False)


def _recall(kept: OrderedDict[bytes, Kept], key: bytes) -> Kept | None:
    found = kept.get(key)
    if found is not None:
        kept.move_to_end(key)
    return found


def _keep(kept: OrderedDict[bytes, Kept], key: bytes, what: Kept, most: int) -> None:
    kept[key] = what
    kept.move_to_end(key)
    while len(kept) > most:
        kept.popitem(last=False)


def _component(
    linkage: Linkage, hinges: Sequence[int], loose: Iterable[int]
) -> tuple[bytes, list[int]]:
    """A fingerprint of a component, and its bodies in the order in which its folds touch them."""
    apart = set(loose)
    order = list(dict.fromkeys(body for k in hinges for body in linkage.hinges[k].bodies))
    number = {body: k for k, body in enumerate(order)}
    text = hashlib.blake2b(digest_size=32)
    for k in hinges:
        hinge = linkage.hinges[k]
        text.update(measures(hinge))
        # The pages move, each in its own way, and what is loose does not.
        held = [body if body < 2 else -1 if body in apart else 2 for body in hinge.bodies]
        text.update(repr(([number[body] for body in hinge.bodies], held)).encode())
    return text.digest(), order


def _renumbered(plan: SolvePlan, hinges: Mapping[int, int], bodies: Mapping[int, int]) -> SolvePlan:
    def moved(block: Block) -> Block:
        return replace(
            block,
            hinges=tuple(hinges[k] for k in block.hinges),
            bodies=tuple(bodies[k] for k in block.bodies),
        )

    return SolvePlan(
        tuple(moved(block) for block in plan.blocks),
        tuple(Misfit(one.opening, hinges[one.hinge], one.gap) for one in plan.misfits),
        tuple(
            replace(
                track,
                block=moved(track.block),
                stops=tuple(replace(stop, hinge=hinges[stop.hinge]) for stop in track.stops),
            )
            for track in plan.tracks
        ),
    )
