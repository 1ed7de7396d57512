"""The motion of layered flowers against figures and formulas worked out apart from the solver.

*Reference sets.* Four flowers were solved beforehand by a separate trial program (other unknowns,
other code, checked against bounded trust-region least squares to 0.005°); the tables hold its
figures. Tolerance 1e-3°, as they were printed, and 0.05° flat open, which is a limit.

*Closed form.* A flower of six sectors that is alike on both sides has one free angle, the elevation
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
WITHIN = np.array([1e-3] * 6 + [0.05])

# By layer: the fold beside the carrying petal, …, the fold over the crease; at OPENINGS, degrees.
REFERENCE = {
    "L1": {
        "outer": [
            [0, -5.8335, -13.3442, -25.8734, -26.1163, -26.2582, -26.6383],
            [-180, -140.3919, -98.5766, -53.7483, -53.0991, -52.7227, -51.7248],
        ],
        "inner": [
            [0, -8.6401, -20.1857, -44.4210, -45.1013, -45.5094, -46.6456],
            [-180, -137.0059, -90.2629, -30.4958, -29.2718, -28.5450, -26.5497],
        ],
        "bud": [
            [0, -16.1874, -43.1738, -43.9791, -43.9867, -43.9911, -44.0146],
            [-180, -121.8825, -50.7751, -49.1134, -49.0977, -49.0887, -49.0407],
        ],
    },
    "L2": {
        "outer": [
            [0, -5.7354, -13.0464, -27.0324, -33.9668, -34.7703, -35.2527],
            [-180, -141.0193, -99.9910, -50.7056, -34.9495, -33.3461, -32.4018],
        ],
        "inner": [
            [0, -13.1467, -33.8691, -42.4213, -42.5504, -42.5609, -42.5669],
            [-180, -128.0465, -65.7501, -46.7746, -46.5102, -46.4887, -46.4765],
        ],
    },
    "L3": {
        "outer": [
            [0, 0, 0, -2.1754, -5.9578, -6.5240, -11.9445],
            [0, -5.6392, -13.1417, -25.1826, -22.5923, -22.2296, -19.0740],
            [-180, -137.9132, -92.4516, -37.0202, -30.7673, -29.8940, -22.3098],
        ],
        "inner": [
            [0, 0, 0, -17.0846, -24.6820, -25.9302, -40.7812],
            [0, -10.8129, -27.1148, -23.7459, -20.1196, -19.5554, -13.0931],
            [-180, -129.6384, -69.8803, -26.5829, -18.4062, -17.2166, -6.0909],
        ],
    },
    "L4": {
        "outer": [
            [0, -2.6637, -5.9944, -11.7935, -12.6534, -12.7796, -12.8557],
            [-180, -143.2368, -105.2013, -62.8869, -58.4734, -57.8546, -57.4853],
        ],
        "inner": [
            [0, -5.6668, -13.0903, -29.7163, -33.5663, -34.2250, -34.6382],
            [-180, -138.9479, -95.0397, -36.8896, -28.0170, -26.6003, -25.7253],
        ],
    },
}
# Elevation of the carrying petals, degrees, and height of the flower's middle, mm, at OPENINGS.
RISE = {
    ("L1", "outer"): (
        [90, 73.3593, 56.5432, 41.0661, 40.8780, 40.7696, 40.4845],
        [4.84, 4.9782, 5.4266, 6.0976, 4.6509, 2.4848, 0],
    ),
    ("L1", "bud"): (
        [90, 70.5950, 51.8311, 51.5253, 51.5224, 51.5208, 51.5121],
        [8.74, 9.0199, 9.8782, 9.8089, 8.3495, 6.1761, 3.6723],
    ),
    ("L2", "inner"): (
        [90, 71.7035, 52.9900, 48.8638, 48.8140, 48.8100, 48.8077],
        [7.74, 7.9825, 8.7812, 9.0755, 8.0132, 5.9768, 3.4989],
    ),
    ("L3", "outer"): (
        [90, 73.4788, 56.7778, 39.6425, 35.8315, 35.3122, 30.9835],
        [4.58, 4.7182, 5.1711, 6.0741, 4.9435, 2.3000, 0],
    ),
    ("L4", "outer"): (
        [90, 73.5047, 56.8471, 39.8089, 38.2144, 37.9950, 37.8646],
        [4.41, 4.5371, 4.9501, 5.7580, 4.5968, 2.5126, 0.0210],
    ),
}


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


@pytest.mark.parametrize("name", REFERENCE)
def test_folds_of_the_reference_flowers(solved, name):
    spread, motion = solved(name)
    assert motion.solved.all()
    assert motion.gaps.max() < 1e-9
    found = fold_angles(spread, motion)
    for layer, rows in REFERENCE[name].items():
        half = 2 * len(rows) - 1
        for k in range(1, half + 1):
            # Petals are counted from the crease in front, the table from the carrying petal.
            row = rows[len(rows) - 1 if k == half else max(k - len(rows), len(rows) - 1 - k)]
            for fold in (k, k + half):
                off = np.abs(found[f"{layer}-fold-{fold}"] - row)
                assert (off < WITHIN).all(), (layer, fold, off)


@pytest.mark.parametrize(("name", "layer"), RISE)
def test_rise_of_the_reference_flowers(solved, name, layer):
    spread, motion = solved(name)
    elevations, heights = RISE[name, layer]
    count = sum(f.name.startswith(f"{layer}-petal") for s in spread.sheets for f in s.facets)
    carrier = f"bloom.{layer}-petal-{(count // 2 + 1) // 2}"
    body, part = spread.linkage.place(carrier)
    out = part.placement.apply([[1, 0]])[0] - part.placement.apply([[0, 0]])[0]
    slope = motion.rotations[:, body, :, :2] @ out
    found = np.degrees(np.arctan2(slope[:, 2], slope[:, 0]))
    assert (np.abs(found - elevations) < WITHIN).all()
    middle = np.append(part.placement.apply([0.0, 0.0]), 0.0)
    height = (motion.rotations[:, body] @ middle + motion.translations[:, body])[:, 2]
    assert np.abs(height - heights).max() < 1e-3


@pytest.mark.parametrize("name", REFERENCE)
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
    assert worst > -1e-6
    assert thick < 1e-6


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
    return f'name = "{name}"\nangle = {angle}\nlength = {length}\nnotch = {fold}\n{extra}'


@pytest.mark.parametrize(
    ("cones", "leg"),
    [
        ([(50, 30, 45)], (15, 10, 9.84, 5)),
        ([(50, 30, 45)], (15, 10, 9.05, 5)),
        ([(56, 24, 40)], (12, 12, 7.0, 4)),
        ([(48, 30, 45), (43, 22, 34)], (15, 10, 10.4, 5)),
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
