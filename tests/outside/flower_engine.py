"""A layered flower on legs as a rigid-body engine knows it: bodies, hinges, springs, contacts.

MuJoCo: E. Todorov, T. Erez and Y. Tassa, A physics engine for model-based control, IROS 2012.

Every sector and leg is a body on a hinge with a spring. On each half, a page carries a leg and the
leg the sector in the middle of that half; the other sectors follow each other round from the right
half to the left, where each chain ends in a phantom of the left half's own sector. The engine ties
phantom and sector together and keeps corners off the pages, and inner corners off the planes of the
outer cone, by forces. It knows no closure equations, no symmetry and no energy.

Frames: x outward (along a page, a leg, the middle of a sector), z on the reader's side.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import mujoco
import numpy as np
from scipy.spatial.transform import Rotation

# The engine is at ease with things of about a metre: one mm of paper is a centimetre there.
SCALE = 0.01
# Corners are small balls, and what they may touch lies as much deeper, mm.
BALL = 0.5
# Half sizes of the plate that stands for the plane of a sector, mm.
PLATE = (80.0, 80.0, 1.0)
# Bits of what touches what.
PAGE, OUTER = 1, 2
# Ties and contacts, in the engine's own terms: they give way by millionths of their load.
HARD = {"solref": [0.004, 1.0], "solimp": [0.9999, 0.9999, 0.001, 0.5, 2]}
STEP, DAMPING, ARMATURE = 0.002, 20.0, 1.0


@dataclass(frozen=True)
class Legs:
    """From the flower's middle to their tops, from the crease to their feet, length, width; mm."""

    top: float
    foot: float
    length: float
    width: float


@dataclass(frozen=True)
class Cone:
    """Six equal sectors; without `legs` it is glued in the cone before. Radians, mm."""

    angle: float
    fold: float
    tip: float
    spring: float
    legs: Legs | None = None


class Flower:
    """Cones, each in the one before, over a gutter that is open by `opening` radians."""

    def __init__(self, cones: Sequence[Cone], opening: float, leg_spring: float) -> None:
        self.cones, self.leg_spring = cones, leg_spring
        self.spec = mujoco.MjSpec()
        option = self.spec.option
        option.gravity, option.timestep = [0, 0, 0], STEP
        option.integrator = mujoco.mjtIntegrator.mjINT_IMPLICITFAST
        # The corners of a sector may touch the sector that carries it.
        option.disableflags |= mujoco.mjtDisableBit.mjDSBL_FILTERPARENT
        half = opening / 2
        out = np.array([np.sin(half), 0, np.cos(half)])
        up = np.array([-np.cos(half), 0, np.sin(half)])
        right = Rotation.from_matrix(np.column_stack([out, np.cross(up, out), up]))
        for side, turn in (("right", 0.0), ("left", np.pi)):
            frame = Rotation.from_euler("z", turn) * right
            below = self.spec.worldbody.add_body(quat=_quat(frame))
            _plate(below, mujoco.mjtGeom.mjGEOM_PLANE, PAGE, 0.0)
            for k in range(len(cones)):
                below = self._middle(below, k, side)
        for k in range(len(cones)):
            self._round(k)
        self.model = self.spec.compile()
        self.data = mujoco.MjData(self.model)

    def put(self, angles: dict[str, float]) -> None:
        """Set folds by name, radians: 0 flat, positive the way they fold."""
        for name, angle in angles.items():
            self.data.joint(name).qpos[0] = angle

    def settle(self) -> dict[str, float]:
        """Let go, wait until all is at rest, and read every fold, radians."""
        for _ in range(300):
            mujoco.mj_step(self.model, self.data, 50)
            if np.abs(self.data.qvel).max() < 1e-5:
                break
        else:
            raise AssertionError("the engine has not come to rest")
        mujoco.mj_forward(self.model, self.data)
        names = [self.model.joint(k).name for k in range(self.model.njnt)]
        return {name: float(self.data.joint(name).qpos[0]) for name in names}

    @property
    def slip(self) -> float:
        """How far ties are apart (mm and radians) and corners are inside what they touch (mm)."""
        ties = self.data.efc_type == mujoco.mjtConstraint.mjCNSTR_EQUALITY
        apart = float(np.abs(self.data.efc_pos[ties]).max()) / SCALE
        return max([apart, *(-contact.dist / SCALE for contact in self.data.contact)])

    def height(self, k: int) -> float:
        """Of the middle of cone `k` over the gutter, mm."""
        return float(self.data.body(f"{k}-right").xpos[2]) / SCALE

    def _middle(self, host: mujoco.MjsBody, k: int, side: str) -> mujoco.MjsBody:
        """The sector of cone `k` in the middle of a half, on its leg or glued on `host`."""
        legs, name = self.cones[k].legs, f"{k}-{side}"
        if legs is None:
            petal = host.add_body(name=name)
        else:
            over = _quat(Rotation.from_euler("y", np.pi))
            # At angle 0 the leg lies on its host towards the crease, the petal back over the leg.
            leg = host.add_body(pos=_scaled(legs.foot, 0), quat=over)
            self._hinge(leg, f"foot-{name}", (0, 1), 0.0, self.leg_spring, legs.width)
            petal = leg.add_body(name=name, pos=_scaled(legs.length + legs.top, 0), quat=over)
            self._hinge(petal, f"top-{name}", (0, -1), legs.top, self.leg_spring, legs.width)
            _weigh(leg)
        self._paper(petal, k)
        return petal

    def _round(self, k: int) -> None:
        """Lead the other sectors of cone `k` from right to left, behind and in front."""
        cone = self.cones[k]
        for where, sense in (("behind", 1), ("front", -1)):
            last, edge = self.spec.body(f"{k}-right"), cone.angle / 2
            for j in range(3):
                turn = Rotation.from_euler("z", sense * cone.angle)
                last = last.add_body(name=f"{k}-{where}-{j}", quat=_quat(turn))
                # Outward along the fold before; behind, that lifts the new sector.
                axis = (sense * np.cos(edge), -np.sin(edge))
                self._hinge(last, f"fold-{k}-{where}-{j}", axis, 0.0, cone.spring, cone.fold)
                _weigh(last)
                if j < 2:
                    self._paper(last, k)
            tie = self.spec.add_equality(
                type=mujoco.mjtEq.mjEQ_WELD,
                objtype=mujoco.mjtObj.mjOBJ_BODY,
                name1=last.name,
                name2=f"{k}-left",
                **HARD,
            )
            # No offset between the two, no turn; metres and radians weigh alike.
            tie.data[:11] = [0, 0, 0, 0, 0, 0, 1, 0, 0, 0, 1]

    def _hinge(
        self,
        body: mujoco.MjsBody,
        name: str,
        axis: tuple[float, float],
        at: float,
        spring: float,
        length: float,
    ) -> None:
        """A fold with a spring as strong as it is long."""
        body.add_joint(
            name=name,
            type=mujoco.mjtJoint.mjJNT_HINGE,
            axis=[*axis, 0],
            pos=_scaled(at, 0),
            stiffness=length,
            springref=np.degrees(spring),
            damping=DAMPING,
            armature=ARMATURE,
        )

    def _paper(self, body: mujoco.MjsBody, k: int) -> None:
        """Corners of a sector and, of an outer one, its plane for the corners of the inner."""
        cone = self.cones[k]
        _weigh(body)
        if k + 1 < len(self.cones):
            _plate(body, mujoco.mjtGeom.mjGEOM_BOX, OUTER, PLATE[2])
        side = [(1, cone.fold), (0.55, 0.93 * cone.tip)]
        rim = [(0, 0), *side, (0, cone.tip), *((-share, radius) for share, radius in side)]
        for share, radius in rim:
            turn = share * cone.angle / 2
            body.add_geom(
                type=mujoco.mjtGeom.mjGEOM_SPHERE,
                size=[SCALE * BALL, 0, 0],
                pos=_scaled(radius * np.cos(turn), radius * np.sin(turn)),
                contype=PAGE | (OUTER if k else 0),
                conaffinity=0,
                condim=1,
                mass=0,
                **HARD,
            )


def _plate(body: mujoco.MjsBody, kind: mujoco.mjtGeom, bit: int, thick: float) -> None:
    body.add_geom(
        type=kind,
        size=np.multiply(SCALE, PLATE),
        pos=_scaled(0, 0, -BALL - thick),
        contype=0,
        conaffinity=bit,
        condim=1,
        mass=0,
        **HARD,
    )


def _weigh(body: mujoco.MjsBody) -> None:
    """A little mass; what slows a fold is the armature of its hinge."""
    body.mass, body.inertia, body.explicitinertial = 1e-3, [1e-3] * 3, True


def _scaled(x: float, y: float, z: float = 0.0) -> np.ndarray:
    return SCALE * np.array([x, y, z])


def _quat(turn: Rotation) -> list[float]:
    x, y, z, w = turn.as_quat()
    return [w, x, y, z]
