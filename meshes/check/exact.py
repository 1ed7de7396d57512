"""How exact it must be made: which places need care, and how many builds by hand close."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from ..exact import (
    CareSpot,
    Exactness,
    HandAccuracy,
    Misplacing,
    care_spots,
    exactness,
    spot_outline,
)
from .case import Case
from .finding import Finding
from .limits import Limits

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ..building import Step
    from ..motion.result import Motion
    from ..spread import Spread

# So many places are named at most, and only those which one hand in twenty misses: twice its
# standard deviation. Our choice.
_NAMED, _OFTEN = 5, 2.0
# Fewer of the builds than this are too few. Our choice.
_FEW = 0.5
_WAYS = {"along": "along it", "across": "across it", "moved": "across itself"}


@dataclass(frozen=True)
class Hands:
    """How it is built: how exactly, and on which joins the spread is closed as they are glued.

    Parameters
    ----------
    pressed : indices of those joins.
    """

    hand: HandAccuracy = field(default_factory=HandAccuracy)
    pressed: frozenset[int] = frozenset()

    @staticmethod
    def of(steps: Sequence[Step], hand: HandAccuracy) -> Hands:
        """Hands that follow a building order."""
        return Hands(
            hand, frozenset(j for step in steps if step.action == "press" for j in step.joins)
        )


def exact(case: Case, limits: Limits, *, hands: Hands) -> tuple[list[Finding], dict[str, Any]]:
    """The places that need most care.

    Returns
    -------
    A note for each that a hand often misses, a warning if few builds close, and all figures.
    """
    found = exactness(case, hands.pressed, hands.hand)
    care = named(found.spots, found.hand)
    findings = [_care(case, spot, found) for spot in care]
    if found.builds < _FEW * found.of:
        findings.insert(0, _few(found))
    return findings, measures(found)


def named(spots: Sequence[CareSpot], hand: HandAccuracy) -> list[CareSpot]:
    """The places that need care, worst first, but not more than anybody heeds."""
    return [spot for spot in spots if needs_care(spot, hand)][:_NAMED]


def needs_care(spot: CareSpot, hand: HandAccuracy) -> bool:
    """Whether a hand often misses a place by more than it forgives."""
    return spot.within_mm < _OFTEN * hand.shift or spot.within_rad < _OFTEN * hand.turn


def careful(spread: Spread, steps: Sequence[Step], motion: Motion | None = None) -> list[CareSpot]:
    """The places of a spread that need care, worst first; see :func:`spots_of`."""
    return named(spots_of(spread, steps, motion), HandAccuracy())


def spots_of(spread: Spread, steps: Sequence[Step], motion: Motion | None = None) -> list[CareSpot]:
    """All places of a spread, worst first; none where it does not close.

    Parameters
    ----------
    steps : the building order.
    motion : at some openings from closed to open; else it is solved.
    """
    from ..building.kept import LOOKED_AT_DEG

    if motion is None:
        motion = spread.solve(np.radians(LOOKED_AT_DEG))
    case = Case(spread.design.title, spread.sheets, spread.joins, spread.linkage, motion)
    if not case.closes:
        return []
    hands = Hands.of(steps, HandAccuracy())
    return care_spots(case, hands.pressed, hands.hand)


def on_folds(spots: Sequence[CareSpot]) -> dict[str, float]:
    """Names of the folds among some places, and what they forgive, mm, rounded down."""
    return {
        name: floored(spot.within_mm)
        for spot in spots
        if not spot.host and np.isfinite(spot.within_mm)
        for name in (spot.name, *spot.more)
    }


def floored(forgives: float) -> float:
    """A tolerance rounded down to what a ruler shows, mm."""
    return float(np.floor(forgives * 20) / 20)


def _care(case: Case, spot: CareSpot, found: Exactness) -> Finding:
    tightest = min(spot.slips, key=lambda slip: slip.within / _unit(slip, found.hand))
    turned = tightest.way == "turned"
    amount = float(np.degrees(tightest.within) if turned else tightest.within)
    one = "1°" if turned else "1 mm"
    at = np.degrees(tightest.opening)
    text = (
        f"{task(spot)} within {told(spot)}: {one} {'turned' if turned else _WAYS[tightest.way]} "
        f"opens a gap of {tightest.gap:z.1f} mm at {at:z.0f}°"
    )
    if spot.stands:
        edge = 2 * case.size[0] * np.sin(spot.stands / 2)
        text += (
            f" and leaves it standing open by {np.degrees(spot.stands):z.0f}°, {edge:z.0f} mm at "
            "the pages' edge"
        )
    kind, points = spot_outline(case, spot)
    return Finding(
        "exact",
        "note",
        "needs care",
        spot.name.partition(".")[0],
        (spot.name, spot.host) if spot.host else (spot.name,),
        text,
        amount=amount,
        unit="deg" if turned else "mm",
        limit=_OFTEN * (float(np.degrees(found.hand.turn)) if turned else found.hand.shift),
        worst_deg=float(at),
        place=case.place(kind, points, case.widest),
    )


def _unit(slip: Misplacing, hand: HandAccuracy) -> float:
    return hand.turn if slip.way == "turned" else hand.shift


def task(spot: CareSpot) -> str:
    """What a hand does there."""
    if spot.host:
        return f"glue {spot.name} to {spot.host}"
    others = f" and what lies on its line, {', '.join(spot.more)}," if spot.more else ""
    return f"fold {spot.name}{others}"


def told(spot: CareSpot) -> str:
    """What a place forgives, rounded down to what a ruler and a protractor show."""
    return forgiven(_finite(spot.within_mm), _finite(float(np.degrees(spot.within_rad))))


def forgiven(shift_mm: float | None, turn_deg: float | None) -> str:
    """A tolerance in words, rounded down to what a ruler and a protractor show."""
    parts = []
    if shift_mm is not None:
        parts.append(f"{floored(shift_mm):z.2f} mm")
    if turn_deg is not None:
        parts.append(f"{np.floor(turn_deg * 10) / 10:z.1f}°")
    return " and ".join(parts)


def _few(found: Exactness) -> Finding:
    best = found.best
    more = (
        f"; with {best.name} exact it would be {best.builds}"
        if best is not None
        else ", and no single place decides"
    )
    return Finding(
        "exact",
        "warning",
        "unforgiving",
        best.name.partition(".")[0] if best is not None else "",
        (best.name,) if best is not None else (),
        f"of {found.of:,} builds by hand only {found.builds} close{more}",
        amount=100 * found.builds / found.of,
        unit="percent",
        limit=100 * _FEW,
    )


def measures(found: Exactness) -> dict[str, Any]:
    """All figures as plain data."""
    best, care = found.best, named(found.spots, found.hand)
    others = [spot for spot in found.spots if spot not in care]
    least_mm = min((spot.within_mm for spot in others), default=np.inf)
    least_rad = min((spot.within_rad for spot in others), default=np.inf)
    return {
        "builds": found.of,
        "closing": found.builds,
        "closing_by_marks": found.by_marks,
        "accuracy_mm": _round(found.hand.shift),
        "accuracy_deg": _round(float(np.degrees(found.hand.turn))),
        "give_mm": _round(found.hand.give),
        "best": None if best is None else {"part": best.name, "closing": best.builds},
        "others_within_mm": _finite(least_mm),
        "others_within_deg": _finite(float(np.degrees(least_rad))),
        "care": [_place(spot) for spot in found.spots],
    }


def _place(spot: CareSpot) -> dict[str, Any]:
    return {
        "part": spot.name,
        "line": list(spot.more),
        "host": spot.host or None,
        "lands": spot.lands,
        "within_mm": _finite(spot.within_mm),
        "within_deg": _finite(float(np.degrees(spot.within_rad))),
        "stands_deg": None if spot.stands is None else _round(float(np.degrees(spot.stands))),
        "closing_if_exact": spot.builds,
        "errors": [_error(slip) for slip in (spot.slips or spot.to_mark)],
    }


def _error(slip: Misplacing) -> dict[str, Any]:
    turned = slip.way == "turned"
    return {
        "way": slip.way,
        "gap_mm": _round(slip.gap),
        "give_mm": _round(slip.give),
        "worst_deg": _round(float(np.degrees(slip.opening))),
        "seen_at": slip.seen_at,
        "within": _finite(float(np.degrees(slip.within)) if turned else slip.within),
    }


def _finite(value: float) -> float | None:
    return _round(value) if np.isfinite(value) else None


def _round(value: float) -> float:
    return round(float(value), 4) + 0.0
