"""How far frames of each quality are from converged ones of the same scene, and what they cost.

Run with ``python -m tests.bench.bench_quality [DESIGN ...]``; the converged pictures take some
minutes a design. Noise is the root of the mean square difference in 8-bit levels of sRGB, edges
included; the colour difference is CIEDE2000, its mean over all pixels and its 99th percentile; that
of the mean colours tells of light that is missing.
"""

from __future__ import annotations

import sys
import time

import numpy as np

from meshes import designs, spread
from preview.drawing.colour import linear_to_srgb
from preview.drawing.render.ray import still
from preview.drawing.render.ray.draft import DraftFrame
from preview.drawing.render.ray.film import FILM, FilmFrame, FrameRecipe
from preview.drawing.render.ray.lens import Lens
from preview.drawing.scene import Scene, build
from preview.shot.camera import VIEWS, Camera

from .colour_difference import ciede2000, lab

SIZE = (480, 480)
OPENINGS_DEG = (12.0, 75.0, 125.0, 175.0)
CONVERGED = FrameRecipe(key=64, sky=96, vary=-1.0, refine=-1.0, grid=8)
CONVERGED_STILL = still.StillRecipe(
    key=64, sky=64, vary=-1.0, refine=-1.0, places=128, calm=-1.0, orders=1
)
DESIGNS = ("toadstool-glade", "campfire-night", "dragon-keep")


def shown(linear: np.ndarray) -> np.ndarray:
    """A frame in linear light, shape (3, h, w), as sRGB of 0 to 1, shape (h, w, 3)."""
    return linear_to_srgb(np.clip(np.moveaxis(linear, 0, -1), 0, 1))


def still_of(scene: Scene, camera: Camera, recipe: still.StillRecipe) -> np.ndarray:
    """A still in linear light, shape (3, h, w)."""
    studio = still.RayStudio(scene, camera, SIZE)
    glow = still.glow_of(studio, still.coarse_view(studio), recipe)
    return np.moveaxis(still.light_of(studio, range(SIZE[1]), recipe, glow), -1, 0)


def figures(picture: np.ndarray, truth: np.ndarray) -> list[float]:
    """Noise in levels; CIEDE2000: mean, 99th percentile, of the mean colours."""
    noise = 255 * float(np.sqrt(((picture - truth) ** 2).mean()))
    seen, true = lab(picture), lab(truth)
    gap = ciede2000(true, seen)
    whole = float(ciede2000(true.mean(axis=(0, 1)), seen.mean(axis=(0, 1))))
    return [noise, float(gap.mean()), float(np.quantile(gap, 0.99)), whole]


def main(names: list[str]) -> None:
    """Measure and report."""
    found: dict[str, list[list[float]]] = {"film": [], "draft": [], "still": []}
    for name in names or DESIGNS:
        made = spread.read(designs.path(name))
        motion = made.solve(np.radians(OPENINGS_DEG))
        scenes = [build(made, motion, k) for k in range(len(OPENINGS_DEG))]
        points = np.concatenate([scene.points for scene in scenes])
        lens = Lens(scenes[0], VIEWS["reader"].frame(points, 1.0), SIZE)
        for scene in scenes:
            truth = shown(FilmFrame(scene, lens, CONVERGED).linear())
            for quality in ("film", "draft"):
                start = time.process_time()
                frame = (
                    FilmFrame(scene, lens, FILM) if quality == "film" else DraftFrame(scene, lens)
                )
                picture = shown(frame.linear())
                took = time.process_time() - start
                found[quality].append([*figures(picture, truth), 1000 * took])
            truth = shown(still_of(scene, lens.camera, CONVERGED_STILL))
            start = time.process_time()
            picture = shown(still_of(scene, lens.camera, still.RECIPES["still"]))
            took = time.process_time() - start
            found["still"].append([*figures(picture, truth), 1000 * took])
    for quality, rows in found.items():
        noise, mean, worst, whole, took = np.mean(rows, axis=0)
        sys.stdout.write(
            f"{quality:6} noise {noise:.2f} levels; CIEDE2000 mean {mean:.3f}, 99 % below "
            f"{worst:.2f}, of the mean colours {whole:.3f}; {took:.0f} ms of processor\n"
        )


if __name__ == "__main__":
    main(sys.argv[1:])
