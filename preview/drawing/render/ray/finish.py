"""How kinds of paper look: fibres and clouds in them, how deep their tooth is, how metal shines.

All of it is drawn by the program on tiles that repeat, from fixed numbers. What lies in the paper
changes its colour by a factor whose mean is 1, so that a level sheet shows the colour of its file
on the whole. Shapes and strengths are chosen by eye; no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from meshes.sheet import Finish
from preview.shot.mood import brightest

# Tiles, that of the tooth too, are 123 mm wide.
TILE = 1024  # our choice
PITCH_MM = 0.12  # our choice


@dataclass(frozen=True)
class FinishTraits:
    """What sets a finish apart from smooth card.

    Parameters
    ----------
    tooth : how deep its tooth is beside that of smooth card.
    coarse : whether its tooth is that of a felt, wider than that of card.
    sheen : share of the light that it reflects as metal does.
    """

    tooth: float = 1.0
    coarse: bool = False
    sheen: float = 0.0


# Our choice.
FINISHES: dict[Finish, FinishTraits] = {
    "smooth": FinishTraits(),
    "watercolour": FinishTraits(tooth=2.6, coarse=True),
    "kraft": FinishTraits(tooth=1.2),
    "mulberry": FinishTraits(tooth=1.5),
    "metallic": FinishTraits(tooth=0.6, sheen=0.75),
}
# Of which there are tiles.
FLECKED: tuple[Finish, ...] = ("kraft", "mulberry", "metallic")


@dataclass(frozen=True)
class Fibres:
    """Fibres strewn over a tile.

    Parameters
    ----------
    count : how many.
    length : shortest and longest, mm.
    spread : how far they turn away from the grain, up and down the tile, radians.
    bend : by how much each turns on its way, radians, standard deviation.
    tone : factor on the colour under the middle of a fibre, by channel; half of them have its
        inverse.
    """

    count: int
    length: tuple[float, float]
    spread: float
    bend: float
    tone: tuple[float, float, float]


# Our choice.
FIBRES: dict[Finish, tuple[Fibres, ...]] = {
    "kraft": (
        Fibres(9000, (1.2, 4.0), 0.9, 0.5, (0.80, 0.77, 0.72)),
        Fibres(900, (0.8, 3.0), 1.5, 0.8, (0.45, 0.40, 0.34)),
    ),
    "mulberry": (
        Fibres(1000, (12.0, 38.0), 1.5, 1.6, (0.84, 0.82, 0.79)),
        Fibres(160, (18.0, 45.0), 1.5, 2.0, (0.52, 0.47, 0.40)),
    ),
}
# How strongly clouds of which wavelengths, mm, change the colour.
CLOUDS: dict[Finish, tuple[float, float, float]] = {
    "kraft": (0.020, 2.0, 9.0),
    "mulberry": (0.030, 5.0, 30.0),
    "metallic": (0.060, 0.25, 0.9),
}


@lru_cache(maxsize=4)
def _levels(finish: Finish) -> tuple[np.ndarray, ...]:
    """The tile of a finish and its means over ever larger squares, (n, n, 3) each, float32."""
    rng = np.random.default_rng([20_26, *finish.encode()])
    share, low, high = CLOUDS[finish]
    tone = np.exp(share * clouds(rng, low, high))[..., None].repeat(3, axis=2)
    for fibres in FIBRES.get(finish, ()):
        tone = tone * np.exp(_strewn(rng, fibres)[..., None] * np.log(fibres.tone))
    levels = [(tone / tone.mean(axis=(0, 1))).astype(np.float32)]
    while levels[-1].shape[0] > 1:
        a = levels[-1]
        levels.append((a[::2, ::2] + a[1::2, ::2] + a[::2, 1::2] + a[1::2, 1::2]) / 4)
    return tuple(levels)


def clouds(rng: np.random.Generator, low: float, high: float) -> np.ndarray:
    """Noise of wavelengths between two, mm, of unit variance, on a tile that repeats."""
    noise = rng.standard_normal((TILE, TILE))
    frequency = np.fft.fftfreq(TILE, PITCH_MM)
    fy, fx = np.meshgrid(frequency, np.abs(frequency[: TILE // 2 + 1]), indexing="ij")
    radius = np.hypot(fx, fy)
    band = np.exp(-((radius * low) ** 4)) * (1 - np.exp(-((radius * high) ** 4)))
    found = np.fft.irfft2(np.fft.rfft2(noise) * band)
    return np.asarray(found / found.std())


def _strewn(rng: np.random.Generator, fibres: Fibres) -> np.ndarray:
    """How much of each cell of a tile fibres cover, half of them as less than nothing, (n, n)."""
    covered = np.zeros(TILE * TILE)
    lengths = rng.uniform(*fibres.length, fibres.count)
    start = rng.uniform(0, TILE, (fibres.count, 2))
    turn = np.pi / 2 + fibres.spread * rng.uniform(-1, 1, fibres.count)
    bend = fibres.bend * rng.standard_normal((fibres.count, 2))
    sign = np.where(np.arange(fibres.count) % 2, 1.0, -0.7)
    # Places every half a cell along each fibre, which ends where its length does.
    steps = int(np.ceil(fibres.length[1] / (PITCH_MM / 2)))
    along = (np.arange(steps) + 0.5) * (PITCH_MM / 2)
    share = along / lengths[:, None]
    angle = turn[:, None] + bend[:, :1] * share + bend[:, 1:] * np.sin(2 * np.pi * share)
    x = start[:, :1] + np.cumsum(np.cos(angle), axis=1) / 2
    y = start[:, 1:] + np.cumsum(np.sin(angle), axis=1) / 2
    inside = share < 1
    weight = (sign[:, None] * np.sin(np.pi * np.clip(share, 0, 1)) ** 0.5 / 2)[inside]
    x, y = x[inside], y[inside]
    column, row = np.floor(x).astype(int), np.floor(y).astype(int)
    for right in (0, 1):
        for down in (0, 1):
            part = np.abs(1 - right - (x - column)) * np.abs(1 - down - (y - row))
            cell = (row + down) % TILE * TILE + (column + right) % TILE
            covered += np.bincount(cell, weight * part, TILE * TILE)
    return covered.reshape(TILE, TILE)


def flecks(finish: Finish, flat: np.ndarray, seed: int, pixel: float) -> np.ndarray:
    """Factor on the colour of paper from what lies in it, shape (n, 3), float32.

    Parameters
    ----------
    flat : shape (n, 2), mm, in the frame of the sheet.
    seed : shifts the tile from sheet to sheet.
    pixel : how wide a pixel is on the paper, mm; it shows the mean.
    """
    levels = _levels(finish)
    level = int(np.clip(np.rint(np.log2(max(pixel / PITCH_MM, 1.0))), 0, len(levels) - 1))
    tile = levels[level]
    size = tile.shape[0]
    shift = np.array([seed * 193 % TILE, seed * 389 % TILE], np.float32)
    place = (flat / np.float32(PITCH_MM) + shift) / np.float32(2**level) - np.float32(0.5)
    cell = np.floor(place).astype(np.int64)
    fx, fy = (place - cell).astype(np.float32).T[..., None]
    x0, y0 = cell.T % size
    x1, y1 = (x0 + 1) % size, (y0 + 1) % size
    top = tile[y0, x0] * (1 - fx) + tile[y0, x1] * fx
    low = tile[y1, x0] * (1 - fx) + tile[y1, x1] * fx
    return np.asarray(top * (1 - fy) + low * fy, np.float32)


# A metal sheet blurs what it mirrors: how sharply the key, and how much of it is scattered all
# round. Our choice.
SHARP, SCATTERED = 4.0, 0.05
# The sky is mirrored darkest and brightest so, and what lies below the horizon so. Our choice.
DARK_SKY, BRIGHT_SKY, MIRRORED_TABLE = 0.25, 1.8, 0.16
# Metal in the best place is brighter than a level sheet by at most this.
MOST_SHEEN = 4.0
# Light of the sky on a facet, beside which its mirror image counts, is at least this. Our choice.
LEAST_SKY = 0.3
# No card is quite flat, which dull paper hides and metal shows: slope, standard deviation, and the
# wavelengths of its waves, mm. Our choice.
WAVY, WAVES_MM = 0.05, (30.0, 110.0)


def metal_normals(
    normals: np.ndarray, axes: np.ndarray, flat: np.ndarray, seeds: np.ndarray
) -> np.ndarray:
    """Normals of metallic card, which is not quite flat, at places on it, shape (n, 3).

    Parameters
    ----------
    normals : of the facets, shape (n, 3).
    axes : of their planes in the scene, shape (n, 3, 2).
    flat : the places in these, shape (n, 2), mm.
    seeds : shape (n,), shift the waves from sheet to sheet.
    """
    cells = np.floor(flat / np.float32(PITCH_MM)).astype(np.int64) + [1, 2] * seeds[:, None] * 193
    slopes = _waves()[cells[:, 1] % TILE, cells[:, 0] % TILE]
    bent = normals + axes[..., 0] * slopes[:, :1] + axes[..., 1] * slopes[:, 1:]
    return np.asarray(bent / np.sqrt((bent**2).sum(axis=1, keepdims=True)), np.float32)


@lru_cache(maxsize=1)
def _waves() -> np.ndarray:
    """Slopes of the waves of a card both ways, (n, n, 2), float32."""
    height = clouds(np.random.default_rng(20_27), *WAVES_MM)
    slopes = [(np.roll(height, -1, axis) - np.roll(height, 1, axis)) for axis in (1, 0)]
    return np.stack([WAVY * slope / slope.std() for slope in slopes], axis=-1).astype(np.float32)


class MetalShine:
    """Light of key and sky that metallic card shows an eye, beside what it shows lying level.

    Parameters
    ----------
    towards_key : unit vector, shape (3,).
    gaze : unit vector from the eye to the middle of the picture, shape (3,).
    """

    def __init__(self, towards_key: np.ndarray, gaze: np.ndarray) -> None:
        self._key = towards_key.astype(np.float32)
        self._sky = brightest(towards_key).astype(np.float32)
        self._mean = np.ones(2, np.float32)
        # Waves make a level sheet brighter here, darker there; on the whole it shows its colour.
        slopes = _waves()[::16, ::16].reshape(-1, 2)
        bent = np.column_stack([slopes, np.ones(len(slopes))])
        bent /= np.linalg.norm(bent, axis=1, keepdims=True)
        rays = np.tile(gaze, (len(bent), 1)).astype(np.float32)
        shown = self.shown(rays, bent.astype(np.float32))
        self._mean = np.array([each.mean() for each in shown], np.float32)

    def shown(self, rays: np.ndarray, normals: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Of key and sky, shape (n,) each; a level sheet has 1 on the whole, as dull paper has.

        Parameters
        ----------
        rays : from the eye, unit, shape (n, 3).
        normals : shape (n, 3), towards the eye.
        """
        level = rays * np.array([1, 1, -1], np.float32)
        around = rays - 2 * (rays * normals).sum(axis=1, keepdims=True) * normals
        found = []
        for light, mean in zip((self._of_key, self._of_sky), self._mean, strict=True):
            share = light(around) / (light(level) * mean)
            found.append(np.clip(share, 0, MOST_SHEEN).astype(np.float32))
        return found[0], found[1]

    def _of_key(self, directions: np.ndarray) -> np.ndarray:
        facing = (directions * self._key).sum(axis=1)
        return np.asarray(SCATTERED + np.exp(SHARP * (facing - 1)))

    def _of_sky(self, directions: np.ndarray) -> np.ndarray:
        up = np.clip(directions[:, 2] / 0.3 + 0.5, 0, 1)
        facing = np.maximum((directions * self._sky).sum(axis=1), 0)
        sky = DARK_SKY + (BRIGHT_SKY - DARK_SKY) * facing**2
        return np.asarray(MIRRORED_TABLE + (sky - MIRRORED_TABLE) * up)
