"""What is printed on a sheet: images and lettering, placed in millimetres on either side.

Art has coordinates of its own, with x to the right and y up for whoever reads that side. Its
placement maps them to the coordinates of the sheet, turned over for the back.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import IO, TYPE_CHECKING, Literal

import numpy as np
import shapely
from shapely.geometry import Polygon

from .sheet import Placement

if TYPE_CHECKING:
    from PIL import Image as Pillow
    from PIL import ImageFont

FORMATS = ("PNG", "JPEG", "WEBP")
# Larger pictures than a printed page at 600 dpi needs are a mistake or an attack.
# Our choice: A2 at 300 dpi is 35 million.
MOST_PIXELS = 40_000_000
MOST_SIDE = 16_384  # our choice
# Height of the capitals of ordinary typefaces over their size: common practice, no source. It is
# only used before the font is measured.
RASTER_PER_MM = 8.0
MOST_RASTER = 2048  # our choice
OVERSAMPLING = 2
# Letters are measured in squares of this share of their size; longer lines are not. Our choice.
_INK_PIXELS, _WIDEST_INK = 48, 20_000


class ArtError(ValueError):
    """An image or a font that can't be used; the text says why in one line."""


@dataclass(frozen=True)
class Image:
    """A picture on a sheet.

    Parameters
    ----------
    width, height : mm; its middle is the origin of its coordinates.
    side : +1 on the printed face, -1 on the back.
    flip : mirrored left for right.
    key : where its piece has it in the design, as in ``images.1``.
    """

    file: Path
    width: float
    height: float
    placement: Placement
    side: Literal[1, -1] = 1
    flip: bool = False
    key: str = ""


@dataclass(frozen=True)
class Lettering:
    """A line of text on a sheet, centred on the origin of its coordinates.

    Parameters
    ----------
    size : of the typeface, from line to line, mm.
    font : a file of the designer's, or that of the program.
    key : where its piece has it in the design, as in ``lettering.1``.
    """

    text: str
    size: float
    colour: str
    font: Path
    placement: Placement
    side: Literal[1, -1] = 1
    key: str = ""


Art = Image | Lettering


@dataclass(frozen=True, eq=False)
class Raster:
    """Art made into pixels.

    Parameters
    ----------
    pixels : shape (rows, columns, 4), uint8 sRGB with straight alpha, first row on top.
    corner : lower left corner in the coordinates of the sheet, mm.
    size : width and height, mm.
    """

    pixels: np.ndarray
    corner: tuple[float, float]
    size: tuple[float, float]


def picture_size(file: Path) -> tuple[int, int]:
    """Width and height of an image as it is shown, pixels; ArtError if it is none that we read."""
    with _opened(file) as image:
        # Photographs are often stored lying on their side, with a note which way is up. Where it
        # may stand behind the picture, all of that is read.
        try:
            turned = image.getexif().get(0x0112, 1) in (5, 6, 7, 8)
        except (OSError, ValueError, SyntaxError) as error:
            raise ArtError(f"can't be decoded ({type(error).__name__})") from None
        return image.size[::-1] if turned else image.size


def check_font(file: Path) -> None:
    """ArtError if the file is no font."""
    _face(file, 16)


def raster(
    art: tuple[Art, ...], polygon: Polygon, side: Literal[1, -1], per_mm: float = RASTER_PER_MM
) -> Raster | None:
    """What one side of a facet shows, in pixels; None if that is nothing.

    Parameters
    ----------
    art : of the sheet, undermost first.
    polygon : the facet, in the coordinates of the sheet, mm.
    per_mm : pixels per mm, less on large facets.
    """
    return _raster(art, polygon, side, per_mm, tuple(map(_changed, art)))


def _changed(item: Art) -> int:
    """When the file of some art was last written, ns; 0 if it is away."""
    try:
        return (item.file if isinstance(item, Image) else item.font).stat().st_mtime_ns
    except OSError:
        return 0


@lru_cache(maxsize=512)
def _raster(
    art: tuple[Art, ...],
    polygon: Polygon,
    side: Literal[1, -1],
    per_mm: float,
    changed: tuple[int, ...],
) -> Raster | None:
    """See :func:`raster`; `changed` makes art be painted anew whose file was saved again."""
    from PIL import Image as Pillow

    shown = [item for item in art if item.side == side and _lies_on(item, polygon)]
    if not shown:
        return None
    left, bottom, right, top = shapely.unary_union([_outline(item) for item in shown]).bounds
    bounds = polygon.bounds
    left, bottom = max(left, bounds[0]), max(bottom, bounds[1])
    right, top = min(right, bounds[2]), min(top, bounds[3])
    if right - left < 1e-6 or top - bottom < 1e-6:
        return None
    per_mm = min(per_mm, MOST_RASTER / max(right - left, top - bottom))
    size = max(1, round((right - left) * per_mm)), max(1, round((top - bottom) * per_mm))
    canvas = Pillow.new("RGBA", size, (0, 0, 0, 0))
    scale = np.array([(right - left) / size[0], (top - bottom) / size[1]])
    for item in shown:
        # From pixels of the canvas to the coordinates of the art.
        back = item.placement.inverse()
        corner, right_step, down_step = back.apply(
            [(left, top), (left + scale[0], top), (left, top - scale[1])]
        )
        steps = np.column_stack([right_step - corner, down_step - corner])
        canvas.alpha_composite(_sampled(item, size, corner, steps))
    return Raster(np.asarray(canvas), (left, bottom), (right - left, top - bottom))


def _lies_on(item: Art, polygon: Polygon) -> bool:
    """Whether any of the art is on a facet; a line of accents alone has no width."""
    outline = _outline(item)
    return outline.area > 0 and outline.intersects(polygon)


def size_of(item: Art) -> tuple[float, float]:
    """Width and height of the rectangle that holds the art, mm."""
    return (item.width, item.height) if isinstance(item, Image) else lettering_size(item)


def _outline(item: Art) -> Polygon:
    """The rectangle that holds the art, in the coordinates of the sheet, mm."""
    x, y = np.array(size_of(item)) / 2
    corners = item.placement.apply([(-x, -y), (x, -y), (x, y), (-x, y)])
    return Polygon(corners).normalize()


def lettering_size(item: Lettering) -> tuple[float, float]:
    """Width and height of a line of text, mm."""
    face = _face(item.font, 256)
    return face.getlength(item.text) * item.size / 256, 1.3 * item.size


def ink(item: Lettering) -> np.ndarray:
    """Middles of the small squares that the letters cover, shape (n, 2), mm on the sheet."""
    from PIL import Image as Pillow
    from PIL import ImageDraw

    face = _face(item.font, _INK_PIXELS)
    width = max(1, round(face.getlength(item.text)))
    if width > _WIDEST_INK:
        return np.zeros((0, 2))
    # A border on all sides, since letters may reach beyond their line.
    border = _INK_PIXELS
    mask = Pillow.new("L", (width + 2 * border, 2 * border), 0)
    ImageDraw.Draw(mask).text((border, border), item.text, fill=255, font=face, anchor="lm")
    rows, columns = np.nonzero(np.asarray(mask) > 127)
    x = columns + 0.5 - border - width / 2
    points = np.stack([x, border - rows - 0.5], axis=1) * item.size / _INK_PIXELS
    return item.placement.apply(points)


def _sampled(
    item: Art, size: tuple[int, int], corner: np.ndarray, steps: np.ndarray
) -> Pillow.Image:
    """The art seen through an affine map from pixels to its own coordinates (mm)."""
    from PIL import Image as Pillow

    # Pixels of the source for one of the canvas, so that it is neither blurred nor jagged.
    step = float(np.linalg.norm(steps[:, 0]))
    looked_at = corner + np.array([(0, 0), (size[0], 0), (0, size[1]), size]) @ steps.T
    source, middle, (across, down) = _source(item, OVERSAMPLING / step, looked_at)
    matrix = np.array([[across, 0.0], [0.0, -down]])
    linear = matrix @ steps
    offset = matrix @ corner + middle
    coefficients = (*linear[0], offset[0], *linear[1], offset[1])
    # Resampled with premultiplied colour, or the transparent parts would bleed into the edges.
    moved = source.convert("RGBa").transform(
        size, Pillow.Transform.AFFINE, tuple(coefficients), Pillow.Resampling.BILINEAR
    )
    return moved.convert("RGBA")


def _source(
    item: Art, per_mm: float, looked_at: np.ndarray
) -> tuple[Pillow.Image, np.ndarray, tuple[float, float]]:
    """The art as a picture of about `per_mm` pixels per mm.

    Returns
    -------
    the picture; where the middle of the art lies in it (pixels); pixels per mm across and down.
    """
    from PIL import ImageOps

    if isinstance(item, Image):
        image = _loaded(item.file, item.file.stat().st_mtime_ns)
        if item.flip:
            image = ImageOps.mirror(image)
        wanted = max(1, round(item.width * per_mm)), max(1, round(item.height * per_mm))
        if wanted[0] < image.width or wanted[1] < image.height:
            image = image.convert("RGBa").resize(wanted).convert("RGBA")
        scale = image.width / item.width, image.height / item.height
        return image, np.array(image.size) / 2, scale
    return _written(item, per_mm, looked_at)


def _written(
    item: Lettering, per_mm: float, looked_at: np.ndarray
) -> tuple[Pillow.Image, np.ndarray, tuple[float, float]]:
    """The part of the lettering that is looked at; a long line is many metres of pixels."""
    from PIL import Image as Pillow
    from PIL import ImageDraw

    width, height = lettering_size(item)
    whole = np.array([max(1, round(width * per_mm)), max(1, round(height * per_mm))])
    scale = whole[0] / width, whole[1] / height
    face = _face(item.font, max(4, round(item.size * per_mm)))
    # The window in pixels of the whole line, with a border for what is resampled across its edge.
    there = looked_at * (scale[0], -scale[1]) + whole / 2
    low = np.maximum(np.floor(there.min(axis=0)).astype(int) - 2, 0)
    high = np.minimum(np.ceil(there.max(axis=0)).astype(int) + 2, whole)
    pixels = np.maximum(high - low, 1)
    image = Pillow.new("RGBA", tuple(pixels), (*_channels(item.colour), 0))
    mask = Pillow.new("L", tuple(pixels), 0)
    text, start = _between(item.text, face, low[0] - whole[0] / 2, high[0] - whole[0] / 2)
    at = (start + whole[0] / 2 - low[0], whole[1] / 2 - low[1])
    ImageDraw.Draw(mask).text(at, text, fill=255, font=face, anchor="lm")
    image.putalpha(mask)
    return image, whole / 2 - low, scale


def _between(
    text: str, face: ImageFont.FreeTypeFont, left: float, right: float
) -> tuple[str, float]:
    """The letters that reach into a span, and where they start; pixels from the line's middle."""
    start = -face.getlength(text) / 2
    # With the pair's kerning, as Pillow's handbook advises.
    places = [
        start + face.getlength(text[: k + 1]) - face.getlength(text[k]) for k in range(len(text))
    ]
    # A letter may reach beyond its advance, never by more than the size of the typeface.
    first = next((k for k, x in enumerate(places) if x > left - 3 * face.size), len(text)) - 1
    first = max(first, 0)
    last = next((k for k, x in enumerate(places) if x > right + face.size), len(text))
    return text[first:last], places[first]


def _channels(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


@lru_cache(maxsize=64)
def _face(file: Path, size: int) -> ImageFont.FreeTypeFont:
    from PIL import ImageFont

    try:
        return ImageFont.truetype(str(file), size, layout_engine=ImageFont.Layout.BASIC)
    except OSError as error:
        raise ArtError(f"is not a font that can be read ({error})") from None


def _opened(file: Path | IO[bytes]) -> Pillow.Image:
    """The image, not yet decoded, within the limits."""
    from PIL import Image as Pillow
    from PIL import UnidentifiedImageError

    try:
        image = Pillow.open(file, formats=FORMATS)
    except FileNotFoundError:
        raise ArtError("there is no such file") from None
    except (UnidentifiedImageError, OSError, ValueError) as error:
        raise ArtError(f"is not an image that can be read ({type(error).__name__})") from None
    except Pillow.DecompressionBombError:
        raise ArtError(f"has more than {MOST_PIXELS // 1_000_000} million pixels") from None
    if image.width * image.height > MOST_PIXELS or max(image.size) > MOST_SIDE:
        image.close()
        raise ArtError(
            f"has {image.width} × {image.height} pixels; allowed: up to "
            f"{MOST_PIXELS // 1_000_000} million, {MOST_SIDE} on a side"
        )
    return image


def picture(file: Path) -> Pillow.Image:
    """An image, decoded, upright and in sRGB with alpha; ArtError if it is none that we read."""
    _opened(file).close()
    return _loaded(file, file.stat().st_mtime_ns)


@lru_cache(maxsize=32)
def _loaded(file: Path, changed: int) -> Pillow.Image:
    """The decoded image, upright and in sRGB; `changed` makes a saved image be read anew."""
    from PIL import ImageOps

    try:
        with _opened(file) as image:
            return _in_srgb(ImageOps.exif_transpose(image)).convert("RGBA")
    except (OSError, ValueError, SyntaxError) as error:
        raise ArtError(f"{file.name} can't be decoded ({type(error).__name__})") from None


def decoded(data: bytes) -> tuple[Pillow.Image, str]:
    """The image that a file's bytes hold, upright and in sRGB with alpha, and its format.

    Raises
    ------
    ArtError
        If it is none that we read; the file's name is not asked.
    """
    import io

    from PIL import ImageOps

    if not data:
        raise ArtError("is empty")
    try:
        with _opened(io.BytesIO(data)) as image:
            kind = str(image.format)
            return _in_srgb(ImageOps.exif_transpose(image)).convert("RGBA"), kind
    except ArtError:
        raise
    except (OSError, ValueError, SyntaxError, EOFError) as error:
        raise ArtError(f"can't be decoded ({type(error).__name__})") from None


def _in_srgb(image: Pillow.Image) -> Pillow.Image:
    """The image in sRGB if it carries another colour profile; a broken profile is left aside."""
    import io

    from PIL import ImageCms

    profile = image.info.get("icc_profile")
    if not profile:
        return image
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        target = ImageCms.createProfile("sRGB")
        mode = "RGBA" if "A" in image.getbands() else "RGB"
        converted = ImageCms.profileToProfile(image, source, target, outputMode=mode)
    except (ImageCms.PyCMSError, OSError, ValueError):
        return image
    return converted if converted is not None else image


def shown_on(art: Sequence[Art], side: Literal[1, -1]) -> tuple[Art, ...]:
    """The art of one side."""
    return tuple(item for item in art if item.side == side)
