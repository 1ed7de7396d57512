"""The piece kinds: generators from a few numbers to sheets, folds and joins.

A new kind is one module with a model and one line in the register below. Only the kinds that a
design has are loaded.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from importlib import import_module
from typing import TYPE_CHECKING, Any, cast

if TYPE_CHECKING:
    from .piece import Piece


class _Register(Mapping[str, "type[Piece]"]):
    """The model of each kind by name, loaded when it is first asked for.

    Parameters
    ----------
    places : of each kind, the module in this package and the model in it.
    """

    def __init__(self, places: Mapping[str, tuple[str, str]]) -> None:
        self._places = places

    def __getitem__(self, kind: str) -> type[Piece]:
        module, model = self._places[kind]
        return cast("type[Piece]", getattr(import_module(f".{module}", __name__), model))

    def __contains__(self, kind: Any) -> bool:
        return kind in self._places

    def __iter__(self) -> Iterator[str]:
        return iter(self._places)

    def __len__(self) -> int:
        return len(self._places)


KINDS: Mapping[str, type[Piece]] = _Register(
    {
        "flat": ("flat", "Flat"),
        "v-fold": ("v_fold", "VFold"),
        "tent": ("tent", "Tent"),
        "carrier": ("carrier", "Carrier"),
        "strap": ("strap", "Strap"),
        "box": ("box", "Box"),
        "platform": ("platform", "Platform"),
        "stair": ("stair", "Stair"),
        "mouth": ("mouth", "Mouth"),
        "arm": ("arm", "Arm"),
        "pivot": ("pivot", "Pivot"),
        "zigzag": ("zigzag", "Zigzag"),
        "wheel": ("wheel", "Wheel"),
        "slide": ("slide", "Slide"),
        "flyleaf": ("flyleaf", "Flyleaf"),
        "blossom": ("blossom", "Blossom"),
        "drawn": ("drawn", "Drawn"),
    }
)
