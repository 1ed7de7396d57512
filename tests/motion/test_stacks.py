"""Properties of the motion over random designs. All seeds are fixed, so every run is the same."""

from __future__ import annotations

import numpy as np
import pytest

from meshes.motion.solve import solve
from tests.designs import by_day
from tests.motion.random_stacks import random_stack
from tests.specimens import Legs, Pile, carrier, flower_on, tent

SWEEP = np.radians(np.arange(181.0))
# Designs in a batch, so that a failure names few seeds.
BATCH = 20


def check_motion(linkage, motion):
    """Closed at every stage, every fold on its side, no jump, nothing to report."""
    assert motion.findings == ()
    assert motion.solved.all()
    assert motion.gaps.max() <= 1e-9
    signs = np.array([hinge.sign for hinge in linkage.hinges])
    turned = signs * motion.angles
    assert turned.min() > -1e-6
    assert turned.max() < np.pi + 1e-6


@pytest.mark.parametrize("batch", by_day(range(10), range(3)))
def test_two_hundred_random_stacks_close_keep_their_signs_and_never_jump(batch):
    for seed in range(batch * BATCH, (batch + 1) * BATCH):
        linkage = random_stack(seed, 1 + seed % 4).linkage
        motion = solve(linkage, SWEEP)
        check_motion(linkage, motion)
        # Determined paper moves smoothly: a wrong branch shows as a leap.
        assert np.degrees(np.abs(np.diff(motion.angles, axis=0)).max()) < 3
        # Shut, all paper lies in the plane of the pages.
        assert np.abs(motion.rotations[0, :, 0, :2]).max() < 1e-5
        assert np.abs(motion.translations[0, :, 0]).max() < 1e-5


@pytest.mark.parametrize("seed", [3, 11, 26])
def test_a_spread_turned_left_to_right_moves_as_its_mirror_image(seed):
    """Equal tents at mirrored places of both pages' carriers: every fold has an equal partner."""
    random = np.random.default_rng(seed)
    pile = Pile()
    feet, extra = random.uniform(10, 30, 2), random.uniform(1.2, 1.8)
    total = extra * feet.sum()
    tent(pile, "a", pile.gutter, 20, tuple(feet), tuple(total - feet))
    tent(pile, "b", pile.gutter, 60, tuple(feet[::-1]), tuple(total - feet[::-1]))
    linkage = pile.linkage
    motion = solve(linkage, SWEEP)
    named = {hinge.name: motion.angles[:, k] for k, hinge in enumerate(linkage.hinges)}
    np.testing.assert_allclose(named["a.foot-right"], named["b.foot-left"], atol=1e-8)
    np.testing.assert_allclose(named["a.foot-left"], named["b.foot-right"], atol=1e-8)
    np.testing.assert_allclose(named["a.ridge"], named["b.ridge"], atol=1e-8)


def random_flower(seed):
    """A cone of six or ten sectors on legs that let it open flat, on the gutter or a host."""
    random = np.random.default_rng(seed)
    pile = Pile()
    site, at = pile.gutter, 100.0
    if seed % 3 == 1:
        carrier(pile, "c", pile.gutter, 60, random.uniform(45, 70), random.uniform(20, 45), 80)
        site, at = pile.site("c", "foot-right"), 40.0
    if seed % 3 == 2:
        tent(pile, "t", pile.gutter, 60, (40, 40), (50, 50), 80)
        site, at = pile.site("t", "foot-right"), 40.0
    count = 10 if seed % 4 == 3 else 6
    angle = np.radians(random.uniform(26, 35) if count == 10 else random.uniform(36, 57))
    top, foot = random.uniform(9, 18), random.uniform(6, 12)
    limit = np.arccos(np.sin(count * angle / 4 - angle / 2) / np.cos(angle / 2))
    gamma = limit + np.radians(random.uniform(1, 12))
    length = float(np.sqrt(top**2 + foot**2 - 2 * top * foot * np.cos(gamma)))
    half = min(5.0, 0.8 * foot * float(np.tan(angle / 2)))
    flower_on(pile, "f", site, at, [angle] * count, (30, 45), Legs(top, foot, length, half))
    return pile


@pytest.mark.parametrize("seed", range(12))
def test_random_flowers_obeying_both_limits_open_flat_and_close(seed):
    linkage = random_flower(seed).linkage
    motion = solve(linkage, SWEEP)
    check_motion(linkage, motion)
    named = {hinge.name: motion.angles[:, k] for k, hinge in enumerate(linkage.hinges)}
    count = sum(name.startswith("f.fold") for name in named)
    # Symmetric about both middle planes, though nothing in the solver says so.
    for k in range(count):
        mirrored = (count - 1 - k) % count
        np.testing.assert_allclose(named[f"f.fold-{k}"], named[f"f.fold-{mirrored}"], atol=1e-4)
    # No corner below a page.
    for body in range(2, len(linkage.bodies)):
        if not any(part.id.startswith("f.") for part in linkage.bodies[body].parts):
            continue
        for part in linkage.bodies[body].parts:
            rim = np.asarray(part.polygon.exterior.coords)
            flat = np.column_stack([rim, np.zeros(len(rim))])
            points = np.einsum("sij,pj->spi", motion.rotations[:, body], flat)
            points = points + motion.translations[:, None, body]
            half = SWEEP[:, None] / 2
            for side in (-1, 1):
                height = points[:, :, 2] * np.sin(half) - side * points[:, :, 0] * np.cos(half)
                assert height[1:].min() > -1e-6
