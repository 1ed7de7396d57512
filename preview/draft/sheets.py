"""Drafting sheets of a design: each different piece once, with how many are cut of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from preview.pattern.template import Template
from preview.roles import counted, paper_called, role

from .alike import Alike, alike
from .draughtsman import drafted
from .figure import DraftDrawing, LetteredPlace


@dataclass(frozen=True)
class DraftSheet:
    """One drafting sheet.

    Parameters
    ----------
    number : from 1.
    numbers : of the pieces in the pattern and the guide that are cut by it.
    wanted : what is cut of it, in words.
    colours : sRGB of the printed side of what is cut, each once.
    missed : by how much its sentences miss the piece, mm.
    sides, places : what the finished picture says of sides and glue.
    """

    number: int
    title: str
    numbers: tuple[int, ...]
    wanted: str
    colours: tuple[str, ...]
    drawing: DraftDrawing
    missed: float
    size: tuple[float, float]
    sides: tuple[tuple[str, np.ndarray], ...]
    places: tuple[LetteredPlace, ...]


def draft_sheets(templates: Sequence[Template]) -> tuple[DraftSheet, ...]:
    """The drafting sheets of a design's pieces, proved; pages of the notebook have none.

    Raises
    ------
    DesignError
        If a piece can't be told by rounded dimensions.
    """
    groups = alike([template for template in templates if not template.is_page])
    return tuple(_sheet(number, group) for number, group in enumerate(groups, 1))


def _sheet(number: int, group: Alike) -> DraftSheet:
    first = group.first
    found = drafted(first)
    plan = found.plan
    sides = []
    if len(first.sheet.facets) > 1:
        for facet in first.sheet.facets:
            at = np.array(first.labels[facet.name])
            sides.append((role(facet.name), plan.apply(at[None])[0]))
    places = [
        LetteredPlace(
            area.letter if area.face == "front" else f"({area.letter})",
            plan.apply(np.asarray(area.polygon.exterior.coords)),
            plan.apply(np.asarray(area.polygon.representative_point().coords))[0],
        )
        for area in first.glue
    ]
    corners = plan.apply(np.asarray(first.outline.exterior.coords))
    wide, high = np.ptp(corners, axis=0)
    every = (first, *group.others, *group.mirrored)
    return DraftSheet(
        number,
        first.title,
        tuple(template.number for template in every),
        _wanted(group),
        tuple(dict.fromkeys(one.sheet.front for one in every if not one.sheet.paper.clear)),
        DraftDrawing.of(plan),
        found.missed,
        (float(wide), float(high)),
        tuple(sides),
        tuple(places),
    )


def _wanted(group: Alike) -> str:
    """``Cut 6 of these: 4 of card, 2 of film``, and how many as its mirror image."""
    every = (group.first, *group.others, *group.mirrored)
    papers = Counter(
        f"{paper_called(one.sheet.paper.name)}, {one.sheet.paper.grammage:g} g/m²" for one in every
    )
    these = "this once" if group.count == 1 else f"{group.count} of these"
    if len(papers) == 1:
        words = f"Cut {these}, of {next(iter(papers))}."
    else:
        words = f"Cut {these}: {'; '.join(f'{n} of {name}' for name, n in papers.items())}."
    if group.mirrored:
        words += (
            f" {counted(len(group.mirrored), 'piece')} of them as the mirror image: up for down, "
            "mountains and valleys as they are here."
        )
    return words
