"""The notebook and its papers as a form: size, cover, ruling, and every paper with its colours."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from meshes.design.edit.edits import units_of
from meshes.design.edit.names import tables_of
from meshes.design.model import PAPERS, PaperSettings, SpreadSettings
from meshes.design.read import drafted
from meshes.design.sizes import PAGES
from meshes.measure import MM_PER_UNIT, Units
from meshes.spread import Spread

from .values import colours_of, fields_of

Json = dict[str, Any]

# What the size of a page is given by; a page has it once.
_SIZE = ("page", "orientation", "width", "height")


def notebook(text: str, file: str, spread: Spread) -> Json:
    """The form of the notebook.

    Parameters
    ----------
    spread : of the text.

    Returns
    -------
    ``size``: ``page`` (empty if it has no name), ``orientation``, ``width``, ``height`` in the
    ``unit`` of the file, which of them are ``given``, and all ``names``; ``fields`` of the spread
    as of a piece; ``papers``, each with ``name``, ``front``, ``back``, whether it is her ``own``,
    which pieces it is ``used`` for, and its ``fields``; the ``colours`` of the design.
    """
    tables, units = tables_of(text), units_of(text)
    papers = list(_papers(tables, units, file, spread))
    given = tables.get("spread", {})
    given = given if isinstance(given, dict) else {}
    per_unit = MM_PER_UNIT[spread.design.units]
    page = spread.design.spread
    fields = [
        {**field, "key": field["path"][-1].replace("_", " ")}
        for field in fields_of(SpreadSettings, given, ("spread",), units)
        if field["path"][-1] not in _SIZE
    ]
    return {
        "size": {
            "page": str(given.get("page", "")),
            "orientation": given.get("orientation", "portrait"),
            "width": round(page.width / per_unit, 3),
            "height": round(page.height / per_unit, 3),
            "unit": units.length,
            "given": [key for key in _SIZE if key in given],
            "names": [name.upper() if len(name) <= 3 else name for name in _names()],
        },
        "fields": fields,
        "papers": papers,
        "colours": colours_of(tables),
    }


def _names() -> list[str]:
    """Sizes that are offered: those of a small card to those of a large drawing pad. Our choice."""
    return [name for name, size in PAGES.items() if min(size) >= 70 and max(size) <= 450]


def _papers(tables: Json, units: Units, file: str, spread: Spread) -> Iterator[Json]:
    """Her own papers, then those that are always there."""
    own = tables.get("papers", {})
    own = own if isinstance(own, dict) else {}
    design = drafted(tables, file).design
    used: dict[str, list[str]] = {}
    for name, piece in design.pieces.items():
        for kind in {v for k, v in piece if k.endswith("paper") and isinstance(v, str)}:
            used.setdefault(kind, []).append(name)
    for name in (*own, *(ready for ready in PAPERS if ready not in own)):
        if name not in spread.design.papers:
            continue
        paper = spread.design.papers[name]
        table = own.get(name, {})
        yield {
            "name": name,
            "own": name in own,
            "front": paper.front,
            "back": paper.back,
            "used": used.get(name, []),
            "fields": list(fields_of(PaperSettings, table, ("papers", name), units))
            if name in own
            else [],
        }
