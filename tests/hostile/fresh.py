"""Commands called as from a shell: with another locale, or with streams that lead nowhere.

The interpreter settles these before any of our code runs, so they take a process of their own.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from dataclasses import dataclass, field, replace
from pathlib import Path

from . import cell
from .cell import CACHE, SECONDS, Case, Outcome, judged, laid_out, written

_HOUSE = Path(__file__).parents[2]


@dataclass(frozen=True)
class Start:
    """How a process is started.

    Parameters
    ----------
    variables : of its environment, beside those of ours.
    out, err : the file that a stream is joined to; None is left for us to read, "" closes it.
    """

    variables: dict[str, str] = field(default_factory=dict)
    out: str | None = None
    err: str | None = None


BYTES = "C locale, no UTF-8"
STARTS = {
    "C locale": Start({"LC_ALL": "C"}),
    BYTES: Start({"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}),
    "no results": Start(out=""),
    "no messages": Start(err=""),
    "results to a full disk": Start(out="/dev/full"),
    "messages to a full disk": Start(err="/dev/full"),
}


def started(plain: Case, condition: str, undisturbed: dict[str, str]) -> Outcome:
    """Call a command that way; whatever it writes is as it would be elsewhere."""
    start = STARTS[condition]
    with laid_out(plain) as folder:
        env = {**os.environ, "XDG_CACHE_HOME": str(folder / CACHE), "PYTHONPATH": str(_HOUSE)}
        for name in ("PYTHONUNBUFFERED", "FOLDSTAGE_CACHE"):
            env.pop(name, None)
        # A shell joins the streams, so that one can be closed before the interpreter starts.
        joined = [
            f"{n}>{to or '&-'}" for n, to in ((1, start.out), (2, start.err)) if to is not None
        ]
        words = ["sh", "-c", f'ulimit -t {SECONDS}; exec "$@" {" ".join(joined)}', "sh"]
        try:
            done = subprocess.run(
                [*words, sys.executable, "-m", "preview", *plain.command],
                cwd=folder,
                env={**env, **start.variables},
                stdin=subprocess.DEVNULL,
                capture_output=True,
                timeout=cell.WAITED,
                check=False,
            )
        except subprocess.TimeoutExpired:
            return Outcome("hang")
        if done.returncode in (-signal.SIGXCPU, -signal.SIGKILL):
            return Outcome("hang")
        said = done.stderr.decode(errors="replace")
        # Where nobody can hear it, a message is no use; where results get lost, files may be whole.
        if start.err is not None:
            said = said or "(nobody hears it)"
        if "Warning:" in said:
            return Outcome("warning", said)
        outcome = judged(replace(plain, may_leave=True), folder, done.returncode, said)
        here = written(plain, folder)
        if plain.command[0] == "catalog" and condition == BYTES:
            # Its tables name files by the bytes that this locale sees (PEP 383).
            here = {name: undisturbed.get(name, mark) for name, mark in here.items()}
        if outcome.good and done.returncode != 2 and here != undisturbed:
            return Outcome("differs", str(sorted(set(here.items()) ^ set(undisturbed.items()))))
        if not here.items() <= undisturbed.items():
            return Outcome("left a file", str(sorted(set(here.items()) - set(undisturbed.items()))))
        return outcome
