"""When a course shows what: each step takes the same time, its moves their shares of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .course import BuildingCourse, CourseStep

# So long, as a share of a step, everything rests at its end. Our choice.
_RESTS = 0.1


@dataclass(frozen=True)
class Moment:
    """One picture of a course: a step, a move of it, and how much of the time of that is over."""

    step: int
    move: int
    share: float


@dataclass(frozen=True)
class Timeline:
    """The frames of a film of some steps.

    Parameters
    ----------
    moments : one for each frame; where paper rests, the camera may still move.
    """

    moments: tuple[Moment, ...]
    fps: float

    @property
    def order(self) -> np.ndarray:
        """The moment of each frame, shape (F,)."""
        return np.arange(len(self.moments))

    @property
    def seconds(self) -> float:
        """Length of the film."""
        return len(self.moments) / self.fps


def timeline(
    course: BuildingCourse, steps: Sequence[int], step_seconds: float, fps: float
) -> Timeline:
    """When each frame is.

    Parameters
    ----------
    steps : their places in the course, from 0.
    step_seconds : how long each takes.
    """
    frames = max(2, round(step_seconds * fps))
    moments = (moment for k in steps for moment in _of_step(course.steps[k], k, frames))
    return Timeline(tuple(moments), fps)


def _of_step(step: CourseStep, number: int, frames: int) -> list[Moment]:
    weights = np.array([move.weight for move in step.moves])
    ends = np.cumsum(weights) / weights.sum() * (1 - _RESTS)
    found = []
    for k in range(frames):
        at = (k + 1) / frames
        move = min(int(np.searchsorted(ends, at)), len(ends) - 1)
        first = ends[move - 1] if move else 0.0
        share = float(np.clip((at - first) / (ends[move] - first), 0.0, 1.0))
        found.append(Moment(number, move, share))
    return found
