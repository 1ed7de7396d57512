"""Keeps the scene of a design up to date while its files are edited."""

from __future__ import annotations

import hashlib
import os
import re
import threading
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from meshes.errors import DesignError
from preview.errors import UseError

# Asking for the state of a few files costs microseconds; events of the system miss network drives.
LOOK_S = 0.03
_QUOTED = re.compile(r"""["']([^"'\n]{1,200})["']""")


@dataclass(frozen=True)
class Build:
    """A scene and the files it was made of.

    Parameters
    ----------
    held : the :func:`fingerprint` of the files before they were read: who saves while a scene is
        built is not missed. Left out, they stay as they are meanwhile.
    news : gives, without waiting, parts of the scene that took longer to work out and were found
        since it was last asked.
    """

    scene: dict[str, Any]
    files: tuple[Path, ...]
    news: Callable[[], Iterable[dict[str, Any]]] = tuple
    held: tuple[str, ...] | None = None


@dataclass(frozen=True)
class State:
    """What the server shows.

    Parameters
    ----------
    scene : the last good scene.
    version : counts good scenes.
    mistake : a line for each mistake of the present file, empty if it is good.
    news : counts changes of any of the above.
    changed : for each part of the scene that has ever changed, in which version it did so last;
        of a part that is gone, in which it went.
    """

    scene: dict[str, Any]
    version: int = 1
    mistake: str = ""
    news: int = 1
    changed: Mapping[str, int] = field(default_factory=lambda: MappingProxyType({}))

    def after(self, version: int) -> dict[str, Any]:
        """The parts of the scene that have changed since a version; None for one that is gone."""
        return {key: self.scene.get(key) for key, at in self.changed.items() if at > version}

    def showing(self, scene: dict[str, Any]) -> State:
        """What shows this scene; the next version, if anything in it is new."""
        keys = dict.fromkeys([*self.scene, *scene])
        anew = [key for key in keys if not _same(self.scene, scene, key)]
        version = self.version + bool(anew)
        changed = MappingProxyType({**self.changed, **dict.fromkeys(anew, version)})
        return State(scene, version, "", self.news, changed)


class Watcher:
    """Builds the scene again whenever one of its files has changed and lies still.

    A file may be missing or half written for a moment, since editors save by renaming; so a change
    counts only when two looks in a row see the same.
    """

    def __init__(self, build: Callable[[], Build]) -> None:
        """Build once; a mistake in the file is the caller's to report.

        Raises
        ------
        DesignError
            If the design is not good to begin with.
        """
        self._build = build
        first = build()
        self._files: tuple[Path, ...] = ()
        self._seen: tuple[str, ...] = ()
        self._take_files(first)
        self._state = State(first.scene)
        self._news = first.news
        self._changed = threading.Condition()
        self._stop, self._wake = threading.Event(), threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)

    @property
    def state(self) -> State:
        """The present state; states never change, they are replaced."""
        return self._state

    def start(self) -> None:
        """Begin to look at the files."""
        self._thread.start()

    def stop(self) -> None:
        """Stop looking, and wake whoever waits."""
        self._stop.set()
        self._wake.set()
        with self._changed:
            self._changed.notify_all()

    @property
    def stopped(self) -> bool:
        """Whether :meth:`stop` was called."""
        return self._stop.is_set()

    def tell(self) -> None:
        """Wake whoever waits: there is something to be told beside the scene."""
        with self._changed:
            self._publish(self._state)

    def hurry(self) -> None:
        """Look at once: a file has just been written, and as a whole."""
        self._wake.set()

    def wait(self, news: int, seconds: float) -> State:
        """The state as soon as it is newer than `news`, or after some seconds as it is."""
        with self._changed:
            self._changed.wait_for(lambda: self._state.news > news or self.stopped, seconds)
        return self._state

    def _run(self) -> None:
        before: list[tuple[int, ...]] = []
        read = before
        while True:
            hurried = self._wake.wait(LOOK_S)
            self._wake.clear()
            if self._stop.is_set():
                return
            now = _stamps(self._files)
            if (hurried or now == before) and now != read:
                read = now
                self._look_closely()
            self._take_news()
            before = now

    def _take_news(self) -> None:
        try:
            for part in self._news():
                self._publish(self._enriched(part))
        except Exception as error:  # a fault of the program must not end the following
            self._news = tuple
            self._publish(replace(self._state, mistake=program_failed(error)))

    def _look_closely(self) -> None:
        """Build again if the files hold something else than before."""
        seen = fingerprint(self._files)
        if seen != self._seen:
            self._seen = seen
            self._publish(self._rebuilt())

    def _rebuilt(self) -> State:
        try:
            build = self._build()
        except (DesignError, UseError) as error:
            return replace(self._state, mistake=str(error))
        except OSError as error:
            return replace(self._state, mistake=f"{error.filename}: {error.strerror}")
        except Exception as error:  # a fault of the program; the next save may well do
            return replace(self._state, mistake=program_failed(error))
        self._news = build.news
        self._take_files(build)
        return self._state.showing(build.scene)

    def _take_files(self, build: Build) -> None:
        if build.held is not None:
            self._seen = build.held
        elif build.files != self._files:
            self._seen = fingerprint(build.files)
        self._files = build.files

    def _enriched(self, part: dict[str, Any]) -> State:
        state = self._state
        return replace(state.showing({**state.scene, **part}), mistake=state.mistake)

    def _publish(self, state: State) -> None:
        with self._changed:
            self._state = replace(state, news=self._state.news + 1)
            self._changed.notify_all()


def _same(one: dict[str, Any], other: dict[str, Any], key: str) -> bool:
    return key in one and key in other and bool(one[key] == other[key])


def name_of(text: str | bytes) -> str:
    """A short name for a text, the same in the page and here."""
    data = text.encode() if isinstance(text, str) else text
    return digest(data)[:16]


def program_failed(error: Exception) -> str:
    """One line about an error that nobody foresaw."""
    text = " ".join(f"{type(error).__name__}: {error}".split())
    return f"the program failed, which is its own fault: {text}; the next save is tried again"


def named_files(design: Path, text: str | None = None) -> list[Path]:
    """Files below the design's folder that it names: drawings, images, fonts.

    Where it names a folder, the drawings in it.

    Parameters
    ----------
    text : of the design, in place of what the file holds.
    """
    found = []
    text = design.read_text(encoding="utf-8") if text is None else text
    for name in dict.fromkeys(_QUOTED.findall(text)):
        path = design.parent / name
        if not name.strip(" ./") or Path(name).is_absolute() or ".." in Path(name).parts:
            continue
        # Words may be longer than a file's name can be, which Path's own questions fail of.
        if os.path.isdir(path):
            found += sorted(path.glob("*.svg"))
        elif os.path.isfile(path):
            found.append(path)
    return found


def fingerprint(files: Iterable[Path]) -> tuple[str, ...]:
    """What the files hold: a change of time alone is no change."""
    return tuple(_digest(path) for path in files)


def _stamps(files: Iterable[Path]) -> list[tuple[int, ...]]:
    """What the system knows of the files without reading them."""
    return [_stamp(path) for path in files]


def _stamp(path: Path) -> tuple[int, ...]:
    try:
        state = path.stat()
    except OSError:
        return ()
    return state.st_mtime_ns, state.st_size, state.st_ino


def _digest(path: Path) -> str:
    try:
        return _digest_of(path, _stamp(path))
    except OSError:
        return ""


@lru_cache(maxsize=500)
def _digest_of(path: Path, stamp: tuple[int, ...]) -> str:
    """What a file holds, read once for as long as the system knows nothing new of it."""
    return digest(path.read_bytes())


def digest(data: bytes) -> str:
    """The fingerprint of what one file holds."""
    return hashlib.sha256(data).hexdigest()
