"""How a sheet is folded whose folds form rings, as round a corner inside the paper.

One angle then follows from the others. From the solved form the folds are opened little by little;
each time the angles nearest to their share of the way are sought at which the rings close.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from meshes.check.poses import rotation_of, vector_of

if TYPE_CHECKING:
    from .figures import Figures

# Steps from folded to flat; rounds of Newton's method at each; what may stay open, mm; how far the
# ends of a turn weigh, mm; step of the differences, radians. Our choice.
_STEPS, _ROUNDS, _OPEN_MM, _ARM_MM, _NUDGE = 36, 12, 0.02, 20.0, 1e-6
# Damping of the steps, which the flat sheet needs: there every ring closes twice over.
_DAMPING = 1e-6


@dataclass(frozen=True)
class Unfolding:
    """Angles on the way from flat to folded.

    Parameters
    ----------
    shares : of the way, ascending, shape (S,).
    turns : how much more each fold is turned than in the solved form, shape (S, n), radians.
    gap : the most that a ring stays open, mm.
    """

    shares: np.ndarray
    turns: np.ndarray
    gap: float

    @property
    def bends(self) -> bool:
        """Whether the paper must bend on the way, as no angles close all rings."""
        return self.gap > _OPEN_MM

    def more(self, share: float) -> np.ndarray:
        """How much more each fold is turned at a share of the way, shape (n,), radians."""
        from scipy.interpolate import PchipInterpolator

        found: np.ndarray = PchipInterpolator(self.shares, self.turns)(share)
        return found

    @staticmethod
    def of(figures: Figures, sheet: int, opening: float) -> Unfolding:
        """The way of a sheet of a spread to its form at an opening, radians."""
        folded = np.array([figures.angle(k, opening) for k in figures.folds_of(sheet)])
        rings = _Rings(figures, sheet, opening)
        shares = np.linspace(1.0, 0.0, _STEPS + 1)
        angles, turns, worst = folded.copy(), [np.zeros(len(folded))], 0.0
        for before, share in itertools.pairwise(shares):
            if share == 0.0:
                turns.append(-folded)
                break
            # Round a corner of four folds the tangents of half the angles keep their ratios.
            ratio = np.tan(np.pi / 4 * share) / np.tan(np.pi / 4 * before)
            guess = 2 * np.arctan(np.tan(np.clip(angles, -3.1, 3.1) / 2) * ratio)
            angles, gap = rings.closed(guess, folded)
            worst = max(worst, gap)
            turns.append(angles - folded)
        return Unfolding(shares[::-1].copy(), np.array(turns[::-1]), worst)


class _Rings:
    """What fails to close at given angles of the folds of a sheet."""

    def __init__(self, figures: Figures, sheet: int, opening: float) -> None:
        self.figures, self.sheet = figures, sheet
        self.pose = figures.solved(opening)
        self.folds = figures.folds_of(sheet)
        tree = {row for row, *_ in figures.tree(sheet)}
        self.chords = [row for row in range(len(self.folds)) if row not in tree]

    def misses(self, more: np.ndarray) -> np.ndarray:
        """How far each ring is from closed, shape (6 c,), mm."""
        moved = self.figures.turned(self.sheet, more, self.pose)
        found = []
        for row in self.chords:
            crease = self.figures.creases[self.folds[row]]
            axis, point = self.figures.line(self.folds[row], self.pose)
            spin = rotation_of(axis * more[row])
            (turn, shift), (there, place) = moved[crease.left], moved[crease.right]
            wanted = turn @ spin
            at = turn @ point + shift
            found += [_ARM_MM * vector_of(wanted.T @ there), there @ point + place - at]
        return np.concatenate(found)

    def closed(self, angles: np.ndarray, folded: np.ndarray) -> tuple[np.ndarray, float]:
        """The nearest angles that close all rings, and what stays open, mm."""
        more = angles - folded
        for _ in range(_ROUNDS):
            misses = self.misses(more)
            if np.abs(misses).max() < _OPEN_MM / 100:
                break
            slopes = np.empty((len(misses), len(more)))
            for k in range(len(more)):
                nudged = more.copy()
                nudged[k] += _NUDGE
                slopes[:, k] = (self.misses(nudged) - misses) / _NUDGE
            square = slopes @ slopes.T
            damping = _DAMPING * max(float(np.trace(square)), 1e-12)
            more = more - slopes.T @ np.linalg.solve(square + damping * np.eye(len(square)), misses)
        return more + folded, float(np.abs(self.misses(more)).max())
