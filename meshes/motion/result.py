"""What the solver returns: poses, fold angles and findings over the opening."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np


@dataclass(frozen=True)
class MotionFinding:
    """Something the solver must tell about the motion.

    Parameters
    ----------
    kind : ``jam`` (the motion stops short; if an `obstacle` stops it, the poses are those of paper
        that passes through that), ``snap`` (a sudden move), ``cannot-assemble`` (no pose fits the
        fold directions at any opening), ``two-branches`` (a second pose exists past a stop),
        ``not-followed`` (how free paper gets past other paper was given up as too much work; the
        poses are those of paper that passes through it).
    opening : where, radians.
    fold : ``piece.fold`` that is worst off.
    gap : by how much the paper fails to meet, mm: where it comes nearest if it cannot be
        assembled, at the end of the travel if it jams on the way there.
    reason : one line for a person.
    obstacle : the piece whose paper is in the way, if that is the cause.
    cause : of a jam, else empty: the fold is ``pulled`` flat (angle 0) by paper that is too short,
        ``flat`` or ``shut`` (±180°) and can go no further, or ``proud`` of the flat pages; the
        paper is ``taut`` with every fold inside its range, or it ``leans`` on something.
    """

    kind: Literal["jam", "snap", "cannot-assemble", "two-branches", "not-followed"]
    opening: float
    fold: str
    gap: float
    reason: str
    obstacle: str = ""
    cause: str = ""


@dataclass(frozen=True)
class Motion:
    """Poses of all bodies and angles of all folds, for S openings, B bodies and H hinges.

    A point x of body b lies at ``rotations[s, b] @ x + translations[s, b]``.

    Parameters
    ----------
    openings : shape (S,), radians, 0 closed to pi flat open, ascending.
    solved : shape (S,), False past a jam; poses and angles are NaN there.
    rotations : shape (S, B, 3, 3).
    translations : shape (S, B, 3), mm.
    angles : shape (S, H), radians, in the order of ``Linkage.hinges``.
    gaps : shape (S,), largest closure error of any fold, mm.
    """

    openings: np.ndarray
    solved: np.ndarray
    rotations: np.ndarray
    translations: np.ndarray
    angles: np.ndarray
    gaps: np.ndarray
    findings: tuple[MotionFinding, ...] = ()

    @property
    def matrices(self) -> np.ndarray:
        """The poses as matrices, shape (S, B, 4, 4); NaN where there are none."""
        poses = np.zeros((*self.translations.shape[:2], 4, 4))
        poses[..., :3, :3], poses[..., :3, 3] = self.rotations, self.translations
        poses[..., 3, 3] = 1.0
        return poses

    def part(self, openings: np.ndarray) -> Motion | None:
        """The motion at some of its openings, shape (S,), radians; None if not all are among them.

        Where paper gets stuck, what is told of it depends on what was asked: None as well.
        """
        if self.findings or not self.solved.all():
            return None
        place = np.searchsorted(self.openings, openings)
        place = np.minimum(place, len(self.openings) - 1)
        if not np.array_equal(self.openings[place], openings):
            return None
        return self.rows(place)

    def rows(self, which: np.ndarray) -> Motion:
        """The motion at some of its openings, by their numbers, shape (S,), without findings."""
        return Motion(
            self.openings[which],
            self.solved[which],
            self.rotations[which],
            self.translations[which],
            self.angles[which],
            self.gaps[which],
        )

    def copy(self) -> Motion:
        """The same motion with arrays of its own."""
        return Motion(
            self.openings.copy(),
            self.solved.copy(),
            self.rotations.copy(),
            self.translations.copy(),
            self.angles.copy(),
            self.gaps.copy(),
            self.findings,
        )
