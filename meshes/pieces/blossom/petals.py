"""The edge of a blossom: one smooth curve for each petal, between two folds or partings."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

CHORD_MM = 0.05  # our choice


@dataclass(frozen=True)
class PetalShape:
    """How a petal is drawn, from the parting on one side over its tip to the parting on the other.

    Parameters
    ----------
    length : from the flower's middle to the tip, mm.
    parting : from the flower's middle to where neighbouring petals part, mm.
    breadth : 0 slender to 1 as broad as its sector allows.
    point : 0 round to 1 drawn out to a sharp tip.
    notch : depth of the notch in the tip, mm.
    profile : corners of a straight-edged petal instead, from the fold to the middle: share of the
        half angle (1 the fold, 0 the middle) and share of the length.
    """

    length: float
    parting: float
    breadth: float = 0.7  # our choice
    point: float = 0.0
    notch: float = 0.0
    profile: tuple[tuple[float, float], ...] = ()


def sector_edge(start: float, end: float, petals: int, shape: PetalShape) -> np.ndarray:
    """Edge of one sector, counter-clockwise.

    Parameters
    ----------
    start, end : directions of its two folds, radians.
    petals : petals side by side on the sector.

    Returns
    -------
    Points, shape (n, 2), mm, from parting to parting, both included.
    """
    width = (end - start) / petals
    one = _petal(width / 2, shape)
    parts = []
    for k in range(petals):
        c, s = np.cos(start + (k + 0.5) * width), np.sin(start + (k + 0.5) * width)
        turned = one @ np.array([[c, s], [-s, c]])
        parts.append(turned if k == 0 else turned[1:])
    return np.concatenate(parts)


def _petal(half: float, shape: PetalShape) -> np.ndarray:
    """One petal about the x axis, from the parting at -half to the parting at +half."""
    side = _profile_side(half, shape) if shape.profile else _smooth_side(half, shape)
    return np.concatenate([side, (side * [1, -1])[-2::-1]])


def _profile_side(half: float, shape: PetalShape) -> np.ndarray:
    corners = [(1.0, shape.parting / shape.length), *shape.profile]
    share, radius = np.array(corners).T
    turn = -share * half
    return np.column_stack([np.cos(turn), np.sin(turn)]) * (radius * shape.length)[:, None]


def _smooth_side(half: float, shape: PetalShape) -> np.ndarray:
    """Cubic curves from the parting to the tip; their handles stay inside the sector."""
    along_fold = np.array([np.cos(half), -np.sin(half)])
    parting, tip = shape.parting * along_fold, np.array([shape.length, 0.0])
    rise = shape.length - shape.parting
    first = (shape.parting + (0.15 + 0.6 * shape.breadth) * rise) * along_fold
    breadth = np.sin(half) * shape.length * (0.2 + 0.65 * shape.breadth)
    if shape.notch <= 0:
        # A round tip has its handle straight across, a sharp one along the middle.
        handle = tip - [0.5 * rise * shape.point, breadth * (1 - shape.point)]
        return _curve([(parting, first, handle, tip)])
    shoulder = np.array([shape.length, -0.5 * breadth])
    dip = np.array([shape.length - shape.notch, 0.0])
    across = np.array([0.0, breadth])
    lip = dip + np.array([0.5 * shape.notch, 0.0])
    return _curve(
        [
            (parting, first, shoulder - 0.5 * across, shoulder),
            (shoulder, shoulder + 0.4 * across, lip, dip),
        ]
    )


Cubic = tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]


def _curve(cubics: list[Cubic]) -> np.ndarray:
    """Cubic Bézier curves in a row as few chords, none farther than CHORD_MM from the curve."""
    t = np.linspace(0, 1, 65)[:, None]
    points = np.concatenate(
        [
            (1 - t) ** 3 * p + 3 * t * (1 - t) ** 2 * q + 3 * t**2 * (1 - t) * r + t**3 * s
            for p, q, r, s in cubics
        ]
    )
    return np.asarray(shapely.LineString(points).simplify(CHORD_MM).coords)
