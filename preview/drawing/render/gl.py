"""The OpenGL engine, and everything that pyrender 0.1.45 needs put right.

pyrender is imported only here and only when asked for. What is mended, and why:

* It uses ``numpy.infty``, which NumPy 2 took away; shadows need it.
* ``PYOPENGL_PLATFORM`` must be set before its first import, and an empty value is an error.
* It shows back faces with the light of the front, so both sides of a sheet are drawn as faces.
* Vertex colours are taken as linear light and encoded with a plain power of 1/2.2.
* Colours given as integers are divided by 255, so backgrounds must be floats.
* One renderer a process: contexts made again fail on some drivers.
* It reads the depth of every pixel back too and works it into millimetres, which nobody asked for.
* The PyOpenGL that it pins knows a pointer made by ``ctypes.byref`` by a name that Python 3.12
  changed; without it there are neither shadows nor textures.
"""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
from collections.abc import Iterator, Sequence
from functools import lru_cache, partial
from typing import Any

import numpy as np
from PIL import Image
from shapely import Polygon

from preview.drawing.book import Ruling
from preview.drawing.colour import channels, linear, linear_to_srgb, linears
from preview.drawing.scene import Scene, Surface, SurfaceImage
from preview.shot.camera import Camera
from preview.shot.mood import Mood

from . import EngineError, EngineState, Quality

_Light = tuple[float, float, float]

GAMMA = 2.2
PROBE_SECONDS = 60
SAMPLES = {"draft": 1, "film": 2, "still": 2, "fine": 3}
# Of what is printed on a surface, as a texture.
TEXELS_PER_MM, MOST_TEXELS = 5.0, 1400
# Libraries that pyrender and what it builds on load on Linux, and the package of each.
# Source: the package lists of Debian 12.
PACKAGES = {"EGL": "libegl1", "GL": "libgl1", "GLU": "libglu1-mesa"}
DRIVERS = "libgl1-mesa-dri"


def prepare() -> Any:
    """Import pyrender with its faults mended; the module.

    Raises
    ------
    EngineError
        If there is no usable OpenGL; the text is one line.
    """
    if not os.environ.get("PYOPENGL_PLATFORM"):
        os.environ.pop("PYOPENGL_PLATFORM", None)
        platform = _headless_platform()
        if platform:
            os.environ["PYOPENGL_PLATFORM"] = platform
    if not hasattr(np, "infty"):
        np.infty = np.inf  # type: ignore[attr-defined]
    try:
        _know_references()
        import pyrender
    # Missing libraries show up as ImportError, AttributeError or errors of pyglet.
    except Exception as error:
        raise EngineError(f"the gl engine found no OpenGL ({_line(error)}); {advice()}") from None
    return pyrender


def _know_references() -> None:
    """Tell PyOpenGL what handles the pointers that ``ctypes.byref`` makes, whatever their name."""
    import ctypes

    from OpenGL.arrays.arraydatatype import ArrayDatatype
    from OpenGL.arrays.ctypesparameters import CtypesParameterHandler

    reference = type(ctypes.byref(ctypes.c_int()))
    ArrayDatatype.getRegistry().register(CtypesParameterHandler(), [reference])


def _headless_platform() -> str | None:
    """Which way to OpenGL without a display, on Linux; None leaves it to the desktop."""
    if not sys.platform.startswith("linux"):
        return None
    from ctypes.util import find_library

    for library, platform in (("EGL", "egl"), ("OSMesa", "osmesa")):
        if find_library(library):
            return platform
    return None


def advice() -> str:
    """What to install, by what is missing on this computer."""
    if not sys.platform.startswith("linux"):
        return "it needs a desktop with OpenGL; use --engine ray"
    from ctypes.util import find_library

    missing = [name for name in PACKAGES if find_library(name) is None]
    wanted = [PACKAGES[name] for name in missing] or [DRIVERS]
    found = f"missing: {', '.join(f'lib{name}' for name in missing)}; " if missing else ""
    return f"{found}on Debian or Ubuntu: apt install {' '.join(wanted)}"


def _line(error: Exception) -> str:
    text = str(error) or type(error).__name__
    return text.splitlines()[0][:120]


class GlEngine:
    """Draws with OpenGL through pyrender: shadows, textures, lit windows, no soft sky."""

    name = "gl"

    def __init__(self) -> None:
        self._pyrender = prepare()
        self._renderer: Any = None
        self._size = (0, 0)

    def draw(
        self, scene: Scene, camera: Camera, size: tuple[int, int], quality: Quality = "film"
    ) -> np.ndarray:
        """A picture, uint8 sRGB, shape (h, w, 3); see :class:`preview.drawing.render.Engine`."""
        samples = SAMPLES[quality]
        width, height = size[0] * samples, size[1] * samples
        flags = self._pyrender.RenderFlags
        mode = flags.NONE if quality == "draft" else flags.SHADOWS_DIRECTIONAL
        try:
            self._resize((width, height))
            picture = _colours_of(self._renderer, to_pyrender(scene, camera), mode)
        except Exception as error:
            raise EngineError(f"the gl engine can't draw ({_line(error)}); {advice()}") from None
        return np.asarray(Image.fromarray(picture).reduce(samples))

    def _resize(self, size: tuple[int, int]) -> None:
        if self._renderer is None:
            self._renderer = self._pyrender.OffscreenRenderer(*size)
        elif size != self._size:
            self._renderer.viewport_width, self._renderer.viewport_height = size
        self._size = size

    def close(self) -> None:
        """Give the OpenGL context back."""
        if self._renderer is not None:
            # Where drawing fails, giving back fails too; the reason is told by then.
            with contextlib.suppress(Exception):
                self._renderer.delete()
            self._renderer = None


def _colours_of(renderer: Any, scene: Any, flags: int) -> np.ndarray:
    """What a ``pyrender.OffscreenRenderer`` draws, uint8, shape (h, w, 3); no depth is read."""
    inside = renderer._renderer
    inside._read_main_framebuffer = partial(_read_colours, inside)
    try:
        return np.asarray(renderer.render(scene, flags=flags))
    finally:
        del inside._read_main_framebuffer


def _read_colours(renderer: Any, scene: Any, flags: int) -> np.ndarray:
    """What has been drawn, samples of a pixel averaged, uint8, shape (h, w, 3).

    Parameters
    ----------
    renderer : a ``pyrender.Renderer``, which has drawn into a buffer of several samples a pixel.
    scene, flags : as its method has them that this takes the place of; not needed for colours.
    """
    from OpenGL import GL

    width, height = renderer._main_fb_dims
    whole = (0, 0, width, height)
    GL.glBindFramebuffer(GL.GL_READ_FRAMEBUFFER, renderer._main_fb_ms)
    GL.glBindFramebuffer(GL.GL_DRAW_FRAMEBUFFER, renderer._main_fb)
    GL.glBlitFramebuffer(*whole, *whole, GL.GL_COLOR_BUFFER_BIT, GL.GL_LINEAR)
    GL.glBindFramebuffer(GL.GL_READ_FRAMEBUFFER, renderer._main_fb)
    found = GL.glReadPixels(*whole, GL.GL_RGB, GL.GL_UNSIGNED_BYTE)
    # The lowest row comes first.
    picture = np.frombuffer(found, np.uint8).reshape(height, width, 3)[::-1]
    if sys.platform == "darwin":
        # Its buffers have more pixels than were asked for.
        picture = renderer._resize_image(picture, True)
    return np.ascontiguousarray(picture)


def to_pyrender(scene: Scene, camera: Camera) -> Any:
    """The scene, its light and its camera as a ``pyrender.Scene``."""
    pyrender = prepare()
    mood = scene.mood
    key = np.array(mood.key)
    background = [*(np.array(channels(mood.backdrop)) / 255.0).tolist(), 1.0]
    made = pyrender.Scene(bg_color=background, ambient_light=mood.sky.tolist())
    solid = [s for s in scene.surfaces if s.material != "film"]
    plain = [surface for surface in solid if not _is_textured(surface)]
    made.add(_mesh(pyrender, [s for s in plain if s.glow is None], scene))
    lit = [surface for surface in plain if surface.glow is not None]
    if lit:
        made.add(_lit(pyrender, lit, mood))
    for surface in solid:
        if _is_textured(surface):
            for part in _textured(pyrender, surface, _light_of(surface, mood)):
                made.add(part)
    for surface in scene.surfaces:
        if surface.material == "film":
            _add_film(pyrender, made, surface)
    strength = float(key.max())
    light = pyrender.DirectionalLight(color=(key / strength).tolist(), intensity=strength * np.pi)
    made.add(light, pose=_looking(mood.towards_key(scene.viewer)))
    lens = pyrender.PerspectiveCamera(yfov=camera.field, znear=camera.distance / 50, zfar=20_000.0)
    made.add(lens, pose=camera_pose(camera))
    return made


def camera_pose(camera: Camera) -> np.ndarray:
    """The camera's place as OpenGL has it: looking along -z, shape (4, 4)."""
    right, up, forward = camera.axes
    pose = np.eye(4)
    pose[:3, :3] = np.column_stack([right, up, -forward])
    pose[:3, 3] = camera.eye
    return pose


def _looking(towards: np.ndarray) -> np.ndarray:
    """A pose whose -z points away from `towards`, so that light comes from there."""
    side = np.cross([0.0, 0.0, 1.0], towards)
    side /= np.linalg.norm(side)
    pose = np.eye(4)
    pose[:3, :3] = np.column_stack([side, np.cross(towards, side), towards])
    pose[:3, 3] = 1000.0 * towards
    return pose


def _light_of(surface: Surface, mood: Mood) -> _Light:
    """What the lamp behind a surface sends out of it, linear."""
    from .ray.lamps import emitted

    red, green, blue = emitted(surface, mood).tolist()
    return red, green, blue


def _lit(pyrender: Any, surfaces: Sequence[Surface], mood: Mood) -> Any:
    """One mesh of plain surfaces with lamps behind them, a primitive for each light and colour.

    They have a colour for the whole primitive, since the shader would tint what they send out by
    the colours of corners.
    """
    found: dict[tuple[_Light, str], list[tuple[np.ndarray, np.ndarray]]] = {}
    for surface in surfaces:
        colours = surface.front, surface.back
        for (corners, normals, _), colour in zip(_sides([surface]), colours, strict=False):
            found.setdefault((_light_of(surface, mood), colour), []).append((corners, normals))
    primitives = []
    for (light, colour), faces in found.items():
        corners, normals = (
            np.concatenate(part).reshape(-1, 3) for part in zip(*faces, strict=True)
        )
        base = [*_for_shader(linear(colour)).tolist(), 1.0]
        primitives.append(
            pyrender.Primitive(
                positions=corners.astype(np.float32),
                normals=normals.astype(np.float32),
                material=_paper(pyrender, light, baseColorFactor=base),
            )
        )
    return pyrender.Mesh(primitives)


def _mesh(pyrender: Any, surfaces: Sequence[Surface], scene: Scene) -> Any:
    """One mesh of all plain surfaces and the table; many small meshes are several times slower."""
    table, tint = _table(scene)
    upwards = np.broadcast_to([0.0, 0.0, 1.0], table.shape)
    parts = [*_sides(surfaces), (table, upwards, _for_shader(tint))]
    corners, normals, colours = (
        np.concatenate(some).reshape(-1, 3).astype(np.float32) for some in zip(*parts, strict=True)
    )
    opaque = np.ones((len(corners), 1), np.float32)
    primitive = pyrender.Primitive(
        positions=corners,
        normals=normals,
        color_0=np.hstack([colours, opaque]),
        material=_paper(pyrender),
    )
    return pyrender.Mesh([primitive])


def _sides(surfaces: Sequence[Surface]) -> Iterator[tuple[np.ndarray, np.ndarray, np.ndarray]]:
    """All fronts, then the backs of what has one, if any: triangles, their normals and colours.

    Yields
    ------
    Corners, mm, normals and colours for the shader at them, shape (t, 3, 3) each.
    """
    from .ray.patches import SOLID

    if not surfaces:
        return
    flat, owner = _triangles(surfaces)
    turns = np.array([surface.rotation for surface in surfaces])
    places = np.array([surface.translation for surface in surfaces])
    half = np.array([max(surface.thickness / 2, 0.02) for surface in surfaces])
    has_back = np.array([surface.material not in SOLID for surface in surfaces])[owner]
    world = np.einsum("nij,nkj->nki", turns[owner, :, :2], flat) + places[owner, None]
    normals = np.broadcast_to(turns[owner, None, :, 2], world.shape)
    out = half[owner, None, None] * normals
    fronts, backs = (
        _for_shader(linears(tuple(colours)))[owner, None]
        for colours in zip(*((surface.front, surface.back) for surface in surfaces), strict=True)
    )
    yield world + out, normals, np.broadcast_to(fronts, world.shape)
    if not has_back.any():
        return
    behind = (world - out)[has_back][:, ::-1]
    yield behind, -normals[has_back], np.broadcast_to(backs[has_back], behind.shape)


def _triangles(surfaces: Sequence[Surface]) -> tuple[np.ndarray, np.ndarray]:
    """Triangles of surfaces in their planes, mm, shape (t, 3, 2), and the surface of each, (t,).

    All are clockwise: shadows are cast by those alone that the light sees run the other way, which
    keeps a sheet that it shines on from shading itself.
    """
    from .ray.patches import thin_meshes

    meshes = thin_meshes([surface.polygon for surface in surfaces], 0.0)
    flat = np.concatenate([mesh.corners[mesh.faces] for mesh in meshes])
    (ax, ay), (bx, by) = (flat[:, 1] - flat[:, 0]).T, (flat[:, 2] - flat[:, 0]).T
    wrong = ax * by > ay * bx
    flat[wrong] = flat[wrong, ::-1]
    return flat, np.repeat(np.arange(len(surfaces)), [len(mesh.faces) for mesh in meshes])


def _paper(pyrender: Any, light: _Light = (0.0, 0.0, 0.0), **settings: Any) -> Any:
    # Its shader multiplies what a material sends out by itself.
    return pyrender.MetallicRoughnessMaterial(
        metallicFactor=0.0,
        roughnessFactor=1.0,
        doubleSided=True,
        emissiveFactor=np.sqrt(_for_shader(np.array(light))).astype(np.float32),
        **settings,
    )


def _for_shader(light: np.ndarray) -> np.ndarray:
    """Linear light such that the shader's power of 1/2.2 gives the true sRGB value."""
    return linear_to_srgb(light) ** GAMMA


def _table(scene: Scene) -> tuple[np.ndarray, np.ndarray]:
    """The table top, fading into the backdrop: triangles (t, 3, 3) and linear colours alike.

    It is no larger than it must be, since the shadow map has to cover all of it.
    """
    rings = scene.scale * np.array([1.0, 200, 300, 400, 500, 600])
    around = np.linspace(0, 2 * np.pi, 33)
    x = scene.centre[0] + rings[:, None] * np.cos(around)
    y = scene.centre[1] + rings[:, None] * np.sin(around)
    points = np.stack([x, y, np.full_like(x, scene.table)], axis=-1)
    fade = np.clip((rings / scene.scale - 200) / 400, 0, 1)[:, None, None]
    near, far = linear(scene.mood.table), linear(scene.mood.backdrop)
    colours = np.broadcast_to(near * (1 - fade) + far * fade, points.shape)
    return _quads(points), _quads(colours)


def _quads(grid: np.ndarray) -> np.ndarray:
    a, b, c, d = grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]
    return np.concatenate([np.stack([a, b, c], 2), np.stack([a, c, d], 2)]).reshape(-1, 3, 3)


def _is_textured(surface: Surface) -> bool:
    pictures = (surface.front_picture, surface.back_picture)
    return surface.ruling != "plain" or any(picture is not None for picture in pictures)


def _textured(pyrender: Any, surface: Surface, light: _Light) -> list[Any]:
    """Meshes of the sides of a surface, each with what is printed on it as its texture."""
    made = []
    left, low, right, top = surface.polygon.bounds
    corner, size = np.array([left, low]), np.array([right - left, top - low])
    for (corners, normals, _), is_front in zip(_sides([surface]), (True, False), strict=False):
        flat = (corners - surface.translation) @ surface.rotation[:, :2]
        primitive = pyrender.Primitive(
            positions=corners.reshape(-1, 3).astype(np.float32),
            normals=normals.reshape(-1, 3).astype(np.float32),
            texcoord_0=((flat.reshape(-1, 2) - corner) / size).astype(np.float32),
            material=_paper(pyrender, light, baseColorTexture=_printed(surface, is_front)),
        )
        made.append(pyrender.Mesh([primitive]))
    return made


def _printed(surface: Surface, is_front: bool) -> np.ndarray:
    """One side of a surface as an image over its bounds, uint8, shape (rows, columns, 3)."""
    if is_front:
        return _painted(surface.polygon, surface.front, surface.ruling, surface.front_picture)
    return _painted(surface.polygon, surface.back, "plain", surface.back_picture)


@lru_cache(maxsize=256)
def _painted(
    polygon: Polygon, colour: str, ruling: Ruling, picture: SurfaceImage | None
) -> np.ndarray:
    from .ray.material import Texture, paint

    left, low, right, top = polygon.bounds
    pitch = max(1 / TEXELS_PER_MM, max(right - left, top - low) / MOST_TEXELS)
    x, y = np.arange(left + pitch / 2, right, pitch), np.arange(top - pitch / 2, low, -pitch)
    grid = np.stack([*np.meshgrid(x, y), np.zeros((len(y), len(x)))], axis=-1)
    flat = Surface(
        "", polygon, np.eye(3), np.zeros(3), colour, colour, ruling=ruling, front_picture=picture
    )
    texture = Texture(0, flat, True, linear(colour), (pitch, pitch))
    light = paint(texture, grid.reshape(-1, 3).astype(np.float32)).reshape(len(y), len(x), 3)
    return np.rint(255 * linear_to_srgb(light)).astype(np.uint8)


def _add_film(pyrender: Any, made: Any, surface: Surface) -> None:
    """Clear film as a node of its own: blended meshes are sorted by where their nodes are."""
    from .ray.clear import rimmed

    centre = np.array([*surface.polygon.centroid.coords[0], 0.0])
    primitives = []
    parts = zip(rimmed(surface.polygon), _FILM_ALPHA, _FILM_GLOW, strict=True)
    for flat, alpha, glow in parts:
        local = np.concatenate([flat, np.zeros((*flat.shape[:2], 1))], axis=2) - centre
        if len(local):
            white = [1.0, 1.0, 1.0, alpha]
            light = (glow, glow, glow)
            material = _paper(pyrender, light, alphaMode="BLEND", baseColorFactor=white)
            primitives.append(
                pyrender.Primitive(
                    positions=local.reshape(-1, 3).astype(np.float32),
                    normals=np.tile([0.0, 0.0, 1.0], (local.size // 3, 1)).astype(np.float32),
                    material=material,
                )
            )
    pose = np.eye(4)
    pose[:3, :3] = surface.rotation
    pose[:3, 3] = surface.rotation @ centre + surface.translation
    made.add(pyrender.Mesh(primitives), pose=pose)


# How white clear film is there, and its cut edge, which sends out the light that it has gathered.
# Our choice.
_FILM_ALPHA, _FILM_GLOW = (0.14, 0.3), (0.0, 0.6)

_PROBE = """
from preview.drawing.render.gl import GlEngine
from preview.drawing.render import EngineError
from preview.shot.camera import Camera
from preview.drawing.scene import Scene
try:
    engine = GlEngine()
    picture = engine.draw(Scene(()), Camera((0, -500, 300), (0, 0, 0)), (32, 32))
    print("ok" if picture.std() >= 0 else "", end="")
except EngineError as error:
    print(error, end="")
"""


def probe() -> EngineState:
    """Whether OpenGL works here, tried in a child process, since a bad driver can crash."""
    try:
        child = subprocess.run(
            [sys.executable, "-c", _PROBE], capture_output=True, text=True, timeout=PROBE_SECONDS
        )
    except subprocess.TimeoutExpired:
        return EngineState("gl", False, f"the driver did not answer in {PROBE_SECONDS} s")
    if child.stdout == "ok":
        return EngineState("gl", True, "OpenGL through pyrender")
    reason = child.stdout or f"the driver ended the process ({child.returncode}); {advice()}"
    return EngineState("gl", False, reason)
