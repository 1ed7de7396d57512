"""Two small spreads whose building order matters: feet through slits, and art inside a box."""

from __future__ import annotations

from meshes import spread
from meshes.building import order

from .random_builds import PAGE
from .shipped import OPENINGS

FLOWER = (
    PAGE
    + """
[pieces.rose]
kind = "blossom"
on = "gutter"
at = 105
[[pieces.rose.layers]]
name = "bed"
stand = "flat"
sectors = 8
length = 40
[[pieces.rose.layers]]
name = "cone"
length = 32
"""
)
BOX = (
    PAGE
    + """
[pieces.crate]
kind = "box"
on = "gutter"
at = 105
distance = 24
height = 26
width = 34
lid = "in"
[pieces.secret]
kind = "flat"
on = "crate.left"
side = "back"
x = -147
y = 12
outline = { shape = "ellipse", length = 12, width = 12 }
"""
)


def solved(text, tmp_path):
    file = tmp_path / "t.toml"
    file.write_text(text)
    found = spread.read(file)
    motion = found.solve(OPENINGS)
    return found, motion, order(found.sheets, found.joins, found.linkage, motion)


def joined(found, steps, facet):
    """The step that glues a facet to something."""
    return next(
        k for k, step in enumerate(steps) if any(found.joins[j].facet == facet for j in step.joins)
    )
