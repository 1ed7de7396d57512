"""Pieces whose folds are parallel to the crease against plane geometry.

Sources: the law of cosines (Euclid, Elements II.12-13) and the properties of parallelograms
(I.33-34). Sections are taken square to the gutter; the bisector of the pages is +z.
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
OPENINGS = np.array([10.0, 30.0, 60.0, 90.0, 120.0, 150.0, 180.0])


@pytest.fixture
def read(tmp_path: Path) -> Read:
    def from_text(text: str) -> Spread:
        file = tmp_path / "design.toml"
        file.write_text(text)
        return spread.read(file)

    return from_text


def angles(found: Spread, motion: Motion, fold: str) -> np.ndarray:
    (k,) = (k for k, h in enumerate(found.linkage.hinges) if h.name == fold)
    return np.degrees(motion.angles[:, k])


def at(found: Spread, motion: Motion, k: int, facet: str, point: tuple[float, float]) -> np.ndarray:
    """Where a point of a facet's sheet is, mm."""
    body, part = found.linkage.place(facet)
    local = np.append(part.placement.apply(np.array(point)), 0)
    return motion.rotations[k, body] @ local + motion.translations[k, body]


def cosine_angle(opposite: float, a: float, b: float) -> float:
    """Angle between the sides a and b of a triangle, degrees."""
    return float(np.degrees(np.arccos((a * a + b * b - opposite**2) / (2 * a * b))))


def cosine_side(a: float, b: float, angle: float) -> float:
    return float(np.sqrt(a * a + b * b - 2 * a * b * np.cos(np.radians(angle))))


# Distances and panels, (left, right).
TENTS = [((30, 30), (40, 40)), ((30, 20), (30, 40)), ((12, 40), (70, 42)), ((25, 25), (26, 26))]


@pytest.mark.parametrize(("feet", "panels"), TENTS)
@pytest.mark.parametrize("tabs", ["out", "under"])
def test_tents_obey_the_law_of_cosines(
    read: Read, feet: tuple[float, float], panels: tuple[float, float], tabs: str
) -> None:
    found = read(
        f'[pieces.t]\nkind = "tent"\nwidth = 30\ndistance = {list(feet)}\npanel = {list(panels)}\n'
        f'tabs = "{tabs}"\n'
    )
    motion = found.solve(np.radians(OPENINGS))
    for k, opening in enumerate(OPENINGS):
        span = cosine_side(*feet, opening)
        gamma = cosine_angle(span, *panels)
        assert angles(found, motion, "t.ridge")[k] == pytest.approx(180 - gamma, abs=1e-6)
        for side in (0, 1):
            other = 1 - side
            # Two triangles meet at the foot: with the gutter and with the ridge.
            inner = cosine_angle(feet[other], feet[side], span) if opening < 180 else 0.0
            inner += cosine_angle(panels[other], panels[side], span)
            fold = angles(found, motion, f"t.{('left', 'right')[side]}-base")[k]
            assert fold == pytest.approx(-inner if tabs == "out" else 180 - inner, abs=1e-6)


# Ridge dihedral and foot angle of the tent 30, 40, degrees (law of cosines, worked separately).
WORKED = {30: (22.3860, 153.8070), 90: (64.0555, 102.9722), 180: (97.1808, 41.4096)}


def test_a_tent_worked_by_hand(read: Read) -> None:
    found = read('[pieces.t]\nkind = "tent"\nwidth = 30\ndistance = 30\npanel = 40\ntabs = "out"\n')
    motion = found.solve(np.radians(list(WORKED)))
    gamma, inner = np.array(list(WORKED.values())).T
    assert angles(found, motion, "t.ridge") == pytest.approx(180 - gamma, abs=1e-4)
    assert angles(found, motion, "t.left-base") == pytest.approx(-inner, abs=1e-4)


@pytest.mark.parametrize(
    ("feet", "panels", "stop"),
    [((20, 30), (35, 40), 45.2), ((30, 30), (28, 40), 40.05)],
)
def test_a_tent_jams_where_the_short_panel_lies_on_its_page(
    read: Read, feet: tuple[float, float], panels: tuple[float, float], stop: float
) -> None:
    far = feet[0] + panels[0]
    exact = cosine_angle(panels[1], far, feet[1])
    assert exact == pytest.approx(stop, abs=0.05)
    found = read(
        f'[pieces.t]\nkind = "tent"\nwidth = 30\ndistance = {list(feet)}\npanel = {list(panels)}\n'
    )
    motion = found.solve(np.radians([20.0, 90.0, 170.0]))
    (jam,) = motion.findings
    assert np.degrees(jam.opening) == pytest.approx(exact, abs=0.15)
    assert list(motion.solved) == [False, True, True]


def test_a_tent_too_short_for_its_feet_tears(read: Read) -> None:
    found = read('[pieces.t]\nkind = "tent"\nwidth = 30\ndistance = 40\npanel = 30\n')
    exact = cosine_angle(60, 40, 40)
    motion = found.solve(np.radians([60.0, 90.0, 110.0, 180.0]))
    (jam,) = motion.findings
    assert np.degrees(jam.opening) == pytest.approx(exact, abs=0.15)
    assert list(motion.solved) == [True, True, False, False]


def test_panels_that_never_meet_cannot_be_assembled(read: Read) -> None:
    found = read('[pieces.t]\nkind = "tent"\nwidth = 30\ndistance = 40\npanel = [5, 20]\n')
    motion = found.solve(np.radians([90.0]))
    assert not motion.solved.any()
    assert motion.findings[0].kind in ("cannot-assemble", "jam")


@pytest.mark.parametrize("page", ["left", "right"])
def test_opposite_folds_of_a_carrier_are_equal(read: Read, page: str) -> None:
    found = read(
        f'[pieces.c]\nkind = "carrier"\nlies = "{page}"\ndistance = 60\nflap = 25\nwidth = 30\n'
    )
    motion = found.solve(np.radians(OPENINGS))
    assert angles(found, motion, "c.ridge") == pytest.approx(180 - OPENINGS, abs=1e-8)
    assert angles(found, motion, "c.far-base") == pytest.approx(OPENINGS - 180, abs=1e-8)
    assert angles(found, motion, "c.crease") == pytest.approx(OPENINGS - 180, abs=1e-8)


@pytest.mark.parametrize("page", ["left", "right"])
def test_the_ridge_of_a_carrier_is_the_sum_of_its_sides(read: Read, page: str) -> None:
    found = read(
        f'[pieces.c]\nkind = "carrier"\nlies = "{page}"\ndistance = 60\nflap = 25\nwidth = 30\n'
    )
    motion = found.solve(np.radians(OPENINGS))
    for k, opening in enumerate(np.radians(OPENINGS)):
        right = np.array([np.sin(opening / 2), 0, np.cos(opening / 2)])
        left = right * (-1, 1, 1)
        sides = 60 * right + 25 * left if page == "right" else 60 * left + 25 * right
        ridge = at(found, motion, k, "c.flap", (0, 0))
        assert ridge == pytest.approx(sides + np.array([0, 105, 0]), abs=1e-8)


def test_treads_of_a_stair_are_parallelograms(read: Read) -> None:
    found = read(
        '[pieces.s]\nkind = "stair"\nreach = 60\nlength = 100\ntreads = [\n'
        "{ at = 5, length = 30, distance = [20, 40] },\n"
        "{ at = 40, length = 25, distance = [35, 10] },\n]\n"
    )
    motion = found.solve(np.radians(OPENINGS))
    for tread in (1, 2):
        assert angles(found, motion, f"s.tread-{tread}-ridge") == pytest.approx(
            180 - OPENINGS, abs=1e-8
        )
        for side in ("left", "right"):
            assert angles(found, motion, f"s.tread-{tread}-{side}-base") == pytest.approx(
                OPENINGS - 180, abs=1e-8
            )
    for k, opening in enumerate(np.radians(OPENINGS)):
        right = np.array([np.sin(opening / 2), 0, np.cos(opening / 2)])
        corner = at(found, motion, k, "s.tread-1-left", (20, -30))
        # The liner's middle lies at 105 mm; the corner at the sum of both distances.
        assert corner == pytest.approx(20 * right * (-1, 1, 1) + 40 * right + (0, 75, 0), abs=1e-8)


BOX = '[pieces.b]\nkind = "box"\ndistance = 20\nheight = 35\nwidth = 30\n'


@pytest.mark.parametrize("front", ["in", "out"])
@pytest.mark.parametrize("back", ["in", "out"])
@pytest.mark.parametrize("lid", ["in", "out", "none"])
def test_a_box_stands_parallel_to_the_bisector(read: Read, front: str, back: str, lid: str) -> None:
    """The middle crease of an end wall is the edge of two rectangles of the same width e.

    With w along a wall, c from wall to crease: c·w = e r·w = e l·w for the page directions r and l,
    so (r - l)·w = 0 and the walls stay parallel to the plane that halves the opening. The angles
    follow: walls lean on the pages by half the opening, middle creases open as the pages do.
    """
    found = read(BOX + f'foot_end = "{front}"\nhead_end = "{back}"\nlid = "{lid}"\n')
    motion = found.solve(np.radians(OPENINGS))
    half = OPENINGS / 2
    assert angles(found, motion, "b.left-base") == pytest.approx(half, abs=1e-7)
    for part, way in {"foot-end": front, "head-end": back, "lid": lid}.items():
        if way == "none":
            continue
        sign = 1 if way == "out" else -1
        assert angles(found, motion, f"b.{part}") == pytest.approx(
            sign * (180 - OPENINGS), abs=1e-7
        )
        edge = half if way == "out" else 180 - half
        for side in ("left", "right"):
            assert angles(found, motion, f"b.{part}-{side}-edge") == pytest.approx(edge, abs=1e-7)


# Wall x, wall foot z, lid ridge z when it folds out; from the formulas in the test, worked
# separately: x = e sin, z = e cos of half the opening, lid h + 2 e cos.
BOX_WORKED = {30: (5.1764, 19.3185, 73.6370), 90: (14.1421, 14.1421, 63.2843), 180: (20, 0, 35)}


def test_a_box_worked_by_hand(read: Read) -> None:
    found = read(BOX + 'lid = "out"\n')
    motion = found.solve(np.radians(list(BOX_WORKED)))
    _, part = found.linkage.place("b.right")
    low_x, low_y, high_x, _ = part.facet.polygon.bounds
    _, lid = found.linkage.place("b.lid-right")
    for k, (x, z, top) in enumerate(BOX_WORKED.values()):
        foot = at(found, motion, k, "b.right", ((low_x + high_x) / 2, low_y))
        assert (foot[0], foot[2]) == pytest.approx((x, z), abs=1e-4)
        ridge = at(found, motion, k, "b.lid-right", (low_x, lid.facet.polygon.bounds[3]))
        assert (ridge[0], ridge[2]) == pytest.approx((0, top), abs=1e-4)


def test_a_platform_floats_parallel_to_the_pages_and_is_level_when_open(read: Read) -> None:
    found = read(
        '[pieces.p]\nkind = "platform"\ndistance = 15\nheight = 25\nwidth = 30\nstruts = [40]\n'
        'outline = { shape = "rectangle", length = 90, width = 110, y = -45 }\n'
    )
    motion = found.solve(np.radians(OPENINGS))
    assert angles(found, motion, "p.crease") == pytest.approx(OPENINGS - 180, abs=1e-7)
    for k, opening in enumerate(np.radians(OPENINGS)):
        right = np.array([np.sin(opening / 2), 0, np.cos(opening / 2)])
        middle = at(found, motion, k, "p.layer-right", (0, 0))
        edge = at(found, motion, k, "p.layer-right", (50, 0))
        assert edge - middle == pytest.approx(50 * right, abs=1e-7)
        # A parallelogram with the page and a strut: the crease floats at the strut's height.
        assert middle == pytest.approx((0, 105, 25), abs=1e-7)
