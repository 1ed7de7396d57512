"""V-folds and what is built of them against spherical trigonometry.

Source: the spherical law of cosines, as in I. Todhunter, Spherical Trigonometry (1886); directions
are sums of vectors. The frame: gutter = +y, the bisector of the pages = +z.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from meshes import spread
from meshes.motion.result import Motion
from meshes.spread import Spread

Read = Callable[[str], Spread]
Pair = tuple[float, float]
OPENINGS = np.array([15.0, 30.0, 60.0, 90.0, 120.0, 150.0, 180.0])

# Page and panel angles (left, right), degrees; all fold flat: aR + bR = aL + bL.
SETS: dict[str, tuple[Pair, Pair]] = {
    "S1": ((45, 45), (60, 60)),
    "S2": ((60, 60), (90, 90)),
    "A1": ((60, 50), (60, 70)),
    "A2": ((30, 55), (80, 55)),
    "A3": ((70, 40), (65, 95)),
}


@pytest.fixture
def read(tmp_path: Path) -> Read:
    def from_text(text: str) -> Spread:
        file = tmp_path / "design.toml"
        file.write_text(text)
        return spread.read(file)

    return from_text


def v_fold(name: str, page: Pair, panel: Pair, more: str = "") -> str:
    return (
        f'[pieces.{name}]\nkind = "v-fold"\nat = 80\npage_angle = {list(page)}\n'
        f"panel_angle = {list(panel)}\nbase = 20\nridge = 50\n{more}\n"
    )


def angles(found: Spread, motion: Motion, fold: str) -> np.ndarray:
    (k,) = (k for k, h in enumerate(found.linkage.hinges) if h.name == fold)
    return np.degrees(motion.angles[:, k])


def glue_creases(page: Pair, opening: float) -> tuple[np.ndarray, np.ndarray]:
    """Directions of the left and the right glue crease; angles in degrees."""
    half, (left, right) = np.radians(opening) / 2, np.radians(page)
    out = np.array([np.sin(half), 0, np.cos(half)])
    up = np.array([0.0, 1.0, 0.0])
    return (
        np.cos(left) * up + np.sin(left) * out * (-1, 1, 1),
        np.cos(right) * up + np.sin(right) * out,
    )


def ridge(page: Pair, panel: Pair, opening: float) -> np.ndarray:
    """The unit vector at the panel angles from both glue creases, on the reader's side."""
    left, right = glue_creases(page, opening)
    c = left @ right
    cos_left, cos_right = np.cos(np.radians(panel))
    flat = ((cos_right - c * cos_left) * right + (cos_left - c * cos_right) * left) / (1 - c * c)
    rest = np.sqrt(max(0.0, (1 - flat @ flat) / (1 - c * c)))
    return flat + rest * np.cross(right, left)


def cosine_sides(a: float, b: float, angle: float) -> float:
    """The side opposite to `angle` between the sides a and b; degrees."""
    a, b, angle = np.radians([a, b, angle])
    return float(
        np.degrees(np.arccos(np.cos(a) * np.cos(b) + np.sin(a) * np.sin(b) * np.cos(angle)))
    )


def cosine_angles(c: float, a: float, b: float) -> float:
    """The angle opposite to the side c of a triangle with the sides a, b, c; degrees."""
    a, b, c = np.radians([a, b, c])
    return float(
        np.degrees(np.arccos((np.cos(c) - np.cos(a) * np.cos(b)) / (np.sin(a) * np.sin(b))))
    )


@pytest.mark.parametrize("name", SETS)
@pytest.mark.parametrize("points", ["up", "down"])
@pytest.mark.parametrize("tabs", ["out", "under"])
def test_all_three_folds_obey_the_spherical_law_of_cosines(
    read: Read, name: str, points: str, tabs: str
) -> None:
    page, panel = SETS[name]
    found = read(v_fold("v", page, panel, f'points = "{points}"\ntabs = "{tabs}"'))
    motion = found.solve(np.radians(OPENINGS))
    for k, opening in enumerate(OPENINGS):
        delta = cosine_sides(*page, opening)
        gamma = cosine_angles(delta, *panel)
        sign = 1 if points == "up" else -1
        assert angles(found, motion, "v.ridge")[k] == pytest.approx(sign * (180 - gamma), abs=1e-6)
        tip = ridge(page, panel, opening)
        phi = np.degrees(np.arccos(tip[1]))
        for side, (a, b) in enumerate(zip(page, panel, strict=True)):
            inner = cosine_angles(phi, a, b)
            # The tab in front of a V that points up lies outside it, so the fold is -inner.
            outside = (tabs == "out") == (points == "up")
            expected = inner if outside else 180 - inner
            fold = f"v.{('left', 'right')[side]}-base"
            found_angle = angles(found, motion, fold)[k]
            assert found_angle == pytest.approx(-expected if tabs == "out" else expected, abs=1e-6)


@pytest.mark.parametrize("name", SETS)
def test_the_ridge_points_where_spherical_trigonometry_says(read: Read, name: str) -> None:
    page, panel = SETS[name]
    found = read(v_fold("v", page, panel))
    motion = found.solve(np.radians(OPENINGS))
    body, part = found.linkage.place("v.left")
    for k, opening in enumerate(OPENINGS):
        ends = np.column_stack([part.placement.apply([(0, 0), (0, 50)]), [0, 0]])
        ends = ends @ motion.rotations[k, body].T + motion.translations[k, body]
        assert (ends[1] - ends[0]) / 50 == pytest.approx(ridge(page, panel, opening), abs=1e-9)
        assert ends[0] == pytest.approx((0, 80, 0), abs=1e-9)


# Ridge folds, degrees: worked separately, by closing the loop of rotations numerically.
WORKED = {
    "S1": {30: 155.6000, 60: 131.8103, 90: 109.4712, 120: 90.0, 150: 75.8763, 180: 70.5288},
    "S2": {30: 154.0949, 60: 128.6822, 90: 104.4775, 120: 82.8192, 150: 66.4519, 180: 60.0},
}


@pytest.mark.parametrize("name", WORKED)
def test_ridge_angles_worked_by_hand(read: Read, name: str) -> None:
    found = read(v_fold("v", *SETS[name]))
    motion = found.solve(np.radians(list(WORKED[name])))
    assert angles(found, motion, "v.ridge") == pytest.approx(list(WORKED[name].values()), abs=1e-4)


@pytest.mark.parametrize("name", ["S1", "S2"])
def test_closed_the_ridge_lies_at_the_sum_of_both_angles(read: Read, name: str) -> None:
    page, panel = SETS[name]
    found = read(v_fold("v", page, panel))
    motion = found.solve(np.array([0.0]))
    body, part = found.linkage.place("v.left")
    tip = np.append(part.placement.apply(np.array([0.0, 50.0])), 0)
    moved = motion.rotations[0, body] @ tip + motion.translations[0, body]
    angle = np.radians(page[0] + panel[0])
    assert moved == pytest.approx((0, 80 + 50 * np.cos(angle), 50 * np.sin(angle)), abs=1e-9)


@pytest.mark.parametrize("openings", [np.radians([150.0, 72.0, 40.0]), np.radians([90.0, 10.0])])
def test_a_v_fold_that_cannot_close_jams_where_a_foot_is_folded_shut(
    read: Read, openings: np.ndarray
) -> None:
    """Panels 40 and 75 on creases at 50 and 60: the left panel lies on its page too early.

    Then the ridge lies on the left page at 100° from the gutter, and the spherical law of cosines
    gives cos 75 = cos 60 cos t + sin 60 sin t cos(opening) for t = 50 + 40 = 90.
    """
    found = read(v_fold("v", (50, 60), (40, 75)))
    stop = np.degrees(np.arccos(np.cos(np.radians(75)) / np.sin(np.radians(60))))
    assert stop == pytest.approx(72.61, abs=0.005)
    motion = found.solve(np.sort(openings))
    (jam,) = motion.findings
    assert jam.kind == "jam"
    assert np.degrees(jam.opening) == pytest.approx(stop, abs=0.15)
    assert list(motion.solved) == list(np.degrees(np.sort(openings)) > stop)


def test_a_v_fold_too_narrow_for_its_creases_tears(read: Read) -> None:
    """Creases at 60° spread to 120°, but panels of 50° reach over 100° only."""
    found = read(v_fold("v", (60, 60), (50, 50)))
    reach = np.cos(np.radians(100))
    stop = np.degrees(np.arccos((reach - 0.25) / 0.75))
    motion = found.solve(np.radians([60.0, 120.0, 130.0, 180.0]))
    (jam,) = motion.findings
    assert np.degrees(jam.opening) == pytest.approx(stop, abs=0.15)
    assert list(motion.solved) == [True, True, False, False]


def test_a_v_fold_on_a_ridge_obeys_the_law_with_the_ridge_as_its_gutter(read: Read) -> None:
    page, panel = SETS["S1"]
    tent = '[pieces.t]\nkind = "tent"\ndistance = 30\npanel = 40\nwidth = 60\n'
    guest = v_fold("v", page, panel, 'on = "t.ridge"').replace("at = 80", "at = 30")
    found = read(tent + guest)
    motion = found.solve(np.radians(OPENINGS))
    host = angles(found, motion, "t.ridge")
    for k in range(len(OPENINGS)):
        delta = cosine_sides(*page, 180 + host[k])
        gamma = cosine_angles(delta, *panel)
        assert angles(found, motion, "v.ridge")[k] == pytest.approx(180 - gamma, abs=1e-6)


@pytest.mark.parametrize("pleat", [20, 35, 60])
def test_a_zigzag_turns_at_each_pleat_by_its_reflection(read: Read, pleat: float) -> None:
    """A pleat makes an angle p with the ridges on both sides, so one is the other's mirror image.

    In the plane of symmetry the pleats' projection halves the turn t: tan(t / 2) = tan p cos(g / 2)
    for the dihedral angle g of the ridge. At a vertex on a straight ridge the half-angle tangents
    of pleat and ridge keep the ratio 1 / cos p (R. Lang, L. Howell, J. Mech. Robotics 10 (2018)
    021004, for equal sectors).
    """
    page, panel = SETS["S1"]
    shape = 'outline = { shape = "rectangle", length = 90, width = 30, top_width = 20 }\n'
    text = v_fold("z", page, panel, f"levels = 4\npleat = {pleat}\n{shape}")
    found = read(text.replace("v-fold", "zigzag"))
    motion = found.solve(np.radians(OPENINGS))
    for k, opening in enumerate(OPENINGS):
        gamma = cosine_angles(cosine_sides(*page, opening), *panel)
        for level in range(1, 5):
            fold = angles(found, motion, f"z.ridge-{level}")[k]
            assert fold == pytest.approx((180 - gamma) * (1 if level % 2 else -1), abs=1e-6)
        half = np.radians(180 - gamma) / 2
        fold = np.radians(angles(found, motion, "z.right-pleat-1")[k])
        assert np.tan(fold / 2) * np.cos(np.radians(pleat)) == pytest.approx(np.tan(half), rel=1e-6)
        directions = [ridge_direction(found, motion, k, level) for level in (1, 2, 3)]
        turn = np.degrees(np.arccos(directions[0] @ directions[1]))
        expected = 2 * np.degrees(
            np.arctan(np.tan(np.radians(pleat)) * np.cos(np.radians(gamma / 2)))
        )
        assert turn == pytest.approx(expected, abs=1e-5)
        assert directions[2] == pytest.approx(directions[0], abs=1e-8)


def ridge_direction(found: Spread, motion: Motion, k: int, level: int) -> np.ndarray:
    """Of one stretch of a zigzag's ridge, a unit vector."""
    body, part = found.linkage.place(f"z.left-{level}")
    ends = part.placement.apply([(0, 0), (0, 1)])
    return motion.rotations[k, body] @ np.append(ends[1] - ends[0], 0)


@pytest.mark.parametrize("opening", OPENINGS)
def test_a_pivot_carries_its_arm_in_the_plane_of_the_panel(read: Read, opening: float) -> None:
    page, panel = SETS["A1"]
    text = v_fold("v", page, panel, "arm = 60\narm_turn = -25\narm_at = [4, 20]")
    found = read(text.replace("v-fold", "pivot"))
    motion = found.solve(np.radians([opening]))
    body, part = found.linkage.place("v.arm")
    tip = np.append(part.placement.apply(np.array([0.0, 60.0])), 0)
    moved = motion.rotations[0, body] @ tip + motion.translations[0, body]
    # In the plane of the right panel: y along the ridge, x square to it towards the glue crease.
    up = ridge(page, panel, opening)
    crease = glue_creases(page, opening)[1]
    across = (crease - np.cos(np.radians(panel[1])) * up) / np.sin(np.radians(panel[1]))
    turn = np.radians(-25)
    x, y = 4 - 60 * np.sin(turn), 20 + 60 * np.cos(turn)
    assert moved == pytest.approx(np.array([0, 80, 0]) + x * across + y * up, abs=1e-8)
