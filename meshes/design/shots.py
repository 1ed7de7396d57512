"""What a design says about filming it: a list of shots."""

from __future__ import annotations

import math
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from meshes.measure import complaint, degrees, number

ViewName = Literal["reader", "overhead", "low", "right-corner", "left-corner", "edge-on", "level"]


class ShotSettings(BaseModel):
    """One shot of the film plan; without any shot in the design the plan has five usual ones."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    view: ViewName = Field("reader", description="where the camera stands")
    piece: str | None = Field(None, description="piece to come close to, else the whole spread")
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

    @model_validator(mode="after")
    def _something_happens(self) -> ShotSettings:
        if self.from_opening == self.to_opening == 0.0:
            raise complaint("shows a closed notebook only", key="to_opening", advice="180")
        return self
