"""Motion blur: what a shutter that is open for a while lets onto one frame.

The pictures of several moments are averaged in linear light, as light adds up on a sensor.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, TypeVar

import numpy as np

from ..drawing.colour import linear_to_srgb, srgb_to_linear

if TYPE_CHECKING:
    from ..drawing.scene import Scene
    from ..shot.camera import Camera

# From one moment to the next nothing may move farther than this, pixels, unless more moments would
# be needed than there are; edges are that soft by themselves. Our choice.
STEP_PX = 1.5

Each = TypeVar("Each")


@dataclass(frozen=True)
class Instant:
    """What there is to see at one instant.

    Parameters
    ----------
    stage : of the motion.
    turn : of the table, radians.
    """

    stage: int
    turn: float
    camera: Camera


@dataclass(frozen=True, eq=False)
class Exposure:
    """What happens while the shutter is open, at S moments of each of P poses.

    Parameters
    ----------
    stages, turns : see :class:`Instant`, shape (P, S).
    cameras : one of each moment, pose by pose, or a single one for all.
    """

    stages: np.ndarray
    turns: np.ndarray
    cameras: tuple[Camera, ...]

    def moments(self, pose: int) -> list[Instant]:
        """The moments of one pose."""
        first = pose * self.stages.shape[1]
        rows = zip(self.stages[pose].tolist(), self.turns[pose].tolist(), strict=True)
        return [
            Instant(stage, turn, self.cameras[(first + k) % len(self.cameras)])
            for k, (stage, turn) in enumerate(rows)
        ]


def enough(moments: Sequence[Each], far: float) -> list[Each]:
    """As many of some moments, evenly, as a way of `far` pixels needs; at least one."""
    count = min(len(moments), max(1, math.ceil(far / STEP_PX)))
    return [moments[int((k + 0.5) * len(moments) / count)] for k in range(count)]


def way(first: Scene, last: Scene, cameras: tuple[Camera, Camera], size: tuple[int, int]) -> float:
    """How far corners of surfaces move in the picture from one scene to another at most, pixels.

    Parameters
    ----------
    cameras : of the first and of the last.
    size : width and height, pixels.
    """
    places = {surface.name: surface.corners for surface in last.surfaces}
    before, after = [], []
    for surface in first.surfaces:
        corners, there = surface.corners, places.get(surface.name)
        # Edges that are drawn back under a fold may have more corners at one moment.
        if there is not None and there.shape == corners.shape:
            before.append(corners)
            after.append(there)
    if not before:
        return 0.0
    seen = [
        camera.project(np.concatenate(corners), size)
        for camera, corners in zip(cameras, (before, after), strict=True)
    ]
    # A corner behind the camera is nowhere in the picture.
    return float(np.nan_to_num(np.hypot(*(seen[1] - seen[0]).T)).max())


def averaged(pictures: Iterable[np.ndarray]) -> np.ndarray:
    """The mean of sRGB pictures of one size in linear light, uint8."""
    total, count = np.zeros((), np.float32), 0
    for picture in pictures:
        total = total + _light()[picture]
        count += 1
    return np.asarray(np.rint(255 * linear_to_srgb(total / count)), np.uint8)


@lru_cache(maxsize=1)
def _light() -> np.ndarray:
    """Linear light of each of the 256 levels of sRGB."""
    return srgb_to_linear(np.arange(256) / 255.0).astype(np.float32)
