"""Free paper that other processes lead while this one leads the rest."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import BrokenExecutor, Future
from dataclasses import replace
from typing import Protocol, TypeVar

from .footing import Poised
from .free.course import Course
from .free.twins import alike
from .loops.blocks import Block, Misfit

Result = TypeVar("Result")


class Others(Protocol):
    """Processes that work beside this one."""

    @property
    def jobs(self) -> int:
        """How many there are, this one included."""

    def submit(self, task: Callable[[], Result]) -> Future[Result]:
        """Have one of the others do a task, which can be pickled as its result can."""


class LedByOthers:
    """Blocks that others lead: about as much work as this process has with the rest.

    How a block goes is the same whoever leads it. One that may go as an earlier one does waits for
    that here.

    Parameters
    ----------
    starts : of blocks that stand on nothing free, in the order in which they are led.
    """

    def __init__(self, others: Others, starts: Sequence[Poised]) -> None:
        fresh = [
            start
            for k, start in enumerate(starts)
            if not any(alike(start.stand, before.stand) for before in starts[:k])
        ]
        self._led: dict[tuple[int, ...], Future[Course | Misfit]] = {
            start.stand.block.hinges: others.submit(start.roamer.run)
            for start in _sent(fresh, others.jobs)
        }

    def course(self, block: Block) -> Course | Misfit | None:
        """What others find of a block; None if they do not lead it, or died."""
        coming = self._led.pop(block.hinges, None)
        if coming is None:
            return None
        try:
            found = coming.result()
        except BrokenExecutor:
            return None
        # What has travelled is equal, but another.
        return replace(found, block=block) if isinstance(found, Course) else found


def _sent(starts: Sequence[Poised], jobs: int) -> list[Poised]:
    """Those that others lead: each in turn, the largest first, goes to whom has least to do."""
    todo, sent = [0] * jobs, []
    for start in sorted(starts, key=lambda one: -len(one.stand.block.hinges)):
        least = todo.index(min(todo))
        todo[least] += len(start.stand.block.hinges)
        if least:
            sent.append(start)
    return sent
