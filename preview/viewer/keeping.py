"""The camera at which the page stands, kept in the design as a view with a name."""

from __future__ import annotations

import tomllib
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, JsonValue

from meshes.design.edit import SetValue
from meshes.design.edit.edits import units_of
from meshes.design.edit.splice import EditError
from meshes.spread import Spread
from preview.errors import UseError
from preview.shot.camera import VIEWS

from .asked import Request

# What an eye 1 m away sees of it: a 500th of a pixel of a tall picture.
_DECIMALS = {"mm": 2, "cm": 3, "in": 4}

_MOST_HANDS = 50  # our choice
_Name = Annotated[str, Field(max_length=100)]
_Share = Annotated[float, Field(ge=0, le=1)]
_Within = Annotated[float, Field(ge=-9000, le=9000)]
_Place = Annotated[list[_Within], Field(min_length=3, max_length=3)]


class Standpoint(BaseModel):
    """Where a page stands.

    Parameters
    ----------
    eye, target : of its camera, in the scene, mm.
    field : vertical angle of view, degrees.
    opening : degrees.
    shares : how far what a hand moves has been moved, 0 to 1.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)

    eye: _Place
    target: _Place
    field: Annotated[float, Field(ge=1, le=120)]
    opening: Annotated[float, Field(ge=0, le=180)]
    shares: Annotated[dict[_Name, _Share], Field(max_length=_MOST_HANDS)] = {}


class Kept(Request):
    """What a page asks to have kept."""

    name: Annotated[str, Field(min_length=1, max_length=40)]
    stand: Standpoint


def keep(text: str, spread: Spread, kept: Kept) -> list[SetValue]:
    """The edits that write a view into the text of a design, over one of the same name.

    Raises
    ------
    UseError
        If a view can't be called that.
    """
    name = " ".join(kept.name.split())
    if not name or not name.isprintable() or not name[0].isalnum() or "," in name:
        raise UseError(f"{name!r} is no name for a view; try: my corner")
    if name in VIEWS:
        raise UseError(f"{name} is a view that every design has; take another name")
    shot = spread.design.shots.get(name)
    if shot is not None and not shot.kept:
        raise UseError(f"{name} is a shot of the film plan; take another name")
    opening = round(kept.stand.opening, 2)
    if opening == 0:
        raise UseError("a closed notebook shows nothing; open it first")
    values = {**_camera(text, kept.stand), "to_opening": opening}
    return [SetValue(path=("shots", name, key), value=value) for key, value in values.items()]


def here_in(text: str, stand: Standpoint) -> tuple[str, str]:
    """The text of a design with the camera of a page as one more view, and the name of that.

    Raises
    ------
    UseError
        If the text is no TOML.
    """
    try:
        named = tomllib.loads(text).get("shots", {})
        name = "here"
        while name in named:
            name += "-"
        for key, value in _camera(text, stand).items():
            text = SetValue(path=("shots", name, key), value=value).apply(text)
    except (ValueError, EditError) as error:
        raise UseError(f"the design can't be read at present: {error}") from None
    return text, name


def _camera(text: str, stand: Standpoint) -> dict[str, JsonValue]:
    """Keys of a shot whose camera stands there, in the units of a text; UseError if it can't."""
    units = units_of(text)
    eye, target = (
        [round(x / units.mm, _DECIMALS[units.length]) for x in place]
        for place in (stand.eye, stand.target)
    )
    if eye == target:
        raise UseError("the camera looks at nothing")
    return {"eye": [*eye], "target": [*target], "field": round(stand.field, 3)}
