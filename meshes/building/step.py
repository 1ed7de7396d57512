"""Steps of a building order, and what is raised where there is none."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from meshes.sheet import Join, Placement, Sheet

# So thick is a finger, or the tweezers that stand in for one: common practice, no source.
FINGER_MM = 10.0

Action = Literal["make", "stick", "close", "thread", "lay", "glue", "press"]


@dataclass(frozen=True)
class Step:
    """One thing to do.

    Parameters
    ----------
    action : ``make`` (cut, score and fold the sheets of a piece), ``stick`` (cut out flat pieces
        and glue each on its place), ``close`` (glue a sheet to itself so that it becomes a ring),
        ``thread`` (pass a sheet through a slit of another), ``lay`` (put a part that a hand moves
        on its place, without glue), ``glue`` (a first side, to something it was not connected
        with), ``press`` (a further side: glue on it, then fold what it stands on shut).
    piece : whose sheets are worked on; the first of several for ``stick``.
    sheets : their indices in the order of the spread.
    joins : indices of the joins that are glued.
    host : piece that it is glued to or passed through; empty for ``make`` and ``close``.
    present : indices of all sheets that hang together with it afterwards.
    on_page : whether these include the page.
    moves : how a hand will move what is laid.
    slips : whether a side that is pressed has to be slipped under other paper to its place first,
        where no finger can follow.
    """

    action: Action
    piece: str
    sheets: tuple[int, ...]
    joins: tuple[int, ...]
    host: str
    present: frozenset[int]
    on_page: bool
    moves: Literal["", "turn", "slide", "flyleaf"] = ""
    slips: bool = False


class BuildError(ValueError):
    """A spread that nobody can put together; the text names the pieces.

    Parameters
    ----------
    pieces : the ones concerned.
    """

    def __init__(self, problem: str, pieces: Sequence[str]) -> None:
        self.pieces = tuple(pieces)
        super().__init__(problem)


def kept_flat(sheets: Sequence[Sheet], joins: Sequence[Join]) -> frozenset[int]:
    """The joins that take no glue: two neighbours on one sheet, in the place they have there."""
    owner = {f"{s.piece}.{f.name}": k for k, s in enumerate(sheets) for f in s.facets}
    return frozenset(
        j
        for j, join in enumerate(joins)
        if owner[join.facet] == owner[join.host] and join.placement == Placement()
    )


def left_loose(
    steps: Sequence[Step], number: int, sheets: Sequence[Sheet], joins: Sequence[Join]
) -> dict[int, int]:
    """The sides that a step leaves without glue on what it glues, and the step that glues each.

    Parameters
    ----------
    steps : all of a proved order, in which every join is glued.
    number : index of the step.

    Returns
    -------
    For each join that is glued later, the index of its step.
    """
    if not steps[number].joins:
        return {}
    owner = {f"{s.piece}.{f.name}": k for k, s in enumerate(sheets) for f in s.facets}
    mine = {owner[joins[j].facet] for j in steps[number].joins}
    return {
        j: later
        for later in range(number + 1, len(steps))
        for j in steps[later].joins
        if owner[joins[j].facet] in mine
    }
