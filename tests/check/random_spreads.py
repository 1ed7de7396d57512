"""Random designs that somebody might have meant: a few pieces on the gutter and on each other.

They are files, as a user writes them, and about half of them have parts that collide.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import tomlkit

Keys = dict[str, Any]
Make = Callable[[np.random.Generator, float], Keys]


def random_design(seed: int, most: int = 5) -> str:
    """The text of a design file: two folded pieces, or up to `most`, and art on the pages."""
    random = np.random.default_rng(seed)
    pieces: dict[str, Keys] = {}
    creases: list[tuple[str, float]] = [("gutter", 210.0)]
    count = int(random.integers(2, most + 1))
    middle = random.uniform(50, 160)
    for k in range(count):
        on, room = creases[int(random.integers(len(creases)))] if k > 1 else creases[0]
        kinds = tuple(_ON_GUTTER) if on == "gutter" else ("v-fold", "tent")
        kind = kinds[int(random.integers(len(kinds)))]
        scale = 1.0 if on == "gutter" else 0.45
        keys = {"kind": kind, "on": on, **_ON_GUTTER[kind](random, scale)}
        # Near each other, or nothing would ever meet.
        keys["at"] = _round(np.clip(random.normal(middle, 30), 20, 190) if on == "gutter" else room)
        name = f"piece-{k + 1}"
        pieces[name] = keys
        if kind == "v-fold" and keys["points"] == "up" and on == "gutter":
            creases.append((f"{name}.ridge", keys["ridge"] * 0.5))
        elif kind == "tent" and on == "gutter":
            creases.append((f"{name}.ridge", keys["width"] * 0.5))
    for k in range(int(random.integers(0, 3))):
        page = ("page.left", "page.right")[int(random.integers(2))]
        pieces[f"art-{k + 1}"] = {"kind": "flat", "on": page, "outline": _art(random)}
    return tomlkit.dumps({"title": f"Random {seed}", "pieces": pieces})


def wider_design(seed: int) -> str:
    """Two or three such pieces, and what is drawn, carried or moved by hand beside them.

    Drawings are those of the shipped designs, in a folder `drawings`.
    """
    random = np.random.default_rng([seed, 1])
    document = tomlkit.parse(random_design(seed, most=3)).unwrap()
    pieces: dict[str, Keys] = document["pieces"]
    for k, kind in enumerate(random.permutation(list(_WIDER))[: int(random.integers(1, 4))]):
        for name, keys in _WIDER[str(kind)](random, f"more-{k + 1}", pieces).items():
            pieces[name] = keys
    document["title"] = f"Wider {seed}"
    return tomlkit.dumps(document)


def _drawn(random: np.random.Generator, name: str, _: dict[str, Keys]) -> dict[str, Keys]:
    file = ("boat", "church", "sheds", "tall-houses")[int(random.integers(4))]
    at = _round(random.uniform(50, 160))
    return {name: {"kind": "drawn", "file": f"drawings/{file}.svg", "on": "gutter", "at": at}}


def _carrier(random: np.random.Generator, name: str, _: dict[str, Keys]) -> dict[str, Keys]:
    lies = ("left", "right")[int(random.integers(2))]
    width = random.uniform(30, 60)
    keys = {
        "kind": "carrier",
        "on": "gutter",
        "at": _round(random.uniform(60, 150)),
        "lies": lies,
        "distance": _round(random.uniform(25, 50)),
        "flap": _round(random.uniform(10, 22)),
        "width": _round(width),
        "tab": 8,
    }
    kind = ("v-fold", "tent")[int(random.integers(2))]
    on_it = {"kind": kind, "on": f"{name}.crease", "at": _round(width / 2)}
    return {name: keys, f"{name}-on": on_it | _ON_GUTTER[kind](random, 0.4)}


def _slide(random: np.random.Generator, name: str, pieces: dict[str, Keys]) -> dict[str, Keys]:
    panels = [f"{n}.left" for n, keys in pieces.items() if keys["kind"] in ("tent", "v-fold")]
    hosts = ["page.left", "page.right", *panels]
    on = hosts[int(random.integers(len(hosts)))]
    width, travel, loop = 7.0, random.uniform(8, 25), 6.0
    length = width + travel + 2 * loop + random.uniform(2, 25)
    middle = (0.0, 0.0) if "page" not in on else (random.uniform(40, 100), random.uniform(50, 160))
    x = -middle[0] if on == "page.left" else middle[0]
    keys = {
        "kind": "slide",
        "on": on,
        "x": _round(x if "page" in on else random.uniform(-30, -8)),
        "y": _round(middle[1] if "page" in on else random.uniform(5, 25)),
        "turn": _round(random.uniform(-180, 180)),
        "length": _round(length),
        "width": width,
        "travel": _round(travel - 0.1),
        "loop": loop,
        "glue": 6,
    }
    art = {"kind": "flat", "on": f"{name}.strip", "x": _round(random.uniform(-length, length) / 2),
           "y": 0, "outline": _art(random)}  # fmt: skip
    return {name: keys, f"{name}-art": art}


def _wheel(random: np.random.Generator, name: str, _: dict[str, Keys]) -> dict[str, Keys]:
    right = random.random() < 0.5
    radius = random.uniform(15, 40)
    x = random.uniform(20, 100)
    keys = {
        "kind": "wheel",
        "on": "page.right" if right else "page.left",
        "x": _round(x if right else -x),
        "y": _round(random.uniform(50, 160)),
        "radius": _round(radius),
        "grips": 0,
        "sweep": _round(random.uniform(40, 340)),
    }
    art = {"kind": "flat", "on": f"{name}.disc", "x": _round(radius * 0.6), "y": 0,
           "outline": _art(random)}  # fmt: skip
    return {name: keys, f"{name}-art": art}


_WIDER: dict[str, Callable[[np.random.Generator, str, dict[str, Keys]], dict[str, Keys]]] = {
    "drawn": _drawn,
    "carrier": _carrier,
    "slide": _slide,
    "wheel": _wheel,
}


def _round(value: float) -> float:
    return round(float(value), 2)


def _art(random: np.random.Generator) -> Keys:
    length, width = (_round(x) for x in random.uniform(15, 60, 2))
    if random.random() < 0.3:
        return {"shape": "star", "length": length}
    return {
        "shape": ("ellipse", "rectangle", "petal")[int(random.integers(3))],
        "length": length,
        "width": width,
    }


def _v_fold(random: np.random.Generator, scale: float) -> Keys:
    angle, lean = random.uniform(30, 70), random.uniform(-6, 6)
    up = scale < 1 or random.random() < 0.6
    panel = random.uniform(angle + 8, 98) if scale == 1 else angle + random.uniform(10, 30)
    return {
        "points": "up" if up else "down",
        "page_angle": [_round(angle + lean), _round(angle - lean)],
        "panel_angle": _round(panel),
        "base": _round(random.uniform(15, 45) * scale),
        "ridge": _round(random.uniform(30, 80) * scale),
        "tab": 6,
    }


def _tent(random: np.random.Generator, scale: float) -> Keys:
    feet = random.uniform(10, 40, 2) * scale
    left = feet.max() + random.uniform(8, 30) * scale
    return {
        "distance": [_round(x) for x in feet],
        "panel": _round(left),
        "width": _round(random.uniform(10, 50) * scale),
        "tab": 6,
    }


def _box(random: np.random.Generator, _: float) -> Keys:
    return {
        "distance": _round(random.uniform(8, 30)),
        "height": _round(random.uniform(8, 35)),
        "width": _round(random.uniform(10, 40)),
        "lid": ("in", "out")[int(random.integers(2))],
        "tab": 6,
    }


def _stair(random: np.random.Generator, _: float) -> Keys:
    length = random.uniform(30, 80)
    treads, start = [], 0.0
    for _step in range(int(random.integers(1, 4))):
        start += random.uniform(2, 8)
        long = random.uniform(6, 20)
        if start + long > length - 2:
            break
        feet = [_round(x) for x in random.uniform(8, 38, 2)]
        treads.append({"at": _round(start), "length": _round(long), "distance": feet})
        start += long
    if not treads:
        treads = [{"at": 3, "length": 15, "distance": 20}]
    return {"reach": _round(random.uniform(42, 55)), "length": _round(length), "treads": treads}


def _mouth(random: np.random.Generator, _: float) -> Keys:
    cut = random.uniform(12, 30)
    return {
        "reach": _round(cut + random.uniform(8, 20)),
        "length": _round(random.uniform(50, 80)),
        "cut": _round(cut),
        "upper": _round(random.uniform(8, 20)),
        "lower": _round(random.uniform(8, 20)),
    }


def _zigzag(random: np.random.Generator, _: float) -> Keys:
    keys = _v_fold(random, 1.0)
    keys["points"] = "up"
    return keys | {"levels": int(random.integers(2, 4)), "pleat": _round(random.uniform(25, 50))}


_ON_GUTTER: dict[str, Make] = {
    "v-fold": _v_fold,
    "tent": _tent,
    "box": _box,
    "stair": _stair,
    "mouth": _mouth,
    "zigzag": _zigzag,
}
