"""Poses confirmed by an independent rigid-body engine.

MuJoCo: E. Todorov, T. Erez and Y. Tassa, A physics engine for model-based control, IROS 2012.

The engine knows pages and panels as rigid bodies on hinges, holds them together at two points of
the ridge, and lets them settle without gravity. It knows nothing of closure equations or folds.
"""

from __future__ import annotations

import mujoco
import numpy as np
import pytest

from meshes.motion.solve import solve
from tests.specimens import Pile, tent, v_fold

# The engine is at ease with things of about a metre: one mm of paper is a centimetre there.
SCALE = 0.01


def model(creases, ridge_points, opening):
    """Two pages on the gutter, a panel on each, tied together at points of the ridge.

    `creases` are origin and direction of the glue creases (right, left) on the flat page, mm;
    `ridge_points` lists points of the ridge on each panel, laid flat over its page, mm.
    """
    half = (np.pi - opening) / 2
    bodies, anchors = [], []
    for side, sign in (("right", 1), ("left", -1)):
        origin, direction = (SCALE * np.asarray(creases[side][0]), creases[side][1])
        sites = ""
        for k, point in enumerate(ridge_points[side]):
            x, y = SCALE * np.asarray(point) - origin
            sites += f'<site name="{side}-{k}" pos="{x} {y} 0"/>'
        tilt = np.degrees(-sign * half)
        bodies.append(
            f'<body name="page-{side}" euler="0 {tilt} 0"><body name="{side}" '
            f'pos="{origin[0]} {origin[1]} 0">'
            f'<joint name="{side}" type="hinge" axis="{direction[0]} {direction[1]} 0" '
            'damping="1" armature=".1"/>'
            '<geom type="box" size=".5 .5 .02" mass="1" contype="0" conaffinity="0"/>'
            f"{sites}</body></body>"
        )
    for k in range(len(ridge_points["right"])):
        anchors.append(f'<connect site1="right-{k}" site2="left-{k}" solref=".01 1"/>')
    return mujoco.MjModel.from_xml_string(
        '<mujoco><compiler angle="degree"/>'
        '<option gravity="0 0 0" timestep=".002" integrator="implicitfast"/>'
        f"<worldbody>{''.join(bodies)}</worldbody><equality>{''.join(anchors)}</equality></mujoco>"
    )


def settle(creases, ridge_points, opening, start):
    """Panel angles about their glue creases, right and left, radians."""
    engine = model(creases, ridge_points, opening)
    data = mujoco.MjData(engine)
    data.qpos[:] = start
    for _ in range(30_000):
        mujoco.mj_step(engine, data)
    assert np.abs(data.qvel).max() < 1e-6
    count = len(ridge_points["right"])
    near, far = data.site_xpos[:count] / SCALE, data.site_xpos[count:] / SCALE
    np.testing.assert_allclose(near, far, atol=1e-3)
    return data.qpos.copy(), near


def named_angles(linkage, opening):
    motion = solve(linkage, np.array([opening]))
    return {hinge.name: motion.angles[0, k] for k, hinge in enumerate(linkage.hinges)}


# Panels start well off their pages, on the reader's side of the mirror image of the pose.
START = [1.9, -1.9]


@pytest.mark.parametrize("opening_deg", [60, 90, 130])
def test_a_v_fold_settles_where_it_is_solved(opening_deg):
    a, b, reach = np.radians(45), np.radians(60), 60.0
    pile = Pile()
    v_fold(pile, "v", pile.gutter, 0.0, (a, a), (b, b), reach=reach)
    creases, points = {}, {}
    for side, sign in (("right", 1), ("left", -1)):
        creases[side] = ((0.0, 0.0), (sign * np.sin(a), np.cos(a)))
        # Laid flat towards the gutter, the ridge lies b beyond the crease on that side.
        points[side] = [(sign * reach * np.sin(a - b), reach * np.cos(a - b))]
    linkage, opening = pile.linkage, np.radians(opening_deg)
    found, ridge = settle(creases, points, opening, START)
    solved = named_angles(linkage, opening)
    # Lying flat towards the gutter, a panel continues its tab: that is fold angle 0.
    expected = np.degrees([-solved["v.foot-right"], solved["v.foot-left"]])
    np.testing.assert_allclose(np.degrees(found), expected, atol=0.1)
    (hinge,) = (h for h in linkage.hinges if h.name == "v.ridge")
    tip = solve(linkage, np.array([opening])).rotations[0, hinge.bodies[0]]
    tip = tip @ (reach * hinge.frames[0][:, 0])
    turn = np.arctan2(np.linalg.norm(np.cross(ridge[0], tip)), ridge[0] @ tip)
    assert np.degrees(turn) < 0.1


@pytest.mark.parametrize("opening_deg", [60, 120])
def test_an_unequal_tent_settles_where_it_is_solved(opening_deg):
    feet, legs = (20.0, 30.0), (40.0, 30.0)
    pile = Pile()
    tent(pile, "t", pile.gutter, 0.0, feet, legs, 20.0)
    creases = {
        "right": ((feet[0], 0.0), (0.0, 1.0)),
        "left": ((-feet[1], 0.0), (0.0, 1.0)),
    }
    points = {
        "right": [(feet[0] - legs[0], y) for y in (0.0, 20.0)],
        "left": [(legs[1] - feet[1], y) for y in (0.0, 20.0)],
    }
    opening = np.radians(opening_deg)
    found, _ = settle(creases, points, opening, START)
    solved = named_angles(pile.linkage, opening)
    expected = np.degrees([-solved["t.foot-right"], solved["t.foot-left"]])
    np.testing.assert_allclose(np.degrees(found), expected, atol=0.1)
