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


def box_on(
    pile: Pile, piece: str, site: CreaseSite, at: float, e: float, h: float, w: float
) -> None:
    """A box over a crease: walls `e` from it, `h` high and `w` long; lid and ends fold outwards."""
    flap = min(TAB, 0.8 * e)
    names = ["wall-right", "back-right", "back-left", "wall-left", "front-left", "front-right"]
    edges = np.concatenate([[0.0], np.cumsum([w, e, e, w, e, e, flap])])
    folds = [
        Fold(f"edge-{k}", (float(edges[k]), 0.0), (float(edges[k]), h), 1) for k in range(1, 7)
    ]
    tabs = [box(edges[k], -TAB, edges[k + 1], 0) for k in (0, 3)]
    outline = box(0, 0, edges[-1], h).union(tabs[0]).union(tabs[1])
    feet = [
        Fold(f"foot-{side}", (float(edges[k]), 0.0), (float(edges[k + 1]), 0.0), -1)
        for side, k in (("right", 0), ("left", 3))
    ]
    labels = {name: ((edges[k] + edges[k + 1]) / 2, h / 2) for k, name in enumerate(names)}
    labels |= {"flap": (edges[6] + flap / 2, h / 2)}
    labels |= {"tab-right": (w / 2, -TAB / 2), "tab-left": (edges[3] + w / 2, -TAB / 2)}
    pile.add(piece, outline, [*folds, *feet], labels)
    back = Placement(0.0, (-float(edges[6]), 0.0))
    pile.joins.append(Join(f"{piece}.flap", f"{piece}.wall-right", back, -1))
    ends = [(0, 0), (w, 0)], [(edges[4], 0), (edges[3], 0)]
    pile.glue(f"{piece}.tab-right", site.right, ends[0], [(e, at), (e, at + w)])
    pile.glue(f"{piece}.tab-left", site.left, ends[1], [(-e, at), (-e, at + w)])
    x = strip(
        pile,
        f"{piece}-lid",
        [TAB, e, e, TAB],
        [1, 1, 1],
        ["tab-left", "left", "right", "tab-right"],
        ["edge-left", "top", "edge-right"],
        w,
    )
    for side, edge, start, end in (
        ("right", x[3], (0, h), (w, h)),
        ("left", x[1], (edges[4], h), (edges[3], h)),
    ):
        lower = onto([(edge, 0), (edge, w)], [start, end])
        pile.joins.append(Join(f"{piece}-lid.tab-{side}", f"{piece}.wall-{side}", lower, -1))


@dataclass(frozen=True)
class Legs:
    """Where a flower stands: `top` from its apex, `foot` from the crease, leg `length`, `half`."""

    top: float
    foot: float
    length: float
    half: float


def cone(
    pile: Pile,
    piece: str,
    sectors: Sequence[float],
    fold: float,
    tip: float,
    rest: float,
    sign: int = -1,
) -> None:
    """A cone of sectors (radians) with straight-edged petals, flap under its first sector.

    Sector 0 points to +x; fold k lies between sectors k and k + 1.
    """
    count, starts = len(sectors), np.cumsum([0.0, *sectors]) - sectors[0] / 2
    facets = []
    for k, width in enumerate(sectors):
        middle = starts[k] + width / 2
        rim = [(fold, -0.5), (0.93 * tip, -0.275), (tip, 0), (0.93 * tip, 0.275), (fold, 0.5)]
        points = [(0.0, 0.0), *(tuple(r * _unit(middle + s * width)) for r, s in rim)]
        facets.append(Facet(f"petal-{k}", Polygon(points)))
    end = starts[-1]
    flap = [(0, 0), fold * _unit(end), 0.9 * fold * _unit(end + min(0.3, sectors[0] / 2))]
    facets.append(Facet("flap", Polygon(flap)))
    crossings = []
    for k in range(count):
        outer = tuple(float(v) for v in fold * _unit(starts[k + 1]))
        left = f"petal-{k + 1}" if k + 1 < count else "flap"
        crease = Fold(f"fold-{k}", (0.0, 0.0), outer, sign, rest)
        crossings.append(Crossing(crease, left, f"petal-{k}"))
    pile.put(piece, facets, crossings)
    turn = Placement(-float(sum(sectors)))
    pile.joins.append(Join(f"{piece}.flap", f"{piece}.petal-0", turn, -1))


def _unit(angle: float) -> np.ndarray:
    return np.array([np.cos(angle), np.sin(angle)])


def stand(
    pile: Pile,
    piece: str,
    sectors: Sequence[float],
    legs: Legs,
    feet: tuple[Ground, Ground],
    spots: tuple[Placement, Placement],
    rest: float,
) -> None:
    """Put a cone on two legs under its opposite sectors.

    `spots` map leg coordinates (x away from the crease from its line, y along it) to the
    coordinates of the two grounds.
    """
    count = len(sectors)
    for side, ground, spot, petal, turn in (
        ("right", feet[0], spots[0], 0, 0.0),
        ("left", feet[1], spots[1], count // 2, float(sum(sectors)) / 2),
    ):
        name = f"{piece}-leg-{side}"
        x = strip(
            pile,
            name,
            [min(TAB, 0.8 * legs.top), legs.length, TAB / 2],
            [1, -1],
            ["top", "leg", "tab"],
            ["upper", "foot"],
            2 * legs.half,
        )
        sheet = pile.sheets[-1]
        crossings = [
            Crossing(
                Fold(c.fold.name, c.fold.start, c.fold.end, c.fold.sign, rest), c.left, c.right
            )
            for c in sheet.crossings
        ]
        pile.sheets[-1] = Sheet(
            sheet.name,
            sheet.piece,
            sheet.paper,
            sheet.front,
            sheet.back,
            sheet.facets,
            tuple(crossings),
        )
        upper = Placement(turn).after(Placement(0.0, (legs.top - x[1], -legs.half)))
        pile.joins.append(Join(f"{name}.top", f"{piece}.petal-{petal}", upper, -1))
        lower = spot.after(Placement(0.0, (legs.foot - x[2], -legs.half)))
        pile.joins.append(ground.join(f"{name}.tab", lower))


def flower_on(
    pile: Pile,
    piece: str,
    site: CreaseSite,
    at: float,
    sectors: Sequence[float],
    size: tuple[float, float],
    legs: Legs,
) -> None:
    """A cone flower on legs over a crease; `size` is fold length and petal length."""
    rest = np.radians(60.0)
    petal_rest = min(rest, 2 * np.pi * 5 / 6 / len(sectors))
    cone(pile, piece, sectors, *size, petal_rest)
    spots = Placement(0.0, (0.0, at)), Placement(np.pi, (0.0, at))
    stand(pile, piece, sectors, legs, (site.right, site.left), spots, rest)


def flower_in(
    pile: Pile,
    piece: str,
    host: str,
    sectors: Sequence[float],
    host_sectors: Sequence[float],
    size: tuple[float, float],
    legs: Legs | None = None,
) -> None:
    """A cone in a cone: glued on its two opposite sectors, or on legs of its own."""
    rest = np.radians(60.0)
    petal_rest = min(rest, 2 * np.pi * 5 / 6 / len(sectors))
    cone(pile, piece, sectors, *size, petal_rest)
    there = float(sum(host_sectors)) / 2
    half = len(sectors) // 2, len(host_sectors) // 2
    glued = {0, half[0]} if legs is None else set()
    free = tuple(f"{piece}.petal-{k}" for k in range(len(sectors)) if k not in glued)
    planes = tuple(f"{host}.petal-{k}" for k in range(len(host_sectors)))
    pile.obstacles.append(Obstacle(piece, host, 1, free, planes))
    if legs is None:
        turn = Placement(there - float(sum(sectors)) / 2)
        pile.joins.append(Join(f"{piece}.petal-0", f"{host}.petal-0", Placement()))
        pile.joins.append(Join(f"{piece}.petal-{half[0]}", f"{host}.petal-{half[1]}", turn))
        return
    feet = Ground(f"{host}.petal-0", Placement()), Ground(f"{host}.petal-{half[1]}", Placement())
    stand(pile, piece, sectors, legs, feet, (Placement(), Placement(there)), rest)
