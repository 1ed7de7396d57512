"""Sides before they are pressed on: swung off their places, with the glue on them.

What is pressed hangs on its place already by the rest of its paper. Only the side that gets the
glue is loose, so it is shown turned about the fold on which it hangs.
"""

from __future__ import annotations

import numpy as np
from scipy.spatial.transform import Rotation

from meshes.building import Step
from meshes.sheet import Join, Sheet
from meshes.spread import Spread
from preview.drawing.scene import Surface

from .scenes import moved

# How far a loose side is swung off its place: far enough to see what lies under it. Our choice.
_SWUNG = float(np.radians(40.0))


def swung(spread: Spread, step: Step, surfaces: dict[str, Surface]) -> dict[str, Surface]:
    """The sides that a step glues and that hang on one fold, off their places, by their names.

    Parameters
    ----------
    surfaces : of a scene in which all is glued, by their names.
    """
    found = {}
    for join in (spread.joins[j] for j in step.joins):
        if join.facet in surfaces and join.host in surfaces:
            fold = _fold_of(spread, join.facet)
            if fold is not None:
                found[join.facet] = _turned(surfaces[join.facet], fold, surfaces[join.host], join)
    return found


def _fold_of(spread: Spread, facet: str) -> np.ndarray | None:
    """Ends of the fold on which a facet hangs, shape (2, 2), mm; None if it has none or several."""
    sheet = _sheet_of(spread, facet)
    name = facet.partition(".")[2]
    folds = [c.fold for c in sheet.crossings if name in (c.left, c.right)]
    return np.array([folds[0].start, folds[0].end], float) if len(folds) == 1 else None


def _sheet_of(spread: Spread, facet: str) -> Sheet:
    piece, _, name = facet.partition(".")
    return next(
        sheet
        for sheet in spread.sheets
        if sheet.piece == piece and any(one.name == name for one in sheet.facets)
    )


def _turned(side: Surface, fold: np.ndarray, host: Surface, join: Join) -> Surface:
    """A side turned about its fold, away from what it is glued to."""
    start, end = fold @ side.rotation[:, :2].T + side.translation
    along = (end - start) / np.linalg.norm(end - start)
    arm = side.corners.mean(axis=0) - start
    away = host.normal * join.side
    sign = 1.0 if np.cross(along, arm) @ away > 0 else -1.0
    turn = Rotation.from_rotvec(sign * _SWUNG * along).as_matrix()
    return moved(side, turn, start - turn @ start)
