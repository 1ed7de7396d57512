"""The drawing reader against svgelements, which reads SVG by itself, and against true curves."""

from __future__ import annotations

import io
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from svgelements import SVG, Path

from meshes.drawn import read
from meshes.drawn.geometry import TOLERANCE_MM, bezier, outlines
from meshes.drawn.tree import parse

HEAD = '<svg xmlns="http://www.w3.org/2000/svg"'
# CSS: 96 px are one inch.
MM_PER_PX = 25.4 / 96

steps = st.one_of(
    st.tuples(st.floats(-40, 40), st.floats(-40, 40)).map(lambda v: f"translate({v[0]} {v[1]})"),
    st.floats(-180, 180).map(lambda v: f"rotate({v})"),
    st.tuples(st.floats(-180, 180), st.floats(-9, 9)).map(lambda v: f"rotate({v[0]},{v[1]},3)"),
    st.floats(0.5, 2).map(lambda v: f"scale({v})"),
    st.tuples(st.floats(0.5, 2), st.floats(-2, -0.5)).map(lambda v: f"scale({v[0]}, {v[1]})"),
    st.floats(-40, 40).map(lambda v: f"skewX({v})"),
    st.floats(-40, 40).map(lambda v: f"skewY({v})"),
    st.just("matrix(0.5 -0.2 0.1 0.9 3 4)"),
)


@given(st.lists(steps, min_size=1, max_size=3), st.lists(steps, min_size=1, max_size=2))
@settings(max_examples=40, derandomize=True, deadline=None)
def test_transforms_units_and_view_box_agree(outer, inner):
    text = (
        f'{HEAD} width="160mm" height="200mm" viewBox="-5 7 80 100">'
        f'<g transform="{" ".join(outer)}"><path class="cut" transform="{", ".join(inner)}" '
        'd="M 10 10 h 30 l 5 22 q 1 1 2 2 L 12 30 z"/></g></svg>'
    )
    (sheet,) = read(text.encode()).sheets
    (path,) = [e for e in SVG.parse(io.StringIO(text), ppi=96).elements() if isinstance(e, Path)]
    corners = np.array([[p.x, p.y] for p in (s.end for s in path.segments() if s.end)]) * MM_PER_PX
    corners[:, 1] = 200 - corners[:, 1]
    edge = sheet.outline.exterior
    from shapely.geometry import Point

    assert max(edge.distance(Point(p)) for p in corners) < 1e-3


@pytest.mark.parametrize("scale", [0.25, 1.0, 7.0])
@pytest.mark.parametrize("degree", [2, 3])
def test_flattened_curves_stay_within_the_tolerance(scale, degree):
    random = np.random.default_rng(5)
    for _ in range(10):
        controls = random.uniform(-30, 30, (degree + 1, 2))
        chords = np.vstack([controls[:1], bezier(controls, scale)])
        t = np.linspace(0, 1, 4000)[:, None]
        curve = sum(
            math.comb(degree, k) * (1 - t) ** (degree - k) * t**k * controls[k]
            for k in range(degree + 1)
        )
        assert distance(curve, chords) * scale <= TOLERANCE_MM + 1e-9


def distance(points, chain):
    """Largest distance of points from a chain of chords."""
    a, b = chain[:-1], chain[1:]
    along = b - a
    share = ((points[:, None] - a) * along).sum(axis=2) / (along**2).sum(axis=1)
    nearest = a + np.clip(share, 0, 1)[..., None] * along
    return np.linalg.norm(points[:, None] - nearest, axis=2).min(axis=1).max()


def test_a_circle_has_the_area_of_a_circle():
    """Chords within the tolerance take away at most circumference × tolerance."""
    circle = '<circle class="cut" cx="45" cy="45" r="40"/>'
    text = f'{HEAD} width="90mm" height="90mm" viewBox="0 0 90 90">{circle}</svg>'
    (sheet,) = read(text.encode()).sheets
    lost = math.pi * 40**2 - sheet.outline.area
    assert 0 < lost < 2 * math.pi * 40 * TOLERANCE_MM


@pytest.mark.parametrize("arc", ["A 30 20 30 1 0 60 60", "a 12,8 -20 0,1 30,20", "A5 5 0 0030 30"])
def test_elliptic_arcs_agree(arc):
    root = parse(f'{HEAD}><path d="M 20 20 {arc}"/></svg>'.encode())
    ((drawn, closed),) = outlines(root.children[0], 1.0)
    path = Path(f"M 20 20 {arc}")
    points = np.array([[p.x, p.y] for p in (path[1].point(t) for t in np.linspace(0, 1, 200))])
    assert not closed
    assert distance(points, drawn) < TOLERANCE_MM + 0.01
