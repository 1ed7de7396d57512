"""Other words for what the program calls otherwise: keys, kinds, shapes, papers, moods.

Only words of the trade and of everyday speech. A word may mean several things; the first that can
stand where it was found is meant.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from functools import cache

# Ours: other words that mean it.
_OTHERS: Mapping[str, str] = {
    # keys
    "front": "colour color fill",
    "at": "position apex",
    "ridge": "height",
    "turn": "rotation rotate",
    "caliper": "thickness",
    "grammage": "weight",
    # shapes
    "ellipse": "circle round oval disc disk dot ball egg",
    "rectangle": "square rect bar panel block strip box",
    "polygon": "triangle pentagon hexagon diamond rhombus trapezium trapezoid corners freeform",
    "rosette": "flower scallop",
    "leaf": "foliage",
    "fern": "frond fir palm tree",
    "star": "sun",
    "cloud": "bush smoke",
    "cap": "dome mushroom toadstool umbrella arch",
    "drop": "teardrop raindrop tear flame",
    "grass": "tuft reed lawn",
    "moon": "crescent",
    "ring": "donut doughnut annulus hoop wreath",
    "path": "curve line bezier",
    "traced": "picture image silhouette photo scan",
    "joined": "union combined group several",
    # kinds
    "v-fold": "v vfold popup pop-up card fold tower",
    "blossom": "flower rose daisy bloom cone umbrella",
    "tent": "roof ridge hill parallel",
    "box": "cube house block building",
    "carrier": "parallelogram",
    "strap": "strip bridge arch band",
    "platform": "table deck stage layer floor",
    "stair": "stairs step steps staircase ladder",
    "mouth": "beak jaw lips",
    "arm": "stick support strut antenna",
    "pivot": "lever swing waver",
    "zigzag": "accordion concertina fan",
    "wheel": "disc disk dial spinner volvelle",
    "slide": "slider pull pull-tab tab",
    "flyleaf": "page flap",
    "flat": "sticker art decoration shape",
    "drawn": "svg drawing",
    # papers
    "card": "cardstock card-stock cardboard paperboard board paper stiff heavy",
    "drawing-paper": "cartridge sketch watercolour watercolor thin light paper",
    "kraft": "brown wrapping packing",
    "clear-film": "clear film transparent acetate plastic foil acrylic",
    # moods
    "daylight": "day morning sun sunny bright window noon",
    "dusk": "evening twilight blue-hour dawn",
    "late-sun": "sunset golden golden-hour afternoon warm",
    "north": "overcast cloudy cool cold grey gray soft",
    "meadow": "grass green garden outdoor outdoors spring",
    "night": "dark midnight moonlight black",
    "rose": "pink blush",
    "studio": "white plain neutral clean",
}


@cache
def _meant() -> Mapping[str, list[str]]:
    """What each of those words may mean."""
    found: dict[str, list[str]] = {}
    for ours, others in _OTHERS.items():
        for word in dict.fromkeys(others.split()):
            found.setdefault(word, []).append(ours)
    return found


def meant(word: str, known: Collection[str]) -> str:
    """The known word that another one means, or nothing."""
    plain = word.strip().lower().replace("_", "-").replace(" ", "-")
    for one in (plain, plain.removesuffix("s")):
        if one != word and one in known:
            return one
        for ours in _meant().get(one, ()):
            if ours in known:
                return ours
    return ""
