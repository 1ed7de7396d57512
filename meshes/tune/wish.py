"""What is wanted of a spread besides that it fits, such as ``fern.height >= 80 at 180``."""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Literal

import numpy as np

from ..check.case import Case
from ..check.thickness import peak

QUANTITIES = {
    "height": "largest distance from the nearer page",
    "width": "extent across the pages",
    "depth": "extent along the gutter",
    "reach": "largest distance from the gutter",
}
THICKNESS = "thickness"
# A wish is met within this, mm or degrees: finer than anybody cuts.
MET = 0.005

_FORM = re.compile(
    r"\s*(?:(?P<piece>[A-Za-z][\w-]*)\.)?(?P<what>[A-Za-z][\w-]*)\s*(?P<sign>>=|<=|==|=)\s*"
    r"(?P<value>[-+]?(?:\d+\.?\d*|\.\d+))\s*(?:mm|deg|°)?\s*"
    r"(?:at\s+(?P<at>\d+\.?\d*)\s*(?:deg|°)?\s*)?"
)


@dataclass(frozen=True)
class Wish:
    """One wish.

    Parameters
    ----------
    piece, what : a quantity of a piece in mm, one of its folds in degrees, or the closed thickness
        of the spread (no piece) in mm.
    opening : at which it holds, radians.
    """

    text: str
    piece: str
    what: str
    sign: Literal[">=", "<=", "="]
    value: float
    opening: float = float(np.pi)

    def slack(self, measured: float) -> float:
        """How much better than wanted, mm or degrees; negative if it is not met."""
        if self.sign == ">=":
            return measured - self.value
        if self.sign == "<=":
            return self.value - measured
        return -abs(measured - self.value)


def parse(text: str) -> Wish:
    """Read a wish; ValueError with one line if it is none."""
    found = _FORM.fullmatch(text)
    if found is None:
        raise ValueError(
            f"{text!r} is not a wish; write it like 'fern.height >= 80 at 180' or 'thickness <= 2'"
        )
    piece, what = found["piece"] or "", found["what"]
    if not piece and what != THICKNESS:
        raise ValueError(f"{text!r} names no piece; write it like 'fern.{what} >= 80 at 180'")
    opening = float(found["at"] or 180)
    if not 0 <= opening <= 180:
        raise ValueError(f"{text!r}: the opening lies between 0 and 180 degrees")
    sign: Literal[">=", "<=", "="] = "="
    if found["sign"] == ">=":
        sign = ">="
    elif found["sign"] == "<=":
        sign = "<="
    return Wish(text, piece, what, sign, float(found["value"]), float(np.radians(opening)))


def check_names(wish: Wish, case: Case) -> None:
    """ValueError with one line if the spread has no such piece, quantity or fold."""
    if not wish.piece:
        return
    if wish.piece not in case.pieces:
        near = get_close_matches(wish.piece, case.pieces, 1)
        meant = f"did you mean {near[0]}?" if near else f"pieces: {', '.join(case.pieces)}"
        raise ValueError(f"{wish.text!r}: there is no piece {wish.piece}; {meant}")
    folds = [h.name.partition(".")[2] for h in case.linkage.hinges if h.piece == wish.piece]
    if wish.what not in (*QUANTITIES, *folds):
        raise ValueError(
            f"{wish.text!r}: {wish.piece} has no {wish.what}; there are "
            f"{', '.join(QUANTITIES)}, and the folds {', '.join(folds) or 'none'}"
        )


def measure(wish: Wish, case: Case) -> float:
    """What a wish speaks of, in mm or degrees.

    Raises
    ------
    ValueError
        If the spread does not reach the opening.
    """
    if not wish.piece:
        if not case.closes:
            raise ValueError("the spread does not close")
        return peak(case)
    low, high = case.poses.openings[[0, -1]] if len(case.poses.openings) else (1.0, 0.0)
    if not low - 1e-9 <= wish.opening <= high + 1e-9:
        raise ValueError(f"the spread does not reach {np.degrees(wish.opening):g}°")
    for k, hinge in enumerate(case.linkage.hinges):
        if hinge.name == f"{wish.piece}.{wish.what}" and wish.what not in QUANTITIES:
            angles = np.abs(case.motion.angles[case.motion.solved, k])
            return float(np.degrees(np.interp(wish.opening, case.poses.openings, angles)))
    facets = case.piece_facets(wish.piece)
    points = np.concatenate([case.corners(k, wish.opening) for k in facets])
    return _of_points(wish.what, points, case, wish.opening)


def _of_points(what: str, points: np.ndarray, case: Case, opening: float) -> float:
    if what == "height":
        pages = case.poses.at(np.full(2, opening), np.array([0, 1])).rotation[:, :, 2]
        return float((points @ pages.T).min(axis=1).max())
    if what == "reach":
        return float(np.hypot(points[:, 0], points[:, 2]).max())
    axis = 0 if what == "width" else 1
    return float(np.ptp(points[:, axis]))
