"""The front door: the paper of a spread as it is seen, curled where the design says so."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from meshes.linkage import Linkage
from meshes.motion.result import Motion
from meshes.sheet import Sheet

if TYPE_CHECKING:
    from meshes.spread import Spread


@dataclass(frozen=True, eq=False)
class Bent:
    """Linkage, sheets and motion with strips for curled paper; without a curl those of the spread.

    Parameters
    ----------
    sheets : in the order of the spread's.
    """

    linkage: Linkage
    sheets: tuple[Sheet, ...]
    motion: Motion


def bent(spread: Spread, motion: Motion, lifted: bool = True) -> Bent:
    """The spread as it is seen.

    Parameters
    ----------
    motion : of its flat linkage, at any openings, with what a hand moves anywhere.
    lifted : see :meth:`meshes.curl.Rolled.move`.
    """
    curling = spread.curling
    if curling is None:
        return Bent(spread.linkage, spread.sheets, motion)
    from .stances import stances

    paper, shares = curling
    sheets = tuple(paper.sheets.get(id(sheet), sheet) for sheet in spread.sheets)
    at = shares.at(stances(spread.linkage, motion))
    return Bent(paper.linkage, sheets, paper.move(motion, at, lifted))
