"""Sheets and motions put together by hand: a page, paper on it, and where it lies."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from shapely.geometry import box

from meshes.motion.result import Motion
from meshes.sheet import Fold, Sheet, cut
from meshes.sheet import Paper as Stock

CARD = Stock("card", 200, 0.25, "#f4efe6", "#e8e2d6")
OPENINGS = np.radians([0.0, 30.0, 90.0, 150.0, 180.0])


def sheet(piece, outline, folds=(), labels=None, name=None):
    facets, crossings = cut(outline, list(folds), labels or {"all": point(outline)})
    return Sheet(name or piece, piece, CARD, CARD.front, CARD.back, facets, crossings)


def point(shape):
    inside = shape.representative_point()
    return (inside.x, inside.y)


def page():
    return replace(
        sheet(
            "page",
            box(-100, 0, 100, 150),
            [Fold("gutter", (0, 0), (0, 150), -1)],
            {"left": (-1, 1), "right": (1, 1)},
        ),
        piece="page",
    )


def flat_motion(linkage, lifts=None):
    """A motion in which nothing turns; bodies lie at the given heights, mm."""
    count = len(linkage.bodies)
    rotations = np.broadcast_to(np.eye(3), (len(OPENINGS), count, 3, 3)).copy()
    translations = np.zeros((len(OPENINGS), count, 3))
    for name, z in (lifts or {}).items():
        translations[:, linkage.place(name)[0], 2] = z
    angles = np.zeros((len(OPENINGS), len(linkage.hinges)))
    ones = np.ones(len(OPENINGS), bool)
    return Motion(OPENINGS, ones, rotations, translations, angles, np.zeros(len(OPENINGS)))
