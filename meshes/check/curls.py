"""Curled paper that has less room than its curl wants."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from .case import Case
from .finding import Finding

if TYPE_CHECKING:
    from ..curl import Shares

# A curl that keeps so much of itself is had, one that keeps less than the second is not, percent:
# our choice.
_WHOLE, _NOTHING = 98.0, 10.0


def curls(case: Case) -> Iterator[Finding]:
    """A finding for each curl that other paper keeps small, with what is in its way and where.

    What lies beyond the reach of a curl's even pace alone, such as at small openings, is none.
    """
    if case.curling is None or not len(case.curling[1].openings):
        return
    paper, shares = case.curling
    for k, (piece, number) in enumerate(paper.entries):
        yield from _pressed(case, k)
        share = 100 * float(shares.shares[k, -1])
        stop = int(shares.stopped[k])
        if share >= _WHOLE or stop < 0:
            continue
        seen, opening = _when(case, shares, k, float(shares.openings[stop]))
        other = shares.against[k] or "paper of another page"
        gone = share < _NOTHING
        text = (
            f"the curl {number} of {piece} gets no further than {share:z.0f} % of what it was "
            f"rolled to, since {other} is in its way {seen.moment(opening)}"
        )
        yield Finding(
            "moves",
            "warning" if gone else "note",
            "no room to curl" if gone else "curls less",
            piece,
            tuple(dict.fromkeys((*_rolled(case, k), other))),
            text,
            "roll less of it, over something thicker, or towards the other side",
            amount=share,
            unit="percent",
            limit=_WHOLE,
            worst_deg=seen.spread_deg(opening),
            place=seen.place("line", _outer(seen, k, opening), opening),
        )


def _pressed(case: Case, entry: int) -> Iterator[Finding]:
    """A note for each wheel or slide that presses a curl down somewhere on its way."""
    assert case.curling is not None
    paper, shares = case.curling
    piece, number = paper.entries[entry]
    for cap in shares.caps:
        most = 100 * cap.most[-1]
        low = int(np.argmin(most))
        pulls = [pull for pull in case.pulls if pull.hand and pull.hand.drive.name == cap.hand]
        if cap.entry != entry or most[low] >= _WHOLE or not pulls:
            continue
        seen, at = pulls[-1], float(np.pi * cap.places[low])
        yield Finding(
            "moves",
            "note",
            "curls less",
            piece,
            tuple(_rolled(case, entry)),
            f"the curl {number} of {piece} is pressed to {most[low]:z.0f} % of what it was rolled "
            f"to {seen.moment(at)}",
            "roll less of it, or let it pass farther away",
            amount=float(most[low]),
            unit="percent",
            limit=_WHOLE,
            worst_deg=seen.spread_deg(at),
            place=seen.place("line", _outer(seen, entry, at), at),
        )


def _when(case: Case, shares: Shares, entry: int, opening: float) -> tuple[Case, float]:
    """The case and its opening (radians) at which the wedge of a curl is open so far.

    A flyleaf that is turned over the flat spread opens the wedge left of it and shuts the other.
    """
    if not case.turns:
        return case, opening
    wedge = shares.wedges[entry]
    last = wedge == len(case.turns)
    return case.turns[min(wedge, len(case.turns) - 1)], np.pi - opening if last else opening


def _strips(case: Case, entry: int) -> list[int]:
    """Facets of the strips of an entry, from the line outwards."""
    assert case.curling is not None
    paper = case.curling[0]
    first = len(case.linkage.bodies) - len(paper.parents)
    bodies = first + np.flatnonzero(paper.entry == entry)
    return np.flatnonzero(np.isin(case.facets.body, bodies)).tolist()


def _rolled(case: Case, entry: int) -> list[str]:
    return list(dict.fromkeys(case.facets.rolled[k] for k in _strips(case, entry)))


def _outer(case: Case, entry: int, opening: float) -> np.ndarray:
    """The outermost strip of a curl, shape (n, 3), mm."""
    return case.corners(_strips(case, entry)[-1], opening)
