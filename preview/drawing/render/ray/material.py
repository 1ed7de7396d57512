"""What is printed on paper, and its grain: rulings, leaf lines, pictures, tooth."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from preview.drawing.book import Ruling
from preview.drawing.colour import linear, srgb_to_linear
from preview.drawing.core import CoreLine
from preview.drawing.scene import Surface, SurfaceImage

from .finish import FLECKED, PITCH_MM, TILE, flecks

# Common practice, no source: dots and squares of 5 mm, lines of 7.
RULING_PITCH_MM = {"dots": 5.0, "grid": 5.0, "lines": 7.0}
DOT_RADIUS_MM = 0.42  # our choice
LINE_WIDTH_MM = 0.22  # our choice
RULING_DARKNESS = 0.30  # our choice
LEAF_PITCH_MM = 0.62  # our choice
LEAF_DARKNESS = 0.16  # our choice


@dataclass(frozen=True, eq=False)
class Texture:
    """What one side of a surface shows beyond its plain colour.

    Parameters
    ----------
    patch : number of the patch.
    front : whether the surface's front is shown.
    albedo : linear colour of that side, shape (3,).
    footprint : size of a pixel on the paper along its two axes, mm; finer detail is faded, not
        left to flicker.
    """

    patch: int
    surface: Surface
    front: bool
    albedo: np.ndarray
    footprint: tuple[float, float]

    @staticmethod
    def needed(surface: Surface, front: bool) -> bool:
        """Whether that side shows more than a plain colour."""
        picture = surface.front_picture if front else surface.back_picture
        ruled = front and surface.ruling != "plain"
        lined = any(line.front == front for line in surface.lines)
        flecked = surface.finish in FLECKED
        return ruled or lined or flecked or picture is not None or surface.material == "block"


def footprint(surface: Surface, eye: np.ndarray, angle: float) -> tuple[float, float]:
    """Size of a pixel on a surface along its two axes, mm, longer where it is foreshortened.

    Parameters
    ----------
    eye : shape (3,), mm.
    angle : of a pixel as the eye sees it, radians.
    """
    away = surface.corners.mean(axis=0) - eye
    distance = float(np.linalg.norm(away))
    along = (away / distance) @ surface.rotation[:, :2]
    u, v = (angle * distance / math.sqrt(max(1 - side * side, 0.01)) for side in along.tolist())
    return u, v


def paint(texture: Texture, points: np.ndarray) -> np.ndarray:
    """Linear colours of points in the scene on a textured side, shape (n, 3), float32."""
    surface = texture.surface
    axes = surface.rotation[:, :2].astype(np.float32)
    flat = np.einsum("nk,kj->nj", points - surface.translation.astype(np.float32), axes)
    colour = np.broadcast_to(texture.albedo, (len(flat), 3)).astype(np.float32)
    if surface.material == "block":
        colour *= leaves(flat[:, 1], texture.footprint[1])[:, None]
    if texture.front and surface.ruling != "plain":
        colour *= ruled(surface.ruling, flat, texture.footprint)[:, None]
    picture = surface.front_picture if texture.front else surface.back_picture
    pixel = math.sqrt(texture.footprint[0] * texture.footprint[1])
    if picture is not None:
        ink = sample(picture, flat, pixel)
        colour = colour * (1 - ink[:, 3:]) + ink[:, :3]
    if surface.finish in FLECKED:
        colour = colour * flecks(surface.finish, flat, surface.seed, pixel)
    for line in surface.lines:
        if line.front == texture.front:
            cover = cracked(line, flat, surface.seed, pixel)[:, None]
            colour = colour * (1 - cover) + linear(surface.core).astype(np.float32) * cover
    return colour.astype(np.float32)


def cracked(line: CoreLine, flat: np.ndarray, seed: int, pixel: float) -> np.ndarray:
    """How much of the core shows at places beside a fold, 0 to 1, shape (n,).

    The skin of a card cracks unevenly along its fold: here more, there less.
    """
    start, end = np.array([line.start, line.end], np.float32)
    along = (end - start) / np.linalg.norm(end - start)
    offset = flat - start
    gap = np.abs(offset[:, 0] * along[1] - offset[:, 1] * along[0])
    beside = offset[:, 0] * along[0] + offset[:, 1] * along[1]
    # What is finer than a pixel would only flicker.
    varies = CRACK_VARIES * min(1.0, CRACK_SEEN_MM / pixel)
    places = np.stack([beside, np.zeros_like(beside)], axis=1)
    ragged = 1 + varies * grain(places, np.full(len(flat), seed % 9973), PITCH_MM)[:, 0]
    reach = line.reach * np.clip(ragged, 0.2, 1.8)
    # Thinner than a pixel, it is widened to it and paled; the fold is an edge of the paper.
    wide = np.hypot(reach, 0.5 * pixel)
    cover = np.clip((wide - gap) / max(0.05, 0.5 * pixel) + 0.5, 0, 1)
    return np.asarray(cover * reach / wide, np.float32)


def ruled(ruling: Ruling, flat: np.ndarray, pixel: tuple[float, float]) -> np.ndarray:
    """Factor on the page's colour from its ruling, shape (n,).

    Marks thinner than a pixel are widened to it and paled, so that they neither flicker nor vanish.

    Parameters
    ----------
    flat : shape (n, 2), mm, in the plane of the page.
    pixel : size of a pixel along both axes, mm.
    """
    pitch = RULING_PITCH_MM[ruling]
    gap = np.abs(flat - pitch * np.rint(flat / pitch))
    if ruling == "dots":
        radii = np.hypot(DOT_RADIUS_MM, 0.55 * np.array(pixel))
        radius = np.hypot(gap[:, 0] / radii[0], gap[:, 1] / radii[1])
        soft = np.maximum(0.16, 0.5 * np.array(pixel)) / radii
        cover = np.clip((1 - radius) / soft.mean() + 0.5, 0, 1)
        return np.asarray(1 - RULING_DARKNESS * DOT_RADIUS_MM**2 / radii.prod() * cover)
    cover = _line(gap[:, 1], pixel[1])
    if ruling == "grid":
        cover = np.maximum(cover, _line(gap[:, 0], pixel[0]))
    return 1 - RULING_DARKNESS * cover


def _line(gap: np.ndarray, pixel: float) -> np.ndarray:
    """How much of a pixel a line covers whose middle is `gap` away, mm."""
    width = float(np.hypot(LINE_WIDTH_MM, 0.9 * pixel))
    cover = np.clip((width / 2 - gap) / max(0.1, 0.9 * pixel) + 0.5, 0, 1)
    return cover * (LINE_WIDTH_MM / width)


def leaves(height: np.ndarray, pixel: float) -> np.ndarray:
    """Factor on the colour of a page block from its leaves, shape (n,); `height` in mm."""
    clear = min(max((0.45 - pixel) / 0.2, 0.0), 1.0)
    phase = height * (2 * np.pi / LEAF_PITCH_MM) + 0.9 * np.sin(height * 2.3)
    return 1 - LEAF_DARKNESS * (0.5 + 0.5 * clear * np.cos(phase))


@lru_cache(maxsize=64)
def _pyramid(picture: SurfaceImage) -> tuple[np.ndarray, ...]:
    """The picture in linear light with premultiplied alpha, and halved again and again."""
    level: np.ndarray = np.empty(picture.pixels.shape, np.float32)
    level[..., 3] = picture.pixels[..., 3] / 255.0
    level[..., :3] = srgb_to_linear(picture.pixels[..., :3] / 255.0) * level[..., 3:]
    levels = [level]
    while min(level.shape[:2]) >= 2:
        rows, columns = level.shape[0] // 2 * 2, level.shape[1] // 2 * 2
        even = level[:rows, :columns]
        level = (even[::2, ::2] + even[1::2, ::2] + even[::2, 1::2] + even[1::2, 1::2]) / 4
        levels.append(level)
    return tuple(levels)


def sample(picture: SurfaceImage, flat: np.ndarray, pixel: float) -> np.ndarray:
    """Premultiplied linear colour and alpha at points of the plane, shape (n, 4), float32."""
    levels = _pyramid(picture)
    texel = picture.size[1] / picture.pixels.shape[0]
    level = levels[int(np.clip(np.rint(np.log2(max(pixel / texel, 1.0))), 0, len(levels) - 1))]
    rows, columns = level.shape[:2]
    u = (flat[:, 0] - picture.corner[0]) / picture.size[0]
    v = 1.0 - (flat[:, 1] - picture.corner[1]) / picture.size[1]
    inside = (u >= 0) & (u <= 1) & (v >= 0) & (v <= 1)
    x = np.clip(u * columns - 0.5, 0, columns - 1)
    y = np.clip(v * rows - 0.5, 0, rows - 1)
    x0, y0 = x.astype(np.int32), y.astype(np.int32)
    x1, y1 = np.minimum(x0 + 1, columns - 1), np.minimum(y0 + 1, rows - 1)
    fx, fy = (x - x0)[:, None], (y - y0)[:, None]
    top = level[y0, x0] * (1 - fx) + level[y0, x1] * fx
    low = level[y1, x0] * (1 - fx) + level[y1, x1] * fx
    return ((top * (1 - fy) + low * fy) * inside[:, None]).astype(np.float32)


TOOTH_STRENGTH = {"paper": 1.0, "page": 0.8, "block": 0.5, "cover": 1.3, "film": 0.0}  # our choice
TABLE_TOOTH = 0.35  # our choice
# How it changes the colour, the light of the key and that of the sky. Our choice.
TOOTH_ALBEDO, TOOTH_KEY, TOOTH_SKY = 0.012, 0.028, 0.03
# Tooth finer than this many mm a pixel only adds noise. Our choice.
TOOTH_FADE_MM = (0.30, 0.60)


# Wavelengths of the tooth, mm: of card, and of paper dried on a felt. Our choice.
WAVES_MM = ((0.55, 3.2), (1.1, 5.5))
# How much the width of a crack varies along its fold, standard deviation. Our choice.
CRACK_VARIES = 0.45
# Up to pixels of this size all of that is shown, mm. Our choice.
CRACK_SEEN_MM = 0.3


@lru_cache(maxsize=2)
def tooth(coarse: bool = False) -> np.ndarray:
    """The grain of paper: height and its two slopes on a tile that repeats, (n, n, 3), float32.

    Noise of wavelengths 0.55 to 3.2 mm, or of `WAVES_MM` for coarse paper, of unit variance.
    """
    low, high = WAVES_MM[coarse]
    noise = np.random.default_rng(20_26).standard_normal((TILE, TILE), np.float32)
    frequency = np.fft.fftfreq(TILE, PITCH_MM).astype(np.float32)
    # The transform of what is real is symmetric, so half of it is enough.
    half = np.abs(frequency[: TILE // 2 + 1])
    fy, fx = np.meshgrid(frequency, half, indexing="ij")
    radius = np.hypot(fx, fy)
    band = np.exp(-((radius * low) ** 4)) * (1 - np.exp(-((radius * high) ** 4)))
    spectrum = np.fft.rfft2(noise) * band
    height = np.fft.irfft2(spectrum)
    slopes = [np.fft.irfft2(spectrum * 2j * np.pi * f) for f in (fx, fy)]
    layers = [layer / layer.std() for layer in (height, *slopes)]
    return np.stack(layers, axis=-1).astype(np.float32)


@lru_cache(maxsize=6)
def _tooth_seen(cells: int, coarse: bool) -> np.ndarray:
    """The tooth averaged over squares of so many cells both ways, one row a cell."""
    seen = tooth(coarse)
    for axis in (0, 1):
        seen = np.sum([np.roll(seen, k - cells // 2, axis) for k in range(cells)], axis=0)
    return np.asarray(seen / np.float32(cells**2)).reshape(-1, 3)


def grain(flat: np.ndarray, seeds: np.ndarray, pixel: float, coarse: bool = False) -> np.ndarray:
    """Height and slopes of the tooth about points of their planes, shape (n, 3).

    Parameters
    ----------
    flat : shape (n, 2), mm, in the frame of each sheet, so that the grain moves with the paper.
    seeds : shape (n,), shifts the tile from sheet to sheet.
    pixel : how wide a pixel is on the paper, mm; it shows the mean.
    """
    cells = np.floor(flat * np.float32(1 / PITCH_MM)).astype(np.int32)
    # The tile is a power of two wide, so the remainder is its lowest bits.
    x = (cells[:, 0] + seeds * 193) & (TILE - 1)
    y = (cells[:, 1] + seeds * 389) & (TILE - 1)
    seen = _tooth_seen(max(1, round(pixel / PITCH_MM)), coarse)
    return seen.take(y * TILE + x, axis=0)
