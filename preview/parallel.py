"""The same task for many items on several cores, with the same results for any number of them."""

from __future__ import annotations

import atexit
import gc
import os
import pickle
import signal
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from functools import lru_cache, partial
from itertools import islice
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from preview.errors import UseError

if TYPE_CHECKING:
    from concurrent.futures import Executor, Future

Item = TypeVar("Item")
Result = TypeVar("Result")
Value = TypeVar("Value")

# Items handed out per process ahead of need: enough to keep it busy, few enough to stay in memory.
AHEAD = 2
# Results per process that wait for one before them.
WAITING = 4
# How many threads libraries of linear algebra take; and those that draw with OpenGL.
ALGEBRA_LIMITS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
THREAD_LIMITS = (*ALGEBRA_LIMITS, "LP_NUM_THREADS")
# Objects that are made before it is looked for circles of them that nobody holds. Our choice.
COLLECT_AFTER = 150_000
# M_MMAP_THRESHOLD, the most that it may be, and M_TRIM_THRESHOLD, bytes. Our choice.
_KEPT_BYTES = ((-3, 32 << 20), (-1, 64 << 20))


@dataclass(frozen=True)
class Sealed(Generic[Value]):
    """A value packed once, to go along with every item of a task; a process opens it once.

    It travels from a process to those it has started and is never read from disk: who can write
    what is unpickled can run any command.
    """

    data: bytes

    @classmethod
    def of(cls, value: Value) -> Sealed[Value]:
        """Pack a value."""
        return cls(pickle.dumps(value))

    def open(self) -> Value:
        """The value, one and the same for as long as no other is opened."""
        opened: Value = _opened(self.data)
        return opened


@lru_cache(maxsize=1)
def _opened(data: bytes) -> Any:
    return pickle.loads(data)


class Crew:
    """A process and others beside it, which share the items of a task.

    The first works as well: the others take a moment to start, and it would only wait for them.

    Parameters
    ----------
    jobs : how many processes there are, this one included.
    """

    def __init__(self, jobs: int, pool: Executor | None) -> None:
        self.jobs, self._pool = jobs, pool

    def submit(self, task: Callable[[], Result]) -> Future[Result]:
        """Have one of the others do a single task; without others it is done here, at once."""
        return _done_here(task) if self._pool is None else _handed(self._pool, task)

    def in_order(
        self,
        task: Callable[[Item], Result],
        items: Iterable[Item],
        here: Callable[[Item], Result] | None = None,
    ) -> Iterator[Result]:
        """Yield ``task(item)`` for each item, in order.

        Processes are spawned, never forked, because a forked child inherits a broken OpenGL; so
        `task` must be picklable (a module's function, or a partial of it).

        Parameters
        ----------
        here : does the same in this process, where it can keep what only this one needs.

        Raises
        ------
        UseError
            If a process dies, as it does when memory runs out.
        """
        if self._pool is None:
            yield from map(here or task, items)
            return
        from concurrent.futures.process import BrokenProcessPool

        try:
            yield from _shared(self._pool, self.jobs - 1, task, here or task, iter(items))
        except BrokenProcessPool:
            raise UseError(
                f"one of {self.jobs} drawing processes died, perhaps for lack of memory; "
                "try --jobs 1"
            ) from None


ALONE = Crew(1, None)


def _shared(
    pool: Executor,
    others: int,
    task: Callable[[Item], Result],
    here: Callable[[Item], Result],
    items: Iterator[Item],
) -> Iterator[Result]:
    """Results in order; this process works too while the next one is not there."""
    waiting: deque[Future[Result]] = deque()
    upcoming: deque[Item] = deque()
    while True:
        busy = sum(not result.done() for result in waiting)
        upcoming.extend(islice(items, AHEAD * others + 1 - len(upcoming)))
        # The last item goes to whoever is idle, not to one who has another to do first.
        while upcoming and busy < (others if len(upcoming) == 1 else AHEAD * others):
            waiting.append(_handed(pool, partial(task, upcoming.popleft())))
            busy += 1
        if not waiting:
            return
        if upcoming and not waiting[0].done() and len(waiting) < WAITING * (others + 1):
            waiting.append(_done_here(partial(here, upcoming.popleft())))
        else:
            yield waiting.popleft().result()


def _handed(pool: Executor, task: Callable[[], Result]) -> Future[Result]:
    """Hand over a task as it is now.

    A pool packs what it is given a moment later, in a thread of its own, while this one goes on and
    changes it: values that are worked out once are kept in what they belong to.
    """
    return pool.submit(_unpacked, pickle.dumps(task))


def _unpacked(task: bytes) -> Any:
    return pickle.loads(task)()


def _done_here(task: Callable[[], Result]) -> Future[Result]:
    from concurrent.futures import Future

    result: Future[Result] = Future()
    try:
        result.set_result(task())
    except Exception as error:
        result.set_exception(error)
    return result


@contextmanager
def crew(jobs: int | Crew, prepare: Callable[[], object] = os.getpid) -> Iterator[Crew]:
    """Start the other processes at once, so that they are ready when there is work.

    Parameters
    ----------
    jobs : how many processes shall work, this one included; or those that do already.
    prepare : what the others do first, such as their imports; a module's function.
    """
    if isinstance(jobs, Crew) or jobs == 1:
        yield jobs if isinstance(jobs, Crew) else Crew(1, None)
        return
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    with one_thread_each():
        pool = ProcessPoolExecutor(jobs - 1, get_context("spawn"), initializer=_begin)
        try:
            with undisturbed():
                for _ in range(jobs - 1):
                    pool.submit(prepare)
            yield Crew(jobs, pool)
        except BaseException:
            # What went wrong is told at once; the others end by themselves.
            pool.shutdown(wait=False, cancel_futures=True)
            raise
        pool.shutdown(wait=True, cancel_futures=True)


def in_order(task: Callable[[Item], Result], items: Iterable[Item], jobs: int) -> Iterator[Result]:
    """Yield ``task(item)`` for each item, in order; see :meth:`Crew.in_order`."""
    with crew(jobs) as workers:
        yield from workers.in_order(task, items)


def algebra_in_one_thread() -> None:
    """Before numpy is imported: its matrices are small here, and threads only wait for each other.

    Whoever has set a number keeps it.
    """
    for name in ALGEBRA_LIMITS:
        os.environ.setdefault(name, "1")


def collect_seldom() -> None:
    """Look seldom for circles of objects that nobody holds, and not when the process ends.

    Commands are short and make few of them; looking takes a twentieth of a start.
    """
    gc.set_threshold(COLLECT_AFTER)
    atexit.unregister(gc.freeze)
    atexit.register(gc.freeze)


def keep_memory() -> None:
    """Keep what pictures have left for the next one, instead of asking the system for it anew.

    Fresh memory costs a fault for each of its pages, a tenth of a draft. Only glibc has this call
    (source: mallopt(3)); elsewhere nothing happens.
    """
    with suppress(OSError, AttributeError):
        import ctypes

        mallopt = ctypes.CDLL(None).mallopt
        for option, value in _KEPT_BYTES:
            mallopt(option, value)


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


@contextmanager
def undisturbed() -> Iterator[None]:
    """Processes that are started meanwhile never hear of Ctrl-C, not even while they start.

    It reaches the whole group, and the parent alone decides what happens then. Signals that a
    thread holds back are held back in what it starts (POSIX, ``exec``).
    """
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    from multiprocessing import resource_tracker

    resource_tracker.ensure_running()  # it lets go of the signals that it holds back itself
    before = signal.pthread_sigmask(signal.SIG_BLOCK, [signal.SIGINT])
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def leave_interrupts() -> None:
    """Where :func:`undisturbed` can do nothing: ignore Ctrl-C from now on."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _begin() -> None:
    """What another process does first."""
    leave_interrupts()
    collect_seldom()
    # It is waited for: once all else has been put away, its memory goes back as a whole.
    atexit.register(os._exit, 0)
