"""Other processes that do a part of the work meanwhile."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import BrokenExecutor, Future
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

Result = TypeVar("Result")


class Others(Protocol):
    """Processes that work beside this one."""

    @property
    def jobs(self) -> int:
        """How many there are, this one included."""

    def submit(self, task: Callable[[], Result]) -> Future[Result]:
        """Have one of the others do a task as it is now; it can be pickled, as its result can."""


@dataclass(frozen=True)
class HandedOver(Generic[Result]):
    """A task that another process does."""

    task: Callable[[], Result]
    coming: Future[Result]

    @classmethod
    def to(cls, others: Others, task: Callable[[], Result]) -> HandedOver[Result]:
        """Hand a task over to one of the others."""
        return cls(task, others.submit(task))

    def result(self) -> Result:
        """What the other process finds; if that has died, the task is done here."""
        try:
            return self.coming.result()
        except BrokenExecutor:
            return self.task()
