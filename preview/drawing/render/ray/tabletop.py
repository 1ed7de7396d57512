"""What a table top is made of: weave, grain and grid, worked out at every place, with no tile.

Each layer of a pattern has a size, and it fades where a pixel covers more than that, so that
nothing shimmers as the camera moves. All is calm: the paper is the subject.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from preview.drawing.colour import linear
from preview.shot.mood import Mood

# A layer keeps exp(-(FADE f / L)²) of its strength where a pixel is f wide and the layer has length
# L. Our choice.
FADE = 1.2
# Mean of what of the noise is over a value: measured, of two million places.
MEAN_OVER = {0.2: 0.0944, 0.5: 0.0237}

# Threads of a medium linen: about twelve in a centimetre. Common practice, no source.
THREAD_MM = 0.8
# Staves of a glued table top. Common practice, no source.
STAVE_MM = 96.0
# A cutting mat: its grid, every how many lines are bold, and how wide lines are. Common practice,
# no source.
GRID_MM, BOLD = 10.0, 5
LINE_MM, BOLD_MM = 0.25, 0.45
# The mat around the open notebook: as many squares as leave this much beyond the covers.
BEYOND_MM = 70.0
RADIUS_MM = 8.0


@dataclass(frozen=True, eq=False)
class Places:
    """Places on the table.

    Parameters
    ----------
    x, y : from the middle of the open notebook, mm, shape (n,), float32.
    across, along : how far a pixel reaches there in x and in y, mm, shape (n,), float32.
    """

    x: np.ndarray
    y: np.ndarray
    across: np.ndarray
    along: np.ndarray

    def noise(self, wide: float, high: float, seed: int) -> np.ndarray:
        """Smooth noise, -1 to 1, of cells of that size in mm, faded where pixels are larger."""
        return np.asarray(self._kept(wide, high) * noise(self.x, self.y, (wide, high), seed))

    def marks(self, wide: float, high: float, seed: int, least: float) -> np.ndarray:
        """What of such noise is over `least`, less its mean, so that a layer changes no mean."""
        over = np.maximum(noise(self.x, self.y, (wide, high), seed) - np.float32(least), 0)
        return np.asarray(self._kept(wide, high) * (over - np.float32(MEAN_OVER[least])))

    def _kept(self, wide: float, high: float) -> np.ndarray:
        """The share of a layer with cells of that size that pixels show."""
        lost = np.square(self.across * np.float32(FADE / wide))
        return np.asarray(np.exp(-lost - np.square(self.along * np.float32(FADE / high))))


def shown(mood: Mood, places: Places, reach: tuple[float, float]) -> np.ndarray:
    """Linear colours of a table top, shape (3, n), float32.

    Parameters
    ----------
    reach : half the width and height of the open notebook, mm.
    """
    return _PATTERNS[mood.pattern](mood, places, reach)


def noise(x: np.ndarray, y: np.ndarray, cell: tuple[float, float], seed: int) -> np.ndarray:
    """Smooth noise between the corners of a lattice, -1 to 1, shape (n,), float32."""
    u, v = x / np.float32(cell[0]), y / np.float32(cell[1])
    left, low = np.floor(u), np.floor(v)
    s, t = (_smooth(each) for each in (u - left, v - low))
    i, j = left.astype(np.int32), low.astype(np.int32)
    bottom = _lattice(i, j, seed) * (1 - s) + _lattice(i + 1, j, seed) * s
    top = _lattice(i, j + 1, seed) * (1 - s) + _lattice(i + 1, j + 1, seed) * s
    return np.asarray(bottom * (1 - t) + top * t)


def _smooth(t: np.ndarray) -> np.ndarray:
    return np.asarray(t * t * (3 - 2 * t))


def _lattice(i: np.ndarray, j: np.ndarray, seed: int) -> np.ndarray:
    """A number from -1 to 1 for each corner of a lattice: its bits stirred, float32."""
    with np.errstate(over="ignore"):
        bits = i.astype(np.uint32) * np.uint32(0x9E3779B1)
        bits ^= j.astype(np.uint32) * np.uint32(0x85EBCA77) + np.uint32(seed * 0x27D4EB2F % 2**32)
        for shift in (15, 13):
            bits ^= bits >> np.uint32(shift)
            bits *= np.uint32(0x2C1B3C6D)
        bits ^= bits >> np.uint32(16)
    return bits.astype(np.float32) * np.float32(2 / 2**32) - np.float32(1)


def _plain(mood: Mood, places: Places, reach: tuple[float, float]) -> np.ndarray:
    near = linear(mood.table).astype(np.float32)
    return np.broadcast_to(near[:, None], (3, len(places.x)))


def _linen(mood: Mood, places: Places, reach: tuple[float, float]) -> np.ndarray:
    """Two sets of uneven threads, over and under each other, with a thick place here and there."""
    p = np.float32(2 * np.pi / THREAD_MM)
    keep = (
        np.exp(-np.square(np.float32(2 * FADE / THREAD_MM) * places.across)),
        np.exp(-np.square(np.float32(2 * FADE / THREAD_MM) * places.along)),
    )
    # Where two threads cross, one is on top; between threads it is dark.
    over = np.cos(p / 2 * places.x) * np.cos(p / 2 * places.y) * keep[0] * keep[1]
    light = np.float32(0.05) * (np.cos(p * places.x) * keep[0] + np.cos(p * places.y) * keep[1])
    light += np.float32(0.05) * over
    light += np.float32(0.055) * places.noise(26.0, THREAD_MM, 1)
    light += np.float32(0.045) * places.noise(THREAD_MM, 31.0, 2)
    light += np.float32(0.16) * places.marks(11.0, 1.6, 3, 0.5)
    light += np.float32(0.16) * places.marks(1.6, 14.0, 4, 0.5)
    light += np.float32(0.02) * places.noise(160.0, 120.0, 5)
    return _plain(mood, places, reach) * (1 + light)


def _oak(mood: Mood, places: Places, reach: tuple[float, float]) -> np.ndarray:
    """Staves of oak: growth rings cut lengthwise, pores along them, a joint between two."""
    stave = np.floor(places.y / np.float32(STAVE_MM))
    number = stave.astype(np.int32)
    own = _lattice(number, np.zeros_like(number), 7)
    side = places.y - np.float32(STAVE_MM) * (stave + np.float32(0.5))
    # Each stave comes from another place in another tree.
    apart = Places(places.x + 900 * own, places.y, places.across, places.along)
    bend = np.float32(34) * noise(apart.x, side + 500 * own, (520.0, 70.0), 8)
    bend += np.float32(5) * noise(apart.x, side, (140.0, 30.0), 9)
    rings = (side + bend + np.float32(40) * own) / np.float32(6)
    part = rings - np.floor(rings)
    keep = np.exp(-np.square(np.float32(FADE / 4) * places.along))
    # Late wood darkens towards the end of a year, and the next begins pale; not every year shows.
    late = (_smooth(np.minimum(part / np.float32(0.8), 1)) * _ends(part) - np.float32(0.45)) * keep
    late *= np.float32(0.55) + np.float32(0.45) * noise(apart.x, side, (260.0, 15.0), 13)
    pores = apart.marks(8.0, 0.5, 10, 0.2)
    dark = np.float32(0.085) * late + np.float32(0.26) * pores - np.float32(0.075) * own
    for strength, long, high, seed in ((0.05, 330.0, 9.0, 14), (0.05, 210.0, 3.1, 15)):
        dark += np.float32(strength) * apart.noise(long, high, seed)
    dark += np.float32(0.06) * apart.noise(90.0, 1.1, 11)
    joint = np.abs(side) - np.float32(STAVE_MM / 2)
    dark += np.float32(0.35) * _covered(joint, 0.5, places.along, STAVE_MM)
    # Where it is darker, oak is redder too.
    tint = np.array([0.85, 1.0, 1.25], np.float32)
    return _plain(mood, places, reach) * (1 - tint[:, None] * dark)


def _ends(part: np.ndarray) -> np.ndarray:
    """1 but for the last part of a year, where late wood ends."""
    return np.asarray(1 - _smooth(np.clip((part - np.float32(0.8)) / np.float32(0.2), 0, 1)))


def _mat(mood: Mood, places: Places, reach: tuple[float, float]) -> np.ndarray:
    """A cutting mat with squares of a centimetre, its corners round, on the table of the mood."""
    ink = np.zeros(len(places.x), np.float32)
    for place, pixel in ((places.x, places.across), (places.y, places.along)):
        line = _grid(place, pixel, GRID_MM, LINE_MM) * np.float32(0.32)
        bold = _grid(place, pixel, GRID_MM * BOLD, BOLD_MM) * np.float32(0.46)
        ink = np.maximum(ink, np.maximum(line, bold))
    half = [GRID_MM * np.ceil((side + BEYOND_MM) / GRID_MM) for side in reach]
    beyond = _beyond(places, half)
    pixel = np.maximum(places.across, places.along)
    # No ink on the rim, which is cut.
    ink *= np.clip(-beyond / 3, 0, 1)
    mat, white = (linear(colour).astype(np.float32)[:, None] for colour in (mood.table, MAT_INK))
    grit = 1 + np.float32(0.02) * places.noise(0.9, 0.9, 12)
    colour = (mat + (white - mat) * ink) * grit
    under = linear(mood.under or mood.table).astype(np.float32)[:, None]
    # A mat is a few millimetres thick, and a little shadow lies along it.
    shadow = 1 - np.float32(0.35) * np.exp(-np.maximum(beyond, 0) / np.float32(2.5))
    inside = np.clip(np.float32(0.5) - beyond / np.maximum(pixel, np.float32(0.1)), 0, 1)
    return np.asarray(colour * inside + under * shadow * (1 - inside))


MAT_INK = "#cfd9cf"


def _beyond(places: Places, half: list[float]) -> np.ndarray:
    """How far places are beyond the edge of a rectangle with round corners, mm."""
    x, y = (
        np.abs(place) - np.float32(side - RADIUS_MM)
        for place, side in zip((places.x, places.y), half, strict=True)
    )
    outer = np.hypot(np.maximum(x, 0), np.maximum(y, 0))
    return np.asarray(outer + np.minimum(np.maximum(x, y), 0) - np.float32(RADIUS_MM))


def _grid(place: np.ndarray, pixel: np.ndarray, pitch: float, width: float) -> np.ndarray:
    """How much of a pixel the lines of a grid cover, 0 to 1."""
    gap = place - np.float32(pitch) * np.rint(place / np.float32(pitch))
    return _covered(gap, width, pixel, pitch)


def _covered(gap: np.ndarray, width: float, pixel: np.ndarray, pitch: float) -> np.ndarray:
    """The share of pixels that a line covers whose middle is `gap` away, mm.

    Lines are `pitch` apart, and pixels that cover several of them show their mean.
    """
    wide = np.maximum(pixel, np.float32(0.12))
    room = np.float32(width / 2) + wide / 2 - np.abs(gap)
    one = np.clip(room, 0, np.minimum(wide, np.float32(width))) / wide
    many = np.clip(2 * wide / np.float32(pitch) - 1, 0, 1)
    return np.asarray(one + many * (np.float32(width / pitch) - one))


_PATTERNS: dict[str, Callable[[Mood, Places, tuple[float, float]], np.ndarray]] = {
    "plain": _plain,
    "linen": _linen,
    "oak": _oak,
    "mat": _mat,
}
