"""Where a command speaks: results, messages and progress, and nothing else reads ``sys``."""

from __future__ import annotations

import contextlib
import io
import os
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TextIO

from . import pace

# A job of unknown length that is done before this shows nothing. Our choice.
PATIENCE_S = 1.0
# A log that nobody watches live needs a sign of life, not a moving bar.
SIGN_OF_LIFE_S = 10.0

# What results are written to, as an error calls it.
RESULTS = "standard output"

Advance = Callable[..., None]


@dataclass(frozen=True)
class Terminal:
    """The world of one call of the command line.

    Parameters
    ----------
    stdout, stderr : results go to the first; messages, errors and progress to the second.
    folder : the working folder, to which relative names of files belong; itself relative where that
        keeps the names in messages short.
    live : stderr is a terminal that a person watches.
    colour : colours and bold type are welcome.
    about : the command and what it is done to, by which the time that its jobs take is remembered.
    """

    stdout: TextIO
    stderr: TextIO
    folder: Path
    live: bool = False
    colour: bool = False
    about: tuple[str, ...] = ()

    @classmethod
    def here(cls) -> Terminal:
        """The terminal of this process."""
        # A stream that was closed before the start (`>&-`) is None: what is written there is lost.
        out, err = (
            open(os.devnull, "w", encoding="utf-8") if stream is None else stream  # noqa: SIM115
            for stream in (sys.stdout, sys.stderr)
        )
        for stream in (out, err):
            if isinstance(stream, io.TextIOWrapper):
                # An old code page shows ? for what it lacks, instead of ending the command.
                stream.reconfigure(errors="replace")
        live = err.isatty() and out.isatty()
        plain = bool(os.environ.get("NO_COLOR")) or os.environ.get("TERM") == "dumb"
        return cls(out, err, Path(), live, live and not plain)

    def show(self, text: str = "") -> None:
        """Write a result, one line or more, to stdout."""
        with self.results():
            print(text, file=self.stdout)

    def flush(self) -> None:
        """See to it that all results have arrived.

        Raises
        ------
        OSError
            If they have not; it names the standard output.
        """
        with self.results():
            self.stdout.flush()

    @contextmanager
    def results(self) -> Iterator[None]:
        """While results are written: an error says that it was these, and the rest is dropped."""
        try:
            yield
        except OSError as error:
            error.filename = RESULTS
            _drop_rest(self.stdout)
            raise

    def say(self, text: str) -> None:
        """Write a message to stderr; where nobody can hear it, that is no reason to fail."""
        try:
            print(text, file=self.stderr, flush=True)
        except OSError:
            _drop_rest(self.stderr)

    def path(self, name: str | Path) -> Path:
        """A file that the user named, seen from the working folder."""
        try:
            return self.folder / Path(name).expanduser()
        except RuntimeError:  # nobody of that name has a home; a shell leaves it as it is, too
            return self.folder / name

    def name(self, path: Path) -> str:
        """How to show a file to the user: relative to the working folder where it lies below it."""
        inside = path.is_relative_to(self.folder)
        return str(path.relative_to(self.folder)) if inside else str(path)

    @contextmanager
    def progress(self, total: int, label: str) -> Iterator[Advance]:
        """Show how far a job of `total` steps is; yields the function that reports steps done.

        It takes how many steps were done, and a note on how the job stands.

        A bar on a terminal; elsewhere one plain line every ten seconds, so that short jobs are
        silent.
        """
        if self.live:
            with self._bar(total, label) as advance:
                yield advance
        else:
            yield self._lines(total, label)

    @contextmanager
    def busy(self, label: str) -> Iterator[None]:
        """Show, where a person watches, what is being done and how long it may still take.

        For jobs of which nobody knows how long they take: the last time tells, and where there was
        none the time that is over is shown. Jobs shorter than `PATIENCE_S` show nothing.
        """
        if not self.live:
            yield
            return
        lock, shown = threading.Lock(), contextlib.ExitStack()
        start, is_done = time.monotonic(), False

        def begin() -> None:
            with lock:
                if not is_done:
                    shown.enter_context(self._pulse(label, start))

        timer = threading.Timer(PATIENCE_S, begin)
        timer.daemon = True
        timer.start()
        try:
            yield
            took = time.monotonic() - start
        finally:
            timer.cancel()
            with lock:
                is_done = True
            timer.join()
            shown.close()
        # What comes from the cache takes no time, and tells nothing of how long it takes to find.
        if self.about and took > PATIENCE_S:
            pace.keep((*self.about, label), took)

    @contextmanager
    def _pulse(self, label: str, start: float) -> Iterator[None]:
        from rich.console import Console
        from rich.progress import Progress

        expected = pace.last_time((*self.about, label)) if self.about else None
        console = Console(file=self.stderr, no_color=not self.colour, force_terminal=True)
        columns = ("{task.description}", *pace.columns(start, expected))
        with Progress(*columns, console=console, transient=True) as bar:
            bar.add_task(label, total=None)
            yield

    @contextmanager
    def _bar(self, total: int, label: str) -> Iterator[Advance]:
        from rich.console import Console
        from rich.progress import BarColumn, MofNCompleteColumn, Progress, TimeRemainingColumn

        console = Console(file=self.stderr, no_color=not self.colour, force_terminal=True)
        columns = (
            "{task.description}",
            BarColumn(),
            MofNCompleteColumn(),
            TimeRemainingColumn(compact=True),
        )
        with Progress(*columns, console=console, transient=True) as bar:
            task = bar.add_task(label, total=total)

            def advance(steps: int = 1, note: str = "") -> None:
                bar.update(task, advance=steps, description=f"{label}{note}")

            yield advance

    def _lines(self, total: int, label: str) -> Advance:
        done, last = 0, time.monotonic()

        def advance(steps: int = 1, note: str = "") -> None:
            nonlocal done, last
            done += steps
            if time.monotonic() - last >= SIGN_OF_LIFE_S:
                last = time.monotonic()
                self.say(f"{label}: {done} of {total}{note}")

        return advance


def _drop_rest(stream: TextIO) -> None:
    """Or the interpreter's last flush would fail once more, with words and a code of its own."""
    with contextlib.suppress(OSError, ValueError):  # not a real file, as in a test
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())
