"""Fixed sets of directions. Nothing is random: equal scenes give equal pixels."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

GOLDEN = np.pi * (3.0 - np.sqrt(5.0))

# Pixels are interleaved 3 × 3; each of the nine groups has its own directions, and a 3 × 3 filter
# then sees them all.
GROUPS = 9
# Rays to the key from every pixel, before it is known where its light changes; see `probing`.
FIRST = 2
# From group to group, modulo their number, the depth in the light of the ray that looks inside;
# our choice: groups beside each other look at depths that lie apart.
DEPTH_STEP = 5
# Stills are interleaved 6 × 6: averaged over more pixels than nine, the few directions of nine
# groups would show as steps.
TILE = 6


def _axes_around(axis: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    side = np.cross(axis, [0.0, 0.0, 1.0] if abs(axis[2]) < 0.9 else [1.0, 0.0, 0.0])
    side /= np.linalg.norm(side)
    return side, np.cross(axis, side)


def disc(
    axis: np.ndarray, half_angle: float, count: int, turn: float = 0.0, lift: float = 0.5
) -> np.ndarray:
    """Directions that fill the disc of a light evenly, the rim last, shape (count, 3), float32.

    Parameters
    ----------
    axis : unit vector to the middle of the light.
    half_angle : radius of the light as seen from the paper, radians.
    turn : turns the pattern about the axis, radians.
    lift : where in its ring each direction lies, 0 to 1.
    """
    k = np.arange(count)
    radius = np.tan(half_angle) * np.sqrt((k + lift) / count)
    angle = k * GOLDEN + turn
    side, up = _axes_around(axis)
    spread = axis + radius[:, None] * (np.cos(angle)[:, None] * side + np.sin(angle)[:, None] * up)
    return (spread / np.linalg.norm(spread, axis=1, keepdims=True)).astype(np.float32)


def dome(count: int, turn: float = 0.0, lift: float = 0.5) -> np.ndarray:
    """Even directions over the upper half space, shape (count, 3), float32.

    The second half of them looks the opposite way of the first, half a step higher, so that a wall
    hides half of them wherever it stands.

    Parameters
    ----------
    count : even.
    turn : turns the pattern about z, radians.
    lift : where in its ring each direction lies, 0 to 1.
    """
    half = count // 2
    steps = np.arange(half) + lift / 2
    there, back = _spiral(steps / half, turn), _spiral((steps + 0.5) / half, turn + np.pi)
    return np.concatenate([there, back])


def sphere(count: int, turn: float = 0.0, lift: float = 0.5) -> np.ndarray:
    """Even directions over the whole sphere; see :func:`dome`."""
    z = 1.0 - 2.0 * (np.arange(count) + lift) / count
    return _spiral(z, turn)


def _spiral(z: np.ndarray, turn: float) -> np.ndarray:
    angle = np.arange(len(z)) * GOLDEN + turn
    flat = np.sqrt(np.maximum(1.0 - z**2, 0.0))
    return np.stack([flat * np.cos(angle), flat * np.sin(angle), z], axis=1).astype(np.float32)


def dealt(directions: np.ndarray, groups: int = GROUPS) -> np.ndarray:
    """Deal directions to the groups in turn, shape (groups, count / groups, 3).

    Neighbours in a spiral go to different groups, so each group covers the whole range.
    """
    return np.stack([directions[group::groups] for group in range(groups)])


def probing(rays: np.ndarray) -> np.ndarray:
    """The same directions of each group, so ordered that the first look over the whole light.

    A shadow begins at the rim of the light, but what is smaller than the light and far away hides
    its middle alone: so after the rim comes a look inside, at another depth for each group.

    Parameters
    ----------
    rays : shape (groups, k, 3), from the rim to the middle.
    """
    found = rays.copy()
    groups, count = rays.shape[:2]
    for group in range(groups if count > 2 else 0):
        inner = count - 1 - group * DEPTH_STEP % (count - 1)
        found[group, [1, inner]] = rays[group, [inner, 1]]
    return found


# Directions that integrate the sky over a facet to 0.001.
DENSE = 2048


@lru_cache(maxsize=8)
def dense_dome(count: int) -> np.ndarray:
    """So many directions over the upper half space, shape (count, 3)."""
    return dome(count).astype(float)


def jitter(index: int) -> tuple[float, float]:
    """Place of the sample of pass `index` inside its pixel, 0 to 1 each.

    The additive recurrence with the plastic number: every prefix of the sequence is even. Source:
    M. Roberts, "The unreasonable effectiveness of quasirandom sequences", 2018.
    """
    plastic = 1.32471795724474602596
    x = (0.5 + (index + 0.5) / plastic) % 1.0
    y = (0.5 + (index + 0.5) / plastic**2) % 1.0
    return x, y
