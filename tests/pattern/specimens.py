"""Small hand-made spreads for the pattern's tests."""

from __future__ import annotations

import numpy as np
from shapely.geometry import Polygon

from meshes.sheet import Fold, Join, Paper, Placement, Sheet, cut

CARD = Paper("moss card", 160, 0.2, "#5f7f4b", "#e9e4d4")
PAGE = Paper("page", 120, 0.15, "#f4efe4", "#f4efe4")


def page_sheet(width: float = 148.0, height: float = 210.0) -> Sheet:
    """The open notebook."""
    facets, crossings = cut(
        Polygon([(-width, 0), (width, 0), (width, height), (-width, height)]),
        [Fold("gutter", (0, 0), (0, height), -1)],
        {"left": (-1, 1), "right": (1, 1)},
    )
    return Sheet("spread", "page", PAGE, PAGE.front, PAGE.back, facets, crossings)


def tent(
    name: str = "tent", foot: float = 30.0, leg: float = 40.0, y: float = 40.0, wide: float = 50.0
) -> tuple[Sheet, tuple[Join, ...]]:
    """A symmetric tent over the gutter with tabs pointing inward, glued by their backs.

    The strip lies along x: tab, leg, leg, tab.
    """
    tab = 8.0
    x = np.cumsum([0, tab, leg, leg, tab]) - tab - leg
    outline = Polygon([(x[0], 0), (x[4], 0), (x[4], wide), (x[0], wide)])
    folds = [
        Fold("foot-left", (x[1], 0), (x[1], wide), 1),
        Fold("ridge", (x[2], 0), (x[2], wide), 1),
        Fold("foot-right", (x[3], 0), (x[3], wide), 1),
    ]
    labels = {
        "tab-left": (x[0] + 1, 1),
        "left": (x[1] + 1, 1),
        "right": (x[2] + 1, 1),
        "tab-right": (x[3] + 1, 1),
    }
    facets, crossings = cut(outline, folds, labels)
    sheet = Sheet(name, name, CARD, CARD.front, CARD.back, facets, crossings)
    # Turned inward, a tab lies printed face down: its foot fold at the foot distance.
    joins = (
        Join(f"{name}.tab-left", "page.left", Placement(0, (-foot + x[1], y), True)),
        Join(f"{name}.tab-right", "page.right", Placement(0, (foot + x[3], y), True)),
    )
    return sheet, joins


def leaf(name: str = "leaf", length: float = 60.0, wide: float = 22.0) -> Sheet:
    """A pointed leaf with a window and a fold along its middle, printed on card."""
    t = np.linspace(0, 1, 40)
    half = wide / 2 * np.sin(np.pi * t) ** 0.8
    upper, lower = np.c_[t * length, half], np.c_[t * length, -half][::-1][1:-1]
    window = Polygon([(20, 2), (32, 2), (32, 5), (20, 5)])
    outline = Polygon(np.vstack([upper, lower])).difference(window)
    facets, crossings = cut(
        outline,
        [Fold("rib", (0.0, 0.0), (length, 0.0), -1)],
        {"upper": (length / 2, wide / 3), "lower": (length / 2, -wide / 3)},
    )
    return Sheet(name, name, CARD, CARD.front, CARD.back, facets, crossings)


def spread() -> tuple[tuple[Sheet, ...], tuple[Join, ...]]:
    """Page, tent, and a leaf glued on the tent's left leg."""
    sheet, joins = tent()
    blade = leaf()
    stuck = Join("leaf.upper", "tent.left", Placement(0.3, (-42.0, 20.0)))
    return (page_sheet(), sheet, blade), (*joins, stuck)
