"""A frame of ours beside one of Mitsuba (variant scalar_rgb) with the same noise.

Run with ``python -m tests.bench.bench_noise [DESIGN]``. Both draw the same diffuse paper under the
same key and sky, direct light only. Noise is the root of the mean square difference from the same
renderer's own picture with very many samples, in 8-bit sRGB levels. That of Mitsuba falls with the
root of its samples, which two sample counts show; its time is extrapolated in proportion to the
samples. Mitsuba draws with all cores, ours with one. Its key is made of thin beams, one of which it
tries for each sample: that is twice as quiet as the same disc painted into its sky.
"""

from __future__ import annotations

import sys
import time

import numpy as np

from meshes import designs, spread
from preview.drawing.colour import linear_to_srgb
from preview.drawing.render.ray.film import FILM, FilmFrame, FrameRecipe
from preview.drawing.render.ray.lens import Lens
from preview.drawing.scene import Scene, build
from preview.shot.camera import VIEWS

from ..outside import mitsuba_scene

SIZE = (480, 480)
OPENING_DEG = 130.0
CONVERGED = FrameRecipe(key=64, sky=96, vary=-1.0, refine=-1.0, grid=8)
TRIED, MANY = (4, 16), 512
LEAST = 20.0


def noise(picture: np.ndarray, truth: np.ndarray) -> float:
    """Root mean square difference of two pictures in linear light, in levels of 255."""
    a, b = (linear_to_srgb(np.clip(p, 0, 1)) for p in (picture, truth))
    return 255 * float(np.sqrt(((a - b) ** 2).mean()))


def ours(scene: Scene) -> tuple[float, float]:
    """Noise and seconds of one of our frames."""
    camera = VIEWS["reader"].frame(scene.points, SIZE[0] / SIZE[1])
    lens = Lens(scene, camera, SIZE)
    truth = FilmFrame(scene, lens, CONVERGED).linear()
    FilmFrame(scene, lens, FILM).linear()
    times = []
    for _ in range(5):
        start = time.perf_counter()
        picture = FilmFrame(scene, lens, FILM).linear()
        times.append(time.perf_counter() - start)
    found = noise(picture, truth), min(times)
    sys.stdout.write(f"ours     noise {found[0]:5.2f} levels, {1000 * found[1]:7.0f} ms\n")
    return found


def theirs(scene: Scene) -> tuple[float, float]:
    """Noise of Mitsuba at one sample a pixel by its law, and seconds for each sample."""
    import mitsuba as mi

    mi.set_variant("scalar_rgb")
    camera = VIEWS["reader"].frame(scene.points, SIZE[0] / SIZE[1])
    loaded = mitsuba_scene.load(mi, scene, camera, SIZE)
    truth = mitsuba_scene.draw(mi, loaded, MANY, seed=99)
    law, pace = [], []
    for samples in TRIED:
        start = time.perf_counter()
        picture = mitsuba_scene.draw(mi, loaded, samples)
        seconds = time.perf_counter() - start
        # The truth has some noise of its own.
        found = noise(picture, truth) / np.sqrt(1 + samples / MANY)
        law.append(found * np.sqrt(samples))
        pace.append(seconds / samples)
        sys.stdout.write(
            f"mitsuba  noise {found:5.2f} levels, {1000 * seconds:7.0f} ms, {samples} samples\n"
        )
    return law[-1], pace[-1]


def main(names: list[str]) -> None:
    """Measure and report."""
    made = spread.read(designs.path(names[0] if names else "toadstool-glade"))
    motion = made.solve(np.radians([OPENING_DEG]))
    scene = mitsuba_scene.plain(build(made, motion, 0))
    level, seconds = ours(scene)
    law, pace = theirs(scene)
    samples = (law / level) ** 2
    sys.stdout.write(
        f"Mitsuba takes {samples:.0f} samples, {samples * pace:.1f} s, for the same noise: "
        f"{samples * pace / seconds:.0f} times as long (at least {LEAST:.0f})\n"
    )


if __name__ == "__main__":
    main(sys.argv[1:])
