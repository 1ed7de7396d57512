"""What takes longer than a second, worked out in a process of its own while the page is in use.

It is told of every new state of the design and drops what it is doing for an older one as soon as
it comes to a pause. Nothing of the page waits for it, and it ends with this process.
"""

from __future__ import annotations

import contextlib
import os
import signal
from collections.abc import Iterator
from multiprocessing import get_context
from typing import TYPE_CHECKING, Any

from meshes.motion.memory import Memory
from meshes.motion.result import Motion
from meshes.spread import Spread
from preview.parallel import one_thread_each

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

Json = dict[str, Any]

# The page comes first, where there is but one core.
NICER = 5


def details(spread: Spread, motion: Motion, memory: Memory) -> Iterator[Json]:
    """Parts of a scene that replace those of :func:`preview.viewer.payload.quick_payload`."""
    from .build_steps import building_steps
    from .byhand import packed, wedges_of
    from .payload import film_cameras, fit_findings, fit_report

    wedges = [packed(wedge) for wedge in wedges_of(spread, motion, memory)]
    yield {"wedges": wedges, "cameras": film_cameras(spread)}
    yield {"steps": building_steps(spread, motion)}
    yield {"findings": fit_findings(fit_report(spread, motion)), "checked": True}


class Aside:
    """A process that works out :func:`details`."""

    def __init__(self) -> None:
        self._line: Connection | None = None
        self._number = 0

    def begin(self, spread: Spread, motion: Motion) -> None:
        """Work on this spread; what is still to come for another one is dropped."""
        self._number += 1
        job = self._number, spread, motion
        if self._line is not None:
            with contextlib.suppress(OSError):
                self._line.send(job)
                return
        self._start()
        assert self._line is not None
        self._line.send(job)

    def news(self) -> Iterator[Json]:
        """What has been found since the last call; never waits."""
        if self._line is None:
            return
        try:
            while self._line.poll():
                number, found = self._line.recv()
                if number == self._number:
                    yield found
        except (OSError, EOFError):
            self._line = None  # it has died; the next spread gets a new one

    def close(self) -> None:
        """End the process."""
        if self._line is not None:
            self._line.close()
            self._line = None

    def _start(self) -> None:
        spawning = get_context("spawn")
        self._line, far = spawning.Pipe()
        with one_thread_each():
            spawning.Process(target=_work, args=(far,), daemon=True).start()
        far.close()


def _work(line: Connection) -> None:
    """Serve one spread after another until the line is cut."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if hasattr(os, "nice"):
        os.nice(NICER)
    memory = Memory()
    with contextlib.suppress(OSError, EOFError):
        while True:
            number, spread, motion = line.recv()
            for found in details(spread, motion, memory):
                line.send((number, found))
                if line.poll():
                    break
