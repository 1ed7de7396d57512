"""Random spreads whose pieces all fold flat: V-folds, tents, carriers and boxes on each other.

Each kind obeys its own flat-fold condition, on valleys and on mountains:

- V-fold on a valley, page sectors a and panel sectors b (right, left): aR + bR = aL + bL if its
  creases run up the page, aR - bR = aL - bL if they run down; on a mountain bR - aR = bL - aL > 0.
- Tent, feet d and legs s: dR + sR = dL + sL on a valley, sR - dR = sL - dL > 0 on a mountain.

A crease is a sound site only if it is folded onto itself, not flat, when the book is shut. That
leaves out the feet of what stands on a mountain and of V-folds that run down the page.
"""

from __future__ import annotations

import numpy as np

from meshes.site import CreaseSite
from tests.specimens import Pile, box_on, carrier, tent, v_fold

Folds = list[str]


def random_stack(seed: int, count: int) -> Pile:
    """A spread of `count` pieces, the first on the gutter, the others anywhere but five deep."""
    random = np.random.default_rng(seed)
    pile = Pile()
    sites = [(pile.gutter, 0)]
    for k in range(count):
        low = [entry for entry in sites if entry[1] < 4]
        site, depth = low[random.integers(len(low))] if k else low[0]
        kinds = (_v, _tent, _carrier, _box) if site.sign < 0 else (_v, _tent)
        kind = kinds[random.integers(len(kinds))]
        # Deep pieces stand on short creases and are small themselves.
        scale = min(1.0, site.length / 60)
        at = random.uniform(0.2, 0.8) * site.length
        folds = kind(pile, f"p{k}", site, at, scale, random)
        sites += [(pile.site(f"p{k}", fold), depth + 1) for fold in folds]
    return pile


def _v(
    pile: Pile, name: str, site: CreaseSite, at: float, scale: float, random: np.random.Generator
) -> Folds:
    page, lean = random.uniform(25, 70), random.uniform(-8, 8)
    down = bool(site.sign < 0 and random.random() < 0.5)
    if site.sign < 0:
        panel = random.uniform(page + 12, 98)
        panels = (panel + lean, panel - lean) if down else (panel - lean, panel + lean)
    else:
        more = random.uniform(10, 35)
        panels = (page + lean + more, page - lean + more)
    middle = 180 - page if down else page
    pages = (middle + lean, middle - lean)
    v_fold(pile, name, site, at, np.radians(pages), np.radians(panels), 30 * scale, 50 * scale)
    return ["ridge"] if down or site.sign > 0 else ["ridge", "foot-right", "foot-left"]


def _tent(
    pile: Pile, name: str, site: CreaseSite, at: float, scale: float, random: np.random.Generator
) -> Folds:
    right, left = random.uniform(8, 30, 2) * scale
    if site.sign < 0:
        total = random.uniform(1.15, 2) * (right + left)
        legs = (total - right, total - left)
    else:
        more = random.uniform(5, 25) * scale
        legs = (right + more, left + more)
    tent(pile, name, site, at, (right, left), legs, 10 * scale)
    return ["ridge"] if site.sign > 0 else ["ridge", "foot-right", "foot-left"]


def _carrier(
    pile: Pile, name: str, site: CreaseSite, at: float, scale: float, random: np.random.Generator
) -> Folds:
    distance, panel = random.uniform(10, 40) * scale, random.uniform(8, 30) * scale
    carrier(pile, name, site, at, distance, panel, 10 * scale)
    return ["ridge", "foot-right"]


def _box(
    pile: Pile, name: str, site: CreaseSite, at: float, scale: float, random: np.random.Generator
) -> Folds:
    e, h, w = random.uniform(8, 20) * scale, random.uniform(8, 25) * scale, random.uniform(8, 20)
    box_on(pile, name, site, at, e, h, w * scale)
    return ["edge-2", "edge-5"]
