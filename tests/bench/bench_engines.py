"""Time of one frame by every engine, beside PyVista and Mitsuba where they are installed.

Run with ``python tests/bench/bench_engines.py [DESIGN]`` on an otherwise idle computer. Times are
wall time, the best of three; compare them only with each other. All draw the same surfaces.
"""

from __future__ import annotations

import argparse
import importlib.util
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from meshes import spread
from preview import film
from preview.camera import Camera
from preview.colour import channels, linear
from preview.render import engines, renderer
from preview.render.ray.patches import triangulate
from preview.scene import Scene

SIZES = ((480, 480), (1280, 720))
SHIPPED = Path(spread.__file__).parent / "designs"


def best(draw: Callable[[], object], rounds: int = 3) -> float:
    """Seconds of the fastest of some rounds, after one to warm up."""
    draw()
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        draw()
        times.append(time.perf_counter() - start)
    return min(times)


def world(scene: Scene) -> list[tuple[np.ndarray, str]]:
    """Triangles (t, 3, 3) and colour of every surface, and the table."""
    found = []
    for surface in scene.surfaces:
        flat = triangulate(surface.polygon)
        found.append((flat @ surface.rotation[:, :2].T + surface.translation, surface.front))
    square = np.array([[-2, -2], [2, -2], [2, 2], [-2, 2]]) * 1000.0
    table = np.c_[square, np.full(4, scene.table)][[[0, 1, 2], [0, 2, 3]]]
    return [*found, (table, scene.mood.table)]


def with_ours(name: str, scene: Scene, camera: Camera, size: tuple[int, int]) -> None:
    """Print the times of one of our engines; pyrender also with shadows and no supersampling."""
    engine = renderer(name)  # type: ignore[arg-type]
    for quality in ("draft", "film"):
        seconds = best(lambda: engine.draw(scene, camera, size, quality))  # noqa: B023
        print(f"  {name:8} {quality:12} {1000 * seconds:7.0f} ms")
    if name == "gl":
        from preview.render import gl

        samples, gl.SAMPLES["film"] = gl.SAMPLES["film"], 1
        seconds = best(lambda: engine.draw(scene, camera, size, "film"))
        gl.SAMPLES["film"] = samples
        print(f"  {name:8} shadows only {1000 * seconds:7.0f} ms")
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


def with_mitsuba(
    scene: Scene, camera: Camera, size: tuple[int, int], samples: int
) -> Callable[[], object]:
    import mitsuba as mi

    mi.set_variant("scalar_rgb")
    key = scene.mood.towards_key()
    parts: dict[str, object] = {
        "type": "scene",
        "integrator": {"type": "path", "max_depth": 3},
        "sensor": {
            "type": "perspective",
            "fov": float(np.degrees(camera.field)),
            "fov_axis": "y",
            "to_world": mi.ScalarTransform4f().look_at(
                origin=list(camera.eye), target=list(camera.target), up=[0, 0, 1]
            ),
            "film": {"type": "hdrfilm", "width": size[0], "height": size[1]},
            "sampler": {"type": "independent", "sample_count": samples},
        },
        "sky": {"type": "constant", "radiance": {"type": "rgb", "value": scene.mood.sky.tolist()}},
        "key": {
            "type": "directional",
            "direction": (-key).tolist(),
            "irradiance": {"type": "rgb", "value": (np.pi * scene.mood.key).tolist()},
        },
    }
    for k, (triangles, colour) in enumerate(world(scene)):
        props = mi.Properties()
        reflectance = {"type": "rgb", "value": linear(colour).tolist()}
        inner = {"type": "diffuse", "reflectance": reflectance}
        props["bsdf"] = mi.load_dict({"type": "twosided", "bsdf": inner})
        mesh = mi.Mesh(f"m{k}", 3 * len(triangles), len(triangles), props=props)
        params = mi.traverse(mesh)
        params["vertex_positions"] = triangles.astype(np.float32).ravel()
        params["faces"] = np.arange(3 * len(triangles), dtype=np.uint32)
        params.update()
        parts[f"m{k}"] = mesh
    made = mi.load_dict(parts)
    return lambda: np.array(mi.render(made))


def workers(shot: film.Shot) -> tuple[float, float]:
    """Seconds to draw every pose with one worker process and with two."""
    found = []
    for jobs in (1, 2):
        start = time.perf_counter()
        with film.drawn(shot, np.arange(len(shot.motion.openings)), jobs):
            found.append(time.perf_counter() - start)
    return found[0], found[1]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("design", nargs="?", default=str(SHIPPED / "start" / "start.toml"))
    args = parser.parse_args()
    made = spread.read(args.design)
    motion = made.solve(np.radians(np.linspace(100, 180, 25)))
    for size in SIZES:
        shot = film.shot_of(made, motion, size, engine="ray")
        scene, camera = shot.scene(15), shot.camera
        print(f"{size[0]} × {size[1]}, {len(scene.surfaces)} surfaces")
        for state in engines():
            if state.works:
                with_ours(state.name, scene, camera, size)
            else:
                print(f"  {state.name}: {state.detail}")
        if importlib.util.find_spec("pyvista"):
            seconds = best(with_pyvista(scene, camera, size))
            print(f"  pyvista  ssaa, shadow {1000 * seconds:7.0f} ms")
        if importlib.util.find_spec("mitsuba"):
            seconds = best(with_mitsuba(scene, camera, size, 16), rounds=1)
            print(f"  mitsuba  16 samples   {1000 * seconds:7.0f} ms")
    one, two = workers(film.shot_of(made, motion, SIZES[0], engine="ray"))
    print(f"25 frames: one worker {one:.1f} s, two {two:.1f} s, {one / two:.2f} times")


if __name__ == "__main__":
    main()
