"""Random designs that are hard to put together: layered flowers, boxes, what stands in and on them.

Each is the text of a design file. Sizes are drawn within what the pieces allow, so that most can be
built; those that the reader or the solver refuses are passed over by who asks.
"""

from __future__ import annotations

import numpy as np

PAGE = 'title = "t"\n[spread]\npage = "A5"\n'


def random_design(seed: int) -> str:
    """A spread of two to four groups of pieces along the gutter."""
    random = np.random.default_rng(seed)
    makers = [_flower, _box, _tent, _hidden]
    chosen = [makers[k] for k in random.permutation(len(makers))[: random.integers(1, 4)]]
    places = np.linspace(55, 155, len(chosen)) if len(chosen) > 1 else [105.0]
    text = PAGE
    for k, (make, at) in enumerate(zip(chosen, places, strict=True)):
        text += make(f"p{k}", float(at), random)
    for k in range(random.integers(0, 7)):
        side = random.choice(["left", "right"])
        x = random.uniform(25, 110) * (-1 if side == "left" else 1)
        text += (
            f'[pieces.dot-{k}]\nkind = "flat"\non = "page.{side}"\nx = {x:.1f}\n'
            f"y = {random.uniform(20, 190):.1f}\n"
            'outline = { shape = "ellipse", length = 18, width = 14 }\n'
        )
    return text


def _flower(name: str, at: float, random: np.random.Generator) -> str:
    text = f'[pieces.{name}]\nkind = "blossom"\non = "gutter"\nat = {at:.1f}\n'
    length = random.uniform(26, 36)
    for k in range(random.integers(0, 3)):
        text += (
            f'[[pieces.{name}.layers]]\nname = "bed-{k}"\nstand = "flat"\nsectors = 8\n'
            f"length = {length + 6 - 4 * k:.1f}\n"
        )
    text += f'[[pieces.{name}.layers]]\nname = "cone"\nlength = {length:.1f}\n'
    if random.random() < 0.6:
        text += (
            f'[[pieces.{name}.layers]]\nname = "heart"\nlength = {length * 0.7:.1f}\n'
            f'stand = "glued"\nangle = {random.uniform(40, 48):.1f}\n'
        )
    return text


def _box(name: str, at: float, random: np.random.Generator) -> str:
    distance, height, width = (random.uniform(*ends) for ends in ((16, 28), (14, 30), (20, 36)))
    # The walls lie in a row on the sheet: half an end, half an end, right, the other end, left.
    middles = {
        "foot-end-left": distance / 2,
        "right": 2 * distance + width / 2,
        "left": 4 * distance + 1.5 * width,
    }
    text = (
        f'[pieces.{name}]\nkind = "box"\non = "gutter"\nat = {at:.1f}\n'
        f"distance = {distance:.1f}\nheight = {height:.1f}\nwidth = {width:.1f}\n"
        f'lid = "{random.choice(["in", "out", "none"])}"\n'
    )
    for k, wall in enumerate(random.permutation(list(middles))[:2]):
        back = random.random() < 0.5
        side = '\nside = "back"' if back else ""
        # Seen from the back, x runs the other way.
        x = -middles[wall] if back else middles[wall]
        text += (
            f'[pieces.{name}-art-{k}]\nkind = "flat"\non = "{name}.{wall}"{side}\n'
            f'outline = {{ shape = "ellipse", length = 8, width = 8 }}\nx = {x:.1f}\ny = 7\n'
        )
    return text


def _tent(name: str, at: float, random: np.random.Generator) -> str:
    distance = random.uniform(18, 30)
    text = (
        f'[pieces.{name}]\nkind = "tent"\non = "gutter"\nat = {at:.1f}\ndistance = {distance:.1f}\n'
        f"panel = {distance + random.uniform(8, 16):.1f}\nwidth = 30\n"
        f'[pieces.{name}-under]\nkind = "flat"\non = "page.left"\nx = {-distance / 2:.1f}\n'
        f"y = {at:.1f}\n"
        'outline = { shape = "ellipse", length = 10, width = 10 }\n'
    )
    if random.random() < 0.6:
        text += (
            f'[pieces.{name}-bud]\nkind = "v-fold"\non = "{name}.ridge"\nat = 15\n'
            "page_angle = 50\npanel_angle = 60\nbase = 10\n"
            'outline = { shape = "leaf", length = 22, width = 14 }\n'
        )
    return text


def _hidden(name: str, at: float, random: np.random.Generator) -> str:
    return (
        f'[pieces.{name}]\nkind = "carrier"\non = "gutter"\nat = {at:.1f}\n'
        f"distance = {random.uniform(20, 34):.1f}\nflap = {random.uniform(18, 30):.1f}\n"
        f'width = 34\n[pieces.{name}-leaf]\nkind = "v-fold"\non = "{name}.ridge"\n'
        "at = 17\npage_angle = 50\npanel_angle = 62\nbase = 9\n"
        'outline = { shape = "leaf", length = 24, width = 14 }\n'
    )
