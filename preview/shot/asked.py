"""How a picture is set up where the command line leaves it open: as the shots of the design say.

A shot that is named as a view speaks for its own picture. Commands that take no view, and views
that say nothing, follow the first shot of the file that has the key.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from .mood import Mood
from .tables import OF_MOOD, mood_on

if TYPE_CHECKING:
    from meshes.design.shots import ShotSettings
    from preview.drawing.lying import LyingWish

    Shots = Mapping[str, ShotSettings]


def table_for(asked: str | None, shots: Shots, views: Sequence[str] = ()) -> str:
    """The table of a picture; see `preview.shot.tables.known_table`.

    Parameters
    ----------
    asked : on the command line, or None.
    views : from which it is seen.
    """
    if asked is not None:
        return asked
    return next((shot.table for shot in _in_order(shots, views) if shot.table), OF_MOOD)


def lying_for(
    asked: LyingWish | None, shots: Shots, usual: LyingWish, views: Sequence[str] = ()
) -> LyingWish:
    """How the notebook lies in a picture; `usual` if neither command line nor design says it."""
    if asked is not None:
        return asked
    return next((shot.lying for shot in _in_order(shots, views) if shot.lying), usual)


def mood_for(mood: str, table: str | None, shots: Shots, views: Sequence[str] = ()) -> Mood:
    """The light of a mood on the table of a picture; see :func:`table_for`."""
    return mood_on(mood, table_for(table, shots, views))


def _in_order(shots: Shots, views: Sequence[str]) -> list[ShotSettings]:
    return [*(shots[view] for view in views if view in shots), *shots.values()]
