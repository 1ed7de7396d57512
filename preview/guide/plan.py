"""Everything a guide tells: materials, tools, time, and the steps with their pictures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from shapely.geometry import Polygon

from meshes.building import Step
from meshes.spread import Spread
from preview.pattern import allowance
from preview.pattern.layout import PaperUse, Pattern
from preview.roles import counted

from .care import with_care
from .cautions import time_in_words
from .sheets import in_parts
from .words import PAD_MM, Words, told

# Time by hand: common practice, no source.
_CUT_MM_PER_MINUTE, _FOLD_MINUTES, _JOIN_MINUTES, _SETUP_MINUTES = 150.0, 0.4, 2.0, 15.0


@dataclass(frozen=True)
class Material:
    """A line of the shopping list.

    Parameters
    ----------
    colours : sRGB, ``#rrggbb``, of a paper.
    """

    name: str
    detail: str
    colours: tuple[str, ...]


@dataclass(frozen=True)
class GuideStep:
    """One step: `picture` is uint8 sRGB, shape (rows, columns, 3)."""

    number: int
    words: Words
    picture: np.ndarray


@dataclass(frozen=True)
class Guide:
    """A whole guide.

    Parameters
    ----------
    cover : picture of the finished spread, uint8 sRGB.
    minutes : estimate.
    """

    title: str
    cover: np.ndarray
    materials: tuple[Material, ...]
    minutes: int
    steps: tuple[GuideStep, ...]
    cut_outs: int

    @property
    def time(self) -> str:
        """The estimate for a person."""
        return time_in_words(self.minutes)


def compose(
    spread: Spread,
    pattern: Pattern,
    steps: Sequence[Step],
    cover: np.ndarray,
    pictures: Sequence[np.ndarray],
) -> Guide:
    """Put a guide together.

    Parameters
    ----------
    pattern : says how much of each paper is needed.
    cover, pictures : of the finished spread, and one for each step.
    """
    texts = with_care(told(steps, spread.sheets, spread.joins), spread, steps)
    said = zip(texts, steps, strict=True)
    whole = [_with_parts(text, step, pattern) for text, step in said]
    rows = [GuideStep(k + 1, text, pictures[k]) for k, text in enumerate(whole)]
    return Guide(
        spread.design.title,
        cover,
        (_notebook(spread), *_materials(pattern, steps, [join.lift for join in spread.joins])),
        minutes(pattern, steps),
        tuple(rows),
        sum(not template.is_page for template in pattern.templates),
    )


def _with_parts(text: Words, step: Step, pattern: Pattern) -> Words:
    """The step in which a piece is cut out, with its parts and its allowance if it has any."""
    if step.action not in ("make", "stick"):
        return text
    placed = [placed.template for page in pattern.pages for placed in page.placed]
    said = []
    for number in step.sheets:
        parts = [part for part in placed if part.number == number and part.part]
        letters = sorted({a.letter for p in parts for a in p.glue if a.facet == a.other})
        if parts:
            said.append(
                f"Number {number} comes in {len(parts)} parts: glue them together first, printed "
                f"side up, {', '.join(f'{name} on {name}' for name in letters)}."
            )
    own = {(t.sheet.piece, t.sheet.name) for t in pattern.templates if t.number in step.sheets}
    said += allowance.in_a_step([c for c in pattern.changes if (c.piece, c.sheet) in own])
    first, *rest = text.sentences
    return Words(text.title, (first, *said, *rest))


def _notebook(spread: Spread) -> Material:
    """What the spread is built in."""
    page = spread.design.spread
    return Material("notebook", f"with pages of {page.width:g} × {page.height:g} mm", ())


def _materials(
    pattern: Pattern, steps: Sequence[Step], lifts: Sequence[float]
) -> tuple[Material, ...]:
    """Papers, each in all its colours, and glue."""
    uses: dict[str, list[PaperUse]] = {}
    for use in pattern.papers:
        uses.setdefault(use.paper.name, []).append(use)
    parts = ", large pieces in parts" if in_parts(pattern) else ""
    said = (
        f"on {pattern.options.stock.name}{parts}; its placing sheets show what goes where on a page"
    )
    found = [Material("printed pattern", said, ())]
    for name, group in uses.items():
        count = sum(use.sheets for use in group)
        sheets = counted(count, "sheet")
        paper = group[0].paper
        kind = f"{paper.sort}, " if paper.sort else ""
        white = "white, " if group[0].white else ""
        detail = f"{white}{kind}{paper.grammage:g} g/m², {sheets} of {pattern.options.stock.name}"
        if len(group) > 1:
            detail += f" in {len(group)} colours, or white and the colours printed"
        if group[0].printed:
            detail += ", colours printed on it"
        colours = () if group[0].white else tuple(use.colour for use in group)
        found.append(Material(name, detail, colours))
    joins = sum(len(step.joins) for step in steps)
    areas = counted(joins, "glue area")
    kind = f"for {areas}; one that dries clear and leaves a moment to correct"
    found.append(Material("paper glue", kind, ()))
    if any(use.paper.clear for use in pattern.papers):
        found.append(Material("clear glue for film", "or thin double-sided tape", ()))
    moves = [step.moves for step in steps]
    if "turn" in moves:
        count = moves.count("turn")
        found.append(Material("paper fastener" + "s" * (count > 1), f"{count}", ()))
    if any(lift >= PAD_MM for lift in lifts):
        found.append(Material("foam pads", "1 mm thick, for what stands off the paper below", ()))
    if "flyleaf" in moves:
        found.append(Material("thin tape", "to hinge the flyleaf in the gutter", ()))
    return tuple(found)


def minutes(pattern: Pattern, steps: Sequence[Step]) -> int:
    """Working time in minutes, to the half hour above the first: length of cuts, folds, joins."""
    templates = [t for t in pattern.templates if not t.is_page]
    length = sum(_length(t.outline) for t in templates)
    folds = sum(len(t.folds) for t in templates)
    joins = sum(len(step.joins) for step in steps)
    total = _SETUP_MINUTES + length / _CUT_MM_PER_MINUTE
    total += folds * _FOLD_MINUTES + joins * _JOIN_MINUTES
    step = 10 if total < 55 else 30
    return int(np.ceil(total / step) * step)


def _length(outline: Polygon) -> float:
    return float(outline.length)
