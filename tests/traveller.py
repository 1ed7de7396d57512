"""Stands for the other processes of a crew where a test needs none."""

from __future__ import annotations

import pickle
from collections.abc import Callable
from concurrent.futures import Future
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, field
from typing import TypeVar

Result = TypeVar("Result")


@dataclass
class Traveller:
    """Stands for other processes: what they get and what they give back has been pickled."""

    jobs: int = 2
    dies: bool = False
    asked: list[str] = field(default_factory=list)

    def submit(self, task: Callable[[], Result]) -> Future[Result]:
        """Do it at once, or die of it."""
        coming: Future[Result] = Future()
        packed = pickle.dumps(task)
        self.asked.append(getattr(task, "__name__", ""))
        if self.dies:
            coming.set_exception(BrokenProcessPool())
        else:
            coming.set_result(pickle.loads(pickle.dumps(pickle.loads(packed)())))
        return coming
