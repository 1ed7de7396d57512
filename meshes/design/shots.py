"""What a design says about filming it: a list of shots."""

from __future__ import annotations

import math
import re
from difflib import get_close_matches
from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, model_validator

from meshes.measure import complaint, degrees, mm, number, shown

ViewName = Literal[
    "reader", "near", "overhead", "low", "right-corner", "left-corner", "edge-on", "level"
]
LyingName = Literal["both", "left", "right", "thicker"]
# Tables that are drawn; `preview.shot.tables` has their looks.
TABLE_NAMES = ("linen", "oak", "cutting-mat")
_COLOUR = re.compile(r"#[0-9a-fA-F]{6}")
# As far as a tripod stands from a table: our choice.
Place = tuple[
    Annotated[float, mm(-9000, 9000)],
    Annotated[float, mm(-9000, 9000)],
    Annotated[float, mm(-9000, 9000)],
]


def _table(text: str) -> str:
    if text in TABLE_NAMES or _COLOUR.fullmatch(text):
        return text
    near = get_close_matches(text, TABLE_NAMES, 1, 0.5)
    raise complaint(
        "is no table",
        found=shown(text),
        allowed=f"{', '.join(TABLE_NAMES)}, or a colour such as #aab79c",
        advice=near[0] if near else "",
    )


class ShotSettings(BaseModel):
    """One shot of the film plan, and a view for every command that takes one.

    Without any shot that is planned, the plan has five usual ones; a view that was kept with its
    `eye` joins them.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    view: ViewName = Field("reader", description="where the camera stands")
    piece: str | None = Field(None, description="piece to come close to, else the whole spread")
    eye: Place | None = Field(
        None,
        description="where the camera stands in place of `view`: to the right of the gutter, up "
        "from its foot, and over the open pages; needs `target`",
    )
    target: Place | None = Field(
        None, description="what is in the middle of the picture, likewise; needs `eye`"
    )
    # That of the named views. Common practice, no source.
    field: Annotated[float, degrees(1, 120)] = Field(
        math.radians(27.0),
        description="with `eye`: what the camera sees from the top of the picture to its bottom",
    )
    from_opening: Annotated[float, degrees(0, 180)] = Field(
        0.0, description="opening at the start of the shot"
    )
    to_opening: Annotated[float, degrees(0, 180)] = Field(
        math.pi, description="opening at its end; may be smaller, to film the closing"
    )
    # Our choice.
    seconds: Annotated[float, number(0.5, 600)] = Field(6.0, description="length of the shot")
    turn: Annotated[float, degrees(-720, 720)] = Field(
        0.0,
        description="how far the spread is turned on the table during the shot, counter-clockwise",
    )

    table: Annotated[str, AfterValidator(_table)] | None = Field(
        None,
        description="what the notebook lies on: `linen`, `oak`, `cutting-mat` or `#rrggbb`, else "
        "what the light has",
    )
    lying: LyingName | None = Field(
        None,
        description="how it lies: `both` halves tilted, the `left` or `right` one or the `thicker` "
        "one on the table; else as the command has it",
    )

    @property
    def kept(self) -> bool:
        """Whether its camera stands at a place of its own."""
        return self.eye is not None

    @model_validator(mode="after")
    def _stands_somewhere(self) -> ShotSettings:
        missing = "eye" if self.eye is None else "target"
        if (self.eye is None) != (self.target is None):
            raise complaint("is needed too", key=missing, advice="give both, or neither")
        given = self.model_fields_set
        if self.eye is None and "field" in given:
            raise complaint("goes with a camera of its own", key="field", advice="give eye, target")
        if self.eye is not None and {"view", "piece"} & given:
            key = "view" if "view" in given else "piece"
            raise complaint("and eye both say where the camera stands", key=key, advice="leave it")
        if self.eye is not None and self.eye == self.target:
            raise complaint("is where the camera stands itself", key="target")
        return self

    @model_validator(mode="after")
    def _something_happens(self) -> ShotSettings:
        if self.from_opening == self.to_opening == 0.0:
            raise complaint("shows a closed notebook only", key="to_opening", advice="180")
        return self
