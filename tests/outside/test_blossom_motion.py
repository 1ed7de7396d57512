"""The motion of layered flowers against formulas worked out apart from the solver.

A flower of six sectors that is alike on both sides has one free angle, the elevation
psi of its carrying petals. Everything else follows from the planar law of cosines (the triangle of
crease, foot and top of a leg) and the spherical law of cosines (edge of the carrying petal, fold
over the crease, upward direction; I. Todhunter, Spherical Trigonometry, art. 37). Least energy is
found by trying all psi at which no corner is below a page. Nothing of `meshes.motion` is used.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest

from tests.pieces.blossoms import SETS, STRAIGHT, flower, legs, read

OPENINGS = np.radians([0, 30, 60, 90, 120, 150, 180])


@pytest.fixture(scope="module")
def solved(tmp_path_factory):
    done = {}

    def solve(name):
        if name not in done:
            spread = read(tmp_path_factory.mktemp(name), SETS[name])
            done[name] = spread, spread.solve(OPENINGS)
        return done[name]

    return solve


def fold_angles(spread, motion):
    return {
        hinge.name.removeprefix("bloom."): np.degrees(motion.angles[:, k])
        for k, hinge in enumerate(spread.linkage.hinges)
    }


@pytest.mark.parametrize("name", SETS)
def test_no_vertex_is_below_a_page_and_the_closed_flower_is_flat(solved, name):
    spread, motion = solved(name)
    worst, thick = 0.0, 0.0
    for k, body in enumerate(spread.linkage.bodies):
        corners = np.concatenate([np.asarray(p.polygon.exterior.coords) for p in body.parts])
        points = np.column_stack([corners, np.zeros(len(corners))])
        moved = points @ motion.rotations[:, k].transpose(0, 2, 1) + motion.translations[:, k, None]
        for side in (1, -1):
            half = OPENINGS / 2
            normal = np.column_stack([-side * np.cos(half), 0 * half, np.sin(half)])
            # At 0 both pages are one plane and every corner lies in it.
            worst = min(worst, float(np.einsum("sx,spx->sp", normal, moved)[1:].min()))
        thick = max(thick, float(np.abs(moved[0, :, 0]).max()))
    # A hundred-thousandth of a millimetre: paper is ten thousand times as thick.
    assert worst > -1e-5
    assert thick < 1e-5


# Closed form


@dataclass(frozen=True)
class Cone:
    """Six sectors: the carrying ones 2 lam wide, the others side; radians and mm."""

    lam: float
    side: float
    fold: float
    length: float

    def corners(self, width):
        turn = width * np.array([-0.5, -0.275, 0, 0.275, 0.5])
        radius = np.array(
            [self.fold, 0.93 * self.length, self.length, 0.93 * self.length, self.fold]
        )
        return turn, radius


@dataclass(frozen=True)
class Shape:
    """Directions and angles of a cone whose carrying petals rise to psi (arrays)."""

    edge: np.ndarray
    over: np.ndarray
    carrier: np.ndarray
    wing: np.ndarray
    beside: np.ndarray
    across: np.ndarray

    @classmethod
    def of(cls, cone, psi):
        c, s = np.cos(psi), np.sin(psi)
        edge = np.stack([np.cos(cone.lam) * c, np.sin(cone.lam) + 0 * c, np.cos(cone.lam) * s], -1)
        # cos side = edge · (0, cos mu, sin mu) = |projection| cos(mu - its own elevation)
        flat = np.hypot(edge[..., 1], edge[..., 2])
        turn = np.arccos(np.clip(np.cos(cone.side) / flat, -1, 1))
        mu = np.where(
            np.cos(cone.side) <= flat, np.arctan2(edge[..., 2], edge[..., 1]) - turn, np.nan
        )
        over = np.stack([0 * mu, np.cos(mu), np.sin(mu)], -1)
        carrier = np.stack([-s, 0 * s, c], -1)
        wing = np.cross(edge, over)
        wing /= np.linalg.norm(wing, axis=-1, keepdims=True)
        beside = -np.arccos(np.clip((carrier * wing).sum(-1), -1, 1))
        mirrored = wing * [-1, 1, 1]
        across = -np.arccos(np.clip((wing * mirrored).sum(-1), -1, 1))
        return cls(edge, over, carrier, wing, beside, across)

    def points(self, cone):
        """Corners of the wing behind on the right and of the carrying petal, from the middle."""
        turn, radius = cone.corners(cone.side)
        turn = turn + cone.side / 2
        inward = self.over - self.edge * np.cos(cone.side)
        inward /= np.sin(cone.side)
        wing = radius[:, None] * (
            np.cos(turn)[:, None] * self.edge[..., None, :]
            + np.sin(turn)[:, None] * inward[..., None, :]
        )
        turn, radius = cone.corners(2 * cone.lam)
        fall = np.stack([self.carrier[..., 2], 0 * self.carrier[..., 0], -self.carrier[..., 0]], -1)
        petal = radius[:, None] * (
            np.cos(turn)[:, None] * fall[..., None, :] + np.sin(turn)[:, None] * [0.0, 1.0, 0.0]
        )
        return wing, petal


def energy(cone, shape, rest):
    return cone.fold * ((shape.beside + rest) ** 2 * 4 + (shape.across + rest) ** 2 * 2) / 2


def least_energy(theta, cones, leg):
    """psi and the fold angles (beside, across) of each cone; legs have rest angles of 60°."""
    top, foot, length, half_width = leg
    low, high = 0.0, np.pi / 2
    page = np.array([np.sin(theta / 2), np.cos(theta / 2)])
    for _ in range(6):
        psi = np.linspace(low, high, 4001)
        across = top * np.cos(psi) - foot * page[0]
        with np.errstate(invalid="ignore"):
            rise = np.sqrt(length**2 - across**2)
        height = foot * page[1] - top * np.sin(psi) + rise
        leg_up = np.stack([across, rise], -1) / length
        upper = np.arccos(np.clip(-leg_up[:, 0] * np.cos(psi) - leg_up[:, 1] * np.sin(psi), -1, 1))
        lower = -np.arccos(np.clip(-leg_up @ page, -1, 1))
        third = np.pi / 3
        total = 2 * half_width * ((upper - third) ** 2 + (lower + third) ** 2)
        shapes = [Shape.of(cone, psi) for cone in cones]
        free = np.isfinite(height)
        for cone, shape in zip(cones, shapes, strict=True):
            total = total + energy(cone, shape, np.radians(50))
            free &= np.isfinite(shape.across)
            for points in shape.points(cone):
                x, z = points[..., 0], points[..., 2] + height[:, None]
                for side in (1, -1):
                    free &= (page[0] * z - side * page[1] * x).min(-1) > -1e-9
        for outer, inner, inner_cone in zip(shapes, shapes[1:], cones[1:], strict=False):
            wing, _ = inner.points(inner_cone)
            for mirror in ([1, 1, 1], [1, -1, 1], [-1, 1, 1], [-1, -1, 1]):
                for normal in (outer.wing, outer.carrier):
                    free &= (wing * ((normal * mirror)[:, None])).sum(-1).min(-1) > -1e-9
        total = np.where(free, total, np.inf)
        best = int(np.argmin(total))
        step = psi[1] - psi[0]
        low, high = max(0.0, psi[best] - 2 * step), min(np.pi / 2, psi[best] + 2 * step)
    return np.degrees(psi[best]), [
        (np.degrees(s.beside[best]), np.degrees(s.across[best])) for s in shapes
    ]


def six(angle, fold, length):
    a = np.radians(angle)
    return Cone(a / 2, a, fold, length)


def layer(name, angle, fold, length, extra=""):
    return f'name = "{name}"\nangle = {angle}\nlength = {length}\nparting = {fold}\n{extra}'


@pytest.mark.parametrize(
    ("cones", "leg"),
    [
        ([(52, 29, 43)], (14, 9.5, 9.2, 4.5)),
        ([(51, 38, 45)], (14, 9.5, 8.2, 4.5)),
        ([(56, 24, 40)], (12, 12, 7.0, 4)),
        ([(48, 29, 43), (43, 21, 33)], (14, 9.5, 10, 4.5)),
    ],
)
def test_a_flower_alike_on_both_sides_against_its_closed_form(tmp_path, cones, leg):
    openings = [20, 45, 75, 90, 110, 140, 165]
    layers = [
        layer(f"layer-{k}", *cone, extra="" if k else legs(*leg)) for k, cone in enumerate(cones)
    ]
    spread = read(tmp_path, flower(STRAIGHT, *layers))
    motion = spread.solve(np.radians(openings))
    assert motion.solved.all()
    found = fold_angles(spread, motion)
    for s, opening in enumerate(openings):
        _, wanted = least_energy(np.radians(opening), [six(*cone) for cone in cones], leg)
        for k, (beside, across) in enumerate(wanted):
            assert found[f"layer-{k}-fold-1"][s] == pytest.approx(beside, abs=1e-3)
            assert found[f"layer-{k}-fold-4"][s] == pytest.approx(beside, abs=1e-3)
            assert found[f"layer-{k}-fold-3"][s] == pytest.approx(across, abs=1e-3)
