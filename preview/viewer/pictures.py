"""What the page asks about pictures and lettering; each change is an edit that can be undone."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Protocol

from pydantic import BaseModel, ConfigDict

from meshes.design.edit import AddPiece, Clear, Edit, name_like
from meshes.design.edit.edits import units_of
from meshes.design.edit.names import tables_of
from meshes.pieces.piece import Piece
from meshes.spread import Spread
from preview.errors import UseError

from .asked import understood
from .beside import Beside, safe_stem
from .cutting import CutAlong, Laid, Silhouetted, added, cut, tried
from .drawer import in_units
from .prints import (
    Carried,
    Face,
    Gone,
    Moved,
    Name,
    Request,
    UnderHand,
    Written,
    carried,
    ground_of,
    label,
    lifted,
    moved,
    printed,
    rectangle,
    rewritten,
    taken_off,
    written,
)
from .server import Reply
from .tray import MOST_BYTES, Tray

Json = dict[str, Any]
# A picture laid on a page is so large beside it, and keeps so far from its edges. Our choice.
_SHARE_OF_PAGE, _FROM_EDGE_MM = 0.45, 4.0


class Printed(Request):
    """A picture of the tray is printed on the paper under the hand.

    Parameters
    ----------
    name : of the file as it was chosen.
    """

    picture: Name
    name: str = ""
    spot: UnderHand


class Lifted(BaseModel):
    """A print is about to be moved."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    piece: Name
    key: Name


class Changes(Protocol):
    """Who changes the file: the desk."""

    beside: Beside
    file: Path

    def change(
        self, asked: Request, edits: Callable[[str, Spread], Sequence[Edit]], words: str
    ) -> Json:
        """Make edits of the present text and its spread; the news."""

    def present(self) -> tuple[str, Spread]:
        """The text of the file as it is now, and its spread."""


class Pictures:
    """Brings pictures in, prints and moves them.

    Parameters
    ----------
    desk : changes the file.
    """

    def __init__(self, desk: Changes) -> None:
        self._desk, self._tray = desk, Tray()

    def answers(self) -> dict[str, Reply]:
        """What the page can ask for, by address."""
        return {
            "/picture": Reply(self._tray.bring, MOST_BYTES, "application/octet-stream"),
            "/picture/print": Reply(self.print),
            "/picture/edge": Reply(self.edge),
            "/picture/cut": Reply(self.cut),
            "/print/lift": Reply(self.lift),
            "/print/move": Reply(self.move),
            "/print/carry": Reply(self.carry),
            "/print/away": Reply(self.take_away),
            "/letter": Reply(self.letter),
        }

    def print(self, data: bytes) -> Json:
        """Print a picture where the hand lets it go; on a page, on a slip of paper of its own.

        Returns
        -------
        The news, and the ``piece`` and ``key`` of the print.
        """
        asked = understood(Printed, data)
        brought = self._tray.get(asked.picture)
        where: dict[str, str] = {}
        stem = safe_stem(asked.name, "picture")
        with self._copy(brought.data, brought.ending, stem) as file:

            def edits(text: str, spread: Spread) -> Sequence[Edit]:
                ground = ground_of(spread, asked.spot)
                if asked.spot.piece == "page":
                    slip = _on_page(text, spread, ground, file, brought.size)
                    where.update(piece=slip.name, key="images.1")
                    return [slip]
                _must_have_room(spread, asked.spot.piece, "images")
                number = len(spread.design.pieces[asked.spot.piece].images) + 1
                where.update(piece=asked.spot.piece, key=f"images.{number}")
                return [printed(text, ground, file, brought.size)]

            on = "a page" if asked.spot.piece == "page" else asked.spot.piece
            news = self._desk.change(asked, edits, f"{file} printed on {on}")
        return {**news, **where, "file": file}

    def edge(self, data: bytes) -> Json:
        """How a drawing would be cut out; see :func:`~preview.viewer.cutting.tried`."""
        asked = understood(CutAlong, data)
        return tried(self._tray.get(asked.picture), asked)

    def cut(self, data: bytes) -> Json:
        """Cut a drawing out, and lay it flat or stand it on a crease where the hand lets it go.

        Returns
        -------
        The news, and the ``piece`` and ``file`` of the cut-out.
        """
        asked = understood(Laid, data)
        brought = self._tray.get(asked.picture)
        whole, pixels = cut(brought, asked)
        stem = f"{safe_stem(asked.name, 'figure')}-cut-out"
        with self._copy(whole, ".png", stem) as file:
            figure = Silhouetted(file, pixels, asked.border)
            edit = added(*self._desk.present(), asked, figure, self._desk.file)
            news = self._desk.change(asked, lambda text, spread: [edit], f"{edit.name} cut out")
        return {**news, "piece": edit.name, "file": file}

    def lift(self, data: bytes) -> Json:
        """A print by itself, and its paper without it."""
        asked = understood(Lifted, data)
        return lifted(self._desk.present()[1], asked.piece, asked.key)

    def move(self, data: bytes) -> Json:
        """Move, turn and size a print; see :class:`~preview.viewer.prints.Moved`."""
        asked = understood(Moved, data)
        words = f"print on {asked.piece} moved"
        return self._desk.change(asked, lambda text, spread: moved(text, spread, asked), words)

    def carry(self, data: bytes) -> Json:
        """Carry a print to the paper under the hand; see :class:`~preview.viewer.prints.Carried`.

        Returns
        -------
        The news, and the ``piece`` and ``key`` that the print has then.
        """
        asked = understood(Carried, data)
        kind = asked.key.split(".")[0]
        where = {"piece": asked.spot.piece, "key": asked.key}

        def edits(text: str, spread: Spread) -> Sequence[Edit]:
            made = carried(text, spread, asked)
            if isinstance(made[0], Clear):  # it leaves its piece
                _must_have_room(spread, asked.spot.piece, kind)
                number = len(getattr(spread.design.pieces[asked.spot.piece], kind)) + 1
                where["key"] = f"{kind}.{number}"
            return made

        words = f"print of {asked.piece} carried to {asked.spot.piece}"
        return {**self._desk.change(asked, edits, words), **where}

    def take_away(self, data: bytes) -> Json:
        """Take a picture off its paper."""
        asked = understood(Gone, data)
        words = f"picture taken off {asked.piece}"
        return self._desk.change(asked, lambda text, spread: [taken_off(text, asked)], words)

    def letter(self, data: bytes) -> Json:
        """Write on the paper, or change what is written.

        Returns
        -------
        The news, and the ``piece`` and ``key`` of the words.
        """
        asked = understood(Written, data)
        where = {"piece": asked.piece, "key": asked.key}

        def edits(text: str, spread: Spread) -> Sequence[Edit]:
            if asked.spot is None:
                return [rewritten(text, asked)]
            words, piece = asked.text.strip(), asked.spot.piece
            if not words:
                raise UseError("nothing was typed")
            ground = ground_of(spread, asked.spot)
            if piece == "page":
                slip = label(text, spread, ground, words)
                where.update(piece=slip.name, key="lettering.1")
                return [slip]
            _must_have_room(spread, piece, "lettering")
            number = len(spread.design.pieces[piece].lettering) + 1
            where.update(piece=piece, key=f"lettering.{number}")
            return [written(text, ground, words)]

        shown = " ".join(asked.text.split())
        words = (
            f"“{shown[:30]}{'…' if len(shown) > 30 else ''}” written"
            if shown
            else "words taken away"
        )
        return {**self._desk.change(asked, edits, words), **where}

    @contextmanager
    def _copy(self, data: bytes, ending: str, stem: str) -> Iterator[str]:
        """A file beside the design; a new one goes again if what it is needed for fails."""
        beside = self._desk.beside
        file, new = beside.put(stem, ending, data)
        try:
            yield file
        except BaseException:
            if new:
                beside.take_back(file)
            raise


def _on_page(text: str, spread: Spread, ground: Face, file: str, size: tuple[int, int]) -> AddPiece:
    """A print of its own on a page, inside its edges."""
    left, low, right, top = ground.part.facet.polygon.bounds
    room = right - left - 2 * _FROM_EDGE_MM, top - low - 2 * _FROM_EDGE_MM
    width = min(_SHARE_OF_PAGE * room[0], _SHARE_OF_PAGE * room[1] * size[0] / size[1])
    width = max(1.0, round(width))
    height = max(1.0, round(width * size[1] / size[0]))
    half = width / 2 + _FROM_EDGE_MM, height / 2 + _FROM_EDGE_MM
    x = min(max(ground.place[0], left + half[0]), right - half[0])
    y = min(max(ground.place[1], low + half[1]), top - half[1])
    table = rectangle(Face(ground.part, (x, y), ground.side), width, height)
    table["images"] = [{"file": file, "width": width, "height": height}]
    pieces = tables_of(text).get("pieces", {})
    stem = safe_stem(file, "picture")
    stem = stem.lower() if stem.isascii() and stem[0].isalpha() else "picture"
    return AddPiece(name=name_like(stem, pieces), table=in_units(table, units_of(text).mm))


def _must_have_room(spread: Spread, piece: str, key: str) -> None:
    """UseError if a piece has as many prints as it may have."""
    most = next(item.max_length for item in Piece.model_fields[key].metadata)
    if piece in spread.design.pieces and len(getattr(spread.design.pieces[piece], key)) >= most:
        raise UseError(f"{piece} has {most} {key} already, and no more are allowed")
