"""A drawing on paper becomes a piece: without its ground, cut along its edge, laid or stood.

What is tried on the small picture that the page shows is made of the whole one when it is laid, by
the same code as ``foldstage cut-out``.
"""

from __future__ import annotations

import io
from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Annotated, Any, Literal

import numpy as np
import shapely
from PIL import Image
from pydantic import BaseModel, ConfigDict, Field
from shapely.geometry import Polygon

from meshes.art import ArtError
from meshes.design.edit import AddPiece, accepted, name_like
from meshes.design.edit.edits import units_of
from meshes.design.edit.names import pieces_of
from meshes.spread import Spread
from meshes.traced import edge_of
from preview.errors import UseError
from preview.pictures.cut_out import CONTRAST, LONGEST_SIDE, CutOut, cut_out, on_white

from .asked import Finite, Name, Request
from .drawer import Dropped, Footing, first_with_room, in_units, spots
from .room import Room
from .stock import stock
from .tray import LOOK_SIDE, Brought

Json = dict[str, Any]
_Way = Literal["flat", "stand"]

# Ever smaller, until it has room. Our choice, as of pieces from the drawer.
_SIZES = (1.0, 0.8, 0.65, 0.5, 0.4, 0.3)
_LEAST_MM = 8.0
# How a figure stands on a crease, degrees and mm, and how wide its feet are beside it: our choice,
# tried by the tests. Panels nearly upright lose little of the drawing at their feet.
_STANDS: Mapping[str, float] = {"page_angle": 62, "panel_angle": 78, "tab": 8}
_FOOT, _LONGEST_FOOT = 0.36, 26.0


class CutAlong(BaseModel):
    """How a drawing is cut out.

    Parameters
    ----------
    contrast, gap : as of `cut_out`; the gap in pixels of the page's picture.
    border, height : of the piece, mm.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    picture: Name
    contrast: Annotated[float, Field(ge=0.02, le=0.9)] = CONTRAST
    gap: Annotated[float, Field(ge=0, le=60)] = 0.0
    border: Annotated[float, Field(ge=0, le=15)] = 2.0
    height: Annotated[float, Field(ge=_LEAST_MM, le=400)] = 60.0


class Laid(CutAlong, Request):
    """A cut-out is laid flat or stood on a crease where the hand lets it go; see `Dropped`."""

    name: str = ""
    way: _Way = "flat"
    piece: Name = ""
    body: Name = ""
    local: tuple[Finite, Finite, Finite] = (0.0, 0.0, 0.0)
    seen: Literal[1, -1] = 1
    on: Name = ""

    @property
    def kind(self) -> str:
        """The kind of piece that it becomes."""
        return "flat" if self.way == "flat" else "v-fold"

    @property
    def dropped(self) -> Dropped:
        """Where, as a piece of the drawer is dropped."""
        where = {
            key: getattr(self, key) for key in ("made", "piece", "body", "local", "seen", "on")
        }
        return Dropped(kind=self.kind, **where)


def tried(brought: Brought, wanted: CutAlong) -> Json:
    """How a drawing would be cut, for the page to show over it.

    Returns
    -------
    ``rings`` in pixels of the page's picture, ``size`` of the piece in mm, ``parts``.
    """
    found = _without_ground(brought, wanted, whole=False)
    shape, scale = _edge(found.pixels, wanted.height, wanted.border)
    rings = [shape.exterior, *shape.interiors]
    low_x, low_y, high_x, high_y = shape.bounds
    size = wanted.height / (high_y - low_y)
    return {
        "rings": [
            np.round(np.asarray(ring.coords) / scale + found.corner, 1).tolist() for ring in rings
        ],
        "size": [round((high_x - low_x) * size, 1), round(wanted.height, 1)],
        "parts": found.parts,
    }


def cut(brought: Brought, wanted: CutAlong) -> tuple[bytes, np.ndarray]:
    """The cut-out of the whole picture, as a PNG file and as pixels."""
    found = _without_ground(brought, wanted, whole=True)
    data = io.BytesIO()
    Image.fromarray(found.pixels).save(data, "PNG", optimize=True)
    return data.getvalue(), found.pixels


def _without_ground(brought: Brought, wanted: CutAlong, *, whole: bool) -> CutOut:
    image = brought.whole() if whole else Image.fromarray(brought.look)
    if brought.clear:
        return CutOut(np.asarray(image), 1, 1.0)
    gap = wanted.gap * (min(max(image.size), LONGEST_SIDE) / LOOK_SIDE if whole else 1.0)
    try:
        return cut_out(on_white(image), wanted.contrast, gap)
    except ArtError as error:
        raise UseError(str(error)) from None


def _edge(pixels: np.ndarray, height: float, border: float) -> tuple[Polygon, float]:
    """The edge with a border of its true width on a piece that is so high altogether."""
    try:
        return edge_of(pixels[..., 3], height, _grow(height, border))
    except ValueError as error:
        raise UseError(f"the drawing {error}") from None


def _grow(height: float, border: float) -> float:
    """What `grow` must be: a traced outline is made as high as it shall be after it has grown."""
    if height <= 2 * border + 1:
        raise UseError(f"a border of {border:g} mm leaves nothing of {height:g} mm")
    return round(border * height / (height - 2 * border), 2)


@dataclass(frozen=True)
class Silhouetted:
    """A cut-out in the file `file`, so high and with such a border."""

    file: str
    pixels: np.ndarray
    border: float

    def table(self, way: _Way, height: float) -> Json:
        """The keys of a piece of its shape, without what is printed on it, mm and degrees."""
        grow = _grow(height, self.border)
        outline = {"shape": "traced", "file": self.file, "length": height, "grow": grow}
        if way == "flat":
            return {"outline": outline}
        low_x, _, high_x, _ = self._standing(height)[0].bounds
        foot = min(_LONGEST_FOOT, round(_FOOT * (high_x - low_x)))
        return {**_STANDS, "base": max(4, foot), "outline": outline}

    def image(self, way: _Way, height: float, middle: tuple[float, float]) -> Json:
        """What is printed on it so that it meets its edge, from the middle of its sheet, mm."""
        shape, (x, y), tall = self._standing(height)
        low_x, _, high_x, high_y = shape.bounds
        origin = (0.0, high_y / 2) if way == "flat" else (0.0, 0.0)
        x, y = x - (low_x + high_x) / 2 - origin[0], y - origin[1]
        where = {"x": round(x - middle[0], 2), "y": round(y - middle[1], 2)}
        return {"file": self.file, **where, "height": round(tall, 2)}

    def _standing(self, height: float) -> tuple[Polygon, tuple[float, float], float]:
        """Its edge on y = 0, the middle of its picture there, and the picture's height, mm."""
        shape, scale = _edge(self.pixels, height, self.border)
        _, top, _, foot = shape.bounds
        whole = height / (foot - top)
        rows, columns = self.pixels.shape[:2]

        def up(points: np.ndarray) -> np.ndarray:
            return (points * (1, -1) + (0, foot)) * whole

        x, y = up(np.array([columns * scale / 2, rows * scale / 2]))
        return shapely.transform(shape, up), (float(x), float(y)), rows * scale * whole


def added(text: str, spread: Spread, wanted: Laid, figure: Silhouetted, path: Path) -> AddPiece:
    """The edit that makes a piece of a figure, as large as it has room where the hand is.

    Parameters
    ----------
    path : of the design file.

    Raises
    ------
    UseError
        If no place near the hand can carry it, however small.
    """
    pieces, unit = pieces_of(text), units_of(text).mm
    stem = figure.file.partition("-cut-out")[0].lower()
    stem = stem if stem.isascii() and stem[:1].isalpha() else "figure"
    name = name_like(stem, pieces)
    sizes = (
        _tables(wanted, figure, spot)
        for spot in spots(spread, stock()[wanted.kind], wanted.dropped)
    )
    found = first_with_room("the drawing", sizes, partial(Room(spread).trouble, name))
    plain = AddPiece(name=name, table=in_units(found, unit))
    sheet = accepted(text, [plain], path, spread).spread.built[name].sheets[0]
    middle, height = sheet.outline.centroid, found["outline"]["length"]
    image = figure.image(wanted.way, height, (middle.x, middle.y))
    return AddPiece(name=name, table=in_units({**found, "images": [image]}, unit))


def _tables(wanted: Laid, figure: Silhouetted, spot: Footing) -> list[Json]:
    """A figure in ever smaller sizes, until it is too small to be cut."""
    heights = [round(wanted.height * size) for size in _SIZES]
    return [
        {"kind": wanted.kind, **spot.table(), **figure.table(wanted.way, height)}
        for height in heights
        if height >= max(_LEAST_MM, 2 * wanted.border + 4)
    ]
