"""Small hand-made spreads: each returns the sheets and joins of one mechanism.

Pages reach `WIDTH` from the gutter and `HEIGHT` along it. All lengths are mm, angles radians.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from shapely.geometry import Polygon, box

from meshes.linkage import Linkage, link
from meshes.sheet import Crossing, Facet, Fold, Join, Obstacle, Paper, Placement, Sheet, cut
from meshes.site import CreaseSite, Ground, crease_site

WIDTH, HEIGHT = 148.0, 210.0
CARD = Paper("card", 200.0, 0.25, "#f4efe6", "#ffffff")
TAB = 8.0


@dataclass
class Pile:
    """Sheets and joins gathered so far; the pages are there from the start."""

    sheets: list[Sheet] = field(default_factory=lambda: [pages()])
    joins: list[Join] = field(default_factory=list)
    obstacles: list[Obstacle] = field(default_factory=list)

    @property
    def gutter(self) -> CreaseSite:
        return self.site("page", "gutter")

    def site(self, piece: str, fold: str, side: int = 1) -> CreaseSite:
        for sheet in self.sheets:
            for crossing in sheet.crossings:
                if sheet.piece == piece and crossing.fold.name == fold:
                    return crease_site(sheet, crossing, side)
        raise KeyError(fold)

    @property
    def linkage(self) -> Linkage:
        return link(self.sheets, self.joins, self.obstacles)

    def add(
        self, piece: str, outline: Polygon, folds: Sequence[Fold], labels: dict[str, tuple]
    ) -> Sheet:
        facets, crossings = cut(outline, folds, labels)
        return self.put(piece, facets, crossings)

    def put(
        self, piece: str, facets: Sequence[Facet], crossings: Sequence[Crossing], name: str = ""
    ) -> Sheet:
        sheet = Sheet(
            name or piece, piece, CARD, CARD.front, CARD.back, tuple(facets), tuple(crossings)
        )
        self.sheets.append(sheet)
        return sheet

    def glue(self, facet: str, ground: Ground, source: np.ndarray, target: np.ndarray) -> None:
        """Glue a facet face up so that the points `source` (2, 2) of its sheet lie on `target`."""
        self.joins.append(ground.join(facet, onto(source, target)))


def onto(source: np.ndarray, target: np.ndarray) -> Placement:
    """The face-up placement that takes two points to two points at the same distance."""
    s, t = np.subtract(source[1], source[0]), np.subtract(target[1], target[0])
    angle = float(np.arctan2(t[1], t[0]) - np.arctan2(s[1], s[0]))
    shift = np.asarray(target[0]) - Placement(angle).apply(np.asarray(source[0]))
    return Placement(angle, (float(shift[0]), float(shift[1])))


def pages() -> Sheet:
    facets, crossings = cut(
        box(-WIDTH, 0, WIDTH, HEIGHT),
        [Fold("gutter", (0, 0), (0, HEIGHT), -1)],
        {"left": (-WIDTH / 2, 1), "right": (WIDTH / 2, 1)},
    )
    return Sheet("page", "page", CARD, CARD.front, CARD.back, facets, crossings)


def v_fold(
    pile: Pile,
    piece: str,
    site: CreaseSite,
    at: float,
    page: tuple[float, float],
    panel: tuple[float, float],
    length: float = 40.0,
    reach: float = 60.0,
) -> None:
    """A V-fold with its apex on a crease. Pairs are (right, left).

    Drawn with the apex at the origin and the ridge along -y, printed face to the foot of the page;
    on paper laid flat the glue creases leave the apex at `panel` from the ridge. `page` is measured
    from the crease of the host; beyond 90° in sum the creases run down the page.
    """
    up = page[0] + page[1] < np.pi
    # Seen from the printed face (the reader at the foot of the page) the right half lies right.
    ridge = np.array([0.0, reach])
    right, left = (
        length * np.array([np.sin(panel[0]), np.cos(panel[0])]),
        length * np.array([-np.sin(panel[1]), np.cos(panel[1])]),
    )
    facets, crossings = [], []
    tabs = {}
    for side, crease, turn in (("right", right, -1), ("left", left, 1)):
        out = turn * TAB * np.array([-crease[1], crease[0]]) / length
        tab = Polygon([(0, 0), crease, crease + out])
        panel_shape = Polygon([(0, 0), crease, ridge])
        facets += [Facet(side, panel_shape), Facet(f"tab-{side}", tab)]
        name = f"foot-{side}"
        fold = Fold(name, (0.0, 0.0), (float(crease[0]), float(crease[1])), -1)
        # From the apex outwards: the right tab lies right of its crease.
        sides = (side, f"tab-{side}") if side == "right" else (f"tab-{side}", side)
        crossings.append(Crossing(fold, *sides))
        tabs[side] = crease
    top = Fold("ridge", (0.0, 0.0), (0.0, reach), 1 if up else -1)
    crossings.append(Crossing(top, "left", "right"))
    pile.put(piece, facets, crossings)
    apex = np.array([0.0, at])
    for side, ground, sign, angle in (
        ("right", site.right, 1, page[0]),
        ("left", site.left, -1, page[1]),
    ):
        target = apex + length * np.array([sign * np.sin(angle), np.cos(angle)])
        pile.glue(f"{piece}.tab-{side}", ground, [(0, 0), tabs[side]], [apex, target])


def strip(
    pile: Pile,
    piece: str,
    widths: Sequence[float],
    signs: Sequence[int],
    names: Sequence[str],
    folds: Sequence[str],
    height: float,
) -> list[float]:
    """A strip with folds across it; returns the x of its folds (printed face up, left to right)."""
    edges = np.concatenate([[0.0], np.cumsum(widths)])
    lines = [
        Fold(name, (float(x), 0.0), (float(x), height), sign)
        for name, x, sign in zip(folds, edges[1:-1], signs, strict=True)
    ]
    labels = {name: ((edges[k] + edges[k + 1]) / 2, height / 2) for k, name in enumerate(names)}
    pile.add(piece, box(0, 0, edges[-1], height), lines, labels)
    return [float(x) for x in edges]


def tent(
    pile: Pile,
    piece: str,
    site: CreaseSite,
    at: float,
    feet: tuple[float, float],
    legs: tuple[float, float],
    height: float = 20.0,
) -> None:
    """A parallel fold; pairs are (right, left): distance from the crease, width of the panel."""
    x = strip(
        pile,
        piece,
        [TAB, legs[1], legs[0], TAB],
        [-1, 1, -1],
        ["tab-left", "left", "right", "tab-right"],
        ["foot-left", "ridge", "foot-right"],
        height,
    )
    for facet, ground, edge, foot in (
        ("tab-left", site.left, x[1], -feet[1]),
        ("tab-right", site.right, x[3], feet[0]),
    ):
        pile.glue(
            f"{piece}.{facet}",
            ground,
            [(edge, 0), (edge, height)],
            [(foot, at), (foot, at + height)],
        )


def carrier(
    pile: Pile,
    piece: str,
    site: CreaseSite,
    at: float,
    distance: float,
    panel: float,
    height: float = 20.0,
) -> None:
    """The parallelogram: a crease `foot-right` at `distance` that opens as the host does."""
    tent(pile, piece, site, at, (distance, panel), (panel, distance), height)
