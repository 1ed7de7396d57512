"""A six-facet cone on two legs, worked out by hand: one unknown, no closure equations, no solver.

Symmetric about the planes x = 0 and y = 0, the cone has one unknown besides the opening: the
elevation psi of its two lateral facets (over the plane square to the bisector plane). Everything
else is construction: legs by intersecting circles in the section y = 0, the mirror folds by the
angle that the sector between demands. The pose at rest is the psi of least energy of the folds,
found by golden section, among those in which no corner lies below a page.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

GOLDEN = (np.sqrt(5) - 1) / 2


@dataclass(frozen=True)
class Layer:
    """One cone of sectors lateral, side, side, lateral, side, side (radians, mm)."""

    lateral: float
    side: float
    fold: float
    tip: float

    @property
    def limit(self) -> float:
        """Least elevation: the lateral edge reaches the mirror plane with the side sector flat."""
        return float(np.arccos(np.sin(self.side) / np.cos(self.lateral / 2)))


@dataclass(frozen=True)
class Stand:
    """Legs: from the apex to their tops, from the gutter to their feet, their length, mm."""

    top: float
    foot: float
    length: float


@dataclass(frozen=True)
class State:
    """Elevation psi, apex height, folds (lateral, mirror) of each layer, leg top and foot."""

    psi: float
    apex: float
    folds: tuple[tuple[float, float], ...]
    top: float
    foot: float


def _turn(one: np.ndarray, two: np.ndarray) -> float:
    return float(np.arctan2(np.linalg.norm(np.cross(one, two)), one @ two))


def _unit(vector: np.ndarray) -> np.ndarray:
    return vector / np.linalg.norm(vector)


def _edges(layer: Layer, psi: float) -> tuple[np.ndarray, np.ndarray, np.ndarray] | None:
    """Bisector of the right lateral, its front edge, and the front mirror fold, from the apex."""
    middle = np.array([np.cos(psi), 0.0, np.sin(psi)])
    half = layer.lateral / 2
    edge = np.cos(half) * middle - np.sin(half) * np.array([0.0, 1.0, 0.0])
    # m = (0, -cos q, sin q) with m · edge = cos(side).
    size = np.hypot(edge[1], edge[2])
    if np.cos(layer.side) > size + 1e-15:
        return None
    swing = np.arccos(min(np.cos(layer.side) / size, 1.0))
    tilt = np.arctan2(edge[2], -edge[1]) - swing
    return middle, edge, np.array([0.0, -np.cos(tilt), np.sin(tilt)])


def _folds(layer: Layer, psi: float) -> tuple[float, float]:
    """Valley angles at the lateral's edge and at the mirror fold, negative."""
    found = _edges(layer, psi)
    assert found is not None
    middle, edge, mirror = found
    lateral = _unit(np.cross(edge, middle))
    side = _unit(np.cross(mirror, edge))
    return -_turn(lateral, side), -_turn(side, side * [-1, 1, 1])


def _apex(stand: Stand, psi: float, opening: float) -> float | None:
    """Height of the apex: the leg's top lies `length` from its foot, above it."""
    across = stand.foot * np.sin(opening / 2) - stand.top * np.cos(psi)
    if abs(across) > stand.length:
        return None
    rise = np.sqrt(stand.length**2 - across**2)
    return float(stand.foot * np.cos(opening / 2) + rise - stand.top * np.sin(psi))


def _corners(layer: Layer, psi: float) -> np.ndarray:
    """Corners of the petals on the right in front, from the apex."""
    found = _edges(layer, psi)
    assert found is not None
    middle, edge, mirror = found
    across = np.array([0.0, -1.0, 0.0])
    beside = _unit(mirror - (mirror @ edge) * edge)
    rim = []
    for share, radius in ((0, layer.tip), (0.275, 0.93 * layer.tip), (0.5, layer.fold)):
        turn = share * layer.lateral
        rim.append(radius * (np.cos(turn) * middle + np.sin(turn) * across))
    for share, radius in ((-0.275, 0.93), (0.0, 1.0), (0.275, 0.93)):
        turn = (0.5 + share) * layer.side
        rim.append(radius * layer.tip * (np.cos(turn) * edge + np.sin(turn) * beside))
    return np.array([*rim, layer.fold * mirror, np.zeros(3)])


def clearance(layers: Sequence[Layer], stand: Stand, psi: float, opening: float) -> float:
    """Lowest height of any corner over either page, mm; -inf where the cone cannot be."""
    apex = _apex(stand, psi, opening)
    if apex is None or any(psi < layer.limit for layer in layers):
        return -np.inf
    corners = np.concatenate([_corners(layer, psi) for layer in layers])
    corners = corners + np.array([0.0, 0.0, apex])
    half = opening / 2
    normals = np.array([[-np.cos(half), 0, np.sin(half)], [np.cos(half), 0, np.sin(half)]])
    return float((corners @ normals.T).min())


def state(layers: Sequence[Layer], stand: Stand, psi: float, opening: float) -> State:
    """The whole pose at one elevation."""
    apex = _apex(stand, psi, opening)
    assert apex is not None
    top = np.array([stand.top * np.cos(psi), 0, apex + stand.top * np.sin(psi)])
    foot = stand.foot * np.array([np.sin(opening / 2), 0, np.cos(opening / 2)])
    down = _unit(foot - top)
    # The tab under the petal lies towards the apex, the foot's away from the gutter.
    inward = -np.array([np.cos(psi), 0, np.sin(psi)])
    outward = _unit(foot)
    folds = tuple(_folds(layer, psi) for layer in layers)
    return State(psi, apex, folds, np.pi - _turn(inward, down), -(np.pi - _turn(-down, outward)))


def energy(
    layers: Sequence[Layer],
    stand: Stand,
    half_width: float,
    rest: float,
    psi: float,
    opening: float,
) -> float:
    """Energy of all folds, by length; leg folds are twice `half_width` long and rest at 60°."""
    here = state(layers, stand, psi, opening)
    total = 0.0
    for layer, (lateral, mirror) in zip(layers, here.folds, strict=True):
        total += layer.fold * (4 * (lateral + rest) ** 2 + 2 * (mirror + rest) ** 2) / 2
    sixty = np.radians(60)
    legs = 2 * (here.top - sixty) ** 2 + 2 * (here.foot + sixty) ** 2
    return total + 2 * half_width * legs / 2


def at_rest(
    layers: Sequence[Layer], stand: Stand, half_width: float, rest: float, opening: float
) -> State:
    """The pose of least energy that stays above the pages."""
    steps = np.linspace(max(layer.limit for layer in layers), np.pi / 2, 181)
    allowed = [p for p in steps if clearance(layers, stand, p, opening) >= 0]
    cost = [energy(layers, stand, half_width, rest, p, opening) for p in allowed]
    best = int(np.argmin(cost))
    gap = steps[1] - steps[0]
    low = _edge(layers, stand, opening, allowed[best], -gap)
    high = _edge(layers, stand, opening, allowed[best], gap)
    while high - low > 1e-11:
        one, two = high - GOLDEN * (high - low), low + GOLDEN * (high - low)
        costs = [energy(layers, stand, half_width, rest, p, opening) for p in (one, two)]
        low, high = (low, two) if costs[0] < costs[1] else (one, high)
    return state(layers, stand, (low + high) / 2, opening)


def _edge(
    layers: Sequence[Layer], stand: Stand, opening: float, inside: float, step: float
) -> float:
    """How far psi may go from an allowed value by `step`: bisection on the clearance."""
    good, bad = inside, inside + step
    if clearance(layers, stand, bad, opening) >= 0:
        return bad
    for _ in range(45):
        middle = (good + bad) / 2
        if clearance(layers, stand, middle, opening) >= 0:
            good = middle
        else:
            bad = middle
    return good
