"""The design file under the hand: edits are made on it, undone and made again; nothing is lost.

The file is the truth. Before each change it is read again, so what an editor has saved meanwhile
becomes a step of the history like any other. A new text is written only if it reads without a
mistake, beside the file and then moved to its place.
"""

from __future__ import annotations

import glob
import os
import stat
import threading
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field

from meshes.design.edit import Edit, EditError, accepted
from meshes.design.edit.accept import MOST_AT_ONCE
from meshes.design.edit.spans import spans
from meshes.design.edit.splice import dotted, find
from meshes.export import whole_file, write_whole
from meshes.spread import Spread, read
from preview.errors import UseError

from .asked import Request, understood
from .beside import Beside
from .drawer import Drawer, Dropped, Offered, beside, offered
from .flat_sheets import flat_sheets
from .keeping import Kept, keep
from .miniatures import miniatures
from .notebook import notebook
from .pictures import Pictures
from .server import Reply
from .values import Chosen, Nudge, Several, form, nudged, several
from .watch import name_of

Json = dict[str, Any]

# What the first text is kept as; no design, so that a catalog of the folder leaves it out.
KEPT = ".before-edits"
# A request for edits: 200 of them with a long text each. Our choice.
_MOST_BYTES = 200_000
_Name = Annotated[str, Field(max_length=100)]


class Wanted(Request):
    """What a page asks to have changed.

    Parameters
    ----------
    edits : made together, as one step.
    """

    edits: list[Annotated[Edit, Field(discriminator="edit")]] = Field(
        min_length=1, max_length=MOST_AT_ONCE
    )


class Back(BaseModel):
    """A page asks for the step before or after, or what becomes of a text that was kept."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    page: _Name = ""


class Opened(BaseModel):
    """A page opens the paper drawer, or the sheet of the notebook."""

    model_config = ConfigDict(extra="forbid", frozen=True)


@dataclass(frozen=True)
class Version:
    """One text of the file.

    Parameters
    ----------
    by : the page that made it; empty for what came from outside.
    said : what was done, for a person.
    """

    text: str
    by: str
    said: str


class Desk:
    """Changes one design file for the pages that show it.

    Parameters
    ----------
    path : of the design file. A link is followed once, now: the file that it leads to is changed,
        and nothing any more if it leads somewhere else later.

    Attributes
    ----------
    beside : puts files beside the design.
    file : the design file, as it was named.
    """

    def __init__(self, path: Path) -> None:
        self._given, self._path = path, path.resolve()
        self.file = path
        self._lock = threading.RLock()
        text = self._read()
        self._versions, self._now = [Version(text, "", "")], 0
        self._changes = 0  # steps so far, those back and on included
        self._seen = {name_of(text): text}
        self._last = ("", "")  # who changed the file last, and what was done
        self._spread: tuple[str, Spread] | None = None
        # What the last edit has made, until it is taken.
        self._fresh: tuple[str, Spread] | None = None
        self._drawer = Drawer()
        self._kept: Path | None = None
        self.beside = Beside(self._path.parent)
        self._pictures = Pictures(self)
        left = sorted(self._path.parent.glob(f"{glob.escape(self._path.name)}{KEPT}*"))
        self._left = left[0] if left else None

    def close(self) -> None:
        """End in peace: the text before the first edit need not be kept any more.

        Nor need files that were put beside the design and that nobody uses after all.
        """
        with self._lock:
            if self._kept is not None:
                self._kept.unlink(missing_ok=True)
            self._kept = None
            self.beside.tidy()

    def answers(self) -> dict[str, Reply]:
        """What the page can ask for, by address."""
        return {
            "/edits": Reply(self.edit, _MOST_BYTES),
            "/form": Reply(self.form),
            "/sheets": Reply(self.sheets),
            "/notebook": Reply(self.notebook),
            "/nudge": Reply(self.nudge),
            "/several": Reply(self.several),
            "/drawer": Reply(self.drawer),
            "/places": Reply(self.places),
            "/fits": Reply(self.fits),
            "/drop": Reply(self.drop),
            "/drop/back": Reply(self.leave_off),
            "/keep": Reply(self.keep),
            "/undo": Reply(self.undo),
            "/redo": Reply(self.redo),
            "/left/back": Reply(self.take_back),
            "/left/away": Reply(self.forget),
            **self._pictures.answers(),
        }

    def news(self) -> Json:
        """What pages must know: ``made`` and who made it, whether steps lead back and on.

        ``changes`` counts: of two news, the one that counts more is the later one, in whichever
        order they arrive.
        """
        with self._lock:
            with suppress(UseError):  # it is away for a moment, or for good: the watcher tells
                self._look()
            version = self._versions[self._now]
            after = self._versions[self._now + 1 :]
            return {
                "made": name_of(version.text),
                "changes": self._changes,
                "by": self._last[0],
                "said": self._last[1],
                "undo": version.said if self._now else "",
                "redo": after[0].said if after else "",
                "left": self._left.name if self._left else "",
            }

    def edit(self, data: bytes) -> Json:
        """Make edits.

        Raises
        ------
        UseError
            If they can't be made in the present text; a sentence for a person.
        DesignError
            With every mistake that the design would have; nothing is changed.
        """
        wanted = understood(Wanted, data)
        with self._lock:
            stale = self._look() or wanted.made != name_of(self._text)
            before = self._seen.get(wanted.made, self._text)
            for edit in wanted.edits if stale else ():
                _must_still_be_there(edit, before, self._text)
            self._make(wanted.edits, wanted.page)
            return {**self.news(), "stale": stale}

    def change(
        self, asked: Request, edits: Callable[[str, Spread], Sequence[Edit]], words: str = ""
    ) -> Json:
        """Make edits of the present text and its spread, as one step; the news.

        Parameters
        ----------
        words : what is done, for a person; of the edits, if there are none.
        """
        with self._lock:
            stale = self._look() or asked.made != name_of(self._text)
            self._make(edits(self._text, self._present()), asked.page, words)
            return {**self.news(), "stale": stale}

    def present(self) -> tuple[str, Spread]:
        """The text of the file as it is now, and its spread; DesignError if it has mistakes."""
        with self._lock:
            self._look()
            return self._text, self._present()

    def fresh(self) -> Spread | None:
        """The spread that the last edit has made, once, if the file has that text still.

        Only once: files that it names may be changed while the text stays.
        """
        with self._lock:
            made, self._fresh = self._fresh, None
            return made[1] if made is not None and made[0] == self._read() else None

    def nudge(self, data: bytes) -> Json:
        """Move pieces by a step of the arrow keys; see :class:`~preview.viewer.values.Nudge`."""
        wanted = understood(Nudge, data)
        with self._lock:
            stale = self._look() or wanted.made != name_of(self._text)
            self._make(nudged(self._text, self._present(), wanted), wanted.page)
            return {**self.news(), "stale": stale}

    def several(self, data: bytes) -> Json:
        """What can be done with some pieces together; see :func:`preview.viewer.values.several`."""
        return several(self.text, understood(Several, data).pieces)

    def drawer(self, data: bytes) -> Json:
        """What lies in the paper drawer, with pictures; see :mod:`preview.viewer.miniatures`."""
        understood(Opened, data)
        return {"items": miniatures()}

    def places(self, data: bytes) -> Json:
        """Where a piece of the drawer could be laid; see :mod:`preview.viewer.room`."""
        wanted = understood(Offered, data)
        with self._lock:
            self._look()
            return {"places": offered(self._present(), wanted.kind)}

    def fits(self, data: bytes) -> Json:
        """Try a piece of the drawer where the hand is, and change nothing.

        Returns
        -------
        Its ``table`` there, or None and the ``reason`` why nothing of it fits.
        """
        dropped = understood(Dropped, data)
        with self._lock:
            self._look()
            text, spread = self._text, self._present()
        try:
            return {"table": self._drawer.added(text, spread, dropped).table}
        except UseError as error:  # a hand that looks for a place is no mistake
            return {"table": None, "reason": str(error)}

    def drop(self, data: bytes) -> Json:
        """Lay a piece of the drawer where the hand lets it go; see :mod:`preview.viewer.drawer`.

        Returns
        -------
        The news, and the ``name`` of the piece.
        """
        dropped = understood(Dropped, data)
        with self._lock:
            stale = self._look() or dropped.made != name_of(self._text)
            text, spread = self._text, self._present()
        edit = self._drawer.added(text, spread, dropped)  # meanwhile others may ask
        with self._lock:
            if self._look() or self._text != text:
                raise UseError("the design has changed meanwhile; lay it down again")
            with beside(dropped.kind, spread):
                self._make([edit], dropped.page)
            return {**self.news(), "stale": stale, "name": edit.name}

    def leave_off(self, data: bytes) -> Json:
        """The hand takes back what is being tried; whoever asked for that is told so."""
        understood(Back, data)
        self._drawer.take_back()
        return {}

    def keep(self, data: bytes) -> Json:
        """Keep the camera of a page as a view; see :mod:`preview.viewer.keeping`."""
        kept = understood(Kept, data)
        return self.change(kept, lambda text, spread: keep(text, spread, kept))

    def form(self, data: bytes) -> Json:
        """The values of a piece; see :func:`preview.viewer.values.form`."""
        piece = understood(Chosen, data).piece
        try:
            return form(self.text, str(self._given), piece)
        except ValueError as error:  # the file is no TOML at present
            raise UseError(str(error)) from None

    def notebook(self, data: bytes) -> Json:
        """The notebook and its papers; see :func:`preview.viewer.notebook.notebook`."""
        understood(Opened, data)
        with self._lock:
            self._look()
            return notebook(self._text, str(self._given), self._present())

    def sheets(self, data: bytes) -> Json:
        """The flat sheets of a piece and where its numbers are on them; see :mod:`.flat_sheets`."""
        piece = understood(Chosen, data).piece
        with self._lock:
            self._look()
            text, spread = self._text, self._present()
        return flat_sheets(text, spread, piece)

    def _make(self, edits: Sequence[Edit], page: str, words: str = "") -> None:
        text, spread = self._spread or ("", None)
        before = spread if text == self._text else None
        try:
            made = accepted(self._text, list(edits), self._given, before)
        except EditError as error:
            raise UseError(str(error)) from None
        if made.text != self._text:
            self._step(Version(made.text, page, words or said(edits)))
            self._spread = self._fresh = (made.text, made.spread)

    def _present(self) -> Spread:
        """The spread of the present text; DesignError if it has mistakes."""
        if self._spread is None or self._spread[0] != self._text:
            self._spread = (self._text, read(self._given, text=self._text, blank=True))
        return self._spread[1]

    def undo(self, data: bytes) -> Json:
        """Bring back the text before the last step; UseError if there is none.

        Returns
        -------
        The news, and the files beside the design that nothing names any more as ``unused``.
        """
        with self._lock:
            before = self.beside.unused(self._text)
            news = self._go(data, -1, "Nothing has been changed yet.")
            unused = [name for name in self.beside.unused(self._text) if name not in before]
            return {**news, "unused": unused}

    def redo(self, data: bytes) -> Json:
        """Make again the step that was undone; UseError if there is none."""
        return self._go(data, 1, "Nothing has been undone.")

    def take_back(self, data: bytes) -> Json:
        """Bring back the text that an earlier session began with and could not tidy away."""
        page = understood(Back, data).page
        with self._lock:
            if self._left is None:
                raise UseError("There is no text of an earlier session.")
            self._look()
            text = self._left.read_bytes().decode()
            self._step(Version(text, page, "the text of an earlier session brought back"))
            return self.forget(data)

    def forget(self, data: bytes) -> Json:
        """Throw the text of an earlier session away."""
        understood(Back, data)
        with self._lock:
            if self._left is not None:
                self._left.unlink(missing_ok=True)
                self._left = None
            return self.news()

    def text_of(self, made: str) -> str:
        """The text that a page shows, by its name; the present one if that is not known.

        UseError if it can't be read.
        """
        with self._lock:
            known = self._seen.get(made)
            return self.text if known is None else known

    @property
    def text(self) -> str:
        """The text of the file as it is now; UseError if it can't be read."""
        with self._lock:
            self._look()
            return self._text

    @property
    def _text(self) -> str:
        return self._versions[self._now].text

    def _go(self, data: bytes, step: int, nothing: str) -> Json:
        page = understood(Back, data).page
        with self._lock:
            self._look()
            if not 0 <= self._now + step < len(self._versions):
                raise UseError(nothing)
            self._write(self._versions[self._now + step].text)
            said = self._versions[max(self._now, self._now + step)].said
            self._last = (page, f"{said}, {'undone' if step < 0 else 'made again'}")
            self._now += step
            self._changes += 1
            return self.news()

    def _look(self) -> bool:
        """Read the file; what has come from outside is a step. Whether there was any."""
        text = self._read()
        if text == self._text:
            return False
        self._push(Version(text, "", "changed outside the page"))
        return True

    def _step(self, version: Version) -> None:
        self._keep_the_first()
        self._write(version.text)
        self._push(version)

    def _push(self, version: Version) -> None:
        del self._versions[self._now + 1 :]
        self._versions.append(version)
        self._now += 1
        self._changes += 1
        self._last = (version.by, version.said)
        self._seen[name_of(version.text)] = version.text

    def _keep_the_first(self) -> None:
        """Keep the text before the first edit beside the file, until all ends in peace."""
        if self._kept is not None:
            return
        number = 1
        while True:
            mark = KEPT if number == 1 else f"{KEPT}-{number}"
            path = self._path.with_name(f"{self._path.name}{mark}")
            if not os.path.lexists(path):
                break
            number += 1
        write_whole(path, self._text.encode())
        self._kept = path

    def _read(self) -> str:
        try:
            if self._given.resolve() != self._path:
                raise UseError(f"{self._given} leads to another file now; open it again")
            return self._path.read_bytes().decode()
        except OSError as error:
            raise UseError(
                f"{self._given}: {(error.strerror or 'cannot be read').lower()}"
            ) from None
        except UnicodeDecodeError:
            raise UseError(f"{self._given}: is not UTF-8 text; save it as UTF-8") from None

    def _write(self, text: str) -> None:
        """Write the file, whole or not at all, with the rights that it had."""
        if not os.access(self._path, os.W_OK):
            raise UseError(f"{self._given}: may not be written; nothing is changed")
        rights = stat.S_IMODE(self._path.stat().st_mode)
        with whole_file(self._path) as part:
            with part.open("wb") as file:
                file.write(text.encode())
                file.flush()
                os.fsync(file.fileno())
            os.chmod(part, rights)
            if self._read() != self._text:  # saved by an editor in the last few milliseconds
                raise UseError("the file has just been changed outside the page; try again")


def said(edits: Sequence[Edit]) -> str:
    """What edits do, in a few words."""
    first = edits[0].summary()
    return first if len(edits) == 1 else f"{first} and {len(edits) - 1} more"


def _must_still_be_there(edit: Edit, before: str, now: str) -> None:
    """UseError if what an edit changes was there when it was asked for, and is no more."""
    for path in edit.places():
        if _has(before, path) and not _has(now, path):
            raise UseError(f"{dotted(path)} is gone: another page or an editor has taken it away")


def _has(text: str, path: tuple[str, ...]) -> bool:
    try:
        return find(text, spans(text), path) is not None
    except ValueError:
        return False
