"""The building course of a spread: every step of its guide as moves that are proved one by one."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from meshes.building import Step
from meshes.spread import Spread
from preview.drawing.lying import LyingWish
from preview.guide.words import Words, told
from preview.roles import plain, the

from .advice import advice
from .bench import CourseBench
from .carrying import attach
from .making import close, make
from .moves import CourseMove, WorkTable
from .pressing import press
from .proof import Meeting
from .sticking import stick

_HANDS: dict[str, Callable[[CourseBench, Step], None]] = {
    "make": make,
    "stick": stick,
    "close": close,
    "thread": attach,
    "lay": attach,
    "glue": attach,
    "press": press,
}


@dataclass(frozen=True, eq=False)
class CourseStep:
    """One step of a course.

    Parameters
    ----------
    number : from 1.
    met : what its paper passes through, deepest first; where there is something, it must be bent.
    under : the flyleaf under which its place lies, or empty.
    """

    number: int
    step: Step
    words: Words
    moves: tuple[CourseMove, ...]
    met: tuple[Meeting, ...]
    under: str = ""

    @property
    def advice(self) -> str:
        """What a hand must lift or bend, and what it must get past; empty if nothing is in the way.

        A flyleaf lies on its page all the time: the film slips paper in under it.
        """
        lifted = f"Lift {the(plain(self.under))}: the place is under it." if self.under else ""
        return " ".join(filter(None, (lifted, advice(self.met, (self.step.piece,)))))


@dataclass(frozen=True, eq=False)
class BuildingCourse:
    """A spread put together, step by step, on its table."""

    table: WorkTable
    steps: tuple[CourseStep, ...]


def course_of(
    spread: Spread,
    steps: Sequence[Step],
    advance: Callable[[], None] = lambda: None,
    last: int | None = None,
    lying: LyingWish = "both",
    most: int | None = None,
) -> BuildingCourse:
    """The course that some proved steps take.

    Parameters
    ----------
    last : number of the step to end with, from 1.
    lying : how the notebook lies on its table.
    most : in more steps than these paper must not have to be bent; planning ends with the first one
        too many.
    """
    bench = CourseBench(spread, steps, lying)
    done = []
    texts = told(steps, spread.sheets, spread.joins)
    for number, (step, words) in enumerate(zip(steps, texts, strict=True), 1):
        if last is not None and number > last:
            break
        bench.moves, bench.met = [], []
        cover = bench.covered(step)
        _HANDS[step.action](bench, step)
        met = tuple(sorted(bench.met, key=lambda one: -one.push))
        under = "" if cover is None else cover.leaf
        done.append(CourseStep(number, step, words, tuple(bench.moves), met, under))
        advance()
        if most is not None and sum(bool(one.met) for one in done) > most:
            break
    return BuildingCourse(bench.table, tuple(done))
