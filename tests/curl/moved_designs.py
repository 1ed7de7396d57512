"""Random designs with curled paper on and beside parts that a hand moves, and states of them."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from meshes.curl import bent
from meshes.drive import Wedges
from meshes.linkage import Linkage
from meshes.motion.result import Motion
from meshes.spread import Spread

_HEAD = 'title = "Moved"\nunits = "mm"\n[spread]\npage = "A5"\n'

_LEAF = '[pieces.leaf]\nkind = "flyleaf"\n'

_WAVE = """\
[pieces.wave]
kind = "v-fold"
on = "{crease}"
points = "{points}"
at = {at}
page_angle = {page_angle}
panel_angle = {panel_angle}
base = {base}
outline = {{ shape = "polygon", corners = [[0, 0], [{base}, 0], [{wide}, 55], [0, 42], \
[-{wide}, 50], [-{base}, 0]] }}
curl = [
  {{ facet = "right", line = [[{x}, 60], [{x2}, -20]], over = {over}, towards = "{way}" }},
  {{ facet = "left", line = [[-{x2}, -20], [-{x}, 60]], over = {over}, towards = "{way}" }},
]
"""

_SLIDE = """\
[pieces.pull]
kind = "slide"
on = "{page}"
x = {slide_x}
y = {slide_y}
turn = {slide_turn}
length = 90
width = 10
travel = {travel}
loops = "tab"

[pieces.tail]
kind = "flat"
on = "pull.strip"
x = -30
anchor = "base"
turn = {tail_turn}
outline = {{ shape = "petal", length = {tail}, width = 16, base = 6, point = 0.8 }}
curl = [{{ facet = "art", line = [[{tail_line}, {tail_rise}], [-{tail_line}, 14]], over = {thin} }}]
"""

_WHEEL = """\
[pieces.mill]
kind = "wheel"
on = "{page}"
x = {wheel_x}
y = {wheel_y}
radius = 12
sweep = {sweep}

[pieces.vane]
kind = "flat"
on = "mill.disc"
anchor = "base"
turn = {vane_turn}
outline = {{ shape = "petal", length = {vane}, width = 14, base = 8, point = 0.6 }}
curl = [{{ facet = "art", line = [[12, 15], [-12, 15]], over = {thin} }}]
"""

_PETAL = """\
[pieces.petal]
kind = "flat"
on = "{petal_on}"
x = {petal_x}
y = {petal_y}
turn = {petal_turn}
outline = {{ shape = "ellipse", length = 44, width = 20 }}
curl = [{{ facet = "art", line = [[12, 2], [-12, 4]], over = {over} }}]
"""


def moved_design(seed: int) -> str:
    """The text of a design with a flyleaf, a slide or a wheel, or some of them, and curls."""
    draw = np.random.default_rng(seed)
    leaf = seed % 3 != 1
    # A page on the left lies towards negative x; on a flyleaf's back so does its own sheet.
    side = -1 if leaf or draw.random() < 0.5 else 1
    base = draw.uniform(20, 40)
    numbers = {
        "crease": str(draw.choice(["leaf.before", "leaf.behind"])) if leaf else "gutter",
        "points": str(draw.choice(["up", "down"])),
        "at": draw.uniform(80, 140),
        "page_angle": draw.uniform(45, 70),
        "panel_angle": draw.uniform(62, 85),
        "base": base,
        "wide": base + draw.uniform(15, 30),
        "x": base + draw.uniform(1, 8),
        "x2": base + draw.uniform(1, 8),
        "over": draw.uniform(8, 30),
        "way": str(draw.choice(["front", "back"])),
        "page": "leaf.sheet" if leaf and draw.random() < 0.5 else
        ("page.left" if side < 0 else "page.right"),
        "slide_turn": draw.uniform(-60, 60),
        "travel": draw.uniform(15, 35),
        "tail_turn": draw.uniform(20, 160),
        "tail": draw.uniform(30, 50),
        "tail_line": 14.0,
        "tail_rise": draw.uniform(8, 20),
        "thin": draw.uniform(6, 16),
        "sweep": draw.uniform(90, 700),
        "vane_turn": draw.uniform(-180, 180),
        "vane": draw.uniform(28, 44),
        "petal_on": "leaf.sheet" if leaf else "page.left",
        "petal_turn": draw.uniform(-180, 180),
    }  # fmt: skip
    out = 1 if numbers["page"] == "leaf.sheet" or side > 0 else -1
    numbers["slide_x"], numbers["wheel_x"] = (out * draw.uniform(40, 70) for _ in range(2))
    numbers["slide_y"], numbers["wheel_y"] = (
        numbers["at"] + draw.uniform(-35, 35) for _ in range(2)
    )
    numbers["petal_x"] = (1 if leaf else -1) * draw.uniform(50, 100)
    numbers["petal_y"] = draw.uniform(12, 30)
    parts = [_HEAD, _LEAF if leaf else "", _WAVE, _PETAL]
    parts.append(_SLIDE if seed % 2 else _WHEEL)
    return "".join(parts).format(**numbers)


def states(spread: Spread, places: int, openings: int) -> Iterator[tuple[Linkage, Motion]]:
    """The paper with its strips, as it lies: at openings, with leaves and hands anywhere.

    Parameters
    ----------
    places : of each wheel and slide.
    openings : of the spread, for each of those; and of a wedge while a flyleaf turns.
    """
    leaves = [leaf.name for leaf in Wedges(spread.linkage).flyleaves]
    hands = [d.name for d in spread.linkage.drives if d.kind != "flyleaf"] or [""]
    degrees = np.linspace(0.0, 180.0, openings)
    for hand in hands:
        for place in np.linspace(0.0, 1.0, places) if hand else [0.0]:
            at = {hand: float(place)} if hand else {}
            for leaf in ([], *([name] for name in leaves)):
                if leaf:
                    turned = {**at, leaf[0]: np.linspace(0.0, 1.0, openings)}
                    motion = spread.solve(np.full(openings, np.pi), turned)
                else:
                    motion = spread.solve(np.radians(degrees), at)
                seen = bent(spread, motion, lifted=False)
                yield seen.linkage, seen.motion
