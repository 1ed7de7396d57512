"""The parts of a design: the spread, the papers, the pieces."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from meshes.check.limits import Limits
from meshes.measure import Length, complaint, mm, number, shown
from meshes.pieces.piece import Colour, Piece
from meshes.sheet import WHITE, Finish, Paper

from .shots import ShotSettings
from .sizes import PAGES

# Bulk of smooth card, cm³/g, which makes 0.23 mm of 200 g/m²: common practice, no source.
_BULK = 1.15


class SpreadSettings(BaseModel):
    """The notebook: two facing pages, what they are made of, what they must keep to."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    page: str | None = Field(None, description="size of one page: `A5`, `B6`, `letter` …")
    orientation: Literal["portrait", "landscape"] = Field(
        "portrait", description="which way up a page given by name is held"
    )
    width: Annotated[float, mm(20, 1000)] = Field(
        148.0, description="width of one page (source: ISO 216, A5)"
    )
    height: Annotated[float, mm(20, 1000)] = Field(
        210.0, description="height of one page (source: ISO 216, A5)"
    )
    margin: Annotated[float, mm(0, 200)] = Field(
        3.0,
        description="distance that the closed pieces keep from the trimmed edges (common "
        "practice, no source)",
    )
    paper: Colour = Field("#f7f3e8", description="colour of the pages")
    cover: Colour = Field("#6b5a4a", description="colour of the cover")
    # Our choice.
    block: Annotated[float, mm(0, 100)] = Field(
        4.0, description="thickness of the pages under each half of the spread"
    )
    ruling: Literal["plain", "dots", "lines", "grid"] = Field(
        "plain", description="what is printed on the pages"
    )
    binding: Literal["hard", "soft"] = Field(
        "hard",
        description="its cover: boards that turn in grooves beside a spine of cloth, or one soft "
        "sheet that bends round the spine",
    )
    band: Colour | None = Field(
        None,
        description="colour of an elastic band that holds the shut notebook, away while it is "
        "open; else it has none",
    )
    thickest: Length | None = Field(None, description="thickest that the closed pieces may be")

    @model_validator(mode="before")
    @classmethod
    def _sized(cls, table: object) -> object:
        """Turn a page by name into its width and height."""
        if not isinstance(table, dict) or not isinstance(table.get("page"), str):
            return table
        if "width" in table or "height" in table:
            raise complaint(
                "is given together with width and height", key="page", advice="leave one out"
            )
        page = str(table["page"])
        if page.lower() not in PAGES:
            near = get_close_matches(page.lower(), PAGES, 1, 0.4)
            raise complaint(
                "is not a known size",
                key="page",
                found=shown(page),
                allowed="A0 to A10, B0 to B10, letter, half-letter, legal, tabloid",
                advice=_title(near[0]) if near else "width and height",
            )
        size = PAGES[page.lower()]
        width, height = size if table.get("orientation") != "landscape" else size[::-1]
        return table | {"width": f"{width} mm", "height": f"{height} mm"}

    @model_validator(mode="after")
    def _fits(self) -> SpreadSettings:
        if len({"width", "height"} & self.model_fields_set) == 1:
            missing = "height" if "width" in self.model_fields_set else "width"
            raise complaint("is missing", key=missing, advice='both, or page = "A5"')
        if 2 * self.margin >= min(self.width, self.height):
            raise complaint("leaves nothing of the page", key="margin", found=f"{self.margin:g} mm")
        return self


def _title(size: str) -> str:
    return size.upper() if len(size) <= 3 else size


class PaperSettings(BaseModel):
    """A kind of paper."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    grammage: Annotated[float, number(10, 2000)] = Field(200.0, description="g/m²")  # our choice
    caliper: Annotated[float, mm(0.01, 5)] | None = Field(
        None, description="thickness of a sheet; else 1.15 µm for each g/m², as of smooth card"
    )
    front: Colour = Field(WHITE, description="colour of the printed side")
    back: Colour | None = Field(None, description="colour of the other side, else white")
    clear: bool = Field(False, description="a transparent film")
    finish: Finish = Field(
        "smooth",
        description="how it looks beyond its colour: smooth card, rough watercolour paper, kraft "
        "with its fibres, mulberry paper that lets light through, or metallic card",
    )
    core: Colour | None = Field(
        None,
        description="colour inside card that is printed or coated, which shows at cut edges and as "
        "a fine line on the outside of folds; else its edges are the mean of both sides",
    )

    def paper(self, name: str) -> Paper:
        """The paper, under its name."""
        caliper = self.grammage * _BULK / 1000 if self.caliper is None else self.caliper
        back = self.back or (self.front if self.clear else WHITE)
        return Paper(
            name,
            self.grammage,
            caliper,
            self.front,
            back,
            self.clear,
            self.finish,
            self.core or "",
        )


PAPERS: Mapping[str, PaperSettings] = {
    "card": PaperSettings(grammage=200),
    "drawing-paper": PaperSettings(grammage=120),
    "kraft": PaperSettings(grammage=220, front="#b98f62", back="#b98f62", finish="kraft"),
    # Polyester film of 1.4 g/cm³, 0.1 mm thick: common practice, no source.
    "clear-film": PaperSettings(grammage=140, caliper=0.1, front="#eef4f6", clear=True),
}


@dataclass(frozen=True)
class Design:
    """A checked design.

    Parameters
    ----------
    file : the name under which it was read.
    spread : the notebook, lengths in mm.
    papers, pieces : by name, pieces in the order of the file.
    values : numbers by name, in the unit of the file.
    check : which questions of the check are asked, and their limits.
    shots : of the film plan, by name, in the order of the file.
    """

    file: str
    title: str
    units: str
    spread: SpreadSettings
    papers: Mapping[str, Paper]
    pieces: Mapping[str, Piece]
    values: Mapping[str, float]
    check: Limits = field(default_factory=Limits)
    shots: Mapping[str, ShotSettings] = field(default_factory=dict)
