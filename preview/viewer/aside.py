"""What takes longer than a second, worked out in a process of its own while the page is in use.

It is told of every new state of the design. What it is doing for an older one is of no more use, so
it is ended there and then, and another process begins with the new one. Nothing here ever waits for
it: one thread hands the work over and another listens, and if neither a result nor a sign of life
comes, a new process takes its place.
"""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import replace
from multiprocessing import get_context
from queue import Empty, SimpleQueue
from typing import TYPE_CHECKING, Any

from meshes.errors import DesignError
from meshes.motion.memory import Memory
from meshes.motion.result import Motion
from meshes.spread import Spread
from preview.parallel import Sealed, leave_interrupts, one_thread_each, undisturbed

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

Json = dict[str, Any]
Work = Callable[[Spread, Motion, Memory], Iterator[Json]]
Job = Sealed[tuple[Spread, Motion]]

# The page comes first, where there is but one core.
NICER = 5
# A process that has not shown a sign of life for so long will not show one any more.
PATIENCE_S, SIGN_S = 60.0, 2.0
# Processes that may die of the same spread before it is given up.
TRIES = 2


def details(spread: Spread, motion: Motion, memory: Memory) -> Iterator[Json]:
    """Parts of a scene that replace those of :func:`preview.viewer.payload.quick_payload`."""
    yield from _details(spread, motion, memory, curing=False)


def details_and_cures(spread: Spread, motion: Motion, memory: Memory) -> Iterator[Json]:
    """The same of a design that is as its file says, with what would help where it fails."""
    yield from _details(spread, motion, memory, curing=True)


def _details(spread: Spread, motion: Motion, memory: Memory, curing: bool) -> Iterator[Json]:
    from meshes import check

    from .build_steps import building_steps
    from .byhand import packed, wedges_of
    from .payload import check_findings, check_report, curl_of, film_cameras, poster

    wedges = [packed(wedge) for wedge in wedges_of(spread, motion, memory)]
    yield {"wedges": wedges, "curl": curl_of(spread), "cameras": film_cameras(spread)}
    yield {"steps": building_steps(spread, motion)}
    case = check.case_of(spread, motion)
    report = check_report(spread, motion, case)
    yield {"findings": check_findings(report), "checked": True}
    yield poster(spread, motion)
    if curing:
        if any(finding.severity != "note" for finding in report.findings):
            # The file may have changed meanwhile; then another process is at it already.
            with suppress(DesignError, OSError):
                report = check.cured(spread, case, report, spread.design.check, {})
        yield {"findings": check_findings(report), "cured": True}


def planned(spread: Spread, motion: Motion, memory: Memory) -> Iterator[Json]:
    """The building course, which takes longest by far, so it is begun only for who asks."""
    from meshes.motion.kept import shelf

    from .course import built

    yield {"course": built(replace(spread, shelf=shelf()))}


class Aside:
    """A process that works out :func:`details`.

    Parameters
    ----------
    work : what it does; a function of a module.
    clock : seconds, to tell how long nothing was heard.
    """

    def __init__(self, work: Work = details, clock: Callable[[], float] = time.monotonic) -> None:
        self._work, self._clock = work, clock
        self._helper: _Helper | None = None
        self._job: Job | None = None
        self._tries = 0

    def begin(self, spread: Spread, motion: Motion) -> None:
        """Work on this spread; what is still to come for another one is dropped."""
        if self._job is not None:
            self.close()
        # As it is now: the page goes on with it.
        self._job, self._tries = Sealed.of((spread, motion)), 0
        self._hand_over()

    def news(self) -> Iterator[Json]:
        """What has been found since the last call; never waits."""
        helper = self._helper
        if helper is None:
            return
        lost = helper.lost(self._clock())
        for found in helper.heard():
            if found is None:
                self._job = None
            else:
                yield found
        if lost and self._job is not None:
            self.close()
            yield from self._once_more()
        elif lost:
            self.close()

    def close(self) -> None:
        """End the process."""
        if self._helper is not None:
            self._helper.end()
            self._helper = None

    def _once_more(self) -> Iterator[Json]:
        if self._tries < TRIES:
            self._hand_over()
            return
        self._job = None
        yield failed("its process ended twice, perhaps for lack of memory")

    def _hand_over(self) -> None:
        assert self._job is not None
        self._tries += 1
        if self._helper is None:
            self._helper = _Helper(self._work, self._clock)
        self._helper.give(self._job)


def failed(reason: str) -> Json:
    """The part of a scene that says why nothing more is to come."""
    return {"checked": True, "trouble": f"The rest could not be worked out: {reason}."}


class _Helper:
    """One process, and two threads that talk to it.

    Parameters
    ----------
    work : what it does with a spread.
    clock : when something was heard.
    """

    def __init__(self, work: Work, clock: Callable[[], float]) -> None:
        spawning = get_context("spawn")
        self._line, far = spawning.Pipe()
        self._process = spawning.Process(target=_serve, args=(far, work), daemon=True)
        with one_thread_each(), undisturbed():
            self._process.start()
        far.close()
        self._clock, self._last, self._cut = clock, clock(), False
        self._found: SimpleQueue[Json | None] = SimpleQueue()
        threading.Thread(target=self._listen, daemon=True).start()

    def give(self, job: Job) -> None:
        """Hand work over, as soon as it can be taken."""
        self._last = self._clock()
        threading.Thread(target=self._send, args=(job,), daemon=True).start()

    def heard(self) -> Iterator[Json | None]:
        """What it has found since the last call; None when a piece of work is done."""
        while True:
            try:
                yield self._found.get_nowait()
            except Empty:
                return

    def lost(self, now: float) -> bool:
        """Whether it has died, or gives no sign of life."""
        return self._cut or now - self._last > PATIENCE_S

    def end(self) -> None:
        """End it at once, whatever it does; both threads end with it."""
        self._process.kill()
        self._process.join()

    def _send(self, job: Job) -> None:
        try:
            self._line.send(job)
        except OSError:
            self._cut = True

    def _listen(self) -> None:
        try:
            while True:
                kind, found = self._line.recv()
                self._last = self._clock()
                if kind != "alive":
                    self._found.put(found)
        except (OSError, EOFError):
            self._cut = True


def _serve(line: Connection, work: Work) -> None:
    """Serve one spread after another until the line is cut."""
    leave_interrupts()
    if hasattr(os, "nice"):
        os.nice(NICER)
    speaking = threading.Lock()
    threading.Thread(target=_show_life, args=(line, speaking), daemon=True).start()
    memory = Memory()
    while True:
        try:
            spread, motion = line.recv().open()
        except (OSError, EOFError):
            return
        for kind, found in _done(work, spread, motion, memory):
            if not _said(line, speaking, (kind, found)):
                return


def _done(
    work: Work, spread: Spread, motion: Motion, memory: Memory
) -> Iterator[tuple[str, Json | None]]:
    try:
        for found in work(spread, motion, memory):
            yield "found", found
    except Exception as error:  # the page shall say so, and the next state may well do
        yield "found", failed(f"{type(error).__name__}: {error}".splitlines()[0])
    yield "done", None


def _show_life(line: Connection, speaking: threading.Lock) -> None:
    """Say now and then that work goes on, and end with the process that listens."""
    while _said(line, speaking, ("alive", None)):
        time.sleep(SIGN_S)
    os._exit(0)


def _said(line: Connection, speaking: threading.Lock, words: tuple[str, Json | None]) -> bool:
    with speaking:
        try:
            line.send(words)
        except OSError:
            return False
    return True
