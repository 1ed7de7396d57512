"""Pieces that are each other's mirror image: kept so by one table, or with a table each."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from .edits import EditBase, Key
from .names import must_be_pieces, pieces_of, references, tables_of
from .pieces import Mirror, mirror_image
from .splice import EditError, with_value, without

_TWIN = "-mirrored"


class KeepTwin(EditBase):
    """Keep a piece and its mirror image on the other page alike, or let them go their own ways.

    Kept, both are one table with ``repeat = { both_pages = true }``, and whatever is changed in it
    changes both. A separate twin that is the exact mirror image is taken into it; without one, a
    twin is made. Let go, the twin has a table of its own under the name that it had,
    ``NAME-mirrored``, so that all that stands on it stays.

    Parameters
    ----------
    twin : the separate piece that is the mirror image, if there is one.
    """

    edit: Literal["twin"] = "twin"
    piece: Key
    kept: bool
    twin: Key | None = None

    def summary(self) -> str:
        """See :class:`EditBase`."""
        return f"{self.piece} {'kept mirrored' if self.kept else 'parted from its twin'}"

    def places(self) -> tuple[tuple[str, ...], ...]:
        """See :class:`EditBase`."""
        return (("pieces", self.piece),)

    def apply(self, text: str) -> str:
        """See :class:`EditBase`."""
        pieces = pieces_of(text)
        must_be_pieces(pieces, [self.piece, *([self.twin] if self.twin else [])])
        return self._joined(text, pieces) if self.kept else self._parted(text, pieces)

    def _joined(self, text: str, pieces: Mapping[str, Any]) -> str:
        if self.twin is not None:
            if not _alike(pieces, self.piece, self.twin):
                raise EditError(f"{self.twin} is not the mirror image of {self.piece} any more")
            for one in references(tables_of(text)):
                if one.piece == self.twin:
                    text = with_value(text, one.path, f"{self.piece}{_TWIN}{one.tail}")
            text = without(text, ("pieces", self.twin))
        repeat = pieces[self.piece].get("repeat")
        if isinstance(repeat, dict):
            return with_value(text, ("pieces", self.piece, "repeat", "both_pages"), True)
        return with_value(text, ("pieces", self.piece, "repeat"), {"both_pages": True})

    def _parted(self, text: str, pieces: Mapping[str, Any]) -> str:
        repeat = pieces[self.piece].get("repeat")
        if not isinstance(repeat, dict) or repeat.get("both_pages") is not True:
            raise EditError(f"{self.piece} is not kept mirrored")
        if repeat.get("count", 1) != 1:
            raise EditError(f"{self.piece} has copies in a row, which can't go their own ways")
        text = without(text, ("pieces", self.piece, "repeat"))
        return Mirror(names={self.piece: f"{self.piece}{_TWIN}"}).apply(text)


def twin_of(pieces: Mapping[str, Any], piece: str) -> tuple[bool, str | None] | None:
    """Whether a piece is kept mirrored, and the separate piece that is its mirror image, if any.

    None for a piece that has no other side: across the gutter, or on what stands across it.
    """
    table = pieces[piece]
    repeat = table.get("repeat")
    if isinstance(repeat, dict) and repeat.get("both_pages") is True:
        return True, None
    image = mirror_image(table, {piece: piece}, pieces)
    if all(image.get(key) == table.get(key) for key in ("on", "x")) or repeat is not None:
        return None
    alike = [other for other in pieces if other != piece and _alike(pieces, piece, other)]
    return False, alike[0] if alike else None


def _alike(pieces: Mapping[str, Any], piece: str, other: str) -> bool:
    """Whether the table of one piece is exactly the mirror image of that of another."""
    image = mirror_image(pieces[piece], {piece: other}, pieces)
    return image.keys() == pieces[other].keys() and all(
        _same(image[key], pieces[other][key]) for key in image
    )


def _same(one: Any, two: Any) -> bool:
    if isinstance(one, dict) and isinstance(two, dict):
        return one.keys() == two.keys() and all(_same(one[k], two[k]) for k in one)
    if isinstance(one, list) and isinstance(two, list):
        return len(one) == len(two) and all(map(_same, one, two))
    return bool(one == two)
