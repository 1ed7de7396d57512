"""Stills of lit paper beside Mitsuba 3, on the same diffuse scene, lights and lamps.

Run with ``python -m tests.bench.bench_lamps [DESIGN]``. Direct light only, in the mood of the
night; lit paper is a light of Mitsuba's kind ``area`` there. The difference is the mean over the
part of the picture that shows paper and the table near it, as a share of full scale of linear
light, and as CIEDE2000. It may be two percent.
"""

from __future__ import annotations

import sys
import time

import numpy as np

from meshes import designs, spread
from preview.drawing.colour import linear_to_srgb
from preview.drawing.render.ray import still
from preview.drawing.scene import build
from preview.shot.camera import VIEWS

from ..outside import mitsuba_scene
from .colour_difference import ciede2000, lab

SIZE = (320, 180)
OPENING_DEG = 146.0
SAMPLES = 256
MOST = 0.02
# Above this share of the height our table melts into the backdrop.
TOP = 0.3


def main(names: list[str]) -> None:
    """Measure and report."""
    import mitsuba as mi

    mi.set_variant("scalar_rgb")
    made = spread.read(designs.path(names[0] if names else "night-train"))
    scene = mitsuba_scene.plain(build(made, made.solve(np.radians([OPENING_DEG])), 0, "night"))
    camera = VIEWS["reader"].frame(scene.points, SIZE[0] / SIZE[1])
    start = time.process_time()
    studio = still.RayStudio(scene, camera, SIZE)
    studio.tooth[:] = 0
    dark = np.zeros_like(studio.first_glow())
    ours = still.light_of(studio, range(SIZE[1]), still.RECIPES["still"], dark)
    seconds = time.process_time() - start
    start = time.process_time()
    loaded = mitsuba_scene.load(mi, scene, camera, SIZE)
    theirs = mitsuba_scene.draw(mi, loaded, SAMPLES)
    their_seconds = time.process_time() - start
    near = slice(round(TOP * SIZE[1]), None)
    one, two = (np.clip(each[near], 0, 1) for each in (ours, theirs))
    colours = ciede2000(*(lab(linear_to_srgb(each)) for each in (one, two)))
    share = float(np.abs(one - two).mean())
    sys.stdout.write(
        f"ours {seconds:.1f} s, Mitsuba with {SAMPLES} samples {their_seconds:.1f} s\n"
        f"mean difference {100 * share:.2f} % of full scale (at most {100 * MOST:.0f} %), "
        f"{100 * share / two.mean():.1f} % of the mean light; CIEDE2000 mean {colours.mean():.2f}, "
        f"median {np.median(colours):.2f}\n"
    )


if __name__ == "__main__":
    main(sys.argv[1:])
