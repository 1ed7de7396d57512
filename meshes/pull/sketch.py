"""A design as its tables, of which some pieces can be built again with one number changed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path as FilePath
from typing import Any

from meshes.design import repeat
from meshes.design.read import drafted
from meshes.errors import DesignError
from meshes.measure import Units
from meshes.motion.loops.blocks import adrift, components
from meshes.named import RESERVED
from meshes.pieces.piece import Piece
from meshes.spread import Spread, build

from .numbers import Number, Path, numbers_of, replaced, used_by

# Tables that move no paper.
_LEFT_OUT = ("pieces", "shots", "check", "title")


@dataclass(frozen=True)
class Sketch:
    """A design that a hand can pull at.

    Parameters
    ----------
    tables : of its file, as TOML has them.
    spread : what they make.
    """

    tables: Mapping[str, Any]
    spread: Spread

    @property
    def file(self) -> str:
        """The name under which it was read."""
        return self.spread.design.file

    @cached_property
    def units(self) -> Units:
        """What its numbers mean."""
        design = self.spread.design
        return Units(design.units, design.values, FilePath(design.file).parent)

    @cached_property
    def makers(self) -> dict[str, str]:
        """For each piece the table that makes it: its own, or that of which it is a copy."""
        found: dict[str, str] = {}
        for name, table in self.tables["pieces"].items():
            if "repeat" in table:
                copies, _, _ = repeat.expand({name: table}, self.units, self.file)
                found |= dict.fromkeys(copies, name)
            else:
                found[name] = name
        return found

    def numbers(self, piece: str) -> list[Number]:
        """The numbers of a piece, then those of what it stands on, hosts nearest first."""
        found: dict[Path, Number] = {}
        for name in [piece, *self.hosts(piece)]:
            for number in numbers_of(self.tables, self.makers[name], self.units):
                found.setdefault(number.path, number)
        return list(found.values())

    def changed_by(self, number: Number) -> frozenset[str]:
        """Pieces that are made anew when a number changes, without what stands on them."""
        head, name = number.path[:2]
        makers = used_by(self.tables, str(name)) if head == "values" else [str(name)]
        return frozenset(piece for piece, maker in self.makers.items() if maker in makers)

    def hosts(self, piece: str) -> list[str]:
        """All that a piece stands on, directly or not, nearest first."""
        pieces = self.spread.design.pieces
        return carrying(pieces, [pieces[piece]])

    def standing_on(self, names: Iterable[str]) -> frozenset[str]:
        """Some pieces and all that stands on them, directly or not."""
        pieces, found = self.spread.design.pieces, set(names)
        while more := {
            name
            for name, piece in pieces.items()
            if name not in found and not found.isdisjoint(_hosts_of(piece))
        }:
            found |= more
        return frozenset(found)

    def moving_with(self, names: Iterable[str]) -> frozenset[str]:
        """Some pieces and all without which they can't be built or posed."""
        pieces = self.spread.design.pieces
        found, wide = set(names) | self._leaves, set[str]()
        while found != wide:
            wide = set(found)
            found |= set(carrying(pieces, [pieces[name] for name in found]))
            for together in self._together:
                if not found.isdisjoint(together):
                    found |= together
        return frozenset(found)

    @cached_property
    def _leaves(self) -> frozenset[str]:
        """Flyleaves, which part the opening for all."""
        drives = self.spread.linkage.drives
        return frozenset(drive.name for drive in drives if drive.kind == "flyleaf")

    @cached_property
    def _together(self) -> tuple[frozenset[str], ...]:
        """Pieces whose folds hang together other than through pages."""
        linkage = self.spread.linkage
        known = frozenset([0, 1, *adrift(linkage, frozenset((0, 1)))])
        return tuple(
            frozenset(linkage.hinges[k].piece for k in hinges) - {*RESERVED}
            for hinges in components(linkage, known)
        )

    def part(self, names: frozenset[str], changes: Mapping[Path, float] | None = None) -> Spread:
        """A spread of some of the pieces alone, hosts among them, perhaps with numbers changed.

        Raises
        ------
        DesignError
            If the numbers make no sheets.
        """
        tables: Mapping[str, Any] = self.tables
        for path, value in (changes or {}).items():
            tables = replaced(tables, path, value)
        makers = {self.makers[name] for name in names}
        ground = {key: table for key, table in tables.items() if key not in _LEFT_OUT}
        pieces = {name: table for name, table in tables["pieces"].items() if name in makers}
        found = drafted({**ground, "pieces": pieces}, self.file)
        if found.mistakes:
            raise DesignError(found.mistakes)
        known = self.spread.design.pieces
        wanted = {
            name: _plain(piece, known[name])
            for name, piece in found.design.pieces.items()
            if name in names
        }
        return build(replace(found.design, pieces=wanted), self.spread)


def carrying(pieces: Mapping[str, Piece], carried: Iterable[Piece]) -> list[str]:
    """All that some pieces stand on, directly or not, nearest first."""
    waiting, found = list(carried), dict[str, None]()
    while waiting:
        for host in _hosts_of(waiting.pop(0)):
            if host not in found:
                found[host] = None
                waiting.append(pieces[host])
    return list(found)


def _hosts_of(piece: Piece) -> list[str]:
    return [name for host in piece.hosts if (name := host.partition(".")[0]) not in RESERVED]


def _plain(piece: Piece, known: Piece) -> Piece:
    """The piece as it was, or plain and flat: what is printed takes long and moves nothing."""
    if piece == known:
        return known
    return piece.model_copy(update={"images": [], "lettering": [], "curl": []})
