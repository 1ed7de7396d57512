"""Where a hand must be exact, said in the step at which it matters."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from preview.pattern.glue import letter
from preview.roles import role, the

if TYPE_CHECKING:
    from meshes.building import Step
    from meshes.exact import CareSpot
    from meshes.motion.result import Motion
    from meshes.spread import Spread

    from .words import Words


def with_care(
    texts: Sequence[Words], spread: Spread, steps: Sequence[Step], motion: Motion | None = None
) -> tuple[Words, ...]:
    """The texts of a proved order, with a sentence for each place that forgives little.

    Parameters
    ----------
    motion : of the finished spread, at some openings from closed to open; else it is solved.
    """
    if not steps:
        return tuple(texts)
    from meshes.check.exact import careful

    said: dict[int, list[str]] = {}
    for spot in careful(spread, steps, motion):
        number, sentence = _sentence(spot, spread, steps)
        said.setdefault(number, []).append(sentence)
    return tuple(
        replace(text, sentences=(*text.sentences, *said.get(k, ()))) for k, text in enumerate(texts)
    )


def _sentence(spot: CareSpot, spread: Spread, steps: Sequence[Step]) -> tuple[int, str]:
    """The index of the step in which a place is made, and what to say there."""
    from meshes.check.exact import told

    piece, _, name = spot.name.partition(".")
    if spot.host:
        join = next(j for j, one in enumerate(spread.joins) if one.facet == spot.name)
        number = next(k for k, step in enumerate(steps) if join in step.joins)
        return number, f"Take care with place {letter(join)}: it forgives {told(spot)}, no more."
    sheet = next(
        k
        for k, one in enumerate(spread.sheets)
        if one.piece == piece and any(c.fold.name == name for c in one.crossings)
    )
    number = next(
        k
        for k, step in enumerate(steps)
        if step.action in ("make", "stick") and sheet in step.sheets
    )
    line = " and all folds in line with it" if spot.more else ""
    return number, f"Score {the(role(name))}{line} with care: it forgives {told(spot)}, no more."
