"""Light moods: where the key light stands, how warm it is, and what lies under the book.

The light is balanced so that a level sheet in full light shows exactly the colours of its design:
the key gives it ``strength * tint`` and the sky the rest, so that a warm key makes shade cool.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np

from ..drawing.colour import linear

Pattern = Literal["plain", "linen", "oak", "mat"]


@dataclass(frozen=True)
class Mood:
    """One way to light a spread.

    Parameters
    ----------
    azimuth, elevation, spread : of the key light and half the angle it fills, radians. The azimuth
        is counter-clockwise from the right of a reader who looks along +y (the reader is at -pi/2).
    strength : share of a level sheet's light that the key gives.
    tint : linear colour of the key.
    table, backdrop : sRGB colours of the table top and of what is behind it.
    falloff : how much darker the table gets away from the book, 0 to 1.
    bounce : how much of the table's colour comes back up as light.
    gain : exposure; below 1 keeps sheets that face a low key from washing out.
    lamp : how bright a lamp behind white paper makes it beside white paper in full light: a window
        drowns what shines bright at night.
    pattern : what the table top shows, of its colour in the mean.
    under : sRGB colour of the table under a mat; of no use without one.
    """

    name: str
    title: str
    azimuth: float
    elevation: float
    spread: float
    strength: float
    tint: tuple[float, float, float]
    table: str
    backdrop: str
    falloff: float
    bounce: float = 0.8  # our choice
    gain: float = 1.0
    lamp: float = 0.25  # our choice
    pattern: Pattern = "plain"
    under: str = ""

    def towards_key(self, viewer: float = -np.pi / 2) -> np.ndarray:
        """Unit vector from the paper to the key, shape (3,), for a viewer at that azimuth."""
        azimuth = self.azimuth + viewer + np.pi / 2
        flat = np.cos(self.elevation)
        return np.array([flat * np.cos(azimuth), flat * np.sin(azimuth), np.sin(self.elevation)])

    @property
    def key(self) -> np.ndarray:
        """Light of the key on a sheet that faces it, linear, shape (3,)."""
        return self.gain * self.strength * np.array(self.tint) / np.sin(self.elevation)

    @property
    def sky(self) -> np.ndarray:
        """Light of the whole sky on a level sheet, linear, shape (3,)."""
        return self.gain * (1.0 - self.strength * np.array(self.tint))

    @property
    def from_table(self) -> np.ndarray:
        """Light that comes up from the table on a sheet facing down, linear, shape (3,)."""
        return self.gain * self.bounce * linear(self.table)


def _mood(
    name: str,
    title: str,
    key: tuple[float, float, float],
    strength: float,
    tint: tuple[float, float, float],
    ground: tuple[str, str, float],
    bounce: float = 0.8,
    gain: float = 1.0,
    lamp: float = 0.25,
) -> Mood:
    azimuth, elevation, spread = np.radians(key).tolist()
    return Mood(
        name,
        title,
        azimuth,
        elevation,
        spread,
        strength,
        tint,
        *ground,
        bounce=bounce,
        gain=gain,
        lamp=lamp,
    )


# Our choice.
WINDOW = _mood(
    "daylight", "soft light of a window, the default",
    (-133, 41, 6.5), 0.60, (1.10, 1.00, 0.84), ("#cfc3b2", "#c6bbab", 0.30),
)  # fmt: skip
# Our choice.
DUSK = _mood(
    "dusk", "a lamp in a blue evening; the most striking, and clear film reads best in it",
    (-140, 38, 6), 0.70, (1.14, 0.98, 0.78), ("#46566a", "#2f3c4d", 0.55), bounce=0.5,
    lamp=1.2,
)  # fmt: skip
# Our choice.
STUDIO = _mood(
    "studio", "a big soft box; the truest colours",
    (-122, 48, 13), 0.52, (1.02, 1.00, 0.97), ("#dfdfe0", "#e6e6e8", 0.18),
)  # fmt: skip
# Our choice.
LATE_SUN = _mood(
    "late-sun", "low warm sun with long shadows",
    (-52, 27, 4), 0.54, (1.22, 0.99, 0.70), ("#c9b8a6", "#b9a694", 0.35), gain=0.92,
    lamp=0.5,
)  # fmt: skip
# Our choice.
NORTH = _mood(
    "north", "a calm, cool window to the north",
    (-148, 52, 24), 0.55, (0.95, 1.00, 1.06), ("#cdd5da", "#d6dde2", 0.22),
)  # fmt: skip
# Our choice.
MEADOW = _mood(
    "meadow", "morning light on a sage-green table",
    (-128, 44, 7), 0.60, (1.08, 1.01, 0.86), ("#aab79c", "#a3b096", 0.30),
)  # fmt: skip
# Our choice.
ROSE = _mood(
    "rose", "soft light on a dusty-pink table",
    (-130, 45, 9), 0.57, (1.07, 1.00, 0.90), ("#d5b3ac", "#cdaaa4", 0.28),
)  # fmt: skip

# Our choice.
NIGHT = _mood(
    "night", "moonlight, in which windows that are lit from inside shine",
    (-140, 47, 5), 0.62, (0.82, 0.98, 1.20), ("#5b6780", "#414c63", 0.45),
    gain=0.22, lamp=2.6,
)  # fmt: skip

MOODS = {mood.name: mood for mood in (WINDOW, DUSK, STUDIO, LATE_SUN, NORTH, MEADOW, ROSE, NIGHT)}


def mood_of(mood: str | Mood) -> Mood:
    """A mood by its name, or itself; ValueError if there is none of that name."""
    if isinstance(mood, Mood):
        return mood
    if mood not in MOODS:
        raise ValueError(f"no mood {mood!r}; there are {', '.join(MOODS)}")
    return MOODS[mood]


def sky_radiance(directions: np.ndarray, key: np.ndarray) -> np.ndarray:
    """Relative radiance of the sky, brighter on the side of the key.

    Parameters
    ----------
    directions : shape (n, 3), unit vectors.
    key : shape (3,), unit vector towards the key.

    Returns
    -------
    Shape (n,), scaled so that a level sheet under the whole sky receives 1.
    """
    return _glow(directions, key) / _level_sheet(tuple(np.round(key, 12).tolist()))


def _glow(directions: np.ndarray, key: np.ndarray) -> np.ndarray:
    return 0.72 + 0.75 * np.maximum(directions @ brightest(key), 0.0) ** 1.5


def brightest(key: np.ndarray) -> np.ndarray:
    """Where the sky is brightest, a unit vector: half as high as the key, shape (3,)."""
    low = np.array([key[0], key[1], key[2] / 2])
    return low / np.linalg.norm(low)


@lru_cache(maxsize=64)
def _level_sheet(key: tuple[float, float, float]) -> float:
    """Cosine-weighted mean of the sky over the upper hemisphere."""
    height = (np.arange(64) + 0.5) / 64  # sin² of the elevation: equal steps weigh by the cosine
    around = 2 * np.pi * (np.arange(128) + 0.5) / 128
    flat, up = np.sqrt(1 - height), np.sqrt(height)
    directions = np.stack(
        [
            np.outer(flat, np.cos(around)),
            np.outer(flat, np.sin(around)),
            np.repeat(up[:, None], around.size, axis=1),
        ],
        axis=-1,
    )
    return float(_glow(directions.reshape(-1, 3), np.array(key)).mean())
