"""Outlines: natural numbers in, sound polygons out."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import TypeAdapter
from shapely import affinity

from meshes import outline
from meshes.outline import Outline

ADAPTER: TypeAdapter[Any] = TypeAdapter(Outline)

SPECIMENS: dict[str, dict[str, Any]] = {
    "rectangle": {"length": 30, "width": 12},
    "rounded": {"shape": "rectangle", "length": 30, "width": 12, "round": 4, "top_width": 10},
    "ellipse": {"length": 30, "width": 18},
    "petal": {"length": 40, "width": 22},
    "notched": {"shape": "petal", "length": 40, "width": 26, "notch": 0.15, "point": 0},
    "leaf": {"length": 50, "width": 20},
    "toothed": {"shape": "leaf", "length": 50, "width": 24, "teeth": 8, "base": 3},
    "fern": {"length": 60, "width": 34},
    "heart": {"length": 30},
    "star": {"length": 40},
    "sun": {"shape": "star", "length": 40, "rays": 16, "inner": 0.7},
    "rosette": {"length": 40},
    "cloud": {"length": 24, "width": 50},
    "cap": {"length": 24, "width": 50},
    "drop": {"length": 40, "width": 22},
    "grass": {"length": 40, "width": 40},
    "ring": {"length": 30, "width": 4},
}
LOPSIDED: dict[str, dict[str, Any]] = {
    "moon": {"length": 30},
    "polygon": {"corners": [[0, 0], [10, 0], [4, 9]], "round": 1},
}


def draw(name: str, **changes: Any) -> shapely.Polygon:
    numbers = (SPECIMENS | LOPSIDED)[name]
    return ADAPTER.validate_python({"shape": name, **numbers, **changes}).polygon()


@pytest.mark.parametrize("name", [*SPECIMENS, *LOPSIDED])
def test_an_outline_is_one_sound_polygon(name: str) -> None:
    polygon = draw(name)
    assert polygon.is_valid
    assert polygon.exterior.is_ccw
    assert polygon.area > 0


@pytest.mark.parametrize("name", SPECIMENS)
def test_an_outline_is_as_long_as_it_says_and_stands_on_the_origin(name: str) -> None:
    low, high = draw(name).bounds[1::2]
    tolerance = 0.35 if name in ("grass", "sun", "cloud", "notched", "star") else 0.051
    assert low == pytest.approx(0, abs=tolerance) or name == "star"
    assert high <= SPECIMENS[name]["length"] + 1e-6
    if name not in ("notched", "rounded", "sun"):
        assert high == pytest.approx(SPECIMENS[name]["length"], abs=tolerance)


@pytest.mark.parametrize("name", [n for n in SPECIMENS if n != "grass"])
def test_left_and_right_are_mirror_images(name: str) -> None:
    polygon = draw(name)
    other = affinity.scale(polygon, -1, 1, origin=(0, 0))
    assert polygon.symmetric_difference(other).area < 1e-6 * polygon.area + 0.02 * (name == "cloud")


def test_an_ellipse_stays_within_the_tolerance_of_the_true_curve() -> None:
    polygon = draw("ellipse", length=120, width=70)
    ring = shapely.segmentize(polygon.exterior, 0.1)
    x, y = shapely.get_coordinates(ring).T
    # Distance to the ellipse to first order: |F| / |grad F| with F = x²/a² + y²/b² - 1.
    a, b = 35.0, 60.0
    y = y - b
    value = x**2 / a**2 + y**2 / b**2 - 1
    slope = 2 * np.hypot(x / a**2, y / b**2)
    assert np.max(np.abs(value) / slope) < 0.05


def test_area_of_the_ellipse() -> None:
    assert draw("ellipse", length=120, width=70).area == pytest.approx(math.pi * 60 * 35, rel=2e-3)


@pytest.mark.parametrize(("point", "sharper"), [(0.1, 0.9), (0.3, 0.7)])
def test_a_larger_point_makes_a_sharper_tip(point: float, sharper: float) -> None:
    def width_near_tip(p: float) -> float:
        line = shapely.LineString([(-50, 38), (50, 38)])
        return float(draw("petal", point=p).intersection(line).length)

    assert width_near_tip(sharper) < width_near_tip(point)


def test_a_shape_is_turned_then_moved() -> None:
    low_x, low_y, high_x, high_y = draw("rectangle", turn=90, x=5, y=7).bounds
    assert (low_x, low_y, high_x, high_y) == pytest.approx((-25, 1, 5, 13))


def test_a_union_is_one_piece_and_can_be_mirrored() -> None:
    part = {"shape": "ellipse", "length": 10, "x": 3}
    polygon = ADAPTER.validate_python(
        {"shape": "joined", "parts": [part], "both_sides": True}
    ).polygon()
    assert polygon.bounds[0] == pytest.approx(-polygon.bounds[2])


def test_parts_that_do_not_overlap_are_refused() -> None:
    parts = [{"shape": "ellipse", "length": 5}, {"shape": "ellipse", "length": 5, "x": 50}]
    with pytest.raises(ValueError, match="falls apart"):
        ADAPTER.validate_python({"shape": "joined", "parts": parts}).polygon()


@settings(derandomize=True, max_examples=60, deadline=None)
@given(
    st.floats(8, 200),
    st.floats(0.15, 1.2),
    st.floats(0, 1),
    st.floats(0, 1),
    st.floats(0.2, 0.8),
    st.integers(0, 20),
)
def test_petals_and_leaves_never_cross_themselves(
    length: float, ratio: float, point: float, curve: float, widest: float, teeth: int
) -> None:
    numbers = {"length": length, "width": length * ratio, "point": point}
    numbers |= {"fullness": curve, "widest": widest}
    petal = draw("petal", **numbers)
    leaf = draw("leaf", **numbers, teeth=teeth)
    assert petal.is_valid
    assert leaf.is_valid
    assert petal.bounds[2] == pytest.approx(length * ratio / 2, rel=1e-6)
    assert 0 < leaf.bounds[2] <= length * ratio / 2 + 1e-9


@pytest.mark.parametrize(
    ("length", "width", "blades"), [(21.3, 43.0, 7), (17.0, 54.5, 7), (9, 60, 40)]
)
def test_grass_may_be_wider_than_high(length, width, blades):
    """Blades that bend within their own width cross their own edges."""
    drawn = outline.Grass(length=length, width=width, blades=blades).polygon()
    assert drawn.is_valid
    low_x, low_y, high_x, high_y = drawn.bounds
    assert high_x - low_x == pytest.approx(width, rel=0.2)
    assert high_y - low_y >= length * 0.9
