"""Where the core of a coloured card shows: along the outside of its folds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from meshes.linkage import Part
from meshes.sheet import Crossing, Vector

# Folded by less than this, the skin of a card holds. Our choice.
CRACKS_RAD = 0.4


@dataclass(frozen=True)
class CoreLine:
    """A fold on whose outside the core of a coloured card shows.

    Parameters
    ----------
    start, end : in surface coordinates, mm.
    front : whether the front is outside.
    reach : how far from the fold the core shows, mm.
    """

    start: Vector
    end: Vector
    front: bool
    reach: float


def core_lines(part: Part, turns: Mapping[str, np.ndarray]) -> tuple[CoreLine, ...]:
    """Folds of a facet that are open to the outside, where the skin of the card has cracked."""
    found = []
    for crossing in part.sheet.crossings:
        if part.facet.name not in (crossing.left, crossing.right):
            continue
        angle = fold_angle(crossing, part.sheet.piece, turns)
        if abs(angle) > CRACKS_RAD:
            # The outer skin of a sheet that is folded by an angle about its middle is longer than
            # that by the angle times half the thickness, by as much on both facets, derived here.
            # It cracks ragged: our choice is twice as much.
            reach = abs(angle) * part.sheet.paper.caliper / 2
            fold = crossing.fold
            found.append(CoreLine(fold.start, fold.end, angle > 0, float(reach)))
    return tuple(found)


def fold_angle(crossing: Crossing, piece: str, turns: Mapping[str, np.ndarray]) -> float:
    """Angle of a fold as it stands in the scene, radians, mountain positive.

    Parameters
    ----------
    turns : rotation of each facet into the scene, shape (3, 3), by its id.
    """
    left, right = (turns[f"{piece}.{name}"] for name in (crossing.left, crossing.right))
    along = np.subtract(crossing.fold.end, crossing.fold.start) / crossing.fold.length
    # Towards the left facet, in its plane: the right one of a mountain looks away from it.
    across = left[:, :2] @ np.array([-along[1], along[0]])
    return float(np.arctan2(-(right[:, 2] @ across), right[:, 2] @ left[:, 2]))
