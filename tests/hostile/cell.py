"""One case in a process of its own, limited to 10 s and to 1 GB more than the interpreter has.

Processes are forked from one that has the libraries loaded, so a case costs hundredths of a second.
What a command left behind is judged by rules that hold for every command: an exit code of ours,
lines without a traceback, no warning, nothing written if it failed.
"""

from __future__ import annotations

import contextlib
import gc
import hashlib
import io
import json
import os
import re
import resource
import select
import shutil
import signal
import sys
import tempfile
import time
import traceback
import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

# Of the processor, so that a busy machine makes no hang of a slow start; and by the clock.
SECONDS, WAITED = 10, 60.0
MEMORY = 1 << 30
_LONGEST_LINE = 2000
# Where in its folder a case keeps what the user's cache holds.
CACHE = ".cache"


@dataclass(frozen=True)
class Case:
    """Files, and a command that is called in their folder.

    Parameters
    ----------
    files : content by name.
    around : changes the child before the command is called in it; gets the folder.
    out : where the command's results go.
    may_leave : whole files may lie there though the command failed; whoever sets this compares
        them.
    """

    name: str
    files: dict[str, bytes] = field(default_factory=dict)
    command: tuple[str, ...] = ("check", "design.toml", "--json")
    around: Callable[[Path], None] | None = None
    out: Callable[[], io.StringIO] = io.StringIO
    may_leave: bool = False


@dataclass(frozen=True)
class Outcome:
    """What became of a case.

    Parameters
    ----------
    kind : ``done``, ``problems``, ``wrong use``, ``interrupted``, or what must not be:
        ``traceback``, ``warning``, ``hang``, ``memory``, ``died``, ``silent``, ``long line``,
        ``left a file``, ``exit code``, ``differs``.
    text : the last lines that were said.
    """

    kind: str
    text: str = ""
    seconds: float = 0.0

    @property
    def good(self) -> bool:
        """Whether the command kept to the rules."""
        return self.kind in ("done", "problems", "wrong use", "interrupted")


def run(case: Case) -> Outcome:
    """Call the command of a case in a child process and judge it."""
    with laid_out(case) as folder:
        return Running(case, folder).outcome()


@contextlib.contextmanager
def laid_out(case: Case) -> Iterator[Path]:
    """A folder with the files of a case, for as long as it is needed."""
    folder = Path(tempfile.mkdtemp(prefix="hostile-"))
    try:
        for name, content in case.files.items():
            (folder / name).parent.mkdir(exist_ok=True)
            (folder / name).write_bytes(content)
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def written(case: Case, folder: Path) -> dict[str, str]:
    """Digests of what a command has left in the folder of its case, by name; without the cache."""
    files = [p.relative_to(folder) for p in sorted(folder.rglob("*")) if p.is_file()]
    return {
        str(name): hashlib.sha256((folder / name).read_bytes()).hexdigest()
        for name in files
        if name.parts[0] != CACHE and str(name) not in case.files
    }


class Running:
    """The command of a case, called in a child process from now on."""

    def __init__(self, case: Case, folder: Path) -> None:
        self._start = time.monotonic()
        self._reader, writer = os.pipe()
        self._child = os.fork()
        if self._child == 0:
            # What tests before it left to be collected is not the command's.
            gc.freeze()
            os.close(self._reader)
            _child(case, folder, writer)
        os.close(writer)

    def outcome(self) -> Outcome:
        """What became of it; waits for its end."""
        said, late = _drain(self._reader)
        if late:
            os.kill(self._child, signal.SIGKILL)
        os.close(self._reader)
        _, status = os.waitpid(self._child, 0)
        # Whatever the command has started goes with it.
        with contextlib.suppress(ProcessLookupError, PermissionError):
            os.killpg(self._child, signal.SIGKILL)
        seconds = time.monotonic() - self._start
        if late or status & 127 == signal.SIGXCPU:
            return Outcome("hang", seconds=seconds)
        if not said:
            return Outcome("died", f"signal {status & 127}, exit {status >> 8}", seconds)
        result = json.loads(said)
        return Outcome(result["kind"], result["text"], seconds)


def _drain(reader: int) -> tuple[bytes, bool]:
    """All that comes through a pipe, and whether the time ran out first."""
    end, parts = time.monotonic() + WAITED, []
    while (left := end - time.monotonic()) > 0:
        if not select.select([reader], [], [], left)[0]:
            break
        part = os.read(reader, 1 << 16)
        if not part:
            return b"".join(parts), False
        parts.append(part)
    return b"".join(parts), True


def _child(case: Case, folder: Path, writer: int) -> None:
    """Never returns."""
    try:
        os.setpgid(0, 0)
        used = int(Path("/proc/self/statm").read_text().split()[0]) * os.sysconf("SC_PAGE_SIZE")
        resource.setrlimit(resource.RLIMIT_AS, (used + MEMORY, used + MEMORY))
        spent = int(time.process_time()) + 1
        resource.setrlimit(resource.RLIMIT_CPU, (SECONDS + spent, SECONDS + spent + 5))
        os.chdir(folder)
        os.environ["XDG_CACHE_HOME"] = str(folder / CACHE)
        if case.around is not None:
            case.around(folder)
        found = _called(case, folder)
    except BaseException as error:  # whatever it is, it must be told and not end the parent
        found = Outcome("traceback", repr(error))
    with contextlib.suppress(OSError), os.fdopen(writer, "w") as pipe:
        pipe.write(json.dumps({"kind": found.kind, "text": found.text}))
    os._exit(0)


def _called(case: Case, folder: Path) -> Outcome:
    from preview.cli import main
    from preview.cli.terminal import Terminal

    out, err = case.out(), io.StringIO()
    sys.stdin = io.StringIO()
    with warnings.catch_warnings(record=True) as heard:
        warnings.simplefilter("always")
        try:
            if case.command[0] == "edit":
                return _edited(case)
            code = main(list(case.command), Terminal(out, err, Path()))
        except MemoryError:
            return Outcome("memory", _where())
        except BaseException:
            return Outcome("traceback", _where())
    # Files that an interrupt left open are closed as it unwinds.
    heard = [one for one in heard if code != 130 or one.category is not ResourceWarning]
    if heard:
        first = heard[0]
        return Outcome(
            "warning", f"{first.filename.rpartition('/')[2]}:{first.lineno} {first.message}"
        )
    return judged(case, folder, code, err.getvalue())


def _edited(case: Case) -> Outcome:
    """Change one number of the file as `tune` does; only a ValueError may refuse it."""
    from meshes.design.edit import patched, value_at
    from meshes.measure import Units

    text = case.files["design.toml"].decode()
    _, path, value = case.command
    try:
        new = patched(text, {path: float(value)})
        found = value_at(new, path, Units())
    except ValueError as error:
        return Outcome("problems", str(error))
    if found != float(value):
        return Outcome("lost edit", f"{path} = {value}: {found}")
    return Outcome("done")


def _where() -> str:
    """The error, and the lines of ours that led to it."""
    kind, error, trace = sys.exc_info()
    ours = [
        f"{Path(f.filename).stem}:{f.lineno} {f.name}"
        for f in traceback.extract_tb(trace)
        if re.search(r"/(meshes|preview)/", f.filename)
    ]
    return f"{getattr(kind, '__name__', kind)}: {str(error)[:160]} @ {' < '.join(ours[-3:][::-1])}"


def judged(case: Case, folder: Path, code: int, said: str) -> Outcome:
    """The outcome of a command that ended with an exit code, said so on stderr, left that."""
    lines = [line for line in said.splitlines() if line.strip()]
    last = "\n".join(lines[-3:])
    if "Traceback" in said:
        return Outcome("traceback", last)
    if any(len(line) > _LONGEST_LINE for line in lines):
        return Outcome("long line", last)
    if code not in (0, 1, 2, 130):
        return Outcome("exit code", f"{code} {last}")
    more = (
        {p.name for p in folder.iterdir()} - {Path(name).parts[0] for name in case.files} - {CACHE}
    )
    # A check that found problems has answered; other commands must leave nothing behind.
    if code and more and not case.may_leave:
        return Outcome("left a file", ", ".join(sorted(more)))
    if code == 130:
        told = bool(lines) and "interrupted" in lines[-1]
        return Outcome("interrupted" if told else "exit code", last)
    if code == 2 and not lines:
        return Outcome("silent")
    if code == 1 and not lines and case.command[0] != "check":
        return Outcome("silent")
    return Outcome(("done", "problems", "wrong use")[code], last)


def warm() -> None:
    """Load here what every command needs, so that no child has to."""
    from preview.cli import main
    from preview.cli.terminal import Terminal

    folder = Path(tempfile.mkdtemp(prefix="hostile-"))
    try:
        quiet = Terminal(io.StringIO(), io.StringIO(), folder)
        for command in (
            ["new", "warm"],
            ["check", "warm.toml", "--json"],
            ["mesh", "warm.toml", "--output", "warm.glb"],
            ["angles", "warm.toml"],
        ):
            main(command, quiet)
    finally:
        shutil.rmtree(folder, ignore_errors=True)
