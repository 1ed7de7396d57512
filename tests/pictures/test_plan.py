"""The film plan: figures that follow from the lens, and what leaves the frame."""

from __future__ import annotations

import io
import math

import numpy as np
import pikepdf
import pytest

from meshes import spread
from meshes.errors import DesignError
from preview.drawing import render
from preview.drawing.scene import build
from preview.films.film import Filming
from preview.pictures import thumbnail
from preview.plan import paper, shots, storyboard
from preview.plan.shots import Gear
from preview.shot import optics
from preview.shot.camera import VIEWS
from preview.shot.standing import points_of
from tests.spreads import MEADOW

GEAR = Gear(optics.SENSORS["aps-c"], 35.0)


@pytest.fixture(scope="module")
def plan(start):
    return shots.plan(start, GEAR)


def with_shots(tmp_path, text):
    path = tmp_path / "filmed.toml"
    path.write_text(MEADOW + text)
    return path


def test_a_design_without_shots_gets_the_five_usual_ones(plan):
    names = [shot.name for shot in plan.shots]
    assert names == [
        "overhead opening", "right-corner reveal", "low turntable", "close-up", "thumbnail"
    ]  # fmt: skip


def test_every_camera_sees_what_the_lens_sees(plan):
    # 35 mm on 23.5 mm × 16:9 sees 21.5 degrees upright: 2 atan(23.5 · 9/16 / 70)
    upright = 2 * math.atan(23.5 * 9 / 16 / 70)
    assert all(shot.camera.field == pytest.approx(upright) for shot in plan.shots)


def test_the_frame_covers_what_the_thin_lens_says(plan):
    for shot in plan.shots:
        wide, high = shot.covers
        assert wide / high == pytest.approx(16 / 9)
        # covered = side · distance / focal: the pinhole behind the angle of view
        assert wide == pytest.approx(23.5 * shot.distance / 35)


def test_focus_divides_the_depth_so_that_both_ends_are_equally_sharp(plan):
    # Equal blur at both ends: the focus lies at their harmonic mean (any optics textbook).
    for shot in plan.shots:
        near, far = shot.depth
        assert 1 / shot.distance == pytest.approx((1 / near + 1 / far) / 2)


def test_the_whole_spread_stays_in_the_frame_of_the_reveal(plan):
    assert all(shot.cuts == () for shot in plan.shots[:3])


def test_a_close_up_holds_its_piece_in_the_frame(start, plan):
    close = plan.shots[3]
    assert close.settings.piece == shots.tallest(start, plan.motion)
    assert close.cuts == ()
    assert close.distance < plan.shots[1].distance / 2


def test_a_piece_that_leaves_the_frame_is_named_with_its_openings(start):
    openings = np.radians([60.0, 120.0, 180.0])
    scenes = shots._scenes(start, start.solve(openings), openings, "both")
    wide = VIEWS["reader"].frame(np.concatenate([scene.points for scene in scenes]), 16 / 9)
    assert shots._cuts(openings, scenes, wide, 16 / 9, None) == []
    # Twice as close to the tulip laid open: the meadows are cut off, wide open most of all.
    close = VIEWS["reader"].frame(points_of([scenes[2]], frozenset({"tulip"})), 16 / 9)
    cuts = {cut.piece: cut for cut in shots._cuts(openings, scenes, close, 16 / 9, None)}
    assert "tulip" not in cuts or cuts["tulip"].last < np.pi
    assert cuts["meadow-left"].last == pytest.approx(np.pi)
    only = shots._cuts(openings, scenes, close, 16 / 9, frozenset({"meadow-left"}))
    assert [cut.piece for cut in only] == ["meadow-left"]


def test_the_aperture_that_is_enough_is_the_smallest_that_makes_all_sharp(plan):
    for shot in plan.shots:
        if shot.enough is None:
            continue
        sharp = [
            f for f in shots.STOPS
            if (s := optics.focus(35.0, f, GEAR.sensor.confusion, shot.distance)).near
            <= shot.depth[0] and shot.depth[1] <= s.far
        ]  # fmt: skip
        assert shot.enough == min(sharp)


def test_a_design_lists_its_own_shots(tmp_path):
    path = with_shots(
        tmp_path,
        "\n[shots.tulip]\npiece = 'tulip'\nview = 'left-corner'\nfrom_opening = 40\n"
        "to_opening = 150\n"
        "seconds = 3.5\nturn = -30\n",
    )
    data = paper.as_data(shots.plan(spread.read(path), GEAR))["shots"][0]
    assert (data["name"], data["piece"], data["view"]) == ("tulip", "tulip", "left-corner")
    assert (data["from_deg"], data["to_deg"], data["turn_deg"]) == (40.0, 150.0, -30.0)
    assert data["seconds"] == 3.5


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("[shots.a]\npiece = 'tulib'\n", "shots.a.piece: there is no such piece; found 'tulib'"),
        ("[shots.a]\nview = 'above'\n", "shots.a.view"),
        ("[shots.a]\nto_opening = 0\n", "shows a closed notebook only"),
        ("[shots.a]\nto_opening = 200\n", "shots.a.to_opening"),
        ("[shots]\na = 3\n", "shots.a: should be a table"),
    ],
)
def test_a_wrong_shot_is_one_clear_line(tmp_path, text, line):
    with pytest.raises(DesignError) as caught:
        spread.read(with_shots(tmp_path, "\n" + text))
    assert len(caught.value.mistakes) == 1
    assert line in str(caught.value)


def test_a_moving_shot_has_three_pictures_and_a_still_one(start, plan):
    boards = storyboard.draw(start, plan, (64, 36))
    moving, still = boards[0], boards[4]
    assert sum(map(len, boards)) == storyboard.count(plan)
    assert len(moving) == 3
    assert len(still) == 1
    assert not np.array_equal(moving[0], moving[2])


def test_a_storyboard_that_was_stopped_goes_on_where_it_was(start, plan, tmp_path, monkeypatch):
    drawn = []
    draw = Filming.draw

    def one(shot, pose, engine):
        if len(drawn) == 4:
            raise KeyboardInterrupt
        drawn.append(pose)
        return draw(shot, pose, engine)

    whole = storyboard.draw(start, plan, (64, 36))
    monkeypatch.setattr(Filming, "draw", one)
    with pytest.raises(KeyboardInterrupt):
        storyboard.draw(start, plan, (64, 36), kept=tmp_path)
    before = drawn.copy()
    drawn[:] = []
    monkeypatch.setattr(
        Filming, "draw", lambda shot, pose, engine: drawn.append(pose) or draw(shot, pose, engine)
    )
    again = storyboard.draw(start, plan, (64, 36), kept=tmp_path)
    assert len(before) == 4
    assert sorted(before + drawn) == list(range(storyboard.count(plan)))
    assert all(
        np.array_equal(*both)
        for shots_ in zip(whole, again, strict=True)
        for both in zip(*shots_, strict=True)
    )
    assert not list(tmp_path.iterdir())


def test_a_storyboard_shows_what_stands_at_those_moments(start, plan):
    """Beside pictures drawn one by one, each from a scene of its own."""
    boards = storyboard.draw(start, plan, (64, 36))
    shot = plan.shots[0]
    for board, share in zip(boards[0], (0.0, 0.5, 1.0), strict=True):
        opening = shot.openings[round(share * (len(shot.openings) - 1))]
        stage = int(np.searchsorted(plan.motion.openings, opening))
        scene = build(start, plan.motion, stage, lying=shot.lying)
        scene = scene.turned(shot.settings.turn * share)
        own = render.draw(
            scene.lit_for(shot.camera.azimuth), shot.camera, (64, 36), "auto", "draft"
        )
        assert np.array_equal(board, own)


def test_the_pdf_is_a4_across_with_embedded_type_and_the_same_every_time(plan):
    boards = [[np.full((36, 64, 3), 150, np.uint8)]] * len(plan.shots)
    first, second = paper.as_pdf(plan, boards), paper.as_pdf(plan, boards)
    assert first == second
    with pikepdf.open(io.BytesIO(first)) as pdf:
        assert len(pdf.pages) == 3
        box = [float(side) for side in pdf.pages[0].MediaBox]
        # ISO 216 A4 across, 297 × 210 mm in points of 1/72 inch (ISO 32000-1)
        assert box[2:] == pytest.approx([297 * 72 / 25.4, 210 * 72 / 25.4], abs=0.01)
        fonts = pdf.pages[0].Resources.Font
        for name in fonts.keys():  # noqa: SIM118
            inner = fonts[name].DescendantFonts[0].FontDescriptor
            assert "/FontFile2" in inner


def test_the_command_writes_three_files_or_prints_json(call, tmp_path):
    (tmp_path / "demo.toml").write_text(MEADOW)
    shown = call("plan", "demo.toml", "--sensor", "full-frame", "--lens", "50", "--json")
    assert shown.code == 0
    assert shown.json["camera"]["angle_of_view_deg"] == pytest.approx(22.90, abs=0.01)
    assert not (tmp_path / "renders").exists()
    wrong = call("plan", "demo.toml", "--aspect", "wide")
    assert wrong.code == 2
    assert "16:9" in wrong.err


def test_a_view_that_was_kept_joins_the_usual_shots(tmp_path):
    """Her lens sees as much at the middle of the picture, from the same side: plain geometry."""
    file = tmp_path / "kept.toml"
    file.write_text(
        '[spread]\npage = "A5"\n[pieces.leaf]\nkind = "v-fold"\nat = 100\npage_angle = 38\n'
        'panel_angle = 52\nbase = 24\noutline = { shape = "leaf", length = 80, width = 58 }\n'
        "[shots.corner]\neye = [300, -350, 200]\ntarget = [0, 100, 20]\nfield = 30\n"
        "to_opening = 120\n"
    )
    found = spread.read(file)
    settings = found.design.shots["corner"]
    motion = shots._motion(found, {"": settings})
    kept = shots._shot(found, motion, "corner", settings, GEAR, "both")
    away = np.array([300, -450, 180.0])
    assert np.cross(np.subtract(kept.camera.eye, [0, 100, 20]), away) == pytest.approx(0, abs=1e-6)
    tall = 2 * np.linalg.norm(away) * np.tan(np.radians(15))
    assert kept.camera.distance * 2 * np.tan(GEAR.field / 2) == pytest.approx(tall)
    usual = 1 + len(shots.usual("")) + len(thumbnail.OPENINGS_DEG) + thumbnail.FINALISTS
    assert shots.steps(found) == usual + 1


@pytest.mark.parametrize(
    ("keys", "reason"),
    [
        ("eye = [1, 2, 3]", "target: is needed too"),
        ("target = [1, 2, 3]", "eye: is needed too"),
        ("field = 30", "field: goes with a camera of its own"),
        ("eye = [1, 2, 3]\ntarget = [0, 0, 0]\nview = 'low'", "view: and eye both say"),
        ("eye = [1, 2, 3]\ntarget = [1, 2, 3]", "target: is where the camera stands"),
        ("eye = [1, 2]\ntarget = [0, 0, 0]", "eye"),
    ],
)
def test_a_kept_view_stands_at_one_place(tmp_path, keys, reason):
    file = tmp_path / "kept.toml"
    file.write_text(f'[spread]\npage = "A5"\n[shots.corner]\n{keys}\n')
    with pytest.raises(DesignError, match=reason):
        spread.read(file, blank=True)
