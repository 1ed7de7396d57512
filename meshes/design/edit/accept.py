"""Edits from JSON, and the judge of their outcome: a text with mistakes is never accepted."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from os import PathLike
from typing import TYPE_CHECKING, Annotated

from pydantic import ConfigDict, Field, TypeAdapter, ValidationError

from .edits import Append, Clear, EditBase, NameValue, PartKey, SetValue
from .pieces import AddPaper, AddPiece, Double, GiveHost, Mirror, Rename, TakeAway
from .splice import EditError
from .twins import KeepTwin

if TYPE_CHECKING:
    from meshes.spread import Spread

MOST_AT_ONCE = 200  # our choice

Edit = (
    SetValue
    | Clear
    | Append
    | PartKey
    | NameValue
    | AddPiece
    | AddPaper
    | TakeAway
    | Double
    | Mirror
    | Rename
    | GiveHost
    | KeepTwin
)
_Edits = TypeAdapter(
    Annotated[
        list[Annotated[Edit, Field(discriminator="edit")]],
        Field(min_length=1, max_length=MOST_AT_ONCE),
    ],
    config=ConfigDict(defer_build=True),
)


@dataclass(frozen=True)
class Accepted:
    """A text that reads without a mistake, and the spread that it makes."""

    text: str
    spread: Spread


def edits_from_json(data: str | bytes) -> list[Edit]:
    """A list of edits that are made together.

    Raises
    ------
    EditError
        With the first thing that is wrong in it.
    """
    try:
        return _Edits.validate_json(data)
    except ValidationError as error:
        first = error.errors(include_url=False, include_input=False)[0]
        where = ".".join(str(part) for part in first["loc"])
        raise EditError(f"{where}: {first['msg']}" if where else str(first["msg"])) from None


def accepted(
    text: str,
    edits: EditBase | list[Edit],
    path: str | PathLike[str],
    before: Spread | None = None,
) -> Accepted:
    """Make edits and read what comes of them; a notebook without any piece will do.

    Parameters
    ----------
    path : of the design file, which is not touched; pictures and drawings lie beside it.
    before : the spread of the text as it was, so that only what has changed is built again.

    Raises
    ------
    EditError
        If an edit has no place in the text.
    DesignError
        With every mistake that the design would have then.
    """
    from meshes.spread import read

    for edit in edits if isinstance(edits, list) else [edits]:
        try:
            text = edit.apply(text)
        except tomllib.TOMLDecodeError as error:
            raise EditError(f"the file is no TOML at present: {error}") from None
    return Accepted(text, read(path, before=before, text=text, blank=True))
