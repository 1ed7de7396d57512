"""Work spread over processes of which any may be killed without harm to the others.

Neither ``concurrent.futures`` nor the pools built like it can be used for this: a worker killed
while it hands back a result leaves the parent waiting for the rest of a message (its own copy of
the pipe's writing end keeps the pipe open), and one that is killed while it starts breaks the whole
pool. Here each process has a pipe of its own, of which the parent keeps one end only.
"""

from __future__ import annotations

import multiprocessing
import time
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import chain
from multiprocessing.connection import Connection, wait
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from preview.parallel import leave_interrupts, one_thread_each, undisturbed

if TYPE_CHECKING:
    from multiprocessing.context import SpawnProcess

Item = TypeVar("Item")
Result = TypeVar("Result")

TRIES = 2
# A worker that dies before it has taken its first item can't have died of that item; this many in
# a row mean that no worker can start at all.
FAILED_STARTS = 8


@dataclass(frozen=True)
class ItemOutcome(Generic[Item, Result]):
    """What became of one item: a result, or the reason why there is none."""

    item: Item
    result: Result | None
    reason: str = ""


@dataclass(frozen=True)
class _Job(Generic[Item]):
    """An item and how often it has been tried already."""

    item: Item
    tries: int = 0


@dataclass
class _Worker(Generic[Item]):
    """One process and what it has in hand. The one thing here that changes while it lives."""

    process: SpawnProcess
    pipe: Connection
    job: _Job[Item] | None = None
    deadline: float = float("inf")


class LocalWorkers(Generic[Item, Result]):
    """Processes on this machine, spawned, with one thread each.

    Parameters
    ----------
    task : item to result; a function of a module.
    jobs : how many processes.
    seconds : after which a worker that still works on one item is ended.
    """

    def __init__(
        self, task: Callable[[Item], Result], jobs: int, seconds: float = float("inf")
    ) -> None:
        self._task, self._jobs, self._seconds = task, jobs, seconds

    def outcomes(self, items: Iterable[Item]) -> Iterator[ItemOutcome[Item, Result]]:
        """Yield what becomes of each item, in the order in which they end.

        An item whose worker dies or takes too long is tried once more by another worker.

        Raises
        ------
        RuntimeError
            If workers die as soon as they start.
        """
        again: deque[_Job[Item]] = deque()
        source = (_Job(item) for item in items)
        workers: list[_Worker[Item]] = []
        try:
            with one_thread_each():
                while self._hand_out(workers, chain(_drain(again), source), again):
                    for worker, late in _answered(workers):
                        outcome = self._collect(worker, late, again)
                        if outcome is not None:
                            yield outcome
                    workers[:] = [w for w in workers if w.job is not None or w.process.is_alive()]
        finally:
            for worker in workers:
                _end(worker)

    def _hand_out(
        self, workers: list[_Worker[Item]], jobs: Iterator[_Job[Item]], again: deque[_Job[Item]]
    ) -> bool:
        """Give every idle worker a job, starting workers as needed; False once all is done."""
        failed = 0
        while sum(worker.job is not None for worker in workers) < self._jobs:
            job = next(jobs, None)
            if job is None:
                break
            worker = next((w for w in workers if w.job is None), None)
            if worker is None:
                worker = self._start()
                workers.append(worker)
            try:
                worker.pipe.send(job.item)
            except OSError:
                # It died idle or while it started: not this job's fault, so its try doesn't count.
                workers.remove(worker)
                _end(worker)
                again.appendleft(job)
                jobs = chain(_drain(again), jobs)
                failed += 1
                if failed >= FAILED_STARTS:
                    raise RuntimeError("worker processes die as soon as they start") from None
                continue
            worker.job, worker.deadline = job, time.monotonic() + self._seconds
        return any(worker.job is not None for worker in workers)

    def _start(self) -> _Worker[Item]:
        context = multiprocessing.get_context("spawn")
        ours, theirs = context.Pipe()
        process = context.Process(target=_serve, args=(self._task, theirs), daemon=True)
        with undisturbed():
            process.start()
        theirs.close()
        return _Worker(process, ours)

    def _collect(
        self, worker: _Worker[Item], late: bool, again: deque[_Job[Item]]
    ) -> ItemOutcome[Item, Result] | None:
        """Take a worker's answer; nothing yet if its job shall be tried once more."""
        job, worker.job = worker.job, None
        assert job is not None
        reason = f"took longer than {self._seconds:g} s"
        if not late:
            try:
                return ItemOutcome(job.item, worker.pipe.recv())
            except (EOFError, OSError):
                reason = "its process was killed or ran out of memory"
        _end(worker)
        if job.tries + 1 < TRIES:
            again.append(_Job(job.item, job.tries + 1))
            return None
        return ItemOutcome(job.item, None, f"{reason}, {TRIES} times")


def _drain(jobs: deque[_Job[Item]]) -> Iterator[_Job[Item]]:
    while jobs:
        yield jobs.popleft()


def _answered(workers: list[_Worker[Item]]) -> list[tuple[_Worker[Item], bool]]:
    """Wait for workers that have answered or died, or else those that are late (True)."""
    busy = [worker for worker in workers if worker.job is not None]
    left = max(0.0, min(worker.deadline for worker in busy) - time.monotonic())
    ready = wait([worker.pipe for worker in busy], None if left == float("inf") else left)
    if ready:
        return [(worker, False) for worker in busy if worker.pipe in ready]
    now = time.monotonic()
    return [(worker, True) for worker in busy if worker.deadline <= now]


def _serve(task: Callable[[Any], Any], pipe: Connection) -> None:
    """Work in the child until the parent closes the pipe or is gone."""
    leave_interrupts()
    while True:
        try:
            item = pipe.recv()
        except (EOFError, OSError):
            return
        try:
            pipe.send(task(item))
        except OSError:
            return


def _end(worker: _Worker[Any]) -> None:
    worker.pipe.close()
    if worker.process.is_alive():
        worker.process.kill()
    worker.process.join()
