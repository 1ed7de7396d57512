"""Random single pieces of all kinds, valid ones only, and patterns of one piece a page."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from meshes import spread
from meshes.errors import DesignError
from preview.pattern.layout import Options, Pattern, PatternPage
from preview.pattern.marks import Placed
from preview.pattern.stock import Stock

ROOM = Stock("roll", 1000.0, 1000.0)
HEAD = 'title = "t"\n[spread]\npage = "A5"\n[pieces.one]\n'


def shape(random, size):
    """An outline about as large as `size` mm."""
    a, b = random.uniform(0.7, 1.3, 2) * size
    kind = random.choice(["leaf", "ellipse", "rectangle", "petal", "heart", "star", "polygon"])
    if kind == "star":
        return f'{{ shape = "star", points = {random.integers(4, 9)}, radius = {a / 2:.3f} }}'
    if kind == "polygon":
        turn = np.sort(random.uniform(0, 2 * np.pi, 9))
        points = np.c_[np.cos(turn) * b / 2, (1 + np.sin(turn)) * a / 2].round(3)
        return f'{{ shape = "polygon", points = {points.tolist()} }}'
    return f'{{ shape = "{kind}", length = {a:.3f}, width = {b:.3f} }}'


def _v_fold(r, kind):
    text = f"page_angle = {r.uniform(25, 80):.3f}\npanel_angle = {r.uniform(30, 85):.3f}\n"
    text += f"base = {r.uniform(8, 30):.3f}\noutline = {shape(r, r.uniform(30, 90))}\n"
    return text + (f"arm = {r.uniform(20, 60):.3f}\n" if kind == "pivot" else "")


def _blossom(r, _):
    """Any key of a layer may be given, within all that the reader allows."""
    half = int(r.integers(1, 8))
    text = f"sectors = {2 * half}\nlength = {r.uniform(8, 70):.3f}\n"
    for k in range(r.integers(1, 4)):
        text += f'[[pieces.one.layers]]\nname = "layer{k}"\n'
        text += "".join(f"{line}\n" for line in _layer(r, half) if r.random() < 0.3)
    return text


def _layer(r, half):
    """One line for each key of a layer."""
    one = r.uniform(15, 130 / half, half).round(2)
    angle = [*one, *one] if r.random() < 0.5 else round(r.uniform(8, 300 / half), 2)
    corners = np.c_[np.sort(r.uniform(0.1, 0.9, 2))[::-1], r.uniform(0.4, 1, 2)].round(3)
    return (
        f"length = {r.uniform(5, 60):.3f}",
        f"parting = {r.uniform(2, 30):.3f}",
        f"angle = {list(map(float, angle)) if isinstance(angle, list) else angle}",
        f"petals = {r.integers(1, 5)}",
        f"breadth = {r.uniform(0, 1):.3f}",
        f"point = {r.uniform(0, 1):.3f}",
        f"notch = {r.uniform(0, 0.4):.3f}",
        f'stand = "flat"\nturn = {r.uniform(-60, 60):.3f}',
        f"profile = {[*corners.tolist(), [0, round(r.uniform(0.5, 1), 3)]]}",
        f'legs = {{ hang = "{r.choice(["sector", "fold", "beside"])}" }}',
    )


def _panels(r, kind):
    wide, far = r.uniform(15, 60), r.uniform(10, 40)
    high = far * r.uniform(1.1, 1.6)
    more = f"outline = {shape(r, high)}\n" if r.random() < 0.5 else ""
    return {
        "tent": f"distance = {far:.3f}\npanel = {high:.3f}\nwidth = {wide:.3f}\n{more}",
        "box": f"distance = {far:.3f}\nheight = {high:.3f}\nwidth = {wide:.3f}\n",
        "strap": f"distance = {far:.3f}\npanels = {[round(high / 2, 3)] * 4}\nwidth = {wide:.3f}\n",
        "carrier": f"distance = {far:.3f}\nflap = {high:.3f}\nwidth = {wide:.3f}\n",
        "platform": f"distance = {far:.3f}\nheight = {high:.3f}\nwidth = {wide:.3f}\n"
        f"outline = {shape(r, 2 * high)}\n",
        "mouth": f"reach = {far:.3f}\nlength = {2 * high:.3f}\ncut = {wide:.3f}\n"
        f"upper = {r.uniform(2, 12):.3f}\n",
        "stair": f"reach = {2 * far:.3f}\nlength = {wide + 20:.3f}\ntreads = [{{ at = 5, "
        f"length = {wide / 2:.3f}, distance = [{far / 2:.3f}, {far:.3f}] }}]\n",
    }[kind]


def _on_facet(r, kind):
    if kind == "flyleaf":
        size = f"width = {r.uniform(60, 140):.3f}\nheight = {r.uniform(60, 200):.3f}\n"
        return f'{size}lies = "{r.choice(["left", "right"])}"\n'
    text = f"turn = {r.uniform(-40, 40):.3f}\n"
    return (
        text
        + {
            "flat": f"outline = {shape(r, r.uniform(15, 60))}\n",
            "arm": f"length = {r.uniform(20, 50):.3f}\n",
            "wheel": f"radius = {r.uniform(15, 35):.3f}\nsweep = {r.uniform(60, 300):.3f}\n",
            "slide": f"length = {r.uniform(50, 90):.3f}\ntravel = {r.uniform(8, 25):.3f}\n",
        }[kind]
    )


FOLDED = {
    **dict.fromkeys(("v-fold", "pivot", "zigzag"), _v_fold),
    "blossom": _blossom,
    **dict.fromkeys(("tent", "box", "strap", "carrier", "platform", "mouth", "stair"), _panels),
}
LAID = dict.fromkeys(("flat", "arm", "wheel", "slide", "flyleaf"), _on_facet)
# Blossoms and V-folds with an outline once lost paper: they come more often.
KINDS = (*FOLDED, *LAID, "blossom", "v-fold", "blossom", "v-fold")


def random_piece(seed, folder):
    """The spread of a valid random piece; those that the design reader refuses are drawn again."""
    random = np.random.default_rng(seed)
    kind = KINDS[seed % len(KINDS)]
    for _ in range(200):
        if kind in LAID:
            place = "" if kind == "flyleaf" else 'on = "page.right"\nx = 70\ny = 100\n'
            make = LAID[kind]
        else:
            place = f'on = "gutter"\nat = {random.uniform(60, 120):.3f}\n'
            make = FOLDED[kind]
        text = f'{HEAD}kind = "{kind}"\n{place}{make(random, kind)}'
        (folder / "one.toml").write_text(text)
        try:
            return spread.read(folder / "one.toml")
        except DesignError:
            continue
    raise AssertionError(f"no valid {kind} in 200")


def alone(made, options=None):
    """A pattern with one page for each template, without the time that nesting takes."""
    pages = []
    for template in made:
        low, _, _, high = template.outline.bounds
        placed = Placed(template, np.diag([1.0, -1.0]), np.array([10.0 - low, 10.0 + high]))
        pages.append(PatternPage(ROOM, template.title, "card", "front", (placed,), ()))
    return Pattern("t", tuple(made), tuple(pages), (), replace(options or Options(), stock=ROOM))
