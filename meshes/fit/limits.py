"""The ``[check]`` table of a design: which questions are asked, and what is still good enough."""

from __future__ import annotations

from typing import Annotated

import numpy as np
from pydantic import BaseModel, ConfigDict, Field

from ..measure import degrees, mm, number


class Limits(BaseModel):
    """Switches and limits of the fit report; lengths in mm, angles in radians once read."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    flat: bool = Field(True, description="ask whether it closes flat")
    inside: bool = Field(True, description="ask whether it stays inside the closed page")
    moves: bool = Field(True, description="ask whether it moves freely")
    clash: bool = Field(True, description="ask whether parts collide")
    thickness: bool = Field(True, description="ask how thick the closed spread is")
    makeable: bool = Field(True, description="ask whether it can be cut and glued")
    looks: bool = Field(True, description="ask how much of each piece is hidden")

    flat_angle: Annotated[float, degrees(0.001, 45)] = Field(
        float(np.radians(0.5)), description="a facet may stand off the closed page by this angle"
    )
    flat_gap: Annotated[float, mm(0.001, 50)] = Field(
        0.5, description="and by this distance, where it is parallel to the page"
    )
    margin: Annotated[float, mm(0, 200)] | None = Field(
        None, description="kept free along the trimmed edges; else the margin of the spread"
    )
    clash_push: Annotated[float, mm(0.002, 50)] = Field(
        0.05, description="a smaller push that frees two parts is no clash"
    )
    thickest: Annotated[float, mm(0.1, 200)] | None = Field(
        None, description="closed thickness to warn above; else that of the spread, else 3 mm"
    )
    glue_width: Annotated[float, mm(0.1, 100)] = Field(
        6.0, description="narrowest area of glue that holds (common practice, no source)"
    )
    strip_width: Annotated[float, mm(0.1, 100)] = Field(
        2.0, description="narrowest strip or bridge that does not tear"
    )
    slit_room: Annotated[float, mm(0, 50)] = Field(
        0.5, description="room at each end of a slit for what passes through it"
    )
    carrier_slack: Annotated[float, mm(0, 50)] = Field(
        0.5, description="a strip should be longer than the distance it spans by this much"
    )
    hidden: Annotated[float, number(0, 100)] = Field(
        60.0, description="a piece hidden by more than this many percent is named"
    )
    looks_at: Annotated[list[Annotated[float, degrees(1, 180)]], Field(min_length=1)] = Field(
        default_factory=lambda: [float(np.radians(at)) for at in (180, 120, 60)],
        description="openings at which hiding is looked at",
    )
