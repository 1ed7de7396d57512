"""The limits of a flower on legs against constructions that share nothing with the rules.

The limits are derived by Napier's rule and the law of cosines in `flower_limits`. The cone limit is
also found by laying the paper: the fold over the crease is looked for in the plane of symmetry by
trying directions, and the least elevation by halving. The regular pyramid is
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
from tests.outside import flower_limits
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


@settings(derandomize=True, max_examples=60, deadline=None)
@given(
    widest=st.floats(8, 100),
    share=st.floats(0.2, 1.5),
    top=st.floats(6, 30),
    deep=st.floats(0.3, 1.4),
    rise=st.floats(5, 85),
)
def test_limits_are_those_of_spherical_trigonometry(widest, share, top, deep, rise):
    """Sectors w, s, s twice round the middle: any fan of two halves that folds flat."""
    wide, side = np.radians([widest, widest * share])
    total = min(2 * wide + 4 * side, 2 * np.pi * 0.99)
    lam = wide / (2 * wide + 4 * side) * total / 2
    limit = cone_limit(total, -lam, lam)
    assert limit == pytest.approx(flower_limits.cone_limit(total, lam), abs=1e-9)
    foot = top * deep
    length = leg_length(top, foot, np.radians(rise))
    size = LegSize(top, foot, length, 4, 0, 8, 8)
    flat = flower_limits.page_limit(top, foot, length, np.pi)
    assert size.limit == pytest.approx(flat, abs=1e-9)
    assert jam_opening(limit, size.limit) == pytest.approx(
        flower_limits.jam(total, lam, top, foot, length), abs=1e-8
    )


@pytest.mark.parametrize(
    "angles", [[53] * 6, [47] * 6, [33] * 10, [28] * 10, [43, 86, 43] * 2, [38, 92, 38] * 2]
)
def test_the_limit_of_a_fan_is_that_of_its_carrying_sector(angles):
    fan = Fan(tuple(np.radians(angles)), (1,) * len(angles))
    carrying = np.radians(angles[len(angles) // 4])
    expected = flower_limits.cone_limit(np.radians(sum(angles)), carrying / 2)
    assert cone_limit(fan.total, *fan.reach) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(("count", "angle"), [(6, 51), (10, 33), (14, 24)])
def test_a_regular_pyramid_lies_above_the_cone_limit(count, angle):
    a = np.radians(angle)
    slope = np.arccos(np.tan(a / 2) / np.tan(np.pi / count))
    assert slope > cone_limit(count * a, -a / 2, a / 2) - 1e-9


def test_closed_lengths_are_sums_of_lengths_on_paper(tmp_path):
    top, foot, length = 14, 9.5, 8.9
    spread = read(
        tmp_path,
        flower(
            f"angle = 51\nlength = 43\nparting = 29\nat = 105\n{STRAIGHT}\n"
            + legs(top, foot, length, 4.5)
        ),
    )
    motion = spread.solve(np.radians([0.0, 90.0]))
    body, part = spread.linkage.place("bloom.petal-2")
    corners = part.placement.apply(np.asarray(part.facet.polygon.exterior.coords))
    points = np.column_stack([corners, np.zeros(len(corners))])
    moved = points @ motion.rotations[0, body].T + motion.translations[0, body]
    middle = foot + length - top
    assert moved[:, 2].min() == pytest.approx(middle, abs=1e-6)
    assert moved[:, 2].max() == pytest.approx(middle + 43, abs=1e-6)
    # The fold over the crease lies 76.5° from the middle of the half.
    body, part = spread.linkage.place("bloom.petal-3")
    corners = part.placement.apply(np.asarray(part.facet.polygon.exterior.coords))
    points = np.column_stack([corners, np.zeros(len(corners))])
    moved = points @ motion.rotations[0, body].T + motion.translations[0, body]
    turns = np.radians([51 - 0.275 * 51, 51, 51 + 0.275 * 51, 76.5])
    along = np.array([0.93 * 43, 43, 0.93 * 43, 29]) * np.sin(turns)
    assert moved[:, 1].max() - 105 == pytest.approx(along.max(), abs=1e-6)


@pytest.mark.parametrize("limit", [29, 36])
def test_a_flower_jams_where_cone_and_page_limit_meet(tmp_path, limit):
    top, foot = 13, 9
    length = leg_length(top, foot, np.radians(limit))
    total, lam = np.radians(6 * 47), np.radians(47 / 2)
    stop = np.degrees(flower_limits.jam(total, lam, top, foot, length))
    spread = read(tmp_path, flower(f"angle = 47\n{STRAIGHT}\n" + legs(top, foot, length, 4)))
    (warning,) = spread.warnings
    assert f"jams at {stop:.4f}°" in str(warning)
    motion = spread.solve(np.radians([120, stop - 0.5, stop + 0.5, 180]))
    assert motion.solved.tolist() == [True, True, False, False]
    (jam,) = [finding for finding in motion.findings if finding.kind == "jam"]
    # The solver halves down to a tenth of a degree.
    assert np.degrees(jam.opening) == pytest.approx(stop, abs=0.11)


@pytest.mark.parametrize("off", [-0.4, 0.4])
def test_a_stack_opens_just_when_its_narrowest_cone_is_under_the_page_limit(tmp_path, off):
    """Glued layers share their carrying petals, so the cone of 44° decides for both."""
    need = np.degrees(flower_limits.cone_limit(np.radians(6 * 44), np.radians(22)))
    length = leg_length(14, 9.5, np.radians(need + off))
    spread = read(
        tmp_path,
        flower(
            STRAIGHT,
            'name = "a"\nangle = 51\nlength = 43\nparting = 29\n' + legs(14, 9.5, length, 4.5),
            'name = "b"\nangle = 44\nlength = 34\nparting = 22',
        ),
    )
    motion = spread.solve(np.radians([150, 179.9]))
    assert motion.solved.all() == (off > 0) == (not spread.warnings)


def test_a_flower_on_a_carrier_opens_as_it_does_on_the_gutter(tmp_path):
    """Opposite angles of a parallelogram are equal (Euclid, Elements I.34)."""
    keys = "angle = 51\nlength = 31\nparting = 21\n" + legs(10.5, 7, 6.8, 3)
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
        f'name = "out"\nangle = {total / count}\nlength = {length}\nparting = {length * deep}\n'
        f"legs = {{ lowest_angle = {min(limit, 80)} }}"
    )
    above = (
        f'name = "in"\nstand = "{inner}"\nangle = {lower / count}\n'
        f"length = {0.7 * length}\nparting = {0.65 * length * deep}"
    )
    spread = read(tmp_path_factory.mktemp("random"), flower(f"sectors = {count}", outer, above))
    motion = spread.solve(np.radians([0, 30, 100, 180]))
    assert motion.solved.all(), motion.findings
    assert motion.gaps.max() < 1e-9
    signed = motion.angles * [h.sign for h in spread.linkage.hinges]
    assert signed.min() > -1e-6
    assert signed.max() < np.pi + 1e-6
