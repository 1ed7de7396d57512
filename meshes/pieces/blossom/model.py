"""The keys of a blossom in a design file."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from meshes.measure import Length, degrees, mm, number
from meshes.pieces.piece import Colour

from .fan import Hang


def _listed(value: Any) -> Any:
    return value if isinstance(value, list | tuple) else [value]


Around = BeforeValidator(_listed)


class Legs(BaseModel):
    """The two legs of a layer, one in the middle of each half; what is left out follows by rule."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    hang: Hang = Field(
        "sector",
        description="`sector`: under the sector in the middle of each half; `fold`: under the fold "
        "there, the leg creased along its middle; `beside`: under the sector behind that fold, the "
        "leg turned so that it stays parallel to the crease",
    )
    hang_at: Length | None = Field(
        None, description="distance from the flower's middle to where the leg hangs"
    )
    distance: Length | None = Field(None, description="distance of the leg's foot from the crease")
    length: Length | None = Field(
        None, description="length of the leg; else it follows from `lowest_angle`"
    )
    lowest_angle: Annotated[float, degrees(1, 89)] | None = Field(
        None,
        description="how far the carrying petals rise when the flower's middle sits on the flat "
        "open crease; gives the length; else 4° more than the flower needs, or as much as lifts "
        "the folds of a ruffle off the crease",
    )
    width: Length | None = Field(None, description="width of the leg")
    tab: Length = Field(
        8.0, description="depth of its glue tabs, at most (common practice, no source)"
    )
    slits: bool = Field(
        True,
        description="`true`: the legs go through slits in the flat layers down to the host; "
        "`false`: they are glued to the flat layer",
    )


class LayerKeys(BaseModel):
    """What every layer has; written on the flower itself, it holds for all layers without it."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    stand: Literal["flat", "legs", "glued"] | None = Field(
        None,
        description="`flat` on both halves of the host; on `legs` of its own; `glued` by the "
        "middle of each half on the layer below, middle on middle; else legs for the first layer "
        "that is not flat, glued for those in it",
    )
    # Our choice.
    sectors: Annotated[int, Field(ge=2, le=48)] = Field(
        6, description="flat facets round the middle, counted from the crease in front"
    )
    angle: (
        Annotated[
            tuple[Annotated[float, degrees(4, 180)], ...],
            Around,
            Field(min_length=1, max_length=48),
        ]
        | None
    ) = Field(
        None,
        description="angle of a sector, or of each in turn (a list is repeated all the way round); "
        "six of 60° lie flat, fewer degrees make a cone, more a ruffle; else 300° in all, flat "
        "layers 360°",
    )
    petals: Annotated[
        tuple[Annotated[int, Field(ge=1, le=12)], ...], Around, Field(min_length=1, max_length=48)
    ] = Field((1,), description="petals side by side on a sector, or on each in turn")
    # Our choice.
    length: Annotated[float, mm(2, 500)] = Field(
        40.0, description="length from the flower's middle to the tips"
    )
    parting: Annotated[float, mm(1, 500)] | None = Field(
        None,
        description="distance from the middle to where petals part; else two thirds of the length",
    )
    # Our choice.
    breadth: Annotated[float, number(0, 1)] = Field(
        0.7, description="how broad a petal is: 0 slender, 1 as broad as its sector allows"
    )
    point: Annotated[float, number(0, 1)] = Field(
        0.0, description="how pointed a petal is: 0 round, 1 drawn out to a sharp tip"
    )
    notch: Annotated[float, number(0, 0.4)] = Field(
        0.0, description="depth of the notch in the tip of a petal, share of the length"
    )
    profile: Annotated[
        list[tuple[Annotated[float, number(0, 1)], Annotated[float, number(0.05, 1)]]],
        Field(max_length=50),
    ] = Field(
        default_factory=list,
        description="a petal with straight edges instead: corners from the fold to the middle, "
        "each "
        "[share of the half angle, share of the length]",
    )
    turn: Annotated[float, degrees(-180, 180)] = Field(
        0.0, description="a flat layer turned counter-clockwise, so that petals show between others"
    )
    gutter_folds: Literal["valley", "mountain"] = Field(
        "valley",
        description="which way the two folds over the crease go in a disc or ruffle (360° and "
        "more), as the reader of a valley sees them",
    )
    rest: Annotated[float, degrees(0, 180)] | None = Field(
        None,
        description="angle that the petal folds spring to where nothing holds them; else 60° or "
        "less",
    )
    legs: Legs = Field(default_factory=Legs, description="the legs, see below")


class Layer(LayerKeys):
    """One layer of a blossom, from the lowest up."""

    name: Annotated[str, Field(pattern=r"^[a-z][a-z0-9-]*$", max_length=40)] = Field(
        description="goes before the names of its facets and folds, as in `outer-petal-1`"
    )
    paper: str | None = Field(None, description="one of the papers, else the flower's")
    front: Colour | None = Field(None, description="colour of the printed side, else the paper's")
    back: Colour | None = Field(None, description="colour of the other side, else the paper's")


def resolve(flower: LayerKeys, layers: Sequence[Layer]) -> list[Layer]:
    """The layers of a flower, each with the flower's own keys where it has none."""
    own = {key: getattr(flower, key) for key in LayerKeys.model_fields if says(flower, key)}
    return [
        layer.model_copy(
            update={
                key: value
                for key, value in own.items()
                # Flat layers close by themselves; the flower's angle is that of its cones.
                if not says(layer, key) and not (key == "angle" and layer.stand == "flat")
            }
        )
        for layer in layers or [Layer(name="petals")]
    ]


def says(keys: LayerKeys, key: str) -> bool:
    """Whether the file gives a key."""
    return key in keys.model_fields_set
