"""How long a job may still take, from how long it took the last time.

Nobody knows beforehand how long it takes to solve or to check a design. But a design is looked at
again and again while it is changed, and then the last time tells.
"""

from __future__ import annotations

import json
import math
import time
from contextlib import suppress
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.progress import ProgressColumn, Task
    from rich.progress_bar import ProgressBar
    from rich.text import Text

    from meshes.cache import Shelf

# Our choice: some ten thousand jobs.
BOUND_BYTES = 4 << 20
# How full a bar gets, at most, of a job that is not done. Our choice.
FULLEST = 0.97


def last_time(job: tuple[str, ...]) -> float | None:
    """Seconds that a job took when it was last done to its end; None if nobody knows.

    Parameters
    ----------
    job : a command, its design, and what of it.
    """
    from meshes import cache

    shelf = _shelf()
    entry = None if shelf is None else shelf.get(cache.fingerprint(job))
    if entry is None:
        return None
    try:
        seconds = float(json.loads(entry))
    except (TypeError, ValueError):
        return None
    return seconds if math.isfinite(seconds) and seconds > 0 else None


def keep(job: tuple[str, ...], seconds: float) -> None:
    """Remember how long a job took."""
    from meshes import cache

    shelf = _shelf()
    if shelf is not None:
        with suppress(OSError):  # a full disk costs the next bar its end, and this job nothing
            shelf.put(cache.fingerprint(job), json.dumps(round(seconds, 3)).encode())


def words(left: float) -> str:
    """What a bar says of a time that is left, seconds: never more exact than it can be."""
    if left < 1:
        return "longer than last time" if left < 0 else "nearly done"
    if left < 90:
        return f"about {left:z.0f} s left"
    return f"about {left / 60:z.0f} min left"


def columns(start: float, expected: float | None) -> tuple[ProgressColumn, ProgressColumn]:
    """A bar and a text for a job that began at `start`, on the clock that never goes back.

    Parameters
    ----------
    expected : seconds that it may take; None if nobody knows, and then the text is the time that
        is over.
    """
    from rich.progress import BarColumn, ProgressColumn, TimeElapsedColumn
    from rich.progress_bar import ProgressBar
    from rich.text import Text

    if expected is None:
        return BarColumn(), TimeElapsedColumn()
    whole = expected

    def over() -> float:
        return time.monotonic() - start

    class Bar(ProgressColumn):
        def render(self, task: Task) -> ProgressBar:
            return ProgressBar(whole, min(over(), FULLEST * whole), width=40)

    class Left(ProgressColumn):
        def render(self, task: Task) -> Text:
            return Text(words(whole - over()), style="progress.remaining")

    return Bar(), Left()


def _shelf() -> Shelf | None:
    from meshes import cache

    folder = cache.user_folder()
    return None if folder is None else cache.Shelf(folder / "pace", BOUND_BYTES)
