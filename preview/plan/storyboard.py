"""What the camera of a shot sees at its start, in the middle and at its end."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from preview.drawing import render
from preview.drawing.render import EngineName, Quality
from preview.drawing.scene import Scene, build
from preview.parallel import ALONE, Crew
from preview.shot.camera import Camera

if TYPE_CHECKING:
    from meshes.spread import Spread

    from .shots import FilmPlan, Shot

PICTURES = 3  # our choice


def draw(
    spread: Spread,
    plan: FilmPlan,
    size: tuple[int, int],
    mood: str = "daylight",
    engine: EngineName = "auto",
    quality: Quality = "draft",
    workers: Crew = ALONE,
    advance: Callable[[], None] = lambda: None,
) -> list[list[np.ndarray]]:
    """Pictures of every shot of a plan, each of shape (rows, columns, 3), uint8 sRGB.

    Three of a shot in which something moves, else one.

    Parameters
    ----------
    workers : processes that draw.
    advance : called after each picture.
    """
    views = [_views(spread, plan, shot, mood) for shot in plan.shots]
    task = partial(_drawn, size, engine, quality)
    coming = workers.in_order(task, [view for shot in views for view in shot])
    boards: list[list[np.ndarray]] = []
    for shot in views:
        boards.append([])
        for _ in shot:
            boards[-1].append(next(coming))
            advance()
    return boards


def count(plan: FilmPlan) -> int:
    """How many pictures a storyboard has."""
    return sum(len(_shares(shot)) for shot in plan.shots)


def _shares(shot: Shot) -> np.ndarray:
    """The moments of a shot that are drawn, as shares of its length."""
    still = shot.settings.turn == 0 and np.ptp(shot.openings) == 0
    return np.linspace(0, 1, 1 if still else PICTURES)


def _views(spread: Spread, plan: FilmPlan, shot: Shot, mood: str) -> list[tuple[Scene, Camera]]:
    views = []
    for share in _shares(shot):
        opening = shot.openings[round(share * (len(shot.openings) - 1))]
        stage = int(np.searchsorted(plan.motion.openings, opening))
        scene = build(spread, plan.motion, stage, mood).turned(shot.settings.turn * float(share))
        views.append((scene.lit_for(shot.camera.azimuth), shot.camera))
    return views


def _drawn(
    size: tuple[int, int], engine: EngineName, quality: Quality, view: tuple[Scene, Camera]
) -> np.ndarray:
    scene, camera = view
    return render.draw(scene, camera, size, engine, quality)
