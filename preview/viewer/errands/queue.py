"""The queue of files that pages have asked for: two are made at a time, the others wait.

Each is made by a process of its own, in a folder of its own, of a copy of the design as it was when
the button was pressed. Nothing appears beside the design before it is whole.
"""

from __future__ import annotations

import json
import os
import secrets
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from hashlib import sha256
from pathlib import Path
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from meshes.export import write_whole
from preview.errors import UseError
from preview.parallel import one_thread_each

from ..asked import understood
from ..keeping import here_in
from ..server import Reply
from ..watch import named_files
from .wishes import HERE, FileWish, about, offered, shots_of, words_of

Json = dict[str, Any]
Condition = Literal["waiting", "making", "ready", "failed"]

# Two keep a small computer busy, and leave the page some of it. Our choice, like the next ones.
AT_ONCE = 2
MOST = 24  # that are listed
_MOST_SAID = 12  # lines of one
_TOLD_S = 0.25  # between two words to the pages
_FAILED = "It could not be made"
PROGRAM = (sys.executable, "-m", "preview.viewer.errands.child")


@dataclass(frozen=True)
class Errand:
    """One file that is made, or several that belong together.

    Parameters
    ----------
    key : of two that are the same in all that decides them.
    words : of the command line.
    doing, done, total : what is done at present, and how much of it; `total` is 0 where nobody
        knows.
    since : when that began, by the clock of the queue.
    said : what the command had to say.
    files : what has been made, relative to its folder, with the secret names of their addresses.
    beside : names under which it lies beside the design.
    """

    number: int
    key: str
    title: str
    about: str
    folder: Path
    words: Sequence[str]
    condition: Condition = "waiting"
    doing: str = ""
    done: int = 0
    total: int = 0
    since: float = 0.0
    said: tuple[str, ...] = ()
    files: Mapping[str, str] = field(default_factory=dict)
    beside: tuple[str, ...] = ()

    def as_json(self, now: float, keeps: bool) -> Json:
        """What pages are told."""
        size = {name: (self.folder / name).stat().st_size for name in self.files}
        return {
            "number": self.number,
            "title": self.title,
            "about": self.about,
            "condition": self.condition,
            "doing": self.doing,
            "done": self.done,
            "total": self.total,
            "left_s": self._left_s(now),
            "said": list(self.said),
            "files": [
                {"name": Path(name).name, "bytes": size[name], "address": f"/made/{token}"}
                for name, token in self.files.items()
            ],
            "beside": list(self.beside),
            "keeps": keeps,
        }

    def _left_s(self, now: float) -> float | None:
        """How long what is done at present will take at the pace so far, seconds."""
        spent = now - self.since
        if not self.done or spent < 0.5:
            return None
        return round(spent / self.done * (self.total - self.done), 1)


class OneOf(BaseModel):
    """A page means one of the errands."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    number: int = Field(ge=1, le=10**9)


class Errands:
    """Makes files of one design for the pages that show it.

    Parameters
    ----------
    design : the design file.
    text_of : the text of a name, or the present one; see :func:`~preview.viewer.watch.name_of`.
    settings : ``--set`` of the page, each ``NAME=VALUE``.
    keeps : whether files may be put beside the design.
    tell : called when pages have something to be told.
    program : makes one; given a folder and the words of the command line.
    """

    def __init__(
        self,
        design: Path,
        text_of: Callable[[str], str],
        settings: Sequence[str] = (),
        keeps: bool = True,
        tell: Callable[[], None] = lambda: None,
        clock: Callable[[], float] = time.monotonic,
        program: Sequence[str] = PROGRAM,
    ) -> None:
        self._program = program
        self._design, self._text_of, self._keeps = design.resolve(), text_of, keeps
        self._settings, self._tell, self._clock = settings, tell, clock
        self._lock = threading.RLock()
        self._errands: dict[int, Errand] = {}
        self._running: dict[int, subprocess.Popen[str]] = {}
        self._count, self._news, self._told, self._closed = 0, 0, 0.0, False
        self._root: Path | None = None
        self._later: threading.Timer | None = None

    def answers(self) -> dict[str, Reply]:
        """What the page can ask for, by address."""
        return {
            "/files/make": Reply(self.make),
            "/files/stop": Reply(self.away),
            "/files/away": Reply(self.away),
            "/files/beside": Reply(self.put_beside),
        }

    def news(self) -> Json:
        """What pages must know: what can be made, and what is.

        Of two that arrive in another order, the one with the higher ``count`` is the later one.
        """
        with self._lock:
            now = self._clock()
            self._news += 1
            listed = [one.as_json(now, self._keeps) for one in self._errands.values()]
            return {"count": self._news, "offered": offered(), "listed": listed}

    def file_at(self, path: str) -> Path | None:
        """The file of an address such as ``/made/SECRET``; None if there is none."""
        token = path.removeprefix("/made/")
        with self._lock:
            for one in self._errands.values():
                for name, secret in one.files.items():
                    if path != token and secrets.compare_digest(secret.encode(), token.encode()):
                        return one.folder / name
        return None

    def make(self, data: bytes) -> Json:
        """Have a file made; the one that is there already if nothing would be different.

        Raises
        ------
        UseError
            If that can't be wished for, or too much is.
        DesignError
            If the camera of the page can't stand in the design.
        """
        wish = understood(FileWish, data)
        text = self._text_of(wish.made)
        values = wish.values(shots_of(text))
        name = f"design/{self._design.name}"
        if wish.stands(values):
            text, here = here_in(text, wish.stand)
        else:
            here = HERE
        words = [*words_of(wish, values, name, here), *(f"--set={one}" for one in self._settings)]
        files = {
            path.relative_to(self._design.parent).as_posix(): path.read_bytes()
            for path in named_files(self._design, text)
        }
        key = _key(words, text, files)
        with self._lock:
            same = next((one for one in self._errands.values() if one.key == key), None)
            if same is None or same.condition == "failed":
                if same is not None:
                    self._drop(same.number)
                same = self._new(wish, about(wish, values), key, words)
                write_whole(same.folder / name, text.encode())
                for path, content in files.items():
                    write_whole(same.folder / "design" / path, content)
                self._begin()
        self._spread(now=True)
        return {"number": same.number, **self.news()}

    def away(self, data: bytes) -> Json:
        """Stop an errand if it is being made, and take it off the list."""
        number = understood(OneOf, data).number
        with self._lock:
            self._one(number)
            self._drop(number)
            self._begin()
        self._spread(now=True)
        return self.news()

    def put_beside(self, data: bytes) -> Json:
        """Put what has been made beside the design, over nothing that is there."""
        number = understood(OneOf, data).number
        with self._lock:
            one = self._one(number)
            if one.condition != "ready" or not self._keeps:
                raise UseError("that can't be put beside the design")
            if not one.beside:
                named = _beside(one, self._design.parent)
                for name, target in named.items():
                    write_whole(target, (one.folder / name).read_bytes())
                beside = [p.relative_to(self._design.parent).as_posix() for p in named.values()]
                self._errands[number] = replace(one, beside=tuple(beside))
        self._spread(now=True)
        return self.news()

    def close(self) -> None:
        """Stop all that is being made, and take away all that nobody has kept."""
        with self._lock:
            self._closed = True
            self._tell_no_later()
            for number in list(self._errands):
                self._drop(number)
            if self._root is not None:
                shutil.rmtree(self._root, ignore_errors=True)

    # ------------------------------------------------------------------ one after the other

    def _one(self, number: int) -> Errand:
        if number not in self._errands:
            raise UseError("that is not on the list any more")
        return self._errands[number]

    def _new(self, wish: FileWish, said: str, key: str, words: Sequence[str]) -> Errand:
        if self._closed:
            raise UseError("the server is ending")
        for one in list(self._errands.values()):
            if len(self._errands) >= MOST and one.condition in ("ready", "failed"):
                self._drop(one.number)
        if len(self._errands) >= MOST:
            raise UseError(f"{MOST} files are waiting to be made; stop one of them first")
        if self._root is None:
            self._root = Path(tempfile.mkdtemp(prefix="foldstage-files-"))
        self._count += 1
        folder = self._root / str(self._count)
        made = Errand(self._count, key, wish.kind.title, said, folder, words)
        self._errands[made.number] = made
        return made

    def _begin(self) -> None:
        """Start those whose turn it is."""
        for one in list(self._errands.values()):
            if len(self._running) >= AT_ONCE:
                return
            if one.condition == "waiting":
                now = self._clock()
                self._errands[one.number] = replace(
                    one, condition="making", doing="starting", since=now
                )
                process = _started(one, self._program)
                self._running[one.number] = process
                threading.Thread(target=self._follow, args=(one, process), daemon=True).start()

    def _follow(self, one: Errand, process: subprocess.Popen[str]) -> None:
        """Hear what a process reports until it ends, and note what has come of it."""
        assert process.stdout is not None
        listening = threading.Thread(target=self._listen, args=(one, process), daemon=True)
        listening.start()
        code = _ended(process)
        listening.join()
        process.stdout.close()
        with self._lock:
            # Stopped meanwhile: it is off the list, and its place was free at once.
            if self._running.get(one.number) is process:
                del self._running[one.number]
                self._errands[one.number] = _finished(self._errands[one.number], code)
                if not self._closed:
                    self._begin()
            else:
                shutil.rmtree(one.folder, ignore_errors=True)
        self._spread(now=True)

    def _listen(self, one: Errand, process: subprocess.Popen[str]) -> None:
        assert process.stdout is not None
        for line in process.stdout:
            with suppress(ValueError), self._lock:
                known = self._errands.get(one.number)
                if known is None or self._running.get(one.number) is not process:
                    return
                self._errands[one.number] = _reported(known, json.loads(line), self._clock())
            self._spread()

    def _drop(self, number: int) -> None:
        one = self._errands.pop(number)
        process = self._running.pop(number, None)
        if process is not None:
            _kill(process)
        shutil.rmtree(one.folder, ignore_errors=True)

    def _spread(self, now: bool = False) -> None:
        """Have the pages told, at once or a moment later: not more often than they can show it."""
        with self._lock:
            wait = 0.0 if now else self._told + _TOLD_S - self._clock()
            if wait > 0 and self._later is None and not self._closed:
                self._later = threading.Timer(wait, self._spread, kwargs={"now": True})
                self._later.daemon = True
                self._later.start()
            if wait > 0:
                return
            self._told = self._clock()
            self._tell_no_later()
        self._tell()

    def _tell_no_later(self) -> None:
        if self._later is not None:
            self._later.cancel()
            self._later = None


def _key(words: Sequence[str], text: str, files: Mapping[str, bytes]) -> str:
    digest = sha256(json.dumps([*words, text]).encode())
    for name, data in sorted(files.items()):
        digest.update(name.encode() + b"\0" + sha256(data).digest())
    return digest.hexdigest()


def _started(one: Errand, program: Sequence[str]) -> subprocess.Popen[str]:
    """A process that makes it. It ends with this one, whatever ends this one."""
    words = [*program, str(one.folder), *one.words]
    with one_thread_each(), (one.folder / "trouble.txt").open("wb") as trouble:
        return subprocess.Popen(
            words,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=trouble,
            text=True,
            encoding="utf-8",
            start_new_session=True,
        )


def _ended(process: subprocess.Popen[str]) -> int:
    """Wait for a process, and end what it may have left behind; its exit code."""
    if hasattr(os, "waitid"):
        # Not yet forgotten, its number still means its own group.
        with suppress(ChildProcessError):
            os.waitid(os.P_PID, process.pid, os.WEXITED | os.WNOWAIT)
        _kill(process)
    code = process.wait()
    if process.stdin is not None:
        process.stdin.close()
    return code


def _kill(process: subprocess.Popen[str]) -> None:
    """End a process and all that it has started, at once."""
    with suppress(ProcessLookupError, PermissionError):
        if hasattr(os, "killpg"):
            os.killpg(process.pid, signal.SIGKILL)
        else:
            process.kill()


def _reported(one: Errand, report: Mapping[str, Any], now: float) -> Errand:
    """An errand after what its process has said."""
    if "said" in report:
        return replace(one, said=(*one.said, str(report["said"]))[-_MOST_SAID:])
    if "doing" not in report:
        return one
    doing, done, total = str(report["doing"]), int(report["done"]), int(report["total"])
    since = one.since if doing == one.doing and done else now
    return replace(one, doing=doing, done=done, total=total, since=since)


def _finished(one: Errand, code: int) -> Errand:
    """An errand whose process has ended."""
    made = one.folder / "renders"
    files = sorted(path for path in made.rglob("*") if path.is_file()) if made.is_dir() else []
    if code == 0 and files:
        tokens = {
            path.relative_to(one.folder).as_posix(): secrets.token_urlsafe(24) for path in files
        }
        return replace(one, condition="ready", doing="", files=tokens)
    said = one.said
    if not said:
        lines = (one.folder / "trouble.txt").read_text("utf-8", "replace").split("\n")
        last = next((line for line in reversed(lines) if line.strip()), f"it ended with {code}")
        said = (f"{_FAILED}: {last.strip()[:300]}",)
    return replace(one, condition="failed", doing="", said=said)


def _beside(one: Errand, folder: Path) -> dict[str, Path]:
    """Where each file of an errand goes, so that nothing there is touched."""
    tops = {Path(name).parts[1] for name in one.files}
    number = 1
    while True:
        mark = "" if number == 1 else f"-{number}"
        named = {}
        for top in tops:
            stem, dot, ending = top.rpartition(".")
            named[top] = f"{stem}{mark}.{ending}" if dot else f"{top}{mark}"
        if not any(os.path.lexists(folder / name) for name in named.values()):
            break
        number += 1
    return {
        name: folder.joinpath(named[Path(name).parts[1]], *Path(name).parts[2:])
        for name in one.files
    }
