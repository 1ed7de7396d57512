"""Our scenes for Mitsuba 3, so that the same diffuse paper and lights can be compared.

W. Jakob et al., Mitsuba 3 renderer (2022), mitsuba-renderer.org; variant scalar_rgb, direct light
only.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from preview.drawing.colour import linear
from preview.drawing.render.ray.lamps import emitted
from preview.drawing.render.ray.patches import triangulate
from preview.drawing.render.ray.sampling import disc
from preview.drawing.scene import Scene, Surface
from preview.shot.camera import Camera
from preview.shot.mood import Mood, sky_radiance

BEAMS = 24
# Our (x, y, z) is its (x, z, -y).
TURN = np.array([[1.0, 0, 0], [0, 0, 1.0], [0, -1.0, 0]])
SKY_SHAPE = (128, 256)
# How far the two sides of lit paper lie from its middle.
LIT_MM = 0.05


def plain(scene: Scene) -> Scene:
    """The scene on a plain grey table, in paper only, lit by key and sky without second bounce."""
    mood = replace(scene.mood, bounce=0.0, falloff=0.0, table="#b0a898", backdrop="#b0a898")
    solid = tuple(
        replace(
            s,
            translucency=0.0,
            ruling="plain",
            back=s.front,
            front_picture=None,
            back_picture=None,
            finish="smooth",
            core="",
            lines=(),
        )
        for s in scene.surfaces
        if s.material not in ("film", "block")
    )
    return replace(scene, surfaces=solid, mood=mood)


def load(
    mi: Any,
    scene: Scene,
    camera: Camera,
    size: tuple[int, int],
    more: Mapping[str, Any] | None = None,
) -> Any:
    """A Mitsuba scene; the disc of the key is made of thin beams.

    Parameters
    ----------
    more : objects of Mitsuba's that are put in as well.
    """
    key = scene.mood.towards_key(scene.viewer)
    sky = sky_map(scene.mood, key)
    world: dict[str, Any] = {"type": "scene", "integrator": {"type": "path", "max_depth": 2}}
    light = {"type": "rgb", "value": (np.pi * scene.mood.key / BEAMS).tolist()}
    for k, beam in enumerate(disc(key, scene.mood.spread, BEAMS)):
        towards = (-(TURN @ beam)).tolist()
        world[f"key{k}"] = {"type": "directional", "direction": towards, "irradiance": light}
    world["sky"] = {"type": "envmap", "bitmap": mi.Bitmap(sky.astype(np.float32)), "scale": 1.0}
    world["sensor"] = _sensor(mi, camera, size)
    for k, (colour, points) in enumerate(_by_colour(scene).items()):
        world[f"m{k}"] = mesh(mi, f"m{k}", points, _diffuse(mi, linear(colour)))
    for k, surface in enumerate(scene.surfaces):
        for side in (1, -1) if surface.glow else ():
            world[f"lit{k}{side}"] = _lit_side(mi, surface, scene.mood, side)
    return mi.load_dict(world | dict(more or {}))


def mesh(mi: Any, name: str, points: np.ndarray, props: Any) -> Any:
    """A mesh of Mitsuba's of triangles, shape (3 t, 3), mm in our space."""
    mesh = mi.Mesh(name, len(points), len(points) // 3, props=props)
    params = mi.traverse(mesh)
    params["vertex_positions"] = (points @ TURN.T).astype(np.float32).ravel()
    params["faces"] = np.arange(len(points), dtype=np.uint32)
    params.update()
    return mesh


def front_triangles(surface: Surface) -> np.ndarray:
    """Triangles of a surface, counter-clockwise seen from its front, shape (t, 3, 3), mm."""
    flat = triangulate(surface.polygon)
    one, two = flat[:, 1] - flat[:, 0], flat[:, 2] - flat[:, 0]
    clockwise = one[:, 0] * two[:, 1] < one[:, 1] * two[:, 0]
    flat[clockwise] = flat[clockwise][:, ::-1]
    return np.asarray(flat @ surface.rotation[:, :2].T + surface.translation)


def _lit_side(mi: Any, surface: Surface, mood: Mood, side: int) -> Any:
    """One side of lit paper, which sends out light along its normal."""
    corners = front_triangles(surface)
    corners = (corners if side > 0 else corners[:, ::-1]) + side * LIT_MM * surface.normal
    props = _diffuse(mi, linear(surface.front))
    radiance = {"type": "rgb", "value": emitted(surface, mood).tolist()}
    props["emitter"] = mi.load_dict({"type": "area", "radiance": radiance})
    return mesh(mi, surface.name, corners.reshape(-1, 3), props)


def draw(mi: Any, loaded: Any, samples: int, seed: int = 1) -> np.ndarray:
    """Linear light with that many samples a pixel, shape (h, w, 3)."""
    return np.array(mi.render(loaded, spp=samples, seed=seed))[..., :3]


def sky_map(mood: Mood, key: np.ndarray, shape: tuple[int, int] = SKY_SHAPE) -> np.ndarray:
    """The sky as a latitude-longitude picture for Mitsuba, its y axis up, (rows, columns, 3)."""
    ours = _directions(shape)
    radiance = np.where(ours[:, 2] > 0, sky_radiance(ours, key), 0.0)
    return (radiance[:, None] * mood.sky).reshape(*shape, 3)


def _directions(shape: tuple[int, int]) -> np.ndarray:
    """Where each pixel of such a picture lies in our space, shape (n, 3)."""
    rows, columns = shape
    theta = np.pi * (np.arange(rows) + 0.5) / rows
    phi = 2 * np.pi * (np.arange(columns) + 0.5) / columns
    s, c = np.sin(theta)[:, None], np.cos(theta)[:, None]
    # Mitsuba: direction (sin phi sin theta, cos theta, -cos phi sin theta).
    x, y, z = np.sin(phi) * s, np.broadcast_to(c, shape), -np.cos(phi) * s
    return np.stack([x, -z, y], axis=-1).reshape(-1, 3)


def _sensor(mi: Any, camera: Camera, size: tuple[int, int]) -> dict[str, Any]:
    return {
        "type": "perspective",
        "fov": float(np.degrees(camera.field)),
        "fov_axis": "y",
        "near_clip": 1.0,
        "far_clip": 100_000.0,
        "to_world": mi.ScalarTransform4f().look_at(
            origin=(TURN @ camera.eye).tolist(),
            target=(TURN @ camera.target).tolist(),
            up=[0, 1, 0],
        ),
        "film": {
            "type": "hdrfilm",
            "width": size[0],
            "height": size[1],
            "rfilter": {"type": "box"},
        },
        "sampler": {"type": "independent"},
    }


def _by_colour(scene: Scene) -> dict[str, np.ndarray]:
    """Corners of the triangles of each colour, shape (3 t, 3), mm, with a large table."""
    found: dict[str, list[np.ndarray]] = {}
    for surface in (each for each in scene.surfaces if not each.glow):
        flat = triangulate(surface.polygon)
        corners = flat @ surface.rotation[:, :2].T + surface.translation
        found.setdefault(surface.front, []).append(corners)
    size = 3000.0
    floor = np.array([[-size, -size], [size, -size], [size, size], [-size, size]])
    table = np.c_[floor, np.full(4, scene.table)][[[0, 1, 2], [0, 2, 3]]]
    found.setdefault(scene.mood.table, []).append(table)
    return {colour: np.concatenate(parts).reshape(-1, 3) for colour, parts in found.items()}


def _diffuse(mi: Any, colour: np.ndarray) -> Any:
    reflectance = {"type": "rgb", "value": colour.tolist()}
    props = mi.Properties()
    props["bsdf"] = mi.load_dict(
        {"type": "twosided", "bsdf": {"type": "diffuse", "reflectance": reflectance}}
    )
    return props
