"""Random things from the paper drawer at random places, judged by the check of the whole design."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from shapely.geometry import Point

from meshes import spread
from meshes.check import case_of, report
from meshes.spread import Spread
from preview.errors import UseError
from preview.viewer.drawer import Drawer, Dropped, beside
from preview.viewer.stock import stock


@dataclass(frozen=True)
class Drop:
    """What came of laying a thing of the drawer somewhere.

    Parameters
    ----------
    refused : the reason; empty if it was laid down.
    new : problems that the whole design has then and had not before.
    """

    kind: str
    where: str
    refused: str = ""
    new: tuple[str, ...] = ()


def problems(made: Spread) -> dict[tuple[str, ...], str]:
    """What the check finds, by question and what is concerned."""
    found = report(case_of(made), made.design.check, trims=False)
    return {
        (answer.question, one.piece, *sorted(one.parts)): one.text
        for answer in found.answers
        for one in answer.findings
        if one.severity == "problem"
    }


def dropped(file: Path, kinds: list[str], random: np.random.Generator) -> list[Drop]:
    """Lay each kind somewhere on a design, one at a time, and check all of it each time."""
    text, made = file.read_text(), spread.read(file)
    before = problems(made)
    found = []
    for kind in kinds:
        facet, place = somewhere(made, random)
        asked = Dropped(made="", kind=kind, facet=facet, place=place)
        where = f"{facet} {place[0]:.0f} {place[1]:.0f}"
        try:
            edit = Drawer().added(text, made, asked)
        except UseError as error:
            found.append(Drop(kind, where, refused=str(error)))
            continue
        with beside(kind, made):
            after = problems(spread.read(file, text=edit.apply(text)))
        new = tuple(said for key, said in after.items() if key not in before)
        found.append(Drop(kind, where, new=new))
    return found


def somewhere(made: Spread, random: np.random.Generator) -> tuple[str, tuple[float, float]]:
    """A random point of a random facet, on a page as often as on a piece."""
    facets = [(f"{s.piece}.{f.name}", f.polygon) for s in made.sheets for f in s.facets]
    pages, others = facets[:2], facets[2:] or facets
    chosen = pages if random.random() < 0.5 else others
    name, polygon = chosen[int(random.integers(len(chosen)))]
    x0, y0, x1, y1 = polygon.bounds
    while True:
        point = float(random.uniform(x0, x1)), float(random.uniform(y0, y1))
        if polygon.contains(Point(point)):
            return name, point


def every_kind() -> list[str]:
    """All that lies in the drawer."""
    return list(stock())
