"""Any spread as a rigid-body engine knows it: bodies on hinges with springs, ties and corners.

MuJoCo: E. Todorov, T. Erez and Y. Tassa, A physics engine for model-based control, IROS 2012.

The engine is told where the folds lie on the facets and what glue holds together, but nothing of
closure equations, blocks or energies. Folds are its joints; where one closes a loop, a phantom of
the body beyond it is tied to that body, and corners of free paper are kept off the pages, all by
forces. Springs pull every fold to its rest angle, and what then rests is read fold by fold.
"""

from __future__ import annotations

from collections import deque

import mujoco
import numpy as np
import shapely
from scipy.spatial.transform import Rotation

from meshes.linkage import Linkage

# The engine is at ease with things of about a metre: one mm of paper is a centimetre there.
SCALE = 0.01
# Corners are small balls, and the pages lie as much deeper, mm.
BALL = 0.5
HARD = {"solref": [0.004, 1.0], "solimp": [0.9999, 0.9999, 0.001, 0.5, 2]}
STEP, DAMPING, ARMATURE = 0.002, 20.0, 1.0
# At rest when no fold turns faster, radians a second.
STILL = 1e-5


class Engine:
    """A linkage on pages that are open by `opening` radians.

    Parameters
    ----------
    corners : whether the corners of all paper are kept off the pages.
    """

    def __init__(self, linkage: Linkage, opening: float, corners: bool) -> None:
        self.linkage = linkage
        spec = mujoco.MjSpec()
        option = spec.option
        option.gravity, option.timestep = [0, 0, 0], STEP
        option.integrator = mujoco.mjtIntegrator.mjINT_IMPLICITFAST
        # The corners of a facet may touch the page that carries it.
        option.disableflags |= mujoco.mjtDisableBit.mjDSBL_FILTERPARENT
        self.bodies: dict[int, mujoco.MjsBody] = {}
        tilt = (np.pi - opening) / 2
        for page, angle in ((0, tilt), (1, -tilt)):
            turn = Rotation.from_euler("y", angle)
            self.bodies[page] = spec.worldbody.add_body(name=str(page), quat=_quat(turn))
            if corners:
                self.bodies[page].add_geom(
                    type=mujoco.mjtGeom.mjGEOM_PLANE,
                    size=[10, 10, 1],
                    pos=[0, 0, -SCALE * BALL],
                    contype=0,
                    conaffinity=1,
                    condim=1,
                    **HARD,
                )
        self.tree = self._grow(corners)
        for k in range(len(linkage.hinges)):
            if k not in self.tree:
                self._tie(spec, k)
        self.model = spec.compile()
        self.data = mujoco.MjData(self.model)

    def put(self, angles: np.ndarray) -> None:
        """Set the folds, shape (H,), radians."""
        for k in range(len(angles)):
            self.data.joint(f"fold-{k}").qpos[0] = angles[k]

    def settle(self) -> np.ndarray:
        """Let go, wait until all is at rest, and read every fold, shape (H,), radians."""
        for _ in range(600):
            mujoco.mj_step(self.model, self.data, 50)
            if np.abs(self.data.qvel).max(initial=0.0) < STILL:
                break
        else:
            raise AssertionError("the engine has not come to rest")
        mujoco.mj_forward(self.model, self.data)
        return np.array([self._angle(k) for k in range(len(self.linkage.hinges))])

    @property
    def slip(self) -> float:
        """How far ties are apart and corners are inside the pages, mm."""
        ties = self.data.efc_type == mujoco.mjtConstraint.mjCNSTR_EQUALITY
        apart = np.abs(self.data.efc_pos[ties]).max(initial=0.0) / SCALE
        return max([float(apart), *(-contact.dist / SCALE for contact in self.data.contact)])

    def _grow(self, corners: bool) -> set[int]:
        """Hang every body on a fold of one that hangs already; the folds that are used."""
        used: set[int] = set()
        front = deque(self.bodies)
        while front:
            here = front.popleft()
            for k, hinge in enumerate(self.linkage.hinges):
                if here not in hinge.bodies:
                    continue
                side = hinge.bodies.index(here)
                child = hinge.bodies[1 - side]
                if child in self.bodies:
                    continue
                used.add(k)
                front.append(child)
                self.bodies[child] = self._hang(k, side, str(child))
                self._corners(child, corners)
        return used

    def _hang(self, k: int, side: int, name: str) -> mujoco.MjsBody:
        """A body on fold `k`, on that one of its two bodies."""
        hinge = self.linkage.hinges[k]
        turn = hinge.frames[side] @ hinge.frames[1 - side].T
        shift = hinge.origins[side] - turn @ hinge.origins[1 - side]
        body = self.bodies[hinge.bodies[side]].add_body(
            name=name, pos=SCALE * shift, quat=_quat(Rotation.from_matrix(turn))
        )
        body.mass, body.inertia, body.explicitinertial = 1e-3, [1e-3] * 3, True
        body.add_joint(
            name=f"fold-{k}",
            type=mujoco.mjtJoint.mjJNT_HINGE,
            pos=SCALE * hinge.origins[1 - side],
            axis=(1 - 2 * side) * hinge.frames[1 - side][:, 0],
            stiffness=hinge.stiffness * hinge.length,
            springref=np.degrees(hinge.rest),
            damping=DAMPING,
            armature=ARMATURE,
            limited=True,
            range=sorted((0.0, hinge.sign * 180.0)),
            solref_limit=HARD["solref"],
            solimp_limit=HARD["solimp"],
        )
        return body

    def _tie(self, spec: mujoco.MjSpec, k: int) -> None:
        """A fold that closes a loop: what hangs on it is a phantom of a body that hangs already."""
        body = self.linkage.hinges[k].bodies[1]
        phantom = self._hang(k, 0, f"{body}-{k}")
        tie = spec.add_equality(
            type=mujoco.mjtEq.mjEQ_WELD,
            objtype=mujoco.mjtObj.mjOBJ_BODY,
            name1=phantom.name,
            name2=str(body),
            **HARD,
        )
        # No offset between the two, no turn; metres and radians weigh alike.
        tie.data[:11] = [0, 0, 0, 0, 0, 0, 1, 0, 0, 0, 1]

    def _corners(self, body: int, wanted: bool) -> None:
        parts = [part.polygon for part in self.linkage.bodies[body].parts]
        hull = shapely.unary_union(parts).convex_hull.simplify(0.01)
        for x, y in np.asarray(hull.exterior.coords)[:-1] if wanted else ():
            self.bodies[body].add_geom(
                type=mujoco.mjtGeom.mjGEOM_SPHERE,
                size=[SCALE * BALL, 0, 0],
                pos=[SCALE * x, SCALE * y, 0],
                contype=1,
                conaffinity=0,
                condim=1,
                mass=0,
                **HARD,
            )

    def _angle(self, k: int) -> float:
        """Of a fold from where its two bodies are; 0 flat, mountains positive."""
        hinge = self.linkage.hinges[k]
        frames = [
            self.data.body(str(body)).xmat.reshape(3, 3) @ hinge.frames[side]
            for side, body in enumerate(hinge.bodies)
        ]
        turn = frames[0].T @ frames[1]
        angle = float(np.arctan2(turn[2, 1], turn[1, 1]))
        # At the end of its range a fold may give way by a trace.
        return angle + 2 * np.pi * hinge.sign if hinge.sign * angle < -np.pi / 2 else angle


def _quat(turn: Rotation) -> list[float]:
    x, y, z, w = turn.as_quat()
    return [w, x, y, z]
