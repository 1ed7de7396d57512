"""Tables of variants: one design, many values, a row of the catalog for each."""

from __future__ import annotations

import csv
import io
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from meshes.errors import DesignError, Mistake

Values = Mapping[str, float | str]
MOST_ROWS = 100_000


@dataclass(frozen=True)
class Table:
    """The variants of one design.

    Parameters
    ----------
    design : the design file.
    rows : name of the variant to its values.
    """

    design: Path
    rows: Mapping[str, Values]


def read(path: Path, design: Path) -> Table:
    """Read a table of variants.

    A CSV file has a heading with ``name`` and the keys of values, and one line for each variant; a
    TOML file has one table for each variant, named after it.

    Raises
    ------
    DesignError
        With one line for each mistake in the table.
    OSError
        If the file cannot be read.
    """
    try:
        text = path.read_text("utf-8-sig")
        found = _from_toml(text) if path.suffix.lower() == ".toml" else _from_csv(text)
    except (UnicodeDecodeError, tomllib.TOMLDecodeError, csv.Error) as error:
        raise DesignError([Mistake(str(path), f"is not a table of variants: {error}")]) from None
    mistakes = [Mistake(str(path), problem) for problem in _problems(found)]
    if mistakes:
        raise DesignError(mistakes)
    return Table(design, {name: values for name, values in found})


def _from_csv(text: str) -> list[tuple[str, Values]]:
    lines = csv.DictReader(io.StringIO(text), strict=True)
    if not lines.fieldnames or "name" not in lines.fieldnames:
        raise csv.Error(f"the heading lacks a column 'name', found {lines.fieldnames or 'nothing'}")
    found: list[tuple[str, Values]] = []
    for line in lines:
        if None in line or None in line.values():
            raise csv.Error(f"line {lines.line_num} does not have as many cells as the heading")
        cells = {key: cell for key, cell in line.items() if key != "name" and cell}
        found.append((line["name"], cells))
    return found


def _from_toml(text: str) -> list[tuple[str, Values]]:
    data = tomllib.loads(text)
    return [(name, row if isinstance(row, dict) else {"": ""}) for name, row in data.items()]


def _problems(rows: list[tuple[str, Values]]) -> list[str]:
    """One line for each thing that is wrong with the rows."""
    if not rows:
        return ["has no variants; try: add a line for each of them"]
    if len(rows) > MOST_ROWS:
        return [f"has {len(rows)} variants; allowed: up to {MOST_ROWS}"]
    problems, seen = [], set()
    for name, values in rows:
        if not re.fullmatch(r"[\w][\w .-]{0,79}", name):
            problems.append(f"variant {name!r}: allowed in names: letters, digits, space . _ -")
        if name in seen:
            problems.append(f"variant {name!r} appears twice; try: another name for one of them")
        if "" in values or any(isinstance(v, dict | list) for v in values.values()):
            problems.append(f"variant {name!r} is not a list of values; try: petals = 8")
        seen.add(name)
    return problems
