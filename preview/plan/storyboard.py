"""What the camera of a shot sees at its start, in the middle and at its end."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from meshes.curl import bent
from preview.drawing.lying import Lying
from preview.drawing.render import EngineName, Quality
from preview.drawing.scene import book_of
from preview.films.film import Filming
from preview.films.frames import drawn
from preview.parallel import ALONE, Crew
from preview.shot.asked import table_for
from preview.shot.mood import Mood
from preview.shot.tables import mood_on

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
    kept: Path | None = None,
) -> list[list[np.ndarray]]:
    """Pictures of every shot of a plan, each of shape (rows, columns, 3), uint8 sRGB.

    Three of a shot in which something moves, else one.

    Parameters
    ----------
    workers : processes that draw.
    advance : called after each picture.
    kept : a folder from which an interrupted storyboard goes on; see `preview.films.frames.drawn`.
    """
    boards: dict[str, list[np.ndarray]] = {}
    for (table, lying), shots in _alike(spread, plan).items():
        views = replace(
            _views(spread, plan, shots, size, mood_on(mood, table)),
            lying=lying,
            engine=engine,
            quality=quality,
        )
        with drawn(views, np.arange(views.poses), workers, advance, kept) as frames:
            pictures = iter(list(frames))
        for shot in shots:
            boards[shot.name] = [next(pictures) for _ in _shares(shot)]
    return [boards[shot.name] for shot in plan.shots]


def _alike(spread: Spread, plan: FilmPlan) -> dict[tuple[str, Lying], list[Shot]]:
    """The shots of a plan by their table and by how the notebook lies."""
    found: dict[tuple[str, Lying], list[Shot]] = {}
    for shot in plan.shots:
        table = table_for(None, spread.design.shots, [shot.name])
        found.setdefault((table, shot.lying), []).append(shot)
    return found


def count(plan: FilmPlan) -> int:
    """How many pictures a storyboard has."""
    return sum(len(_shares(shot)) for shot in plan.shots)


def _shares(shot: Shot) -> np.ndarray:
    """The moments of a shot that are drawn, as shares of its length."""
    still = shot.settings.turn == 0 and np.ptp(shot.openings) == 0
    return np.linspace(0, 1, 1 if still else PICTURES)


def _views(
    spread: Spread,
    plan: FilmPlan,
    shots: Sequence[Shot],
    size: tuple[int, int],
    mood: Mood,
) -> Filming:
    """All pictures of some shots, as the poses of one film with a camera each."""
    stages, turns, cameras = [], [], []
    for shot in shots:
        for share in _shares(shot).tolist():
            opening = shot.openings[round(share * (len(shot.openings) - 1))]
            stages.append(int(np.searchsorted(plan.motion.openings, opening)))
            turns.append(shot.settings.turn * share)
            cameras.append(shot.camera)
    seen = bent(spread, plan.motion)
    return Filming(
        seen.linkage,
        book_of(spread),
        seen.motion,
        tuple(cameras),
        size,
        np.array(stages),
        np.array(turns),
        mood,
    )
