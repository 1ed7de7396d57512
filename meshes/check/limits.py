"""The ``[check]`` table of a design: which questions are asked, and what is still good enough."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches
from typing import Annotated

import numpy as np
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from ..measure import degrees, mm, number


class Limits(BaseModel):
    """What `foldstage check` asks, and what it still lets pass."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    flat: bool = Field(True, description="ask whether it closes flat")
    inside: bool = Field(True, description="ask whether it stays inside the closed page")
    moves: bool = Field(True, description="ask whether it moves freely")
    clash: bool = Field(True, description="ask whether parts collide")
    thickness: bool = Field(True, description="ask how thick the closed spread is")
    makeable: bool = Field(True, description="ask whether it can be cut and glued")
    looks: bool = Field(True, description="ask how much of each piece is hidden")

    # Our choice.
    flat_angle: Annotated[float, degrees(0.001, 45)] = Field(
        float(np.radians(0.5)), description="a facet may stand off the closed page by this angle"
    )
    # Our choice.
    flat_gap: Annotated[float, mm(0.001, 50)] = Field(
        0.5, description="a facet parallel to the closed page may stand off it by this distance"
    )
    # Our choice.
    margin: Annotated[float, mm(0, 200)] | None = Field(
        None, description="width kept free along the trimmed edges; else the margin of the spread"
    )
    # Our choice: a fifth of the caliper of card.
    clash_push: Annotated[float, mm(0.002, 50)] = Field(
        0.05, description="parts that a smaller push sets free do not count as a clash"
    )
    thickest: Annotated[float, mm(0.1, 200)] | None = Field(
        None,
        description="closed thickness to warn above; else that of the spread, else 3 mm "
        "(common practice, no source)",
    )
    glue_width: Annotated[float, mm(0.1, 100)] = Field(
        6.0, description="narrowest area of glue that holds (common practice, no source)"
    )
    strip_width: Annotated[float, mm(0.1, 100)] = Field(
        2.0, description="narrowest strip or bridge that does not tear (common practice, no source)"
    )
    slit_room: Annotated[float, mm(0, 50)] = Field(
        0.5,
        description="room at each end of a slit for what passes through it (common practice, "
        "no source)",
    )
    carrier_slack: Annotated[float, mm(0, 50)] = Field(
        0.5,
        description="a strip should be longer than the distance it spans by this much "
        "(common practice, no source)",
    )
    # Our choice.
    hidden: Annotated[float, number(0, 100)] = Field(
        60.0, description="a piece hidden by more than this many percent is named"
    )
    # Our choice.
    looks_at: Annotated[list[Annotated[float, degrees(1, 180)]], Field(min_length=1)] = Field(
        default_factory=lambda: [float(np.radians(at)) for at in (180, 120, 60)],
        description="openings at which hiding is looked at",
    )


def changed(limits: Limits, values: Mapping[str, str]) -> Limits:
    """The same limits with some values replaced, written as in a design file in mm and degrees.

    Raises
    ------
    ValueError
        With one line, for a key or a value that the table does not know.
    """
    for name in values:
        if name not in Limits.model_fields:
            near = get_close_matches(name, Limits.model_fields, 1)
            meant = f"did you mean {near[0]}?" if near else ", ".join(Limits.model_fields)
            raise ValueError(f"{name}: there is no such limit; {meant}")
    given = {name: _value(text) for name, text in values.items()}
    try:
        read = Limits.model_validate(given)
    except ValidationError as error:
        first = error.errors()[0]
        allowed = (first.get("ctx") or {}).get("allowed")
        found = f"{first['loc'][0]}={values[str(first['loc'][0])]}: {first['msg']}"
        raise ValueError(found + (f"; allowed: {allowed}" if allowed else "")) from None
    return limits.model_copy(update={name: getattr(read, name) for name in given})


def _value(text: str) -> object:
    if text.lower() in ("true", "false"):
        return text.lower() == "true"
    return [part.strip() for part in text.split(",")] if "," in text else text
