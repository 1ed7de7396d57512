"""Time of one frame by every engine, beside pyrender used plainly and PyVista, if it is installed.

Run with ``python -m tests.bench.bench_engines [DESIGN]`` on an otherwise idle computer. Times are
wall time, the best of three; compare them only with each other. All draw the same surfaces; ours
also what is printed on them, and `ray` the soft light of the sky.
"""

from __future__ import annotations

import argparse
import importlib.util
import time
from collections.abc import Callable

import numpy as np

from meshes import designs, spread
from preview.drawing.colour import channels
from preview.drawing.render import engines, renderer
from preview.drawing.scene import Scene
from preview.films import film
from preview.shot.camera import Camera

from .plain_opengl import PlainOpenGL, world

SIZES = ((480, 480), (1280, 720))


def best(draw: Callable[[], object], rounds: int = 3) -> float:
    """Seconds of the fastest of some rounds, after one to warm up."""
    draw()
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        draw()
        times.append(time.perf_counter() - start)
    return min(times)


def with_ours(name: str, scene: Scene, camera: Camera, size: tuple[int, int]) -> None:
    """Print the times of one of our engines."""
    engine = renderer(name)  # type: ignore[arg-type]
    for quality in ("draft", "film"):
        seconds = best(lambda: engine.draw(scene, camera, size, quality))  # noqa: B023
        print(f"  {name:8} {quality:12} {1000 * seconds:7.0f} ms")
    engine.close()


def with_pyvista(scene: Scene, camera: Camera, size: tuple[int, int]) -> Callable[[], object]:
    import pyvista

    plotter = pyvista.Plotter(off_screen=True, window_size=list(size), lighting="none")
    for triangles, colour in world(scene):
        count = len(triangles)
        faces = np.c_[np.full(count, 3), np.arange(3 * count).reshape(-1, 3)]
        mesh = pyvista.PolyData(triangles.reshape(-1, 3), faces.ravel())
        plotter.add_mesh(mesh, color=[c / 255 for c in channels(colour)], lighting=True)
    light = pyvista.Light(
        position=(1000 * scene.mood.towards_key()).tolist(), light_type="scene light"
    )
    plotter.add_light(light)
    plotter.enable_shadows()
    plotter.enable_anti_aliasing("ssaa")
    plotter.camera_position = [camera.eye, camera.target, (0, 0, 1)]
    plotter.camera.view_angle = np.degrees(camera.field)
    plotter.show(auto_close=False)

    def draw() -> object:
        plotter.render()
        return plotter.screenshot(None, return_img=True)

    return draw


def with_plain_opengl(scene: Scene, camera: Camera, size: tuple[int, int]) -> None:
    """Print the times of pyrender used plainly, with and without supersampling."""
    for samples in (1, 2):
        engine = PlainOpenGL(size, samples)
        seconds = best(lambda: engine.draw(scene, camera))  # noqa: B023
        engine.close()
        print(f"  pyrender {samples} × {samples}, shadow {1000 * seconds:6.0f} ms")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("design", nargs="?", default="toadstool-glade", help="a shipped design")
    args = parser.parse_args()
    made = spread.read(designs.path(args.design))
    motion = made.solve(np.radians([130.0]))
    for size in SIZES:
        shot = film.shot_of(made, motion, size, engine="ray")
        scene, camera = shot.scene(0), shot.camera
        print(f"{size[0]} × {size[1]}, {len(scene.surfaces)} surfaces")
        for state in engines():
            if state.works:
                with_ours(state.name, scene, camera, size)
            else:
                print(f"  {state.name}: {state.detail}")
        with_plain_opengl(scene, camera, size)
        if importlib.util.find_spec("pyvista"):
            seconds = best(with_pyvista(scene, camera, size))
            print(f"  pyvista  ssaa, shadow {1000 * seconds:7.0f} ms")


if __name__ == "__main__":
    main()
