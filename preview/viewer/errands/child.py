"""The process that makes one file: a command of the program, which reports to the page's server.

``python -m preview.viewer.errands.child FOLDER WORD…`` runs ``foldstage WORD…`` in a folder. It
writes a line of JSON for all that the command has to say, and ends with whoever holds its standard
input.
"""

from __future__ import annotations

import json
import os
import signal
import sys
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TextIO

from preview.cli import main
from preview.cli.terminal import Advance, Terminal

# The page comes first.
NICER = 10
# A page can't show more reports than this, and need not.
_APART_S = 0.15


@dataclass(frozen=True)
class Reporter(Terminal):
    """A terminal that writes down what a command says as lines of JSON.

    Parameters
    ----------
    reports : where the lines go.
    """

    reports: TextIO = field(default=sys.stdout)

    def report(self, **parts: Any) -> None:
        """Write a line."""
        self.reports.write(json.dumps(parts) + "\n")
        self.reports.flush()

    def show(self, text: str = "") -> None:
        """See :class:`Terminal`."""
        self.report(shown=text)

    def say(self, text: str) -> None:
        """See :class:`Terminal`."""
        if text:
            self.report(said=text)

    @contextmanager
    def progress(self, total: int, label: str) -> Iterator[Advance]:
        """See :class:`Terminal`."""
        done, last = 0, time.monotonic()
        self.report(doing=label, done=0, total=total)

        def advance(steps: int = 1, note: str = "") -> None:
            nonlocal done, last
            done += steps
            if done >= total or time.monotonic() - last >= _APART_S:
                last = time.monotonic()
                self.report(doing=label, done=done, total=total)

        yield advance

    @contextmanager
    def busy(self, label: str) -> Iterator[None]:
        """See :class:`Terminal`."""
        self.report(doing=label, done=0, total=0)
        yield


def end_with(line: int) -> None:
    """End this process and all that it has started once nobody holds the other end of a pipe.

    Parameters
    ----------
    line : the pipe's descriptor. A file object over it would be locked by this thread when the
        process wants to end by itself.
    """
    while os.read(line, 4096):
        pass
    if hasattr(os, "killpg") and os.getpgid(0) == os.getpid():
        os.killpg(0, signal.SIGKILL)
    os._exit(1)


def run(argv: Sequence[str]) -> int:
    """Run a command in the folder that the first word names; its exit code."""
    if hasattr(os, "nice"):
        os.nice(NICER)
    threading.Thread(target=end_with, args=(sys.stdin.fileno(),), daemon=True).start()
    folder, *words = argv
    return main(words, Reporter(sys.stderr, sys.stderr, Path(folder), reports=sys.stdout))


if __name__ == "__main__":
    sys.exit(run(sys.argv[1:]))
