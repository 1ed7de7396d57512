"""The limits of a flower on legs against constructions that share nothing with the rules.

The cone limit is found again by laying the paper: the fold over the crease is looked for in the
plane of symmetry by trying directions, and the least elevation by halving. The regular pyramid is
H. S. M. Coxeter's (Regular Polytopes, 2.4 and 7.7): the elevation of a lateral face follows from
sin(slope complement) = tan(a/2) / tan(180°/n). Closed lengths are sums of lengths on paper.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from meshes.pieces.blossom.fan import Fan
from meshes.pieces.blossom.rules import LegSize, cone_limit, jam_opening, leg_length
from tests.pieces.blossoms import STRAIGHT, flower, legs, read


def paper_reaches(total, lam, psi):
    """Whether some direction in the plane of symmetry is as far from the edge as the paper is."""
    edge = np.array([np.cos(lam) * np.cos(psi), np.sin(lam), np.cos(lam) * np.sin(psi)])
    mu = np.linspace(-np.pi, np.pi, 20001)
    away = np.arccos(np.clip(edge[1] * np.cos(mu) + edge[2] * np.sin(mu), -1, 1))
    return away.min() <= total / 4 - lam + 1e-12


def laid_limit(total, lam):
    low, high = 0.0, np.pi / 2
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (low, middle) if paper_reaches(total, lam, middle) else (middle, high)
    return high


@settings(derandomize=True, max_examples=20, deadline=None)
@given(angle=st.floats(24, 59), count=st.sampled_from([6, 10, 14]))
def test_cone_limit_is_where_the_paper_just_reaches_the_plane_of_symmetry(angle, count):
    total = np.radians(min(angle * 6 / count, 359 / count)) * count
    lam = total / count / 2
    assert cone_limit(total, -lam, lam) == pytest.approx(laid_limit(total, lam), abs=2e-4)


# Worked by hand: cos(limit) = sin(total/4 - lam) / cos lam; for six alike 2 sin(angle/2).
@pytest.mark.parametrize(
    ("angles", "limit"),
    [
        ([50] * 6, 32.30),
        ([46] * 6, 38.61),
        ([42] * 6, 44.21),
        ([32] * 10, 20.77),
        ([29] * 10, 28.84),
        ([42, 84, 42] * 2, 25.79),
    ],
)
def test_cone_limits_worked_by_hand(angles, limit):
    fan = Fan(tuple(np.radians(angles)), (1,) * len(angles))
    assert np.degrees(cone_limit(fan.total, *fan.reach)) == pytest.approx(limit, abs=0.005)


@pytest.mark.parametrize(("count", "angle"), [(6, 50), (10, 32), (14, 24)])
def test_a_regular_pyramid_lies_above_the_cone_limit(count, angle):
    a = np.radians(angle)
    slope = np.arccos(np.tan(a / 2) / np.tan(np.pi / count))
    assert slope > cone_limit(count * a, -a / 2, a / 2) - 1e-9


def test_closed_lengths_are_sums_of_lengths_on_paper(tmp_path):
    top, foot, length = 15, 10, 9.84
    spread = read(
        tmp_path,
        flower(
            f"angle = 50\nlength = 45\nnotch = 30\nat = 105\n{STRAIGHT}\n"
            + legs(top, foot, length, 5)
        ),
    )
    motion = spread.solve(np.radians([0.0, 90.0]))
    body, part = spread.linkage.place("bloom.petal-2")
    corners = part.placement.apply(np.asarray(part.facet.polygon.exterior.coords))
    points = np.column_stack([corners, np.zeros(len(corners))])
    moved = points @ motion.rotations[0, body].T + motion.translations[0, body]
    middle = foot + length - top
    assert moved[:, 2].min() == pytest.approx(middle, abs=1e-6)
    assert moved[:, 2].max() == pytest.approx(middle + 45, abs=1e-6)
    # The fold over the crease lies 75° from the middle of the half.
    body, part = spread.linkage.place("bloom.petal-3")
    corners = part.placement.apply(np.asarray(part.facet.polygon.exterior.coords))
    points = np.column_stack([corners, np.zeros(len(corners))])
    moved = points @ motion.rotations[0, body].T + motion.translations[0, body]
    turns = np.radians([50 - 0.275 * 50, 50, 50 + 0.275 * 50, 75])
    along = np.array([0.93 * 45, 45, 0.93 * 45, 30]) * np.sin(turns)
    assert moved[:, 1].max() - 105 == pytest.approx(along.max(), abs=1e-6)


@pytest.mark.parametrize(("limit", "stop"), [(30, 162.7893), (37, 176.7893)])
def test_a_flower_jams_where_cone_and_page_limit_meet(tmp_path, limit, stop):
    """180° - 2 (limit of the cone - limit of the legs), worked by hand for six of 46°."""
    need = np.arccos(2 * np.sin(np.radians(23)))
    assert np.degrees(jam_opening(need, np.radians(limit))) == pytest.approx(stop, abs=1e-4)
    length = leg_length(15, 10, np.radians(limit))
    size = LegSize(15, 10, length, 5, 0, 8, 8)
    assert np.degrees(size.limit) == pytest.approx(limit)
    spread = read(tmp_path, flower(f"angle = 46\n{STRAIGHT}\n" + legs(15, 10, length, 5)))
    motion = spread.solve(np.radians([120, stop - 0.5, stop + 0.5, 180]))
    assert motion.solved.tolist() == [True, True, False, False]
    (jam,) = [finding for finding in motion.findings if finding.kind == "jam"]
    # The solver halves down to a tenth of a degree.
    assert np.degrees(jam.opening) == pytest.approx(stop, abs=0.11)


@pytest.mark.parametrize("off", [-0.4, 0.4])
def test_a_stack_opens_just_when_its_narrowest_cone_is_under_the_page_limit(tmp_path, off):
    """Glued layers share their carrying petals, so the cone of 44° decides for both."""
    need = np.degrees(np.arccos(2 * np.sin(np.radians(22))))
    length = leg_length(15, 10, np.radians(need + off))
    spread = read(
        tmp_path,
        flower(
            STRAIGHT,
            'name = "a"\nangle = 50\nlength = 45\nnotch = 30\n' + legs(15, 10, length, 5),
            'name = "b"\nangle = 44\nlength = 34\nnotch = 22',
        ),
    )
    motion = spread.solve(np.radians([150, 179.9]))
    assert motion.solved.all() == (off > 0) == (not spread.warnings)


def test_a_flower_on_a_carrier_opens_as_it_does_on_the_gutter(tmp_path):
    """Opposite angles of a parallelogram are equal (Euclid, Elements I.34)."""
    keys = "angle = 50\nlength = 30\nnotch = 20\n" + legs(10, 7, 6.5, 3)
    carrier = '[pieces.strip]\nkind = "carrier"\ndistance = 55\nflap = 30\nwidth = 50\n'
    openings = np.radians([0, 40, 90, 140, 179])
    found = []
    for on, before in (("gutter", ""), ("strip.crease", carrier)):
        spread = read(tmp_path, flower(f'on = "{on}"\n{keys}', before=before))
        motion = spread.solve(openings)
        assert motion.solved.all()
        names = [h.name for h in spread.linkage.hinges]
        found.append(motion.angles[:, [names.index(f"bloom.fold-{k}") for k in range(1, 7)]])
    assert np.degrees(np.abs(found[0] - found[1])).max() < 1e-3


@settings(derandomize=True, max_examples=5, deadline=None)
@given(
    count=st.sampled_from([6, 6, 10]),
    total=st.floats(255, 345),
    narrower=st.floats(0.86, 0.97),
    length=st.floats(20, 60),
    deep=st.floats(0.4, 0.8),
    spare=st.floats(1, 8),
    inner=st.sampled_from(["glued", "legs"]),
)
def test_random_layered_flowers_open_and_close(
    tmp_path_factory, count, total, narrower, length, deep, spare, inner
):
    lower = total * narrower
    lam = np.radians(lower if inner == "glued" else total) / count / 2
    need = cone_limit(2 * lam * count, -lam, lam)
    limit = np.degrees(need) + spare
    outer = (
        f'name = "out"\nangle = {total / count}\nlength = {length}\nnotch = {length * deep}\n'
        f"legs = {{ limit = {min(limit, 80)} }}"
    )
    above = (
        f'name = "in"\nstand = "{inner}"\nangle = {lower / count}\n'
        f"length = {0.7 * length}\nnotch = {0.65 * length * deep}"
    )
    spread = read(tmp_path_factory.mktemp("random"), flower(f"sectors = {count}", outer, above))
    motion = spread.solve(np.radians([0, 30, 100, 180]))
    assert motion.solved.all(), motion.findings
    assert motion.gaps.max() < 1e-9
    signed = motion.angles * [h.sign for h in spread.linkage.hinges]
    assert signed.min() > -1e-6
    assert signed.max() < np.pi + 1e-6
