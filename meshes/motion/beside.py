"""Free paper that other processes lead while this one leads the rest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from meshes.others import HandedOver, Others

from .footing import Poised
from .free.course import Course
from .free.twins import alike
from .loops.blocks import Block, Misfit


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
        self._led: dict[tuple[int, ...], HandedOver[Course | Misfit]] = {
            start.stand.block.hinges: HandedOver.to(others, start.roamer.run)
            for start in _sent(fresh, others.jobs)
        }

    def course(self, block: Block) -> Course | Misfit | None:
        """How a block goes that others lead; None of one that they do not lead."""
        handed = self._led.pop(block.hinges, None)
        if handed is None:
            return None
        found = handed.result()
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
