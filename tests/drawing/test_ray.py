"""The Embree engine: light where it belongs, no noise, the same pixels every time."""

import subprocess
import sys
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import shapely

from meshes.check.poses import rotation_of
from preview.drawing.colour import channels, encode
from preview.drawing.render import EngineError, draw, renderer
from preview.drawing.render.ray import neighbours
from preview.drawing.render.ray.depth import Sharp
from preview.drawing.render.ray.draft import DraftFrame
from preview.drawing.render.ray.film import FILM, FilmFrame
from preview.drawing.render.ray.lens import Lens
from preview.drawing.render.ray.material import footprint, ruled
from preview.drawing.render.ray.trace import Tracer
from preview.drawing.scene import Scene, Surface, SurfaceImage
from preview.shot.camera import VIEWS, Camera, from_angles

from .vale import vale

DOWN = from_angles((0.0, 0.0, 0.0), -np.pi / 2, np.pi / 2 - 1e-3, 600.0)


def sheet(width, height, place=(0, 0, 0), rotation=None, colour="#cc8844", **settings):
    """A sheet centred at `place`."""
    polygon = shapely.box(-width / 2, -height / 2, width / 2, height / 2)
    rotation = np.eye(3) if rotation is None else rotation
    return Surface("sheet", polygon, rotation, np.array(place, float), colour, colour, **settings)


def middle(picture, size=8):
    h, w = picture.shape[:2]
    return picture[h // 2 - size : h // 2 + size, w // 2 - size : w // 2 + size]


def seen(scene, camera, size=(120, 90)):
    """A frame whose `sun` and `sky` are filled in."""
    frame = FilmFrame(scene, Lens(scene, camera, size), FILM)
    frame.linear()
    return frame


@pytest.mark.parametrize("quality", ["draft", "film", "still"])
@pytest.mark.parametrize("colour", ["#c4543a", "#2f6b4f", "#f1ead9", "#777777"])
def test_a_level_sheet_in_full_light_shows_the_colour_of_its_file(quality, colour):
    scene = Scene((sheet(150, 150, (0, 0, 3), colour=colour),), table=0.0)
    picture = draw(scene, DOWN, (48, 48), "ray", quality)
    centre = middle(picture.astype(float), 6).mean(axis=(0, 1))
    # Bright tones are rolled off a little, so that facets turned to the light keep some shape.
    assert np.abs(centre - channels(colour)).max() <= (2.5 if max(channels(colour)) < 200 else 6)


def test_single_rays_that_slip_through_a_seam_are_made_good(monkeypatch):
    """Some rays are made to miss all paper, as those do that slip between two triangles."""
    scene, size = vale(120), (120, 90)
    camera = VIEWS["reader"].frame(scene.points, 4 / 3)
    whole = seen(scene, camera, size)
    # Amid paper of one kind, and no two of them side by side.
    inside = ~neighbours.grown(neighbours.edges(whole.key_image)) & (whole.key_image < whole.table)
    slipped = [5 * size[0] * row + 7 * column for row in range(18) for column in range(17)]
    slipped = [pixel for pixel in slipped if inside.ravel()[pixel]]
    nearest, missed = Tracer.nearest, []

    def leaky(self, origins, directions):
        hits = nearest(self, origins, directions)
        if not missed:
            looked_at = whole.lens.numbers[whole.window].ravel()
            missed.extend(slipped)
            hits.triangle[np.searchsorted(looked_at, slipped)] = -1
        return hits

    monkeypatch.setattr(Tracer, "nearest", leaky)
    frame = seen(scene, camera, size)
    assert len(missed) >= 20
    assert np.array_equal(frame.key, whole.key)
    assert np.abs(frame.distance - whole.distance).max() < 0.5
    assert np.abs(frame.sun - whole.sun).mean() < 1e-3


def test_the_same_scene_gives_the_same_bytes_in_another_process():
    scene = vale(120)
    camera = VIEWS["reader"].frame(scene.points, 4 / 3)
    here = draw(scene, camera, (80, 60), "ray")
    code = (
        "import sys, hashlib\n"
        "from tests.drawing.vale import vale\n"
        "from preview.shot.camera import VIEWS\n"
        "from preview.drawing.render import draw\n"
        "scene = vale(120)\n"
        "picture = draw(scene, VIEWS['reader'].frame(scene.points, 4 / 3), (80, 60), 'ray')\n"
        "sys.stdout.buffer.write(picture.tobytes())\n"
    )
    root = Path(__file__).parents[2]
    child = subprocess.run([sys.executable, "-c", code], capture_output=True, cwd=root, check=True)
    assert child.stdout == here.tobytes()


def test_an_engine_that_has_drawn_before_draws_the_same():
    scene, other = vale(120), vale(60)
    camera = VIEWS["reader"].frame(scene.points, 4 / 3)
    engine = renderer("ray")
    first = engine.draw(scene, camera, (80, 60))
    engine.draw(other, camera, (80, 60))
    engine.draw(scene, camera.zoom(1.3), (64, 64))
    assert np.array_equal(engine.draw(scene, camera, (80, 60)), first)


@pytest.mark.parametrize("cuts", [(23,), (5, 40), (7, 8, 9, 61)])
def test_rows_of_a_still_are_the_same_whoever_draws_them(cuts):
    from preview.drawing.render.ray import still

    scene, size = vale(150), (96, 72)
    studio = still.RayStudio(scene, VIEWS["reader"].frame(scene.points, 4 / 3), size)
    recipe, glow = still.RECIPES["still"], studio.first_glow()
    whole = still.sharp_of(studio, range(72), recipe, glow)
    bands = [range(a, b) for a, b in pairwise((0, *cuts, 72))]
    joined = Sharp.joined([still.sharp_of(studio, band, recipe, glow) for band in bands])
    for name in ("light", "key", "distance"):
        assert np.array_equal(getattr(joined, name), getattr(whole, name))


def test_where_a_still_is_cut_does_not_change_what_it_shows():
    """The middle of a wider picture is the same picture: at its edge it has no noise of its own."""
    from preview.drawing.render.ray import still

    roof = sheet(800, 800, (0, 0, 80))
    near = from_angles((0.0, -300.0, 0.0), -np.pi / 2, np.radians(20), 200.0)
    scene, recipe, more = Scene((roof,), table=0.0), still.RECIPES["still"], 24
    wide = replace(near, field=2 * np.arctan(np.tan(near.field / 2) * (48 + 2 * more) / 48))
    small, large = (
        still.RayStudio(scene, camera, (64 + 2 * edge, 48 + 2 * edge))
        for camera, edge in ((near, 0), (wide, more))
    )
    dark = np.zeros_like(small.first_glow())
    shown = encode(still.light_of(small, range(48), recipe, dark))
    within = encode(still.light_of(large, range(more, 48 + more), recipe, dark))
    assert 20 < shown.mean() < 100
    assert np.abs(shown - within[:, more:-more]).max() < 1.5


def test_the_soft_edge_of_a_shadow_has_no_steps_from_row_to_row():
    """A penumbra along the rows of the picture: its rows get lighter evenly, without terraces."""
    roof = sheet(900, 500, (0, -250, 120))
    camera = from_angles((0.0, 100.0, 0.0), -np.pi / 2, np.pi / 2 - 1e-3, 600.0, np.radians(9))
    picture = draw(Scene((roof,), table=0.0), camera, (96, 96), "ray", "still").astype(float)
    rows = picture.mean(axis=(1, 2))
    soft = np.flatnonzero((rows[1:-1] > rows.min() + 8) & (rows[1:-1] < rows.max() - 8))
    assert len(soft) > 25
    bend = rows[:-2] - 2 * rows[1:-1] + rows[2:]
    assert np.abs(bend[soft]).max() < 0.8


def test_the_rows_of_a_still_are_dealt_out_once_each():
    from preview.drawing.render.ray import still

    key = np.zeros((18, 24), int)
    key[9:, 3:] = np.arange(9 * 21).reshape(9, 21)
    bands = still._bands(key, 0, 72, 2)
    assert [row for band in bands for row in band] == list(range(72))
    # The lower half is all edges and takes longer, so whoever draws it gets fewer rows.
    assert len(bands[0]) > len(bands[1])


def test_two_processes_draw_the_same_still_as_one():
    from preview.parallel import crew

    scene = vale(150)
    camera = VIEWS["reader"].frame(scene.points, 4 / 3)
    alone = renderer("ray").draw(scene, camera, (64, 48), "still")
    with crew(2) as workers:
        shared = renderer("ray", workers).draw(scene, camera, (64, 48), "still")
    assert np.array_equal(alone, shared)


def test_pixels_where_nothing_moves_do_not_flicker():
    scene = Scene((sheet(60, 60, (0, 0, 20)),), table=0.0)
    moved = replace(scene, surfaces=(sheet(60, 60, (0, 0, 20.2)),))
    camera = VIEWS["reader"].frame(np.array([[-150.0, -150, 0], [150, 150, 40]]), 4 / 3)
    engine = renderer("ray")
    a, b = (engine.draw(s, camera, (160, 120)).astype(int) for s in (scene, moved))
    far = np.ones(a.shape[:2], bool)
    far[25:, 30:130] = False
    assert np.abs(a - b)[far].max() <= 1


def test_an_empty_table_is_free_of_noise():
    picture = draw(Scene((), table=0.0), DOWN, (96, 96), "ray").astype(float)
    rough = picture - (np.roll(picture, 1, 0) + np.roll(picture, -1, 0)) / 2
    assert np.abs(rough[1:-1]).max() <= 1


def test_the_table_beside_a_wall_has_no_visible_noise():
    wall = sheet(400, 80, (0, 60, 40), np.array([[1.0, 0, 0], [0, 0, -1], [0, 1, 0]]).T)
    camera = from_angles((0.0, 0.0, 0.0), -np.pi / 2, np.radians(50), 500.0)
    frame = seen(Scene((wall,), table=0.0), camera, (160, 120))
    sky = frame.sky.reshape(120, 160)[70:, 20:-20]
    rough = sky - (np.roll(sky, 1, 1) + np.roll(sky, -1, 1)) / 2
    assert np.abs(rough[:, 1:-1]).max() < 0.008


def test_half_the_key_is_seen_where_an_edge_cuts_its_middle():
    scene = Scene((sheet(600, 600, (-300, 0, 100)),), table=0.0)
    frame = seen(scene, from_angles((0.0, 0.0, 0.0), -np.pi / 2, np.radians(20), 500.0))
    towards = frame.light.towards_key
    points, table = frame.points, frame.key == frame.table
    # Where the line to the middle of the key passes x = 0 at the height of the sheet.
    across = points[0] + towards[0] / towards[2] * 100
    inside = table & (np.abs(points[1]) < 100)
    lit, dark = frame.sun[inside & (across > 30)], frame.sun[inside & (across < -30)]
    edge = frame.sun[inside & (np.abs(across) < 1.0)]
    assert lit.min() == 1.0
    assert dark.max() == 0.0
    assert edge.mean() == pytest.approx(0.5, abs=0.06)


def test_no_light_leaks_through_the_fold_or_under_the_feet_of_a_tent():
    slope = np.arctan2(40.0, 30.0)
    sides = []
    for side in (-1, 1):
        c, s = side * np.cos(slope), np.sin(slope)
        rotation = np.array([[c, 0, -s], [0, side, 0], [s, 0, c]])
        place = (-side * 15.0, 0, 20.0)
        sides.append(sheet(50, 200, place, rotation, translucency=0.0))
    camera = from_angles((0.0, -60.0, 5.0), -np.pi / 2, np.radians(6), 300.0, np.radians(16))
    frame = seen(Scene(tuple(sides), table=0.0), camera, (240, 160))
    x, y, _ = frame.points
    inside = (frame.key == frame.table) & (np.abs(x) < 29.8) & (y > -30) & (y < 60)
    assert inside.sum() > 500
    assert frame.sun[inside].max() == 0
    beside = (frame.key == frame.table) & (x < -32)
    assert frame.sun[beside].max() == 1


def test_light_shines_faintly_through_paper_and_not_through_board():
    tilt = np.radians(-75)  # turned so that the reader sees the side away from the key
    c, s = np.cos(tilt), np.sin(tilt)
    rotation = np.array([[c, 0, -s], [0, 1, 0], [s, 0, c]])
    camera = from_angles((0.0, 0.0, 60.0), np.radians(0), np.radians(10), 500.0)
    bright = []
    for tau in (0.0, 0.2):
        wall = sheet(80, 80, (0, 0, 60), rotation, "#ffffff", translucency=tau)
        bright.append(middle(draw(Scene((wall,), table=0.0), camera, (64, 64), "ray"), 4).mean())
    assert bright[1] > bright[0] + 8


def test_clear_film_shows_what_is_behind_it_and_casts_no_shadow():
    card = sheet(200, 200, (0, 0, 1), colour="#335577")
    film = sheet(100, 100, (0, 0, 30), colour="#ffffff", material="film")
    bare = draw(Scene((card,), table=0.0), DOWN, (64, 64), "ray").astype(int)
    glazed = draw(Scene((card, film), table=0.0), DOWN, (64, 64), "ray").astype(int)
    change = np.abs(glazed - bare)
    assert 1 <= middle(change, 3).mean() < 22
    assert change[:4].max() == 0


def test_clear_film_has_a_bright_edge_and_mirrors_the_window_where_it_leans_towards_it():
    upright = np.array([[1.0, 0, 0], [0, 0, -1], [0, 1, 0]])
    wall = sheet(200, 200, (0, 40, 60), upright, "#26374a")
    back = rotation_of(np.array([-np.radians(15), 0.0, 0.0])) @ upright
    aside = rotation_of(np.array([0.0, 0.0, -np.radians(18)])) @ back
    strip = sheet(12, 60, (0, 0, 60), aside, "#ffffff", material="film")
    camera = from_angles((0.0, 0.0, 60.0), -np.pi / 2, np.radians(25), 400.0, np.radians(14))
    bare, glazed = (
        draw(Scene(every, table=-100.0), camera, (160, 160), "ray", "film").astype(int)
        for every in ((wall,), (wall, strip))
    )
    added = (glazed - bare).mean(axis=2)
    seen = np.flatnonzero((added != 0).any(axis=1))
    columns = np.flatnonzero((added != 0).any(axis=0))
    foot, top = seen[-len(seen) // 5], seen[len(seen) // 8]
    edge = added[foot, columns].max()
    assert edge > added[foot, columns[len(columns) // 2]] + 15
    # The window is over the reader's shoulder, so that a normal half way between it and the eye
    # looks up (law of reflection): the upper end leans so.
    inner = columns[4:-4]
    assert added[top, inner].max() > added[foot, inner].max() + 10


def test_a_picture_lies_where_it_was_put_and_the_right_way_up():
    pixels = np.zeros((20, 20, 4), np.uint8)
    pixels[:10, :10] = (200, 30, 30, 255)  # top left
    pixels[10:, 10:] = (30, 30, 200, 255)  # bottom right
    art = SurfaceImage(pixels, (-50.0, -50.0), (100.0, 100.0))
    card = sheet(100, 100, (0, 0, 1), colour="#f4f4f4", front_picture=art)
    for quality in ("film", "still"):
        picture = draw(Scene((card,), table=0.0), DOWN, (120, 120), "ray", quality).astype(int)
        quarter = picture[[47, 47, 73, 73], [47, 73, 47, 73]]
        assert quarter[0, 0] > quarter[0, 2] + 100
        assert quarter[3, 2] > quarter[3, 0] + 100
        assert np.ptp(quarter[1]) < 30


def test_coplanar_paper_on_the_page_never_shows_the_page_through():
    scene = vale(180)
    patch = sheet(60, 60, (70, 60, 0.0), colour="#aa2222")
    scene = replace(scene, surfaces=(*scene.surfaces, patch))
    camera = from_angles((70.0, 60.0, 0.0), -np.pi / 2, np.radians(35), 300.0, np.radians(8))
    frame = FilmFrame(scene, Lens(scene, camera, (90, 60)), FILM)
    frame._see()
    inside = frame.key.reshape(60, 90)[20:40, 30:60]
    assert (inside == len(frame.solid) - 1).all()


def test_a_filter_at_a_few_pixels_is_the_filter_there():
    rng = np.random.default_rng(5)
    key = rng.integers(0, 3, (12, 17)).astype(np.int16)
    value = rng.random((12, 17)).astype(np.float32)
    some = np.array([0, 16, 40, 100, 12 * 17 - 1])
    (dense,) = neighbours.box(key, value)
    (sparse,) = neighbours.box_at(some, key, value.ravel())
    assert sparse == pytest.approx(dense.ravel()[some])


def test_upsampling_never_mixes_patches():
    key = np.zeros((8, 10), np.int16)
    key[:, 5:] = 1
    coarse = np.where(key[::2, ::2] == 0, 0.25, 0.75).astype(np.float32)
    full, lost = neighbours.upsample(key, key[::2, ::2], coarse)
    assert len(lost) == 0
    assert full == pytest.approx(np.where(key == 0, 0.25, 0.75))


@pytest.mark.parametrize("size", [(1, 1), (7, 3), (50, 1)])
def test_odd_and_tiny_pictures_are_drawn(size):
    scene = vale(120)
    picture = draw(scene, VIEWS["reader"].frame(scene.points, 1.0), size, "ray")
    assert picture.shape == (size[1], size[0], 3)


def test_a_closed_book_and_one_flat_open_are_drawn_without_a_warning(recwarn):
    for opening in (1.0, 180.0):
        scene = vale(opening)
        draw(scene, Camera((40, -520, 300), (0, 0, 58)), (48, 36), "ray")
    assert not [w for w in recwarn if issubclass(w.category, RuntimeWarning)]


def test_unknown_engines_and_impossible_sizes_are_refused():
    with pytest.raises(ValueError, match="auto, ray, gl"):
        renderer("vector")
    with pytest.raises(ValueError, match="0 × 4"):
        draw(Scene(()), DOWN, (0, 4), "ray")


def test_a_computer_without_embree_is_told_what_to_use(monkeypatch):
    monkeypatch.setitem(sys.modules, "embreex.rtcore_scene", None)
    with pytest.raises(EngineError, match="--engine gl"):
        renderer("ray")


@pytest.mark.parametrize(
    ("ruling", "covered"),
    [("dots", np.pi * 0.42**2 / 25), ("lines", 0.22 / 7), ("grid", 2 * 0.22 / 5)],
)
@pytest.mark.parametrize("pixel", [(0.1, 0.1), (0.7, 0.7), (0.6, 1.6)])
def test_a_ruling_is_as_dark_on_the_whole_at_any_size(ruling, covered, pixel):
    x, y = np.meshgrid(np.arange(0, 35, 0.05), np.arange(0, 35, 0.05))
    factor = ruled(ruling, np.stack([x.ravel(), y.ravel()], axis=1), pixel)
    assert 1 - factor.mean() == pytest.approx(0.30 * covered, rel=0.2)
    assert factor.min() < 1


def test_a_pixel_covers_more_of_paper_that_is_far_or_seen_aslant():
    angle = DOWN.pixel_angle(90)
    eye = np.array(DOWN.eye)
    flat = footprint(sheet(10, 10), eye, angle)
    assert flat == pytest.approx([DOWN.millimetres_per_pixel(90)] * 2, rel=1e-3)
    far = footprint(sheet(10, 10, (0, 0, -600)), eye, angle)
    assert far == pytest.approx([2 * flat[0]] * 2, rel=1e-3)
    c, s = np.cos(np.radians(60)), np.sin(np.radians(60))
    turned = np.array([[1.0, 0, 0], [0, c, -s], [0, s, c]])
    aslant = footprint(sheet(10, 10, rotation=turned), eye, angle)
    assert aslant[0] == pytest.approx(flat[0], rel=1e-2)
    assert aslant[1] == pytest.approx(2 * flat[1], rel=1e-2)


@pytest.mark.parametrize("quality", [FILM, None])
def test_where_paper_meets_the_table_in_its_shade_no_bright_dots_show(quality):
    """Pixels of the table along the foot of a wall, which no raster of every second pixel shows."""
    wall = sheet(400, 80, (0, 60, 40), np.array([[1.0, 0, 0], [0, 0, -1], [0, 1, 0]]).T)
    scene = Scene((wall,), table=0.0)
    camera = from_angles((0.0, 60.0, 0.0), -np.pi / 2 + 0.1, np.radians(50), 500.0)
    lens = Lens(scene, camera, (161, 121))
    frame = DraftFrame(scene, lens) if quality is None else FilmFrame(scene, lens, quality)
    frame.linear()
    table = (frame.key == frame.table).reshape(lens.shape)
    foot = np.zeros_like(table)
    foot[1:] = table[1:] & ~table[:-1]
    near = np.zeros_like(table)
    near[3:] = foot[:-3] & table[3:]
    sky = frame.sky.reshape(lens.shape)
    assert foot.sum() > 60
    assert sky[near].max() < 0.75
    assert sky[foot].max() < sky[near].max() + 0.05


def test_a_draft_sees_what_a_frame_sees_though_it_looks_at_few_pixels():
    """Against a ray through every pixel: the same paper, as far away."""
    rng = np.random.default_rng(5)
    turns = [rotation_of(turn) for turn in rng.normal(size=(12, 3))]
    spots = rng.uniform((-80, -80, 20), (80, 80, 90), (12, 3))
    paper = tuple(
        sheet(*size, tuple(spot), turn)
        for size, spot, turn in zip(rng.uniform(15, 60, (12, 2)), spots, turns, strict=True)
    )
    scene = Scene(paper, table=0.0)
    camera = from_angles((0.0, 0.0, 40.0), -np.pi / 2, np.radians(45), 420.0)
    lens = Lens(scene, camera, (239, 181))
    draft, frame = DraftFrame(scene, lens), FilmFrame(scene, lens, FILM)
    draft._see()
    frame._see()
    same = draft.key == frame.key
    assert len(np.unique(frame.key)) == 13
    assert (~same).mean() < 2e-4
    np.testing.assert_allclose(draft.distances()[same], frame.distance[same], atol=0.02)
    pixels = np.flatnonzero(same)
    np.testing.assert_allclose(draft.places(pixels), frame.places(pixels), atol=0.02)


@pytest.mark.parametrize("turn_deg", [3.0, 8.0, 35.0])
def test_a_draft_follows_a_line_of_a_pixel_between_the_pixels_it_looks_at(turn_deg):
    """Against a ray through every pixel: a strip that lies between two rows here and there."""
    turn = rotation_of(np.array([0.0, 0.0, np.radians(turn_deg)]))
    scene = Scene((sheet(150, 150, (0, 0, 1)), sheet(110, 1.6, (3, 2, 3), turn)), table=0.0)
    lens = Lens(scene, from_angles((0.0, 0.0, 0.0), -np.pi / 2, np.radians(88), 500.0), (240, 180))
    draft, frame = DraftFrame(scene, lens), FilmFrame(scene, lens, FILM)
    draft._see()
    frame._see()
    assert (frame.key == 1).sum() > 60
    assert ((frame.key == 1) & (draft.key != 1)).sum() < 0.05 * (frame.key == 1).sum()
    assert not ((frame.key != 1) & (draft.key == 1)).any()
