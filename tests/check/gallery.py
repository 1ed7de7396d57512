"""Small designs with one known fault each, worked out by hand, and sound ones beside them.

Pages are A5, 148 × 210 mm. For a V-fold with page angle a, panel angle b and ridge L the closed
ridge lies at a + b from the gutter; a tent with feet d and panels s reaches d + s; the section of a
tent is a planar four-bar. Every number below follows from these by trigonometry.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from math import acos, cos, degrees, radians, sin, sqrt

PAPERS = """
[papers.card]
grammage = 250
caliper = 0.25
"""


@dataclass(frozen=True)
class Faulty:
    """A design with its fault.

    Parameters
    ----------
    amount : mm (or degrees, by the finding), to ±0.05.
    angles : any of ``from_deg``, ``to_deg``, ``worst_deg`` to ±0.1.
    says : words that the text or the advice must hold.
    """

    name: str
    toml: str
    question: str
    kind: str
    piece: str
    amount: float | None = None
    angles: Mapping[str, float] = field(default_factory=dict)
    says: tuple[str, ...] = ()


def design(*pieces: str, margin: float = 0.0, check: str = "") -> str:
    table = f"[check]\n{check}\n" if check else ""
    head = f'title = "case"\n[spread]\npage = "A5"\nmargin = {margin}\n'
    return head + PAPERS + table + "\n".join(pieces)


def v_fold(name, page, panel, ridge, at, foot=40.0, points="up", extra=""):
    return (
        f'[pieces.{name}]\nkind = "v-fold"\nat = {at}\npage_angle = {page}\n'
        f'panel_angle = {panel}\nbase = {foot}\nridge = {ridge}\npoints = "{points}"\n{extra}\n'
    )


def tent(name, distance, panel, width, at, extra=""):
    """Distances and panels are [left, right] or one number."""
    return (
        f'[pieces.{name}]\nkind = "tent"\nat = {at}\ndistance = {distance}\npanel = {panel}\n'
        f"width = {width}\n{extra}\n"
    )


def slotted(half):
    """The tent `p` with a slot for another one, so far to either side of its middle."""
    corners = f"[[-21, -{half}], [-19, -{half}], [-19, {half}], [-21, {half}]]"
    hole = f'holes = [{{ shape = "polygon", corners = {corners} }}]'
    return tent("p", [25, 60], [60, 25], 60, 80, hole)


def box(name, foot_end, head_end, lid, height=35):
    """Walls 20 from the gutter, 30 long."""
    return (
        f'[pieces.{name}]\nkind = "box"\ndistance = 20\nheight = {height}\nwidth = 30\n'
        f'foot_end = "{foot_end}"\nhead_end = "{head_end}"\nlid = "{lid}"\n'
    )


def art(name, on, points, extra=""):
    """Flat art drawn in the coordinates of the facet it lies on."""
    return (
        f'[pieces.{name}]\nkind = "flat"\non = "{on}"\nx = 0\ny = 0\nanchor = "base"\n'
        f'outline = {{ shape = "polygon", corners = {points} }}\n{extra}\n'
    )


def rect(left, bottom, right, top):
    return [[left, bottom], [right, bottom], [right, top], [left, top]]


def sind(angle):
    return sin(radians(angle))


def cosd(angle):
    return cos(radians(angle))


def ridge_height(d, s, opening):
    """Height of the ridge of an even tent over the gutter."""
    half = radians(opening) / 2
    return d * cos(half) + sqrt(s**2 - (d * sin(half)) ** 2)


def root(f: Callable[[float], float], low: float, high: float) -> float:
    """The zero of a function between two values of different sign, by bisection."""
    rising = f(high) > 0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (low, middle) if (f(middle) > 0) == rising else (middle, high)
    return (low + high) / 2


# cos²(θ/2) = 1901641/3112200: there the ridges of tents 30/40 and 15/48 are equally high.
MEET_1 = 2 * degrees(acos(sqrt(1901641 / 3112200)))
MEET_2 = root(lambda t: ridge_height(40, 50, t) - ridge_height(20, 60, t), 1, 179)
# A foot that closes: sin 60 cos θ = cos 75.
V_JAM = degrees(acos(cosd(75) / sind(60)))


def jam(d_one: float, s_one: float, d_two: float, s_two: float) -> float:
    """The opening where panel `one` lies on its page: law of cosines with the sides d + s and d."""
    reach = d_one + s_one
    return degrees(acos((reach**2 + d_two**2 - s_two**2) / (2 * reach * d_two)))


CARRIER = tent("t", [25, 40], [40, 25], 30, 75)

FAULTY = [
    Faulty(
        "the ridge of a V passes the fore-edge by L sin(a + b) - 148",
        design(v_fold("v", 45, 60, 160, 60)),
        "inside", "sticks out", "v", 160 * sind(105) - 148,
        says=("fore-edge",),
    ),
    Faulty(
        "a V that leans back passes the foot by L cos 30 - 40",
        design(v_fold("v", 60, 90, 60, 40)),
        "inside", "sticks out", "v", 60 * cosd(30) - 40, says=("foot",),
    ),
    Faulty(
        "a slim V passes the head by 180 + L cos 50 - 210",
        design(v_fold("v", 20, 30, 60, 180, foot=20)),
        "inside", "sticks out", "v", 180 + 60 * cosd(50) - 210, says=("head",),
    ),
    Faulty(
        "the margin counts: 152 sin 105 - (148 - 3)",
        design(v_fold("v", 45, 60, 152, 80), margin=3),
        "inside", "sticks out", "v", 152 * sind(105) - 145, says=("fore-edge",),
    ),
    Faulty(
        "a petal 4.0 mm too long: it closes square to the gutter",
        design(v_fold("petal", 40, 50, 152, 80)),
        "inside", "sticks out", "petal", 4.0, says=("fore-edge",),
    ),
    Faulty(
        "an uneven V: 50 + 70 = 60 + 60, L sin 120 - 148",
        design(v_fold("v", [50, 60], [70, 60], 175, 110)),
        "inside", "sticks out", "v", 175 * sind(120) - 148,
    ),
    Faulty(
        "a tent reaches 70 + 90 = 160",
        design(tent("t", 70, 90, 40, 100)),
        "inside", "sticks out", "t", 12.0,
    ),
    Faulty(
        "an uneven tent reaches 60 + 100 = 80 + 80 = 160",
        design(tent("t", [60, 80], 100, 40, 100)),
        "inside", "sticks out", "t", 12.0,
    ),
    Faulty(
        "a tent 60 wide at 190 reaches 220 of 210",
        design(tent("t", 30, 40, 60, 190)),
        "inside", "sticks out", "t", 10.0, says=("head",),
    ),
    Faulty(
        "a tent 60 wide at 20 begins at -10",
        design(tent("t", 30, 40, 60, 20)),
        "inside", "sticks out", "t", 10.0, says=("foot",),
    ),
    Faulty(
        "art on a strip: the foot lies at 25, the art ends 130 farther, at 155",
        design(CARRIER, art("a", "t.left", rect(-30, -15, 90, 15))),
        "inside", "sticks out", "a", 7.0, says=("fore-edge",),
    ),
    Faulty(
        "flat art on a page passes the fore-edge by 3",
        design(art("a", "page.right", rect(110, 90, 151, 120))),
        "inside", "sticks out", "a", 3.0,
    ),
    Faulty(
        "flat art on a page passes the head by 2.5",
        design(art("a", "page.left", rect(-80, 180, -40, 212.5))),
        "inside", "sticks out", "a", 2.5, says=("head",),
    ),
    Faulty(
        "flat art on a page passes the gutter by 5",
        design(art("a", "page.right", rect(-5, 90, 40, 120))),
        "inside", "sticks out", "a", 5.0, says=("spine",),
    ),
    Faulty(
        "the same art is folded when the notebook closes",
        design(art("a", "page.right", rect(-5, 90, 40, 120))),
        "makeable", "over a fold", "a", 5.0, says=("page.gutter",),
    ),
    Faulty(
        "a V jams where its foot closes: sin 60 cos θ = cos 75",
        design(v_fold("v", [60, 50], [75, 40], 50, 80)),
        "moves", "jams", "v", None, {"worst_deg": V_JAM},
    ),
    Faulty(
        "a tent jams where its left panel comes to lie: 55, 30 and 40 make a triangle",
        design(tent("t", [20, 30], [35, 40], 30, 100)),
        "moves", "jams", "t", None, {"worst_deg": jam(20, 35, 30, 40)},
    ),
    Faulty(
        "a tent jams where its shorter panel comes to lie: 58, 30 and 40",
        design(tent("t", 30, [40, 28], 30, 100)),
        "moves", "jams", "t", None, {"worst_deg": jam(30, 28, 30, 40)},
    ),
    Faulty(
        "a tent that is too short tears where 40² + 40² - 2·40² cos θ = 60²",
        design(tent("t", 40, 30, 30, 100)),
        "moves", "jams", "t", None, {"worst_deg": degrees(acos(1 - 3600 / 3200))},
    ),
    Faulty(
        "a leaf wider than its strip by 5 passes the page by 5 sin θ",
        design(CARRIER, art("leaf", "t.left", rect(-45, -10, -5, 10))),
        "clash", "clashes", "leaf", 5.0, {"from_deg": 0.0, "to_deg": 180.0, "worst_deg": 90.0},
        ("cut 5.00 mm off leaf.art",),
    ),
    Faulty(
        "the same leaf lies over the foot of its strip",
        design(CARRIER, art("leaf", "t.left", rect(-45, -10, -5, 10))),
        "makeable", "over a fold", "leaf", 5.0, says=("t.left-base",),
    ),
    Faulty(
        "art 3 mm past the right foot of a tent",
        design(tent("t", 30, 40, 40, 100), art("a", "t.right", rect(5, -10, 43, 10))),
        "clash", "clashes", "a", None, {"from_deg": 0.0}, ("cut 3.00 mm off a.art",),
    ),
    Faulty(
        "two tents meet where their ridges are equally high",
        design(tent("outer", 30, 40, 60, 80), tent("inner", 15, 48, 40, 80)),
        "clash", "clashes", "outer", None, {"from_deg": MEET_1, "to_deg": 180.0},
    ),
    Faulty(
        "two other tents meet where their ridges are equally high",
        design(tent("outer", 40, 50, 60, 80), tent("inner", 20, 60, 40, 80)),
        "clash", "clashes", "outer", None, {"from_deg": MEET_2, "to_deg": 180.0},
    ),
    Faulty(
        "a panel 25 sin θ over the page against one that rises to 30 sin θ",
        design(tent("p", [25, 60], [60, 25], 60, 80), tent("q", [30, 40], [40, 30], 40, 80)),
        "clash", "clashes", "p", 5.0, {"from_deg": 0.0, "to_deg": 180.0},
    ),
    Faulty(
        "the same with 33 sin θ: 8 mm",
        design(tent("p", [25, 60], [60, 25], 60, 80), tent("q", [33, 40], [40, 33], 40, 80)),
        "clash", "clashes", "p", 8.0, {"from_deg": 0.0, "to_deg": 180.0},
    ),
    Faulty(
        "a slot 2 mm too short at each end for the panel that passes",
        design(
            slotted(18),
            tent("q", [30, 40], [40, 30], 40, 80),
        ),
        "clash", "clashes", "p", 2.0, says=("2.00 mm off the free edges",),
    ),
    Faulty(
        "a tab from 22 to 30 mm is glued later than the panel that rises at 25",
        design(
            slotted(20.6),
            tent("q", [30, 40], [40, 30], 40, 80),
        ),
        "makeable", "over a fold", "q", 3.0, says=("p.left", "table of q before that of p"),
    ),
    Faulty(
        "two V-folds lean to each other: tips meet half way at L u_y(120) = 17.542",
        design(
            v_fold("low", 45, 60, 80, 60, foot=20),
            v_fold("high", 45, 60, 80, 60 + 2 * 80 * 0.2192753, foot=20, points="down"),
        ),
        "clash", "clashes", "low", None, {"from_deg": 120.0, "to_deg": 180.0},
    ),
    Faulty(
        "both ends of a box fold in by 20 cos(θ/2) and meet in its length of 30",
        design(box("b", foot_end="in", head_end="in", lid="none")),
        "clash", "clashes", "b", None,
        {"from_deg": 0.0, "to_deg": 2 * degrees(acos(15 / 20))},
    ),
    Faulty(
        "a box 110 high with its lid out reaches 110 + 2 * 20 = 150 of 148",
        design(box("b", foot_end="out", head_end="out", lid="out", height=110)),
        "inside", "sticks out", "b", 110 + 2 * 20 - 148,
    ),
    Faulty(
        "three tents: 2 pages of 0.1, 6 panels and 2 tabs of 0.25 make 2.2",
        design(
            tent("a", 30, 60, 40, 70, 'tabs = "out"'), tent("b", 20, 50, 30, 70),
            tent("c", 10, 40, 20, 70), check="thickest = 1.8",
        ),
        "thickness", "too thick", "a", 2.2, says=("10 layers",),
    ),
    Faulty(
        "art on art on art: 2 pages, 4 cards make 1.2",
        design(
            *(art(f"a{k}", "page.right" if k == 0 else f"a{k - 1}.art",
                  rect(40, 60, 100 - 10 * k, 120)) for k in range(4)),
            check="thickest = 1.0",
        ),
        "thickness", "too thick", "a0", 1.2,
    ),
    Faulty(
        "a tab 4 mm deep is too narrow for glue",
        design(tent("t", 30, 40, 40, 100, "tab = 4")),
        "makeable", "narrow glue", "t", 4.0,
    ),
    Faulty(
        "an arm 3 mm wide leaves too little glue on the panel",
        design(tent("t", 30, 40, 40, 100), """
[pieces.a]
kind = "arm"
on = "t.right"
length = 30
width = 3
"""),
        "makeable", "narrow glue", "a", 3.0,
    ),
    Faulty(
        "a window leaves a bridge of 1.5 mm at the edge",
        design(
            art("a", "page.right", rect(40, 60, 100, 120),
                'holes = [{ shape = "polygon", corners = [[41.5, 70], [80, 70], [80, 110], '
                "[41.5, 110]] }]"),
        ),
        "makeable", "thin bridge", "a", 1.5,
    ),
    Faulty(
        "two windows leave a bridge of 1 mm between them",
        design(
            art("a", "page.right", rect(40, 60, 100, 120),
                'holes = [{ shape = "polygon", corners = [[50, 70], [69, 70], [69, 110], [50, 110]]'
                ' }, { shape = "polygon", corners = [[70, 70], [90, 70], [90, 110], [70, 110]] }]'),
        ),
        "makeable", "thin bridge", "a", 1.0,
    ),
    Faulty(
        "a stalk 1.2 mm wide",
        design(
            art("a", "page.right",
                [[40, 60], [70, 60], [70, 75], [55.6, 75], [55.6, 95], [54.4, 95], [54.4, 75],
                 [40, 75]]),
        ),
        "makeable", "thin strip", "a", 1.2,
    ),
    Faulty(
        "a slot 0.6 mm wide, where (0.25 + 0.3) / sin 20° = 1.61 is needed",
        design(
            tent(
                "p", [25, 60], [60, 25], 60, 80,
                'holes = [{ shape = "polygon", corners = [[-20.3, -21], [-19.7, -21], [-19.7, 21], '
                "[-20.3, 21]] }]",
            ),
            tent("q", [30, 40], [40, 30], 40, 80),
        ),
        "makeable", "narrow slit", "p", 0.6, says=(f"needs {0.55 / sind(20):.2f} mm",),
    ),
    Faulty(
        "a slot that leaves 0.2 mm at each end",
        design(
            slotted(20.2),
            tent("q", [30, 40], [40, 30], 40, 80),
        ),
        "makeable", "tight slit", "p", 0.2, says=("0.30 mm too little",),
    ),
    Faulty(
        "74 mm of height on 80 g/m²",
        design(
            v_fold("v", 45, 60, 80, 80, extra='paper = "thin"'),
            "[papers.thin]\ngrammage = 80\n",
        ),
        "makeable", "light paper", "v", 80.0,
    ),
]  # fmt: skip

# No failure and no warning may be found in any of these.
SOUND = {
    "a V inside its page": design(v_fold("v", 45, 60, 80, 100)),
    "a V 0.1 inside": design(v_fold("v", 45, 60, 147.9 / sind(105), 80)),
    "a tent flush with the fore-edge": design(tent("t", 60, 88, 40, 100)),
    "a tent flush with head and foot": design(tent("t", 30, 40, 210, 105)),
    "a margin kept to a hair": design(tent("t", 60, 85, 40, 100), margin=3),
    "a V that leans back": design(v_fold("v", 60, 90, 60, 120)),
    "a slim V": design(v_fold("v", 30, 45, 70, 60)),
    "an uneven V": design(v_fold("v", [50, 60], [70, 60], 80, 110)),
    "a V that points down": design(v_fold("v", 45, 60, 80, 120, points="down")),
    "a V with tabs in front": design(v_fold("v", 45, 60, 80, 100, extra='tabs = "out"')),
    "an even tent": design(tent("t", 30, 40, 40, 100)),
    "an uneven tent": design(tent("t", [20, 30], [40, 30], 40, 100)),
    "a tent with tabs outside": design(tent("t", 30, 40, 40, 100, 'tabs = "out"')),
    "a parallelogram": design(CARRIER),
    "art that ends at the foot of its strip": design(
        CARRIER, art("a", "t.left", rect(-40, -10, 70, 10))
    ),
    "art that hangs over the ridge": design(CARRIER, art("a", "t.left", rect(-30, -12, 30, 12))),
    "parallel panels 5 sin θ apart": design(
        tent("p", [25, 60], [60, 25], 60, 80), tent("q", [20, 40], [40, 20], 40, 80)
    ),
    "tents one in the other": design(
        tent("a", 30, 60, 40, 70), tent("b", 20, 50, 30, 70), tent("c", 10, 40, 20, 70)
    ),
    "a halving slot with room, over a tab that reaches under it": design(
        tent("q", [30, 40], [40, 30], 40, 80),
        slotted(20.6),
    ),
    "V-folds one behind the other": design(
        v_fold("a", 45, 60, 60, 60, foot=25), v_fold("b", 45, 60, 60, 90, foot=25),
        v_fold("c", 45, 60, 60, 120, foot=25),
    ),
    "a V in front of a tent": design(
        v_fold("v", 45, 60, 50, 40, foot=25), tent("t", 30, 40, 40, 130)
    ),
    "flat art on both pages": design(
        art("a", "page.left", rect(-80, 60, -20, 120)),
        art("b", "page.right", rect(20, 60, 80, 120)),
    ),
    "art on art": design(
        art("a", "page.right", rect(40, 60, 100, 120)), art("b", "a.art", rect(50, 70, 90, 110))
    ),
    "art flush with the gutter": design(art("a", "page.right", rect(0, 60, 60, 120))),
    "a window with bridges of 3 mm": design(
        art("a", "page.right", rect(40, 60, 100, 120),
            'holes = [{ shape = "polygon", corners = [[43, 70], [80, 70], [80, 110], '
            '[43, 110]] }]'),
    ),
    "a pointed petal": design(
        '[pieces.petal]\nkind = "v-fold"\nat = 84\npage_angle = 48\npanel_angle = 62\nbase = 20\n'
        'outline = { shape = "petal", length = 74, width = 52, point = 1 }\n'
    ),
    "a leaf with teeth": design(
        '[pieces.leaf]\nkind = "flat"\non = "page.right"\nx = 70\ny = 100\n'
        'outline = { shape = "leaf", length = 80, width = 40, teeth = 7 }\n'
    ),
    "a star": design(
        '[pieces.star]\nkind = "flat"\non = "page.left"\nx = -70\ny = 100\n'
        'outline = { shape = "star", length = 60, rays = 5 }\n'
    ),
    "a V on the ridge of a tent": design(
        tent("t", 40, 55, 60, 80),
        '[pieces.v]\nkind = "v-fold"\non = "t.ridge"\nat = 20\npage_angle = 45\n'
        "panel_angle = 60\nbase = 20\nridge = 30\n",
    ),
    "a carrier": design(
        '[pieces.c]\nkind = "carrier"\nat = 90\ndistance = 60\nflap = 25\nwidth = 50\n'
    ),
    "a V on a carrier": design(
        '[pieces.c]\nkind = "carrier"\nat = 90\ndistance = 60\nflap = 30\nwidth = 60\n',
        '[pieces.v]\nkind = "v-fold"\non = "c.crease"\nat = 20\npage_angle = 45\n'
        "panel_angle = 60\nbase = 20\nridge = 30\n",
    ),
    "a box whose ends and lid fold out": design(box("b", "out", "out", "out")),
    "a box with one end folded in": design(box("b", "in", "out", "none")),
    "a stair of two steps": design(
        '[pieces.s]\nkind = "stair"\nreach = 60\nlength = 100\ntreads = [\n'
        "{ at = 5, length = 30, distance = [20, 40] },\n"
        "{ at = 40, length = 25, distance = [35, 10] },\n]\n"
    ),
    "a platform on struts": design(
        '[pieces.p]\nkind = "platform"\ndistance = 15\nheight = 25\nwidth = 30\nstruts = [40]\n'
        'outline = { shape = "rectangle", length = 90, width = 110, y = -45 }\n'
    ),
    "a mouth": design(
        '[pieces.m]\nkind = "mouth"\nreach = 60\nlength = 150\ncut = [30, 30]\nupper = 40\n'
    ),
    "a leaf as large as the page": design('[pieces.year]\nkind = "flyleaf"\n', margin=4),
    "dots stuck down whole": design(
        '[pieces.dot]\nkind = "flat"\non = "page.right"\nx = 70\ny = 100\n'
        'outline = { shape = "ellipse", length = 4, width = 4 }\n'
    ),
    "a blossom of six sectors, which has freedom left": design(
        '[pieces.bloom]\nkind = "blossom"\nat = 100\nsectors = 6\nangle = 51\nlength = 47\n'
        "parting = 40\n",
    ),
    "closed thickness under its limit": design(
        tent("a", 30, 60, 40, 70), tent("b", 20, 50, 30, 70), check="thickest = 2.3"
    ),
}  # fmt: skip
