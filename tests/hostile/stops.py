"""Commands that are stopped at a chosen moment, by Ctrl-C or by ``kill -9``, and run again.

A moment is something that the command does (audit events of Python, PEP 578) or an amount of its
processor time, so that a busy computer changes nothing. The signal goes to the whole group, as from
a terminal's keyboard.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

from .cell import CACHE, Case, Outcome, Running, laid_out, written

_SIGNALS = {"interrupted": signal.SIGINT, "killed": signal.SIGKILL}
_WRITES = os.O_WRONLY | os.O_RDWR
Happens = Callable[[str, tuple[object, ...]], bool]


def _reads(event: str, about: tuple[object, ...]) -> bool:
    """The file that it was given, be it a design or a drawing."""
    return event == "open" and str(about[0]).endswith((".toml", ".svg"))


def _begins(event: str, about: tuple[object, ...]) -> bool:
    """To write what it was asked for."""
    return event == "open" and "out" in Path(str(about[0])).name and _is_for_writing(about)


def _keeps(event: str, about: tuple[object, ...]) -> bool:
    return event == "open" and f"/{CACHE}/" in str(about[0]) and _is_for_writing(about)


def _moves(event: str, about: tuple[object, ...]) -> bool:
    """What it has written to its place."""
    return event == "os.rename" and f"/{CACHE}/" not in str(about[1])


def _is_for_writing(about: tuple[object, ...]) -> bool:
    return isinstance(about[2], int) and bool(about[2] & _WRITES)


EVENTS: dict[str, Happens] = {
    "as it reads": _reads,
    "as it begins a file": _begins,
    "as it fills the cache": _keeps,
    "as it moves a file": _moves,
}
SECONDS = (0.05, 0.3, 1.0, 3.0)
MOMENTS = (*EVENTS, *(f"after {seconds:g} s" for seconds in SECONDS))
STOPS = [f"{how} {moment}" for how in _SIGNALS for moment in MOMENTS]


def own_cache(folder: Path) -> None:
    """Keep what is kept in the case's folder, so that the first run finds nothing."""
    os.environ.pop("FOLDSTAGE_CACHE", None)
    os.environ["XDG_CACHE_HOME"] = str(folder / CACHE)


def _stop(number: int, moment: str, folder: Path) -> None:
    """Send the process that calls this, and all it has started, a signal at a moment."""
    own_cache(folder)
    signal.signal(signal.SIGINT, signal.default_int_handler)  # whatever the parent does with it
    if moment not in EVENTS:
        # The same signal as of a timer; a second later there may be another one.
        signal.signal(signal.SIGPROF, lambda *_: os.killpg(0, number))
        signal.setitimer(signal.ITIMER_PROF, float(moment.split()[1]))
        return
    happens, sent = EVENTS[moment], False

    def heard(event: str, about: tuple[object, ...]) -> None:
        nonlocal sent
        if not sent and happens(event, about):
            sent = True
            os.killpg(0, number)

    sys.addaudithook(heard)


def stopped(plain: Case, condition: str, undisturbed: dict[str, str]) -> Outcome:
    """Stop a command at a moment, judge what it left, run it again and compare.

    Parameters
    ----------
    undisturbed : digests of what the command writes when nobody stops it.
    """
    how, _, moment = condition.partition(" ")
    first = replace(plain, around=partial(_stop, _SIGNALS[how], moment), may_leave=True)
    again = replace(plain, around=own_cache, may_leave=True)
    with laid_out(plain) as folder:
        begun = Running(first, folder).outcome()
        dead = begun.kind == "died" and begun.text.startswith(f"signal {int(signal.SIGKILL)},")
        if not begun.good and not (how == "killed" and dead):
            return begun
        here = written(plain, folder)
        if how == "interrupted" and plain.command[0] == "catalog":
            # What is done is kept, and the tables tell of that; the next run goes on from there.
            here = {name: mark for name, mark in here.items() if Path(name).name.startswith(".")}
        torn = _strange(here, undisturbed, only_whole=how == "interrupted")
        if torn:
            return Outcome("left a file", torn)
        ended = Running(again, folder).outcome()
        if not ended.good:
            return ended
        odd = _strange(written(plain, folder), undisturbed, only_whole=True)
        missing = sorted(set(undisturbed) - set(written(plain, folder)))
        if odd or missing:
            return Outcome("differs", f"{odd} {missing}")
    return begun if begun.good else Outcome(ended.kind, "killed, and run again")


def twice(plain: Case, undisturbed: dict[str, str]) -> Outcome:
    """Run a command twice at once, with the same output and the same cache."""
    one = replace(plain, around=own_cache, may_leave=True)
    with laid_out(plain) as folder:
        both = [Running(one, folder) for _ in range(2)]
        outcomes = [running.outcome() for running in both]
        for outcome in outcomes:
            if not outcome.good:
                return outcome
        here = written(plain, folder)
        if here != undisturbed:
            return Outcome("differs", str(sorted(set(here.items()) ^ set(undisturbed.items()))))
    return outcomes[0]


def _strange(here: dict[str, str], undisturbed: dict[str, str], only_whole: bool) -> str:
    """Names of files that are not as an undisturbed command would have written them.

    Parameters
    ----------
    only_whole : nothing else may lie there either. What was killed could not clean up; what it had
        begun to write lies under a hidden name.
    """
    odd = [
        name
        for name, digest in here.items()
        if undisturbed.get(name) != digest and (only_whole or not Path(name).name.startswith("."))
    ]
    return ", ".join(sorted(odd))
