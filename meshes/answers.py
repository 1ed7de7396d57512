"""What whole commands have found of a design file, kept in the user's cache folder.

An answer stands under a digest of the design file, of all files that it names, of the values used
instead, of what was asked, and of the program and the libraries that compute it. So the second look
at an unchanged design need not even build it.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from . import cache
from .program import made_by
from .source import source

if TYPE_CHECKING:
    from .design.values import Setting

# Our choice: some thousand answers.
BOUND_BYTES = 16 << 20


class Answers:
    """Answers on one design file; without a cache folder there are none.

    Parameters
    ----------
    path : the design file. Answers may tell its name, so they hold for that name only.
    values : used instead of its own.
    """

    def __init__(self, path: Path, values: Mapping[str, Setting]) -> None:
        folder = cache.user_folder()
        self._shelf = None if folder is None else cache.Shelf(folder / "answers", BOUND_BYTES)
        self._about: tuple[str, str, list[str]] | None = None
        # Before it is read for the answer: if it changes meanwhile, what is kept is never found. If
        # it can't be read, whoever builds it says so.
        with suppress(OSError):
            about = None if self._shelf is None else source(path, values)
            self._about = None if about is None else (str(path), about, made_by())

    def get(self, *asked: Any) -> Any:
        """The answer, as JSON knows it; None if there is none."""
        if self._shelf is None or self._about is None:
            return None
        entry = self._shelf.get(cache.fingerprint(self._about, asked))
        # As one text, since `cache.pack` sorts names, and those of an answer have their order.
        return None if entry is None else json.loads(cache.unpack(entry)[1])

    def put(self, answer: Any, *asked: Any) -> None:
        """Keep an answer that JSON can tell."""
        if self._shelf is None or self._about is None:
            return
        # A full or read-only disk costs the next command some time, and this one nothing.
        with suppress(OSError):
            self._shelf.put(
                cache.fingerprint(self._about, asked), cache.pack({}, json.dumps(answer))
            )
