"""The strap: a strip over a crease with any number of parallel folds."""

from __future__ import annotations

from itertools import product
from typing import Annotated, Literal

import numpy as np
from pydantic import Field, model_validator

from meshes.measure import Length, Pair, complaint, mm
from meshes.outline import Outline
from meshes.sheet import Built

from .piece import Context, OnCrease
from .strip import Strip, Tabs

Direction = Literal["mountain", "valley"]


class Strap(OnCrease):
    """A strip over a crease with any number of parallel folds; more than one leave it free.

    The sheet's y runs along the crease, x = 0 is half-way along the strip. Facets: ``panel-1`` …
    from the left, ``left-tab``, ``right-tab``. Folds: ``fold-1`` … from the left, ``left-base``,
    ``right-base``.
    """

    kind: Literal["strap"] = "strap"
    distance: Annotated[tuple[float, float], Pair(mm())] = Field(
        description="distance of the feet from the crease"
    )
    panels: Annotated[list[Length], Field(min_length=2, max_length=16)] = Field(
        description="widths of the panels from left to right; folded up and down, they must lead "
        "from one foot to the other when the notebook is closed"
    )
    directions: Annotated[list[Direction], Field(max_length=15)] | Literal["zigzag", "arch"] = (
        Field(
            "arch",
            description="`mountain` or `valley` for each fold, or `arch` (all mountain), or "
            "`zigzag` (in turn, a mountain first)",
        )
    )
    width: Length = Field(description="width along the crease")
    outline: Outline | None = Field(
        None, description="shape of the strip laid flat, the origin in the middle of it"
    )
    holes: Annotated[list[Outline], Field(max_length=100)] = Field(
        default_factory=list, description="shapes cut out of the strip"
    )
    tab: Length = Field(8.0, description="depth of the glue tabs (common practice, no source)")
    tabs: Tabs = Field("under", description="the tabs lie outside, face up, or under the strip")

    @model_validator(mode="after")
    def _one_direction_each(self) -> Strap:
        folds = len(self.panels) - 1
        if isinstance(self.directions, list) and len(self.directions) != folds:
            raise complaint(
                "does not have one direction for each fold",
                key="directions",
                found=str(len(self.directions)),
                allowed=f"{folds} for {len(self.panels)} panels",
            )
        return self

    @model_validator(mode="after")
    def _folds_flat(self) -> Strap:
        """Closed, every panel runs straight up or down from one foot to the other."""
        ways = np.array(list(product((1, -1), repeat=len(self.panels))))
        left, right = self.distance
        short = float(np.abs(ways @ self.panels - (right - left)).min())
        if short > 0.05:
            raise complaint(
                "do not fold flat: laid up and down, they miss the other foot",
                key="panels",
                found=f"at least {short:.3g} mm missing",
                allowed="panels up less panels down = right less left distance",
            )
        return self

    def build(self, context: Context) -> Built:
        """See :class:`Piece`."""
        strip = Strip(
            start=-sum(self.panels) / 2,
            panels=[(f"panel-{k + 1}", width) for k, width in enumerate(self.panels)],
            ridges=[(f"fold-{k + 1}", sign) for k, sign in enumerate(self._signs())],
            distances=self.distance,
            width=self.width,
            depth=self.tab,
            tabs=(self.tabs, self.tabs),
        )
        return strip.build(context, self.site(context), self.outline, self.holes)

    def _signs(self) -> list[Literal[1, -1]]:
        if isinstance(self.directions, list):
            return [1 if direction == "mountain" else -1 for direction in self.directions]
        zigzag = self.directions == "zigzag"
        return [-1 if zigzag and k % 2 else 1 for k in range(len(self.panels) - 1)]
