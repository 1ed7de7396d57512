"""Shading against Mitsuba 3, a reference renderer, on the same diffuse scene and lights.

W. Jakob et al., Mitsuba 3 renderer (2022), mitsuba-renderer.org; variant scalar_rgb, direct light
only: a distant key of the same disc by several thin beams, and the same sky as an environment map.
Both pictures are compared in linear light, as a share of full scale.
"""

from dataclasses import replace

import numpy as np
import pytest

from preview.camera import VIEWS
from preview.mood import Mood, sky_radiance
from preview.render.ray import still
from preview.render.ray.patches import triangulate
from preview.render.ray.sampling import disc

from ..render.vale import vale

SIZE = (96, 72)
BEAMS = 24


@pytest.fixture(scope="module")
def mitsuba():
    mi = pytest.importorskip("mitsuba", reason="the reference renderer is not installed")
    mi.set_variant("scalar_rgb")
    return mi


def plain(scene):
    """The scene on a plain grey table, in paper only, lit by key and sky without second bounce."""
    mood = replace(scene.mood, bounce=0.0, falloff=0.0, table="#b0a898", backdrop="#b0a898")
    solid = tuple(
        replace(s, translucency=0.0, ruling="plain", back=s.front)
        for s in scene.surfaces
        if s.material not in ("film", "block")
    )
    return replace(scene, surfaces=solid, mood=mood)


def sky_map(mood: Mood, key: np.ndarray) -> np.ndarray:
    """The sky as a latitude-longitude picture for Mitsuba, whose y axis is up here."""
    rows, columns = 128, 256
    theta = np.pi * (np.arange(rows) + 0.5) / rows
    phi = 2 * np.pi * (np.arange(columns) + 0.5) / columns
    s, c = np.sin(theta)[:, None], np.cos(theta)[:, None]
    # Mitsuba: direction (sin phi sin theta, cos theta, -cos phi sin theta); y becomes our z below.
    x, y, z = np.sin(phi) * s, np.broadcast_to(c, (rows, columns)), -np.cos(phi) * s
    ours = np.stack([x, -z, y], axis=-1).reshape(-1, 3)
    radiance = np.where(ours[:, 2] > 0, sky_radiance(ours, key), 0.0)
    return (radiance[:, None] * mood.sky).reshape(rows, columns, 3).astype(np.float32)


def reference(mi, scene, camera):
    """Linear light by Mitsuba, shape (h, w, 3). Our (x, y, z) is its (x, z, -y)."""
    turn = np.array([[1.0, 0, 0], [0, 0, 1.0], [0, -1.0, 0]])
    key = scene.mood.towards_key(scene.viewer)
    world = {
        "type": "scene",
        "integrator": {"type": "path", "max_depth": 2},
        "sensor": {
            "type": "perspective",
            "fov": float(np.degrees(camera.field)),
            "fov_axis": "y",
            "near_clip": 1.0,
            "far_clip": 100_000.0,
            "to_world": mi.ScalarTransform4f().look_at(
                origin=(turn @ camera.eye).tolist(),
                target=(turn @ camera.target).tolist(),
                up=[0, 1, 0],
            ),
            "film": {
                "type": "hdrfilm",
                "width": SIZE[0],
                "height": SIZE[1],
                "rfilter": {"type": "box"},
            },
            "sampler": {"type": "independent", "sample_count": 144, "seed": 1},
        },
        "sky": {
            "type": "envmap",
            "bitmap": mi.Bitmap(sky_map(scene.mood, key)),
            "scale": 1.0,
        },
    }
    beams = disc(key, scene.mood.spread, BEAMS)
    for k, beam in enumerate(beams):
        world[f"key{k}"] = {
            "type": "directional",
            "direction": (-(turn @ beam)).tolist(),
            "irradiance": {"type": "rgb", "value": (np.pi * scene.mood.key / BEAMS).tolist()},
        }
    from preview.colour import linear

    colours = {}
    for surface in scene.surfaces:
        flat = triangulate(surface.polygon)
        corners = flat @ surface.rotation[:, :2].T + surface.translation
        colours.setdefault(surface.front, []).append(corners)
    size = 3000.0
    floor = np.array([[-size, -size], [size, -size], [size, size], [-size, size]])
    table = np.c_[floor, np.full(4, scene.table)][[[0, 1, 2], [0, 2, 3]]]
    colours.setdefault(scene.mood.table, []).append(table)
    for k, (colour, parts) in enumerate(colours.items()):
        points = (np.concatenate(parts).reshape(-1, 3) @ turn.T).astype(np.float32)
        mesh = mi.Mesh(f"m{k}", len(points), len(points) // 3, props=_diffuse(mi, linear(colour)))
        params = mi.traverse(mesh)
        params["vertex_positions"] = points.ravel()
        params["faces"] = np.arange(len(points), dtype=np.uint32)
        params.update()
        world[f"m{k}"] = mesh
    return np.array(mi.render(mi.load_dict(world)))[..., :3]


def _diffuse(mi, colour):
    props = mi.Properties()
    props["bsdf"] = mi.load_dict(
        {
            "type": "twosided",
            "bsdf": {
                "type": "diffuse",
                "reflectance": {"type": "rgb", "value": colour.tolist()},
            },
        }
    )
    return props


@pytest.mark.parametrize("opening", [100, 150])
def test_light_agrees_with_the_reference_renderer(opening, mitsuba):
    scene = plain(vale(opening))
    camera = VIEWS["reader"].frame(scene.points, SIZE[0] / SIZE[1])
    theirs = reference(mitsuba, scene, camera)
    studio = still.Studio(scene, camera, SIZE)
    studio.tooth[:] = 0
    dark = np.zeros_like(studio.first_glow())
    light = sum(studio.trace(k, 16, dark).light for k in range(16)) / 16
    ours = np.moveaxis(light.reshape(3, *SIZE[::-1]), 0, -1)
    shown = np.abs(np.minimum(ours, 1) - np.minimum(theirs, 1))
    near = slice(20, None)  # above, our table melts into the backdrop
    assert shown[near].mean() < 0.02
    assert np.quantile(shown[near], 0.95) < 0.08
