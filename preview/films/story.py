"""The film of a cut list: each take with a camera of its own."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np

from ..shot.schedule import Schedule
from ..shot.standing import points_of
from ..shot.story import STORY, Take, takes_of
from .film import Filming, Size, opened, spread_out

if TYPE_CHECKING:
    from meshes.motion.result import Motion
    from meshes.spread import Spread

    from ..shot.camera import Camera


# Poses of each take whose outlines its camera must have in its picture.
FRAMED_POSES = 9


def shot_for(
    spread: Spread, schedule: Schedule, size: Size, motion: Motion, **settings: Any
) -> Filming:
    """The shot of a story.

    Parameters
    ----------
    schedule : see :func:`preview.shot.story.schedule`.
    size : width and height, pixels.
    motion : that its states show.
    settings : see :func:`preview.films.film.shot_for`.

    Raises
    ------
    ValueError
        If the motion does not reach one of the openings.
    """
    shot = opened(spread, schedule, size, motion, settings)
    takes = takes_of(schedule.seconds, schedule.fps)[np.argsort(schedule.order)]
    cameras: dict[int, Camera] = {}
    during: dict[int, list[Camera]] = {}
    hero = _hero(shot)
    for number, take in enumerate(STORY):
        poses = np.flatnonzero(takes == number)
        near = take.nearest(_points(shot, take, poses, hero), size[0] / size[1])
        # How much of the whole film is over tells how much of the take is.
        over = schedule.poses[poses, 2]
        first, length = over.min(), np.ptp(over)
        for pose in poses.tolist():
            cameras[pose] = take.at(near, (schedule.poses[pose, 2] - first) / length)
            shares = (schedule.during[pose, :, 2] - first) / length if shot.exposure else ()
            during[pose] = [take.at(near, share) for share in shares]
    order = range(shot.poses)
    shot = replace(shot, cameras=tuple(cameras[pose] for pose in order))
    # Between takes the band is taken away.
    shut = [number for number, take in enumerate(STORY) if not any(take.opening)]
    shot = replace(shot, banded=np.isin(takes, shut))
    if shot.exposure is None:
        return shot
    moments = tuple(camera for pose in order for camera in during[pose])
    return replace(shot, exposure=replace(shot.exposure, cameras=moments))


def _points(shot: Filming, take: Take, poses: np.ndarray, hero: str) -> np.ndarray:
    """What a take is about, over its poses: corners, shape (n, 3), mm."""
    chosen = spread_out(shot.openings[poses], FRAMED_POSES)
    scenes = [shot.scene(int(pose)) for pose in poses[chosen]]
    return points_of(scenes, frozenset({hero}) if take.about == "hero" else None)


def _hero(shot: Filming) -> str:
    """The piece that stands highest."""
    from ..drawing.visible import TALLEST, tallest

    pose = int(np.abs(shot.openings - TALLEST).argmin())
    return tallest(shot.scene(pose))
