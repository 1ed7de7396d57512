"""Edits of whole pieces: added, taken away, doubled, mirrored, renamed, stood somewhere else."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import Field, JsonValue

from meshes.named import MOST_PIECES, PIECE_NAME, RESERVED

from .edits import EditBase, Key
from .names import (
    meant,
    must_be_pieces,
    pieces_of,
    references,
    renamed,
    standing_on,
    tables_of,
)
from .spans import spans
from .splice import (
    EditError,
    appended,
    as_lines,
    extent,
    find,
    inserted,
    value_of,
    with_value,
    without,
    written_key,
)

_NAMED = "letters, digits, - and _, a letter first"
_NEGATED = re.compile(r"-\((-?)(\d+(?:\.\d*)?)\)")
_PLACE = ("at", "x", "y")

Names = Annotated[dict[Key, Key], Field(min_length=1, max_length=MOST_PIECES)]


class AddPiece(EditBase):
    """Add a piece after the last one."""

    edit: Literal["add"] = "add"
    name: Key
    table: dict[Key, JsonValue]

    def summary(self) -> str:
        """See :class:`EditBase`."""
        return f"{self.name} added"

    def places(self) -> tuple[tuple[str, ...], ...]:
        """See :class:`EditBase`."""
        return ()

    def apply(self, text: str) -> str:
        """See :class:`EditBase`."""
        _must_be_free(text, [self.name])
        return _after(text, "pieces", self.name, self.table)


class AddPaper(EditBase):
    """Add a paper after the last one."""

    edit: Literal["add-paper"] = "add-paper"
    name: Key
    table: dict[Key, JsonValue]

    def summary(self) -> str:
        """See :class:`EditBase`."""
        return f"the paper {self.name} added"

    def places(self) -> tuple[tuple[str, ...], ...]:
        """See :class:`EditBase`."""
        return ()

    def apply(self, text: str) -> str:
        """See :class:`EditBase`."""
        if not PIECE_NAME.fullmatch(self.name):
            raise EditError(f"{self.name} is not a name for a paper: {_NAMED}")
        if find(text, spans(text), ("papers", self.name)) is not None:
            raise EditError(f"there is a paper {self.name} already")
        return _after(text, "papers", self.name, self.table)


class TakeAway(EditBase):
    """Take pieces away. All that stands on them must be named too, so that nobody is surprised."""

    edit: Literal["take-away"] = "take-away"
    pieces: Annotated[list[Key], Field(min_length=1, max_length=MOST_PIECES)]

    def summary(self) -> str:
        """See :class:`EditBase`."""
        return f"{', '.join(self.pieces)} taken away"

    def places(self) -> tuple[tuple[str, ...], ...]:
        """See :class:`EditBase`."""
        return tuple(("pieces", one) for one in self.pieces)

    def apply(self, text: str) -> str:
        """See :class:`EditBase`."""
        must_be_pieces(pieces_of(text), self.pieces)
        left = [name for name in standing_on(text, self.pieces) if name not in self.pieces]
        if left:
            raise EditError(f"{', '.join(left)} would have nothing to stand on; take it away too")
        gone = [one for one in references(tables_of(text)) if one.piece in self.pieces]
        for one in gone:
            if one.by is None:
                text = without(text, one.path)
        for name in dict.fromkeys(self.pieces):
            text = without(text, ("pieces", name))
        return text


class Double(EditBase):
    """Make copies of pieces under other names; among themselves they stand as the first do."""

    edit: Literal["double"] = "double"
    names: Names

    def summary(self) -> str:
        """See :class:`EditBase`."""
        return f"{', '.join(self.names)} doubled"

    def places(self) -> tuple[tuple[str, ...], ...]:
        """See :class:`EditBase`."""
        return tuple(("pieces", one) for one in self.names)

    def apply(self, text: str) -> str:
        """See :class:`EditBase`."""
        return _copied(text, self.names)


class Mirror(EditBase):
    """Make mirrored copies of pieces: on the other page, or on the other half of what they are on.

    What stands on a piece is mirrored with it if it is named too.
    """

    edit: Literal["mirror"] = "mirror"
    names: Names

    def summary(self) -> str:
        """See :class:`EditBase`."""
        return f"{', '.join(self.names)} mirrored"

    def places(self) -> tuple[tuple[str, ...], ...]:
        """See :class:`EditBase`."""
        return tuple(("pieces", one) for one in self.names)

    def apply(self, text: str) -> str:
        """See :class:`EditBase`."""
        copied = _copied(text, self.names)
        pieces = pieces_of(copied)
        for old, new in self.names.items():
            before = pieces[new]
            after = mirror_image(pieces[old], self.names, pieces)
            if all(after.get(key) == pieces[old].get(key) for key in ("on", "x")):
                raise EditError(f"{old} would be mirrored onto itself: it stands in the middle")
            for key in before.keys() - after.keys():
                copied = without(copied, ("pieces", new, key))
            for key, value in after.items():
                copied = with_value(copied, ("pieces", new, key), value)
        return copied


class Rename(EditBase):
    """Give a piece another name; whatever names it follows."""

    edit: Literal["rename"] = "rename"
    piece: Key
    name: Key

    def summary(self) -> str:
        """See :class:`EditBase`."""
        return f"{self.piece} renamed {self.name}"

    def places(self) -> tuple[tuple[str, ...], ...]:
        """See :class:`EditBase`."""
        return (("pieces", self.piece),)

    def apply(self, text: str) -> str:
        """See :class:`EditBase`."""
        must_be_pieces(pieces_of(text), [self.piece])
        if self.name == self.piece:
            return text
        _must_be_free(text, [self.name])
        return renamed(text, {self.piece: self.name})


class GiveHost(EditBase):
    """Stand a piece on another crease or facet.

    Parameters
    ----------
    place : its `at`, or its `x` and `y`, there; those left out are its middle.
    """

    edit: Literal["stand"] = "stand"
    piece: Key
    on: Key
    place: dict[Literal["at", "x", "y"], int | float | str] = Field(default_factory=dict)

    def summary(self) -> str:
        """See :class:`EditBase`."""
        return f"{self.piece} stood on {self.on}"

    def places(self) -> tuple[tuple[str, ...], ...]:
        """See :class:`EditBase`."""
        return (("pieces", self.piece),)

    def apply(self, text: str) -> str:
        """See :class:`EditBase`."""
        pieces = pieces_of(text)
        must_be_pieces(pieces, [self.piece])
        text = with_value(text, ("pieces", self.piece, "on"), self.on)
        for key in _PLACE:
            if key in self.place:
                text = with_value(text, ("pieces", self.piece, key), self.place[key])
            elif key in pieces[self.piece]:
                text = without(text, ("pieces", self.piece, key))
        return text


def _must_be_free(text: str, names: list[str]) -> None:
    pieces = pieces_of(text)
    for k, name in enumerate(names):
        if not PIECE_NAME.fullmatch(name) or name in RESERVED:
            raise EditError(f"{name} is not a name for a piece: {_NAMED}")
        if name in pieces or name in names[:k]:
            raise EditError(f"there is a piece {name} already")


def _after(text: str, group: str, name: str, table: Mapping[str, Any], block: str = "") -> str:
    """The text with the lines of a piece or paper after those of the last one.

    Parameters
    ----------
    group : the table that holds all of them.
    block : the lines, if they are written already.
    """
    block = block or as_lines(f"[{group}.{written_key(name)}]", table)
    root = spans(text)
    known = root.children.get(group)
    if known is None:
        return appended(text, block)
    if known.span is not None:
        return with_value(text, (group,), {**value_of(text, known), name: dict(table)})
    ends = [end for child in known.children.values() for _, end in extent(text, child)]
    place = max(ends or [section[1] for section in known.sections])
    if not text[place:].strip():
        return appended(text, block)
    gap = "" if re.search(r"\n[ \t]*\r?\n$", text[:place]) else "\n"
    return inserted(text, place, f"{gap}{block}\n")


def _copied(text: str, names: Mapping[str, str]) -> str:
    """The text with copies of pieces after the last of them, under their new names."""
    pieces = pieces_of(text)
    must_be_pieces(pieces, names)
    _must_be_free(text, list(names.values()))
    for old, new in names.items():
        block = _block(text, old)
        if block is None:
            text = _after(text, "pieces", new, pieces[old])
        else:
            text = _after(text, "pieces", new, pieces[old], renamed(block, {old: new}, []))
    for one in references(tables_of(text)):
        if one.by in names.values() and one.piece in names:
            text = with_value(text, one.path, names[one.piece] + one.tail)
    return text


def _block(text: str, piece: str) -> str | None:
    """The lines of a piece that has a header of its own, without the comments above it."""
    node = find(text, spans(text), ("pieces", piece))
    if node is None or node.kind != "table" or not node.sections:
        return None
    parts = []
    for start, end in extent(text, node):
        first = min(s for _, n in node.walk() for s, _ in [*n.sections, *n.lines] if s >= start)
        parts.append(text[first:end].rstrip())
    return "\n\n".join(parts).replace("\r\n", "\n")


def mirror_image(
    table: Mapping[str, Any], names: Mapping[str, str], pieces: Mapping[str, Any]
) -> dict[str, Any]:
    """The table of a piece as it is on the other side."""
    from meshes.design.repeat import mirrored

    image = {key: _plain(value) for key, value in mirrored(dict(table)).items()}
    host, dot, part = str(image.get("on", "")).partition(".")
    whole = host.removesuffix("-mirrored")
    if host != whole:
        image["on"] = f"{_other_host(whole, names, pieces)}{dot}{part}"
    return image


def _other_host(host: str, names: Mapping[str, str], pieces: Mapping[str, Any]) -> str:
    """The piece that the mirror image of what stands on a piece stands on."""
    piece = meant(host, list(pieces))
    if piece is not None and piece in names:
        return names[piece] + host[len(piece) :]
    if host.endswith("-mirrored"):
        return host.removesuffix("-mirrored")
    repeat = pieces.get(piece or "", {}).get("repeat")
    twin = isinstance(repeat, dict) and repeat.get("both_pages") is True
    return f"{host}-mirrored" if twin else host


def _plain(value: Any) -> Any:
    """A negated number as a number, also in tables and lists."""
    if isinstance(value, dict):
        return {key: _plain(one) for key, one in value.items()}
    if isinstance(value, list):
        return [_plain(one) for one in value]
    found = _NEGATED.fullmatch(value) if isinstance(value, str) else None
    if found is None:
        return value
    number = float(found[2]) if found[1] else -float(found[2])
    return number + 0.0
