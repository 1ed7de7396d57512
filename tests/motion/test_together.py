"""Free paper that touches comes to rest together: paper knows nothing of the order of tables."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from shapely.geometry import box

from meshes.motion.order import Order
from meshes.motion.solve import solve
from meshes.sheet import Fold, Placement
from tests.specimens import Ground, Pile, carrier

OPENINGS = np.radians(np.arange(0.0, 181.0, 15.0))
DEPTH = 30.0


def flap(pile, name, rest_deg, hinge, at, length, width, right):
    """A flap on a page, `hinge` from the gutter, that leans over it when it is pressed down."""
    fold = Fold("fold", (10.0, 0.0), (10.0, width), -1, np.radians(rest_deg))
    labels = {"tab": (5.0, width / 2), "leaf": (15.0, width / 2)}
    pile.add(name, box(0, 0, 10 + length, width), [fold], labels)
    page = pile.gutter.right if right else pile.gutter.left
    ends = [(hinge, at + width), (hinge, at)] if right else [(-hinge, at), (-hinge, at + width)]
    pile.glue(f"{name}.tab", page, [(10, 0), (10, width)], ends)


def heap(specs):
    pile = Pile()
    for spec in specs:
        if spec == "wall":
            carrier(pile, "wall", pile.gutter, 40, 60.0, 25.0, 40)
        else:
            flap(pile, *spec)
    return pile


def random_specs(seed):
    """Two or three flaps that cross each other, now and then one of them a determined wall."""
    random = np.random.default_rng(seed)
    specs = [
        (
            f"flap-{k}",
            random.uniform(10, 90),
            random.uniform(8, 45),
            random.uniform(30, 60),
            random.uniform(20, 55),
            random.uniform(15, 40),
            bool(random.integers(2)),
        )
        for k in range(random.integers(2, 4))
    ]
    return ["wall", *specs[1:]] if random.random() < 0.4 else specs


def told(pile):
    """Fold angles by name (degrees), and what is told."""
    linkage = pile.linkage
    motion = solve(linkage, OPENINGS)
    names = [hinge.name for hinge in linkage.hinges]
    findings = [(f.kind, f.fold, f.obstacle, f.reason) for f in motion.findings]
    return dict(zip(names, np.degrees(motion.angles).T, strict=True)), findings


@pytest.mark.parametrize("seed", [2, 3, 11, 14])
def test_the_order_of_tables_decides_nothing(seed):
    specs = random_specs(seed)
    angles, findings = told(heap(specs))
    assert any(np.abs(path + specs[k][1])[1:].max() > 1 for k, path in _leant(specs, angles))
    for order in list(itertools.permutations(specs))[1::2]:
        others, same = told(heap(order))
        assert same == findings
        for name, path in angles.items():
            np.testing.assert_allclose(others[name], path, atol=0.05)


def _leant(specs, angles):
    return [(k, angles[f"{spec[0]}.fold"]) for k, spec in enumerate(specs) if spec != "wall"]


def segments(hinge, angles, opening, sign):
    """Flaps in the plane square to the gutter: hinges and tips, shape (n, 2)."""
    page = (np.pi - opening) / 2
    out = np.array([sign * np.cos(page), np.sin(page)])
    up = np.array([-sign * np.sin(page), np.cos(page)])
    foot = np.tile(hinge * out, (len(angles), 1))
    return foot, foot + DEPTH * (np.outer(np.sin(angles), up) - np.outer(np.cos(angles), out))


def turn(a, b, c):
    """Twice the area of the triangle a b c, with its sign."""
    return (b - a)[..., 0] * (c - a)[..., 1] - (b - a)[..., 1] * (c - a)[..., 0]


def least(rest, hinge, opening):
    """Least energy of two equal flaps that lean across the gutter, by brute force over both angles.

    Two segments cross where each has its ends on both sides of the other.
    """
    grid = np.radians(np.arange(0.0, 180.0, 0.25))
    a, b = (part[:, None] for part in segments(hinge, grid, opening, 1))
    c, d = segments(hinge, grid, opening, -1)
    crossed = (turn(a, b, c) * turn(a, b, d) < 0) & (turn(c, d, a) * turn(c, d, b) < 0)
    height = (segments(hinge, grid, opening, 1)[1] @ _up(opening, -1)) < 0
    low = height[:, None] | height[None, :]
    energy = 0.5 * ((grid[:, None] - rest) ** 2 + (grid - rest) ** 2)
    return float(np.where(crossed | low, np.inf, energy).min())


def _up(opening, sign):
    page = (np.pi - opening) / 2
    return np.array([-sign * np.sin(page), np.cos(page)])


def leaning(rest, hinge, openings):
    specs = [(name, rest, hinge, 60, DEPTH, 20, right) for name, right in (("a", 1), ("b", 0))]
    return solve(heap(specs).linkage, openings)


def test_two_flaps_that_lean_on_each_other_have_the_least_energy_that_both_can_have():
    rest, hinge, openings = 35.0, 16.0, np.radians([60.0, 90.0, 120.0])
    motion = leaning(rest, hinge, openings)
    assert motion.solved.all()
    for opening, angles in zip(openings, -motion.angles, strict=True):
        energy = 0.5 * ((angles - np.radians(rest)) ** 2).sum()
        assert energy == pytest.approx(least(np.radians(rest), hinge, opening), abs=0.002)


def test_a_flap_caught_under_another_is_told_to_jam_where_its_tip_meets_the_others_hinge():
    """The lower flap lies on the page opposite: hinges and gutter make an isosceles triangle."""
    hinge = 22.0
    motion = leaning(10.0, hinge, OPENINGS[::4])
    (finding,) = motion.findings
    assert (finding.kind, finding.fold, finding.obstacle) == ("jam", "a.fold", "b")
    assert np.sin(finding.opening / 2) == pytest.approx(DEPTH / 2 / hinge, abs=1e-4)


# A bench of paper stands free on the page, this high, and a flap on it leans over a low wall.
BENCH, WALL = 5.0, 15.0


def benched():
    pile = Pile()
    carrier(pile, "wall", pile.gutter, 40, 60.0, WALL, 40)
    edges = np.cumsum([10.0, BENCH, 30.0, BENCH])
    folds = [
        Fold(f"fold-{k}", (x, 0.0), (x, 40.0), sign)
        for k, (x, sign) in enumerate(zip(edges.tolist(), (-1, 1, 1, -1), strict=True))
    ]
    names = ("foot", "side", "top", "other-side", "other-foot")
    labels = {name: (x + 2.0, 20.0) for name, x in zip(names, (0.0, *edges), strict=True)}
    pile.add("bench", box(0, 0, float(edges[-1]) + 10, 40), folds, labels)
    for foot, x, hinge in (("foot", edges[0], 105.0), ("other-foot", edges[3], 75.0)):
        here, there = [(x, 0), (x, 40)], [(hinge, 80), (hinge, 40)]
        pile.glue(f"bench.{foot}", pile.gutter.right, here, there)
    fold = Fold("fold", (10.0, 0.0), (10.0, 20.0), -1, np.radians(20))
    pile.add("flap", box(0, 0, 40, 20), [fold], {"tab": (5.0, 10.0), "leaf": (15.0, 10.0)})
    top = Ground("bench.top", Placement())
    pile.glue("flap.tab", top, [(10, 0), (10, 20)], [(40.0, 10.0), (40.0, 30.0)])
    return pile


def test_what_a_flap_stands_on_gives_way_and_lets_all_of_it_close():
    """Bench and flap lie flat between closed pages, so nothing but a stiff bench could jam."""
    motion = solve(benched().linkage, OPENINGS)
    assert motion.findings == ()
    assert motion.solved.all()
    assert np.abs(motion.translations[0, :, 0]).max() < 0.01


def test_a_flap_that_leans_presses_on_what_it_stands_on():
    """Seen along the gutter from the right page, the wall stands as steep as the left page and the
    flap lies on its top, so the lean of the bench's sides gives the flap's angle. Of all leans the
    one of least energy is tried for by brute force; its folds are twice as long as the flap's.
    """  # fmt: skip
    openings = np.radians([50.0, 60.0, 70.0])
    linkage = benched().linkage
    names = [hinge.name for hinge in linkage.hinges]
    motion = solve(linkage, openings)
    lean = np.radians(np.arange(85, 95, 0.001))
    for opening, angles in zip(openings, np.degrees(np.abs(motion.angles)), strict=True):
        hinge = 80 - BENCH * np.cos(lean), BENCH * np.sin(lean)
        top = 60 + WALL * np.cos(opening), WALL * np.sin(opening)
        flap = np.arctan2(top[1] - hinge[1], hinge[0] - top[0])
        energy = 4 * 2 * (lean - np.pi / 2) ** 2 + (flap - np.radians(20)) ** 2
        least = int(np.argmin(energy))
        found = dict(zip(names, angles.tolist(), strict=True))
        assert found["bench.fold-0"] == pytest.approx(np.degrees(lean[least]), abs=0.005)
        assert found["flap.fold"] == pytest.approx(np.degrees(flap[least]), abs=0.005)
        assert abs(found["bench.fold-0"] - 90) > 0.1


def test_numbers_by_name_are_those_of_any_other_order():
    specs = random_specs(3)
    one, two = (Order.of(heap(order).linkage) for order in (specs, specs[::-1]))
    assert [h.name for h in one.linkage.hinges] == [h.name for h in two.linkage.hinges]
    for mine, theirs in zip(one.linkage.bodies, two.linkage.bodies, strict=True):
        assert {part.id for part in mine.parts} == {part.id for part in theirs.parts}
