"""A cut-out from a scan or photograph of a drawing on light paper: the ground is taken away.

Light falls unevenly on a sheet, and a hand or the camera throws soft shadows on it; ink, paint and
pencil have edges. So the ground is first made even: its brightness is a smooth surface, led through
what is surely bare paper. What then differs from it is drawn; what is bare and can be reached from
the rim of the picture is ground. Bare paper that lines enclose stays, it belongs to the drawing.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import Image

from meshes.art import FORMATS, MOST_PIXELS, MOST_SIDE, ArtError

# Longer pictures are made smaller first: A4 at 300 dpi shows all that a pen draws. Our choice.
LONGEST_SIDE = 3600
# Of fewer pixels no edge can be followed. Our choice.
LEAST_SIDE = 24
# The ground is led over a picture of this longest side; light changes slowly. Our choice.
_GROUND_SIDE = 240
_ROUNDS, _MOST_ROUNDS = 6, 40
# Of a small picture's brightness, from pixel to pixel: steeper is drawn. Our choice.
_SLOPE = 0.03
# Fewer bare pixels than a polynomial has terms tell nothing of the light.
_FEWEST = 12
# A pixel is drawn from this share of the ground's brightness on. A soft pencil takes 15 to 30 %,
# the grain of paper 2 to 3 % (measured: by us, on made pictures). Our choice.
CONTRAST = 0.10
# A rim darker than this share of the paper is the table beside the sheet. Our choice.
_TABLE = 0.6
# An edge is blurred over so many pixels, by lens and scanner. Our choice.
_BLUR = 2
# Specks smaller than this share of the largest part are dust. Our choice.
_DUST = 0.002
_RIM = 2  # pixels


@dataclass(frozen=True)
class CutOut:
    """What was drawn, on a transparent ground.

    Parameters
    ----------
    pixels : (rows, columns, 4), uint8, red, green, blue and cover.
    parts : how many separate parts are left.
    share : of the picture that is drawn or enclosed, 0 to 1.
    corner : where its upper left pixel lies in the picture, column and row.
    """

    pixels: np.ndarray
    parts: int
    share: float
    corner: tuple[int, int] = (0, 0)


def opened(file: Path) -> np.ndarray:
    """The picture, upright, as `on_white` gives it.

    Raises
    ------
    ArtError
        If it is no picture that we read; the text says why in one line.
    """
    from PIL import ImageOps

    try:
        with Image.open(file, formats=FORMATS) as image:
            if image.width * image.height > MOST_PIXELS or max(image.size) > MOST_SIDE:
                raise ArtError(f"it has {image.width} × {image.height} pixels, which is too many")
            upright = ImageOps.exif_transpose(image).convert("RGBA")
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombError) as error:
        if isinstance(error, ArtError | FileNotFoundError):
            raise
        raise ArtError(f"it is no PNG, JPEG or WebP that can be read ({error})") from None
    return on_white(upright)


def on_white(image: Image.Image, longest: int = LONGEST_SIDE) -> np.ndarray:
    """A picture with alpha, laid on white paper.

    Returns
    -------
    (rows, columns, 3) from 0 to 1; at most `longest` pixels long.
    """
    paper = Image.new("RGBA", image.size, "white")
    paper.alpha_composite(image)
    paper.thumbnail((longest, longest))
    return np.asarray(paper.convert("RGB"), dtype=np.float32) / 255


def cut_out(picture: np.ndarray, contrast: float = CONTRAST, gap: float = 0.0) -> CutOut:
    """Take the ground away.

    Parameters
    ----------
    picture : (rows, columns, 3), from 0 to 1, as `opened` gives it.
    contrast : how far drawn pixels are from the ground, as a share of it, 0.02 to 0.9.
    gap : lines that leave a gap of at most so many pixels still enclose, ≥ 0.

    Raises
    ------
    ArtError
        If nothing is drawn, or nothing is ground.
    """
    from scipy import ndimage

    if min(picture.shape[:2]) < LEAST_SIDE:
        found = f"{picture.shape[1]} × {picture.shape[0]} pixels"
        raise ArtError(f"it has only {found}; try: a scan of at least 150 dots to the inch")
    small = _small(picture)
    seen = _sheet(small)
    ground = _enlarged(_ground(small, seen, contrast), picture.shape, order=1)
    sheet = _enlarged(seen.astype(np.float32), picture.shape, order=0) > 0.5
    # The strongest of three channels: yellow differs in blue alone.
    far = np.max(np.abs(1 - picture / ground), axis=2) / contrast
    drawn = (far >= 1) & sheet
    bare = _reached(~drawn, gap)
    inside = _without_dust(~bare)
    if not inside.any():
        raise ArtError("nothing in it differs from its ground; try: a smaller --contrast")
    if inside[sheet].all():
        raise ArtError(
            "it shows no ground around the drawing; "
            "try: a margin of bare paper, or a larger --contrast"
        )
    # An edge pixel is drawn in part: by as much as it differs, beside the nearest whole one.
    edge = drawn & inside & ~ndimage.binary_erosion(inside, iterations=_BLUR, border_value=1)
    cover = inside.astype(np.float32)
    cover[edge] = _cover(far, inside)[edge]
    rows, columns = (np.flatnonzero(inside.any(axis=axis)) for axis in (1, 0))
    window = np.s_[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
    pixels = _unmixed(picture[window] / ground[window], cover[window])
    parts = ndimage.label(inside, np.ones((3, 3)))[1]
    # A clear rim, so that every edge is one.
    pixels = np.pad(pixels, ((_RIM, _RIM), (_RIM, _RIM), (0, 0)))
    corner = int(columns[0]) - _RIM, int(rows[0]) - _RIM
    return CutOut(pixels, int(parts), float(inside.mean()), corner)


def _small(picture: np.ndarray) -> np.ndarray:
    """A small picture of the same, of bright pixels only: thin lines vanish from it."""
    step = max(1, max(picture.shape[:2]) // _GROUND_SIDE)
    reach = range(-(min(step, 5) // 2), min(step, 5) // 2 + 1)
    rows, columns = (np.arange(step // 2, side, step) for side in picture.shape[:2])
    around = [
        picture[np.clip(rows + i, 0, picture.shape[0] - 1)][
            :, np.clip(columns + j, 0, picture.shape[1] - 1)
        ]
        for i in reach
        for j in reach
    ]
    return np.percentile(around, 80, axis=0)


def _enlarged(small: np.ndarray, shape: tuple[int, ...], order: int) -> np.ndarray:
    from scipy import ndimage

    zoom = (shape[0] / small.shape[0], shape[1] / small.shape[1], *(1,) * (small.ndim - 2))
    return ndimage.zoom(small, zoom, order=order, mode="nearest", grid_mode=True)


def _sheet(small: np.ndarray) -> np.ndarray:
    """Where the sheet lies in a small picture: everywhere, unless a darker table is around it."""
    from scipy import ndimage

    bright = small.min(axis=2)
    lit = bright >= _TABLE * np.percentile(bright, 95)
    for _ in range(_ROUNDS):
        level = _surface(small, lit, 2).min(axis=2)
        lit = bright >= _TABLE * level
    rim = np.concatenate((lit[0], lit[-1], lit[:, 0], lit[:, -1]))
    if np.mean(~rim) < 0.2:
        return np.ones(bright.shape, bool)
    labels, _ = ndimage.label(ndimage.binary_opening(lit, np.ones((3, 3))))
    sizes = np.bincount(labels.ravel())
    sizes[0] = 0
    filled = ndimage.binary_fill_holes(labels == np.argmax(sizes))
    # The sheet's own edge has a shadow.
    inner = ndimage.binary_erosion(filled, iterations=3)
    # What is no larger than its shadow is no sheet on a table.
    return inner if inner.sum() >= _FEWEST else np.ones(bright.shape, bool)


def _ground(small: np.ndarray, sheet: np.ndarray, contrast: float) -> np.ndarray:
    """The bare paper's colour at each pixel of a small picture, (rows, columns, 3)."""
    from scipy import ndimage

    bright = small.min(axis=2)
    bare = sheet & (bright >= _TABLE * np.percentile(bright[sheet], 95))
    surface = _surface(small, bare, 3)
    # Light changes slowly, what is drawn has edges.
    slope = ndimage.gaussian_gradient_magnitude(bright, 1) / np.maximum(bright, 0.02)
    smooth = sheet & (slope < _SLOPE)
    for k in range(_MOST_ROUNDS):
        before, ratio = bare, small / surface
        # Above, a lamp's gleam is paper too; shadows have hardly a colour.
        bare = np.all(ratio > 1 - 0.6 * contrast, axis=2) & (np.ptp(ratio, axis=2) < contrast)
        bare &= smooth
        if bare.sum() < _FEWEST or (k > _ROUNDS and not (bare & ~before).any()):
            break
        surface = _surface(small, bare, 3) if k < _ROUNDS else surface
        surface = surface if k < _ROUNDS else _followed(small, bare, surface)
    return np.clip(surface, 0.02, None)


def _surface(small: np.ndarray, bare: np.ndarray, degree: int) -> np.ndarray:
    """A polynomial through the bare pixels, for each channel."""
    y, x = np.mgrid[-1 : 1 : small.shape[0] * 1j, -1 : 1 : small.shape[1] * 1j]
    powers = [(i, j) for i in range(degree + 1) for j in range(degree + 1 - i)]
    basis = np.stack([x**i * y**j for i, j in powers], axis=-1)
    there = basis[bare]
    # The normal equations: few terms, none of them larger than 1, and many pixels.
    weights, *_ = np.linalg.lstsq(there.T @ there, there.T @ small[bare], rcond=None)
    return np.clip(basis @ weights, 0.02, None)


def _followed(small: np.ndarray, bare: np.ndarray, surface: np.ndarray) -> np.ndarray:
    """The surface, drawn to the bare paper near by: soft shadows are ground.

    Where no bare paper is near, what is a little farther counts.
    """
    from scipy import ndimage

    ratio = np.where(bare[..., None], small / surface - 1, 0)
    total, weight = np.zeros(small.shape), np.full(bare.shape, 1e-12)
    for k in range(4):
        width, share = max(small.shape[:2]) // 14 * 2**k + 1, 0.01**k
        near = np.dstack((ratio, bare))
        for _ in range(2):  # twice a box is nearly a bell
            near = ndimage.uniform_filter(near, (width, width, 1), mode="constant")
        # A running sum leaves crumbs where nothing was.
        near[near[..., 3] < 1e-9] = 0
        total += share * near[..., :3]
        weight += share * near[..., 3]
    return surface * (1 + total / weight[..., None])


def _reached(bare: np.ndarray, gap: float) -> np.ndarray:
    """The bare pixels that are reached from the rim without passing a gap of lines."""
    from scipy import ndimage

    if gap <= 0:
        return _from_rim(bare)
    away = ndimage.distance_transform_edt(np.pad(bare, 1, constant_values=True))[1:-1, 1:-1]
    wide = _from_rim(away > gap / 2)
    # Back to the lines: what is nearer to a passage that was gone through than half a gap.
    near = ndimage.distance_transform_edt(~wide) <= gap / 2 + 1
    return bare & near


def _from_rim(free: np.ndarray) -> np.ndarray:
    from scipy import ndimage

    labels, _ = ndimage.label(np.pad(free, 1, constant_values=True))
    return (labels == labels[0, 0])[1:-1, 1:-1]


def _without_dust(inside: np.ndarray) -> np.ndarray:
    """Without the parts that are far smaller than the largest."""
    from scipy import ndimage

    labels, count = ndimage.label(inside, np.ones((3, 3)))
    if not count:
        return inside
    sizes = np.bincount(labels.ravel())
    sizes[0] = 0
    return np.isin(labels, np.flatnonzero(sizes >= max(4, _DUST * sizes.max())))


def _cover(far: np.ndarray, inside: np.ndarray) -> np.ndarray:
    """How much of a pixel is drawn: its difference beside the largest around it, 0 to 1."""
    from scipy import ndimage

    strongest = ndimage.maximum_filter(np.where(inside, far, 0), size=2 * _BLUR + 3)
    return np.clip(far / np.maximum(strongest, 1), 0, 1)


def _unmixed(even: np.ndarray, cover: np.ndarray) -> np.ndarray:
    """Colours as on white paper, those of edges without the paper's share; uint8."""
    part = np.maximum(cover, 0.05)[..., None]
    colours = np.clip((even - (1 - part)) / part, 0, 1)
    rgba = np.concatenate((colours * (cover[..., None] > 0), cover[..., None]), axis=2)
    return np.rint(rgba * 255).astype(np.uint8)
