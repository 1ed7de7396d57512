"""Cameras and silhouettes against OpenGL, through pyrender.

The projection is that of the OpenGL specification (perspective matrix, viewport transform), as
``pyrender.PerspectiveCamera.get_projection_matrix`` builds it.
"""

import io
from dataclasses import replace

import numpy as np
import pytest

from meshes.sheet import Glow
from preview.cli import main
from preview.cli.terminal import Terminal
from preview.drawing.render import engines
from preview.drawing.render.gl import GlEngine, camera_pose, prepare, to_pyrender
from preview.drawing.render.ray.film import FILM, FilmFrame
from preview.drawing.render.ray.lens import Lens
from preview.drawing.scene import build
from preview.shot.camera import VIEWS
from preview.shot.mood import MOODS

from ..drawing.vale import vale

SIZE = (480, 360)
FINE = (640, 480)


@pytest.fixture(scope="module")
def opengl():
    state = engines()[1]
    if not state.works:
        pytest.skip(f"no OpenGL here: {state.detail}")
    engine = GlEngine()
    yield engine
    engine.close()


@pytest.mark.parametrize("view", VIEWS)
def test_corners_are_projected_where_opengl_puts_them(view, opengl):
    points = vale(130).points
    camera = VIEWS[view].frame(points, SIZE[0] / SIZE[1])
    lens = prepare().PerspectiveCamera(yfov=camera.field, znear=1.0, zfar=5000.0)
    matrix = lens.get_projection_matrix(*SIZE) @ np.linalg.inv(camera_pose(camera))
    clip = np.c_[points, np.ones(len(points))] @ matrix.T
    device = clip[:, :2] / clip[:, 3:]
    window = (device * [1, -1] + 1) / 2 * SIZE
    assert np.abs(window - camera.project(points, SIZE)).max() < 0.01


@pytest.mark.parametrize("opening", [20, 60, 100, 146, 180])
def test_both_engines_draw_the_same_silhouette(opening, opengl):
    ours, theirs = _silhouettes(vale(opening), opengl)
    assert ours.sum() > 2000
    assert (ours ^ theirs).sum() / ours.sum() < 0.005


def _silhouettes(scene, opengl):
    """Pixels that show the spread by both engines, shape (h, w) each."""
    # With the table far below, depth alone tells the book from what is behind it.
    solid = tuple(s for s in scene.surfaces if s.material != "film")
    scene = replace(scene, table=-4000.0, surfaces=solid)
    camera = VIEWS["right-corner"].frame(scene.points, SIZE[0] / SIZE[1])
    frame = FilmFrame(scene, Lens(scene, camera, FINE), FILM)
    frame._see()
    opengl._resize(FINE)
    made = to_pyrender(scene, camera)
    # In this mode it takes one sample in the middle of each pixel; else the depth it gives back is
    # that of a sample aside.
    marked = {node: (255, 255, 255) for node in made.mesh_nodes}
    _, depth = opengl._renderer.render(made, prepare().RenderFlags.SEG, marked)
    return (frame.key != frame.table).reshape(FINE[::-1]), (depth > 0) & (depth < 3000)


@pytest.mark.parametrize("name", ["toadstool-glade", "campfire-night"])
def test_both_engines_draw_the_same_silhouette_of_large_designs(name, opengl):
    from meshes import designs, spread

    made = spread.read(designs.path(name))
    motion = made.solve(np.radians([15.0, 60.0, 100.0, 146.0, 180.0]))
    for stage in range(5):
        ours, theirs = _silhouettes(build(made, motion, stage), opengl)
        assert (ours ^ theirs).sum() / ours.sum() < 0.005


def test_colours_of_a_level_sheet_agree(opengl):
    scene = vale(180)
    camera = VIEWS["overhead"].frame(scene.points, SIZE[0] / SIZE[1])
    spot = camera.project(np.array([[120.0, 195.0, 0.0]]), SIZE)[0].astype(int)
    picture = opengl.draw(scene, camera, SIZE)
    shown = picture[spot[1] - 3 : spot[1] + 3, spot[0] - 3 : spot[0] + 3].reshape(-1, 3)
    assert np.abs(shown.mean(axis=0) - [0xF6, 0xF1, 0xE4]).max() < 12


def test_shadows_and_textures_are_drawn(opengl):
    """Both fail in pyrender 0.1.45 as released, with NumPy 2 or on Python 3.12 and newer."""
    from preview.drawing.scene import SurfaceImage

    scene = vale(170)
    ink = np.zeros((8, 8, 4), np.uint8)
    ink[...] = (180, 20, 160, 255)
    art = SurfaceImage(ink, (-148.0, 0.0), (296.0, 210.0))
    inked = tuple(
        replace(s, front_picture=art) if s.material == "page" else s for s in scene.surfaces
    )
    camera = VIEWS["overhead"].frame(scene.points, SIZE[0] / SIZE[1])
    picture = opengl.draw(replace(scene, surfaces=inked), camera, SIZE).astype(int)
    purple = (picture[..., 0] > picture[..., 1] + 60) & (picture[..., 2] > picture[..., 1] + 60)
    assert purple.mean() > 0.15
    flat = opengl.draw(scene, camera, SIZE, "draft").astype(int)
    shaded = opengl.draw(scene, camera, SIZE, "film").astype(int)
    assert (flat - shaded).max() > 25


def test_a_picture_is_shown_once_and_not_repeated(opengl):
    from preview.drawing.scene import SurfaceImage

    scene = vale(178)
    ink = np.zeros((8, 8, 4), np.uint8)
    ink[...] = (180, 20, 160, 255)
    art = SurfaceImage(ink, (104.0, 6.0), (30.0, 20.0))
    inked = tuple(
        replace(s, front_picture=art) if s.name == "page.right" else s for s in scene.surfaces
    )
    camera = VIEWS["overhead"].frame(scene.points, SIZE[0] / SIZE[1])
    shown = opengl.draw(replace(scene, surfaces=inked), camera, SIZE).astype(int)
    purple = (shown[..., 0] > shown[..., 1] + 60) & (shown[..., 2] > shown[..., 1] + 60)
    corners = np.array([[104.0, 6.0, 0.0], [134.0, 26.0, 0.0]])
    area = np.abs(np.prod(np.diff(camera.project(corners, SIZE), axis=0)))
    assert purple.sum() == pytest.approx(area, rel=0.1)


def test_lit_paper_is_brighter_by_the_light_of_its_lamp(opengl):
    """Emission is what a picture has more of where light adds up: in the shader's own light, which
    it encodes by a power of 1 / 2.2, the light of the lamp is that power of its value in sRGB (IEC
    61966-2-1)."""
    from preview.drawing.scene import lamplight

    glow = Glow(0.3, "#ffb765")
    scene = replace(vale(180), mood=MOODS["night"])
    lit = tuple(
        replace(s, glow=glow, ruling="plain") if s.name == "page.right" else s
        for s in scene.surfaces
    )
    plain = tuple(replace(s, ruling="plain") for s in scene.surfaces)
    camera = VIEWS["overhead"].frame(scene.points, SIZE[0] / SIZE[1])
    spot = camera.project(np.array([[120.0, 195.0, 0.0]]), SIZE)[0].astype(int)
    light = []
    for surfaces in (plain, lit):
        picture = opengl.draw(replace(scene, surfaces=surfaces), camera, SIZE) / 255.0
        shown = picture[spot[1] - 3 : spot[1] + 3, spot[0] - 3 : spot[0] + 3].reshape(-1, 3)
        light.append(shown.mean(axis=0) ** 2.2)
    page = next(s for s in scene.surfaces if s.name == "page.right")
    sent = scene.mood.lamp * lamplight(glow, page.front, page.back)
    assert sent.min() > 0.02
    encoded = 1.055 * sent ** (1 / 2.4) - 0.055
    assert light[1] - light[0] == pytest.approx(encoded**2.2, rel=0.03)


def test_the_command_says_in_one_line_what_gl_does_not_show(opengl, tmp_path):
    said = {}
    for name in ("night-train", "dragon-keep", "spring-nest"):
        err = io.StringIO()
        terminal = Terminal(io.StringIO(), err, tmp_path, live=False)
        words = ["--engine=gl", "--size=32x24", "--quality=draft", "-o", str(tmp_path / "a.png")]
        assert main(["still", name, *words], terminal) == 0
        said[name] = [line for line in err.getvalue().splitlines() if "gl engine" in line]
    assert said["spring-nest"] == []
    (train,), (keep,) = said["night-train"], said["dragon-keep"]
    assert "lamps" in train
    assert "finish" not in train
    assert all(word in keep for word in ("metallic", "mulberry", "watercolour", "--engine ray"))
