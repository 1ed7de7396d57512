"""Curled paper against the geometry of the cylinder.

Sources: the theorema egregium (Gauss 1827: bending keeps lengths and curvature, so that of bent
paper is nought and the angles round a point add up to a full turn); the circle through points by
least squares (Kåsa 1976); the helix, which is the straight line of a cylinder's development;
curvature as one over radius, of which a share stays.
"""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from meshes.curl import bent
from meshes.spread import Spread
from tests.curl.designs import WAVE, paper_at, written

# Piece, facet, entry and what it is rolled over and keeps: as the design says.
CURLS = {"wave.right": (9.0, 0.5), "wave.left": (14.0, 0.5), "leaf.art": (20.0, 0.6)}


@pytest.fixture(scope="module")
def spread(tmp_path_factory: pytest.TempPathFactory) -> Spread:
    return written(WAVE, tmp_path_factory.mktemp("curl"))


def circle(points: np.ndarray) -> tuple[float, float]:
    """Radius of the circle through points (n, 2) by least squares, and how far they are off it."""
    system = np.column_stack([2 * points, np.ones(len(points))])
    (x, y, c), *_ = np.linalg.lstsq(system, (points**2).sum(axis=1), rcond=None)
    radius = float(np.sqrt(c + x * x + y * y))
    return radius, float(np.abs(np.hypot(*(points - [x, y]).T) - radius).max())


@pytest.mark.parametrize("facet", CURLS)
def test_the_borders_lie_on_a_cylinder_of_the_radius_that_is_left(
    spread: Spread, facet: str
) -> None:
    paper, shares = spread.curling
    over, kept = CURLS[facet]
    assert shares.shares[:, -1] == pytest.approx(1.0)
    seen = bent(spread, spread.solve(np.array([np.pi])))
    first = len(paper.linkage.bodies) - len(paper.parents)
    borders = []
    for j, body in enumerate(paper.linkage.bodies[first:]):
        if f"{body.parts[0].sheet.piece}.{body.parts[0].facet.strip_of}" != facet:
            continue
        flat = paper.origins[j] + paper.place[j] * paper.width[j] * paper.frames[j][:, 1]
        turn, shift = seen.motion.rotations[0, first + j], seen.motion.translations[0, first + j]
        ends = np.stack([flat, flat + paper.width[j] * paper.frames[j][:, 1]])
        borders.append(ends @ turn.T + shift)
        axis = turn @ paper.frames[j][:, 0]
    points = np.concatenate(borders)
    # A strip ends where the next one begins.
    assert np.abs(points[1:-1:2] - points[2::2]).max() < 1e-9
    across = np.linalg.svd(axis[None])[2][1:]
    radius, off = circle(points @ across.T)
    caliper = next(s.paper.caliper for s in spread.sheets if facet.startswith(f"{s.piece}."))
    assert radius == pytest.approx((over + caliper) / 2 / kept, rel=1e-3)
    assert off < 1e-6


@pytest.mark.parametrize("facet", CURLS)
@pytest.mark.parametrize("share", [0.0, 0.37, 1.0])
def test_lengths_and_angles_on_the_paper_stay(spread: Spread, facet: str, share: float) -> None:
    paper, _ = spread.curling
    strips = [
        j
        for j, body in enumerate(paper.linkage.bodies[-len(paper.parents) :])
        if f"{body.parts[0].sheet.piece}.{body.parts[0].facet.strip_of}" == facet
    ]
    frame, origin = paper.frames[strips[0]], paper.origins[strips[0]]
    width, count = paper.width[strips[0]], len(strips)
    shares = np.full((len(paper.entries), 1), share)
    turns, shifts = paper.bends(shares)

    def placed(u: np.ndarray, v: np.ndarray) -> np.ndarray:
        """Points of the flat sheet, u along the line and v beyond it, where they are bent to."""
        strip = np.clip((v / width - 1e-9).astype(int), 0, count - 1)
        flat = origin + u[..., None] * frame[:, 0] + v[..., None] * frame[:, 1]
        which = np.array(strips)[strip]
        return np.einsum("...ij,...j->...i", turns[0][which], flat) + shifts[0][which]

    # A net of triangles whose corners lie on the borders: it is the mesh itself.
    u, v = np.meshgrid(np.arange(0.0, 20.0, 2.5), width * np.arange(count + 1), indexing="ij")
    net, flat = placed(u, v), np.stack([u, v], axis=-1)
    for step in ((1, 0), (0, 1), (1, 1)):
        near = (slice(None, -step[0] or None), slice(None, -step[1] or None))
        far = (slice(step[0], None), slice(step[1], None))
        bent_lengths = np.linalg.norm(net[far] - net[near], axis=-1)
        flat_lengths = np.linalg.norm(flat[far] - flat[near], axis=-1)
        assert np.abs(bent_lengths - flat_lengths).max() < 1e-6
    around = [(1, 0), (1, 1), (0, 1), (-1, 0), (-1, -1), (0, -1), (1, 0)]
    middle = net[1:-1, 1:-1]
    rays = [
        net[1 + a : net.shape[0] - 1 + a, 1 + b : net.shape[1] - 1 + b] - middle for a, b in around
    ]
    total = 0.0
    for one, two in pairwise(rays):
        cross = np.linalg.norm(np.cross(one, two), axis=-1)
        total = total + np.arctan2(cross, (one * two).sum(axis=-1))
    assert np.abs(total - 2 * np.pi).max() < 1e-9
    # Straight lines of the sheet, stepwise finely, keep their lengths on the mesh.
    random = np.random.default_rng(5)
    for _ in range(20):
        a, b = (random.uniform([0, 0], [17.5, width * count]) for _ in range(2))
        cuts = (np.arange(count + 1) * width - a[1]) / (b[1] - a[1])
        steps = np.unique(np.clip(np.concatenate([np.linspace(0, 1, 50), cuts]), 0, 1))
        line = a + steps[:, None] * (b - a)
        way = placed(line[:, 0], line[:, 1])
        assert np.linalg.norm(np.diff(way, axis=0), axis=1).sum() == pytest.approx(
            np.linalg.norm(b - a), abs=1e-6
        )


def test_the_mesh_is_as_far_from_the_true_cylinder_as_the_sagitta(spread: Spread) -> None:
    paper, _ = spread.curling
    # The arc over a chord w of a circle of radius r is w² / 8 r away, to first order.
    assert (paper.width**2 / (8 * paper.radius)).max() <= 0.0301
    # The arc is longer than its chord by the cube of their angle over 24.
    assert (paper.width**2 / (24 * paper.radius**2)).max() <= np.radians(9.0) ** 2 / 24 + 1e-12


def test_shut_pages_press_it_flat(spread: Spread) -> None:
    for points in paper_at(spread, 0.0).values():
        # All paper lies parallel to the shut pages, which stand on x = 0.
        assert np.ptp(points[:, 0]) < 1e-9


def test_what_is_rolled_towards_the_back_is_the_mirror_image(tmp_path: Path) -> None:
    base = (
        WAVE.partition("[pieces.leaf]")[0]
        + '[pieces.leaf]\nkind = "arm"\non = "wave.left"\nside = "back"\nx = -40\ny = 40\n'
        'length = 40\nwidth = 8\nglue = 8\npaper = "card"\n'
        'curl = [{ facet = "arm", line = [[-4, 22], [4, 22]], over = 20, towards = "WAY" }]\n'
    )
    heights = []
    for way in ("front", "back"):
        one = written(base.replace("WAY", way), tmp_path)
        paper, _ = one.curling
        entry = paper.entries.index(("leaf", 1))
        strip = int(np.flatnonzero(paper.entry == entry)[-1])
        point = paper.origins[strip] + 15.0 * paper.frames[strip][:, 1]
        (place,) = paper.bend(strip, point[None], np.array([1.0]))[0]
        heights.append(place - paper.origins[strip])
    assert heights[0][:2] == pytest.approx(heights[1][:2])
    assert heights[0][2] == pytest.approx(-heights[1][2])
    assert abs(heights[0][2]) > 3.0
