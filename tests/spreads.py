"""Small sound spreads as design files: a meadow, and a single leaf."""

# V-folds on the gutter and flat art on both pages.
MEADOW = """\
title = "Meadow"
units = "mm"

[spread]
page = "A5"
margin = 4
paper = "#f6f1e4"
cover = "#4f6b64"
ruling = "dots"

[papers.card]
grammage = 200

[values]
tall = 74
[pieces.tulip]
kind = "v-fold"
on = "gutter"
at = 84
page_angle = 48
panel_angle = 62
base = 20
front = "#d9603b"
[pieces.tulip.outline]
shape = "petal"
length = "tall"
width = 52
point = 0.55
[pieces.leaf-behind]
kind = "v-fold"
on = "gutter"
at = 128
page_angle = 56
panel_angle = 58
base = 26
front = "#3f7a5a"
[pieces.leaf-behind.outline]
shape = "leaf"
length = "tall * 1.15"
width = 62
base = 20

[pieces.leaf-in-front]
kind = "v-fold"
on = "gutter"
at = 46
page_angle = 50
panel_angle = 60
base = 18
front = "#6fa36a"
[pieces.leaf-in-front.outline]
shape = "leaf"
length = "tall / 2"
width = 40
base = 12
[pieces.meadow-left]
kind = "flat"
on = "page.left"
x = -70
y = 60
front = "#b9cf9a"
outline = { shape = "ellipse", length = 46, width = 96 }

[pieces.meadow-right]
kind = "flat"
on = "page.right"
x = 72
y = 74
front = "#a9c48c"
outline = { shape = "ellipse", length = 52, width = 104 }
"""

# One V-fold with a ridge, which forgives what hands do.
LEAF = """
[pieces.leaf]
kind = "v-fold"
on = "gutter"
at = 90
page_angle = 45
panel_angle = 60
base = 40
ridge = 60
"""
