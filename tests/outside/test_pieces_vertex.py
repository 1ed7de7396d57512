"""Mouths, which are folded from one flat sheet, against the theorems of a single vertex.

Sources: the theorems of Kawasaki and Justin and of Maekawa and Justin; the constant
ratio of half-angle tangents of flat-foldable degree-4 vertices: R. Foschi, T. Hull, J. Ku,
arXiv:2206.12691, and R. Lang, L. Howell, J. Mech. Robotics 10 (2018) 021004.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from meshes import spread
from meshes.spread import Spread

OPENINGS = np.array([10.0, 45.0, 90.0, 135.0, 170.0])
MOUTHS = [((30, 30), 40), ((30, 42), 40), ((15, 25), 60), ((40, 33), 25)]


def mouth(folder: Path, cut: tuple[float, float], upper: float) -> Spread:
    file = folder / "mouth.toml"
    file.write_text(
        '[pieces.m]\nkind = "mouth"\nreach = 60\nlength = 150\n'
        f"cut = {list(cut)}\nupper = {upper}\n"
    )
    return spread.read(file)


def sectors(found: Spread, names: list[str]) -> np.ndarray:
    """Angles between the folds round the lip's apex, counter-clockwise in the order of names."""
    folds = {c.fold.name: c.fold for c in found.sheets[1].crossings}
    directions = []
    for name in names:
        fold = folds[name]
        away = np.subtract(fold.end, fold.start)
        directions.append(np.arctan2(away[1], away[0]))
    turns = np.diff([*directions, directions[0] + 2 * np.pi])
    return np.degrees(np.mod(turns, 2 * np.pi))


# The crease above the lip starts at its apex, and so do the lip's own folds.
AROUND = ["crease-2", "upper-left-base", "upper-ridge", "upper-right-base"]


@pytest.mark.parametrize(("cut", "upper"), MOUTHS)
def test_sectors_alternate_to_half_a_turn(
    tmp_path: Path, cut: tuple[float, float], upper: float
) -> None:
    """Kawasaki: a flat vertex folds flat if every other sector adds to 180°."""
    angles = sectors(mouth(tmp_path, cut, upper), AROUND)
    assert angles.sum() == pytest.approx(360)
    assert angles[::2].sum() == pytest.approx(180, abs=0.01)


@pytest.mark.parametrize(("cut", "upper"), MOUTHS)
def test_mountains_and_valleys_differ_by_two(
    tmp_path: Path, cut: tuple[float, float], upper: float
) -> None:
    """Maekawa's theorem."""
    folds = {c.fold.name: c.fold for c in mouth(tmp_path, cut, upper).sheets[1].crossings}
    assert abs(sum(folds[name].sign for name in AROUND)) == 2


@pytest.mark.parametrize(("cut", "upper"), MOUTHS)
def test_half_angle_tangents_keep_their_ratio(
    tmp_path: Path, cut: tuple[float, float], upper: float
) -> None:
    """Opposite folds are equal, tan of half of one pair is a constant times that of the other."""
    found = mouth(tmp_path, cut, upper)
    motion = found.solve(np.radians(OPENINGS))
    assert motion.solved.all()
    angle = {h.name: motion.angles[:, k] for k, h in enumerate(found.linkage.hinges)}
    left, right = angle["m.upper-left-base"], angle["m.upper-right-base"]
    ridge = angle["m.upper-ridge"]
    assert left == pytest.approx(right, abs=1e-8)
    assert ridge == pytest.approx(np.pi - np.radians(OPENINGS), abs=1e-8)
    a, b = np.radians(sectors(found, AROUND)[:2])
    ratio = np.tan(np.abs(left) / 2) / np.tan(ridge / 2)
    # Crease and ridge differ in sign: mode 2, p = sin((a + b)/2) / sin((a - b)/2).
    expected = abs(np.sin((a + b) / 2) / np.sin((a - b) / 2))
    assert ratio == pytest.approx(np.full(len(OPENINGS), expected), rel=1e-6)
