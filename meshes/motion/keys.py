"""Key poses: few enough to store, dense enough that what lies between them can be interpolated.

Between two keys a body turns at constant speed about one axis (spherical linear interpolation)
and its origin moves on a straight line, as glTF 2.0 section 3.11 asks of a LINEAR sampler. The
browser page interpolates in the same way, so one set of keys serves both.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace
from itertools import product

import numpy as np

from meshes.linkage import Body

from .result import Motion

# Half of the 0.05 mm that is promised, since the true course is known at samples only.
TOLERANCE_MM = 0.025
# A snap never becomes smooth: two keys this near stand for the jump.
CLOSEST = np.radians(0.01)
# From 1° two rounds of parting into sixteen reach 0.004°. Few rounds, since the solver takes nearly
# as long for one opening as for a hundred.
_ROUNDS, _MOST_PARTS = 2, 16
# So many samples ahead are looked at from all samples at once: keys seldom lie further apart.
_AT_ONCE = 4

Solve = Callable[[np.ndarray], Motion]


@dataclass(frozen=True)
class Keys:
    """Poses to interpolate, for K openings, B bodies and H hinges.

    Parameters
    ----------
    openings : shape (K,), radians, ascending.
    quaternions : shape (K, B, 4), unit, order x y z w, neighbours on the same hemisphere.
    translations : shape (K, B, 3), mm.
    angles : shape (K, H), radians.
    """

    openings: np.ndarray
    quaternions: np.ndarray
    translations: np.ndarray
    angles: np.ndarray

    def at(self, openings: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Poses between the keys.

        Parameters
        ----------
        openings : shape (S,), radians; beyond the keys the nearest key holds.

        Returns
        -------
        Rotations, shape (S, B, 3, 3), and translations, shape (S, B, 3), mm.
        """
        from scipy.spatial.transform import Rotation

        low, share = self._bracket(openings)
        first, second = self.quaternions[low], self.quaternions[low + 1]
        share = share[:, None, None]
        mixed = _slerp(first, second, share)
        rotations = Rotation.from_quat(mixed.reshape(-1, 4)).as_matrix()
        translations = (1 - share) * self.translations[low] + share * self.translations[low + 1]
        return rotations.reshape(*mixed.shape[:2], 3, 3), translations

    def _bracket(self, openings: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        inside = np.clip(openings, self.openings[0], self.openings[-1])
        low = np.searchsorted(self.openings, inside, "right") - 1
        low = np.clip(low, 0, len(self.openings) - 2)
        span = self.openings[low + 1] - self.openings[low]
        return low, (inside - self.openings[low]) / span


def choose_keys(
    bodies: Sequence[Body], motion: Motion, solve: Solve | None, tolerance: float = TOLERANCE_MM
) -> Keys:
    """Pick keys so that no point of any body strays further than `tolerance` between them.

    Parameters
    ----------
    motion : a first sampling, 1° apart or denser; past a jam it is left out.
    solve : where the sampling is too coarse, this gives the poses in between, asked only for
        those; without it the sampling is taken for good enough. One that shares a memory with the
        first sampling has far less to do.
    tolerance : mm.

    Raises
    ------
    ValueError
        If fewer than two openings are solved, so that nothing moves.
    """
    boxes = np.stack([box(body) for body in bodies])
    motion = solved_run(motion)
    if len(motion.openings) < 2:
        raise ValueError("the spread has no motion: fewer than two openings are solved")
    for _ in range(_ROUNDS if solve else 0):
        between = _too_wide(boxes, motion, tolerance)
        if solve is None or not len(between):
            break
        motion = solved_run(_merged(motion, solve(between)))
    return _thin(boxes, motion, tolerance)


def _merged(one: Motion, two: Motion) -> Motion:
    """The stages of two motions, in order; findings as in the first."""
    order = np.argsort(np.concatenate([one.openings, two.openings]), kind="stable")

    def both(name: str) -> np.ndarray:
        return np.concatenate([getattr(one, name), getattr(two, name)])[order]

    return Motion(
        both("openings"),
        both("solved"),
        both("rotations"),
        both("translations"),
        both("angles"),
        both("gaps"),
        one.findings,
    )


def solved_run(motion: Motion) -> Motion:
    """The longest unbroken run of solved openings."""
    edges = np.flatnonzero(np.diff(np.r_[False, motion.solved, False].astype(int)))
    starts, ends = edges[::2], edges[1::2]
    rows = np.array([], int)
    if len(starts):
        longest = int(np.argmax(ends - starts))
        rows = np.arange(starts[longest], ends[longest])
    names = [field.name for field in fields(motion) if field.name != "findings"]
    return replace(motion, **{name: getattr(motion, name)[rows] for name in names})


def box(body: Body) -> np.ndarray:
    """Corners of the box round a body, shape (8, 3), body coordinates, mm.

    How far a point strays is a convex function of the point, so no point of the body strays
    further than the worst of these corners.
    """
    bounds = np.array([part.polygon.bounds for part in body.parts])
    heights = [part.height for part in body.parts]
    half = max(part.sheet.paper.caliper for part in body.parts) / 2
    low = [*bounds[:, :2].min(axis=0), min(heights) - half]
    high = [*bounds[:, 2:].max(axis=0), max(heights) + half]
    return np.array(list(product(*zip(low, high, strict=True))))


def _keys(motion: Motion) -> Keys:
    from scipy.spatial.transform import Rotation

    shape = motion.rotations.shape[:2]
    flat = motion.rotations.reshape(-1, 3, 3)
    quaternions = Rotation.from_matrix(flat).as_quat().reshape(*shape, 4)
    # q and -q are one rotation; a jump between them would make a body spin on the way.
    dots = np.sum(quaternions[1:] * quaternions[:-1], axis=-1)
    signs = np.cumprod(np.where(dots < 0, -1.0, 1.0), axis=0)
    quaternions[1:] *= signs[..., None]
    return Keys(motion.openings, quaternions, motion.translations, motion.angles)


def _slerp(first: np.ndarray, second: np.ndarray, share: np.ndarray) -> np.ndarray:
    """Spherical linear interpolation of unit quaternions along the last axis, the short way."""
    dots = np.sum(first * second, axis=-1, keepdims=True)
    second = np.where(dots < 0, -second, second)
    half = np.arccos(np.clip(np.abs(dots), 0.0, 1.0))
    # sinc keeps the ratio of sines exact where the two hardly differ.
    near = np.sinc(half / np.pi)
    before = (1 - share) * np.sinc((1 - share) * half / np.pi) / near
    after = share * np.sinc(share * half / np.pi) / near
    mixed = before * first + after * second
    return mixed / np.linalg.norm(mixed, axis=-1, keepdims=True)


def _stray(
    boxes: np.ndarray, motion: Motion, all_keys: Keys, rows: np.ndarray, ends: np.ndarray
) -> np.ndarray:
    """How far any corner at each of `rows` is from where its two `ends` would put it, mm.

    Parameters
    ----------
    boxes : shape (B, 8, 3). rows : shape (n,). ends : shape (2, n) or (2, 1).

    Returns
    -------
    Shape (n,).
    """
    from scipy.spatial.transform import Rotation

    first, second = ends
    opening = motion.openings
    share = ((opening[rows] - opening[first]) / (opening[second] - opening[first]))[:, None, None]
    turned = _slerp(all_keys.quaternions[first], all_keys.quaternions[second], share)
    between = Rotation.from_quat(turned.reshape(-1, 4)).as_matrix().reshape(*turned.shape[:2], 3, 3)
    shift = (1 - share) * motion.translations[first] + share * motion.translations[second]
    moved = np.einsum("sbij,bnj->sbni", motion.rotations[rows] - between, boxes)
    moved += (motion.translations[rows] - shift)[:, :, None]
    return np.sqrt((moved**2).sum(axis=-1)).max(axis=(1, 2))


def _too_wide(boxes: np.ndarray, motion: Motion, tolerance: float) -> np.ndarray:
    """Openings to add between samples that are too far apart to bridge, radians.

    Leaving a sample out doubles the gap. Where the motion is smooth the error of interpolation
    grows with the square of the gap, so a quarter of the error at the sample left out is what the
    gap itself costs; at a kink, where paper meets an obstacle, it grows with the gap only, and the
    gap is parted accordingly.
    """
    gaps = np.diff(motion.openings)
    far = np.zeros(len(gaps))
    rows = np.arange(1, len(gaps))
    if len(rows):
        off = _stray(boxes, motion, _keys(motion), rows, np.array([rows - 1, rows + 1]))
        far[:-1] = off
        far[1:] = np.maximum(far[1:], off)
    wide = (far > 4 * tolerance) & (gaps > CLOSEST)
    parts = np.clip(np.ceil(far / (2 * tolerance)), 2, _MOST_PARTS).astype(int)
    inner = [
        motion.openings[k] + gaps[k] * np.arange(1, parts[k]) / parts[k]
        for k in np.flatnonzero(wide)
    ]
    return np.concatenate(inner) if inner else np.array([])


def _bridged(boxes: np.ndarray, motion: Motion, all_keys: Keys, tolerance: float) -> np.ndarray:
    """How far each sample but the last could bridge, up to `_AT_ONCE` ahead, by index."""
    last = len(motion.openings) - 1
    furthest = np.arange(1, last + 1)
    for ahead in range(2, _AT_ONCE + 1):
        starts = np.flatnonzero(furthest == np.arange(last) + ahead - 1)
        starts = starts[starts + ahead <= last]
        if not len(starts):
            break
        rows = (starts[:, None] + np.arange(1, ahead)).ravel()
        ends = np.repeat([starts, starts + ahead], ahead - 1, axis=1)
        off = _stray(boxes, motion, all_keys, rows, ends).reshape(-1, ahead - 1)
        furthest[starts[off.max(axis=1) <= tolerance]] += 1
    return furthest


def _thin(boxes: np.ndarray, motion: Motion, tolerance: float) -> Keys:
    """The keys to keep: from each the furthest next one that the samples between allow."""
    every = _keys(motion)
    kept, last = [0], len(motion.openings) - 1
    furthest = _bridged(boxes, motion, every, tolerance)
    while kept[-1] < last:
        start = kept[-1]
        reach = int(furthest[start])
        while start + _AT_ONCE <= reach < last:
            ends = np.array([[start], [reach + 1]])
            rows = np.arange(start + 1, reach + 1)
            if _stray(boxes, motion, every, rows, ends).max() > tolerance:
                break
            reach += 1
        kept.append(reach)
    return Keys(
        every.openings[kept], every.quaternions[kept], every.translations[kept], every.angles[kept]
    )
