"""The strips a blossom stands on: a tab under the petal, the leg, and a foot on the host."""

from __future__ import annotations

from typing import Literal

import numpy as np
from shapely.geometry import Polygon, box

from meshes.pieces.piece import Context
from meshes.sheet import Fold, Placement, Sheet, Vector

from .rules import LegSize

# Feet are tapered so that they slip through their slits. Our choice.
_TAPER = 0.85
SLIT_MM = 1.0
# Our choice.
_REST = np.radians(60)


def strip_placement(middle: float, out: float, aside: float) -> Placement:
    """Lay a leg's sheet, whose y runs up the leg, across a direction.

    Parameters
    ----------
    middle : direction, radians.
    out : where the sheet's origin lies along that direction, mm; its y points back to the middle.
    aside : and how far to the left of it, mm.
    """
    c, s = np.cos(middle), np.sin(middle)
    return Placement(np.pi / 2 + middle, (float(c * out - s * aside), float(s * out + c * aside)))


def slit(middle: float, size: LegSize, aside: float) -> Polygon:
    """The slit in a flat layer through which a foot goes, mm, longer than the leg is wide."""
    half = size.half_width + SLIT_MM / 2
    shape = box(-half, -SLIT_MM / 2, half, SLIT_MM / 2)
    return strip_placement(middle, size.foot, aside).polygon(shape)


def cut_leg(context: Context, name: str, size: LegSize, narrow: float, creased: bool) -> Sheet:
    """Draw a leg; the sheet's origin is the middle of its foot fold and y runs up the leg.

    Facets: `name`, ``name-upper-tab`` and ``name-lower-tab``; if creased along its middle, `name`
    and the tab are two halves, ``-left`` and ``-right``, seen from the printed face.

    Parameters
    ----------
    narrow : half the width of the far edge of the upper tab, mm.
    """
    w, g = size.half_width, size.length
    end, under = g + size.top_tab, -size.foot_tab
    right = [(_TAPER * w, under), (w, 0), (w, g), (narrow, end)]
    outline = Polygon([*right, *((-x, y) for x, y in reversed(right))])
    heights = {
        f"{name}-lower-tab": under / 2,
        name: g / 2,
        f"{name}-upper-tab": g + size.top_tab / 2,
    }
    if not creased:
        folds = [
            _fold(f"{name}-lower", (-w, 0.0), (w, 0.0), -1),
            _fold(f"{name}-upper", (-w, g), (w, g), 1),
        ]
        return context.sheet(
            name, outline, folds, {k: (0.0, v) for k, v in heights.items()}, "legs"
        )
    halves = {"left": (-w, 0.0), "right": (0.0, w)}
    folds = [
        _fold(f"{name}-lower-{half}", (a, 0.0), (b, 0.0), -1) for half, (a, b) in halves.items()
    ]
    folds += [_fold(f"{name}-upper-{half}", (a, g), (b, g), 1) for half, (a, b) in halves.items()]
    # The crease follows the petals' own fold under them and runs on down the leg.
    folds += [
        _fold(f"{name}-crease", (0.0, 0.0), (0.0, g), 1),
        _fold(f"{name}-upper-tab-crease", (0.0, g), (0.0, end), -1),
    ]
    labels = {f"{name}-lower-tab": (0.0, under / 2)} | {
        f"{part}-{half}": ((a + b) / 4, heights[part])
        for part in (name, f"{name}-upper-tab")
        for half, (a, b) in halves.items()
    }
    return context.sheet(name, outline, folds, labels, "legs")


def _fold(name: str, start: Vector, end: Vector, sign: Literal[1, -1]) -> Fold:
    return Fold(name, start, end, sign, _REST)
