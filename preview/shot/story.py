"""A cut list that tells a whole spread: closed cover, opening, slow turn, close-up, closing.

In each take the camera only comes nearer or draws back along its own line of sight, at an even
pace, so that what it has in its picture from near it has from farther away as well, and the light,
which goes with the camera's side, stands still. Between takes there are cuts.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from ..errors import UseError
from .camera import Camera, frame
from .schedule import Schedule, eased

About = Literal["spread", "hero"]
# Shortest and longest story, seconds: what is watched to its end. Common practice, no source.
SHORTEST_S, LONGEST_S = 15.0, 30.0
# A picture that is higher than wide looks down more steeply, so that the pages fill more of it;
# degrees. Our choice.
STEEPER_DEG = 16.0


@dataclass(frozen=True)
class Take:
    """What a story shows between two cuts.

    Parameters
    ----------
    seconds : beside those of the others.
    opening : at its start and its end, as shares of how far the spread opens.
    rests : shares of its time for which it stands still at its start and its end.
    turn : of the table, at its start and its end, degrees.
    azimuth, elevation, field : of the camera, degrees.
    away : distance of the camera at start and end, as shares of the nearest that has in its
        picture all that the take is `about`.
    margin : share of the picture that is left free at each side at that distance.
    """

    name: str
    seconds: float
    opening: tuple[float, float]
    azimuth: float
    elevation: float
    away: tuple[float, float]
    rests: tuple[float, float] = (0.0, 0.0)
    turn: tuple[float, float] = (0.0, 0.0)
    about: About = "spread"
    field: float = 27.0  # of the usual long lens: common practice, no source
    margin: float = 0.07  # our choice

    def moved(self, share: np.ndarray) -> np.ndarray:
        """How much of its way the hand has gone after shares of the time, 0 to 1."""
        begin, end = self.rests[0], 1 - self.rests[1]
        return eased(np.clip((share - begin) / (end - begin), 0.0, 1.0))

    def nearest(self, points: np.ndarray, aspect: float) -> Camera:
        """The nearest camera which has all points in its picture.

        Parameters
        ----------
        points : shape (n, 3), mm.
        aspect : width over height of the picture.
        """
        steep = self.elevation + (STEEPER_DEG if aspect < 1 else 0.0)
        angles = np.radians([self.azimuth, steep, self.field]).tolist()
        margins = (self.margin, self.margin)
        return frame(points, angles[0], angles[1], aspect, angles[2], margins)

    def at(self, near: Camera, share: float) -> Camera:
        """The camera after a share of the time: at an even pace, by equal ratios of distance."""
        first, last = self.away
        away = first ** (1 - share) * last**share
        eye = np.add(near.target, away * np.subtract(near.eye, near.target))
        x, y, z = eye.tolist()
        return Camera((x, y, z), near.target, near.field)


# Our choice.
STORY = (
    Take("closed cover", 3.0, (0.0, 0.0), -72, 40, (1.16, 1.0), margin=0.17),
    Take("opening", 7.0, (0.0, 1.0), -86, 30, (1.08, 1.0), rests=(0.06, 0.16)),
    Take("slow turn", 5.0, (1.0, 1.0), -90, 20, (1.03, 1.0), turn=(-38.0, 38.0)),
    Take("close-up", 3.5, (0.8, 1.0), -66, 20, (1.3, 1.0), about="hero", field=18, margin=0.12),
    Take("closing", 5.5, (1.0, 0.0), -62, 28, (1.0, 1.07), rests=(0.08, 0.2)),
)


def takes_of(seconds: float, fps: float) -> np.ndarray:
    """The take of each frame of a story, by number, shape (F,)."""
    ends = np.cumsum([take.seconds for take in STORY])
    return np.searchsorted(ends / ends[-1], (np.arange(round(seconds * fps)) + 0.5) / seconds / fps)


def schedule(
    seconds: float, fps: float, span: tuple[float, float] = (0.0, float(np.pi))
) -> Schedule:
    """What a story shows when; each frame is a pose of its own, since the camera always moves.

    Parameters
    ----------
    span : smallest and largest opening, radians.

    Raises
    ------
    UseError
        If it is too short or too long.
    """
    if not SHORTEST_S <= seconds <= LONGEST_S:
        raise UseError(
            f"a story of {seconds:g} s; allowed: {SHORTEST_S:g} to {LONGEST_S:g} seconds"
        )
    takes = takes_of(seconds, fps)
    rows = np.zeros((len(takes), 4))
    for number, take in enumerate(STORY):
        mine = takes == number
        moved = take.moved(shares(takes, number))
        openings = take.opening[0] + (take.opening[1] - take.opening[0]) * moved
        rows[mine, 0] = span[0] + (span[1] - span[0]) * openings
        rows[mine, 1] = np.radians(take.turn[0] + (take.turn[1] - take.turn[0]) * moved)
    rows[:, 2] = np.linspace(0.0, 1.0, len(rows))
    return Schedule(rows, np.arange(len(rows)), fps)


def cuts_of(seconds: float, fps: float) -> np.ndarray:
    """The frames of a story that are the last before a cut, shape (4,)."""
    return np.flatnonzero(np.diff(takes_of(seconds, fps)))


def shares(takes: np.ndarray, number: int) -> np.ndarray:
    """How much of its time is over in each frame of a take, 0 at its first and 1 at its last."""
    return np.linspace(0.0, 1.0, int((takes == number).sum()))
