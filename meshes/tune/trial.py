"""One trial of a search: a design with some values changed, and how far it is from fitting."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from ..check.case import STAGES, Case, case_of
from ..check.clash import Collisions, collisions
from ..check.flat import flat
from ..check.inside import edges_of
from ..check.limits import Limits
from ..check.poses import Pose
from ..check.thickness import allowed, thickest, thickness
from ..errors import DesignError
from ..motion.memory import Memory
from .wish import Wish, measure

if TYPE_CHECKING:
    from ..spread import Spread

# What a mm of each weighs in the penalty. Paper that sticks out or a wish that is missed counts
# much, a clash less, since its depth says little about how far a part must move.
_STICKS_OUT, _MISSED, _PUSH, _STANDS_OFF = 10.0, 10.0, 5.0, 10.0
# Designs that cannot be built or do not move through are worse than any that do.
_BROKEN, _UNREADABLE = 1000.0, 10000.0
# Collisions of what is so far from being wanted are not looked for: first come the demands that are
# cheap to ask, and what collides but meets them nearly is better than any that is far off. Our
# choice: 5 mm of wishes or paper that sticks out.
_FAR, _FAR_OFF = 50.0, 500.0
# Degrees between the stages at which a design is tried before all are asked for; our choice. Poses
# between two stages rest on others no farther from them than the second.
_COARSE, _AROUND = 15, 3


@dataclass(frozen=True)
class Variable:
    """A value that may change.

    Parameters
    ----------
    path : as the design file has it, ``pieces.fern.ridge``, or a name in ``[values]``.
    low, high : its range, in the unit of the file.
    start : the present value.
    """

    path: str
    low: float
    high: float
    start: float


@dataclass(frozen=True)
class Outcome:
    """What a trial gave.

    Parameters
    ----------
    smooth : slacks of the demands that change smoothly (wishes, then each piece against each edge),
        all ≥ 0 if they are met; None if the design cannot be built or does not move through.
    penalty : 0 if all is met, larger the worse; graded even where `smooth` is None.
    whole : whether all that was asked for is in it; else the penalty is at least this.
    """

    smooth: np.ndarray | None
    penalty: float
    whole: bool = True


@dataclass(frozen=True)
class Asked:
    """One trial to make.

    Parameters
    ----------
    values : by path, in the unit of the file.
    clashes : whether collisions count, which takes longest.
    enough : a trial whose penalty is above this without collisions need not ask for them.
    """

    values: Mapping[str, float]
    clashes: bool
    enough: float = float("inf")


@dataclass(frozen=True)
class Present:
    """The design as it is: what a trial has in common with it is not solved or swept again.

    A trial learns from this one design only, not from other trials, so that it comes out the same
    whatever has been tried before and by how many processes.
    """

    spread: Spread
    case: Case
    memory: Memory

    @cached_property
    def swept(self) -> dict[tuple[str, str, float], Collisions]:
        """Its collisions, by :func:`_moving`."""
        return {_moving(one): collisions(one) for one in _motions(self.case)}


def present(path: str | PathLike[str]) -> Present:
    """The design as it is; DesignError if it can't be built."""
    return _present(str(path), Path(path).read_bytes())


@lru_cache(maxsize=2)
def _present(path: str, text: bytes) -> Present:
    from ..spread import read

    memory, spread = Memory(motions=0), read(path)  # no trial has the same motion
    return Present(spread, case_of(spread, memory=memory), memory)


def _motions(case: Case) -> tuple[Case, ...]:
    return (case, *case.turns, *case.pulls)


def _moving(case: Case) -> tuple[str, str, float]:
    """What is moved: the spread, a flyleaf, or by hand a drive at some opening."""
    hand = case.hand
    return case.flyleaf, hand.drive.name if hand else "", hand.opening if hand else 0.0


class _TriedDesign:
    """A design with some values changed; DesignError if it can't be built.

    Parameters
    ----------
    now : what the values have not changed is taken from it.
    """

    def __init__(
        self, path: str | PathLike[str], values: Mapping[str, float], now: Present
    ) -> None:
        from ..spread import read

        self.spread = read(path, dict(values), now.spread)
        self.memory = now.memory.copy()

    @cached_property
    def whole(self) -> Case:
        """Its case with all stages."""
        return case_of(self.spread, memory=self.memory)

    def quick(self, wishes: Sequence[Wish]) -> Case:
        """Its case with the stages at which wishes hold, and a few more.

        The pose at a stage does not depend on which others are asked for. What gets stuck anywhere
        says so whatever is asked, and how far it gets is then told by all stages.
        """
        motion = self.spread.solve(few_stages(wishes), memory=self.memory)
        if motion.findings or not motion.solved.all():
            return self.whole
        return case_of(self.spread, motion)


def few_stages(wishes: Sequence[Wish]) -> np.ndarray:
    """Of the stages of a check, some, and those on which poses at the wishes rest, radians."""
    last = len(STAGES) - 1
    wanted = set(range(0, last + 1, _COARSE))
    for wish in wishes:
        stage = round(float(np.degrees(wish.opening)), 9)
        around = _AROUND if stage % 1 else 0
        low, high = max(int(stage) - around, 0), min(int(np.ceil(stage)) + around, last)
        wanted.update(range(low, high + 1))
    return STAGES[sorted(wanted)]


def case_with(
    path: str | PathLike[str], values: Mapping[str, float], now: Present
) -> tuple[Case, Limits]:
    """The case of a design with some values changed; DesignError if it can't be built.

    Parameters
    ----------
    now : what the values have not changed is taken from it.
    """
    trial = _TriedDesign(path, values, now)
    return trial.whole, trial.spread.design.check


def judge(path: str | PathLike[str], wishes: Sequence[Wish], asked: Asked) -> Outcome:
    """Try some values, cheap questions first."""
    now = present(path)
    try:
        trial = _TriedDesign(path, asked.values, now)
    except DesignError as error:
        return Outcome(None, _UNREADABLE + len(error.mistakes))
    limits = trial.spread.design.check
    case = trial.quick(wishes)
    stuck = _stuck(case)
    if stuck > 0:
        return Outcome(None, _BROKEN + stuck)
    try:
        slacks = [wish.slack(measure(wish, case)) for wish in wishes]
    except ValueError:
        return Outcome(None, _BROKEN)
    rooms = _rooms(case, limits) if limits.inside else []
    penalty = _MISSED * _lack(slacks) + _STICKS_OUT * _lack(rooms)
    if limits.flat:
        penalty += _STANDS_OFF * sum(finding.amount or 0.0 for finding in flat(case, limits)[0])
    if limits.thickness and thickest(case) > allowed(case, limits):
        too_thick = thickness(case, limits)[0]
        penalty += _MISSED * sum((f.amount or 0.0) - (f.limit or 0.0) for f in too_thick)
    smooth = np.array(slacks + rooms)
    if asked.clashes and limits.clash:
        if penalty > _FAR:
            return Outcome(smooth, penalty + _FAR_OFF)
        if penalty > asked.enough:
            return Outcome(smooth, penalty, whole=False)
        penalty += _PUSH * _collides(trial.whole, limits, now)
    return Outcome(smooth, penalty)


def _collides(case: Case, limits: Limits, now: Present) -> float:
    """Pushes of all clashes together, mm; a change of sides counts with the side of its area."""
    found = [collisions(one, now.swept.get(_moving(one))) for one in _motions(case)]
    contacts = (contact for one in found for contact in one.contacts)
    pushes = sum(one.push for one in contacts if one.push > limits.clash_push)
    return pushes + sum(float(np.sqrt(swap.area.area)) for one in found for swap in one.swaps)


def _lack(slacks: Sequence[float]) -> float:
    return float(sum(max(0.0, -slack) for slack in slacks))


def _stuck(case: Case) -> float:
    """0 for a spread that moves through; else how far it is from that: a gap in mm, or degrees."""
    # A flyleaf that can't be turned counts as much as a spread that can't be opened.
    case = next((one for one in case.turns if not one.motion.solved.all()), case)
    if case.motion.solved.all():
        return 0.0
    if not case.motion.solved.any():
        return 180.0 + max((finding.gap for finding in case.motion.findings), default=0.0)
    return float((~case.motion.solved).mean()) * 180.0


def _rooms(case: Case, limits: Limits) -> list[float]:
    """Room of each piece at each edge of the closed page, mm; negative where it sticks out."""
    pose, body = case.bodies_at(float(case.poses.openings[0])), case.facets.body
    closed = Pose(pose.rotation[body], pose.translation[body]).apply(case.facets.tail)[..., 1:]
    low, high = closed.min(axis=1), closed.max(axis=1)
    rooms = []
    for piece in case.pieces:
        facets = case.piece_facets(piece)
        least, most = low[facets].min(axis=0), high[facets].max(axis=0)
        for edge in edges_of(case, limits, piece):
            normal = np.array(edge.normal)
            room = edge.limit - float(np.maximum(normal * least, normal * most).sum())
            # What stands on the gutter is flush with the spine for any values.
            rooms.append(max(room, 0.0) if room > -1e-6 else room)
    return rooms
