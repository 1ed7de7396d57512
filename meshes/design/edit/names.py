"""Where a design names its pieces, and what stands on what."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import count
from typing import Any

from meshes.named import RESERVED

from .spans import loaded, spans
from .splice import EditError, Path, find, spliced, written, written_key

_COPY = r"(?:-\d+|-\*)?(?:-mirrored)?"


@dataclass(frozen=True)
class Reference:
    """A text of the file that names a piece.

    Parameters
    ----------
    path : where it stands.
    piece : the piece of the file that it means, also by a copy of it.
    tail : what follows that name: the number of a copy, then a crease or facet.
    """

    path: Path
    piece: str
    tail: str

    @property
    def by(self) -> str | None:
        """The piece that could not be without the other; None for a shot of the film plan."""
        return self.path[1] if self.path[0] == "pieces" else None


def tables_of(text: str) -> dict[str, Any]:
    """The tables of a text."""
    return loaded(text)


def pieces_of(text: str) -> dict[str, Any]:
    """The tables of the pieces by name."""
    return _table(tables_of(text).get("pieces"))


def references(tables: Mapping[str, Any], known: Iterable[str] | None = None) -> list[Reference]:
    """Every place where a piece is named.

    Parameters
    ----------
    known : names of the pieces, where the tables hold a part of the file only.
    """
    pieces = _table(tables.get("pieces"))
    names = list(pieces if known is None else known)
    found = []
    for path, text in _naming(pieces, _table(tables.get("shots"))):
        host = text.partition(".")[0]
        piece = meant(host, names)
        if piece is not None:
            found.append(Reference(path, piece, text[len(piece) :]))
    return found


def _naming(pieces: Mapping[str, Any], shots: Mapping[str, Any]) -> Iterator[tuple[Path, str]]:
    """Paths and texts of all keys that name a piece."""
    for name, table in pieces.items():
        table = _table(table)
        for key in ("on", "after"):
            if isinstance(table.get(key), str):
                yield ("pieces", name, key), table[key]
        for letter, place in _table(table.get("places")).items():
            if isinstance(_table(place).get("on"), str):
                yield ("pieces", name, "places", letter, "on"), place["on"]
    for name, shot in shots.items():
        if isinstance(_table(shot).get("piece"), str):
            yield ("shots", name, "piece"), shot["piece"]


def meant(host: str, names: list[str]) -> str | None:
    """The piece of the file that a name means: its own, or that of one of its copies."""
    if host in names or host in RESERVED:
        return host if host in names else None
    copies = [name for name in names if re.fullmatch(re.escape(name) + _COPY, host)]
    return max(copies, key=len, default=None)


def standing_on(text: str, pieces: Iterable[str]) -> tuple[str, ...]:
    """These pieces and all that could not be without them, in the order of the file."""
    tables = tables_of(text)
    gone = set(pieces)
    found = references(tables)
    while True:
        more = {one.by for one in found if one.by is not None and one.piece in gone} - gone
        if not more:
            return tuple(name for name in _table(tables.get("pieces")) if name in gone)
        gone |= more


def renamed(text: str, names: Mapping[str, str], known: Iterable[str] | None = None) -> str:
    """The text with pieces under other names, wherever they are named.

    Parameters
    ----------
    known : see :func:`references`.
    """
    root = spans(text)
    tables = loaded(text)
    changes = []
    for one in references(tables, known):
        node = find(text, root, one.path)
        if one.piece in names and node is not None and node.span is not None:
            old = text[slice(*node.span)]
            changes.append((node.span, written(names[one.piece] + one.tail, old)))
    for piece, name in names.items():
        node = find(text, root, ("pieces", piece))
        keys = node.keys if node is not None else []
        changes += [(span, written_key(name)) for span in keys]
    return spliced(text, changes)


def a_free_name(like: str, pieces: Mapping[str, Any], taken: Iterable[str] = ()) -> str:
    """A name for another piece like this one, which no piece and no copy of one has yet.

    Parameters
    ----------
    pieces : the tables of all pieces by name.
    taken : names that are about to be given.
    """
    stem = re.sub(r"-\d+$", "", like)
    repeated = [name for name, table in pieces.items() if "repeat" in _table(table)]
    if meant(f"{stem}-2", repeated) is not None:  # `fern-2` would be a copy of `fern`
        stem = f"{stem}-copy"
    known = {*pieces, *taken}
    return next(name for k in count(2) if (name := f"{stem}-{k}") not in known)


def name_like(like: str, pieces: Mapping[str, Any]) -> str:
    """The name itself, or a free one like it if a piece has it already."""
    return a_free_name(like, pieces) if like in pieces else like


def must_be_pieces(pieces: Mapping[str, Any], names: Iterable[str]) -> None:
    """Raise EditError for a name that no piece has."""
    from meshes.design.mistakes import nearest

    for name in names:
        if name not in pieces:
            near = nearest(name, pieces)
            raise EditError(f"there is no piece {name}" + (f"; try: {near}" if near else ""))


def _table(value: Any) -> dict[str, Any]:
    return value if isinstance(value, dict) else {}
