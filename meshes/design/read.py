"""From the tables of a file to a checked design."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from os import PathLike, fspath
from pathlib import Path
from typing import Any, Literal

from pydantic import BaseModel, ValidationError

from meshes.check.limits import Limits
from meshes.errors import DesignError, Mistake
from meshes.measure import MM_PER_UNIT, Units, shown
from meshes.named import MOST_PIECES, PIECE_NAME, RESERVED
from meshes.pieces import KINDS
from meshes.pieces.piece import Piece
from meshes.sheet import Paper

from . import repeat, toml, values
from .mistakes import from_pydantic, listed, nearest
from .model import PAPERS, Design, PaperSettings, SpreadSettings
from .shots import ShotSettings

TOP = ("title", "units", "spread", "papers", "values", "pieces", "check", "shots")


@dataclass(frozen=True)
class Standing:
    """What is known of a piece that has a mistake: what it should stand on."""

    what: Literal["crease", "facet"]
    on: str


@dataclass(frozen=True)
class Draft:
    """A design as far as it can be read.

    Parameters
    ----------
    mistakes : all that is wrong; the pieces that have one are left out of the design.
    broken : their names.
    standing : for those that say so, what they stand on, which may be wrong as well.
    """

    design: Design
    mistakes: tuple[Mistake, ...]
    broken: frozenset[str]
    standing: Mapping[str, Standing]


def read(
    path: str | PathLike[str], overrides: Mapping[str, values.Setting] | None = None
) -> Design:
    """Read and check a design file.

    Parameters
    ----------
    overrides : what to use instead of the file's values: a name in ``[values]``, or a path such
        as ``pieces.fern.at``.

    Raises
    ------
    DesignError
        With every mistake in the file, one line each.
    """
    found = draft(path, overrides)
    if found.mistakes:
        raise DesignError(found.mistakes)
    return found.design


def draft(
    path: str | PathLike[str],
    overrides: Mapping[str, values.Setting] | None = None,
    text: str | None = None,
    *,
    blank: bool = False,
) -> Draft:
    """Read a design file as far as possible; DesignError if it is no TOML at all.

    Parameters
    ----------
    text : what to read instead of what the file holds now.
    blank : that a design has no pieces yet is no mistake.
    """
    file = fspath(path)
    tables, names, mistakes = values.apply(toml.load(Path(path), file, text), overrides or {}, file)
    reader = _Reader(file, mistakes, blank)
    return reader.draft(tables, names)


def drafted(tables: dict[str, Any], file: str) -> Draft:
    """Read a design from its tables, as :func:`draft` does from its file."""
    return _Reader(file, []).draft(tables, {})


def _standing(tables: Mapping[str, Any]) -> dict[str, Standing]:
    """What pieces say that they stand on, as far as it can be understood."""
    found = {}
    for name, table in tables.items():
        on = table.get("on") if isinstance(table, dict) else None
        kind = table.get("kind") if isinstance(table, dict) else None
        if isinstance(on, str) and isinstance(kind, str) and kind in KINDS:
            found[name] = Standing(KINDS[kind].stands_on, on)
    return dict(sorted(found.items()))


class _Reader:
    """Collects mistakes on the way through the tables."""

    def __init__(self, file: str, mistakes: list[Mistake], blank: bool = False) -> None:
        self.file, self.mistakes, self.blank = file, mistakes, blank
        self.units = Units()

    def draft(self, tables: dict[str, Any], names: Mapping[str, values.Setting]) -> Draft:
        self._check_top(tables)
        unit = self._unit(tables.get("units", "mm"))
        numbers, wrong = values.resolve(tables.get("values", {}), unit, self.file, names)
        self.mistakes += wrong
        self.units = Units(unit, numbers, Path(self.file).parent)
        title = tables.get("title", Path(self.file).stem)
        if not isinstance(title, str):
            self._wrong("should be text", key="title", found=shown(title))
            title = ""
        spread = self._model(SpreadSettings, self._table(tables, "spread"), "", "spread")
        papers = self._papers(self._table(tables, "papers"))
        piece_tables = self._table(tables, "pieces")
        copies, wrong, unrepeated = repeat.expand(piece_tables, self.units, self.file)
        self.mistakes += wrong
        pieces, broken = self._pieces(copies, papers)
        broken |= unrepeated
        check = self._model(Limits, self._table(tables, "check"), "", "check") or Limits()
        if not tables.get("pieces") and not self.blank:
            self._wrong("the design has no pieces", key="pieces", advice="a table [pieces.NAME]")
        settings = spread or SpreadSettings()
        shots = self._shots(self._table(tables, "shots"), copies)
        design = Design(self.file, title, unit, settings, papers, pieces, numbers, check, shots)
        standing = _standing({name: {**piece_tables, **copies}.get(name) for name in broken})
        return Draft(design, tuple(self.mistakes), frozenset(broken), standing)

    def _wrong(self, problem: str, piece: str = "", **rest: str) -> None:
        self.mistakes.append(Mistake(self.file, problem, piece, **rest))

    def _check_top(self, tables: dict[str, Any]) -> None:
        for key in tables:
            if key not in TOP:
                near = nearest(key, TOP)
                self._wrong("is not a known key", key=key, allowed=listed(TOP), advice=near)

    def _unit(self, unit: Any) -> str:
        if isinstance(unit, str) and unit in MM_PER_UNIT:
            return unit
        self._wrong(
            "is not a known unit", key="units", found=shown(unit), allowed=listed(MM_PER_UNIT)
        )
        return "mm"

    def _table(self, tables: dict[str, Any], key: str) -> dict[str, Any]:
        table = tables.get(key, {})
        if isinstance(table, dict):
            return table
        self._wrong("should be a table", key=key, found=shown(table), advice=f"[{key}]")
        return {}

    def _model(
        self, model: type[BaseModel], table: dict[str, Any], piece: str, prefix: str = ""
    ) -> Any:
        try:
            return model.model_validate(table, context=self.units)
        except ValidationError as error:
            self.mistakes += from_pydantic(error, model, self.file, piece, prefix)
        except RecursionError:
            self._wrong("is nested too deeply", piece, key=prefix)
        return None

    def _papers(self, tables: dict[str, Any]) -> dict[str, Paper]:
        papers = {name: settings.paper(name) for name, settings in PAPERS.items()}
        for name, table in tables.items():
            if not isinstance(table, dict):
                self._wrong("should be a table", key=f"papers.{name}", found=shown(table))
                continue
            # A known paper may be changed in part; a new one starts from nothing.
            known = PAPERS[name].model_dump(exclude_unset=True) if name in PAPERS else {}
            settings = self._model(PaperSettings, table, "", f"papers.{name}")
            if settings is not None:
                settings = PaperSettings.model_construct(
                    **{
                        **PaperSettings().model_dump(),
                        **known,
                        **settings.model_dump(exclude_unset=True),
                    }
                )
            papers[name] = (settings or PaperSettings()).paper(name)
        return papers

    def _shots(self, tables: dict[str, Any], pieces: Mapping[str, Any]) -> dict[str, ShotSettings]:
        shots: dict[str, ShotSettings] = {}
        for name, table in tables.items():
            key = f"shots.{name}"
            if not isinstance(table, dict):
                self._wrong("should be a table", key=key, found=shown(table))
                continue
            shot = self._model(ShotSettings, table, "", key)
            if shot is not None and shot.piece is not None and shot.piece not in pieces:
                near = nearest(shot.piece, pieces)
                found, known = shown(shot.piece), listed(pieces, 30)
                self._wrong(
                    "there is no such piece",
                    key=f"{key}.piece",
                    found=found,
                    allowed=known,
                    advice=near,
                )
            elif shot is not None:
                shots[name] = shot
        return shots

    def _pieces(
        self, tables: dict[str, Any], papers: Mapping[str, Paper]
    ) -> tuple[dict[str, Piece], set[str]]:
        pieces: dict[str, Piece] = {}
        if len(tables) > MOST_PIECES:
            self._wrong(f"there are more than {MOST_PIECES} pieces", key="pieces")
            return pieces, set(tables)
        for name, table in tables.items():
            piece = self._piece(name, table)
            if piece is not None and self._known_paper(name, piece, papers):
                pieces[name] = piece
        return pieces, set(tables) - set(pieces)

    def _piece(self, name: str, table: Any) -> Piece | None:
        if name in RESERVED or not PIECE_NAME.fullmatch(name):
            self._wrong(
                "is not a name for a piece",
                shown(name),
                allowed="letters, digits, - and _, a letter first; not page or gutter",
            )
            return None
        if not isinstance(table, dict):
            self._wrong("should be a table", name, found=shown(table), advice=f"[pieces.{name}]")
            return None
        kind = table.get("kind")
        if not isinstance(kind, str) or kind not in KINDS:
            problem = "is missing" if kind is None else "is not a known kind"
            near = nearest(str(kind), KINDS)
            found = "" if kind is None else shown(kind)
            self._wrong(
                problem, name, key="kind", found=found, allowed=listed(KINDS, 30), advice=near
            )
            return None
        piece = self._model(KINDS[kind], table, name)
        return piece if isinstance(piece, Piece) else None

    def _known_paper(self, name: str, piece: Piece, papers: Mapping[str, Paper]) -> bool:
        if piece.paper in papers:
            return True
        near = nearest(piece.paper, papers)
        self._wrong(
            "there is no such paper",
            name,
            key="paper",
            found=shown(piece.paper),
            allowed=listed(papers),
            advice=near,
        )
        return False
