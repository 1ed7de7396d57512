"""What lies in the paper drawer: every kind of piece, shipped outlines and shipped drawings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal

from meshes import designs
from meshes.outline import SHAPES
from meshes.pieces import KINDS

from .values import meaning

Json = dict[str, Any]
Group = Literal["folded", "outlines", "drawings"]

# Sizes that fit a page of A5 with room to spare, mm and degrees: our choice, tried by the tests.
_KINDS: Mapping[str, Json] = {
    "v-fold": {
        "page_angle": 48,
        "panel_angle": 62,
        "base": 24,
        "tab": 8,
        "outline": {"shape": "petal", "length": 70, "width": 50},
    },
    "blossom": {"sectors": 6, "angle": 52, "length": 44},
    "tent": {"distance": 18, "panel": 40, "width": 44},
    "box": {"distance": 26, "height": 32, "width": 44},
    "platform": {
        "distance": 18,
        "height": 22,
        "width": 40,
        "outline": {"shape": "ellipse", "length": 64, "width": 70, "y": -32},
    },
    "carrier": {"distance": 30, "flap": 18, "width": 40},
    "strap": {"distance": 30, "panels": [34, 34], "width": 30},
    "zigzag": {"page_angle": 52, "panel_angle": 66, "base": 18, "levels": 4, "ridge": 80},
    "stair": {
        "reach": 44,
        "length": 84,
        "treads": [
            {"at": 10, "length": 20, "distance": 16},
            {"at": 44, "length": 24, "distance": 24},
        ],
    },
    "mouth": {"reach": 34, "length": 64, "cut": 24, "upper": 20, "lower": 16},
    "pivot": {
        "page_angle": 40,
        "panel_angle": 56,
        "base": 24,
        "ridge": 30,
        "arm": 40,
        "arm_turn": -30,
    },
    "arm": {"length": 40},
    "wheel": {"radius": 30},
    "slide": {"length": 80, "travel": 16},
    "flat": {"outline": {"shape": "rectangle", "length": 40, "width": 56, "round": 4}},
    "flyleaf": {},
}
# Kinds once more, with what only their lists hold.
_RICHER: Mapping[str, tuple[str, Json, str]] = {
    "layered-blossom": (
        "blossom",
        {
            "sectors": 6,
            "angle": 53,
            "petals": 3,
            "length": 44,
            "parting": 32,
            "front": "#f2b632",
            "layers": [
                {"name": "outer"},
                {
                    "name": "heart",
                    "angle": 46,
                    "petals": 4,
                    "length": 27,
                    "parting": 24,
                    "front": "#6b4030",
                },
            ],
        },
        "A flower in two layers: a smaller and steeper one stands in the larger.",
    ),
    "tower": (
        "v-fold",
        {
            "page_angle": 50,
            "panel_angle": 80,
            "base": 26,
            "gusset": 10,
            "front": "#e2b48a",
            "back": "#b98d66",
            "holes": [
                {"shape": "rectangle", "length": 12, "width": 6, "x": -11, "y": 36},
                {"shape": "rectangle", "length": 12, "width": 6, "x": 11, "y": 36},
            ],
            "outline": {
                "shape": "polygon",
                "corners": [
                    *([0, 0], [22, 0], [22, 54], [27, 60], [27, 69], [20, 69], [20, 64]),
                    *([12, 64], [12, 72], [16, 72], [0, 98], [-16, 72], [-12, 72], [-12, 64]),
                    *([-20, 64], [-20, 69], [-27, 69], [-27, 60], [-22, 54], [-22, 0]),
                ],
            },
        },
        "A tower on the gutter: a V-fold with battlements, windows and a pointed roof.",
    ),
}
_OUTLINES: Mapping[str, Json] = {
    "rectangle": {"length": 44, "width": 32},
    "ellipse": {"length": 36, "width": 52},
    "petal": {"length": 52, "width": 30},
    "leaf": {"length": 56, "width": 26},
    "fern": {"length": 64, "width": 40},
    "heart": {"length": 40},
    "star": {"length": 44},
    "rosette": {"length": 44},
    "cloud": {"length": 26, "width": 56},
    "cap": {"length": 26, "width": 48},
    "drop": {"length": 44, "width": 28},
    "grass": {"length": 40, "width": 52},
    "moon": {"length": 40},
    "ring": {"length": 44, "width": 9},
}


# Of paper that a maker would seldom cut from white. Our choice.
_COLOURS: Mapping[str, str] = {
    "petal": "#d9603b",
    "leaf": "#5b9367",
    "fern": "#4f7f52",
    "grass": "#6f9b57",
    "heart": "#c2453a",
    "star": "#f0c04a",
    "moon": "#f0dc96",
}


@dataclass(frozen=True)
class Item:
    """One thing in the drawer.

    Parameters
    ----------
    name : in the drawer, and of the piece that it becomes.
    table : its keys, mm and degrees, fit for a page of A5; without its place.
    file : the shipped drawing that it is made of, if it is one.
    """

    name: str
    group: Group
    kind: str
    table: Mapping[str, Any]
    means: str
    file: Path | None = None

    @property
    def stands(self) -> Literal["crease", "facet"]:
        """What it can be laid on."""
        return KINDS[self.kind].stands_on

    def told(self) -> Json:
        """The item as a page lists it."""
        return {
            "kind": self.name,
            "group": self.group,
            "means": self.means,
            "stands": "gutter" if self.kind == "flyleaf" else self.stands,
        }


@cache
def stock() -> Mapping[str, Item]:
    """Everything in the drawer, by name."""
    return {item.name: item for item in (*_folded(), *_outlines(), *_drawings())}


def _folded() -> Iterator[Item]:
    for kind, table in _KINDS.items():
        yield Item(kind, "folded", kind, table, meaning(KINDS[kind]))
        for name, (of, richer, means) in _RICHER.items():
            if of == kind:
                yield Item(name, "folded", kind, richer, means)


def _outlines() -> Iterator[Item]:
    for shape, table in _OUTLINES.items():
        outline = {"shape": shape, **table}
        colour = {"front": _COLOURS[shape]} if shape in _COLOURS else {}
        laid = {"outline": outline, **colour}
        yield Item(shape, "outlines", "flat", laid, meaning(SHAPES[shape]))


def _drawings() -> Iterator[Item]:
    for file in designs.drawings():
        table = {"file": f"{file.parent.name}/{file.name}", "scale": 1}
        yield Item(file.stem, "drawings", "drawn", table, meaning(KINDS["drawn"]), file)
