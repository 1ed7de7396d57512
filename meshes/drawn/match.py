"""Laying one drawn area onto another: the rigid move that brings corners to corners."""

from __future__ import annotations

import numpy as np

from meshes.sheet import Placement

from .assemble import DrawnArea
from .tree import DrawingError

# A place copied by hand may miss its glue area by so much.
MATCH_MM = 0.2


def placement(glue: DrawnArea, place: DrawnArea) -> Placement:
    """The placement that lays the glue area on its place, corner on corner.

    It is the least-squares rigid move (Kabsch, Acta Crystallographica A32, 1976, 922), turned over
    if the corners run the other way round. A copy whose corners begin elsewhere is found by trying
    all beginnings.

    Raises
    ------
    DrawingError
        If the two have different shapes, or fit in more than one way.
    """
    if len(glue.corners) != len(place.corners):
        raise DrawingError(
            f"{place.label}: has {len(place.corners)} corners, but {glue.label} has "
            f"{len(glue.corners)}; draw the place as a copy of the glue area"
        )
    first, gap = _fit(glue.corners, place.corners)
    if gap < MATCH_MM:
        return first
    fits = [_fit(glue.corners, turned) for turned in _renumbered(place.corners)]
    good = [move for move, gap in fits if gap < MATCH_MM]
    if not good:
        least = min(gap for _, gap in fits)
        raise DrawingError(
            f"{place.label}: does not have the shape of {glue.label}: they differ by {least:.2f} mm"
        )
    if len(good) > 1:
        raise DrawingError(
            f"{place.label}: fits {glue.label} in {len(good)} ways; draw it as a copy, so that "
            "its corners have the same order"
        )
    return good[0]


def _renumbered(corners: np.ndarray) -> list[np.ndarray]:
    """All ways to number the corners of a ring, both ways round."""
    return [
        np.roll(order, shift, axis=0)
        for order in (corners, corners[::-1])
        for shift in range(len(corners))
    ]


def _fit(source: np.ndarray, target: np.ndarray) -> tuple[Placement, float]:
    """The best rigid move and the largest distance that it leaves, mm."""
    flipped = _area(source) * _area(target) < 0
    mirrored = source * [-1.0, 1.0] if flipped else source
    a, b = mirrored - mirrored.mean(axis=0), target - target.mean(axis=0)
    sine = float((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum())
    cosine = float((a * b).sum())
    turn = Placement(float(np.arctan2(sine, cosine)), flipped=bool(flipped))
    shift = target.mean(axis=0) - turn.apply(source).mean(axis=0)
    move = Placement(turn.angle, (float(shift[0]), float(shift[1])), turn.flipped)
    return move, float(np.abs(move.apply(source) - target).max())


def _area(corners: np.ndarray) -> float:
    x, y = corners.T
    return float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))
