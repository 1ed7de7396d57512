"""What the camera of a shot sees at its start, in the middle and at its end."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from preview.drawing.render import EngineName, Quality
from preview.drawing.scene import book_of
from preview.films.film import Filming
from preview.films.frames import drawn
from preview.parallel import ALONE, Crew

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
    counts = [len(_shares(shot)) for shot in plan.shots]
    if not counts:
        return []
    views = _views(spread, plan, size, mood, engine, quality)
    with drawn(views, np.arange(sum(counts)), workers, advance, kept) as frames:
        pictures = list(frames)
    ends = np.cumsum(counts).tolist()
    return [pictures[end - count : end] for count, end in zip(counts, ends, strict=True)]


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
    size: tuple[int, int],
    mood: str,
    engine: EngineName,
    quality: Quality,
) -> Filming:
    """All pictures of a storyboard, as the poses of one film with a camera each."""
    stages, turns, cameras = [], [], []
    for shot in plan.shots:
        for share in _shares(shot).tolist():
            opening = shot.openings[round(share * (len(shot.openings) - 1))]
            stages.append(int(np.searchsorted(plan.motion.openings, opening)))
            turns.append(shot.settings.turn * share)
            cameras.append(shot.camera)
    return Filming(
        spread.linkage,
        book_of(spread),
        plan.motion,
        tuple(cameras),
        size,
        np.array(stages),
        np.array(turns),
        mood,
        engine,
        quality,
    )
