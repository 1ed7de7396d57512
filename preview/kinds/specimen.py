"""The specimen of a kind of piece, and what is told about the kind beside it."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from meshes import designs, spread
from meshes.pieces import KINDS

_TOLD = Path(__file__).with_name("told.toml")


@dataclass(frozen=True)
class Stands:
    """Something that stands well on a kind of piece, and a table that was tried on the specimen."""

    says: str
    table: str


@dataclass(frozen=True)
class Wrong:
    """What goes wrong, as a change of the specimen and what the program says of it.

    Parameters
    ----------
    change : a path below the specimen's piece and its value, as in ``panel = 20``.
    finds : the kind of finding, or words of the mistake that reading the design tells.
    """

    says: str
    change: str
    finds: str


@dataclass(frozen=True, eq=False)
class Specimen:
    """A kind of piece as its sheet shows it.

    Parameters
    ----------
    piece : name of the piece of that kind in the specimen.
    text : of the specimen's file.
    says : what the kind is, for somebody who has never made one.
    """

    kind: str
    piece: str
    text: str
    spread: spread.Spread
    says: str
    stands: tuple[Stands, ...]
    wrong: tuple[Wrong, ...]

    @property
    def title(self) -> str:
        """What the kind is called."""
        return str(self.spread.design.title)

    @property
    def snippet(self) -> str:
        """What there is to paste."""
        return designs.snippet(self.kind)


@cache
def told() -> dict[str, dict[str, Any]]:
    """What is said about each kind, as its file has it."""
    return tomllib.loads(_TOLD.read_text(encoding="utf-8"))


def specimen(kind: str) -> Specimen:
    """The specimen of a kind; KeyError if there is no such kind."""
    path = designs.path(f"kinds/{kind}")
    assert kind in KINDS
    text = path.read_text(encoding="utf-8")
    read = spread.read(path)
    piece = next(name for name, one in read.design.pieces.items() if one.kind == kind)
    words = told()[kind]
    return Specimen(
        kind,
        piece,
        text,
        read,
        words["says"],
        tuple(Stands(row["says"], row.get("table", "")) for row in words["stands"]),
        tuple(Wrong(row["says"], row["change"], row["finds"]) for row in words["wrong"]),
    )
