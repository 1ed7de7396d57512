"""Images and lettering of a piece, as a design file gives them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from meshes.art import Art, ArtError, Image, Lettering, check_font, picture_size
from meshes.errors import DesignError, Mistake
from meshes.measure import Length, Shift, Turn, mm
from meshes.named import file_named
from meshes.sheet import Built, Placement, Sheet

Side = Literal["front", "back"]


class ArtSpec(BaseModel):
    """Where art lies on a sheet, seen by whoever reads that side."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    facet: str | None = Field(
        None,
        description="facet it is printed on; x and y start from its middle, else from the middle "
        "of the first sheet",
    )
    side: Side = Field("front", description="side it is printed on")
    x: Shift = Field(0.0, description="shift to the right")
    y: Shift = Field(0.0, description="upwards")
    turn: Turn = Field(0.0, description="turned counter-clockwise")


class ImageSpec(ArtSpec):
    """A picture (PNG, JPEG or WebP) printed on a piece; it ends at the edge of the paper."""

    file: str = Field(description="beside the design file or in a folder below it")
    width: Length | None = Field(None, description="else it follows from the height, else 40 mm")
    height: Length | None = Field(None, description="else it follows from the width")
    flip: bool = Field(False, description="mirrored left for right")


class LetteringSpec(ArtSpec):
    """A line of text printed on a piece."""

    text: str = Field(description="what it says", min_length=1, max_length=200)
    size: Annotated[float, mm(1, 200)] = Field(6.0, description="size of the type")  # our choice
    colour: Annotated[str, Field(pattern=r"^#[0-9a-fA-F]{6}$")] = Field(
        "#2c2a26", description="colour of the letters"
    )
    font: str | None = Field(
        None,
        description="a .ttf or .otf file beside the design, else the one that comes with foldstage",
    )


_USUAL_WIDTH = 40.0  # our choice
FONT = Path(__file__).resolve().parents[1] / "fonts" / "SourceSansPro-Semibold.ttf"


def attach(
    built: Built, images: list[ImageSpec], lettering: list[LetteringSpec], folder: Path
) -> Built:
    """The sheets with their art.

    Parameters
    ----------
    folder : of the design file; what it names must lie in it.

    Raises
    ------
    DesignError
        With a line for each image, font or facet that can't be used.
    """
    mistakes: list[Mistake] = []
    art: dict[str, list[Art]] = {}
    for key, specs in (("images", images), ("lettering", lettering)):
        for number, spec in enumerate(specs, 1):
            where = f"{key}.{number}"
            try:
                sheet, placement = _place(built, spec)
                art.setdefault(sheet.name, []).append(_made(spec, placement, folder, where))
            except (ArtError, KeyError) as error:
                mistakes.append(_mistake(spec, where, error, built))
    if mistakes:
        raise DesignError(mistakes)
    sheets = tuple(replace(s, art=tuple(art.get(s.name, ()))) for s in built.sheets)
    return replace(built, sheets=sheets)


def _place(built: Built, spec: ArtSpec) -> tuple[Sheet, Placement]:
    """The sheet that carries the art, and the placement on it; KeyError if the facet is unknown."""
    sheet, polygon = built.sheets[0], built.sheets[0].outline
    if spec.facet is not None:
        found = {f.name: (s, f.polygon) for s in built.sheets for f in s.facets}
        sheet, polygon = found[spec.facet]
    middle = polygon.centroid if spec.facet is None else polygon.representative_point()
    back = spec.side == "back"
    # Whoever reads the back has the sheet's x axis to the left.
    aside = -spec.x if back else spec.x
    shift = (float(middle.x) + aside, float(middle.y) + spec.y)
    return sheet, Placement(-spec.turn if back else spec.turn, shift, flipped=back)


def _made(spec: ArtSpec, placement: Placement, folder: Path, key: str) -> Art:
    side: Literal[1, -1] = -1 if spec.side == "back" else 1
    if isinstance(spec, LetteringSpec):
        font = FONT if spec.font is None else _inside(folder, spec.font)
        check_font(font)
        return Lettering(spec.text, spec.size, spec.colour, font, placement, side, key)
    assert isinstance(spec, ImageSpec)
    file = _inside(folder, spec.file)
    across, down = picture_size(file)
    width, height = spec.width, spec.height
    if width is None:
        width = _USUAL_WIDTH if height is None else height * across / down
    height = height or width * down / across
    return Image(file, width, height, placement, side, spec.flip, key)


def _inside(folder: Path, name: str) -> Path:
    path = file_named(folder, name)
    if Path(name).is_absolute() or not path.is_relative_to(folder.resolve()):
        raise ArtError("lies outside the design's folder; try: copy it beside the design file")
    return path


def _mistake(spec: ArtSpec, where: str, error: Exception, built: Built) -> Mistake:
    if isinstance(error, KeyError):
        facets = ", ".join(f.name for s in built.sheets for f in s.facets)
        return Mistake(
            "", "there is no such facet", "", f"{where}.facet", repr(spec.facet), facets[:200]
        )
    key, found = ("font", spec.font) if isinstance(spec, LetteringSpec) else ("file", "")
    found = spec.file if isinstance(spec, ImageSpec) else found
    return Mistake("", str(error), "", f"{where}.{key}", repr(found))
