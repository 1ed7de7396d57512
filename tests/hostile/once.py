"""Cases that once did harm, as small as they still did it."""

from __future__ import annotations

import io
import math

import numpy as np

from tests.drawn.hostile import SQUARE, svg

from .cases import LEAF
from .cell import Case

_SIGN = b"""[pieces.sign]
kind = "drawn"
on = "gutter"
file = "sign.svg"
[pieces.sign.places.A]
on = "page.left"
x = -50
y = 60
"""
_GLUE = '<path class="glue" id="glue-A" d="M30 40h10v10h-10z"/>'


def _saw(count: int) -> str:
    """A round saw blade of so many corners, as path data."""
    parts = []
    for k in range(count):
        turn = 2 * math.pi * k / count
        radius = 40 + k % 2 / 2
        parts.append(f"{50 + radius * math.cos(turn):.3f},{50 + radius * math.sin(turn):.3f}")
    return f"M{' '.join(parts)}Z"


def _drawn(body: str, *command: str) -> Case:
    files = {"design.toml": _SIGN, "sign.svg": svg(body)}
    return Case("drawing", files, command or ("check", "design.toml", "--only", "flat"))


def _noise() -> bytes:
    from PIL import Image

    pixels = np.zeros((800, 800, 4), np.uint8)
    solid = np.random.default_rng(1).random((760, 760)) > 0.4
    pixels[20:780, 20:780, 3] = np.where(solid, 255, 0)
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, "PNG")
    return out.getvalue()


def _printed(text: str) -> Case:
    entry = f'lettering = [{{ text = "{text}", size = 200 }}]\n'
    return Case("lettering", {"design.toml": (LEAF + entry).encode()})


_BLADE = f'<path class="cut" d="{_saw(30_000)}"/>'
_STEPS = "".join(f'<path class="valley" d="M 10 {11 + k * 0.026:g} H 90"/>' for k in range(3000))

ONCE = {
    # 4 GB: it was drawn into a picture of 40 m before its visible part was taken.
    "blanks of forty metres": _printed(" " * 200),
    # Widened by a hair for each line on it: 20 s and 2 GB each time.
    "outline of 30,000 points": _drawn(
        f'{_BLADE}<path class="valley" d="M 50.5 9.5 V 90.5"/>{_GLUE}'
    ),
    # The edges of no pages at all had no direction.
    "pages without thickness": Case(
        "wheel",
        {
            "design.toml": b"[spread]\nblock = 0\n[pieces.sun]\nkind = 'wheel'\n"
            b"on = 'page.right'\nradius = 11\n"
        },
    ),
    "3,000 folds": _drawn(SQUARE + _STEPS + _GLUE),
    # A hundred thousand regions, each made a polygon to see which is the largest.
    "edge of noise": Case(
        "traced",
        {
            "design.toml": LEAF.replace(
                'shape = "leaf", length = "tall * 2", width = 30',
                'shape = "traced", file = "a.png", length = 100',
            ).encode(),
            "a.png": _noise(),
        },
        ("check", "design.toml", "--only", "flat"),
    ),
}
