"""One small design for every kind of piece, and its numbers by what they are."""

from __future__ import annotations

from pathlib import Path

import meshes.designs

# Beside the drawings that are shipped; there is no such file.
FILE = str(Path(next(iter(meshes.designs.__path__))) / "specimen.toml")
HEAD = '[spread]\npage = "A5"\nmargin = 4\n\n'
LEAF = '{ shape = "leaf", length = 64, width = 42, base = 12 }'
V_FOLD = f"""\
[pieces.p]
kind = "v-fold"
at = 84
page_angle = 48
panel_angle = 62
base = 20
outline = {LEAF}
"""

# The piece that is pulled is named p.
KINDS: dict[str, str] = {
    "flat": f'[pieces.p]\nkind = "flat"\non = "page.right"\nx = 70\ny = 90\nturn = 15\n'
    f"outline = {LEAF}\n",
    "v-fold": V_FOLD,
    "tent": '[pieces.p]\nkind = "tent"\nat = 90\ndistance = 24\npanel = 44\nwidth = 30\n',
    "carrier": '[pieces.p]\nkind = "carrier"\nat = 90\ndistance = 50\nflap = 20\nwidth = 30\n',
    "strap": '[pieces.p]\nkind = "strap"\nat = 60\ndistance = 40\npanels = [56, 56]\nwidth = 26\n',
    "box": '[pieces.p]\nkind = "box"\nat = 80\ndistance = 20\nheight = 24\nwidth = 44\n'
    'lid = "in"\n',
    "platform": '[pieces.p]\nkind = "platform"\nat = 86\ndistance = 20\nheight = 22\nwidth = 40\n'
    'outline = { shape = "ellipse", length = 70, width = 76, y = -35 }\n',
    "stair": '[pieces.p]\nkind = "stair"\nat = 100\nreach = 60\nlength = 130\n'
    "treads = [{ at = 10, length = 24, distance = 20 }, { at = 70, length = 30, distance = 28 }]\n",
    "mouth": '[pieces.p]\nkind = "mouth"\nat = 100\nreach = 40\nlength = 70\ncut = 24\nupper = 20\n'
    'lower = 16\noutline = { shape = "ellipse", length = 70, width = 74, y = -31 }\n',
    "arm": V_FOLD.replace("pieces.p", "pieces.v")
    + '\n[pieces.p]\nkind = "arm"\non = "v.right"\nx = 10\ny = 30\nturn = -20\nlength = 40\n',
    "pivot": '[pieces.p]\nkind = "pivot"\nat = 120\npage_angle = 40\npanel_angle = 56\nbase = 18\n'
    'ridge = 26\narm = 44\narm_panel = "right"\narm_turn = -30\n',
    "zigzag": '[pieces.p]\nkind = "zigzag"\nat = 60\nlevels = 3\npleat = 32\nshrink = 0.9\n'
    "page_angle = 38\npanel_angle = 62\nbase = 16\n"
    'outline = { shape = "leaf", length = 70, width = 48, base = 18 }\n',
    "wheel": '[pieces.p]\nkind = "wheel"\non = "page.right"\nx = 74\ny = 110\nradius = 40\n'
    'overlay = { shape = "rectangle", length = 76, width = 92 }\n'
    'window = { shape = "ellipse", length = 20, width = 20, y = 14 }\n',
    "slide": '[pieces.p]\nkind = "slide"\non = "page.right"\nx = 79.5\ny = 112\nlength = 112\n'
    'width = 20\ntravel = 30\nloop = 7\nloops = "tab"\nglue = 8\n',
    "flyleaf": '[pieces.p]\nkind = "flyleaf"\nwidth = 140\nheight = 180\nfrom_foot = 10\n',
    "blossom": '[pieces.p]\nkind = "blossom"\nat = 105\nlength = 50\nangle = 50\npetals = 8\n',
    "drawn": '[pieces.p]\nkind = "drawn"\nfile = "drawings/church.svg"\nscale = 1\n'
    'on = "gutter"\nat = 100\n',
}
