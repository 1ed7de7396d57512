"""The same task for many items on several cores, with the same results for any number of them."""

from __future__ import annotations

import os
import signal
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from itertools import islice
from typing import TYPE_CHECKING, TypeVar

from preview.errors import UseError

if TYPE_CHECKING:
    from concurrent.futures import Executor, Future

Item = TypeVar("Item")
Result = TypeVar("Result")

# Items handed out per process ahead of need: enough to keep it busy, few enough to stay in memory.
AHEAD = 2
THREAD_LIMITS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "LP_NUM_THREADS")


def in_order(task: Callable[[Item], Result], items: Iterable[Item], jobs: int) -> Iterator[Result]:
    """Yield ``task(item)`` for each item, in order, from `jobs` processes.

    One job works in this process. Processes are spawned, never forked, because a forked child
    inherits a broken OpenGL; so `task` must be picklable (a module's function, or a partial of it).

    Raises
    ------
    UseError
        If a process dies, as it does when memory runs out.
    """
    if jobs == 1:
        yield from map(task, items)
        return
    from concurrent.futures.process import BrokenProcessPool

    with _pool(jobs) as pool:
        try:
            yield from _window(pool, task, iter(items), AHEAD * jobs)
        except BrokenProcessPool:
            raise UseError(
                f"one of {jobs} drawing processes died, perhaps for lack of memory; try --jobs 1"
            ) from None


def _window(
    pool: Executor, task: Callable[[Item], Result], items: Iterator[Item], width: int
) -> Iterator[Result]:
    waiting: deque[Future[Result]] = deque(pool.submit(task, i) for i in islice(items, width))
    while waiting:
        result = waiting.popleft().result()
        waiting.extend(pool.submit(task, item) for item in islice(items, 1))
        yield result


@contextmanager
def _pool(jobs: int) -> Iterator[Executor]:
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    with one_thread_each():
        pool = ProcessPoolExecutor(jobs, get_context("spawn"), initializer=_leave_interrupts)
        try:
            yield pool
        finally:
            pool.shutdown(wait=True, cancel_futures=True)


@contextmanager
def one_thread_each() -> Iterator[None]:
    """Children inherit these limits; with a process per core, more threads only get in the way."""
    before = {name: os.environ.get(name) for name in THREAD_LIMITS}
    os.environ.update({name: "1" for name in THREAD_LIMITS})
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value


def _leave_interrupts() -> None:
    """Ctrl-C reaches the whole group; the parent alone decides what happens then."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
