"""Poses of layered flowers confirmed by an independent rigid-body engine.

MuJoCo: E. Todorov, T. Erez and Y. Tassa, A physics engine for model-based control, IROS 2012. What
the engine is told is in `flower_engine`. Each flower is put together some degrees off, with every
fold disturbed by itself, and let go; where it comes to rest, it is compared fold by fold.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from tests.designs import by_day
from tests.outside.flower_by_hand import Layer, Stand, at_rest, state
from tests.outside.flower_engine import Cone, Flower, Legs
from tests.pieces.blossoms import flower, legs, read

OPENINGS = [25, 60, 95, 130, 165]
# The engine gives way by 1e-4 mm and stops when folds creep by less than 1e-5 radians a second.
WITHIN_DEG, WITHIN_MM = 0.005, 0.001
LEG_SPRING = np.radians(60)
PETAL_SPRING = np.radians(50)


def cone(angle, fold, tip, *stand):
    return Cone(np.radians(angle), fold, tip, PETAL_SPRING, Legs(*stand) if stand else None)


# Fold and petal length, top, foot, length and width of the legs: our own choice. The cones open
# flat because the page limit of each pair of legs lies above the cone limit of what they carry.
FLOWERS = {
    "on legs": [cone(54, 31, 43, 14, 9.5, 8.2, 8), cone(44, 21, 31, 10.5, 6.5, 8.1, 5)],
    "three": [
        cone(53, 30, 44, 14, 8.5, 9.6, 7),
        cone(48, 23, 35),
        cone(41, 15, 23, 8.5, 6.2, 7, 4.4),
    ],
}


def design(cones):
    """The same flower as a design, its legs through the slits of a flat layer on both pages."""
    layers = ['name = "base"\nstand = "flat"\nlength = 55']
    for k, one in enumerate(cones):
        stand = 'stand = "glued"'
        if one.legs is not None:
            tall = one.legs
            stand = 'stand = "legs"\n' + legs(tall.top, tall.foot, tall.length, tall.width / 2)
        layers.append(
            f'name = "cone-{k}"\nangle = {np.degrees(one.angle)}\nlength = {one.tip}\n'
            f"parting = {one.fold}\n{stand}"
        )
    return flower("profile = [[0.55, 0.93], [0, 1]]", *layers)


@pytest.fixture(scope="module")
def solved(tmp_path_factory):
    @cache
    def solve(name):
        spread = read(tmp_path_factory.mktemp("flower"), design(FLOWERS[name]))
        assert not spread.warnings
        flat = [part for body in spread.linkage.bodies[:2] for part in body.parts]
        assert sum(len(part.facet.polygon.interiors) for part in flat) == 2
        names = [hinge.name.removeprefix("bloom.") for hinge in spread.linkage.hinges]
        motion = spread.solve(np.radians(OPENINGS))
        assert motion.solved.all()
        body, _ = spread.linkage.place("bloom.cone-0-petal-2")
        return dict(zip(names, motion.angles.T, strict=True)), motion.translations[:, body, 2]

    return solve


def start(cones, opening, off):
    """Folds of a pose that closes, `off` above the one of least energy when each cone is alone."""
    found, book = {}, opening
    for k, one in enumerate(cones):
        layer = Layer(one.angle, one.angle, one.fold, one.tip)
        if one.legs is not None:
            legs = one.legs
            stand = Stand(legs.top, legs.foot, legs.length)
            within = [layer] + [
                Layer(c.angle, c.angle, c.fold, c.tip) for c in cones[k + 1 :] if c.legs is None
            ]
            psi = at_rest(within, stand, legs.width / 2, one.spring, book).psi + off
            here = state([layer], stand, psi, book)
            for side in ("right", "left"):
                found[f"foot-{k}-{side}"], found[f"top-{k}-{side}"] = -here.foot, here.top
            # The carrying sectors are the pages of the book that the next cone stands in.
            book = np.pi - 2 * psi
        lateral, mirror = state([layer], stand, psi, opening).folds[0]
        for where in ("behind", "front"):
            for j, angle in enumerate((lateral, mirror, lateral)):
                found[f"fold-{k}-{where}-{j}"] = -angle
    return found


def ours(folds, k, stage):
    """Our folds under the engine's names, positive the way they fold."""
    sectors = {"behind": (2, 3, 4), "front": (1, 6, 5)}
    found = {
        f"fold-{k}-{where}-{j}": -folds[f"cone-{k}-fold-{number}"][stage]
        for where, numbers in sectors.items()
        for j, number in enumerate(numbers)
    }
    for side in ("right", "left"):
        if f"cone-{k}-leg-{side}-lower" in folds:
            found[f"foot-{k}-{side}"] = -folds[f"cone-{k}-leg-{side}-lower"][stage]
            found[f"top-{k}-{side}"] = folds[f"cone-{k}-leg-{side}-upper"][stage]
    return found


@pytest.mark.parametrize(
    "stage", by_day(range(len(OPENINGS)), (0, 2, 4)), ids=[f"{at}°" for at in OPENINGS]
)
@pytest.mark.parametrize("name", FLOWERS)
def test_a_layered_flower_settles_where_it_is_solved(solved, name, stage):
    cones, opening = FLOWERS[name], np.radians(OPENINGS[stage])
    folds, heights = solved(name)
    engine = Flower(cones, opening, LEG_SPRING)
    noise = np.random.default_rng(stage)
    begin = start(cones, opening, np.radians(3))
    engine.put({fold: angle + np.radians(noise.uniform(-1, 1)) for fold, angle in begin.items()})
    found = engine.settle()
    assert engine.slip < WITHIN_MM
    expected = {key: v for k in range(len(cones)) for key, v in ours(folds, k, stage).items()}
    assert expected.keys() == found.keys()
    off = {key: float(np.degrees(abs(found[key] - expected[key]))) for key in found}
    # It did move: the start is no answer.
    assert max(np.degrees(abs(begin[key] - found[key])) for key in found) > 2
    assert max(off.values()) < WITHIN_DEG, off
    assert engine.height(0) == pytest.approx(heights[stage], abs=WITHIN_MM)
