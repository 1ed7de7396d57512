"""Cone flowers on legs against the closed state, the cone and page limits, and a pose by hand.

The limits are derived in `flower_limits`, the pose in `flower_by_hand`.
"""

from __future__ import annotations

import numpy as np
import pytest

from meshes.motion.solve import solve
from meshes.sheet import Placement
from tests.motion.flowers import AT, BUILDERS, FLOWERS
from tests.outside.flower_by_hand import Layer, Stand, at_rest, clearance
from tests.outside.flower_limits import cone_limit, jam, page_limit
from tests.specimens import Legs, Pile, cone, flower_in, flower_on

SWEEP = np.radians(np.arange(181.0))


def rad(*degrees):
    return tuple(np.radians(degrees))


def one_layer(sectors, size, legs):
    pile = Pile()
    flower_on(pile, "A", pile.gutter, 100, sectors, size, legs)
    return pile


@pytest.fixture(scope="module")
def layered():
    """Every layered flower with its motion over the whole sweep."""
    linkages = {name: build().linkage for name, build in BUILDERS.items()}
    return {name: (linkage, solve(linkage, SWEEP)) for name, linkage in linkages.items()}


def corners(linkage, motion, stage):
    """All corners of all bodies but the pages at one stage, mm."""
    found = []
    for body in range(2, len(linkage.bodies)):
        for part in linkage.bodies[body].parts:
            rim = np.asarray(part.polygon.exterior.coords)
            flat = np.column_stack([rim, np.zeros(len(rim))])
            moved = flat @ motion.rotations[stage, body].T + motion.translations[stage, body]
            found.append(moved)
    return np.concatenate(found)


def apex(linkage, motion, piece):
    """Where the middle of a cone is at every stage, mm."""
    body, part = linkage.place(f"{piece}.petal-0")
    local = np.append(part.placement.apply((0.0, 0.0)), 0.0)
    return motion.rotations[:, body] @ local + motion.translations[:, body]


def elevation(linkage, motion, piece):
    """Elevation of the middle of sector 0 over the plane of the open pages, degrees."""
    body, part = linkage.place(f"{piece}.petal-0")
    middle = np.append(part.placement.matrix @ [1.0, 0.0], 0.0)
    return np.degrees(np.arcsin(np.clip((motion.rotations[:, body] @ middle)[:, 2], -1, 1)))


@pytest.mark.parametrize("name", BUILDERS)
def test_no_corner_is_ever_below_a_page(layered, name):
    linkage, motion = layered[name]
    assert motion.solved.all()
    assert not motion.findings
    for stage in range(1, 181):
        half = SWEEP[stage] / 2
        points = corners(linkage, motion, stage)
        for side in (-1, 1):
            normal = np.array([-side * np.cos(half), 0, np.sin(half)])
            assert (points @ normal).min() > -1e-7


@pytest.mark.parametrize("name", BUILDERS)
def test_everything_closes_stays_in_range_and_moves_smoothly(layered, name):
    linkage, motion = layered[name]
    assert motion.gaps.max() < 1e-9
    signs = np.array([hinge.sign for hinge in linkage.hinges])
    assert (signs * motion.angles).min() > -1e-9
    assert (signs * motion.angles).max() < np.pi + 1e-9
    # Ten sectors move fastest, by 3.6° in a degree.
    assert np.degrees(np.abs(np.diff(motion.angles, axis=0))).max() < 5.5


@pytest.mark.parametrize("name", FLOWERS)
def test_shut_every_layer_is_a_flat_fan(layered, name):
    """Legs straight: apex at foot + length - top from the gutter, tips a petal's length on.

    Along the gutter the farthest corner is that of the half fan, a plane polygon.
    """
    linkage, motion = layered[name]
    first = FLOWERS[name][0]
    points = corners(linkage, motion, 0)
    assert np.abs(points[:, 0]).max() < 1e-6
    middle = first.legs.foot + first.legs.length - first.legs.top
    assert apex(linkage, motion, "A")[0, 2] == pytest.approx(middle, abs=1e-6)
    petals = [part for body in linkage.bodies for part in body.parts if ".petal" in part.id]
    assert len(petals) == sum(len(layer.sectors) for layer in FLOWERS[name])
    assert points[:, 2].max() == pytest.approx(middle + first.tip, abs=1e-6)
    # Corners of one half fan of the first layer, from the middle of its carrying sector on.
    starts = np.cumsum([-first.angles[0] / 2, *first.angles])
    rim = [
        radius * np.sin(start + share * angle)
        for start, angle in zip(starts, first.angles[: len(first.angles) // 4 + 1], strict=False)
        for share, radius in (
            (0.225, 0.93 * first.tip),
            (0.5, first.tip),
            (0.775, 0.93 * first.tip),
            (1, first.fold),
        )
    ]
    assert np.abs(points[:, 1] - AT).max() == pytest.approx(max(rim), abs=1e-6)
    for k, hinge in enumerate(linkage.hinges):
        if ".fold-" in hinge.name:
            angle = np.degrees(motion.angles[0, k])
            assert min(abs(angle), abs(angle + 180)) < 1e-6


HAND = {
    "one cone": ([Layer(*rad(51, 51), 38, 45)], Stand(14, 9.5, 8.2), 4.5, 50),
    "two glued": (
        [Layer(*rad(52, 52), 29, 43), Layer(*rad(47, 47), 21, 33)],
        Stand(14, 9.5, 9),
        4.5,
        50,
    ),
    "eight petals": (
        [Layer(*rad(86, 43), 29, 44), Layer(*rad(80, 40), 21, 32)],
        Stand(14, 9, 8.7),
        5.5,
        50,
    ),
}


@pytest.mark.parametrize("name", HAND)
def test_the_pose_at_rest_is_the_one_found_by_hand(name):
    layers, stand, half, rest = HAND[name]
    sectors = [(layer.lateral, layer.side, layer.side) * 2 for layer in layers]
    first = layers[0]
    pile = one_layer(
        sectors[0], (first.fold, first.tip), Legs(stand.top, stand.foot, stand.length, half)
    )
    if len(layers) > 1:
        flower_in(pile, "B", "A", sectors[1], sectors[0], (layers[1].fold, layers[1].tip))
    linkage = pile.linkage
    openings = np.radians([10.0, 30, 60, 90, 120, 150, 175])
    motion = solve(linkage, openings)
    named = {hinge.name: k for k, hinge in enumerate(linkage.hinges)}
    psi = np.radians(elevation(linkage, motion, "A"))
    for k, opening in enumerate(openings):
        hand = at_rest(layers, stand, half, np.radians(rest), opening)
        assert psi[k] == pytest.approx(hand.psi, abs=1e-6)
        assert apex(linkage, motion, "A")[k, 2] == pytest.approx(hand.apex, abs=1e-5)
        for piece, (lateral, mirror) in zip("AB", hand.folds, strict=False):
            assert motion.angles[k, named[f"{piece}.fold-0"]] == pytest.approx(lateral, abs=1e-5)
            assert motion.angles[k, named[f"{piece}.fold-1"]] == pytest.approx(mirror, abs=1e-5)
        assert motion.angles[k, named["A-leg-right.upper"]] == pytest.approx(hand.top, abs=1e-5)
        assert motion.angles[k, named["A-leg-right.foot"]] == pytest.approx(hand.foot, abs=1e-5)


def test_by_hand_the_page_does_hold_the_flower_back():
    """The judge itself: without the page the pose would be lower at 60° and free at 150°."""
    layers, stand, half, rest = HAND["one cone"]
    low, high = (
        at_rest(layers, stand, half, np.radians(rest), opening) for opening in np.radians([60, 150])
    )
    assert clearance(layers, stand, low.psi, np.radians(60)) == pytest.approx(0, abs=1e-6)
    assert clearance(layers, stand, high.psi, np.radians(150)) > 0.1


@pytest.mark.parametrize("rise", [29, 33, 36])
def test_a_cone_too_wide_for_its_legs_jams_where_the_two_limits_meet(rise):
    """Six sectors of 47° on legs that let them sink to `rise` degrees over the flat page."""
    top, foot = 13, 9
    length = np.sqrt(top**2 + foot**2 - 2 * top * foot * np.cos(np.radians(rise)))
    pile = one_layer(rad(*[47] * 6), (28, 41), Legs(top, foot, float(length), 4))
    motion = solve(pile.linkage, SWEEP)
    (finding,) = motion.findings
    expected = jam(np.radians(6 * 47), np.radians(47 / 2), top, foot, length)
    assert finding.kind == "jam"
    assert finding.gap > 0.1
    assert np.degrees(finding.opening) == pytest.approx(np.degrees(expected), abs=0.01)
    np.testing.assert_array_equal(motion.solved, expected > SWEEP)


@pytest.mark.parametrize("name", ["bud", "ten", "wide"])
def test_open_flat_the_elevation_lies_between_cone_limit_and_page_limit(layered, name):
    linkage, motion = layered[name]
    legs = FLOWERS[name][0].legs
    # The second layer is glued in the first, so both have one elevation.
    least = max(
        cone_limit(sum(layer.angles), layer.angles[0] / 2)
        for layer in FLOWERS[name]
        if layer.legs is None or layer is FLOWERS[name][0]
    )
    most = page_limit(legs.top, legs.foot, legs.length, np.pi)
    psi = np.radians(elevation(linkage, motion, "A")[-1])
    assert least - np.radians(0.01) < psi < most + np.radians(1e-3)


@pytest.mark.parametrize(
    ("count", "angle", "fold"), [(6, 50, 34.2933), (8, 40, 21.0520), (5, 60, 41.8103)]
)
def test_a_cone_left_alone_is_a_regular_pyramid(count, angle, fold):
    """cos(180/N) = cos(a/2) sin(D/2), D the dihedral of neighbouring faces.

    Napier's rule for the right-angled spherical triangle between axis, crease and middle of a face.
    """
    pile = Pile()
    cone(pile, "hat", rad(*[angle] * count), 30, 40, np.radians(50))
    pile.joins.append(pile.gutter.right.join("hat.petal-0", Placement(0.0, (60.0, 100.0))))
    motion = solve(pile.linkage, np.radians([120.0, 170.0]))
    exact = np.pi - 2 * np.arcsin(np.cos(np.pi / count) / np.cos(np.radians(angle) / 2))
    assert np.degrees(exact) == pytest.approx(fold, abs=6e-5)
    np.testing.assert_allclose(motion.angles, -exact, atol=1e-6)
