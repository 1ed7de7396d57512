"""Stage strips and thumbnails of a small spread."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from meshes import spread
from preview.drawing import lettering
from preview.drawing.colour import channels
from preview.drawing.scene import build
from preview.drawing.visible import NOTHING, Sight, lying, pieces_of, pieces_seen, surfaces_seen
from preview.films.film import Filming
from preview.pictures import stages, thumbnail
from preview.pictures.silhouette import Crop
from preview.pictures.thumbnail import TITLES
from preview.shot.camera import frame
from tests.spreads import MEADOW

SIZE = (160, 120)


@pytest.fixture(scope="module")
def opened(start):
    motion = start.solve(np.radians([120.0]))
    return build(start, motion, 0)


@pytest.fixture(scope="module")
def proposals(start):
    motion = start.solve(np.radians([90.0, 150.0]))
    found = thumbnail.propose(start, motion, count=3)
    titled = thumbnail.propose(start, motion, title="top", count=1)
    return found, titled


def test_a_ray_finds_the_surface_whose_middle_it_aims_at(opened):
    camera = frame(opened.points, -np.pi / 2, np.radians(60), SIZE[0] / SIZE[1])
    seen = surfaces_seen(opened, camera, SIZE)
    names = [surface.name for surface in opened.surfaces]
    meadow = opened.surfaces[next(k for k, n in enumerate(names) if n.startswith("meadow-left"))]
    middle = meadow.corners.mean(axis=0)
    column, row = camera.project(middle[None], SIZE)[0].astype(int)
    assert names[seen[row, column]] == meadow.name
    assert (seen[0] == NOTHING).all()


def test_places_inside_pixels_show_what_a_picture_of_twice_the_size_shows(opened):
    camera = frame(opened.points, -np.pi / 2, np.radians(40), SIZE[0] / SIZE[1])
    sight = Sight(opened)
    twice = sight.surfaces(camera, (2 * SIZE[0], 2 * SIZE[1]))
    places = [(0.25, 0.25), (0.75, 0.25), (0.25, 0.75), (0.75, 0.75)]
    middle, near, seen = sight.several(camera, SIZE, places)
    found = np.repeat(middle.reshape(-1, 1), 4, axis=1)
    found[near] = seen
    found = found.reshape(SIZE[1], SIZE[0], 4)
    dense = np.stack([twice[::2, ::2], twice[::2, 1::2], twice[1::2, ::2], twice[1::2, 1::2]], -1)
    # But for a sliver that falls between the middles of pixels.
    assert (found != dense).mean() < 0.001


def test_flat_art_lies_and_v_folds_stand(opened):
    flat = lying(opened)
    state = {surface.name: bool(f) for surface, f in zip(opened.surfaces, flat, strict=True)}
    standing = {name.partition(".")[0] for name, lies in state.items() if not lies}
    assert "tulip" in standing
    assert not any(name.startswith("meadow") for name in standing)
    names, numbers = pieces_of(opened, standing=True)
    assert "meadow-left" not in names
    assert len(numbers) == len(opened.surfaces)


LEAF = """
[spread]
page = "B5"
[pieces.leaf]
kind = "flyleaf"
lies = "right"
[pieces.sea]
kind = "flat"
on = "leaf.sheet"
front = "#3fb3b0"
outline = { shape = "rectangle", width = 90, length = 60 }
"""


def test_a_leaf_is_a_page_while_it_rests_on_one_and_stands_while_it_is_turned(tmp_path):
    file = tmp_path / "leaf.toml"
    file.write_text(LEAF)
    read = spread.read(file)

    def standing(share):
        motion = read.solve(np.radians([130.0]), {"leaf": share})
        return set(pieces_of(build(read, motion, 0), standing=True)[0])

    assert standing(0.0) == standing(1.0) == set()
    assert standing(0.5) == {"leaf", "sea"}


def test_every_piece_that_is_seen_has_a_name(opened):
    camera = frame(opened.points, -np.pi / 2, np.radians(40), SIZE[0] / SIZE[1])
    names, seen = pieces_seen(opened, camera, SIZE)
    assert {"tulip", "meadow-left", "meadow-right"} <= {names[k] for k in np.unique(seen) if k >= 0}


@pytest.mark.parametrize(("azimuth", "seen"), [(-90, True), (-48, True), (90, False)])
def test_fronts_that_are_turned_to_a_camera_are_what_it_sees_of_them_from_afar(
    opened, azimuth, seen
):
    """Judge: the areas of the outlines in the picture, by the shoelace formula, signed so that a
    sheet seen from behind counts as none; from afar all are seen at one scale."""
    towards = np.radians([azimuth, 40.0])
    near = frame(opened.points, *towards, SIZE[0] / SIZE[1])
    way = np.array(near.eye) - near.target
    far = replace(near, eye=tuple(near.target + 1e4 * way), field=near.field / 1e4)
    _, pieces = pieces_of(opened, standing=True)
    whole = shown = 0.0
    for surface, piece in zip(opened.surfaces, pieces, strict=True):
        if piece >= 0:
            flat = np.asarray(surface.polygon.exterior.coords)[:-1]
            places = flat @ surface.rotation[:, :2].T + surface.translation
            x, y = far.project(places, (1000, 1000)).T
            twice = (x * np.roll(y, -1) - np.roll(x, -1) * y).sum()
            # Rows of a picture run downwards.
            shown += max(-twice * np.sign(surface.polygon.exterior.is_ccw - 0.5), 0) / 2
            whole += surface.polygon.area
    scale = 2 * far.distance * np.tan(far.field / 2) / 1000
    found = thumbnail.turned_to(thumbnail.AtOpening.of(opened), far)
    assert found == pytest.approx(shown * scale**2 / whole, abs=1e-3)
    assert (found > 0.3) is seen


def test_the_picture_has_its_stages_in_the_order_asked_for(start):
    picture = stages.draw(start, np.radians([180.0, 90.0, 180.0]), SIZE, quality="draft")
    gap, letters = max(2, round(stages.GAP * SIZE[1])), max(9, round(stages.LETTERS * SIZE[1]))
    assert picture.shape == (SIZE[1] + 2 * letters + gap, 3 * SIZE[0] + 4 * gap, 3)
    cells = [
        picture[: SIZE[1], gap + k * (SIZE[0] + gap) : gap + k * (SIZE[0] + gap) + SIZE[0]]
        for k in range(3)
    ]
    assert np.array_equal(cells[0], cells[2])
    assert not np.array_equal(cells[0], cells[1])


def test_a_strip_that_was_stopped_goes_on_where_it_was(start, tmp_path, monkeypatch):
    drawn = []
    draw = Filming.draw

    def one(shot, pose, engine):
        if len(drawn) == 2:
            raise KeyboardInterrupt
        drawn.append(pose)
        return draw(shot, pose, engine)

    openings = np.radians([60.0, 90.0, 180.0])
    whole = stages.draw(start, openings, (48, 36), quality="draft")
    monkeypatch.setattr(Filming, "draw", one)
    with pytest.raises(KeyboardInterrupt):
        stages.draw(start, openings, (48, 36), kept=tmp_path, quality="draft")
    monkeypatch.setattr(
        Filming, "draw", lambda shot, pose, engine: drawn.append(pose) or draw(shot, pose, engine)
    )
    assert np.array_equal(
        stages.draw(start, openings, (48, 36), kept=tmp_path, quality="draft"), whole
    )
    assert sorted(drawn) == [0, 1, 2]


def test_each_stage_is_marked_with_its_angle():
    grey = np.full((60, 80, 3), 128, np.uint8)
    plain = stages.arrange([grey, grey], ["", ""], 2, "#cfc3b2")
    marked = stages.arrange([grey, grey], ["0°", "135°"], 2, "#cfc3b2")
    ink = (plain != marked).any(axis=2)
    assert not ink[:60].any()
    first, second = ink[60:, :82].sum(), ink[60:, 82:].sum()
    assert 0 < first < second


def test_an_opening_that_is_not_reached_is_refused(start):
    with pytest.raises(ValueError, match="at least one"):
        stages.draw(start, [], SIZE)


@pytest.mark.parametrize(
    ("ground", "ink"), [("#ffffff", "dark"), ("#cfc3b2", "dark"), ("#2f3c4d", "light")]
)
def test_labels_are_written_in_the_ink_that_reads(ground, ink):
    found = sum(channels(lettering.ink_on(ground)))
    assert (found < 3 * 128) == (ink == "dark")


def test_proposals_come_best_first_and_are_not_alike(proposals):
    found, _ = proposals
    totals = [proposal.score.total for proposal in found]
    assert len(found) == 3
    assert totals == sorted(totals, reverse=True)
    for k, one in enumerate(found):
        for other in found[k + 1 :]:
            assert not thumbnail.alike(one, other)


def test_the_same_side_a_little_further_open_is_the_same_picture(proposals):
    best = proposals[0][0]
    assert thumbnail.alike(best, replace(best, opening=best.opening - np.radians(30)))
    assert not thumbnail.alike(best, replace(best, opening=best.opening - np.radians(50)))
    assert not thumbnail.alike(best, replace(best, azimuth=best.azimuth + np.radians(20)))
    assert not thumbnail.alike(best, replace(best, elevation=best.elevation + np.radians(18.1)))


def test_a_title_is_left_free(proposals):
    best = proposals[1][0]
    shapes = thumbnail.silhouettes(best, (320, 180))
    title = TITLES["top"].mask(shapes.shape[:2])
    ground = shapes[0, 0]
    covered = (shapes != ground).any(axis=2)[title].mean()
    assert covered < 0.02
    assert best.score.room > 0.97


@pytest.mark.parametrize("name", TITLES)
def test_aiming_beside_a_title_fills_the_rest_of_the_frame(opened, name):
    size = (320, 180)
    title = TITLES[name]
    camera = thumbnail.aim(opened.points, -1.2, 0.5, size, title)
    seen = camera.project(opened.points, size) / np.array(size)
    (left, top), (right, bottom) = seen.min(axis=0), seen.max(axis=0)
    box = Crop(left, top, right, bottom)
    overlap = title.mask((180, 320)) & box.mask((180, 320))
    assert not overlap.any()
    assert left > 0.0
    assert top > 0.0
    assert right < 1.0
    assert bottom < 1.0
    # along one side at least, the frame is used
    room = thumbnail._beside(title)
    used = max((right - left) / (room.right - room.left), (bottom - top) / (room.bottom - room.top))
    assert used > 0.7


def test_a_contact_sheet_shows_every_candidate(proposals):
    found = proposals[0][:2]
    size = (480, thumbnail.SHEET_ROW)
    pictures = [
        (np.full((*size[::-1], 3), 200, np.uint8), thumbnail.silhouettes(p, size)) for p in found
    ]
    sheet = thumbnail.contact_sheet(pictures, found)
    assert sheet.shape[0] > 2 * thumbnail.SHEET_ROW
    ground = np.array(channels(thumbnail.SHEET_GROUND))
    assert (sheet[-4:] == ground).all()
    assert (sheet == 200).all(axis=2).sum() > 2 * 0.9 * 270 * 480


def test_strip_and_thumbnail_write_what_they_say(call, tmp_path):
    (tmp_path / "demo.toml").write_text(MEADOW)
    made = call("stages", "demo.toml", "--openings", "90,180", "--size", "80x60",
                "--quality", "draft", "--jobs", "1")  # fmt: skip
    assert (made.code, made.err) == (0, "")
    assert (tmp_path / "renders" / "demo-stages.png").is_file()
    shown = call("thumbnail", "demo.toml", "--count", "2", "--size", "160x90",
                 "--quality", "draft", "--json")  # fmt: skip
    assert shown.code == 0
    assert [row["picture"] for row in shown.json["candidates"]] == [
        "candidate-1.png", "candidate-2.png"
    ]  # fmt: skip
    names = {path.name for path in (tmp_path / "renders" / "demo-thumbnails").iterdir()}
    assert names == {
        "candidate-1.png", "candidate-2.png", "silhouette-1.png", "silhouette-2.png",
        "contact-sheet.png",
    }  # fmt: skip
