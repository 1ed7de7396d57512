from __future__ import annotations

import numpy as np
import pytest
from scipy.linalg import null_space
from scipy.spatial.transform import Rotation

from meshes.motion.free.contact import find_contacts, least_distance, with_obstacles
from meshes.motion.free.polish import curves_up
from meshes.motion.free.rest import Rest, Springs, closure_curvature
from meshes.motion.loops.closure import Closure
from meshes.motion.loops.march import Marcher
from meshes.motion.loops.turns import rotation_gap
from meshes.motion.memory import Memory
from meshes.motion.solve import PAGES, given_bodies, plan
from tests.specimens import Legs, Pile, flower_in, flower_on

STEP = 1e-5


def slope(function, at):
    """Central differences, one column for each entry of `at`."""
    columns = [(function(at + e) - function(at - e)) / (2 * STEP) for e in STEP * np.eye(len(at))]
    return np.stack(columns, axis=-1)


@pytest.fixture(scope="module")
def flower():
    """A cone in a cone on legs at 100°: the block, its closure, and its contact rows."""
    pile = Pile()
    wide, narrow = [np.radians(52)] * 6, [np.radians(44)] * 6
    flower_on(pile, "outer", pile.gutter, 100, wide, (29, 43), Legs(14, 9.5, 7.95, 4.5))
    flower_in(pile, "inner", "outer", narrow, wide, (19, 31), Legs(9.5, 5.7, 7.29, 2.4))
    linkage = pile.linkage
    given = given_bodies(linkage, [])
    (block,), _ = plan(linkage, given, Marcher(given.poses), Memory())
    block = with_obstacles(linkage, block, PAGES)
    rotations, translations = given.poses(np.radians([100.0]))
    closure = block.closure(rotations[0], translations[0])
    contacts = find_contacts(linkage, block, closure.at(block.rest), PAGES)
    return block, closure, contacts


def test_jacobian_agrees_with_differences_far_from_closure(flower):
    block, closure, _ = flower
    angles = block.rest + np.random.default_rng(1).normal(0, 0.4, len(block.rest))
    measured = slope(lambda x: closure.at(x).residual, angles)
    assert closure.at(angles).gap > 1
    np.testing.assert_allclose(closure.at(angles).jacobian, measured, atol=2e-8)


def test_batches_give_what_single_poses_give(flower):
    block, closure, _ = flower
    angles = block.rest + np.random.default_rng(2).normal(0, 0.3, (5, len(block.rest)))
    batch = Closure.stack([closure] * 5).at(angles)
    for k in range(5):
        one = closure.at(angles[k])
        np.testing.assert_allclose(batch.residual[k], one.residual, atol=1e-12)
        np.testing.assert_allclose(batch.jacobian[k], one.jacobian, atol=1e-12)


def closed(block, closure):
    """A pose that closes: the block was assembled at 120°, and at 100° that does not."""
    pose = closure.at(block.angles)
    for _ in range(20):
        step, *_ = np.linalg.lstsq(pose.jacobian, -pose.residual, rcond=1e-9)
        pose = closure.at(pose.angles + step)
    return pose


def test_curvature_of_closure_agrees_with_differences_where_it_stays_closed(flower):
    block, closure, _ = flower
    weights = np.random.default_rng(3).normal(size=6 * len(block.topology.chords))
    pose = closed(block, closure)
    free = np.linalg.svd(pose.jacobian)[2][np.linalg.matrix_rank(pose.jacobian, 1e-6) :].T
    measured = slope(lambda x: closure.at(x).jacobian.T @ weights, pose.angles)
    exact = closure_curvature(pose, weights)
    assert pose.gap < 1e-10
    np.testing.assert_allclose(free.T @ exact @ free, free.T @ measured @ free, atol=1e-7)


def test_heights_differentiate_to_their_gradients_and_curvature(flower):
    block, closure, contacts = flower
    random = np.random.default_rng(4)
    angles = block.rest + random.normal(0, 0.3, len(block.rest))
    rows = np.arange(len(contacts.vertex))
    weights = random.normal(size=len(rows))
    measured = slope(lambda x: contacts.heights(closure.at(x)), angles)
    np.testing.assert_allclose(contacts.gradients(closure.at(angles), rows), measured, atol=1e-9)
    twice = slope(lambda x: contacts.gradients(closure.at(x), rows).T @ weights, angles)
    exact = contacts.curvature(closure.at(angles), rows, weights)
    np.testing.assert_allclose(exact, twice, atol=1e-7)


def test_rows_asked_for_in_many_poses_stand_as_among_all_rows(flower):
    block, closure, contacts = flower
    random = np.random.default_rng(5)
    angles = block.rest + random.normal(0, 0.3, (4, len(block.rest)))
    rows = np.sort(random.choice(len(contacts.vertex), 7, replace=False))
    weights = random.normal(size=(4, 7))
    batch = Closure.stack([closure] * 4).at(angles)
    touch = contacts.touching(tuple(rows.tolist())).at(batch)
    curved = touch.curvature(batch, weights)
    for k in range(4):
        one = closure.at(angles[k])
        np.testing.assert_allclose(touch.heights[k], contacts.heights(one)[rows], atol=1e-12)
        measured = slope(lambda x: contacts.heights(closure.at(x))[rows], angles[k])
        np.testing.assert_allclose(touch.gradients[k], measured, atol=1e-9)
        exact = contacts.curvature(one, rows, weights[k])
        np.testing.assert_allclose(curved[k], exact, atol=1e-11)


def test_a_minimum_is_told_from_a_saddle_as_by_differences_of_the_slope(flower):
    """Second-order conditions: J. Nocedal and S. J. Wright, Numerical Optimization (2006),
    theorems 12.5 and 12.6, with a null space from SciPy.
    """
    block, closure, contacts = flower
    resting = Springs(block, closure, contacts).settle(block.angles)
    assert resting is not None
    pose, random = closure.at(resting.angles), np.random.default_rng(6)
    rows, closing = np.array([3, 40]), len(pose.residual)
    answers = []
    for size in np.geomspace(1e-2, 30, 24):
        weights = size * random.normal(size=closing + len(rows))

        def slope_there(angles, weights=weights):
            there = closure.at(angles)
            found = block.relative * (angles - block.rest) + weights[:closing] @ there.jacobian
            return found + weights[closing:] @ contacts.gradients(there, rows)

        curved = slope(slope_there, pose.angles)
        held = np.vstack([pose.jacobian, contacts.gradients(pose, rows)])
        free = null_space(held, rcond=1e-9)
        least = np.linalg.eigvalsh(free.T @ (curved + curved.T) @ free / 2)[0]
        rest = Rest(pose.angles, 0.0, rows, weights)
        answers.append(curves_up(block, contacts, pose, rest))
        assert answers[-1] == (least > -1e-3), least
    assert 4 <= sum(answers) <= 20


@pytest.mark.parametrize("degrees", [0, 1e-6, 10, 90, 165, 170, 179.9, 180])
def test_a_turn_by_any_angle_counts_as_a_gap(degrees):
    """Half a turn has no skew part; it must not read as closed."""
    axis = np.array([0.6, -0.48, 0.64])
    turn = Rotation.from_rotvec(np.radians(degrees) * axis).as_matrix()[None]
    _, vector = rotation_gap(turn)
    length = 2 * np.sin(np.radians(degrees) / 2)
    assert np.linalg.norm(vector) == pytest.approx(length, abs=1e-12)
    assert np.abs(np.cross(vector[0], axis)).max() < 1e-10


def test_least_distance_meets_all_rows_at_the_nearest_point():
    rows = np.array([[1.0, 0.0], [1.0, 1.0], [-1.0, 3.0]])
    found = least_distance(rows, np.array([1.0, 3.0, -9.0]))
    assert found is not None
    point, pushes = found
    np.testing.assert_allclose(point, [1.5, 1.5], atol=1e-12)
    np.testing.assert_allclose(rows.T @ pushes, point, atol=1e-12)
    assert pushes.min() >= 0


def test_least_distance_tells_rows_that_contradict_each_other():
    assert least_distance(np.array([[1.0], [-1.0]]), np.array([1.0, 1.0])) is None
